//! Colour decision lists: slope, offset, power and saturation as XML.
//!
//! Three forms, told by the outermost element: one correction (`ColorCorrection`, .cc), a collection of them
//! (`ColorCorrectionCollection`, .ccc), and a list of decisions, each with the picture it is for (`ColorDecisionList`, .cdl).
//! The maths is that of the operation `cdl` with `clamp=true`.
//!
//! # Source
//! ASC CDL Transfer Functions and Interchange Syntax, release 1.2 (2009), and its XML schema, namespace `urn:ASC:CDL:v1.01`.

mod read;
mod write;

pub use read::read;
pub use write::write;

/// The namespace that is written.
const NAMESPACE: &str = "urn:ASC:CDL:v1.01";

/// What a file is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// One correction: .cc.
    Correction,
    /// A collection of corrections: .ccc.
    Collection,
    /// A list of decisions: .cdl.
    List,
}

impl Form {
    /// The outermost element.
    pub fn element(self) -> &'static str {
        match self {
            Self::Correction => "ColorCorrection",
            Self::Collection => "ColorCorrectionCollection",
            Self::List => "ColorDecisionList",
        }
    }
}

/// What a file holds.
#[derive(Debug, Clone, PartialEq)]
pub struct CdlFile {
    /// What it is.
    pub form: Form,
    /// Words on the whole of it; a file of one correction has only the correction's own.
    pub about: About,
    /// Its corrections, in order; exactly one in a file of one.
    pub corrections: Vec<Correction>,
    /// Elements that no release of the list has, with their lines: they were not read.
    pub left_out: Vec<String>,
}

/// Words beside numbers.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct About {
    /// Each `Description`.
    pub descriptions: Vec<String>,
    /// What the corrections are made for: the colour space that enters.
    pub input: Option<String>,
    /// How the picture was looked at.
    pub viewing: Option<String>,
}

/// One correction.
#[derive(Debug, Clone, PartialEq)]
pub struct Correction {
    /// Its name; must not be empty.
    pub id: String,
    /// Words on it.
    pub about: About,
    /// Words on slope, offset and power.
    pub sop_descriptions: Vec<String>,
    /// Words on saturation.
    pub saturation_descriptions: Vec<String>,
    /// In a list of decisions: the picture that it is for.
    pub media: Option<String>,
    /// Factor of each channel, 0 or more.
    pub slope: [f64; 3],
    /// What is added to each channel.
    pub offset: [f64; 3],
    /// Exponent of each channel, above 0.
    pub power: [f64; 3],
    /// Distance from luma as a factor, 0 or more.
    pub saturation: f64,
}

impl Correction {
    /// A correction that changes nothing.
    pub fn neutral(id: impl Into<String>) -> Correction {
        Correction {
            id: id.into(),
            about: About::default(),
            sop_descriptions: Vec::new(),
            saturation_descriptions: Vec::new(),
            media: None,
            slope: [1.0; 3],
            offset: [0.0; 3],
            power: [1.0; 3],
            saturation: 1.0,
        }
    }

    /// What is wrong with a number, if something is: the element and the remedy.
    fn fault(&self) -> Option<(&'static str, &'static str)> {
        let finite = |numbers: &[f64]| numbers.iter().all(|number| number.is_finite());
        if !(finite(&self.slope) && self.slope.iter().all(|&v| v >= 0.0)) {
            return Some(("Slope", "0 or more in each channel"));
        }
        if !finite(&self.offset) {
            return Some(("Offset", "a number in each channel"));
        }
        if !(finite(&self.power) && self.power.iter().all(|&v| v > 0.0)) {
            return Some(("Power", "above 0 in each channel"));
        }
        if !(self.saturation.is_finite() && self.saturation >= 0.0) {
            return Some(("Saturation", "0 or more"));
        }
        None
    }
}

/// Why a file cannot be written.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum WriteError {
    /// A number that the list does not allow.
    #[error("correction '{id}': {element} must be {wanted}")]
    Number {
        /// The correction.
        id: String,
        /// The element.
        element: &'static str,
        /// What is allowed.
        wanted: &'static str,
    },
    /// A correction without a name.
    #[error("correction {number} has no id; give it one")]
    NoId {
        /// Counted from one.
        number: usize,
    },
    /// A file of one correction with another number of them.
    #[error("a .cc file holds one correction, not {count}; write a .ccc or a .cdl")]
    NotOne {
        /// How many there are.
        count: usize,
    },
}

#[cfg(test)]
mod tests;
