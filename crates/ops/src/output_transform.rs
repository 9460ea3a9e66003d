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
//! Rendering `bt2390` takes scene 1.0 as 100 nits on every display: the light of a display of the
//! peak `mastered`, which is fitted to the peak and the black of this one with hue kept.
//!
//! # Source
//! Rec. ITU-R BT.1886 annex 1; BT.709-6; BT.2020-2; BT.2100-2; IEC 61966-2-1; SMPTE EG 432-1 and
//! RP 431-2 (P3, gamma 2.6); ACES Output Transform 2.0, aces-core CTL, Lib.Academy.OutputTransform; Report ITU-R
//! BT.2390, 5.4.1 (`bt2390`). A mastering peak of 4000 nits unless told, and 1000 on HDR displays: common practice, no
//! source.

use colour::CodeRange;

use crate::aces_display::{AcesDisplay, AcesSettings};
use crate::aces_rendering::AcesRendering;
use crate::hlg_black::HlgBlack;
use crate::hlg_light::HlgLight;
use crate::light_to_code::LightToCode;
use crate::peak_fit::PeakFit;
use crate::{
    Context, Display, Domain, Limit, OpError, Operation, Point, Rendered, Rendering, Signal, Signals, Step, primaries_step,
    settings,
};

settings! {
    /// Which display the picture is made for.
    pub struct OutputTransform {
        /// The display: BT.1886, sRGB, Gamma2.2, P3-D65, Display-P3, BT.2020, PQ or HLG.
        display: Display = Display::Bt1886, Choice, None;
        /// Light of signal white, in nits: 100 on SDR displays, 1000 on PQ and HLG unless told, 10000 on PQ if plain. With aces-2.0 the tone scale is made for it; bt2390 fits the light to it. If plain it shapes the code of HLG, and of BT.1886 and BT.2020 with a raised black; elsewhere it only says what the signal is for.
        peak: Option<f64> = None, Scale, Nits, soft (48.0, 4000.0), hard (1.0, 10000.0), ends ("dimmer", "brighter");
        /// Light of black, in nits. Shapes the code of BT.1886, BT.2020 and HLG, and with bt2390 of every display; elsewhere it only says what the signal is for.
        black: f64 = 0.0, Scale, Nits, soft (0.0, 0.1), hard (0.0, 10.0), ends ("black", "raised black");
        /// Whether integer codes fill the whole range or the legal (video) range.
        range: Option<CodeRange> = None, Choice, None;
        /// How scene light is brought into the display's range: aces-2.0 makes a picture of it, plain keeps it as it is, for measuring, and bt2390 takes it for light of a display of a higher peak and fits it to this one.
        rendering: Rendering = Rendering::Aces2, Choice, None;
        /// The primaries that aces-2.0 keeps the picture within: BT.709, P3-D65 or BT.2020. The display's own unless told, P3-D65 on PQ and HLG.
        limit: Option<Limit> = None, Choice, None;
        /// The nits that a hundred nits of aces-2.0 are shown as: 100 unless told, or the peak where that is less; 48 in a cinema.
        hundred: Option<f64> = None, Choice, Nits, hard (1.0, 10000.0);
        /// With bt2390, the peak of the display whose light the scene stands for, in nits: 4000 unless told. All above it is held at this display's peak.
        mastered: Option<f64> = None, Choice, Nits, hard (100.0, 10000.0);
    }
}

/// The peak of mastering displays unless told, in nits.
const MASTERED_NITS: f64 = 4000.0;

impl OutputTransform {
    /// Light of signal white, in nits.
    pub fn peak_nits(&self) -> f64 {
        self.peak.unwrap_or_else(|| self.display.usual_peak_nits(self.rendering))
    }

    fn aces(&self) -> AcesSettings {
        let (peak_nits, hundred, limit) = (self.peak_nits(), self.hundred, self.limit);
        AcesSettings { operation: Self::ID, peak_nits, hundred, limit }
    }

    /// Linear light of the display by ACES 2, on its own primaries.
    fn aces_steps(&self, scene: &Signal, display: &Signal) -> Result<Vec<Step>, OpError> {
        let AcesDisplay { peak_nits, tone_peak_nits, limit, unit_nits, limited } = self.aces().for_display(display)?;
        let rendering = AcesRendering { peak_nits, tone_peak_nits, limit, unit_nits };
        let render = Step { point: rendering.into(), takes: scene.clone(), gives: limited.clone() };
        Ok([render].into_iter().chain(primaries_step(&limited, &display.linear())).collect())
    }

    fn peak_fit(&self) -> PeakFit {
        let (peak_nits, black_nits) = (self.peak_nits(), self.black);
        let [zero_nits, unit_nits] = self.display.zero_and_unit_nits(peak_nits, black_nits);
        let from_peak_nits = self.mastered.unwrap_or(MASTERED_NITS);
        PeakFit { from_peak_nits, peak_nits, black_nits, zero_nits, unit_nits }
    }
}

impl Operation for OutputTransform {
    const ID: &'static str = "output-transform";
    const VERSION: u32 = 2;
    const SUMMARY: &'static str = "makes the display's signal of light in the scene";
    const HOME: Domain = Domain::Scene;

    fn signals(&self, _context: &Context<'_>, _given: &Signal) -> Result<Signals, OpError> {
        let (peak_nits, black_nits) = (self.peak_nits(), self.black);
        if black_nits >= peak_nits {
            let reason = format!("{black_nits} nits is no black below a peak of {peak_nits} nits");
            return Err(OpError::Setting { operation: Self::ID, field: "black", reason });
        }
        let (needs, gives) = (Signal::scene(), self.display.signal(peak_nits, black_nits));
        if self.mastered.is_some() && self.rendering != Rendering::Bt2390 {
            let reason = "only bt2390 fits light of one peak to another; leave it out, or say rendering=bt2390".to_string();
            return Err(OpError::Setting { operation: Self::ID, field: "mastered", reason });
        }
        match self.rendering {
            Rendering::Aces2 => drop(self.aces_steps(&needs, &gives)?),
            Rendering::Plain | Rendering::Bt2390 => self.aces().refuse_others(None)?,
        }
        Ok(Signals { needs, gives })
    }

    fn steps(&self, _context: &Context<'_>, signals: &Signals) -> Vec<Step> {
        let Signals { needs, gives } = signals;
        let linear = gives.linear();
        let (peak_nits, black_nits) = (self.peak_nits(), self.black);
        let on_light = |point: Point| Step { point, takes: linear.clone(), gives: linear.clone() };
        let as_it_is = || primaries_step(needs, &linear).into_iter();
        let mut steps: Vec<_> = match self.rendering {
            // `signals` has refused what would fail here.
            Rendering::Aces2 => self.aces_steps(needs, gives).unwrap_or_default(),
            Rendering::Plain => as_it_is().collect(),
            Rendering::Bt2390 => as_it_is().chain([on_light(self.peak_fit().into())]).collect(),
        };
        if self.display == Display::Hlg {
            steps.push(on_light(HlgLight::carried(peak_nits, black_nits).into()));
        }
        let encode = LightToCode::exact(gives.curve.clone());
        steps.push(Step { point: encode.into(), takes: linear.clone(), gives: gives.clone() });
        if self.display == Display::Hlg {
            let lift = HlgBlack { peak_nits, black_nits };
            steps.push(Step { point: lift.into(), takes: gives.clone(), gives: gives.clone() });
        }
        steps
    }

    /// Version 1 had no other rendering than plain, and no word for it in most files.
    fn of_version(version: u32) -> Option<(Self, &'static str)> {
        let plain = Self { rendering: Rendering::Plain, ..Self::default() };
        let note = "version 1 of it knew no rendering but plain, so rendering = \"plain\" is set and its picture stays; \
                    take that out, or say rendering = \"aces-2.0\", for a picture that is made to be looked at";
        (version == 1).then_some((plain, note))
    }

    fn rendered(&self, gives: &Signal) -> Option<Rendered> {
        let limit = match self.rendering {
            Rendering::Aces2 => Limit::of(Self::ID, self.limit, gives).ok(),
            Rendering::Plain | Rendering::Bt2390 => None,
        };
        let how = match self.rendering {
            Rendering::Bt2390 => format!("bt2390, from {} nits", self.peak_fit().from_peak_nits),
            other => other.name().to_string(),
        };
        let narrower = limit.filter(|limit| !limit.primaries().same_chromaticities(&gives.primaries));
        Rendered::of(gives, how, narrower.map(|limit| limit.to_string()))
    }

    fn range(&self) -> Option<CodeRange> {
        self.range
    }
}
