//! Elaborated graph to plan: optimiser passes and fusion. Pure data with a readable dump.
