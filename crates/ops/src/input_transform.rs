//! Input transform: a camera's code values become linear scene light on AP1.
//!
//! Decodes by the encoding's published curve, then changes primaries and white by the adaptation
//! that the maker's official transform uses. Clamps where the published decoder clamps. The inverse
//! is `encode` with the same encoding.
//!
//! # Source
//! Each encoding's own document; ACES white and AP1: Academy S-2014-004.

use colour::{CodeRange, Encoding, Primaries};

use crate::code_to_light::CodeToLight;
use crate::{Context, Domain, OpError, Operation, Signal, Signals, Step, primaries_step, settings};

settings! {
    /// Which encoding the file holds.
    pub struct InputTransform {
        /// The camera encoding of the file, by name; the shot's own unless told.
        encoding: Option<String> = None, Name, None;
        /// Exposure index, where the encoding has one (LogC3).
        ei: Option<u32> = None, Choice, None, hard (50.0, 25600.0);
        /// Primaries instead of the encoding's own, by name.
        primaries: Option<String> = None, Name, None;
        /// Whether the file's integer codes fill the whole range or the legal (video) range.
        range: Option<CodeRange> = None, Choice, None;
    }
}

/// The encoding that a pair of settings names, or the shot's own.
pub(crate) fn resolve(
    operation: &'static str,
    name: Option<&str>,
    ei: Option<u32>,
    primaries: Option<&str>,
    context: &Context<'_>,
) -> Result<Encoding, OpError> {
    let encoding = match (name, context.camera) {
        (Some(name), _) => context.book.find(name, ei).map_err(|source| OpError::Encoding { operation, source })?,
        (None, Some(camera)) if ei.is_some() && ei != camera.exposure_index => {
            context.book.find(&camera.name, ei).map_err(|source| OpError::Encoding { operation, source })?
        }
        (None, Some(camera)) => camera.clone(),
        (None, None) => return Err(OpError::EncodingUnknown { operation }),
    };
    match primaries {
        None => Ok(encoding),
        Some(name) => match Primaries::named(name) {
            Some(primaries) => Ok(encoding.with_primaries(primaries)),
            None => {
                let reason = format!("'{name}' is not known; there are {}", Primaries::names().join(", "));
                Err(OpError::Setting { operation, field: "primaries", reason })
            }
        },
    }
}

impl InputTransform {
    /// The encoding it reads.
    ///
    /// # Errors
    /// No encoding told or known, an unknown name, primaries or exposure index.
    pub fn encoding(&self, context: &Context<'_>) -> Result<Encoding, OpError> {
        resolve(Self::ID, self.encoding.as_deref(), self.ei, self.primaries.as_deref(), context)
    }
}

impl Operation for InputTransform {
    const ID: &'static str = "input-transform";
    const VERSION: u32 = 1;
    const SUMMARY: &'static str = "reads the camera's code as light in the scene";
    const HOME: Domain = Domain::AsGiven;

    fn signals(&self, context: &Context<'_>, _given: &Signal) -> Result<Signals, OpError> {
        let encoding = self.encoding(context)?;
        Ok(Signals { needs: Signal::code(&encoding), gives: Signal::scene() })
    }

    fn steps(&self, _context: &Context<'_>, signals: &Signals) -> Vec<Step> {
        let Signals { needs, gives } = signals;
        let mut steps = Vec::new();
        if !needs.curve.is_linear() {
            let decode = CodeToLight::published(needs.curve.clone());
            steps.push(Step { point: decode.into(), takes: needs.clone(), gives: needs.linear() });
        }
        steps.extend(primaries_step(&needs.linear(), gives));
        steps
    }

    fn range(&self) -> Option<CodeRange> {
        self.range
    }
}
