//! Colours of a wide container that lie outside a narrower gamut.

use colour::{CodeRange, Form, Matrix, Primaries, Transfer, range};

/// How far a code may be from what it stands for: half a code of rounding and one of dither.
const CODES_OFF: f64 = 1.5;
/// The same for floats, which are taken for half floats near 1.
const FLOATS_OFF: f64 = 1e-3;

/// A gamut that colours of a wider container must keep within.
///
/// A pixel is outside where a component of its light on the narrower primaries is negative by more than rounding and
/// dither of its codes can explain; the light of HLG is taken before its opto-optical transfer, which scales all three
/// alike.
#[derive(Debug, Clone)]
pub struct Gamut {
    bits: u32,
    matrix: Matrix,
    transfer: Transfer,
    /// By code: its light, and by how much that may be off.
    light: Vec<[f32; 2]>,
}

impl Gamut {
    /// The gamut of `narrow` in codes of `bits` (8 to 16) of a container with these primaries and this transfer.
    pub fn new(container: &Primaries, transfer: &Transfer, narrow: &Primaries, bits: u32, codes: CodeRange) -> Gamut {
        let light = |code: f64| {
            let (scale, offset) = range::scale_and_offset(bits, codes);
            transfer.decode(Form::Exact, (code - offset) / scale)
        };
        let of_code = |code: u32| {
            let code = f64::from(code);
            let off = (light(code + CODES_OFF) - light(code - CODES_OFF)) / 2.0;
            [light(code) as f32, off as f32]
        };
        let light = (0..=range::largest_code(bits)).map(of_code).collect();
        let narrow_from_xyz = narrow.xyz_from_rgb().inverse().unwrap_or(Matrix::IDENTITY);
        let matrix = narrow_from_xyz * container.xyz_from_rgb();
        Gamut { bits, matrix, transfer: transfer.clone(), light }
    }

    /// Bits of its codes.
    pub(super) fn bits(&self) -> u32 {
        self.bits
    }

    /// How far outside a pixel is, as a share of its greatest component; `None` where it is inside.
    pub(super) fn excess_of_codes(&self, codes: [u16; 3]) -> Option<f32> {
        self.excess(codes.map(|code| self.light.get(usize::from(code)).copied().unwrap_or_default()))
    }

    /// As [`Gamut::excess_of_codes`] for a signal in floats.
    pub(super) fn excess_of_signal(&self, signal: [f32; 3]) -> Option<f32> {
        self.excess(signal.map(|signal| {
            let light = |signal: f64| self.transfer.decode(Form::Exact, signal);
            let signal = f64::from(signal);
            let off = (light(signal + FLOATS_OFF) - light(signal - FLOATS_OFF)) / 2.0;
            [light(signal) as f32, off as f32]
        }))
    }

    fn excess(&self, light: [[f32; 2]; 3]) -> Option<f32> {
        let beyond = self.matrix.0.iter().map(|row| {
            let sums = row.iter().zip(light).fold([0.0_f32; 2], |[value, off], (share, [light, of_light])| {
                let share = *share as f32;
                [value + share * light, off + share.abs() * of_light]
            });
            -sums[0] - sums[1]
        });
        let beyond = beyond.fold(f32::NEG_INFINITY, f32::max);
        let greatest = light.iter().map(|light| light[0]).fold(f32::MIN_POSITIVE, f32::max);
        (beyond > 0.0).then(|| beyond / greatest)
    }
}
