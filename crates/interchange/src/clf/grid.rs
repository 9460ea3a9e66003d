//! A run of a candidate that mixes channels as a 3D table, with what brings its numbers to the table and back.
//!
//! Light enters and leaves the table as `sign(x) log2(1 + |x| / D)`, D four stops below mid grey: even in stops well above D, even
//! in light around zero, and defined for negative light. Its range is what the codes of the original come to there.

use std::sync::Arc;

use colour::Lut;
use colour::lut::{Interpolation, LutKind};
use ops::MID_GREY;
use rayon::prelude::*;

use super::Node;
use super::pieces::{fine, unit_range};

/// Where the scale of light turns from even in light to even in stops: four stops below mid grey.
const DARK: f64 = MID_GREY / 16.0;

/// A place on that scale.
fn stops_from_light(light: f64) -> f64 {
    (light.abs() / DARK).ln_1p().copysign(light) / std::f64::consts::LN_2
}

fn light_from_stops(stops: f64) -> f64 {
    ((stops.abs() * std::f64::consts::LN_2).exp_m1() * DARK).copysign(stops)
}

/// A function of pixels that is to be a table.
pub struct Run<'a> {
    /// What enters and leaves.
    pub pixel: &'a (dyn Fn([f64; 3]) -> [f64; 3] + Sync),
    /// Pixels that reach it, of which the table must hold the least and the greatest number.
    pub reach: &'a [[f64; 3]],
    /// Whether light enters.
    pub from_light: bool,
    /// Whether light leaves.
    pub to_light: bool,
}

/// The nodes of a run: into the table, through it, and out of it. None where it comes to numbers that no table holds.
pub fn nodes(run: &Run, size: usize) -> Option<Vec<Node>> {
    let into = |v: f64| if run.from_light { stops_from_light(v) } else { v };
    let out_of = |v: f64| if run.from_light { light_from_stops(v) } else { v };
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for v in run.reach.iter().flatten().map(|&v| into(v)) {
        (low, high) = (low.min(v), high.max(v));
    }
    // A range of nothing is as good as any other.
    if !(low < high && high.is_finite() && low.is_finite()) {
        (low, high) = (0.0, 1.0);
    }
    let at = |index: usize| out_of(low + (high - low) * index as f64 / (size - 1) as f64);
    let entry = |index: usize| {
        let [red, green, blue] = [index % size, index / size % size, index / (size * size)];
        let shown = (run.pixel)([at(red), at(green), at(blue)]);
        shown.map(|v| f64::from(if run.to_light { stops_from_light(v) } else { v } as f32))
    };
    let entries: Vec<[f64; 3]> = (0..LutKind::ThreeD.entries(size)).into_par_iter().map(entry).collect();
    let lut = Lut::new(LutKind::ThreeD, size, [0.0; 3], [1.0; 3], entries).ok()?;
    let mut nodes = if run.from_light { fine(stops_from_light)? } else { Vec::new() };
    nodes.extend(unit_range(low, high));
    nodes.push(Node::Table(Arc::new(lut), Interpolation::Tetrahedral));
    if run.to_light {
        nodes.extend(fine(light_from_stops)?);
    }
    Some(nodes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_scale_of_light_is_even_in_stops_and_mirrored() {
        let grey = stops_from_light(MID_GREY);
        assert!((grey - 17f64.log2()).abs() < 1e-12 && (stops_from_light(-MID_GREY) + grey).abs() < 1e-12);
        assert!((stops_from_light(64.0) - stops_from_light(32.0) - 1.0).abs() < 1e-3);
        for light in [0.0, 1e-6, -0.3, 55.0] {
            assert!((light_from_stops(stops_from_light(light)) - light).abs() < 1e-12 * light.abs().max(1.0));
        }
    }

    #[test]
    fn a_function_that_is_straight_on_the_scale_is_held_by_the_smallest_table() {
        // A gain of each channel in the logarithm: a power of light.
        let pixel = |rgb: [f64; 3]| rgb.map(|v| light_from_stops(stops_from_light(v) * 0.5));
        let reach = [[-0.2; 3], [8.0; 3]];
        let run = Run { pixel: &pixel, reach: &reach, from_light: true, to_light: true };
        let nodes = nodes(&run, 2).unwrap();
        for light in [-0.15, 0.0, 0.02, 0.18, 1.0, 7.9] {
            let out = nodes.iter().fold([light; 3], |rgb, node| node.eval()(rgb))[0];
            let wanted = pixel([light; 3])[0];
            assert!((out - wanted).abs() < 1e-5 * wanted.abs().max(0.1), "{light}: {out} {wanted}");
        }
    }
}
