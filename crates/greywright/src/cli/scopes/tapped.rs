//! The picture at a place of a chain.

use std::path::Path;
use std::str::FromStr;
use std::sync::Arc;

use colour::CodeRange;
use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use gpu::assemble::Edge;
use gpu::device::Gpu;
use graph::{Elaborated, Value};
use measure::Tap;
use session::readings::{is_display, range_at, scene};

use crate::cli::chain::{Chain, explain, file_range};
use crate::cli::engine::{self, Engine, Executor};
use crate::cli::failure::Failure;
use crate::cli::say;
use session::tones::{self, Tones};

const FLOATS: Layout = Layout::new(Channels::Rgb, Samples::Float, ByteOrder::Little);

/// A place where a picture is measured, as typed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum At {
    /// What enters the chain.
    Original,
    /// What the first output-transform is given.
    Scene,
    /// The last picture that is a display's.
    Display,
    /// What leaves a place, by its number or its member's name.
    After(String),
}

impl FromStr for At {
    type Err = String;

    fn from_str(text: &str) -> Result<At, String> {
        match text.trim() {
            "original" => Ok(At::Original),
            "scene" => Ok(At::Scene),
            "display" => Ok(At::Display),
            other => match other.strip_prefix("after").map(|rest| rest.trim_start_matches(['=', ' ']).trim()) {
                Some(place) if !place.is_empty() => Ok(At::After(place.to_string())),
                _ => Err("original, scene, display or after=N is wanted, N a place's number or name".to_string()),
            },
        }
    }
}

/// What a device needs to count a picture at its place.
pub struct Sent {
    /// The device.
    pub gpu: Arc<Gpu>,
    /// The original.
    pub frame: Arc<Frame>,
    /// What leads from it to the place.
    pub of_place: Elaborated,
}

/// A picture at a place, ready to be measured.
pub struct Tapped {
    /// The file's name.
    pub file: String,
    /// The frame's number.
    pub number: i64,
    /// The place, in words.
    pub place: String,
    /// What its numbers are.
    pub tap: Tap,
    /// How it was brought to a display, or what it is.
    pub rendering: String,
    /// How integer codes relate to its signal.
    pub range: CodeRange,
    /// Columns and rows.
    pub size: Size,
    /// The signal of each pixel.
    pub pixels: Vec<[f32; 4]>,
    /// The frame of integer codes that the numbers were read from.
    pub codes: Option<Arc<Frame>>,
    /// What a device counts it by; none where the original itself is looked at, or no device is used.
    pub sent: Option<Sent>,
    /// Bits of the original's codes; none of floats.
    pub stored_bits: Option<u32>,
    /// Samples of the original that were not finite and have been replaced before the chain.
    pub replaced: u64,
    /// What the whole chain leaves of the original's tones.
    pub tones: Option<Tones>,
}

impl Tapped {
    /// Place and signal, for people.
    pub fn in_words(&self) -> String {
        format!("{}, {}: {}", self.file, self.place, self.tap.signal())
    }

    /// Whether nothing is known of the numbers.
    pub fn is_unknown(&self) -> bool {
        self.tap.signal().is_unknown()
    }
}

/// Reads a frame and takes it to a place of the chain; to its end unless told. `print` says what that means and how it runs.
pub fn picture(
    chain: &Chain,
    number: i64,
    path: &Path,
    at: Option<&At>,
    executor: Option<Executor>,
    print: bool,
) -> Result<Tapped, Failure> {
    let media::Picture { mut frame, about } = media::read(path)?;
    let whole = chain.for_frame(&about, number)?;
    let (value, place) = resolve(at, chain, &whole)?;
    let range = range_at(&whole, value);
    let of_place = whole.at(value).ok_or_else(|| Failure::work(format!("there is no picture at {place}")))?;
    let (size, layout) = (frame.size(), frame.layout());
    if print {
        let source = Edge::Stored(layout, file_range(of_place.original_range));
        explain(chain, &of_place, source, Edge::Stored(FLOATS, Range::Full))?;
    }
    let (mut replaced, mut sent) = (0, None);
    let tones = tones::of(&frame, &whole);
    let (pixels, codes) = if value == Value(0) {
        // As stored: what is not a number is counted as such.
        let pixels = frame.to_pixels(file_range(whole.original_range));
        let integers = !layout.is_float() && !layout.has_alpha();
        (pixels, integers.then(|| Arc::new(frame)))
    } else {
        let found = frame.replace_non_finite();
        replaced = found.nan + found.infinite;
        let gpu = engine::open(executor)?;
        let mut engine = Engine::new(gpu.as_ref(), &of_place, layout, FLOATS)?;
        let frame = Arc::new(frame);
        let pixels = engine.frame(Arc::clone(&frame))?.to_pixels(Range::Full);
        sent = gpu.map(|gpu| Sent { gpu, frame, of_place: of_place.clone() });
        (pixels, None)
    };
    if replaced > 0 {
        say::note(&format!("{replaced} numbers were not finite and were replaced (NaN by 0, infinity by 65504)"));
    }
    Ok(Tapped {
        file: path.file_name().map_or_else(|| say::path(path), |name| name.to_string_lossy().into_owned()),
        number,
        place,
        tap: Tap::new(of_place.result_signal.clone()),
        rendering: of_place.rendering_in_words(),
        range,
        size,
        pixels,
        codes,
        sent,
        stored_bits: (!layout.is_float()).then(|| layout.bits()),
        replaced,
        tones,
    })
}

/// The picture that a place means, with the place in words.
pub fn resolve(at: Option<&At>, chain: &Chain, whole: &Elaborated) -> Result<(Value, String), Failure> {
    match at {
        None if whole.nodes.is_empty() => Ok((Value(0), "original".to_string())),
        None => Ok((whole.result, "result".to_string())),
        Some(At::Original) => Ok((Value(0), "original".to_string())),
        Some(At::Scene) => match scene(whole) {
            Some(value) => Ok((value, "scene".to_string())),
            None => Err(Failure::usage(
                "--at scene: the chain has no scene light; begin with an input-transform, or measure --at display",
            )),
        },
        Some(At::Display) => {
            let last = (0..=whole.nodes.len()).rev().map(Value).find(|value| is_display(whole, *value));
            let none = "--at display: nothing in the chain is a display's signal; end it with an output-transform";
            last.map(|value| (value, "display".to_string())).ok_or_else(|| Failure::usage(none))
        }
        Some(At::After(wanted)) => after(wanted, &chain.places()),
    }
}

/// The picture that leaves a place.
fn after(wanted: &str, places: &[(usize, String)]) -> Result<(Value, String), Failure> {
    let by_number: Option<usize> = wanted.parse().ok();
    let mut found = places.iter().enumerate().filter(|(_, (number, member))| match by_number {
        Some(wanted) => *number == wanted,
        None => member == wanted,
    });
    match (found.next(), found.next()) {
        (Some((at, (number, member))), None) => Ok((Value(at + 1), format!("after {number}, {member}"))),
        (Some(_), Some(_)) => Err(Failure::usage(format!(
            "--at after={wanted}: more than one place is {wanted}; say its number: {}",
            list(places)
        ))),
        (None, _) if places.is_empty() => {
            Err(Failure::usage(format!("--at after={wanted}: the chain is empty; only the original can be measured")))
        }
        (None, _) => Err(Failure::usage(format!("--at after={wanted}: no such place; there are {}", list(places)))),
    }
}

fn list(places: &[(usize, String)]) -> String {
    places.iter().map(|(number, member)| format!("{number} {member}")).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_read_as_they_are_written() {
        for (text, want) in [("original", At::Original), ("scene", At::Scene), ("display", At::Display)] {
            assert_eq!(text.parse(), Ok(want));
        }
        for text in ["after=2", "after 2", "after= 2"] {
            assert_eq!(text.parse(), Ok(At::After("2".to_string())), "{text}");
        }
        for text in ["", "after", "after=", "before=2", "2"] {
            assert!(text.parse::<At>().is_err(), "{text}");
        }
    }

    #[test]
    fn a_place_is_found_by_number_and_by_name() {
        let places = [(0, "input"), (3, "exposure"), (2, "exposure")].map(|(at, name)| (at, name.to_string()));
        assert_eq!(after("3", &places).unwrap(), (Value(2), "after 3, exposure".to_string()));
        assert_eq!(after("input", &places).unwrap().0, Value(1));
        let message = |wanted: &str| after(wanted, &places).unwrap_err().message;
        assert!(message("exposure").contains("say its number: 0 input, 3 exposure, 2 exposure"));
        assert!(message("7").contains("no such place"));
        assert!(after("0", &[]).unwrap_err().message.contains("empty"));
    }
}
