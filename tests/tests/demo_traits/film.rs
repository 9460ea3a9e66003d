//! The film as the program writes it, read back.

use std::path::PathBuf;
use std::sync::LazyLock;

use colour::transfer::Form;
use colour::{Encoding, Xy, difference, primaries};
use demo::{MarkTruth, Rect, ShotSummary, Summary, Truth};
use frame::Range;
use serde_json::Value;
use tests::program::{binary, eval, greywright};
use tests::shared;

/// Frames of [`FILM`].
pub const FRAMES: u32 = 8;
/// What the maps' codes are shares of.
pub const WHOLE: u16 = 65_535;

/// Every shot, a few frames of each, with all truth.
pub static FILM: LazyLock<Film> =
    LazyLock::new(|| Film::written("all_shots", &format!("--size 480x270 --frames {FRAMES}")));
/// The whole of the shots whose light changes, small.
pub static CHANGING: LazyLock<Film> = LazyLock::new(|| {
    Film::written("changing_light", "--size 240x135 --frames 48 --truth first --shots deck_030,wheelhouse_010")
});

/// A film on disk.
pub struct Film {
    dir: PathBuf,
    summary: Summary,
}

/// A shot of it.
pub struct Shot {
    dir: PathBuf,
    summary: ShotSummary,
    pub truth: Truth,
    pub encoding: Encoding,
}

impl Film {
    fn written(name: &str, settings: &str) -> Self {
        let dir = shared::folder(name, &binary(), |dir| {
            greywright(&format!("demo --no-faults {settings}")).with(dir).done();
        });
        let list = std::fs::read_to_string(dir.join("shots.json")).expect("the list of shots");
        Self { summary: serde_json::from_str(&list).expect("the list holds"), dir }
    }

    pub fn project(&self) -> PathBuf {
        self.dir.join(demo::PROJECT_NAME)
    }

    pub fn shots(&self) -> impl Iterator<Item = Shot> {
        self.summary.shots.iter().map(|shot| self.shot(&shot.name))
    }

    pub fn shot(&self, name: &str) -> Shot {
        let summary = self.summary.shots.iter().find(|shot| shot.name == name).expect("a shot of the film").clone();
        let dir = self.dir.clone();
        let truth = std::fs::read_to_string(dir.join(&summary.truth)).expect("a truth");
        let encoding = Encoding::named(&summary.encoding, summary.exposure_index).expect("built in");
        Shot { dir, truth: serde_json::from_str(&truth).expect("the truth holds"), encoding, summary }
    }
}

impl Shot {
    pub fn name(&self) -> &str {
        &self.summary.name
    }

    /// The path of a frame, counted from 1.
    pub fn frame(&self, number: u32) -> PathBuf {
        self.dir.join(numbered(&self.summary.pattern, number))
    }

    /// Code values of every pixel.
    pub fn codes(&self, number: u32) -> Vec<[u16; 3]> {
        let frame = media::read(&self.frame(number)).unwrap_or_else(|error| panic!("{error}")).frame;
        frame.to_codes().expect("codes")
    }

    /// Linear camera light of every pixel.
    pub fn linear(&self, number: u32) -> Vec<[f64; 3]> {
        let frame = media::read(&self.frame(number)).unwrap_or_else(|error| panic!("{error}")).frame;
        let decode = |code: f32| self.encoding.transfer.decode(Form::Published, f64::from(code));
        frame.to_pixels(Range::Full).into_iter().map(|[r, g, b, _]| [r, g, b].map(decode)).collect()
    }

    /// Linear AP1 light of every pixel.
    pub fn scene(&self, number: u32) -> Vec<[f64; 3]> {
        let matrix = self.encoding.aces_from_rgb();
        self.linear(number).into_iter().map(|rgb| matrix.apply(rgb)).collect()
    }

    /// A picture of the truth, linear AP1.
    pub fn truly(&self, pattern: &str, number: u32) -> Vec<[f64; 3]> {
        let frame = media::read(&self.beside(pattern, number)).unwrap_or_else(|error| panic!("{error}")).frame;
        frame.to_pixels(Range::Full).into_iter().map(|[r, g, b, _]| [r, g, b].map(f64::from)).collect()
    }

    /// A map of the truth.
    pub fn map(&self, pattern: &str, number: u32) -> Vec<[u16; 3]> {
        let frame = media::read(&self.beside(pattern, number)).unwrap_or_else(|error| panic!("{error}")).frame;
        frame.to_codes().expect("codes")
    }

    fn beside(&self, pattern: &str, number: u32) -> PathBuf {
        self.dir.join(self.name()).join("truth").join(numbered(pattern, number))
    }

    /// Pixels that show a material more than any other.
    pub fn mostly(&self, material: &str, number: u32) -> Vec<usize> {
        let id = self.id(material);
        let map = self.map(&self.truth.pictures.maps, number);
        (0..map.len()).filter(|place| usize::from(map[*place][0]) == id).collect()
    }

    fn id(&self, material: &str) -> usize {
        self.truth.materials.iter().position(|own| own.name == material).expect("a material")
    }

    /// Pixels that show a material alone.
    pub fn alone(&self, material: &str, number: u32) -> Vec<usize> {
        let id = self.id(material);
        let map = self.map(&self.truth.pictures.maps, number);
        let found = map.iter().enumerate().filter(|(_, [own, _, share])| usize::from(*own) == id && *share == WHOLE);
        found.map(|(place, _)| place).collect()
    }

    pub fn mark(&self, name: &str) -> &MarkTruth {
        let found = self.truth.marks.iter().find(|mark| mark.name == name);
        found.unwrap_or_else(|| panic!("{}: no mark '{name}'", self.name()))
    }

    /// Mean of a rectangle.
    pub fn mean(&self, pixels: &[[f64; 3]], rect: Rect) -> [f64; 3] {
        let width = self.truth.size[0];
        let rows = rect.y..rect.y + rect.height;
        let places = rows.flat_map(|y| (rect.x..rect.x + rect.width).map(move |x| (y * width + x) as usize));
        mean(places.map(|place| pixels[place]))
    }

    /// Scene light through the true correction, veil left to it where there is one; CIELAB of what the display shows.
    pub fn corrected(&self, scene: &[[f64; 3]], veil: bool) -> Vec<[f64; 3]> {
        let steps = self.truth.correction.split(" | ").skip(1).filter(|step| veil || !step.starts_with("flare"));
        let shown = eval("proof", &steps.collect::<Vec<_>>().join(" | "), scene);
        shown.into_iter().map(|signal| lab(signal.map(light_of_signal))).collect()
    }

    /// What `probe` reads of a place in scene light, frame by frame.
    pub fn probed(&self, rect: Rect) -> Vec<Value> {
        let Rect { x, y, width, height } = rect;
        let index = self.summary.exposure_index.map_or_else(String::new, |index| format!(" ei={index}"));
        let run = greywright("probe --executor proof --json --over-time --at scene --area")
            .with(format!("it={x},{y},{width},{height}"))
            .with(self.dir.join(&self.summary.pattern))
            .chain(&format!("input-transform encoding={}{index}", self.summary.encoding));
        let told = run.done().json();
        let frames = told["frames"].as_array().expect("frames");
        frames.iter().map(|frame| frame["areas"][0]["readings"][0].clone()).collect()
    }
}

fn numbered(pattern: &str, number: u32) -> String {
    pattern.replace("%04d", &format!("{number:04}"))
}

pub fn mean(pixels: impl Iterator<Item = [f64; 3]>) -> [f64; 3] {
    let (mut sum, mut count) = ([0.0; 3], 0.0);
    for pixel in pixels {
        count += 1.0;
        for (sum, value) in sum.iter_mut().zip(pixel) {
            *sum += value;
        }
    }
    assert!(count > 0.0, "no pixel");
    sum.map(|sum| sum / count)
}

/// Light of a BT.1886 signal, 1 at the peak; Rec. ITU-R BT.1886 with black at 0. Below black as above.
fn light_of_signal(signal: f64) -> f64 {
    signal.signum() * signal.abs().powf(2.4)
}

/// CIELAB of linear BT.709 light.
fn lab(light: [f64; 3]) -> [f64; 3] {
    difference::cielab(primaries::BT709.xyz_from_rgb().apply(light), Xy::new(0.3127, 0.3290))
}

/// A number out of the program's JSON.
pub fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("no number: {value}"))
}
