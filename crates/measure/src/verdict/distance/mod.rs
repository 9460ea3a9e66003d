//! Distance from the anchor shot: by which move the anchor's picture becomes this shot's, in the units of corrections.
//!
//! Both shots are taken as they are shown, before the clamp, in light of the display on AP1 (equal RGB is D65); stops are those of
//! that light, so that a rendering with a shoulder shows fewer than the scene has. The move is, in this order:
//!
//! ```text
//! saturation   L1 = Y + saturation (L - Y)            Y: luminance on AP1
//! contrast     L2 = L1 (Y / 0.18)^(contrast - 1)
//! gains        L3 = L2 k                              k: red, green, blue
//! black        code = code(L3) + black / 1023         code: the shown signal; of scene light L^(1/2.4) stands for it
//! ```
//!
//! Stops are `log2` of the luminance that k gives to white; mired and Duv those of `k D65` less those of D65: plus is brighter,
//! warmer, greener. What the move is found from, each before the next:
//!
//! * *card*: a grey card in both shots gives k alone: stops by its luminances, mired and Duv as the difference of its own readings.
//! * *surfaces* that both shots have, two at least, each counting the same: k, and contrast where they span a stop, saturation where
//!   one has colour, black where one is five stops under mid grey. Least squares of 10-bit codes.
//! * *statistics*: the rest, by the same least squares over 36 mean colours of the whole picture: nine parts by rank of luminance, each
//!   halved by rank of `log R/G`, then of `log B/G`. Ranks stay whatever k and contrast are, so the parts of a moved picture are the
//!   moved parts. Pictures of different things differ in them as well: that evidence is weak, and is named.
//!
//! A black that no dark surface tells is not taken off the card or the surfaces, since a guess must not spoil a reading. `rest` is
//! the mean Delta E 2000 (ITP) that is left between the moved anchor and the shot, over surfaces, else over the picture's parts. The size
//! of a distance, for sorting, is `sqrt((stops/.1)^2 + (mired/5)^2 + (Duv/.001)^2 + (black/4)^2)`.
//!
//! # Source
//! CIE 15:2018 for mired and Duv. The move, its order and the divisors are choices of this house.

mod fit;
mod tones;

use colour::locus::mired_from_kelvin;
use colour::primaries::D65;
use ops::MID_GREY;

use super::{difference, same};
use crate::Tap;
use crate::readings::{Tristimulus, WhiteShift};
use crate::scopes::DARKEST;
use fit::{Free, Pair};

pub use fit::Move;
pub use tones::{LEAST_PIXELS, tones};

/// Least distance of the lightest and the darkest surface, in stops, that tells contrast.
const SPAN_STOPS: f64 = 1.0;
/// Least colour of a surface, as the greatest channel's distance from luminance over luminance, that tells saturation.
const LEAST_COLOUR: f64 = 0.1;

/// The colours of a shot that another shot may have too, in CIE XYZ as it is shown, mean light each.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Colours {
    /// A grey card.
    pub card: Option<[f64; 3]>,
    /// Surfaces by name.
    pub surfaces: Vec<(String, [f64; 3])>,
    /// Parts of the whole picture, by [`tones`]; none for a picture with too few pixels.
    pub tones: Option<Vec<[f64; 3]>>,
}

/// What a figure stands on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Evidence {
    /// A grey card in both shots.
    Card,
    /// Surfaces that both shots have.
    Surfaces,
    /// Statistics of the whole pictures.
    Statistics,
    /// Nothing: the figure is that of no move.
    Nothing,
}

impl Evidence {
    /// One word.
    pub fn name(self) -> &'static str {
        match self {
            Evidence::Card => "card",
            Evidence::Surfaces => "surfaces",
            Evidence::Statistics => "statistics",
            Evidence::Nothing => "nothing",
        }
    }
}

/// How far a shot is from the anchor shot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Distance {
    /// Stops of the display's light: plus is brighter than the anchor.
    pub stops: f64,
    /// Mired and Duv; none where the card's colour, or white under the gains, has no colour temperature.
    pub white: Option<WhiteShift>,
    /// 10-bit codes by which black is raised.
    pub black_codes: f64,
    /// Stops a stop: above 1 is more contrast than the anchor.
    pub contrast: f64,
    /// A factor: above 1 is more colourful than the anchor.
    pub saturation: f64,
    /// Mean colour difference that the move leaves; none where only a card is known.
    pub rest: Option<f64>,
    /// What stops, mired and Duv stand on.
    pub light_by: Evidence,
    /// What black stands on.
    pub black_by: Evidence,
    /// What contrast stands on.
    pub contrast_by: Evidence,
    /// What saturation stands on.
    pub saturation_by: Evidence,
    /// Delta E between mid grey, or the card, here and in the anchor.
    pub grey_delta_e: f64,
}

/// What a distance's components are divided by before they are added up: what of each counts as much as what of another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Divisors {
    /// In stops.
    pub stops: f64,
    /// In mired.
    pub mired: f64,
    /// In Duv.
    pub duv: f64,
    /// In 10-bit codes.
    pub black: f64,
}

impl Default for Divisors {
    fn default() -> Divisors {
        Divisors { stops: 0.1, mired: 5.0, duv: 0.001, black: 4.0 }
    }
}

impl Distance {
    /// The size for sorting; none without a white.
    pub fn size(&self, by: &Divisors) -> Option<f64> {
        let white = self.white?;
        let parts = [self.stops / by.stops, white.mired / by.mired, white.duv / by.duv, self.black_codes / by.black];
        Some(parts.iter().map(|part| part * part).sum::<f64>().sqrt())
    }

    /// Whether nobody can tell the shots' light and black apart: mid grey by less than 0.5 Delta E, black by less than two codes.
    pub fn is_same(&self) -> bool {
        same::delta_e(self.grey_delta_e) && same::codes([self.black_codes], [0.0])
    }

    /// Whether nobody can tell the contrast apart: greys two stops above and below mid grey by less than 0.5 Delta E.
    pub fn is_same_in_contrast(&self) -> bool {
        let grey =
            |stops: f64| Tristimulus { xyz: D65.to_xyz().map(|v| v * MID_GREY * stops.exp2()), white_nits: None };
        let off = |stops: f64| difference(&grey(stops), &grey(stops * self.contrast));
        self.contrast_by != Evidence::Nothing && [-2.0, 2.0].into_iter().all(|stops| same::delta_e(off(stops)))
    }
}

/// How far a shot is from the anchor, both shown at the same kind of tap. None where the two have nothing in common to go by.
pub fn distance(shown: &Tap, anchor: &Colours, shot: &Colours) -> Option<Distance> {
    let space = fit::Space::of(shown)?;
    let pair = |(from, to): (&[f64; 3], &[f64; 3])| Pair { from: *from, to: *to };
    let tones: Vec<Pair> = match (&anchor.tones, &shot.tones) {
        (Some(from), Some(to)) => from.iter().zip(to).map(pair).collect(),
        _ => Vec::new(),
    };
    let named = |(name, from): &(String, [f64; 3])| {
        let (_, to) = shot.surfaces.iter().find(|(other, _)| other == name)?;
        Some(Pair { from: *from, to: *to })
    };
    let surfaces: Vec<Pair> = anchor.surfaces.iter().filter_map(named).collect();
    let card = anchor.card.zip(shot.card).map(|(from, to)| Pair { from, to }).filter(Pair::has_light);

    // What is known, each part by the best evidence there is.
    let (mut by, mut rest) = (Move::default(), None);
    let [mut light_by, mut black_by, mut contrast_by, mut saturation_by] = [Evidence::Nothing; 4];
    if !tones.is_empty() {
        by = space.fit(&tones, Free::ALL);
        rest = Some(space.rest(&tones, &by, shown));
        [light_by, black_by, contrast_by, saturation_by] = [Evidence::Statistics; 4];
    }
    if surfaces.len() >= 2 {
        let free = told_by(&surfaces);
        // What surfaces do not tell stays out of their move: a guess must not spoil a reading.
        let own = space.fit(&surfaces, free);
        rest = Some(space.rest(&surfaces, &own, shown));
        (by.gains, light_by) = (own.gains, Evidence::Surfaces);
        if free.black {
            (by.black, black_by) = (own.black, Evidence::Surfaces);
        }
        if free.contrast {
            (by.contrast, contrast_by) = (own.contrast, Evidence::Surfaces);
        }
        if free.saturation {
            (by.saturation, saturation_by) = (own.saturation, Evidence::Surfaces);
        }
    }
    // Of mid grey where no card is known.
    let grey = Pair { from: D65.to_xyz().map(|v| v * MID_GREY), to: space.xyz_moved(&by, MID_GREY) };
    let grey = match card {
        Some(card) => {
            light_by = Evidence::Card;
            let black = if black_by == Evidence::Surfaces { by.black } else { 0.0 };
            Pair { to: space.without_black(card.to, black), ..card }
        }
        None => grey,
    };
    let colour = |xyz| Tristimulus { xyz, white_nits: shown.white_nits() };
    let white = || {
        let ((from, from_duv), (to, to_duv)) = (colour(grey.from).cct_duv()?, colour(grey.to).cct_duv()?);
        Some(WhiteShift { mired: mired_from_kelvin(to) - mired_from_kelvin(from), duv: to_duv - from_duv })
    };
    (light_by != Evidence::Nothing).then(|| Distance {
        stops: (grey.to[1] / grey.from[1]).log2(),
        white: white(),
        black_codes: by.black,
        contrast: by.contrast,
        saturation: by.saturation,
        rest,
        light_by,
        black_by,
        contrast_by,
        saturation_by,
        grey_delta_e: difference(&colour(grey.from), &colour(grey.to)),
    })
}

/// What surfaces tell of a move.
fn told_by(surfaces: &[Pair]) -> Free {
    let levels = || surfaces.iter().map(|pair| pair.from[1]).filter(|y| *y > 0.0);
    let (low, high) = (levels().fold(f64::INFINITY, f64::min), levels().fold(0.0, f64::max));
    let has_colour = |pair: &Pair| {
        let [r, g, b] = fit::ap1(pair.from);
        let y = pair.from[1];
        y > 0.0 && [r, g, b].iter().any(|v| (v / y - 1.0).abs() > LEAST_COLOUR)
    };
    Free {
        black: low < DARKEST,
        contrast: (high / low).log2() >= SPAN_STOPS,
        saturation: surfaces.iter().any(has_colour),
    }
}

#[cfg(test)]
mod tests;
