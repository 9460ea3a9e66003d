//! Image sequences in and out, with the metadata that matters. Knows frames, not graphs.
