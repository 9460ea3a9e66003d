//! The demo as a user gets it, read back.

#![expect(clippy::unwrap_used, reason = "a helper that fails here fails its test")]

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::LazyLock;

use colour::Encoding;
use colour::transfer::Form;
use demo::{Rect, Settings, ShotSummary, Summary, Truth, TruthPictures};
use frame::{Range, Size};
use tests::shared;

pub const SIZE: Size = Size { width: 320, height: 180 };

/// Everything that the settings ask for.
pub fn written(settings: &Settings) -> (tempfile::TempDir, Summary) {
    let dir = tempfile::tempdir().unwrap();
    let summary = demo::write(dir.path(), settings, &|_, _| true).unwrap();
    (dir, summary)
}

/// Without noise and faults.
pub fn quiet(frames: u32) -> Settings {
    Settings { size: SIZE, frames, noise: false, faults: false, seed: 7, ..Settings::default() }
}

/// Two frames of every shot without noise, written once for all tests that only read.
pub fn shared() -> (&'static Path, &'static Summary) {
    static SHARED: LazyLock<(PathBuf, Summary)> = LazyLock::new(|| {
        let this = std::env::current_exe().unwrap();
        let dir = shared::folder("quiet_film", &this, |dir| {
            demo::write(dir, &Settings { truth: TruthPictures::First, ..quiet(2) }, &|_, _| true).unwrap();
        });
        let list = fs::read_to_string(dir.join("shots.json")).unwrap();
        (dir, serde_json::from_str(&list).unwrap())
    });
    (&SHARED.0, &SHARED.1)
}

pub fn truth_of(dir: &Path, shot: &ShotSummary) -> Truth {
    serde_json::from_str(&fs::read_to_string(dir.join(&shot.truth)).unwrap()).unwrap()
}

pub fn encoding_of(shot: &ShotSummary) -> Encoding {
    Encoding::named(&shot.encoding, shot.exposure_index).unwrap()
}

/// A picture from beside the truth.
pub fn picture(dir: &Path, shot: &ShotSummary, pattern: &str, frame: u32) -> Vec<[f32; 4]> {
    let name = pattern.replace("%04d", &format!("{frame:04}"));
    media::read(&dir.join(&shot.name).join("truth").join(name)).unwrap().frame.to_pixels(Range::Full)
}

/// A map from beside the truth, as codes.
pub fn codes(dir: &Path, shot: &ShotSummary, pattern: &str, frame: u32) -> Vec<[u16; 3]> {
    let name = pattern.replace("%04d", &format!("{frame:04}"));
    media::read(&dir.join(&shot.name).join("truth").join(name)).unwrap().frame.to_codes().unwrap()
}

pub fn frame_path(dir: &Path, shot: &ShotSummary, frame: u32) -> PathBuf {
    dir.join(shot.pattern.replace("%04d", &format!("{frame:04}")))
}

/// Linear camera RGB of every pixel of a frame.
pub fn linear(dir: &Path, shot: &ShotSummary, frame: u32) -> Vec<[f64; 3]> {
    let encoding = encoding_of(shot);
    let pixels = media::read(&frame_path(dir, shot, frame)).unwrap().frame.to_pixels(Range::Full);
    let decode = |code: f32| encoding.transfer.decode(Form::Published, f64::from(code));
    pixels.into_iter().map(|[r, g, b, _]| [r, g, b].map(decode)).collect()
}

/// The pixels of a rectangle, by their places.
pub fn places(rect: Rect) -> impl Iterator<Item = usize> {
    (rect.y..rect.y + rect.height)
        .flat_map(move |y| (rect.x..rect.x + rect.width).map(move |x| (y * SIZE.width + x) as usize))
}

pub fn mean<T: Copy + Into<f64>, const N: usize>(pixels: &[[T; N]], rect: Rect) -> [f64; 3] {
    let mut sum = [0.0; 3];
    for place in places(rect) {
        for (total, value) in sum.iter_mut().zip(pixels[place]) {
            *total += value.into();
        }
    }
    sum.map(|total| total / f64::from(rect.width * rect.height))
}

pub fn all_files(dir: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let mut files = Vec::new();
    let mut folders = vec![dir.to_owned()];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                files.push((path.strip_prefix(dir).unwrap().to_owned(), fs::read(&path).unwrap()));
            }
        }
    }
    files.sort();
    files
}
