//! From counts to inks.

use measure::scopes::{Counts, Region, Waveform, WaveformOf, grid_shares, waveform_shares};

use crate::draw::Ink;

/// A waveform of so many pixels across and up; as a parade with the channels side by side, each a third as wide.
pub fn waveform(scope: &Waveform, counts: &Counts, region: Region, size: [u32; 2], parade: bool) -> Vec<Ink> {
    let shares = waveform_shares(scope, counts, region, size, parade);
    let ink = |shares: [f64; 3]| match scope.of() {
        WaveformOf::Channels => Ink::together(shares),
        WaveformOf::Luma(_) => Ink::grey(shares[0]),
    };
    shares.into_iter().map(ink).collect()
}

/// A square grid of `bins` a side on a square of `side` pixels, without hue.
pub fn grid(counts: &Counts, bins: u32, side: u32, region: Region) -> Vec<Ink> {
    grid_shares(counts, bins, [side; 2], region).into_iter().map(Ink::grey).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use frame::Size;
    use measure::scopes::{Axis, STRAY, count};

    #[test]
    fn a_stray_pixel_is_seen_and_a_flat_picture_is_drawn_flat() {
        // 1000 columns into 660: some hold two of them, some one.
        let size = Size::new(1000, 40);
        let region = Region::whole(size).unwrap();
        let scope = Waveform::new(WaveformOf::Channels, Axis::signal(-0.1, 1.1, 512), 660, region);
        let mut picture = vec![[0.51, 0.51, 0.51, 1.0]; size.pixels()];
        picture[7 * 1000 + 300] = [0.9, 0.51, 0.51, 1.0];
        let counts = count(&scope, &picture, size, region, region).unwrap();
        let pixels = waveform(&scope, &counts, region, [660, 512], false);
        let row = |value: f64| 511 - scope.axis().position(value) as usize;
        let flat: Vec<u8> = pixels[row(0.51) * 660..][..660].iter().map(|ink| ink.0[1]).collect();
        assert!(flat.iter().all(|code| *code >= 250), "{flat:?}");
        let stray = pixels[row(0.9) * 660 + 300 * 660 / 1000];
        // Red alone, at the intensity of one pixel, with its neighbours.
        assert_eq!(f64::from(stray.0[0]), (STRAY * 255.0).round());
        assert!(stray.0[1] < stray.0[0] && pixels.iter().filter(|ink| **ink == stray).count() == 5);
        let parade = waveform(&scope, &counts, region, [660, 512], true);
        let of = |third: usize| parade[row(0.9) * 660 + third * 220..][..220].iter().any(|ink| *ink != Ink::BLACK);
        assert!(of(0) && !of(1) && !of(2));
    }
}
