//! Real files from many writers, as we read them and as OpenImageIO does: every picture of the collection that lies
//! beside the checkout as `../shared/media`, row by row of its manifest.
//!
//! A file of a kind that is not read yet is listed with our word for it and fails nothing; one that is read must be
//! right. Without the collection, or without the Python that `GREYWRIGHT_PYTHON` names, this is skipped with a printed
//! reason.

use std::fmt::Write as _;
use std::fs;
use std::panic::catch_unwind;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use frame::{ByteOrder, Frame, Samples};
use media::{MediaError, Picture};
use rayon::prelude::*;
use tests::outside::{Kind, Outside, half, read_outside};
use tests::program::python;

/// What the issue promises for a damaged file.
const LONGEST_ANSWER: Duration = Duration::from_secs(2);
/// What the issue promises for integers: 1 part in 65535, and a hair for the division itself.
const ONE_PART: f64 = 1.000_001 / 65535.0;
/// What a JPEG file holds are luma and colour difference, in which decoders may round either way by a code (ITU-T T.83
/// asks for no more). A code of colour difference is 1.772 codes of blue (ITU-T T.871), so two codes are usual; all
/// three at once, next to a clipped value, reach further in a handful of samples. Measured: 1 sample in 2000 beyond two
/// codes at worst, none beyond seven.
const JPEG: Bound = Bound { usual: 2.000_001 / 255.0, share_beyond: 1e-3, most: 8.0 / 255.0 };

const PICTURES: [&str; 8] = ["cin", "dpx", "exr", "jpg", "jpeg", "png", "tif", "tiff"];

/// A row of the manifest that is about a picture.
struct Row {
    path: String,
    file: PathBuf,
    /// What the manifest says of it.
    check: String,
    /// Whether it is there to be refused, or at least survived.
    is_bad: bool,
}

impl Row {
    fn is_jpeg(&self) -> bool {
        self.path.ends_with(".jpg") || self.path.ends_with(".jpeg")
    }
}

/// The pictures of the manifest, or `None` with the reason printed.
fn rows() -> Option<Vec<Row>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../shared/media");
    let Ok(text) = fs::read_to_string(folder.join("MANIFEST.tsv")) else {
        println!("skipped: {} is not there", folder.display());
        return None;
    };
    let rows: Vec<Row> = text.lines().skip(1).filter_map(|line| row(&folder, line)).collect();
    assert!(rows.len() > 100, "the manifest has {} pictures: its columns are not what they were", rows.len());
    Some(rows)
}

fn row(folder: &Path, line: &str) -> Option<Row> {
    let cells: Vec<&str> = line.split('\t').collect();
    let [path, kind, check] = [cells.first()?, cells.get(1)?, cells.get(5)?];
    let is_bad = kind.contains("bad") || kind.contains("damaged");
    let ending = Path::new(path).extension().and_then(|ending| ending.to_str()).unwrap_or_default();
    // Damaged pictures have the names that their finders gave them.
    let is_picture = PICTURES.contains(&ending) || (is_bad && path.starts_with("exr/"));
    is_picture.then(|| Row { path: (*path).to_string(), file: folder.join(path), check: (*check).to_string(), is_bad })
}

/// A frame's samples as stored: codes, or the bits of halves and floats.
fn stored(frame: &Frame) -> Vec<u32> {
    let layout = frame.layout();
    let u16_from = |bytes: &[u8; 2]| match layout.order {
        ByteOrder::Big => u16::from_be_bytes(*bytes),
        ByteOrder::Little => u16::from_le_bytes(*bytes),
    };
    let u32_from = |bytes: &[u8; 4]| match layout.order {
        ByteOrder::Big => u32::from_be_bytes(*bytes),
        ByteOrder::Little => u32::from_le_bytes(*bytes),
    };
    let words = frame.bytes().as_chunks::<4>().0.iter().map(u32_from);
    match layout.samples {
        Samples::Ten => words.flat_map(|word| [22, 12, 2].map(|shift| (word >> shift) & 1023)).collect(),
        Samples::Float => words.collect(),
        Samples::Codes(_) | Samples::Half => {
            frame.bytes().as_chunks::<2>().0.iter().map(|bytes| u32::from(u16_from(bytes))).collect()
        }
    }
}

/// How far samples may be apart: all but a share of them by the usual, none by more than the most.
#[derive(Debug, Clone, Copy)]
struct Bound {
    usual: f64,
    share_beyond: f64,
    most: f64,
}

/// No distance at all: floats agree to the bit.
const EXACT: Bound = Bound { usual: 0.0, share_beyond: 0.0, most: 0.0 };

fn bound(row: &Row, own: Kind, other: Kind) -> Bound {
    let within = |usual| Bound { usual, share_beyond: 0.0, most: usual };
    match (own, other) {
        (Kind::Codes(_), Kind::Codes(_)) if row.is_jpeg() => JPEG,
        // Both round the product of colour and alpha: half a code each.
        (Kind::Codes(highest), Kind::Associated) => within(ONE_PART + 0.5 / highest),
        (Kind::Codes(_), Kind::Codes(_)) => within(ONE_PART),
        _ => EXACT,
    }
}

/// How far two samples are apart; infinitely far where they are of one kind of float and differ in a bit.
fn distance((own, word): (Kind, u32), (kind, other): (Kind, u32)) -> f64 {
    let (a, b) = (own.value(word), kind.value(other));
    match own {
        _ if own == kind && word == other => 0.0,
        Kind::Half | Kind::Float if own == kind => f64::INFINITY,
        _ if a.is_nan() && b.is_nan() => 0.0,
        _ if a == b => 0.0,
        // A number is as far from none as can be; a comparison with NaN would pass it over.
        _ if a.is_nan() || b.is_nan() => f64::INFINITY,
        _ => (a - b).abs(),
    }
}

/// Says in what a frame agrees with the outside, or where it does not.
fn compare(row: &Row, frame: &Frame, outside: &Outside, theirs: &[u32]) -> Result<String, String> {
    let (size, layout) = (frame.size(), frame.layout());
    let channels = if layout.has_alpha() { 4 } else { 3 };
    if (size.width, size.height, channels) != (outside.width, outside.height, outside.channels) {
        let Outside { width, height, channels: theirs, .. } = outside;
        return Err(format!("{size} with {channels} channels, outside {width}x{height} with {theirs}"));
    }
    let words = stored(frame);
    if words.len() != theirs.len() {
        return Err(format!("{} samples, outside {}", words.len(), theirs.len()));
    }
    let (own, kind) = (Kind::of(layout.samples), outside.words_are());
    let bound = bound(row, own, kind);
    let (mut worst, mut beyond, mut first) = (0.0_f64, 0, None);
    for (at, (&word, &other)) in words.iter().zip(theirs).enumerate() {
        let apart = distance((own, word), (kind, other));
        if apart > bound.usual {
            beyond += 1;
            first.get_or_insert(at);
        }
        worst = worst.max(apart);
    }
    let share = f64::from(beyond) / words.len() as f64;
    if let Some(at) = first.filter(|_| worst > bound.most || share > bound.share_beyond) {
        let (pixel, channel) = (at / channels, at % channels);
        let (x, y) = (pixel % size.width as usize, pixel / size.width as usize);
        let (a, b) = (own.value(words[at]), kind.value(theirs[at]));
        let parts = worst * 65535.0;
        return Err(format!(
            "{beyond} samples too far, {parts:.1} parts in 65535 at worst; the first at column {x}, row {y}, \
             channel {channel}: {a}, outside {b}"
        ));
    }
    let how = if worst == 0.0 { "equal".to_string() } else { format!("{:.2} parts in 65535 apart", worst * 65535.0) };
    Ok(format!("{how}; {size}, {}", layout.name()))
}

/// A sound file of a kind that is not read, as opposed to one that is thought to be broken.
fn is_not_read(error: &MediaError) -> bool {
    matches!(error, MediaError::Unsupported { .. } | MediaError::WrongMagic { .. })
}

/// One line of the table; the file's path is left out of our own messages.
fn say(table: &mut String, row: &Row, got: &str) {
    let file = row.file.display().to_string();
    let got = got.replace(&format!("{file}: "), "").replace(&file, &row.path);
    let check: String = row.check.chars().take(76).collect();
    writeln!(table, "{}\t{check}\t{got}", row.path).expect("text takes text");
}

/// What came of reading a good file.
enum Got {
    Equal(String),
    NotRead(String),
    /// OpenImageIO does not read it.
    Alone(String),
    Wrong(String),
}

fn got(row: &Row, outside: &Result<Outside, String>) -> Got {
    match (media::read(&row.file), outside) {
        (Err(error), _) if is_not_read(&error) => Got::NotRead(error.to_string()),
        (Err(error), _) => Got::Wrong(error.to_string()),
        (Ok(_), Err(word)) => Got::Alone(word.clone()),
        (Ok(Picture { frame, .. }), Ok(outside)) => match compare(row, &frame, outside, &outside.samples()) {
            Ok(how) => Got::Equal(how),
            Err(why) => Got::Wrong(why),
        },
    }
}

#[test]
fn pictures_are_read_as_outside() {
    let Some(rows) = rows() else { return };
    let Some(python) = python() else { return };
    let good: Vec<&Row> = rows.iter().filter(|row| !row.is_bad).collect();
    let folder = tempfile::tempdir().expect("a folder can be made");
    let files: Vec<&Path> = good.iter().map(|row| row.file.as_path()).collect();
    let outside = read_outside(&python, &files, folder.path());
    let all: Vec<Got> = good.par_iter().zip(&outside).map(|(row, outside)| got(row, outside)).collect();
    let (mut table, mut wrong) = (String::new(), Vec::new());
    let [mut equal, mut unread, mut alone] = [0; 3];
    for (row, got) in good.iter().zip(all) {
        let text = match got {
            Got::Equal(how) => {
                equal += 1;
                how
            }
            Got::NotRead(word) => {
                unread += 1;
                format!("not read: {word}")
            }
            Got::Alone(word) => {
                alone += 1;
                format!("read, but not outside: {word}")
            }
            Got::Wrong(why) => {
                wrong.push(format!("{}: {why}", row.path));
                format!("WRONG: {why}")
            }
        };
        say(&mut table, row, &text);
    }
    println!("file\texpected\tgot\n{table}");
    println!("{equal} equal, {unread} not read, {alone} read here alone, {} wrong", wrong.len());
    assert!(wrong.is_empty(), "read otherwise than by OpenImageIO:\n{}", wrong.join("\n"));
    assert!(equal > 0, "nothing was compared");
}

#[test]
fn damaged_pictures_are_answered_quickly() {
    let Some(rows) = rows() else { return };
    let (mut table, mut wrong) = (String::new(), Vec::new());
    for row in rows.iter().filter(|row| row.is_bad) {
        let answer = || {
            let started = Instant::now();
            (catch_unwind(|| media::read(&row.file)), started.elapsed())
        };
        let (mut answered, mut took) = answer();
        if took > LONGEST_ANSWER {
            // Other work on the same machine may have had its share.
            (answered, took) = answer();
        }
        let got = match answered {
            Err(_) => {
                wrong.push(format!("{}: a panic", row.path));
                "PANIC".to_string()
            }
            Ok(Ok(Picture { frame, .. })) => format!("read; {}, {}", frame.size(), frame.layout().name()),
            Ok(Err(error)) => {
                let text = error.to_string();
                if !text.contains(&row.file.display().to_string()) {
                    wrong.push(format!("{}: the message does not name the file: {text}", row.path));
                }
                text
            }
        };
        if took > LONGEST_ANSWER {
            wrong.push(format!("{}: {:.1} s", row.path, took.as_secs_f64()));
        }
        say(&mut table, row, &format!("{:.3} s: {got}", took.as_secs_f64()));
    }
    println!("file\texpected\tgot\n{table}");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The comparison can fail: one code of sixteen bits too many is seen, and one bit of a half.
#[test]
fn a_wrong_sample_is_seen() {
    use frame::{Channels, Layout, Size};
    let row = Row { path: "a.dpx".into(), file: "a.dpx".into(), check: String::new(), is_bad: false };
    let frame = |samples, word: u16| {
        let layout = Layout::new(Channels::Rgb, samples, ByteOrder::Little);
        let bytes = [[0, 0], [0, 0], word.to_le_bytes()].concat();
        Frame::new(Size::new(1, 1), layout, bytes, 0).expect("a pixel")
    };
    let outside = |kind: &str| Outside { width: 1, height: 1, channels: 3, kind: kind.into(), raw: PathBuf::new() };
    let check = |samples, word, kind, other| compare(&row, &frame(samples, word), &outside(kind), &[0, 0, other]);
    assert!(check(Samples::U16, 1000, "16", 1001).is_ok(), "one part in 65535");
    assert!(check(Samples::U16, 1000, "16", 1002).is_err());
    // 512 of 1023 widened to sixteen bits by repetition, and the next code.
    assert!(check(Samples::Codes(10), 512, "16", (512 << 6) | (512 >> 4)).is_ok());
    assert!(check(Samples::Codes(10), 513, "16", (512 << 6) | (512 >> 4)).is_err());
    assert!(check(Samples::Half, 0x3c00, "half", 0x3c00).is_ok());
    assert!(check(Samples::Half, 0x3c00, "half", 0x3c01).is_err());
    assert!(check(Samples::Half, 0x3c00, "float", 1.0_f32.to_bits()).is_ok());
    assert!(check(Samples::Half, 0x3c00, "float", 1.001_f32.to_bits()).is_err());
    assert!(check(Samples::Half, 0x3c00, "float", f32::NAN.to_bits()).is_err());
    assert!(check(Samples::Half, 0x7e00, "float", f32::NAN.to_bits()).is_ok());
    assert_eq!([half(0x0001), half(0xc000), half(0x7bff)], [2_f64.powi(-24), -2.0, 65504.0]);
}
