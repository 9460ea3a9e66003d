//! Damaged and foreign files: one clear error each, no panic, no allocation on a liar's word.

#![expect(clippy::unwrap_used, reason = "a test may stop where it cannot go on")]

mod common;

use std::fs;
use std::path::Path;

use common::{scatter, written};
use frame::Size;
use media::{About, MediaError, read, write};

/// Writes a file anew. Writing over one makes some file systems wait for the disk, thousands of times here.
fn put(path: &Path, bytes: &[u8]) {
    let _ = fs::remove_file(path);
    fs::write(path, bytes).unwrap();
}

/// A good file of every kind, in bytes; the frame's byte order shows in a DPX file alone.
fn good_files(folder: &Path) -> Vec<(&'static str, Vec<u8>)> {
    let mut files = Vec::new();
    for (ending, layout) in written() {
        if ending != "dpx" && layout.order != common::NATIVE {
            continue;
        }
        let path = folder.join(format!("good.{ending}"));
        write(&path, &scatter(Size::new(13, 21), layout), &About::default()).unwrap();
        files.push((ending, fs::read(&path).unwrap()));
    }
    files
}

#[test]
fn cut_short_at_any_length() {
    let folder = tempfile::tempdir().unwrap();
    for (ending, bytes) in good_files(folder.path()) {
        let path = folder.path().join(format!("cut.{ending}"));
        let near_the_end = bytes.len().saturating_sub(40)..bytes.len();
        for len in (0..300).chain((300..bytes.len()).step_by(61)).chain(near_the_end) {
            if len >= bytes.len() {
                continue;
            }
            put(&path, &bytes[..len]);
            match read(&path) {
                Err(error) => {
                    assert!(error.to_string().contains("cut."), "{error}");
                    let io = matches!(error, MediaError::Unreadable { .. });
                    assert!(!io, "{ending} at {len}: {error}");
                }
                // The trailer of a PNG carries no pixel.
                Ok(_) => assert!(ending == "png" && len + 16 >= bytes.len(), "{ending} at {len}"),
            }
        }
    }
}

#[test]
fn a_short_dpx_says_how_short() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.dpx");
    write(&path, &scatter(Size::new(10, 10), written()[0].1), &About::default()).unwrap();
    let bytes = fs::read(&path).unwrap();
    fs::write(&path, &bytes[..bytes.len() - 1]).unwrap();
    match read(&path) {
        Err(MediaError::Truncated { expected: 2448, found: 2447, .. }) => {}
        other => panic!("{other:?}"),
    }
}

/// Any byte of a header may be anything: an answer or a clear error, never a panic.
#[test]
fn any_header_byte_flipped() {
    let folder = tempfile::tempdir().unwrap();
    for (ending, bytes) in good_files(folder.path()) {
        let path = folder.path().join(format!("flipped.{ending}"));
        let spots: Vec<usize> = match ending {
            "dpx" => (0..36).chain(660..664).chain(768..852).collect(),
            _ => (0..bytes.len().min(420)).collect(),
        };
        for at in spots {
            for flip in [0x80, 0xff] {
                let mut bytes = bytes.clone();
                bytes[at] ^= flip;
                put(&path, &bytes);
                if let Err(error) = read(&path) {
                    assert!(error.to_string().contains("flipped."), "{error}");
                }
            }
        }
    }
}

/// A place in the header and the bytes to put there.
type Field<'a> = (usize, &'a [u8]);

/// Sets fields of a good big-endian DPX header and returns the message that follows.
fn dpx_message(fields: &[Field<'_>]) -> String {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.dpx");
    write(&path, &scatter(Size::new(10, 10), written()[0].1), &About::default()).unwrap();
    let mut bytes = fs::read(&path).unwrap();
    for (at, value) in fields {
        bytes[*at..at + value.len()].copy_from_slice(value);
    }
    fs::write(&path, &bytes).unwrap();
    match read(&path) {
        Ok(_) => "read".to_owned(),
        Err(error) => error.to_string(),
    }
}

#[test]
fn every_dpx_field_that_matters_is_named() {
    let be = |value: u32| value.to_be_bytes();
    let cases: [(&[Field<'_>], &str); 12] = [
        (&[(803, &[1])], "1-bit DPX is not read"),
        (&[(803, &[32])], "32-bit DPX is not read"),
        (&[(800, &[1])], "red only (descriptor 1)"),
        (&[(804, &[0, 9])], "packing 9"),
        (&[(806, &[0, 1])], "in line 1 of 10 a run of"),
        (&[(768, &[0, 9])], "orientation is 9"),
        (&[(770, &[0, 0])], "the number of image elements is 0"),
        (&[(780, &be(1))], "signed samples"),
        (&[(660, &be(5))], "encrypted"),
        (&[(772, &be(0))], "pixels per line and lines per element in the header make a picture of 0x10"),
        (&[(772, &be(60000)), (776, &be(60000))], "60000x60000, 14400000000 bytes"),
        (&[(808, &be(100))], "inside the header"),
    ];
    for (fields, part) in cases {
        let message = dpx_message(fields);
        assert!(message.contains(part) && message.contains("a.dpx"), "{part}: {message}");
    }
    // Fields that may be left out, and a padding that the size of the file belies.
    for fields in [
        &[(812, &be(0x7fff_ffff)[..])][..],
        &[(808, &be(u32::MAX)[..])][..],
        &[(812, &be(u32::MAX)[..])][..],
        &[(768, &[0xff, 0xff][..])][..],
        &[(801, &[0xff, 0xff][..])][..],
    ] {
        assert_eq!(dpx_message(fields), "read", "{fields:?}");
    }
}

/// Lines with padding, and padding bits on top (method B), give the same picture.
#[test]
fn dpx_padding_and_method_b() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.dpx");
    for (_, layout) in written().into_iter().filter(|(ending, _)| *ending == "dpx") {
        let big = layout.order == frame::ByteOrder::Big;
        let frame = scatter(Size::new(7, 5), layout);
        write(&path, &frame, &About::default()).unwrap();
        let good = fs::read(&path).unwrap();

        let mut padded = good[..2048].to_vec();
        padded[812..816].copy_from_slice(&if big { 12_u32.to_be_bytes() } else { 12_u32.to_le_bytes() });
        for row in frame.bytes().chunks_exact(28) {
            padded.extend_from_slice(row);
            padded.extend_from_slice(&[0xaa; 12]);
        }
        fs::write(&path, &padded).unwrap();
        assert_eq!(read(&path).unwrap().frame, frame, "{layout}");

        let mut method_b = good.clone();
        method_b[804..806].copy_from_slice(&if big { 2_u16.to_be_bytes() } else { 2_u16.to_le_bytes() });
        for word in method_b[2048..].chunks_exact_mut(4) {
            let bytes: [u8; 4] = word.try_into().unwrap();
            let shifted = if big {
                (u32::from_be_bytes(bytes) >> 2).to_be_bytes()
            } else {
                (u32::from_le_bytes(bytes) >> 2).to_le_bytes()
            };
            word.copy_from_slice(&shifted);
        }
        fs::write(&path, &method_b).unwrap();
        assert_eq!(read(&path).unwrap().frame, frame, "{layout}");
    }
}

#[test]
fn foreign_files_are_named() {
    let folder = tempfile::tempdir().unwrap();
    let message = |name: &str, bytes: &[u8]| {
        let path = folder.path().join(name);
        fs::write(&path, bytes).unwrap();
        read(&path).unwrap_err().to_string()
    };
    assert!(message("a.dpx", b"").contains("the file is empty"));
    assert!(message("a.dpx", b"GARBAGE!").contains("bytes 47 41 52 42 41 47 45 21"));
    assert!(message("a.png", &[0xff, 0xd8, 0xff, 0xe0]).contains("before its picture"));
    assert!(message("a.dpx", b"SDPX").contains("cut short"));
    let missing = read(&folder.path().join("none.dpx")).unwrap_err();
    assert!(matches!(missing, MediaError::Missing { .. }), "{missing}");
    let directory = read(folder.path()).unwrap_err();
    assert!(directory.to_string().contains("cannot be read"), "{directory}");
}

/// A header that declares a frame of the allowed size in a file that cannot hold it costs nothing.
#[test]
fn lying_headers_allocate_nothing() {
    let folder = tempfile::tempdir().unwrap();
    for (ending, bytes) in good_files(folder.path()) {
        let path = folder.path().join(format!("liar.{ending}"));
        let mut liar = bytes.clone();
        match ending {
            "dpx" => liar[772..780].copy_from_slice(&[0, 0, 0x30, 0, 0, 0, 0x30, 0]),
            "png" => liar[16..24].copy_from_slice(&[0, 0, 0x30, 0, 0, 0, 0x30, 0]),
            _ => continue,
        }
        fs::write(&path, &liar).unwrap();
        assert!(read(&path).is_err());
    }
}
