//! The same for frames of floats, which have no codes but a meaning: display code or scene light.

use frame::Frame;

use super::area::{Area, Pixels};
use super::black::{self, Darkest};
use super::rows::Row;
use super::{CHANNELS, Found, Measured, Spot, Terms, excess};

/// Bits of the codes among which the black of display code is looked for.
const BITS: u32 = 16;

/// Measures a frame of floats.
pub(super) fn measured(frame: &Frame, terms: &Terms, area: Area) -> Measured {
    let pixels = Pixels::of(frame);
    let (scale, offset) = terms.range.signal_from_stored(frame.layout().samples);
    let signal = |value: f32| (f64::from(value) * scale + offset) as f32;
    let code = |value: f32| (signal(value).clamp(0.0, 1.0) * 65535.0 + 0.5) as u16;
    let mut out = Measured { area, pixels: area.pixels(), ..Measured::default() };
    let mut row = Row::new(area.width);
    let mut darkest = Darkest::new(area);
    let limits = terms.signal.filter(|_| terms.display_code).map(|limits| {
        let shares = |percents: [f64; 2]| percents.map(|percent| (percent / 100.0) as f32);
        (shares(limits.rgb), shares(limits.luma), limits.weights.map(|weight| weight as f32))
    });
    let mut flat: Option<[f32; 3]> = None;
    let mut is_flat = true;
    for y in area.y..area.y + area.height {
        for (at, rgb) in pixels.floats_in_row(area, y).enumerate() {
            let spot = || Spot { x: area.x + at as u32, y, rgb };
            let mut count = |of: fn(&mut Measured) -> &mut Found, excess: f32| {
                if excess > 0.0 {
                    of(&mut out).count(excess, spot);
                }
            };
            if rgb.iter().all(|value| value.is_finite()) {
                let signal = rgb.map(signal);
                let [least, most] = [f32::min, f32::max].map(|of| signal.iter().copied().reduce(of).unwrap_or(0.0));
                count(|out| &mut out.below_zero, -least);
                count(|out| &mut out.above_one, most - 1.0);
                if let Some((rgb, luma, weights)) = limits {
                    count(|out| &mut out.outside_signal, excess(signal, rgb, luma, weights));
                }
                if let Some(gamut) = &terms.gamut {
                    count(|out| &mut out.outside_gamut, gamut.excess_of_signal(signal).unwrap_or(0.0));
                }
            } else {
                count(|out| &mut out.not_finite, 1.0);
            }
            // Bits are compared, so that a NaN equals itself.
            is_flat &= flat.get_or_insert(rgb).map(f32::to_bits) == rgb.map(f32::to_bits);
            for (codes, value) in row.channels.iter_mut().zip(rgb) {
                if let Some(place) = codes.get_mut(at) {
                    *place = code(value);
                }
            }
        }
        darkest.add(&row, y);
    }
    out.flat = flat.filter(|_| is_flat);
    if terms.display_code {
        let in_ten = black::in_ten_bits(BITS, frame::Range::Full);
        out.black = match terms.black {
            Some(marked) => of_marked(&pixels, marked.within(frame.size()), signal),
            None => darkest.finish(&in_ten),
        };
    }
    out
}

/// The black of a marked part, in 10-bit codes of full range.
fn of_marked(pixels: &Pixels<'_>, area: Area, signal: impl Fn(f32) -> f32) -> Option<black::Black> {
    let mut sums = [0.0_f64; CHANNELS];
    let mut darkest: Option<(f32, Spot)> = None;
    for y in area.y..area.y + area.height {
        for (x, rgb) in (area.x..).zip(pixels.floats_in_row(area, y)) {
            let values = rgb.map(&signal);
            sums.iter_mut().zip(values).for_each(|(sum, value)| *sum += f64::from(value));
            let sum = values.iter().sum();
            if darkest.is_none_or(|(least, _)| sum < least) {
                darkest = Some((sum, Spot { x, y, rgb }));
            }
        }
    }
    let (_, darkest) = darkest?;
    Some(black::Black { rgb: sums.map(|sum| sum / area.pixels() as f64 * 1023.0), darkest })
}
