//! How far the GPU may be from the proof: one judgement for every GPU test.
//!
//! Two terms must hold at every pixel. The first is the proof's own bound, [`Proof::bound`]: what f32 can
//! honestly do to this pixel in this chain. The second is the user's, from the design: half a 12-bit code
//! of signal or a millionth of the peak light, whichever is larger; on displays Delta E 2000 below 0.01.

use colour::difference::{ciede2000, cielab};
use colour::transfer::{Form, LARGEST_LIGHT};
use colour::{hlg_ootf, primaries};
use graph::Elaborated;
use ops::{Reference, Signal};
use rayon::prelude::*;
use reference::{Bound, Proof};

/// Half a code of 12 bits, in signal.
pub const HALF_CODE: f64 = 0.5 / 4095.0;

/// Of the peak light: the other user's term, for signals that are steep near black.
const OF_PEAK: f64 = 1e-6;

/// As [`OF_PEAK`] where a colour is outside the gamut, to be clipped later.
const OF_PEAK_OUTSIDE: f64 = 2e-5;

/// Of the largest channel's light: a channel below that is at the edge of the gamut, where a rendering clips.
const EDGE: f64 = 1e-4;

/// The largest colour difference that counts as none. One is just visible.
const DELTA_E: f64 = 0.01;

/// The largest share of pixels above half a code.
const SHARE_ABOVE: f64 = 1e-5;

/// How far, relative, the neighbours of a pixel are that f32 may take for it: 64 units in the last place, the
/// eight roundings a step that the proof's bound grants, over the eight steps of a chain.
const NEIGHBOURS: f64 = 64.0 / 16_777_216.0;

/// Signal that a picture can hold, with as much to spare on either side. What is farther out is no picture and
/// gets no promise in picture terms; there the proof's bound judges alone.
const PICTURE: std::ops::RangeInclusive<f64> = -1.0..=2.0;

/// Signal whose share above half a code is counted: what a display shows, but for the last of black, where a pure
/// power is steep without end and the term of light judges.
const COUNTED: std::ops::RangeInclusive<f64> = 0.02..=1.0;

/// A hundredth of the largest light that curves give. Beyond it an optimised plan, which leaves a curve and its
/// inverse out, may come past that end once less than the proof does; and single floats end soon after.
const END_OF_CURVES: f64 = LARGEST_LIGHT / 100.0;

/// What a comparison found.
#[derive(Debug, Clone, Default)]
pub struct Verdict {
    /// What was compared.
    pub case: String,
    /// Pixels compared.
    pub pixels: usize,
    /// The largest deviation as a share of the proof's bound; above one fails.
    pub worst_share: f64,
    /// The largest deviation in 12-bit codes among pixels of [`COUNTED`] signal.
    pub worst_codes: f64,
    /// The largest Delta E 2000 among display pixels within 0..1.
    pub worst_delta_e: f64,
    /// Pixels of [`COUNTED`] signal that are more than half a 12-bit code off.
    pub above_half_code: usize,
    /// Pixels next to a step of a published curve that landed on its other side.
    pub at_steps: usize,
    /// Pixels that keep the proof's bound but not the user's terms, where some may.
    pub steep: usize,
    /// Every failure, in words.
    pub failures: Vec<String>,
}

impl Verdict {
    /// Whether everything held.
    pub fn holds(&self) -> bool {
        self.failures.is_empty()
    }

    /// How tight it was, on one line.
    pub fn line(&self) -> String {
        let Self { case, worst_share, worst_codes, worst_delta_e, above_half_code, at_steps, steep, .. } = self;
        format!(
            "{worst_share:.3} of the bound, {worst_codes:.4} codes, Delta E {worst_delta_e:.5}, {above_half_code} above \
             half a code, {at_steps} at a step, {steep} steep: {case}"
        )
    }

    /// What did not hold, with pixel and both values; nothing if all held.
    pub fn failure(&self) -> Option<String> {
        let shown: Vec<_> = self.failures.iter().take(3).cloned().collect();
        let (count, pixels) = (self.failures.len(), self.pixels);
        (!self.holds()).then(|| format!("{}: {count} failures of {pixels} pixels\n{}", self.case, shown.join("\n")))
    }
}

/// A chain's answers for some pixels, to hold others against.
pub struct Standard {
    case: String,
    proof: Proof,
    original: Signal,
    signal: Signal,
    pixels: Vec<[f32; 3]>,
    bounds: Vec<Bound>,
    steep: f64,
}

impl Standard {
    /// Computes the proof's answers and bounds.
    pub fn new(case: impl Into<String>, elaborated: &Elaborated, pixels: &[[f32; 3]]) -> Self {
        let proof = Proof::new(elaborated);
        let bounds = pixels.par_iter().map(|pixel| proof.bound(pixel.map(f64::from))).collect();
        let signal = elaborated.result_signal.clone();
        Self {
            case: case.into(),
            proof,
            original: elaborated.original.clone(),
            signal,
            pixels: pixels.to_vec(),
            bounds,
            steep: 0.0,
        }
    }

    /// Lets a share of the pixels keep the proof's bound alone. For chains that nobody drew: where one brings luminance
    /// next to zero and then divides by it, or a channel next to zero beside one of a thousand, single floats cannot
    /// keep a picture's terms, and the bound says so.
    #[must_use]
    pub fn with_steep(mut self, share: f64) -> Self {
        self.steep = share;
        self
    }

    /// The proof's answer for a pixel with what f32 may do to it.
    pub fn bound(&self, pixel: usize) -> Bound {
        self.bounds[pixel]
    }

    /// Holds an answer against the proof.
    pub fn judge(&self, got: &[[f32; 3]]) -> Verdict {
        let mut verdict = Verdict { case: self.case.clone(), pixels: self.pixels.len(), ..Verdict::default() };
        if got.len() != self.pixels.len() {
            verdict.failures.push(format!("{} pixels came back of {}", got.len(), self.pixels.len()));
            return verdict;
        }
        for (at, got) in got.iter().enumerate() {
            self.pixel(at, got.map(f64::from), &mut verdict);
        }
        let may_be = |share: f64| (share * self.pixels.len() as f64).floor() as usize;
        if verdict.steep > may_be(self.steep) {
            let (count, most) = (verdict.steep, may_be(self.steep));
            verdict.failures.push(format!("{count} pixels leave the user's terms, {most} may"));
        }
        let most = may_be(SHARE_ABOVE.max(self.steep));
        if verdict.above_half_code > most {
            let count = verdict.above_half_code;
            verdict.failures.push(format!("{count} pixels are more than half a 12-bit code off, {most} may be"));
        }
        verdict
    }

    fn pixel(&self, at: usize, got: [f64; 3], verdict: &mut Verdict) {
        let (pixel, Bound { value, deviation }) = (self.pixels[at], self.bounds[at]);
        let in_a_picture = in_a_picture(&self.original, pixel.map(f64::from)) && in_a_picture(&self.signal, value);
        let mut fail = |term: String| {
            let words = format!("  {pixel:?}: proof {value:?}, got {got:?}, bound {deviation:?}: {term}");
            verdict.failures.push(words);
        };
        if got.iter().any(|channel| !channel.is_finite()) {
            return fail("not finite".to_string());
        }
        let off: [f64; 3] = std::array::from_fn(|i| (got[i] - value[i]).abs());
        let share = (0..3).map(|i| off[i] / deviation[i]).fold(0.0, f64::max);
        if share > 1.0 && value.iter().any(|channel| channel.abs() > END_OF_CURVES) {
            // What is asked there is to be as far out.
            if (0..3).any(|i| value[i].abs() > END_OF_CURVES && got[i] * value[i].signum() < 0.1 * END_OF_CURVES) {
                fail("not as far out".to_string());
            }
            return;
        }
        if share > 1.0 {
            fail(format!("the proof's bound, {share:.2} of it"));
        }
        verdict.worst_share = verdict.worst_share.max(share);
        if !in_a_picture {
            return;
        }
        let mut terms = self.users_terms(value, deviation, got);
        if (!terms.hold() || terms.codes > 0.5)
            && let Some(beyond) = self.beyond_a_step(pixel, deviation, got)
        {
            verdict.at_steps += 1;
            terms = beyond;
        }
        let Terms { codes, light, delta_e, counted } = terms;
        if !terms.hold() && self.steep > 0.0 {
            verdict.steep += 1;
        } else if !terms.hold() {
            fail(format!(
                "the user's terms, {codes:.3} 12-bit codes and {light:.2} of the light allowed, Delta E 2000 {delta_e:.4}"
            ));
        }
        verdict.worst_delta_e = verdict.worst_delta_e.max(delta_e);
        if counted {
            verdict.worst_codes = verdict.worst_codes.max(codes);
            verdict.above_half_code += usize::from(codes > 0.5);
        }
    }

    /// Some published curves step by up to a 12-bit code at their break, and no f32 can say on which side of it a
    /// number next to it lies. The terms against the proof's answer for a neighbour of the pixel, if they hold there.
    fn beyond_a_step(&self, pixel: [f32; 3], deviation: [f64; 3], got: [f64; 3]) -> Option<Terms> {
        let beside = |channel: usize, side: i32| {
            let value = f64::from(pixel[channel]);
            value + f64::from(side) * NEIGHBOURS * value.abs()
        };
        let sides = |n: i32| [n % 3 - 1, n / 3 % 3 - 1, n / 9 - 1];
        let neighbours = (0..27).map(|n| std::array::from_fn(|channel| beside(channel, sides(n)[channel])));
        neighbours
            .map(|neighbour| self.users_terms(self.proof.pixel(neighbour), deviation, got))
            .find(|terms| terms.hold() && terms.codes <= 0.5)
    }

    fn users_terms(&self, value: [f64; 3], deviation: [f64; 3], got: [f64; 3]) -> Terms {
        let curve = &self.signal.curve.transfer;
        let code = |rgb| code_of(&self.signal, rgb);
        let light = |rgb: [f64; 3]| rgb.map(|code| curve.decode(Form::Exact, code));
        let (code_value, code_got, light_value, light_got) = (code(value), code(got), light(value), light(got));
        let off = |a: [f64; 3], b: [f64; 3]| (0..3).map(|i| (a[i] - b[i]).abs()).fold(0.0, f64::max);
        let largest = light_value.iter().fold(0.0f64, |largest, channel| largest.max(channel.abs()));
        let peak = largest.max(1.0);
        // At the edge of the gamut f32 cannot know whether a colour is inside.
        let lowest: [f64; 3] = std::array::from_fn(|i| value[i] - deviation[i]);
        let inside = light(lowest).iter().all(|&channel| channel >= EDGE * largest);
        let allowed = peak * if inside { OF_PEAK } else { OF_PEAK_OUTSIDE };
        let shown = code_value.iter().all(|code| (0.0..=1.0).contains(code));
        Terms {
            codes: off(code_value, code_got) / (2.0 * HALF_CODE),
            light: off(light_value, light_got) / allowed,
            delta_e: if shown { self.delta_e(light_value, light_got) } else { 0.0 },
            counted: code_value.iter().all(|code| COUNTED.contains(code)),
        }
    }

    /// Delta E 2000 of two display lights, as the display shows them; zero where the signal is no display's.
    fn delta_e(&self, value: [f64; 3], got: [f64; 3]) -> f64 {
        let Reference::Display { peak_nits, black_nits } = self.signal.reference else { return 0.0 };
        let shown = |light: [f64; 3]| match self.signal.curve.transfer {
            colour::Transfer::Hlg => {
                hlg_ootf::nits_from_scene(light, peak_nits, black_nits).map(|nits| nits / peak_nits)
            }
            // PQ's linear one is 100 nits.
            colour::Transfer::Pq => light.map(|light| light * 100.0 / peak_nits),
            _ => light,
        };
        let to_xyz = self.signal.primaries.xyz_from_rgb();
        let lab = |light| cielab(to_xyz.apply(shown(light)), primaries::D65);
        ciede2000(lab(value), lab(got))
    }
}

impl Terms {
    fn hold(&self) -> bool {
        (self.codes <= 0.5 || self.light <= 1.0) && self.delta_e < DELTA_E
    }
}

/// How well a pixel keeps the user's terms.
struct Terms {
    /// The largest channel's deviation in 12-bit codes.
    codes: f64,
    /// The largest channel's deviation as a share of the light allowed.
    light: f64,
    /// Delta E 2000 on a display.
    delta_e: f64,
    /// Whether its signal lies within [`COUNTED`].
    counted: bool,
}

/// A pixel in signal. Linear light has no code of its own; it is counted in ACEScct's.
fn code_of(signal: &Signal, rgb: [f64; 3]) -> [f64; 3] {
    if !signal.curve.is_linear() {
        return rgb;
    }
    let log = Signal::log().curve.transfer;
    rgb.map(|light| log.encode(Form::Exact, light))
}

fn in_a_picture(signal: &Signal, rgb: [f64; 3]) -> bool {
    code_of(signal, rgb).iter().all(|code| PICTURE.contains(code))
}
