//! The procedural, spectral demo scene with its truth known, and the test patterns.
