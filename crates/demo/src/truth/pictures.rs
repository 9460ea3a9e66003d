//! The pictures beside a frame: the scene in the same light, the scene re-lit, and what lies where.

use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use rayon::prelude::*;

use super::spot::main_part;
use crate::film::{Moment, Sensor};
use crate::set_up::Level;
use crate::trace::Part;

/// The most that a code of a map holds.
const WHOLE: u32 = 65_535;

/// The pictures of one frame.
pub struct Pictures {
    /// As exposed, ACEScg by the camera's road: no veil, no noise, not clipped.
    pub same: Frame,
    /// Lit by D65, well exposed, ACEScg.
    pub relit: Frame,
    /// Material, clipped channels, the material's share.
    pub maps: Frame,
    /// Shares of the sources, three a picture.
    pub shares: Vec<Frame>,
}

impl Pictures {
    /// The pictures of a moment whose light is known.
    pub fn of(moment: &Moment<'_>, light: &[[f32; 3]], sensor: &Sensor<'_>) -> Self {
        let (take, size) = (moment.take, moment.take.size);
        let to_working = take.encoding.aces_from_rgb();
        let same: Vec<[f32; 4]> = light
            .par_iter()
            .map(|rgb| {
                let [r, g, b] = to_working.apply(rgb.map(f64::from)).map(|value| value as f32);
                [r, g, b, 1.0]
            })
            .collect();
        let steady = vec![Level::FULL; take.colours.len()];
        let relit = moment.light(&steady, take.gain, |colours| &colours.relit);
        let relit: Vec<[f32; 4]> = relit.into_iter().map(|[r, g, b]| [r, g, b, 1.0]).collect();
        let told: Vec<(u16, u16)> = moment.map(material);
        let maps = told.iter().zip(light).map(|((id, share), light)| [*id, sensor.clipped(*light), *share]);
        let levels: Vec<f32> = moment.levels.iter().map(|level| level.level as f32).collect();
        let shares = (0..take.colours.len().div_ceil(3))
            .map(|group| codes(moment.map(|parts| shares(parts, &levels, group)).into_iter(), size))
            .collect();
        Self { same: half(&same, size), relit: half(&relit, size), maps: codes(maps, size), shares }
    }
}

fn half(pixels: &[[f32; 4]], size: Size) -> Frame {
    let layout = Layout { channels: Channels::Rgb, samples: Samples::Half, order: ByteOrder::Little };
    Frame::from_pixels(pixels, size, layout, Range::Full)
}

fn codes(pixels: impl Iterator<Item = [u16; 3]>, size: Size) -> Frame {
    let whole = WHOLE as f32;
    let pixels: Vec<[f32; 4]> =
        pixels.map(|[r, g, b]| [f32::from(r) / whole, f32::from(g) / whole, f32::from(b) / whole, 1.0]).collect();
    let layout = Layout { channels: Channels::Rgb, samples: Samples::U16, order: ByteOrder::Big };
    Frame::from_pixels(&pixels, size, layout, Range::Full)
}

/// The material that sends most of a pixel's light, and its share of it.
fn material(parts: &[Part]) -> (u16, u16) {
    let Some(main) = main_part(parts) else { return (0, 0) };
    let all: f32 = parts.iter().map(|part| part.weight).sum();
    let own: f32 = parts.iter().filter(|part| part.material == main).map(|part| part.weight).sum();
    (u16::from(main), (own / all * WHOLE as f32).round() as u16)
}

/// Sources of a set-up, at the most.
const SOURCES: usize = 8;

/// The shares of three sources. Shares are rounded in running sums, so that those of all sources add up to the whole; where
/// there is no light at all the first source has it.
fn shares(parts: &[Part], levels: &[f32], group: usize) -> [u16; 3] {
    let mut sums = [0.0_f32; SOURCES];
    for part in parts {
        let source = usize::from(part.source);
        sums[source] += part.weight * levels[source];
    }
    let all: f32 = sums.iter().sum();
    if all <= 0.0 {
        return if group == 0 { [WHOLE as u16, 0, 0] } else { [0; 3] };
    }
    // What the sources before one have, as a code; the last one ends at the whole.
    let before = |source: usize| -> u32 {
        if source >= levels.len() {
            return WHOLE;
        }
        let sum: f32 = sums[..source].iter().sum();
        ((sum / all * WHOLE as f32).round() as u32).min(WHOLE)
    };
    std::array::from_fn(|at| (before(group * 3 + at + 1) - before(group * 3 + at)) as u16)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::material::{CARD, WHITE};
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn shares_add_up(weights in proptest::collection::vec(0.0_f64..3.0, 1..8), level in 0.5_f32..1.0) {
            let parts: Vec<Part> =
                weights.iter().enumerate().map(|(source, weight)| Part::new(CARD, source, *weight)).collect();
            let levels = vec![level; weights.len()];
            let groups = weights.len().div_ceil(3);
            let told: Vec<u16> = (0..groups).flat_map(|group| shares(&parts, &levels, group)).collect();
            prop_assert_eq!(told.iter().map(|share| u32::from(*share)).sum::<u32>(), WHOLE);
            let all: f64 = weights.iter().sum();
            for (share, weight) in told.iter().zip(&weights) {
                // Two roundings of a code, and single floats.
                prop_assert!((f64::from(*share) / f64::from(WHOLE) - weight / all).abs() < 2.5e-5);
            }
        }
    }

    #[test]
    fn a_dark_pixel_has_its_first_source_and_no_material() {
        assert_eq!(shares(&[], &[1.0, 1.0], 0), [65_535, 0, 0]);
        assert_eq!(material(&[]), (0, 0));
        let parts = [Part::new(CARD, 0, 0.75), Part::new(WHITE, 1, 0.25)];
        assert_eq!(material(&parts), (CARD.index() as u16, 49_151));
    }
}
