//! Output transform: linear scene light becomes the signal of a display.
//!
//! Rendering `aces-2.0` makes a picture of it: a tone scale for the display's peak, colours kept within
//! the primaries of `limit`, the ACES white shown as the display's; see `aces_rendering.rs`. Light that
//! the transform does not take is cut off. A finished picture comes in by `input-transform
//! rendering=aces-2.0` and leaves as it came.
//!
//! Rendering `plain` keeps every colour as it is: adapt the ACES white to D65 by Bradford, change
//! to the display's primaries, and encode by the inverse of the display's light curve. Scene 1.0 is
//! the display's peak on SDR displays, 100 nits on PQ and HLG; scene 0 is the display's black.
//! Nothing is clipped: values outside the display leave as code outside 0..1 (negatives mirrored)
//! and are clipped where a file's integers end. Identity after `input-transform encoding=BT.1886`.
//!
//! # Source
//! Rec. ITU-R BT.1886 annex 1; BT.709-6; BT.2020-2; BT.2100-2; IEC 61966-2-1; SMPTE EG 432-1 and
//! RP 431-2 (P3, gamma 2.6); ACES Output Transform 2.0, aces-core CTL, Lib.Academy.OutputTransform.

use colour::CodeRange;

use crate::aces_display::{AcesDisplay, AcesSettings};
use crate::aces_rendering::AcesRendering;
use crate::hlg_light::HlgLight;
use crate::light_to_code::LightToCode;
use crate::{
    Context, Display, Domain, Limit, OpError, Operation, Rendering, Signal, Signals, Step, primaries_step, settings,
};

settings! {
    /// Which display the picture is made for.
    pub struct OutputTransform {
        /// The display: BT.1886, sRGB, Gamma2.2, P3-D65, BT.2020, PQ or HLG.
        display: Display = Display::Bt1886, Choice, None;
        /// Light of signal white, in nits: 100 on SDR displays, 1000 on PQ and HLG unless told, 10000 on PQ if plain. With aces-2.0 the tone scale is made for it. If plain it shapes the code of HLG, and of BT.1886 and BT.2020 with a raised black; elsewhere it only says what the signal is for.
        peak: Option<f64> = None, Scale, Nits, soft (48.0, 4000.0), hard (1.0, 10000.0), ends ("dimmer", "brighter");
        /// Light of signal black, in nits. Shapes the code of BT.1886 and BT.2020; elsewhere it only says what the signal is for.
        black: f64 = 0.0, Scale, Nits, soft (0.0, 0.1), hard (0.0, 10.0), ends ("black", "raised black");
        /// Whether integer codes fill the whole range or the legal (video) range.
        range: Option<CodeRange> = None, Choice, None;
        /// How scene light is brought into the display's range: aces-2.0 makes a picture of it, plain keeps it as it is, for measuring.
        rendering: Rendering = Rendering::Plain, Choice, None;
        /// The primaries that aces-2.0 keeps the picture within: BT.709, P3-D65 or BT.2020. The display's own unless told, P3-D65 on PQ and HLG.
        limit: Option<Limit> = None, Choice, None;
        /// The nits at which aces-2.0's reference of 100 nits is shown: 100 unless told, or the peak where that is less; 48 in a cinema.
        reference: Option<f64> = None, Choice, Nits, hard (1.0, 10000.0);
    }
}

impl OutputTransform {
    /// Light of signal white, in nits.
    pub fn peak_nits(&self) -> f64 {
        self.peak.unwrap_or_else(|| self.display.usual_peak_nits(self.rendering))
    }

    fn aces(&self) -> AcesSettings {
        let (peak_nits, reference, limit) = (self.peak_nits(), self.reference, self.limit);
        AcesSettings { operation: Self::ID, peak_nits, reference, limit }
    }

    /// Linear light of the display by ACES 2, on its own primaries.
    fn aces_steps(&self, scene: &Signal, display: &Signal) -> Result<Vec<Step>, OpError> {
        let AcesDisplay { peak_nits, tone_peak_nits, limit, unit_nits, limited } = self.aces().for_display(display)?;
        let rendering = AcesRendering { peak_nits, tone_peak_nits, limit, unit_nits };
        let render = Step { point: rendering.into(), takes: scene.clone(), gives: limited.clone() };
        Ok([render].into_iter().chain(primaries_step(&limited, &display.linear())).collect())
    }
}

impl Operation for OutputTransform {
    const ID: &'static str = "output-transform";
    const VERSION: u32 = 1;
    const SUMMARY: &'static str = "makes the display's signal of light in the scene";
    const HOME: Domain = Domain::Scene;

    fn signals(&self, _context: &Context<'_>, _given: &Signal) -> Result<Signals, OpError> {
        let (peak_nits, black_nits) = (self.peak_nits(), self.black);
        if black_nits >= peak_nits {
            let reason = format!("{black_nits} nits is no black below a peak of {peak_nits} nits");
            return Err(OpError::Setting { operation: Self::ID, field: "black", reason });
        }
        let (needs, gives) = (Signal::scene(), self.display.signal(peak_nits, black_nits));
        match self.rendering {
            Rendering::Aces2 => drop(self.aces_steps(&needs, &gives)?),
            Rendering::Plain => self.aces().refuse_others(None)?,
        }
        Ok(Signals { needs, gives })
    }

    fn steps(&self, _context: &Context<'_>, signals: &Signals) -> Vec<Step> {
        let Signals { needs, gives } = signals;
        let linear = gives.linear();
        let mut steps: Vec<_> = match self.rendering {
            // `signals` has refused what would fail here.
            Rendering::Aces2 => self.aces_steps(needs, gives).unwrap_or_default(),
            Rendering::Plain => primaries_step(needs, &linear).into_iter().collect(),
        };
        if self.display == Display::Hlg {
            let light = HlgLight::carried(self.peak_nits());
            steps.push(Step { point: light.into(), takes: linear.clone(), gives: linear.clone() });
        }
        steps.push(Step { point: LightToCode::exact(gives.curve.clone()).into(), takes: linear, gives: gives.clone() });
        steps
    }

    fn range(&self) -> Option<CodeRange> {
        self.range
    }
}
