//! What dither must be: no error on average, the same variance at every level, channels and frames for themselves,
//! nothing at the ends, and blue noise blue.
//!
//! Source of the figures: Lipshitz, Wannamaker, Vanderkooy 1992: with triangular noise of two steps' width the first two
//! moments of the whole error do not depend on the value; they are 0 and 1/4 of a step squared.

use frame::{ByteOrder, Channels, Dither, Frame, Layout, Range, Samples, Size};

const BOTH: [Dither; 2] = [Dither::Triangular, Dither::BlueNoise];
const EIGHT: Layout = Layout::new(Channels::Rgb, Samples::Codes(8), ByteOrder::Little);
const SIZE: Size = Size::new(256, 256);

/// The codes of a frame of 16-bit words, `channels` a pixel.
fn codes(frame: &Frame) -> Vec<f64> {
    let words = frame.bytes().as_chunks::<2>().0.iter();
    words.map(|bytes| f64::from(u16::from_le_bytes(*bytes))).collect()
}

/// An even field of so many codes of 8 bits, dithered, less that value: the error of each sample of one channel.
fn errors(dither: Dither, value: f64, channel: usize, number: i64) -> Vec<f64> {
    let signal = (value / 255.0) as f32;
    let pixels = vec![[signal, signal, signal, 1.0]; SIZE.pixels()];
    let frame = Frame::from_pixels_dithered(&pixels, SIZE, EIGHT, Range::Full, dither, number);
    codes(&frame).iter().skip(channel).step_by(3).map(|code| code - value).collect()
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

fn covariance(a: &[f64], b: &[f64]) -> f64 {
    let (mean_a, mean_b) = (mean(a), mean(b));
    a.iter().zip(b).map(|(a, b)| (a - mean_a) * (b - mean_b)).sum::<f64>() / a.len() as f64
}

/// Steps of a tenth of a code, which rounding alone would make two bands of, keep their places on average; and the error
/// is as large at each of them. The bounds are five times what chance leaves of 65536 samples.
#[test]
fn mean_and_variance_are_the_same_at_every_level() {
    for dither in BOTH {
        for tenth in 0..=20 {
            let errors = errors(dither, 117.0 + f64::from(tenth) / 10.0, tenth as usize % 3, 1001);
            let (mean, variance) = (mean(&errors), covariance(&errors, &errors));
            assert!(mean.abs() < 0.01, "{dither:?} {tenth}: mean {mean}");
            assert!((variance - 0.25).abs() < 0.01, "{dither:?} {tenth}: variance {variance}");
        }
    }
}

/// Near black and white the triangular noise would be cut off; the mean holds all the way, and the ends themselves are
/// left alone. Rounding to a code within a 64th of it is the largest error of the mean that is meant.
#[test]
fn ends_are_kept_and_the_mean_beside_them() {
    for dither in BOTH {
        for end in [0.0, 255.0] {
            assert!(errors(dither, end, 0, 7).iter().all(|error| *error == 0.0), "{dither:?} at {end}");
            for away in [0.01, 0.05, 0.2, 0.4, 0.5, 0.6, 1.0, 1.4] {
                let value: f64 = if end == 0.0 { away } else { end - away };
                let mean = mean(&errors(dither, value, 1, 7));
                assert!(mean.abs() < 1.0 / 64.0, "{dither:?} at {value}: mean {mean}");
            }
        }
        for beyond in [-0.2, 1.2, f32::NAN] {
            let pixels = vec![[beyond, beyond, beyond, 1.0]; SIZE.pixels()];
            let dithered = Frame::from_pixels_dithered(&pixels, SIZE, EIGHT, Range::Full, dither, 0);
            assert_eq!(dithered, Frame::from_pixels(&pixels, SIZE, EIGHT, Range::Full), "{dither:?}: {beyond}");
        }
    }
}

/// Legal range: black and white are codes inside, and stay; what lies around them is dithered on both sides.
#[test]
fn legal_black_and_white_are_kept() {
    let ten = Layout::new(Channels::Rgb, Samples::Codes(10), ByteOrder::Little);
    for (dither, bits) in BOTH.into_iter().flat_map(|dither| [8, 10, 12, 16].map(|bits| (dither, bits))) {
        let layout = Layout { samples: Samples::Codes(bits), ..ten };
        for signal in [0.0, 1.0] {
            let pixels = vec![[signal, signal, signal, 1.0]; SIZE.pixels()];
            let dithered = Frame::from_pixels_dithered(&pixels, SIZE, layout, Range::Legal, dither, 3);
            assert_eq!(dithered, Frame::from_pixels(&pixels, SIZE, layout, Range::Legal), "{dither:?}, {bits} bits");
        }
    }
    for (dither, code) in BOTH.into_iter().flat_map(|dither| [63.3, 64.3, 939.8, 940.4].map(|code| (dither, code))) {
        let signal = ((code - 64.0) / 876.0) as f32;
        let pixels = vec![[signal, signal, signal, 1.0]; SIZE.pixels()];
        let dithered = codes(&Frame::from_pixels_dithered(&pixels, SIZE, ten, Range::Legal, dither, 3));
        assert!((mean(&dithered) - code).abs() < 0.01, "{dither:?}, {code}: {}", mean(&dithered));
    }
}

/// Correlation of the errors of two channels, two frames, and pixels next to each other; chance alone leaves 0.004.
#[test]
fn channels_and_frames_are_for_themselves() {
    for dither in BOTH {
        let error = |channel, number| errors(dither, 100.3, channel, number);
        let correlation = |a: &[f64], b: &[f64]| covariance(a, b) / (covariance(a, a) * covariance(b, b)).sqrt();
        let first = error(0, 1001);
        let others = [(1, 1001), (2, 1001), (0, 1002), (1, 1002), (2, 1000), (0, -1001)];
        for (channel, number) in others {
            let other = error(channel, number);
            assert_ne!(first, other);
            let found = correlation(&first, &other);
            assert!(found.abs() < 0.05, "{dither:?}, channel {channel} of frame {number}: {found}");
        }
        assert_eq!(first, error(0, 1001), "one frame has one noise");
        let beside = correlation(&first[1..], &first[..first.len() - 1]);
        match dither {
            Dither::Triangular => assert!(beside.abs() < 0.02, "{beside}"),
            Dither::BlueNoise => assert!(beside < -0.05, "neighbours are to differ: {beside}"),
        }
    }
}

/// The share of the noise's power below a quarter of the highest frequency a row can hold. White noise has there what the
/// area has: pi/64, 5 %.
#[test]
fn blue_noise_has_no_low_frequencies() {
    let share = |dither| low_share(&errors(dither, 100.3, 1, 5));
    let (white, blue) = (share(Dither::Triangular), share(Dither::BlueNoise));
    assert!((white - std::f64::consts::PI / 64.0).abs() < 0.01, "{white}");
    assert!(blue < white / 10.0, "{blue} of {white}");
}

/// Power at frequencies up to 1/8 a pixel over the power at all but none, by a discrete Fourier transform of a piece of 64
/// by 64.
fn low_share(errors: &[f64]) -> f64 {
    const EDGE: usize = 64;
    let average = mean(errors);
    let (mut low, mut all) = (0.0, 0.0);
    let turn = |k: usize, n: usize| (std::f64::consts::TAU * (k * n % EDGE) as f64 / EDGE as f64).sin_cos();
    for across in 0..EDGE {
        // Each row's part at this frequency, and then down the rows.
        let rows: Vec<[f64; 2]> = (0..EDGE)
            .map(|y| {
                (0..EDGE).fold([0.0, 0.0], |[re, im], x| {
                    let (sin, cos) = turn(across, x);
                    let value = errors[y * 256 + x] - average;
                    [re + value * cos, im - value * sin]
                })
            })
            .collect();
        for down in 0..EDGE {
            let [re, im] = (0..EDGE).fold([0.0, 0.0], |[re, im], y| {
                let (sin, cos) = turn(down, y);
                [re + rows[y][0] * cos + rows[y][1] * sin, im + rows[y][1] * cos - rows[y][0] * sin]
            });
            let fold = |k: usize| k.min(EDGE - k) as f64;
            let frequency = fold(across).hypot(fold(down)) / EDGE as f64;
            if frequency > 0.0 {
                all += re * re + im * im;
                low += if frequency <= 0.125 { re * re + im * im } else { 0.0 };
            }
        }
    }
    low / all
}

/// Alpha carries no noise, colour under it does; floats have no codes to be dithered to.
#[test]
fn alpha_and_floats_have_no_noise() {
    let pixels: Vec<[f32; 4]> = (0..SIZE.pixels()).map(|at| [0.4, 0.4, 0.4, (at % 256) as f32 / 255.0]).collect();
    for dither in BOTH {
        let made = |samples, channels| {
            let layout = Layout::new(channels, samples, ByteOrder::Little);
            let dithered = Frame::from_pixels_dithered(&pixels, SIZE, layout, Range::Full, dither, 1);
            (dithered, Frame::from_pixels(&pixels, SIZE, layout, Range::Full))
        };
        for samples in [Samples::Half, Samples::Float] {
            let (dithered, plain) = made(samples, Channels::Rgba);
            assert_eq!(dithered, plain);
        }
        let (dithered, plain) = made(Samples::Codes(8), Channels::Rgba);
        let (dithered, plain) = (codes(&dithered), codes(&plain));
        let differ =
            |channel: usize| (channel..plain.len()).step_by(4).filter(|at| dithered[*at] != plain[*at]).count();
        assert!(differ(0) > 10_000);
        assert_eq!(differ(3), 0);
    }
}
