//! What is written is what is read.

#![expect(clippy::unwrap_used, reason = "a test may stop where it cannot go on")]

mod common;

use std::fs;

use common::{scatter, written};
use frame::{Channels, Frame, Range, Samples, Size};
use media::{About, Note, Timecode, read, write};
use proptest::prelude::*;

/// Both frames as signal values, bit for bit.
fn same_pixels(a: &Frame, b: &Frame) -> bool {
    let bits = |frame: &Frame| -> Vec<[u32; 4]> {
        frame.to_pixels(Range::Full).iter().map(|pixel| pixel.map(f32::to_bits)).collect()
    };
    a.size() == b.size() && bits(a) == bits(b)
}

/// PNG alone stores colour that is not associated, which integers cannot always give back.
fn lossless(ending: &str, frame: &Frame) -> bool {
    ending != "png" || frame.layout().channels == Channels::Rgb
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    #[test]
    fn every_format_gives_back_its_samples(
        width in 1_u32..70, height in 1_u32..40, seed in prop::collection::vec(any::<u8>(), 97),
    ) {
        let folder = tempfile::tempdir().unwrap();
        for (ending, layout) in written() {
            let mut bytes = seed.iter().cycle().copied().enumerate().map(|(i, b)| b ^ (i >> 5) as u8);
            let size = Size::new(width, height);
            let frame = common::frame(size, layout, || bytes.next().unwrap());
            let path = folder.path().join(format!("a.{ending}"));
            write(&path, &frame, &About::default()).unwrap();
            let back = read(&path).unwrap().frame;
            prop_assert_eq!(back.layout().samples, layout.samples);
            prop_assert_eq!(back.layout().channels, layout.channels);
            if lossless(ending, &frame) {
                prop_assert!(same_pixels(&frame, &back), "{} {} {}", ending, layout, size);
            }
        }
    }
}

/// PNG with alpha: associated codes come back within what alpha leaves of them.
#[test]
fn png_alpha_comes_back() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.png");
    let layout = frame::Layout::new(Channels::Rgba, Samples::U16, common::NATIVE);
    let pixels: Vec<[f32; 4]> = (1..=64).map(|i| [i as f32 / 64.0, 0.25, 0.0, i as f32 / 64.0]).collect();
    let frame = Frame::from_pixels(&pixels, Size::new(8, 8), layout, Range::Full);
    write(&path, &frame, &About::default()).unwrap();
    let back = read(&path).unwrap().frame;
    let (a, b) = (frame.to_pixels(Range::Full), back.to_pixels(Range::Full));
    for (a, b) in a.iter().zip(&b) {
        // One code of the associated value at each of the two roundings.
        let tolerance = 2.0 / 65535.0 / a[3];
        assert!(a.iter().zip(b).all(|(a, b)| (a - b).abs() <= tolerance), "{a:?} {b:?}");
        assert_eq!(a[3], b[3]);
    }
}

#[test]
fn dpx_is_stored_as_it_is() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.dpx");
    for (_, layout) in written().into_iter().filter(|(ending, _)| *ending == "dpx") {
        let frame = scatter(Size::new(31, 17), layout);
        write(&path, &frame, &About::default()).unwrap();
        assert_eq!(&fs::read(&path).unwrap()[2048..], frame.bytes());
        assert_eq!(read(&path).unwrap().frame, frame, "byte order and all");
    }
}

fn told() -> About {
    let mut about = About {
        encoding: Some(("ACES2065-1".to_owned(), "told".to_owned())),
        range: Some(Range::Legal),
        timecode: Some(Timecode { time: 0x0102_0344, user: 0x1234_5678 }),
        rate: Some(24000.0 / 1001.0),
        ..About::default()
    };
    for (note, text) in [
        (Note::Copyright, "The night ferry's crew"),
        (Note::Creator, "Greywright"),
        (Note::Comment, "deck, second watch"),
        (Note::Project, "Night ferry"),
        (Note::Slate, "12A-3"),
    ] {
        about.notes.insert(note, text.to_owned());
    }
    about
}

/// Two to one is the shape of anamorphic pixels; 1.0666.. has no short decimal.
#[test]
fn the_shape_of_a_pixel_travels() {
    let folder = tempfile::tempdir().unwrap();
    for (ending, layout) in written().into_iter().filter(|(ending, _)| ["dpx", "exr", "png", "tif"].contains(ending)) {
        let path = folder.path().join(format!("a.{ending}"));
        for aspect in [None, Some(2.0), Some(16.0 / 15.0)] {
            let about = About { pixel_aspect: aspect, ..About::default() };
            write(&path, &scatter(Size::new(4, 4), layout), &about).unwrap();
            let back = read(&path).unwrap().about.pixel_aspect;
            assert_eq!(back.is_some(), aspect.is_some(), "{ending}");
            // A millionth is the step of PNG and TIFF; single float is finer.
            assert!((back.unwrap_or(1.0) - aspect.unwrap_or(1.0)).abs() <= 1e-6, "{ending}: {back:?}");
        }
    }
}

#[test]
fn how_a_picture_was_rendered_travels() {
    let folder = tempfile::tempdir().unwrap();
    let mut tried = 0;
    for (ending, layout) in written() {
        let path = folder.path().join(format!("a.{ending}"));
        for words in ["BT.1886, 100 nits, plain", "PQ, 1000 nits, plain, within P3-D65"] {
            let about = About { rendering: Some(words.to_owned()), ..told() };
            write(&path, &scatter(Size::new(4, 4), layout), &about).unwrap();
            let back = read(&path).unwrap().about;
            // The field of DPX has 31 letters; what matters least is last.
            let kept = if ending == "dpx" { words.trim_end_matches(", within P3-D65") } else { words };
            assert_eq!(back.rendering.as_deref(), Some(kept), "{ending}");
            if ending != "dpx" {
                assert_eq!(back.notes.get(&Note::Comment), about.notes.get(&Note::Comment), "{ending}");
            }
            tried += 1;
        }
        write(&path, &scatter(Size::new(4, 4), layout), &told()).unwrap();
        assert_eq!(read(&path).unwrap().about.rendering, None, "{ending}");
    }
    assert!(tried >= 10, "{tried}");
}

#[test]
fn dpx_carries_time_rate_range_and_notes() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.dpx");
    for (_, layout) in written().into_iter().filter(|(ending, _)| *ending == "dpx") {
        write(&path, &scatter(Size::new(4, 4), layout), &told()).unwrap();
        let about = read(&path).unwrap().about;
        assert_eq!(about.timecode, told().timecode);
        assert_eq!(about.rate, told().rate);
        assert_eq!(about.range, told().range);
        assert_eq!(about.encoding, None, "never from the transfer byte");
        for note in [Note::Copyright, Note::Creator, Note::Project, Note::Slate] {
            assert_eq!(about.notes.get(&note), told().notes.get(&note));
        }
    }
    let plain = scatter(Size::new(4, 4), written()[0].1);
    write(&path, &plain, &About::default()).unwrap();
    let about = read(&path).unwrap().about;
    assert_eq!((about.timecode, about.rate), (None, None), "undefined is not zero");
}

/// Source: field offsets and values of SMPTE ST 268-1.
#[test]
fn dpx_header_fields_are_where_the_standard_has_them() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.dpx");
    write(&path, &scatter(Size::new(40, 30), written()[0].1), &About::default()).unwrap();
    let bytes = fs::read(&path).unwrap();
    let word = |at: usize| u32::from_be_bytes(bytes[at..at + 4].try_into().unwrap());
    assert_eq!(&bytes[..4], b"SDPX");
    assert_eq!(&bytes[8..13], b"V2.0\0");
    for (at, value) in [
        (4, 2048),
        (16, 2048 + 4 * 1200),
        (24, 1664),
        (28, 384),
        (660, u32::MAX),
        (768, 1),
        (772, 40),
        (776, 30),
        (780, 0),
        (784, 0),
        (792, 1023),
        (804, 0x0001_0000),
        (808, 2048),
        (812, 0),
        (1408, u32::MAX),
        (1628, 1),
        (1632, 1),
        (1724, u32::MAX),
        (1920, u32::MAX),
        (1940, u32::MAX),
    ] {
        assert_eq!(word(at), value, "at {at}");
    }
    assert_eq!((bytes[800], bytes[803]), (50, 10));
    assert_eq!(&bytes[160..171], b"Greywright\0");
}

#[test]
fn openexr_carries_encoding_time_rate_and_notes() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.exr");
    for (_, layout) in written().into_iter().filter(|(ending, _)| *ending == "exr") {
        let frame = scatter(Size::new(20, 33), layout);
        write(&path, &frame, &told()).unwrap();
        let back = read(&path).unwrap();
        assert!(same_pixels(&frame, &back.frame));
        let (id, reason) = back.about.encoding.unwrap();
        assert_eq!(id, "ACES2065-1");
        // ST 2065-4 allows its flag on halves alone.
        assert_eq!(reason.contains("flag"), layout.samples == Samples::Half, "{reason}");
        assert_eq!(back.about.timecode, told().timecode);
        assert_eq!(back.about.rate, told().rate);
        for note in [Note::Copyright, Note::Creator, Note::Comment] {
            assert_eq!(back.about.notes.get(&note), told().notes.get(&note));
        }
    }
    let rgb = scatter(Size::new(2, 2), written()[1].1);
    for (id, kept) in [("ACEScg", true), ("Linear-BT.709", false), ("LogC3", false)] {
        let encoding = Some((id.to_owned(), String::new()));
        write(&path, &rgb, &About { encoding, ..About::default() }).unwrap();
        assert_eq!(read(&path).unwrap().about.encoding_id() == Some(id), kept, "{id}");
    }
}

#[test]
fn png_and_tiff_carry_what_they_can() {
    let folder = tempfile::tempdir().unwrap();
    for (ending, layout) in written().into_iter().filter(|(e, _)| matches!(*e, "tif" | "png")) {
        let path = folder.path().join(format!("a.{ending}"));
        let mut about = told();
        about.encoding = Some(("PQ".to_owned(), String::new()));
        write(&path, &scatter(Size::new(5, 3), layout), &about).unwrap();
        let back = read(&path).unwrap().about;
        for note in [Note::Copyright, Note::Creator, Note::Comment] {
            assert_eq!(back.notes.get(&note), about.notes.get(&note), "{ending}");
        }
        if ending == "png" {
            assert_eq!(back.encoding_id(), Some("PQ"));
            assert_eq!(back.range, Some(Range::Legal));
        }
    }
}

#[test]
fn a_file_is_there_whole_or_not_at_all() {
    let folder = tempfile::tempdir().unwrap();
    let frame = scatter(Size::new(8, 8), written()[0].1);
    let path = folder.path().join("a.dpx");
    write(&path, &frame, &About::default()).unwrap();
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let mode = fs::metadata(&path).unwrap().permissions().mode();
        let plain = folder.path().join("plain");
        fs::write(&plain, b"").unwrap();
        assert_eq!(mode, fs::metadata(&plain).unwrap().permissions().mode(), "like any new file");
        fs::remove_file(&plain).unwrap();
    }
    // A folder in the place of the file: the rename fails, and nothing is left behind.
    let blocked = folder.path().join("b.dpx");
    fs::create_dir(&blocked).unwrap();
    fs::write(blocked.join("x"), b"").unwrap();
    assert!(write(&blocked, &frame, &About::default()).is_err());
    let mut names: Vec<_> = fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    names.sort();
    assert_eq!(names, ["a.dpx", "b.dpx"]);

    let nowhere = folder.path().join("none/a.dpx");
    let message = write(&nowhere, &frame, &About::default()).unwrap_err().to_string();
    assert!(message.contains("cannot write into this folder"), "{message}");
    let message = write(&folder.path().join("a.exr"), &frame, &About::default()).unwrap_err();
    assert!(message.to_string().contains("half or single float"), "{message}");
}
