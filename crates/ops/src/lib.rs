//! One operation, one room: settings, units, formula, derived constants. Knows no GPU and no window.
