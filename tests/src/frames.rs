//! Small sequences, each frame another picture, and what a render of them leaves.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use media::About;

use crate::program::{Run, greywright};

/// Enough of a correction that every step counts, by the executor that is the same everywhere.
pub const CHAIN: &str = "input-transform encoding=LogC3 | exposure stops=0.5 | white-balance from=3200K \
    | output-transform display=BT.1886 rendering=plain";

/// Writes frame `number` of 10-bit DPX, a slope with a level of its own.
///
/// # Panics
/// It cannot be written.
pub fn write(path: &Path, number: i64, size: Size) {
    let count = size.pixels();
    let level = number.rem_euclid(97) as f32 / 200.0;
    let pixels: Vec<_> = (0..count).map(|at| [at as f32 / count as f32, level, 0.4, 1.0]).collect();
    let layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);
    let frame = Frame::from_pixels(&pixels, size, layout, Range::Full);
    media::write(path, &frame, &About::default()).unwrap_or_else(|error| panic!("{error}"));
}

/// Writes frames 1 to `count` into a folder and gives their pattern.
///
/// # Panics
/// They cannot be written.
pub fn sequence(folder: &Path, count: i64, size: Size) -> PathBuf {
    fs::create_dir_all(folder).expect("a folder can be made");
    (1..=count).for_each(|number| write(&folder.join(format!("a.{number:04}.dpx")), number, size));
    folder.join("a.%04d.dpx")
}

/// A render by the proof, dithered, so that no two frames are alike.
pub fn render(original: &Path, out: &Path) -> Run {
    let run = greywright("render --executor proof --dither triangular").with(original).with(out.join("b.%04d.dpx"));
    run.chain(CHAIN)
}

/// The files in a folder by name, all but the records of what was rendered; empty where there is none.
///
/// # Panics
/// One cannot be read.
pub fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let Ok(entries) = fs::read_dir(folder) else { return BTreeMap::new() };
    let names = entries.flatten().filter_map(|entry| entry.file_name().into_string().ok());
    let names = names.filter(|name| !is_record(name));
    names
        .map(|name| (name.clone(), fs::read(folder.join(&name)).unwrap_or_else(|error| panic!("{name}: {error}"))))
        .collect()
}

/// The files of a folder that have their final name.
pub fn finished(folder: &Path) -> Vec<String> {
    let Ok(entries) = fs::read_dir(folder) else { return Vec::new() };
    let names = entries.flatten().filter_map(|entry| entry.file_name().into_string().ok());
    names.filter(|name| !name.starts_with('.') && !is_record(name)).collect()
}

/// Whether a file is a record of what was rendered.
pub fn is_record(name: &str) -> bool {
    name.starts_with("rendered-") && name.ends_with(".tsv")
}

/// Numbers that look random and are the same in every run.
pub struct Random(u64);

impl Default for Random {
    fn default() -> Self {
        Self(0x9e37_79b9_7f4a_7c15)
    }
}

impl Random {
    /// A number below `end`.
    pub fn below(&mut self, end: u64) -> u64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 33) % end.max(1)
    }
}
