//! DPX of every depth, packing, byte order, kind of pixel and orientation, from bytes packed by hand, by a
//! packer of the test's own and by other programs (tests/data/frames, with their sources in its README).

#![expect(clippy::unwrap_used, reason = "a test may stop where it cannot go on")]

use std::fs;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use media::{About, MediaError, Picture, read, write};
use proptest::prelude::*;

mod dpx_file;
use dpx_file::{Kind, Packing, Written};

fn data(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../tests/data/frames").join(name)
}

/// The frame's codes, red first.
fn codes(frame: &Frame) -> Vec<u16> {
    let big = frame.layout().order == ByteOrder::Big;
    if frame.layout().samples == Samples::Ten {
        let word = |bytes: &[u8; 4]| if big { u32::from_be_bytes(*bytes) } else { u32::from_le_bytes(*bytes) };
        let words = frame.bytes().as_chunks::<4>().0.iter().map(word);
        return words.flat_map(|word| [22, 12, 2].map(|low| (word >> low & 0x3ff) as u16)).collect();
    }
    let short = |bytes: &[u8; 2]| if big { u16::from_be_bytes(*bytes) } else { u16::from_le_bytes(*bytes) };
    frame.bytes().as_chunks::<2>().0.iter().map(short).collect()
}

fn read_bytes(bytes: &[u8]) -> Result<Picture, MediaError> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.dpx");
    fs::write(&path, bytes).unwrap();
    read(&path)
}

fn read_written(written: &Written) -> Picture {
    read_bytes(&written.bytes()).unwrap()
}

/// Source: dpx_packing.tsv, words that OpenImageIO 3.2.2 wrote for these codes.
#[test]
fn words_of_another_writer() {
    let ten = [0, 1023, 512, 64, 940, 502, 1, 2, 3, 1023, 0, 1];
    let table = fs::read_to_string(data("dpx_packing.tsv")).unwrap();
    let rows: Vec<&str> = table.lines().filter(|line| !line.starts_with('#')).skip(1).collect();
    assert_eq!(rows.len(), 16);
    for row in rows {
        let fields: Vec<&str> = row.split('\t').collect();
        let bits: u8 = fields[5].parse().unwrap();
        let body: Vec<u8> = fields[7].split(' ').map(|hex| u8::from_str_radix(hex, 16).unwrap()).collect();
        let mut written = Written::new(Size::new(4, 1), Kind::Rgb, bits);
        written.big = fields[3] == "SDPX";
        written.packing = [Packing::Packed, Packing::MethodA, Packing::MethodB][fields[6].parse::<usize>().unwrap()];
        let picture = read_bytes(&[written.header(), body].concat()).unwrap();
        let expected = ten.map(|code| match bits {
            8 => code >> 2,
            bits => code << (bits - 10),
        });
        assert_eq!(codes(&picture.frame), expected, "{row}");
        assert_eq!(picture.frame.layout().bits(), u32::from(bits), "{row}");
    }
}

/// Source: SMPTE ST 268-1, 12 bits filled into 16: method A leaves the low bits free, method B the high
/// ones. Worked by hand.
#[test]
fn twelve_bits_in_sixteen() {
    for (packing, body) in [
        (Packing::MethodA, [0xab, 0xc0, 0x12, 0x30, 0xff, 0xf0]),
        (Packing::MethodB, [0x0a, 0xbc, 0x01, 0x23, 0x0f, 0xff]),
    ] {
        let mut written = Written::new(Size::new(1, 1), Kind::Rgb, 12);
        written.packing = packing;
        let picture = read_bytes(&[written.header(), body.to_vec()].concat()).unwrap();
        assert_eq!(codes(&picture.frame), [0xabc, 0x123, 0xfff]);
        assert_eq!(picture.frame.layout().samples, Samples::Codes(12));
    }
}

/// Luma of 10 bits counts from the low end of a word: what OpenImageIO 3.2.2 reads from these words.
#[test]
fn luma_is_expanded_and_abgr_turned() {
    let words = |words: &[u32]| words.iter().flat_map(|word| word.to_be_bytes()).collect::<Vec<u8>>();
    let body = words(&[1 << 22 | 2 << 12 | 3 << 2, 4 << 22 | 5 << 12 | 6 << 2]);
    let mut luma = Written::new(Size::new(6, 1), Kind::Luma, 10);
    luma.packing = Packing::MethodA;
    let picture = read_bytes(&[luma.header(), body.clone()].concat()).unwrap();
    assert_eq!(codes(&picture.frame), [3, 3, 3, 2, 2, 2, 1, 1, 1, 6, 6, 6, 5, 5, 5, 4, 4, 4]);
    assert_eq!(picture.frame.layout().channels, Channels::Rgb);

    let mut abgr = Written::new(Size::new(1, 1), Kind::Abgr, 10);
    abgr.packing = Packing::MethodA;
    let picture = read_bytes(&[abgr.header(), body].concat()).unwrap();
    assert_eq!(codes(&picture.frame), [4, 3, 2, 1]);
    assert_eq!(picture.frame.layout().channels, Channels::Rgba);
}

/// Where lines run and how, turned upright by the test's own table of corners.
#[test]
fn every_orientation_is_upright() {
    // Which stored pixel is at the top left, and the one to its right: (line, place) each.
    let corners = [
        ((0, 0), (0, 1)),
        ((0, 3), (0, 2)),
        ((2, 0), (2, 1)),
        ((2, 3), (2, 2)),
        ((0, 0), (1, 0)),
        ((2, 0), (1, 0)),
        ((0, 3), (1, 3)),
        ((2, 3), (1, 3)),
    ];
    for bits in [8, 10, 12, 16] {
        for (orientation, (first, second)) in corners.into_iter().enumerate() {
            let mut written = Written::new(Size::new(4, 3), Kind::Rgb, bits);
            written.packing = Packing::MethodA;
            written.orientation = orientation as u16;
            // Padding must be gone before lines are turned.
            written.line_padding = 4;
            let frame = read_written(&written).frame;
            let size = if orientation < 4 { Size::new(4, 3) } else { Size::new(3, 4) };
            assert_eq!(frame.size(), size);
            let stored = |(line, place): (usize, usize)| {
                let at = 3 * (line * 4 + place);
                written.codes[at..at + 3].to_vec()
            };
            assert_eq!(codes(&frame)[..6], [stored(first), stored(second)].concat(), "{bits} {orientation}");
        }
    }
}

#[test]
fn headers_that_lie_or_are_silent() {
    let message = |change: &dyn Fn(&mut Vec<u8>)| {
        let mut bytes = Written::new(Size::new(5, 3), Kind::Rgb, 8).bytes();
        change(&mut bytes);
        match read_bytes(&bytes) {
            Ok(picture) => format!("read {}", picture.about.warnings.join("; ")),
            Err(error) => error.to_string(),
        }
    };
    let cases: [(usize, &[u8], &str); 11] = [
        // 8 bits leave nothing to pack.
        (804, &[0xff, 0xff], "read"),
        (812, &[0, 0, 0, 9], "no room for them"),
        (770, &[0, 2], "2 image elements: the first is used, not no element descriptor"),
        (770, &[0, 0], "the number of image elements is 0"),
        (768, &[0, 8], "orientation is 8"),
        (768, &[0xff, 0xff], "read"),
        (803, &[1], "1-bit DPX is not read"),
        (803, &[64], "64-bit DPX is not read"),
        (800, &[100], "luma and colour difference (descriptor 100)"),
        (806, &[0, 2], "image encoding 2 is not read"),
        (808, &[0, 0, 0, 0], "read"),
    ];
    for (at, value, part) in cases {
        let found = message(&|bytes| bytes[at..at + value.len()].copy_from_slice(value));
        assert!(found.contains(part), "{at}: {found}");
    }
    let short = message(&|bytes| bytes.truncate(2048 + 44));
    assert!(short.contains("asks for 2093 bytes, 2092 are there"), "{short}");
    // Lines of 15 bytes, each padded to 16, and nothing in the header says so.
    let padded = message(&|bytes| {
        let body: Vec<u8> = bytes[2048..].chunks(15).flat_map(|line| [line, &[0]].concat()).collect();
        bytes.truncate(2048);
        bytes.extend(body);
    });
    assert!(padded.contains("read by the size of the file, lines are padded"), "{padded}");
}

#[test]
fn range_is_believed_in_the_files_own_bits() {
    for (bits, low, high, range) in [
        (8, 16, 235, Some(Range::Legal)),
        (8, 0, 255, Some(Range::Full)),
        (12, 256, 3760, Some(Range::Legal)),
        (12, 0, 1023, None),
        (16, 0, 65535, Some(Range::Full)),
    ] {
        let mut bytes = Written::new(Size::new(2, 2), Kind::Rgb, bits).bytes();
        bytes[784..788].copy_from_slice(&u32::to_be_bytes(low));
        bytes[792..796].copy_from_slice(&u32::to_be_bytes(high));
        assert_eq!(read_bytes(&bytes).unwrap().about.range, range, "{bits} {low} {high}");
    }
}

/// 16-bit frames are stored as they are, whatever their byte order, and the header says what they are.
#[test]
fn sixteen_bits_are_stored_as_they_are() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.dpx");
    for (channels, descriptor) in [(Channels::Rgb, 50), (Channels::Rgba, 51)] {
        for (order, magic, high) in
            [(ByteOrder::Big, b"SDPX", [0, 0, 0xff, 0xff]), (ByteOrder::Little, b"XPDS", [0xff, 0xff, 0, 0])]
        {
            let layout = Layout::new(channels, Samples::U16, order);
            let size = Size::new(7, 5);
            let bytes: Vec<u8> = (0..layout.byte_len(size).unwrap()).map(|i| (i * 97 % 251) as u8).collect();
            let frame = Frame::new(size, layout, bytes, 0).unwrap();
            write(&path, &frame, &About::default()).unwrap();
            let file = fs::read(&path).unwrap();
            assert_eq!(&file[2048..], frame.bytes());
            assert_eq!((&file[..4], &file[792..796]), (&magic[..], &high[..]));
            assert_eq!((file[800], file[803]), (descriptor, 16));
            let back = read(&path).unwrap();
            assert_eq!((back.frame, back.about.range), (frame, Some(Range::Full)));
        }
    }
}

/// 8-bit frames have a byte a sample in the file, and the header says so.
#[test]
fn eight_bits_are_bytes() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.dpx");
    for order in [ByteOrder::Big, ByteOrder::Little] {
        let layout = Layout::new(Channels::Rgb, Samples::Codes(8), order);
        let size = Size::new(7, 5);
        let pixels: Vec<[f32; 4]> =
            (0..size.pixels()).map(|at| [at as f32 / 255.0, 1.0 - at as f32 / 255.0, 0.5, 1.0]).collect();
        let frame = Frame::from_pixels(&pixels, size, layout, Range::Full);
        write(&path, &frame, &About::default()).unwrap();
        let file = fs::read(&path).unwrap();
        assert_eq!(file.len(), 2048 + 3 * size.pixels());
        assert_eq!((&file[2048..2054], file[803]), (&[0, 255, 128, 1, 254, 128][..], 8));
        let back = read(&path).unwrap();
        assert_eq!((back.frame.to_codes(), back.about.range), (frame.to_codes(), Some(Range::Full)));
        // SMPTE ST 268-1: the file's own size stands at byte 16.
        let length = file.len() as u32;
        assert_eq!(file[16..20], if order == ByteOrder::Big { length.to_be_bytes() } else { length.to_le_bytes() });
    }
}

#[test]
fn legal_range_travels_in_sixteen_bits() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("a.dpx");
    let layout = Layout::new(Channels::Rgb, Samples::U16, ByteOrder::Big);
    let frame = Frame::new(Size::new(1, 1), layout, vec![0; 6], 0).unwrap();
    write(&path, &frame, &About { range: Some(Range::Legal), ..About::default() }).unwrap();
    let file = fs::read(&path).unwrap();
    // 4096 and 60160, ITU-R BT.2100-2, table 9, in 16 bits.
    assert_eq!((&file[784..788], &file[792..796]), (&[0, 0, 0x10, 0][..], &[0, 0, 0xeb, 0][..]));
    assert_eq!(read(&path).unwrap().about.range, Some(Range::Legal));
}

/// Source: SMPTE ST 268-1, image encoding 1, with the flag as SMPTE RP 268-3 (element A) has it: the lowest bit
/// for pixels alike, the length above it. Worked by hand.
#[test]
fn runs_worked_by_hand() {
    let ten = |packing, words: [u32; 6]| {
        let mut written = Written::new(Size::new(4, 2), Kind::Rgb, 10);
        written.runs = true;
        written.packing = packing;
        let body: Vec<u8> = words.iter().flat_map(|word| word.to_be_bytes()).collect();
        codes(&read_bytes(&[written.header(), body].concat()).unwrap().frame)
    };
    let expected = [
        [0x3ff, 0, 0x200, 0x3ff, 0, 0x200, 0x3ff, 0, 0x200, 1, 2, 3],
        // Four alike: one run, which ends within the second word.
        [5, 6, 7, 5, 6, 7, 5, 6, 7, 5, 6, 7],
    ];
    // Three alike (flag 7) and one other (flag 2): 7 3ff 0, 200 2 1, 2 3; then four alike (flag 9): 9 5 6, 7.
    let three = |a: u32, b: u32, c: u32| a << 22 | b << 12 | c << 2;
    let words = [three(7, 0x3ff, 0), three(0x200, 2, 1), three(2, 3, 0), three(9, 5, 6), three(7, 0, 0), 0x1234_5678];
    assert_eq!(ten(Packing::MethodA, words), expected.concat());
    assert_eq!(ten(Packing::MethodB, words.map(|word| word >> 2)), expected.concat());

    let eight = |body: &[u8]| {
        let mut written = Written::new(Size::new(3, 2), Kind::Rgb, 8);
        written.runs = true;
        read_bytes(&[written.header(), body.to_vec()].concat())
    };
    let line = [1, 2, 3, 1, 2, 3, 9, 8, 7];
    // Two alike and one other, eight bytes to a line; then three others, ten bytes and two to the next word.
    let padded = [5, 1, 2, 3, 2, 9, 8, 7, 6, 1, 2, 3, 1, 2, 3, 9, 8, 7, 0, 0];
    let picture = eight(&padded).unwrap();
    assert_eq!((codes(&picture.frame), picture.about.warnings), ([line, line].concat(), Vec::<String>::new()));
    // Ten bytes first, and no padding before the second line.
    let bare = [6, 1, 2, 3, 1, 2, 3, 9, 8, 7, 5, 1, 2, 3, 2, 9, 8, 7];
    let picture = eight(&bare).unwrap();
    assert_eq!(codes(&picture.frame), [line, line].concat());
    assert!(picture.about.warnings[0].contains("without padding to 32 bits"), "{:?}", picture.about.warnings);

    for (body, words) in [
        // Eight alike where three fit, and another that fits no more.
        (&[17, 1, 2, 3, 0, 0, 0, 0][..], "in line 1 of 2 a run of 8 pixels is told where 3 are left"),
        (
            &[5, 1, 2, 3, 4, 9, 8, 7, 6, 5, 4, 0, 0, 0, 0, 0],
            "in line 1 of 2 a run of 2 pixels is told where 1 are left",
        ),
        (&[1, 1, 2, 3, 0, 0, 0, 0], "in line 1 of 2 a run of 0 pixels"),
        (&padded[..16], "its runs end in line 2 of 2"),
        (&padded[..11], "its runs end in line 2 of 2"),
        (&padded[..7], "asks for 2056 bytes, 2055 are there"),
    ] {
        let message = eight(body).unwrap_err().to_string();
        assert!(message.contains(words), "{message}");
    }
}

/// What is to be read cannot be told by the size of the file; how much it can be at most is.
#[test]
fn runs_cannot_make_more_than_their_file_holds() {
    let mut written = Written::new(Size::new(1, 1), Kind::Rgb, 8);
    written.runs = true;
    written.size = Size::new(20000, 10000);
    let start = Instant::now();
    let message = read_bytes(&written.bytes()).unwrap_err().to_string();
    // 158 runs of 127 pixels at most, four bytes each.
    assert!(message.contains("asks for 6322048 bytes"), "{message}");
    assert!(start.elapsed() < Duration::from_secs(1));
}

fn check(path: &Path) -> Picture {
    read(path).unwrap_or_else(|error| panic!("{error}"))
}

/// Source: the sum of all codes, and of each code times its index modulo 65521, of what OpenImageIO 3.2.2 and
/// numpy 2.4.6 read. The 12-bit file's codes are its words over 16, which that reader passes on unscaled.
#[test]
fn files_of_other_writers() {
    for (name, bits, sum, weighted) in [
        ("truecolor10.dpx", 10, 3_302_314, 12_747_039_469),
        ("truecolor16.dpx", 16, 211_847_340, 817_996_833_843),
        ("bars_8_le.dpx", 8, 10_434_654, 308_429_009_307),
        ("bars_10_be.dpx", 10, 41_852_313, 1_237_025_557_558),
        ("bars_12_le.dpx", 12, 167_556_572, 4_952_643_766_550),
        ("bars_16_be.dpx", 16, 2_681_703_472, 79_266_103_248_165),
    ] {
        let frame = check(&data(name)).frame;
        assert_eq!(frame.layout().bits(), bits, "{name}");
        let codes = codes(&frame);
        let found = codes.iter().enumerate().fold((0_u64, 0_u64), |(sum, weighted), (i, &code)| {
            (sum + u64::from(code), weighted + u64::from(code) * (i as u64 % 65521))
        });
        assert_eq!(found, (sum, weighted), "{name}");
    }
}

/// Four files of one picture, by another program, agree within what their depth leaves.
#[test]
fn four_depths_of_one_picture() {
    let sixteen = check(&data("bars_16_be.dpx")).frame.to_pixels(Range::Full);
    for (name, highest, codes) in [
        // The writer of the 8-bit file dithered: a whole code.
        ("bars_8_le.dpx", 255.0, 1.0),
        ("bars_10_be.dpx", 1023.0, 0.5),
        ("bars_12_le.dpx", 4095.0, 0.5),
    ] {
        let frame = check(&data(name)).frame;
        for (a, b) in frame.to_pixels(Range::Full).iter().zip(&sixteen) {
            for (a, b) in a.iter().zip(b) {
                // Single float near 1 is off by a few 6e-8 of it.
                assert!((a - b).abs() * highest <= codes + 1e-3, "{name}: {a} {b}");
            }
        }
    }
}

#[test]
fn damaged_files_of_others_are_answered() {
    let bomb = read(&data("bomb-46341.dpx")).unwrap_err().to_string();
    assert!(bomb.contains("46341x46341"), "{bomb}");
    let picture = check(&data("crash-1chan-10bit-filled-methodA.dpx"));
    assert_eq!(picture.frame.size(), Size::new(80, 60));
    assert!(picture.about.warnings[0].contains("2 image elements"), "{:?}", picture.about.warnings);
}

/// Every kind of file cut short or with one byte of its header turned: an answer at once, never a panic.
#[test]
fn damage_is_answered_at_once() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("damaged.dpx");
    let answer = |bytes: &[u8]| {
        let _ = fs::remove_file(&path);
        fs::write(&path, bytes).unwrap();
        let start = Instant::now();
        let answer = read(&path);
        // The issue allows a damaged file two seconds.
        assert!(start.elapsed() < Duration::from_secs(2));
        if let Err(error) = &answer {
            assert!(error.to_string().contains("damaged.dpx"), "{error}");
        }
        answer.is_ok()
    };
    for written in dpx_file::every_sort(Size::new(7, 5)) {
        let good = written.bytes();
        assert!(answer(&good));
        // The zeros behind the last run of a line are no part of the picture.
        let end = if written.runs { good.len() - 4 } else { good.len() - 1 };
        for len in (1900..end).step_by(13).chain([end]) {
            assert!(!answer(&good[..len]), "{written:?} at {len}");
        }
        for at in (0..36).chain(768..820) {
            for flip in [0x01, 0xff] {
                let mut bytes = good.clone();
                bytes[at] ^= flip;
                answer(&bytes);
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    /// What the test's own packer packs is what is read, code by code.
    #[test]
    fn every_sort_gives_back_its_codes(width in 1_u32..40, height in 1_u32..9, seed in any::<u32>(), padding in 0_u32..3) {
        for mut written in dpx_file::every_sort(Size::new(width, height)) {
            written.scatter(seed);
            written.line_padding = 4 * padding;
            let frame = read_written(&written).frame;
            prop_assert_eq!(frame.size(), written.size);
            prop_assert_eq!(frame.layout().bits(), u32::from(written.bits));
            prop_assert_eq!(codes(&frame), written.upright_codes(), "{:?}", written);
        }
    }
}
