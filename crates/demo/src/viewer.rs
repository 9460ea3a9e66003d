//! A quick look at a shot while it is built: traced, balanced to its first source, and roughly brought to a screen.

use colour::{Adaptation, primaries};
use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use rayon::prelude::*;

use crate::palette::{white, xyz_palette};
use crate::set_up::stage;
use crate::trace::Plate;

/// A picture for an sRGB screen; none for a name that is no shot. Lights that drift are shown as they begin.
pub fn picture(shot: &str, size: Size, seconds: f64, balanced: bool) -> Option<Frame> {
    let stage = stage(shot)?;
    let plate = Plate::whole(&stage.scene, &stage.view, size, seconds);
    let palettes: Vec<Vec<[f64; 3]>> = stage.sources.iter().map(|source| xyz_palette(source.light)).collect();
    let from = stage.sources.first().map_or(primaries::D65, |source| white(source.light));
    let balance = if balanced { Adaptation::Bradford.matrix(from, primaries::D65) } else { colour::Matrix::IDENTITY };
    let to_screen = primaries::BT709.rgb_from_xyz() * balance;
    let levels = (stage.levels)(seconds);
    let pixels: Vec<[f32; 4]> = (0..plate.len())
        .into_par_iter()
        .map(|at| {
            let mut xyz = [0.0; 3];
            for part in plate.pixel(at) {
                let level = levels[part.source as usize].level * f64::from(part.weight);
                for (sum, value) in xyz.iter_mut().zip(palettes[part.source as usize][part.material as usize]) {
                    *sum += level * value;
                }
            }
            // A shoulder of about the kind that renderings have: 18 % to a tenth of the screen's light.
            let [r, g, b] = to_screen.apply(xyz).map(|value| {
                let raised = value.max(0.0).powf(1.15);
                let light = raised / (raised + 1.25);
                (light.powf(1.0 / 2.4)) as f32
            });
            [r, g, b, 1.0]
        })
        .collect();
    let layout = Layout { channels: Channels::Rgb, samples: Samples::Codes(8), order: ByteOrder::Little };
    Some(Frame::from_pixels(&pixels, size, layout, Range::Full))
}
