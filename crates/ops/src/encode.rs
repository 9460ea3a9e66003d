//! Encode: linear scene light becomes code values of a scene encoding.
//!
//! Changes primaries and white, then encodes by the published encoder, with its clamps. The inverse
//! is `input-transform` with the same encoding.
//!
//! # Source
//! Each encoding's own document.

use colour::CodeRange;

use crate::input_transform::resolve;
use crate::light_to_code::LightToCode;
use crate::{Context, Domain, OpError, Operation, Signal, Signals, Step, primaries_step, settings};

settings! {
    /// Which encoding to write.
    pub struct Encode {
        /// The scene encoding to write, by name; the shot's own unless told.
        encoding: Option<String> = None, Name, None;
        /// Exposure index, where the encoding has one (LogC3).
        ei: Option<u32> = None, Choice, None, hard (50.0, 25600.0);
        /// Primaries instead of the encoding's own, by name.
        primaries: Option<String> = None, Name, None;
        /// Whether integer codes fill the whole range or the legal (video) range.
        range: Option<CodeRange> = None, Choice, None;
    }
}

impl Operation for Encode {
    const ID: &'static str = "encode";
    const VERSION: u32 = 1;
    const SUMMARY: &'static str = "writes light in the scene as the code of a camera or exchange encoding";
    const HOME: Domain = Domain::Scene;

    fn signals(&self, context: &Context<'_>, _given: &Signal) -> Result<Signals, OpError> {
        let encoding = resolve(Self::ID, self.encoding.as_deref(), self.ei, self.primaries.as_deref(), context)?;
        if encoding.reference == colour::Reference::Display {
            let reason = format!("{} is a display encoding; use `output-transform display=...` for it", encoding.name);
            return Err(OpError::Setting { operation: Self::ID, field: "encoding", reason });
        }
        Ok(Signals { needs: Signal::scene(), gives: Signal::code(&encoding) })
    }

    fn steps(&self, _context: &Context<'_>, signals: &Signals) -> Vec<Step> {
        let Signals { needs, gives } = signals;
        let mut steps: Vec<_> = primaries_step(needs, &gives.linear()).into_iter().collect();
        if !gives.curve.is_linear() {
            let encode = LightToCode::published(gives.curve.clone());
            steps.push(Step { point: encode.into(), takes: gives.linear(), gives: gives.clone() });
        }
        steps
    }

    fn range(&self) -> Option<CodeRange> {
        self.range
    }
}
