//! Pictures as OpenImageIO reads them, by `tests/reference/read_frames.py`.

use std::fs;
use std::path::{Path, PathBuf};

use frame::Samples;

use crate::program::reference;

/// A picture as OpenImageIO reads it.
#[derive(Debug)]
pub struct Outside {
    /// Pixels across.
    pub width: u32,
    /// Rows.
    pub height: u32,
    /// Samples a pixel: 3 or 4.
    pub channels: usize,
    /// What its samples are: a number of bits, `half`, `float`, or `associated` (see the script).
    pub kind: String,
    /// Where its samples are, as the script wrote them.
    pub raw: PathBuf,
}

/// What the words of a picture are.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Kind {
    /// Codes up to this one.
    Codes(f64),
    /// Codes up to 65535; colour that was multiplied by alpha outside, which we may have rounded once more.
    Associated,
    /// The bits of binary16.
    Half,
    /// The bits of binary32.
    Float,
}

impl Kind {
    /// What a frame's samples are.
    pub fn of(samples: Samples) -> Kind {
        match samples {
            Samples::Half => Kind::Half,
            Samples::Float => Kind::Float,
            codes => Kind::Codes(f64::from(codes.highest_code())),
        }
    }

    /// What a word says, 1 for the highest code.
    pub fn value(self, word: u32) -> f64 {
        match self {
            Kind::Codes(highest) => f64::from(word) / highest,
            Kind::Associated => f64::from(word) / 65535.0,
            Kind::Half => half(word),
            Kind::Float => f64::from(f32::from_bits(word)),
        }
    }
}

/// The value of a binary16, from its definition in IEEE 754.
pub fn half(bits: u32) -> f64 {
    let (exponent, fraction) = ((bits >> 10) & 31, f64::from(bits & 1023));
    let size = match exponent {
        0 => fraction * 2_f64.powi(-24),
        31 if fraction == 0.0 => f64::INFINITY,
        31 => f64::NAN,
        _ => (1024.0 + fraction) * 2_f64.powi(i32::try_from(exponent).unwrap_or(0) - 25),
    };
    if bits & 0x8000 == 0 { size } else { -size }
}

impl Outside {
    /// What its words are.
    ///
    /// # Panics
    /// The script said something else than it does.
    pub fn words_are(&self) -> Kind {
        match self.kind.as_str() {
            "associated" => Kind::Associated,
            "half" => Kind::Half,
            "float" => Kind::Float,
            bits => Kind::Codes(2_f64.powi(bits.parse().expect("a number of bits")) - 1.0),
        }
    }

    /// The samples: codes, or the bits of halves and floats. They are gone from the disk afterwards: together the
    /// pictures of a suite would fill it.
    ///
    /// # Panics
    /// They are gone already.
    pub fn samples(&self) -> Vec<u32> {
        let bytes = fs::read(&self.raw).unwrap_or_else(|error| panic!("{}: {error}", self.raw.display()));
        let _ = fs::remove_file(&self.raw);
        if self.kind == "float" {
            bytes.as_chunks::<4>().0.iter().map(|word| u32::from_le_bytes(*word)).collect()
        } else {
            bytes.as_chunks::<2>().0.iter().map(|word| u32::from(u16::from_le_bytes(*word))).collect()
        }
    }
}

/// All files by one process, in the order given, their samples in `folder`; where the library refuses a file, its word
/// for it.
///
/// # Panics
/// The script fails, or does not answer for every file.
pub fn read_outside(python: &Path, files: &[&Path], folder: &Path) -> Vec<Result<Outside, String>> {
    let list: String = files.iter().map(|file| format!("{}\n", file.display())).collect();
    let list_file = folder.join("list");
    fs::write(&list_file, list).expect("the list can be written");
    let paths = [&list_file, folder].map(|path| path.display().to_string());
    let answer = reference(python, "read_frames.py", &[&paths[0], &paths[1]]);
    let read: Vec<_> =
        answer.lines().enumerate().map(|(at, line)| picture(line, folder.join(format!("{at}.raw")))).collect();
    assert_eq!(read.len(), files.len(), "one answer a file");
    read
}

fn picture(line: &str, raw: PathBuf) -> Result<Outside, String> {
    let cells: Vec<&str> = line.split('\t').collect();
    if cells[1] != "read" {
        return Err(cells.get(2).unwrap_or(&"").to_string());
    }
    let number = |at: usize| -> u32 { cells[at].parse().unwrap_or_else(|_| panic!("no number in '{line}'")) };
    Ok(Outside { width: number(2), height: number(3), channels: number(4) as usize, kind: cells[5].to_string(), raw })
}
