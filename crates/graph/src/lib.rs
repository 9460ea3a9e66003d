//! Signals, the wiring of operations, the kit and its candidates, and what a chain means. No pixels.
