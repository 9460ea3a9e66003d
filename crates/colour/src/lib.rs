//! Colour science alone, in f64: primaries, transfers, adaptation, loci, colour difference. No I/O.
