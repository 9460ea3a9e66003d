//! Input transform: a camera's code values become linear scene light on AP1.
//!
//! Decodes by the encoding's published curve, then changes primaries and white by the adaptation
//! that the maker's official transform uses. Clamps where the published decoder clamps. The inverse
//! is `encode` with the same encoding.
//!
//! With `rendering=aces-2.0` the encoding is a display's, and the code is that of a finished picture: the scene light is
//! found that `output-transform` with the same rendering, peak and limit shows as this picture. Black is 0 nits there.
//!
//! # Source
//! Each encoding's own document; ACES white and AP1: Academy S-2014-004.

use colour::{CodeRange, Encoding, Primaries, Transfer};

use crate::aces_display::{AcesDisplay, AcesSettings};
use crate::aces_scene::AcesScene;
use crate::code_to_light::CodeToLight;
use crate::hlg_light::HlgLight;
use crate::{
    Context, Domain, Limit, OpError, Operation, Reference, Rendering, Signal, Signals, Step, primaries_step, settings,
};

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
        /// Which rendering made the file, if it is a finished picture: aces-2.0 is undone, plain is none.
        rendering: Rendering = Rendering::Plain, Choice, None;
        /// With aces-2.0, light of the white of the display that the file was made for, in nits: 100, or 1000 for PQ and HLG, unless told.
        peak: Option<f64> = None, Choice, Nits, hard (1.0, 10000.0);
        /// With aces-2.0, the primaries that the file's picture was kept within: BT.709, P3-D65 or BT.2020. The display's own unless told, P3-D65 for PQ and HLG.
        limit: Option<Limit> = None, Choice, None;
        /// With aces-2.0, the nits that a hundred nits of it were shown as: 100 unless told, or the peak where that is less; 48 in a cinema.
        hundred: Option<f64> = None, Choice, Nits, hard (1.0, 10000.0);
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

    fn aces(&self, peak_nits: f64) -> AcesSettings {
        AcesSettings { operation: Self::ID, peak_nits, hundred: self.hundred, limit: self.limit }
    }

    /// The way back from a finished picture's linear light to the scene.
    fn aces_steps(&self, code: &Signal, scene: &Signal) -> Result<Vec<Step>, OpError> {
        let hlg = code.curve.transfer == Transfer::Hlg;
        let nits = hlg || code.curve.transfer == Transfer::Pq;
        if code.reference == Reference::Scene && !hlg {
            let reason =
                format!("{code} is no display's picture; aces-2.0 is undone for encodings such as BT.1886, sRGB or PQ");
            return Err(OpError::Setting { operation: Self::ID, field: "rendering", reason });
        }
        let peak_nits = self.peak.unwrap_or(if nits { 1000.0 } else { 100.0 });
        let display = Signal { reference: Reference::Display { peak_nits, black_nits: 0.0 }, ..code.clone() };
        let AcesDisplay { peak_nits, tone_peak_nits, limit, unit_nits, limited } =
            self.aces(peak_nits).for_display(&display)?;
        let linear = display.linear();
        let mut steps = Vec::new();
        if hlg {
            steps.push(Step { point: HlgLight::shown(peak_nits).into(), takes: linear.clone(), gives: linear.clone() });
        }
        steps.extend(primaries_step(&linear, &limited));
        let undo = AcesScene { peak_nits, tone_peak_nits, limit, unit_nits };
        steps.push(Step { point: undo.into(), takes: limited, gives: scene.clone() });
        Ok(steps)
    }
}

impl Operation for InputTransform {
    const ID: &'static str = "input-transform";
    const VERSION: u32 = 1;
    const SUMMARY: &'static str = "reads the camera's code as light in the scene";
    const HOME: Domain = Domain::AsGiven;

    fn signals(&self, context: &Context<'_>, _given: &Signal) -> Result<Signals, OpError> {
        let encoding = self.encoding(context)?;
        let (needs, gives) = (Signal::code(&encoding), Signal::scene());
        match self.rendering {
            Rendering::Aces2 => drop(self.aces_steps(&needs, &gives)?),
            Rendering::Bt2390 => {
                let reason = "bt2390 is not undone; aces-2.0 and plain are".to_string();
                return Err(OpError::Setting { operation: Self::ID, field: "rendering", reason });
            }
            Rendering::Plain => self.aces(0.0).refuse_others(self.peak)?,
        }
        Ok(Signals { needs, gives })
    }

    fn steps(&self, _context: &Context<'_>, signals: &Signals) -> Vec<Step> {
        let Signals { needs, gives } = signals;
        let mut steps = Vec::new();
        if !needs.curve.is_linear() {
            let decode = CodeToLight::published(needs.curve.clone());
            steps.push(Step { point: decode.into(), takes: needs.clone(), gives: needs.linear() });
        }
        steps.extend(match self.rendering {
            // `signals` has refused what would fail here.
            Rendering::Aces2 => self.aces_steps(needs, gives).unwrap_or_default(),
            Rendering::Plain | Rendering::Bt2390 => primaries_step(&needs.linear(), gives).into_iter().collect(),
        });
        steps
    }

    fn range(&self) -> Option<CodeRange> {
        self.range
    }
}
