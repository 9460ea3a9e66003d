//! What a picture was made for and how: the words by which files, reports and closing lines name it.

use std::fmt;

use crate::{Reference, Signal};

/// A display's picture, and what made it.
#[derive(Debug, Clone, PartialEq)]
pub struct Rendered {
    /// The display, by the name typed after `display=`.
    pub display: String,
    /// Light of signal white, in nits.
    pub peak_nits: f64,
    /// Light of signal black, in nits.
    pub black_nits: f64,
    /// How scene light was brought into its range: a rendering's name, or the LUT that did it.
    pub how: String,
    /// The primaries that the picture was kept within, where these are not the display's own.
    pub within: Option<String>,
}

impl Rendered {
    /// How `signal` was made; none where it is no display's.
    pub fn of(signal: &Signal, how: String, within: Option<String>) -> Option<Self> {
        let Reference::Display { peak_nits, black_nits } = signal.reference else { return None };
        Some(Self { display: signal.curve.name.clone(), peak_nits, black_nits, how, within })
    }
}

/// What matters most comes first: a file's field may be too short for all of it.
impl fmt::Display for Rendered {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { display, peak_nits, black_nits, how, within } = self;
        write!(f, "{display}, {peak_nits} nits, {how}")?;
        if let Some(within) = within {
            write!(f, ", within {within}")?;
        }
        if *black_nits > 0.0 {
            write!(f, ", black {black_nits} nits")?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Display, Rendering};

    #[test]
    fn the_words_say_what_matters() {
        let words = |signal: &Signal, within: Option<&str>| {
            Rendered::of(signal, "plain".to_string(), within.map(str::to_string)).map(|made| made.to_string())
        };
        let display = |display: Display, black| display.signal(display.usual_peak_nits(Rendering::Plain), black);
        assert_eq!(words(&display(Display::Bt1886, 0.0), None).unwrap(), "BT.1886, 100 nits, plain");
        let raised = words(&display(Display::Hlg, 0.05), Some("P3-D65")).unwrap();
        assert_eq!(raised, "HLG, 1000 nits, plain, within P3-D65, black 0.05 nits");
        assert_eq!(words(&Signal::log(), None), None);
    }
}
