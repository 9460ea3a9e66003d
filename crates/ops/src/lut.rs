//! LUT: the picture through a table from a file, as it was made elsewhere.
//!
//! `out = table(in)` channel by channel (1D) or by the colour as a whole (3D), by the entries around the input. What
//! the table was made for is not in its file, so `from` and `to` say it. With both, whatever comes is converted to the
//! code of `from`, and what leaves is the signal `to`. With `from` alone the table corrects that code and the signal
//! comes back as it was. With neither, the numbers go in as they come and stay what they were.
//!
//! Domain: that of the file, 0 to 1 unless it says more. Negatives and values above it get what its nearest end gets,
//! so light must not go in uncoded. Range: that of the entries, which may leave 0 to 1. Alpha is untouched. It clamps,
//! it is never neutral, and it has no inverse.
//!
//! # Source
//! Cube LUT Specification 1.0 (2013); Academy S-2014-006 (CLF 3.0), appendix A, for the interpolations.

use std::sync::Arc;

use colour::lut::Interpolation;

use crate::look_up::LookUp;
use crate::{Context, Display, Domain, OpError, Operation, Rendered, Rendering, Setting, Signal, Signals, Step, settings};

impl Setting for Interpolation {
    fn parse(text: &str) -> Result<Self, String> {
        let wanted = || "tetrahedral or trilinear is wanted".to_string();
        Self::ALL.into_iter().find(|interpolation| interpolation.name() == text).ok_or_else(wanted)
    }
    fn print(&self) -> String {
        self.name().to_string()
    }
}

settings! {
    /// Which table, and what it was made for.
    pub struct Lut {
        /// The LUT's file, as a path from the folder of the chain's own file.
        file: Option<String> = None, Name, None;
        /// What is taken between the entries of a 3D LUT: tetrahedral keeps greys grey, trilinear is the other habit. A 1D LUT is straight between its entries.
        interpolation: Interpolation = Interpolation::Tetrahedral, Choice, None;
        /// The encoding whose code the LUT expects, at its usual exposure index; whatever comes is converted to it.
        from: Option<String> = None, Name, None;
        /// The display or encoding whose signal the LUT gives; what it was given unless told.
        to: Option<String> = None, Name, None;
    }
}

impl Lut {
    fn table<'a>(&self, context: &'a Context<'_>) -> Result<(&str, &'a Arc<colour::Lut>), OpError> {
        let refuse = |reason| OpError::Setting { operation: Self::ID, field: "file", reason };
        let name = self.file.as_deref().ok_or_else(|| refuse("no LUT is named; say file=NAME.cube".to_string()))?;
        match context.book.lut(name) {
            Some(table) => Ok((name, table)),
            None => Err(refuse(format!("no LUT '{name}' has been read"))),
        }
    }

    /// What `to` names: the signal of a display with its usual peak, or the code of an encoding.
    fn result(name: &str, context: &Context<'_>) -> Result<Signal, OpError> {
        match Display::parse(name) {
            Ok(display) => Ok(display.signal(display.usual_peak_nits(Rendering::Plain), 0.0)),
            Err(_) => Self::code(name, context),
        }
    }

    fn code(name: &str, context: &Context<'_>) -> Result<Signal, OpError> {
        let found = context.book.find(name, None);
        let encoding = found.map_err(|source| OpError::Encoding { operation: Self::ID, source })?;
        Ok(Signal::code(&encoding))
    }
}

impl Operation for Lut {
    const ID: &'static str = "lut";
    const VERSION: u32 = 1;
    const SUMMARY: &'static str = "puts the picture through a table from a file";
    const HOME: Domain = Domain::AsGiven;

    fn reads(&self, context: &Context<'_>) -> Result<Option<Signal>, OpError> {
        self.from.as_deref().map(|name| Self::code(name, context)).transpose()
    }

    fn signals(&self, context: &Context<'_>, given: &Signal) -> Result<Signals, OpError> {
        self.table(context)?;
        let gives = match &self.to {
            Some(name) => Self::result(name, context)?,
            None => given.clone(),
        };
        Ok(Signals { needs: given.clone(), gives })
    }

    fn steps(&self, context: &Context<'_>, signals: &Signals) -> Vec<Step> {
        // A LUT that is not there has been refused before.
        let found = self.table(context).into_iter();
        let look_up = |(name, table): (&str, &Arc<_>)| {
            let point = LookUp { name: name.to_string(), lut: Arc::clone(table), interpolation: self.interpolation };
            Step { point: point.into(), takes: signals.needs.clone(), gives: signals.gives.clone() }
        };
        found.map(look_up).collect()
    }

    fn rendered(&self, gives: &Signal) -> Option<Rendered> {
        let file = self.file.as_deref().unwrap_or_default();
        // The folder says nothing of the picture, and a file that is handed over should not tell it.
        let name = file.rsplit(['/', '\\']).next().unwrap_or(file);
        Rendered::of(gives, format!("lut {name}"), None)
    }

    fn clamps(&self) -> bool {
        true
    }

    fn concern(&self, given: &Signal) -> Option<String> {
        (self.from.is_none() && given.curve.is_linear() && !given.is_unknown()).then(|| {
            format!("{given} is light, and a LUT cuts what lies outside its domain; name with from= what it was made for")
        })
    }
}

#[cfg(test)]
mod tests {
    use colour::lut::LutKind;

    use super::*;
    use crate::{Book, Reference};

    fn signals(lut: &Lut, given: &Signal) -> Result<Signals, String> {
        let mut book = Book::default();
        book.add_lut("a.cube", colour::Lut::of(LutKind::OneD, 2, [0.0; 3], [1.0; 3], |rgb| rgb).unwrap());
        let context = Context { camera: None, display: None, book: &book };
        lut.reads(&context).and_then(|_| lut.signals(&context, given)).map_err(|error| error.to_string())
    }

    fn of(from: Option<&str>, to: Option<&str>) -> Lut {
        let name = |name: &str| name.to_string();
        Lut { file: Some(name("a.cube")), from: from.map(name), to: to.map(name), ..Lut::default() }
    }

    #[test]
    fn what_it_gives_is_what_it_took_unless_told() {
        let given = Signal::log();
        assert_eq!(signals(&of(None, None), &given).unwrap(), Signals { needs: given.clone(), gives: given.clone() });
        let told = |to| signals(&of(Some("LogC3"), Some(to)), &given).unwrap().gives;
        assert_eq!(told("ACEScct"), Signal::log());
        let nits = |peak_nits| Reference::Display { peak_nits, black_nits: 0.0 };
        assert_eq!((told("HLG").reference, told("PQ").reference), (nits(1000.0), nits(10_000.0)));
        // A LUT that ends in BT.709 code is made to be looked at.
        assert_eq!(told("BT.709"), told("BT.1886"));
    }

    #[test]
    fn what_is_missing_is_said() {
        let refused = |lut: &Lut| signals(lut, &Signal::log()).unwrap_err();
        assert!(refused(&Lut::default()).contains("lut file: no LUT is named"));
        let other = Lut { file: Some("b.cube".to_string()), ..Lut::default() };
        assert!(refused(&other).contains("no LUT 'b.cube' has been read"));
        assert!(refused(&of(Some("LogD3"), None)).contains("LogD3"));
        assert!(refused(&of(None, Some("BT.1887"))).contains("BT.1887"));
    }

    #[test]
    fn light_that_goes_in_uncoded_is_a_concern() {
        assert!(of(None, None).concern(&Signal::scene()).is_some_and(|why| why.contains("from=")));
        assert_eq!(of(None, None).concern(&Signal::log()), None);
        assert_eq!(of(Some("ACEScg"), None).concern(&Signal::scene()), None);
    }
}
