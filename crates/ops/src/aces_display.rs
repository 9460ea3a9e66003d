//! What the ACES 2 rendering is made for, from the settings of an output or input transform.
//!
//! The transform's numbers count its reference as 100 nits. A cinema shows it as 48 nits, so a screen of 108 nits shows
//! the picture of 225. A display below 100 nits, unless told, shows the picture of 100.
//!
//! # Source
//! ACES Output Transform 2.0, aces-core CTL, Lib.Academy.OutputTransform (`referenceLuminance`); the cinema's 48 nits: SMPTE
//! RP 431-2, and OpenColorIO 2.6's transforms for 108 and 300 nits.

use colour::Primaries;
use colour::aces2::appearance::REFERENCE_NITS;

use crate::{Limit, OpError, Signal};

/// The most that the tone scale is made for, in nits.
const MOST_NITS: f64 = 10_000.0;

/// What a transform's settings say.
pub(crate) struct AcesSettings {
    pub(crate) operation: &'static str,
    pub(crate) peak_nits: f64,
    pub(crate) hundred: Option<f64>,
    pub(crate) limit: Option<Limit>,
}

/// What they come to.
pub(crate) struct AcesDisplay {
    pub(crate) peak_nits: f64,
    pub(crate) tone_peak_nits: f64,
    pub(crate) limit: Primaries,
    pub(crate) unit_nits: f64,
    /// Linear light on the limiting primaries.
    pub(crate) limited: Signal,
}

impl AcesSettings {
    /// Refuses what means nothing with another rendering.
    pub(crate) fn refuse_others(&self, peak: Option<f64>) -> Result<(), OpError> {
        let told = [("peak", peak.is_some()), ("hundred", self.hundred.is_some()), ("limit", self.limit.is_some())];
        match told.into_iter().find(|(_, told)| *told) {
            None => Ok(()),
            Some((field, _)) => {
                Err(self.refuse(field, "it belongs to aces-2.0; leave it out, or say rendering=aces-2.0".to_string()))
            }
        }
    }

    /// The rendering's numbers for a display.
    pub(crate) fn for_display(&self, display: &Signal) -> Result<AcesDisplay, OpError> {
        let peak_nits = self.peak_nits;
        let hundred = self.hundred.unwrap_or(REFERENCE_NITS.min(peak_nits));
        if hundred > peak_nits {
            let reason = format!(
                "100 nits cannot be shown as {hundred} below a peak of {peak_nits} nits; give at most the peak"
            );
            return Err(self.refuse("hundred", reason));
        }
        let tone_peak_nits = peak_nits * REFERENCE_NITS / hundred;
        if tone_peak_nits > MOST_NITS {
            let reason = format!(
                "with 100 nits shown as {hundred} the tone scale would be made for {tone_peak_nits:.0} nits, beyond the \
                 {MOST_NITS} it goes to; give a lower peak or a higher hundred="
            );
            return Err(self.refuse("peak", reason));
        }
        let limit = Limit::of(self.operation, self.limit, display)?.primaries();
        let limited = Signal { primaries: limit.clone(), ..display.linear() };
        Ok(AcesDisplay { peak_nits, tone_peak_nits, limit, unit_nits: display.unit_nits(), limited })
    }

    fn refuse(&self, field: &'static str, reason: String) -> OpError {
        OpError::Setting { operation: self.operation, field, reason }
    }
}
