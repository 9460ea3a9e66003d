//! TIFF, PNG, JPEG and OpenEXR files that another program wrote: tests/data/frames, with their source in its README.
//!
//! Each holds 37x21 pixels of codes that a formula gives, so that what is read can be held against it.

#![expect(clippy::unwrap_used, reason = "a test may stop where it cannot go on")]

use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use frame::{Channels, Frame, Range, Samples, Size};
use media::{Note, Picture, read};

const SIZE: Size = Size::new(37, 21);

fn file(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../tests/data/frames").join(name)
}

fn opened(name: &str, samples: Samples, channels: Channels) -> Picture {
    let picture = read(&file(name)).unwrap();
    assert_eq!(picture.frame.size(), SIZE, "{name}");
    assert_eq!(picture.frame.layout().samples, samples, "{name}");
    assert_eq!(picture.frame.layout().channels, channels, "{name}");
    picture
}

/// The codes that the files were written from, before they are cut to their bits.
fn codes(x: u32, y: u32) -> [u32; 3] {
    [x * 7 + y * 3, x * 5 + y * 11 + 17, x * 13 + y + 90]
}

/// Holds each pixel against `expected`, in units of `scale` to one, within `tolerance` of them.
fn compare(name: &str, frame: &Frame, scale: f64, tolerance: f64, expected: impl Fn(u32, u32) -> [f64; 3]) {
    for (at, pixel) in frame.to_pixels(Range::Full).iter().enumerate() {
        let (x, y) = (at as u32 % SIZE.width, at as u32 / SIZE.width);
        for (found, expected) in pixel.iter().zip(expected(x, y)) {
            let found = f64::from(*found) * scale;
            assert!((found - expected).abs() <= tolerance, "{name} at {x},{y}: {found}, not {expected}");
        }
    }
}

/// A code is a whole number; single float is off by 4e-3 of one of 65535 at most.
const SAME_CODE: f64 = 5e-3;

#[test]
fn tiff_and_png_of_eight_bits() {
    for name in ["tiles_8.tif", "planar_8.tif"] {
        let picture = opened(name, Samples::Codes(8), Channels::Rgb);
        compare(name, &picture.frame, 255.0, SAME_CODE, |x, y| codes(x, y).map(|code| f64::from(code % 256)));
    }
    for name in ["grey_8.tif", "grey_8.png"] {
        let picture = opened(name, Samples::Codes(8), Channels::Rgb);
        compare(name, &picture.frame, 255.0, SAME_CODE, |x, y| [f64::from(codes(x, y)[0] % 256); 3]);
    }
}

#[test]
fn tiff_of_sixteen_bits_and_floats() {
    let picture = opened("tiles_16.tif", Samples::U16, Channels::Rgb);
    compare("tiles_16.tif", &picture.frame, 65535.0, SAME_CODE, |x, y| {
        codes(x, y).map(|code| f64::from(code * 521 % 65536))
    });
    for (name, samples) in [("half.tif", Samples::Half), ("float_planar.tif", Samples::Float)] {
        let picture = opened(name, samples, Channels::Rgb);
        // 64ths below 4 are exact in both.
        compare(name, &picture.frame, 64.0, 0.0, |x, y| codes(x, y).map(|code| f64::from(code % 256) - 100.0));
    }
}

/// Rows 0 and 1 have alpha 0 and 128 of 255; under alpha 128 a code comes back within a code and a half of
/// 8 bits, the rounding of the product over alpha and of the answer.
#[test]
fn png_alpha_of_eight_bits_is_multiplied_in() {
    let picture = opened("rgba_8.png", Samples::Codes(8), Channels::Rgba);
    for (at, pixel) in picture.frame.to_pixels(Range::Full).iter().enumerate() {
        let (x, y) = (at as u32 % SIZE.width, at as u32 / SIZE.width);
        let (alpha, tolerance) = match y {
            0 => (0.0, f64::INFINITY),
            1 => (128.0, 1.5),
            _ => (255.0, SAME_CODE),
        };
        assert!((f64::from(pixel[3]) * 255.0 - alpha).abs() < SAME_CODE);
        for (found, code) in pixel.iter().zip(codes(x, y)) {
            if y == 0 {
                assert_eq!(*found, 0.0, "nothing is left under no alpha");
            }
            let error = (f64::from(*found) * 255.0 - f64::from(code % 256)).abs();
            assert!(error <= tolerance, "at {x},{y}: {error}");
        }
    }
}

#[test]
fn openexr_of_whole_numbers_and_of_tiles() {
    let picture = opened("whole.exr", Samples::Float, Channels::Rgb);
    compare("whole.exr", &picture.frame, 1.0, 0.0, |x, y| codes(x, y).map(|code| f64::from(code * 3)));
    let picture = opened("tiles.exr", Samples::Half, Channels::Rgb);
    compare("tiles.exr", &picture.frame, 64.0, 0.0, |x, y| codes(x, y).map(|code| f64::from(code % 256) - 100.0));
}

/// JPEG loses some: the writer's own reader finds these files within 3 codes (grey) and 6 codes (colour) of
/// what they were written from.
#[test]
fn jpeg_comes_near_what_was_written() {
    let picture = opened("grey.jpg", Samples::Codes(8), Channels::Rgb);
    let row = |x: u32, y: u32| f64::from((x * 6 + y * 4) % 256);
    // Where the ramp falls from 255 to 0 the coding rings.
    let smooth =
        |x: u32, y: u32| (x / 8 * 8..x / 8 * 8 + 8).all(|x| (y / 8 * 8..y / 8 * 8 + 8).all(|y| x * 6 + y * 4 < 256));
    for (at, pixel) in picture.frame.to_pixels(Range::Full).iter().enumerate() {
        let (x, y) = (at as u32 % SIZE.width, at as u32 / SIZE.width);
        assert!(pixel[0] == pixel[1] && pixel[1] == pixel[2]);
        if smooth(x, y) {
            assert!((f64::from(pixel[0]) * 255.0 - row(x, y)).abs() <= 3.0, "at {x},{y}: {}", pixel[0] * 255.0);
        }
    }
    let picture = opened("smooth.jpg", Samples::Codes(8), Channels::Rgb);
    compare("smooth.jpg", &picture.frame, 255.0, 6.0, |x, y| {
        let (x, y) = (f64::from(x), f64::from(y));
        [x / 9.0, y / 7.0, (x + y) / 11.0].map(|angle| 128.0 + 90.0 * angle.sin())
    });
}

/// Cut short or with a byte changed anywhere: an answer or a clear error, quickly and without a panic.
#[test]
fn damaged_stills_are_answered() {
    let folder = tempfile::tempdir().unwrap();
    for name in ["tiles_8.tif", "half.tif", "rgba_8.png", "whole.exr", "tiles.exr", "smooth.jpg", "grey.jpg"] {
        let good = fs::read(file(name)).unwrap();
        let path = folder.path().join(name);
        let begun = Instant::now();
        for len in (0..good.len()).step_by(7) {
            let _ = fs::remove_file(&path);
            fs::write(&path, &good[..len]).unwrap();
            match read(&path) {
                Err(error) => assert!(error.to_string().contains(name), "{error}"),
                // What follows the picture (a PNG's trailer, a TIFF's texts) carries no pixel.
                Ok(_) => assert!(!name.ends_with("jpg") && !name.ends_with("exr"), "{name} cut at {len}"),
            }
        }
        for at in (0..good.len()).step_by(3) {
            let mut bad = good.clone();
            bad[at] ^= 0xff;
            let _ = fs::remove_file(&path);
            fs::write(&path, &bad).unwrap();
            if let Err(error) = read(&path) {
                assert!(error.to_string().contains(name), "{error}");
            }
        }
        // Over a thousand files each; one alone must take less than 2 s.
        assert!(begun.elapsed() < Duration::from_secs(60), "{name}");
    }
}

/// A PNG of one pixel with these chunks before its picture.
fn tiny_png(path: &Path, chunks: &[([u8; 4], &[u8])]) {
    let mut encoder = png::Encoder::new(fs::File::create(path).unwrap(), 1, 1);
    encoder.set_color(png::ColorType::Rgb);
    let mut writer = encoder.write_header().unwrap();
    for (kind, data) in chunks {
        writer.write_chunk(png::chunk::ChunkType(*kind), data).unwrap();
    }
    writer.write_image_data(&[1, 2, 3]).unwrap();
}

/// Source: PNG, third edition, cICP, gAMA and cHRM; names of the code points: ITU-T H.273, tables 2 and 3. The
/// chromaticities are those of BT.709, in 100000ths, white first.
#[test]
fn what_png_says_of_its_light_is_reported() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.png");
    tiny_png(&path, &[(*b"cICP", &[9, 16, 0, 1])]);
    assert_eq!(read(&path).unwrap().about.encoding_id(), Some("PQ"));
    tiny_png(&path, &[(*b"cICP", &[12, 8, 0, 1])]);
    assert_eq!(read(&path).unwrap().about.encoding_id(), Some("Linear-P3-D65"));
    tiny_png(&path, &[(*b"cICP", &[12, 13, 0, 1])]);
    let about = read(&path).unwrap().about;
    assert_eq!(about.encoding, None);
    assert!(about.warnings[0].contains("primaries 12 (P3-D65), transfer 13 (sRGB), matrix 0"), "{:?}", about.warnings);
    let white_first = [31270_u32, 32900, 64000, 33000, 30000, 60000, 15000, 6000];
    let chromaticities: Vec<u8> = white_first.iter().flat_map(|number| number.to_be_bytes()).collect();
    tiny_png(&path, &[(*b"gAMA", &45455_u32.to_be_bytes()), (*b"cHRM", &chromaticities)]);
    let about = read(&path).unwrap().about;
    assert_eq!(about.encoding, None, "both are written by programs that do not know the picture");
    assert!(about.header_says.unwrap().contains("0.45455"));
    assert_eq!(about.chromaticities, Some([[0.64, 0.33], [0.3, 0.6], [0.15, 0.06], [0.3127, 0.329]]));
}

/// `data` as a JPEG segment of that marker (ITU-T T.81, B.1.1.4), put right after the start of the picture.
fn with_segment(jpeg: &[u8], marker: u8, data: &[u8]) -> Vec<u8> {
    let len = (data.len() as u16 + 2).to_be_bytes();
    [&jpeg[..2], &[0xff, marker], &len, data, &jpeg[2..]].concat()
}

/// Sources: ICC.1:2022, annex B.4 (profiles in JPEG), section 7.3 and ICC.1:2001-04, section 6.5.17 (its name); EXIF
/// (CIPA DC-008), Orientation and Model.
#[test]
fn what_jpeg_carries_beside_its_picture() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.jpg");
    let mut plain = fs::read(file("smooth.jpg")).unwrap();
    // Its writer put in a block of its own; under another name it says nothing.
    if let Some(at) = plain.windows(4).position(|bytes| bytes == b"Exif") {
        plain[at] = b'X';
    }
    let mut profile = vec![0; 128];
    profile.extend([0, 0, 0, 1]);
    profile.extend(b"desc\0\0\0\x90\0\0\0\x11desc\0\0\0\0\0\0\0\x05Deck\0");
    let profile = [b"ICC_PROFILE\0\x01\x01", &profile[..]].concat();
    // Rows run down, the first at the right: 6. The model lies after the directory, at byte 38.
    let exif = b"Exif\0\0MM\0\x2a\0\0\0\x08\0\x02\
        \x01\x10\0\x02\0\0\0\x07\0\0\0\x26\x01\x12\0\x03\0\0\0\x01\0\x06\0\0\0\0\0\0Camera\0";
    fs::write(&path, with_segment(&with_segment(&plain, 0xe2, &profile), 0xe1, exif)).unwrap();
    let (upright, turned) = (read(&file("smooth.jpg")).unwrap(), read(&path).unwrap());
    assert_eq!(turned.about.warnings, ["it holds an ICC profile (Deck), which is not applied"]);
    assert_eq!(turned.about.notes.get(&Note::Device).map(String::as_str), Some("Camera"));
    assert_eq!(turned.frame.size(), Size::new(21, 37));
    let (before, after) = (upright.frame.to_pixels(Range::Full), turned.frame.to_pixels(Range::Full));
    for (at, pixel) in before.iter().enumerate() {
        let (x, y) = (at % 37, at / 37);
        assert_eq!(*pixel, after[x * 21 + 20 - y], "at {x},{y}");
    }
}

/// A JPEG in printing inks: four samples a pixel, and the segment of ITU-T T.872 that says how they are coded.
#[test]
fn jpeg_in_printing_inks_is_refused_in_words() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("inks.jpg");
    for coding in [0, 2] {
        let mut bytes = vec![0xff, 0xd8];
        bytes.extend([&[0xff, 0xee, 0, 14][..], b"Adobe", &[0, 100, 0, 0, 0, 0, coding]].concat());
        bytes.extend([0xff, 0xdb, 0, 67, 0]);
        bytes.extend([1; 64]);
        let samples: Vec<u8> = (1..=4).flat_map(|number| [number, 0x11, 0]).collect();
        bytes.extend([&[0xff, 0xc0, 0, 20, 8, 0, 8, 0, 8, 4][..], &samples].concat());
        for class in [0x00, 0x10] {
            // One code, of one bit.
            bytes.extend([0xff, 0xc4, 0, 20, class, 1]);
            bytes.extend([0; 16]);
        }
        let scan: Vec<u8> = (1..=4).flat_map(|number| [number, 0]).collect();
        bytes.extend([&[0xff, 0xda, 0, 14, 4][..], &scan, &[0, 63, 0, 0, 0, 0xff, 0xd9]].concat());
        fs::write(&path, bytes).unwrap();
        let message = read(&path).unwrap_err().to_string();
        for part in ["inks.jpg", "CMYK", "convert"] {
            assert!(message.contains(part), "{coding}: {message}");
        }
    }
}

/// Number, kind and values of a TIFF field.
type Field<'a> = (u16, u16, &'a [u32]);

/// A little-endian TIFF of 8-bit grey with these fields and 64 bytes of picture at byte 8.
fn grey_tiff(path: &Path, fields: &[Field<'_>]) {
    let mut all = vec![(258, 3, &[8_u32][..]), (262, 3, &[1]), (277, 3, &[1])];
    all.extend(fields);
    all.sort_unstable();
    let mut bytes = [&b"II\x2a\0\x48\0\0\0"[..], &[7; 64]].concat();
    let mut after = Vec::new();
    let after_at = bytes.len() + 2 + 12 * all.len() + 4;
    bytes.extend((all.len() as u16).to_le_bytes());
    for (tag, kind, values) in &all {
        bytes.extend([tag.to_le_bytes(), u16::to_le_bytes(*kind)].concat());
        bytes.extend((values.len() as u32).to_le_bytes());
        match values {
            [one] => bytes.extend(one.to_le_bytes()),
            many => {
                bytes.extend(((after_at + after.len()) as u32).to_le_bytes());
                after.extend(many.iter().flat_map(|value| value.to_le_bytes()));
            }
        }
    }
    bytes.extend([0; 4]);
    bytes.extend(after);
    fs::write(path, bytes).unwrap();
}

/// Sizes that the file cannot hold cost no memory and are named; the first is sound.
#[test]
fn tiff_fields_that_lie_are_refused() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("liar.tif");
    let refusal = |fields: &[Field<'_>]| {
        grey_tiff(&path, fields);
        read(&path).map(|picture| picture.frame.size()).map_err(|error| error.to_string())
    };
    let same = [8_u32; 4000];
    let whole = [16_000_u32; 4000];
    assert_eq!(refusal(&[(256, 4, &[8]), (257, 4, &[8]), (273, 4, &[8]), (279, 4, &[64])]), Ok(Size::new(8, 8)));
    let lies: [(&[Field<'_>], &str); 8] = [
        (&[(256, 4, &[60000]), (257, 4, &[60000]), (273, 4, &[8]), (279, 4, &[64])], "2 GiB"),
        (&[(256, 4, &[9000]), (257, 4, &[9000]), (273, 4, &[8]), (279, 4, &[64])], "bytes"),
        (&[(256, 4, &[8]), (257, 4, &[8]), (273, 4, &[8]), (279, 4, &[63])], "bytes"),
        (&[(256, 4, &[8]), (257, 4, &[8]), (273, 4, &[8000]), (279, 4, &[64])], "ends before"),
        (&[(256, 4, &[8]), (257, 4, &[8]), (278, 4, &[2]), (273, 4, &[8]), (279, 4, &[64])], "needs 4 strips"),
        (
            &[(256, 4, &[8]), (257, 4, &[8]), (322, 4, &[60000]), (323, 4, &[60000]), (324, 4, &[8]), (325, 4, &[64])],
            "senseless size",
        ),
        (
            &[(256, 4, &[8]), (257, 4, &[4000]), (278, 4, &[1]), (259, 3, &[8]), (273, 4, &same), (279, 4, &whole)],
            "longer",
        ),
        (&[(256, 4, &[0]), (257, 4, &[8]), (273, 4, &[8]), (279, 4, &[64])], "ImageWidth"),
    ];
    for (fields, part) in lies {
        let message = refusal(fields).unwrap_err();
        assert!(message.contains("liar.tif") && message.contains(part), "{part}: {message}");
    }
}

#[test]
fn movies_are_refused_with_what_to_ask_for() {
    let folder = tempfile::tempdir().unwrap();
    for (name, bytes) in [("deck.mov", &b"\0\0\0\x14ftypqt  \0\0\0\0qt  "[..]), ("deck.mxf", &[0; 64][..])] {
        let path = folder.path().join(name);
        fs::write(&path, bytes).unwrap();
        let message = read(&path).unwrap_err().to_string();
        for part in [name, "movie is not read", "image sequence", "matrix", "full or legal range", "bit depth"] {
            assert!(message.contains(part), "{part}: {message}");
        }
    }
}
