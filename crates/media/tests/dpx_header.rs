//! Every field of a DPX header, where the standard has it: what is written, and what is read from a header that the
//! test lays out itself.
//!
//! Source: SMPTE 268M-2003 (ST 268-1), its header as tests/data/frames/dpx_header.tsv lists it.

#![expect(clippy::unwrap_used, reason = "a test may stop where it cannot go on")]

use std::collections::BTreeMap;
use std::fs;
use std::path::PathBuf;

use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use media::{About, Note, Timecode, read, write};

/// Place, bytes and kind of a field: U for whole numbers, R for floats, A for text.
#[derive(Debug, Clone, PartialEq)]
struct Field {
    name: String,
    at: usize,
    len: usize,
    kind: String,
}

fn table() -> Vec<Field> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../tests/data/frames/dpx_header.tsv");
    let text = fs::read_to_string(path).unwrap();
    let rows = text.lines().filter(|line| !line.starts_with('#')).skip(1);
    let field = |row: &str| {
        let cells: Vec<&str> = row.split('\t').collect();
        let number = |at: usize| cells[at].parse().unwrap();
        Field { name: cells[0].to_owned(), at: number(1), len: number(2), kind: cells[3].to_owned() }
    };
    rows.map(field).collect()
}

/// The fields follow one another from the first byte to the last; elements 3 to 8 are like the second.
#[test]
fn the_table_is_whole() {
    let table = table();
    assert_eq!(table.len(), 96);
    let mut end = 0;
    for field in &table {
        let gap = if field.name == "reserved2" { 6 * 72 } else { 0 };
        assert_eq!(field.at, end + gap, "{field:?}");
        end = field.at + field.len;
    }
    assert_eq!(end, 2048);
}

fn number(bytes: &[u8], big: bool) -> u32 {
    let most_significant_first: Vec<u8> = if big { bytes.to_vec() } else { bytes.iter().rev().copied().collect() };
    most_significant_first.iter().fold(0, |number, byte| number << 8 | u32::from(*byte))
}

fn frame(order: ByteOrder) -> Frame {
    let layout = Layout::new(Channels::Rgb, Samples::Ten, order);
    let size = Size::new(40, 30);
    Frame::new(size, layout, vec![0; layout.byte_len(size).unwrap()], 0).unwrap()
}

fn everything() -> About {
    let notes = [
        (Note::Project, "Night ferry"),
        (Note::Copyright, "The night ferry's crew"),
        (Note::Creator, "Deck press"),
        (Note::Created, "2026:02:14:21:30:00"),
        (Note::Source, "A001_C003.dpx"),
        (Note::Device, "B-camera"),
        (Note::Slate, "12A-3"),
    ];
    About {
        encoding: Some(("Printing-Density".to_owned(), String::new())),
        range: Some(Range::Full),
        timecode: Some(Timecode { time: 0x0102_0344, user: 0x1234_5678 }),
        rate: Some(24.0),
        pixel_aspect: Some(4.0 / 3.0),
        camera_roll: Some("A001".to_owned()),
        rendering: Some("BT.1886, 100 nits, plain".to_owned()),
        notes: notes.into_iter().map(|(note, text)| (note, text.to_owned())).collect(),
        ..About::default()
    }
}

/// What stands in every field that is not "not told" (all bits set; nothing in a text).
#[test]
fn every_field_is_written_in_its_place() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.dpx");
    let numbers: BTreeMap<&str, u32> = [
        ("image_offset", 2048),
        ("file_size", 2048 + 40 * 30 * 4),
        ("ditto_key", 1),
        ("generic_size", 1664),
        ("industry_size", 384),
        ("user_size", 0),
        ("orientation", 0),
        ("element_count", 1),
        ("pixels_per_line", 40),
        ("lines_per_element", 30),
        ("el0.data_sign", 0),
        ("el0.low_data", 0),
        ("el0.low_quantity", 0.0_f32.to_bits()),
        ("el0.high_data", 1023),
        // 0.002 of density a code.
        ("el0.high_quantity", 2.046_f32.to_bits()),
        ("el0.descriptor", 50),
        ("el0.transfer", 1),
        ("el0.colorimetric", 1),
        ("el0.bit_depth", 10),
        ("el0.packing", 1),
        ("el0.encoding", 0),
        ("el0.data_offset", 2048),
        ("el0.eol_padding", 0),
        ("el0.eoi_padding", 0),
        ("frame_rate_original", 24.0_f32.to_bits()),
        ("time_code", 0x0102_0344),
        ("user_bits", 0x1234_5678),
        ("interlace", 0),
        ("pad", 0),
        ("temporal_frame_rate", 24.0_f32.to_bits()),
    ]
    .into();
    let texts: BTreeMap<&str, &str> = [
        ("version", "V2.0"),
        ("create_time", "2026:02:14:21:30:00"),
        ("creator", "Deck press"),
        ("project", "Night ferry"),
        ("copyright", "The night ferry's crew"),
        ("source_file", "A001_C003.dpx"),
        ("input_device", "B-camera"),
        ("slate_info", "roll A001; 12A-3"),
        ("el0.description", "BT.1886, 100 nits, plain"),
    ]
    .into();
    for (order, magic) in [(ByteOrder::Big, b"SDPX"), (ByteOrder::Little, b"XPDS")] {
        write(&path, &frame(order), &everything()).unwrap();
        let file = fs::read(&path).unwrap();
        let mut seen = 0;
        for Field { name, at, len, kind } in table() {
            let bytes = &file[at..at + len];
            let name = name.as_str();
            let told = numbers.get(name);
            seen += usize::from(told.is_some()) + usize::from(texts.contains_key(name));
            match name {
                "magic" => assert_eq!(bytes, magic),
                "pixel_aspect" => {
                    let big = order == ByteOrder::Big;
                    assert_eq!((number(&bytes[..4], big), number(&bytes[4..], big)), (4, 3));
                }
                // Elements that are not there, and what nobody said.
                _ if told.is_none() && !kind.starts_with('A') => {
                    // 40 bytes of each element that is not there, its description and places among them.
                    assert!(bytes.iter().all(|&byte| byte == 0xff), "{name}: {bytes:?}");
                }
                _ if kind.starts_with('A') => {
                    let text = texts.get(name).copied().unwrap_or_default();
                    assert_eq!(&bytes[..text.len()], text.as_bytes(), "{name}");
                    assert!(bytes[text.len()..].iter().all(|&byte| byte == 0), "{name}: {bytes:?}");
                }
                _ => assert_eq!(Some(&number(bytes, order == ByteOrder::Big)), told, "{name}"),
            }
        }
        assert_eq!(seen, numbers.len() + texts.len(), "every name is one of the table's");
        let back = read(&path).unwrap().about;
        assert_eq!(back.pixel_aspect, Some(4.0 / 3.0));
        assert_eq!((back.camera_roll.as_deref(), back.rate), (Some("A001"), Some(24.0)));
        let words = "transfer printing density (1), colorimetry printing density (1)";
        assert_eq!((back.header_says.as_deref(), back.encoding), (Some(words), None));
    }
}

/// A header of the test's own: the table's places, and nothing told but what a picture needs.
fn laid_out(fields: &[(&str, &[u8])]) -> Vec<u8> {
    let mut bytes = vec![0_u8; 2048 + 4];
    let table = table();
    for field in table.iter().filter(|field| !field.kind.starts_with('A')) {
        bytes[field.at..field.at + field.len].fill(0xff);
    }
    let needed: [(&str, &[u8]); 14] = [
        ("magic", b"SDPX"),
        ("image_offset", &2048_u32.to_be_bytes()),
        ("version", b"V2.0"),
        ("orientation", &[0, 0]),
        ("element_count", &[0, 1]),
        ("pixels_per_line", &1_u32.to_be_bytes()),
        ("lines_per_element", &1_u32.to_be_bytes()),
        ("el0.data_sign", &[0; 4]),
        ("el0.descriptor", &[50]),
        ("el0.bit_depth", &[10]),
        ("el0.packing", &[0, 1]),
        ("el0.encoding", &[0, 0]),
        ("el0.data_offset", &2048_u32.to_be_bytes()),
        ("el0.eol_padding", &[0; 4]),
    ];
    for (name, value) in needed.iter().chain(fields) {
        let field = table.iter().find(|field| field.name == *name).unwrap();
        bytes[field.at..field.at + value.len()].copy_from_slice(value);
    }
    bytes
}

fn about_of(fields: &[(&str, &[u8])]) -> About {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.dpx");
    fs::write(&path, laid_out(fields)).unwrap();
    read(&path).unwrap().about
}

#[test]
fn every_field_is_read_from_its_place() {
    assert_eq!(about_of(&[]), About::default(), "what is not told is not there");
    let about = about_of(&[
        ("create_time", b"2026:02:14:21:30:00"),
        ("creator", b"Deck press"),
        ("project", b"Night ferry"),
        ("copyright", b"The night ferry's crew"),
        ("el0.low_data", &64_u32.to_be_bytes()),
        ("el0.high_data", &940_u32.to_be_bytes()),
        ("el0.transfer", &[3]),
        ("el0.colorimetric", &[6]),
        ("el0.description", b"PQ, 1000 nits, plain"),
        ("source_file", b"A001_C003.dpx"),
        ("input_device", b"B-camera"),
        ("pixel_aspect", &[0, 0, 4, 0xb0, 0, 0, 2, 0x58]),
        ("slate_info", b"SCENE 12A ROLL A001"),
        ("frame_rate_original", &24.0_f32.to_be_bytes()),
        ("time_code", &[1, 2, 3, 4]),
        ("user_bits", &[5, 6, 7, 8]),
        ("temporal_frame_rate", &25.0_f32.to_be_bytes()),
    ]);
    let mut expected = About {
        range: Some(Range::Legal),
        timecode: Some(Timecode { time: 0x0102_0304, user: 0x0506_0708 }),
        // The television header is the more particular of the two.
        rate: Some(25.0),
        pixel_aspect: Some(2.0),
        camera_roll: Some("A001".to_owned()),
        header_says: Some("transfer logarithmic (3), colorimetry BT.709 (6)".to_owned()),
        characteristics: [Some(3), Some(6)],
        rendering: Some("PQ, 1000 nits, plain".to_owned()),
        notes: everything().notes,
        ..About::default()
    };
    expected.notes.insert(Note::Slate, "SCENE 12A ROLL A001".to_owned());
    assert_eq!(about, expected);
    for aspect in [[0; 8], [0, 0, 0, 1, 0, 0, 0, 0], [0, 0, 0, 0, 0, 0, 0, 1], [0, 0, 4, 0xb0, 0, 0, 4, 0xb0]] {
        assert_eq!(about_of(&[("pixel_aspect", &aspect)]).pixel_aspect, None, "{aspect:?}");
    }
}

/// Source: SMPTE ST 268-1, transfer characteristic and colorimetric specification; the reference quantities are of
/// printing density, 0.002 a 10-bit code (common practice of film scanners), or the share of the light at the upper
/// code. ITU-R BT.709-6 has the legal codes.
#[test]
fn codes_say_what_the_frame_is() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.dpx");
    let unset = f32::from_bits(u32::MAX);
    for (encoding, range, transfer, colorimetric, codes, low, high) in [
        (Some("Printing-Density"), Range::Full, 1, 1, (0, 1023), 0.0, 2.046),
        (Some("Printing-Density"), Range::Legal, 1, 1, (64, 940), 0.128, 1.88),
        (Some("BT.1886"), Range::Full, 6, 6, (0, 1023), unset, unset),
        (Some("BT.709"), Range::Legal, 6, 6, (64, 940), unset, unset),
        (Some("sRGB"), Range::Full, 0, 6, (0, 1023), unset, unset),
        (Some("ACES2065-1"), Range::Full, 2, 0, (0, 1023), 0.0, 1.0),
        (Some("Linear-BT.709"), Range::Legal, 2, 6, (64, 940), 0.0, 1.0),
        (Some("LogC3"), Range::Full, 3, 0, (0, 1023), unset, unset),
        (Some("PQ"), Range::Legal, 0, 0, (64, 940), unset, unset),
        (None, Range::Full, 0, 0, (0, 1023), unset, unset),
    ] {
        let about = About {
            encoding: encoding.map(|id| (id.to_owned(), String::new())),
            range: Some(range),
            ..About::default()
        };
        write(&path, &frame(ByteOrder::Big), &about).unwrap();
        let file = fs::read(&path).unwrap();
        let bits_at = |at: usize| number(&file[at..at + 4], true);
        assert_eq!((file[801], file[802]), (transfer, colorimetric), "{encoding:?}");
        assert_eq!((bits_at(784), bits_at(792)), codes, "{encoding:?}");
        assert_eq!((bits_at(788), bits_at(796)), (f32::to_bits(low), f32::to_bits(high)), "{encoding:?}");
        let said = read(&path).unwrap().about.header_says;
        assert_eq!(said.is_some(), (transfer, colorimetric) != (0, 0), "{said:?}");
    }
}

/// The words for a header that names a transfer; 0 and 255 say nothing.
#[test]
fn the_headers_word_is_passed_on() {
    for (bytes, words) in [
        ([2, 0], Some("transfer linear (2)")),
        ([255, 13], Some("colorimetry ADX density (SMPTE ST 2065-3) (13)")),
        ([99, 1], Some("transfer unknown (99), colorimetry printing density (1)")),
        ([0, 0], None),
        ([255, 255], None),
    ] {
        let about = about_of(&[("el0.transfer", &bytes[..1]), ("el0.colorimetric", &bytes[1..])]);
        assert_eq!((about.header_says.as_deref(), about.encoding), (words, None), "{bytes:?}");
    }
}

/// From DPX to DPX and to OpenEXR nothing of the shape of a pixel, the time or the roll is lost.
#[test]
fn what_is_told_goes_on() {
    let folder = tempfile::tempdir().unwrap();
    let [first, second] = ["a.dpx", "b.dpx"].map(|name| folder.path().join(name));
    write(&first, &frame(ByteOrder::Big), &everything()).unwrap();
    let told = read(&first).unwrap();
    write(&second, &told.frame, &About { encoding: everything().encoding, ..told.about.clone() }).unwrap();
    assert_eq!(fs::read(&second).unwrap(), fs::read(&first).unwrap(), "byte for byte");

    let exr = folder.path().join("c.exr");
    let layout = Layout::new(Channels::Rgb, Samples::Float, ByteOrder::Little);
    let size = Size::new(2, 1);
    let floats = Frame::new(size, layout, vec![0; layout.byte_len(size).unwrap()], 0).unwrap();
    write(&exr, &floats, &told.about).unwrap();
    let back = read(&exr).unwrap().about;
    // OpenEXR holds a single float.
    assert!((back.pixel_aspect.unwrap() * 3.0 / 4.0 - 1.0).abs() < 1e-7, "{:?}", back.pixel_aspect);
    assert_eq!((back.timecode, back.rate), (told.about.timecode, told.about.rate));
    assert_eq!(back.camera_roll.as_deref(), Some("A001"));
}
