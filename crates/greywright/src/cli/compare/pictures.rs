//! The pictures of a report: what each candidate shows, how far that is from the yardstick, its greys and its hues.

use colour::primaries::BT709;
use colour::uniform::xyz_from_oklab;
use colour::{Form, Matrix, Transfer};
use measure::verdict::{STOPS, TEN_BIT, difference};
use ops::white_balance::xyz_with_d65;
use session::verdict::Measured;
use session::verdict::shown::Small;

use crate::cli::failure::Failure;
use crate::draw::{Align, Area, Canvas, Drawn, Ink, Plot, SMALL, Scale, Stroke, line_height};

/// The Delta E that difference maps end at.
const MOST: f64 = 10.0;
/// Figures along the key of difference maps; the first is where two colours stop being the same.
const KEY: [f64; 5] = [0.5, 1.0, 2.0, 5.0, MOST];
/// Columns and rows of a plot.
const PLOT: [u32; 2] = [470, 290];
/// Degrees of hue of difference maps in Oklab: a blue, the hue whose lightness runs farthest.
const HUE: f64 = 255.0;

/// The picture as light in sRGB.
pub fn picture(row: &Measured) -> Result<Vec<u8>, Failure> {
    let srgb = srgb_from_xyz();
    let code = |light: f64| (Transfer::Srgb.encode(Form::Exact, light.clamp(0.0, 1.0)) * 255.0).round() as u8;
    let pixels: Vec<Ink> = row.small.xyz.iter().map(|xyz| Ink(srgb.apply(*xyz).map(code))).collect();
    let [width, height] = row.small.size;
    let mut canvas = Canvas::new(width, height, Ink::BLACK)?;
    canvas.image([0, 0], width, &pixels);
    canvas.png()
}

/// How far the picture is from another one, with its key; none where sizes differ.
pub fn map(own: &Small, other: &Small) -> Result<Option<Vec<u8>>, Failure> {
    if own.size != other.size {
        return Ok(None);
    }
    let pixels: Vec<Ink> = own.colours().zip(other.colours()).map(|(a, b)| shade(difference(&a, &b))).collect();
    let [width, height] = own.size;
    let foot = line_height(SMALL) + 22.0;
    let mut canvas = Canvas::new(width, height + foot as u32, Ink::GROUND)?;
    canvas.image([0, 0], width, &pixels);
    let top = height as f32 + 6.0;
    for column in 0..width {
        let share = f64::from(column) / f64::from(width.max(2) - 1);
        canvas.fill(Area::new(column as f32, top, 1.0, 10.0), shade(share * share * MOST));
    }
    for delta_e in KEY {
        let x = (share(delta_e) * f64::from(width - 1)) as f32;
        let align = if delta_e < MOST { Align::Middle } else { Align::Right };
        let words = if delta_e < MOST { format!("{delta_e}") } else { format!("Delta E {delta_e} and above") };
        canvas.text([x, top + 10.0 + line_height(SMALL) - 2.0], &words, SMALL, Ink::LABEL, align);
    }
    Ok(Some(canvas.png()?))
}

/// Where a difference lies between nothing and the most: by its root, so that small ones are told apart.
fn share(delta_e: f64) -> f64 {
    (delta_e / MOST).clamp(0.0, 1.0).sqrt()
}

/// One hue from black to light. What is the same is black.
fn shade(delta_e: f64) -> Ink {
    if delta_e < measure::verdict::same::DELTA_E {
        return Ink::BLACK;
    }
    let share = share(delta_e);
    let (sin, cos) = HUE.to_radians().sin_cos();
    // Little chroma at both ends, where sRGB has none.
    let chroma = 0.12 * (1.0 - (2.0 * share - 1.0).powi(4));
    let xyz = xyz_from_oklab([0.15 + 0.8 * share, chroma * cos, chroma * sin]);
    let code = |light: f64| (Transfer::Srgb.encode(Form::Exact, light.clamp(0.0, 1.0)) * 255.0).round() as u8;
    Ink(srgb_from_xyz().apply(xyz).map(code))
}

fn srgb_from_xyz() -> Matrix {
    // The matrix of real primaries has an inverse.
    xyz_with_d65(&BT709).inverse().unwrap_or(Matrix::IDENTITY)
}

/// The largest scale of grey plots, in 10-bit codes: a line that leaves it is far enough off.
const SCALE: f64 = 100.0;

/// The most that grey's channels part from their mean anywhere in these rows, in 10-bit codes: one scale for all plots.
pub fn most_apart<'a>(rows: impl Iterator<Item = &'a Measured>) -> f64 {
    let parts =
        rows.filter_map(|row| row.drift.as_ref()).flat_map(|drift| &drift.points).filter(|point| point.occupied);
    parts.flat_map(|point| apart(point.signal)).fold(5.0, |most, v| f64::max(most, v.abs())).min(SCALE)
}

fn apart(signal: [f64; 3]) -> [f64; 3] {
    let mean = signal.iter().sum::<f64>() / 3.0;
    signal.map(|v| TEN_BIT * (v - mean))
}

/// Red, green and blue of grey less their mean, over stops; none where no grey is known.
pub fn greys(row: &Measured, occupied: [f64; 2], most: f64) -> Result<Option<Vec<u8>>, Failure> {
    let Some(drift) = &row.drift else { return Ok(None) };
    let across = Scale::stepped("stops from the card", STOPS[0], STOPS[STOPS.len() - 1], 1.0);
    let plot = Plot::new("Grey, channels less their mean", across, Scale::round("10-bit codes", -most, most));
    let (mut canvas, drawn) = plotted(&plot)?;
    drawn.level(&mut canvas, 0.0, Stroke::new(Ink::FRAME, 1.0));
    for end in occupied {
        drawn.upright(&mut canvas, end, Stroke::new(Ink::FRAME, 1.0).dashed(2.0, 3.0));
    }
    let strokes = [0, 1, 2].map(|at| Stroke::new(Ink::CHANNELS[at], 2.0));
    let strokes = [strokes[0], strokes[1].dashed(8.0, 3.0), strokes[2].dashed(3.0, 3.0)];
    for (channel, stroke) in strokes.iter().enumerate() {
        let value = |signal| apart(signal).get(channel).copied().unwrap_or(f64::NAN);
        let points: Vec<_> = drift.points.iter().map(|point| [point.stops, value(point.signal)]).collect();
        drawn.line(&mut canvas, &points, *stroke);
    }
    drawn.key(&mut canvas, &[(strokes[0], "red"), (strokes[1], "green"), (strokes[2], "blue")]);
    Ok(Some(canvas.png()?))
}

/// The hues of a picture beside the yardstick's; none where it has none.
pub fn hues(row: &Measured, yardstick: &Measured) -> Result<Option<Vec<u8>>, Failure> {
    let (Some(own), Some(other)) = (&row.hues, &yardstick.hues) else { return Ok(None) };
    let part = 360.0 / own.shares.len().max(1) as f64;
    let most = own.shares.iter().chain(&other.shares).fold(0.0, |most, share| f64::max(most, *share));
    let across = Scale::stepped("degrees of hue in Oklab", 0.0, 360.0, 60.0);
    let plot = Plot::new("Hues by chroma", across, Scale::round("% of all", 0.0, 110.0 * most));
    let (mut canvas, drawn) = plotted(&plot)?;
    let line = |canvas: &mut Canvas, drawn: &Drawn, shares: &[f64], stroke: Stroke| {
        let points: Vec<_> =
            shares.iter().enumerate().map(|(at, share)| [(at as f64 + 0.5) * part, 100.0 * share]).collect();
        drawn.line(canvas, &points, stroke);
    };
    let (theirs, ours) = (Stroke::new(Ink::LABEL, 1.5).dashed(4.0, 3.0), Stroke::new(Ink::MARK, 2.0));
    for surface in &row.surfaces {
        drawn.upright(&mut canvas, surface.degrees, Stroke::new(Ink::FRAME, 1.0));
    }
    if !std::ptr::eq(row, yardstick) {
        line(&mut canvas, &drawn, &other.shares, theirs);
    }
    line(&mut canvas, &drawn, &own.shares, ours);
    if std::ptr::eq(row, yardstick) {
        drawn.key(&mut canvas, &[(ours, &row.name)]);
    } else {
        drawn.key(&mut canvas, &[(ours, &row.name), (theirs, &yardstick.name)]);
    }
    Ok(Some(canvas.png()?))
}

fn plotted(plot: &Plot) -> Result<(Canvas, Drawn), Failure> {
    let [width, height] = PLOT;
    let mut canvas = Canvas::new(width, height, Ink::GROUND)?;
    let drawn = plot.draw(&mut canvas, Area::new(0.0, 0.0, width as f32, height as f32));
    Ok((canvas, drawn))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source of lightness: CIE 15:2018, by the luminance of Rec. ITU-R BT.709.
    #[test]
    fn a_larger_difference_is_lighter_and_of_the_same_hue() {
        let lightness = |Ink(codes): Ink| {
            let [r, g, b] = codes.map(|code| Transfer::Srgb.decode(Form::Exact, f64::from(code) / 255.0));
            0.2126 * r + 0.7152 * g + 0.0722 * b
        };
        assert_eq!((shade(0.0), shade(0.49)), (Ink::BLACK, Ink::BLACK));
        let steps: Vec<f64> = (1..=20).map(|half| lightness(shade(f64::from(half) / 2.0))).collect();
        assert!(steps.windows(2).all(|pair| pair[1] > pair[0]), "{steps:?}");
        assert_eq!(shade(MOST), shade(50.0));
        let Ink([r, g, b]) = shade(2.5);
        assert!(b > g && g > r, "{r} {g} {b}");
    }
}
