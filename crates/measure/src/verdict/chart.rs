//! The 24-patch chart as truth: what its patches are, where they lie, and the grey that it tells.
//!
//! The chart stands upright in the picture, dark skin at the left upper corner and black at the right lower one; its place is a
//! rectangle that is cut into six by four. Of each part the middle half, both ways, is read. Grey is the sum of the scene light of
//! the four middle greys over the sum of what they reflect under D65, times 18 %.
//!
//! # Source
//! CIE L*, a*, b* (D50, 2 degrees) of charts made after November 2014, as the maker publishes them, read in colour-science 0.4.7. Charts
//! age and older ones differ by some Delta E; a chart of one's own that was measured tells more.

use colour::primaries::D65;
use colour::{Adaptation, Xy};
use ops::{MID_GREY, Signal};

use super::{Grey, Known};
use crate::Tap;
use crate::scopes::Region;
use frame::Size;

/// The white of the figures: D50 as ICC profiles have it, in (x, y).
///
/// # Source
/// ICC.1:2022, through colour-science.
const WHITE: Xy = Xy::new(0.345_702_91, 0.358_538_6);
/// Columns and rows of patches.
const ACROSS: u32 = 6;
const DOWN: u32 = 4;
/// The greys that tell the light: neither white, which may clip, nor black, which noise and flare reach.
const GREYS: std::ops::Range<usize> = 19..23;
/// The grey nearest to 18 %.
pub const NEUTRAL_5: usize = 21;

/// The patches row by row: name, and L*, a*, b* under D50.
pub const PATCHES: [(&str, [f64; 3]); 24] = [
    ("dark skin", [37.54, 14.37, 14.92]),
    ("light skin", [64.66, 19.27, 17.5]),
    ("blue sky", [49.32, -3.82, -22.54]),
    ("foliage", [43.46, -12.74, 22.72]),
    ("blue flower", [54.94, 9.61, -24.79]),
    ("bluish green", [70.48, -32.26, -0.37]),
    ("orange", [62.73, 35.83, 56.5]),
    ("purplish blue", [39.43, 10.75, -45.17]),
    ("moderate red", [50.57, 48.64, 16.67]),
    ("purple", [30.1, 22.54, -20.87]),
    ("yellow green", [71.77, -24.13, 58.19]),
    ("orange yellow", [71.51, 18.24, 67.37]),
    ("blue", [28.37, 15.42, -49.8]),
    ("green", [54.38, -39.72, 32.27]),
    ("red", [42.43, 51.05, 28.62]),
    ("yellow", [81.8, 2.67, 80.41]),
    ("magenta", [50.63, 51.28, -14.12]),
    ("cyan", [49.57, -29.71, -28.32]),
    ("white 9.5", [95.19, -1.03, 2.93]),
    ("neutral 8", [81.29, -0.57, 0.44]),
    ("neutral 6.5", [66.89, -0.75, -0.06]),
    ("neutral 5", [50.76, -0.13, 0.14]),
    ("neutral 3.5", [35.63, -0.46, -0.48]),
    ("black 2", [20.64, 0.07, -0.46]),
];

/// CIE XYZ under D50 of L*, a*, b*; white has Y = 1.
///
/// # Source
/// CIE 15:2018, 8.2.1.
pub fn xyz_d50([l, a, b]: [f64; 3]) -> [f64; 3] {
    let y = (l + 16.0) / 116.0;
    let undo = |f: f64| if f > 24.0 / 116.0 { f.powi(3) } else { (f - 16.0 / 116.0) * 108.0 / 841.0 };
    let white = WHITE.to_xyz();
    let f = [y + a / 500.0, y, y - b / 200.0];
    [0, 1, 2].map(|i| white[i] * undo(f[i]))
}

/// Scene light on AP1 of each patch under D65, by a Bradford adaptation: what a perfect correction makes of it.
pub fn truth() -> Vec<[f64; 3]> {
    let (adapted, scene) = (Adaptation::Bradford.matrix(WHITE, D65), Tap::new(Signal::scene()));
    PATCHES.iter().filter_map(|(_, lab)| scene.light_of_xyz(adapted.apply(xyz_d50(*lab)))).collect()
}

/// Where the middle of a patch lies, by its number from 0. None where nothing of it lies in the picture.
pub fn place(chart: Region, patch: usize, size: Size) -> Option<Region> {
    let (column, row) = (patch as u32 % ACROSS, patch as u32 / ACROSS);
    // The middle half of a part, in whole pixels.
    let middle = |from: u32, length: u32, at: u32, count: u32| {
        let edge = |quarters: u32| from + length * (4 * at + quarters) / (4 * count);
        (edge(1), (edge(3) - edge(1)).max(1))
    };
    let (x, width) = middle(chart.x(), chart.width(), column, ACROSS);
    let (y, height) = middle(chart.y(), chart.height(), row, DOWN);
    Region::new(x, y, width, height, size)
}

/// The grey of a chart whose patches have this mean scene light (AP1), in order. None where its greys do not fall from white to
/// black, so that it is no chart or stands otherwise.
pub fn grey(read: &[[f64; 3]]) -> Option<Grey> {
    let scene = Tap::new(Signal::scene());
    let falls = read.get(GREYS.start - 1..)?.windows(2).all(|two| {
        let [from, to] = [two.first(), two.last()].map(|light| light.map_or(f64::NAN, |light| scene.xyz(*light)[1]));
        from > to && to > 0.0
    });
    let sum = |of: &[[f64; 3]]| of.iter().fold([0.0; 3], |sum, light| [0, 1, 2].map(|i| sum[i] + light[i]));
    let (found, known) = (sum(read.get(GREYS)?), sum(truth().get(GREYS)?));
    let grey = Grey::of_card([0, 1, 2].map(|i| MID_GREY * found[i] / known[i]), Known::Chart)?;
    (falls && read.len() == PATCHES.len()).then_some(grey)
}

/// The numbers of the patches that [`grey`] stands on.
pub fn greys() -> std::ops::Range<usize> {
    GREYS
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: colour-science 0.4.7, Bradford from D50 to the white of ACES: linear ACEScg of some patches.
    #[test]
    fn patches_have_the_light_that_the_library_gives_them() {
        let truth = truth();
        for (patch, want) in [
            (0, [0.135_748_322, 0.085_090_025, 0.058_180_940]),
            (11, [0.595_237_024, 0.382_309_779, 0.072_871_628]),
            (17, [0.070_287_117, 0.216_114_495, 0.352_768_838]),
            (21, [0.190_354_049, 0.190_782_515, 0.189_920_881]),
        ] {
            for (got, want) in truth[patch].iter().zip(want) {
                // Two Bradford steps through D65 in place of one, and the library's matrices of seven digits.
                assert!((got - want).abs() < 3e-5, "{}: {:?} {want}", PATCHES[patch].0, truth[patch]);
            }
        }
    }

    #[test]
    fn a_chart_under_a_warm_light_tells_it_and_one_upside_down_does_not() {
        let light = [1.3, 0.95, 0.5];
        let read: Vec<[f64; 3]> = truth().iter().map(|patch| [0, 1, 2].map(|i| 0.7 * light[i] * patch[i])).collect();
        let grey = grey(&read).unwrap();
        for (got, want) in grey.scene(0.0).into_iter().zip(light) {
            assert!((got - 0.18 * 0.7 * want).abs() < 1e-12);
        }
        assert_eq!(grey.known, Known::Chart);
        let turned: Vec<[f64; 3]> = read.iter().rev().copied().collect();
        assert_eq!((super::grey(&turned), super::grey(&read[..23])), (None, None));
    }

    #[test]
    fn middles_of_patches_lie_in_their_own_part() {
        let size = Size::new(100, 60);
        let chart = Region::new(10, 10, 60, 40, size).unwrap();
        let first = place(chart, 0, size).unwrap();
        assert_eq!([first.x(), first.y(), first.width(), first.height()], [12, 12, 5, 5]);
        let last = place(chart, 23, size).unwrap();
        assert_eq!([last.x(), last.y()], [62, 42]);
        assert!(place(Region::new(0, 0, 3, 2, size).unwrap(), 23, size).is_some());
    }
}
