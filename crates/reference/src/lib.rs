//! The proof: the elaborated graph walked in f64, step by step, by the textbook formula.
