//! Areas of a frame, read at places of a chain.
//!
//! The areas alone are cut out and sent through the chain, since every operation is on points. Codes of an original are read
//! exactly as they are stored.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::sync::Arc;

use colour::white::White;
use colour::{CodeRange, Xy, range};
use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples};
use gpu::device::Gpu;
use graph::{Elaborated, Value};
use measure::Tap;
use measure::readings::{Average, Probe, Reading};
use ops::Reference;

use crate::Fault;
use crate::chain::{Chain, file_range};
use crate::engine::Engine;

const FLOATS: Layout = Layout::new(Channels::Rgb, Samples::Float, ByteOrder::Little);
/// Depth of a display's codes where neither the original nor the user says one.
const USUAL_BITS: u32 = 10;

/// Where in a chain is read, and what the numbers there are.
#[derive(Debug, Clone)]
pub struct Place {
    /// The place, in words.
    pub name: String,
    /// What the numbers are.
    pub tap: Tap,
    /// Depth and range of codes, if there are some.
    pub codes: Option<(u32, CodeRange)>,
    /// How the picture there was brought to a display, or what it is.
    pub rendering: String,
    /// The white that the camera was set to, where the numbers are still the camera's.
    pub camera_white: Option<White>,
}

impl Place {
    /// A place of a chain for frames of a layout, with codes of so many bits; where none are said, those of the original or of a
    /// display as usual.
    ///
    /// # Errors
    /// There is no such picture.
    pub fn of(
        chain: &Chain,
        whole: &Elaborated,
        value: Value,
        words: &str,
        layout: Layout,
        bits: Option<u32>,
    ) -> Result<Place, Fault> {
        let of_place = led_out(whole, value)?;
        let tap = Tap::new(of_place.result_signal.clone());
        let stored = (!layout.is_float()).then(|| layout.bits());
        let is_original = value == Value(0);
        let has_codes = tap.is_code() || is_original && stored.is_some();
        let display = (!tap.is_scene()).then_some(USUAL_BITS);
        let bits = bits.or(stored).or(display).filter(|_| has_codes);
        Ok(Place {
            name: words.to_string(),
            tap,
            codes: bits.map(|bits| (bits.clamp(8, 16), range_at(whole, value))),
            rendering: of_place.rendering_in_words(),
            camera_white: chain.shot().and_then(|shot| shot.camera_white).filter(|_| is_original),
        })
    }
}

/// How the codes at a place span the signal.
pub fn range_at(whole: &Elaborated, value: Value) -> CodeRange {
    let before = value.0.checked_sub(1).and_then(|before| whole.nodes.get(before));
    match before {
        _ if value == whole.result => whole.result_range,
        None => whole.original_range,
        Some(node) if node.gives == whole.original => whole.original_range,
        Some(_) => CodeRange::Full,
    }
}

/// Whether the picture at a place is a display's.
pub fn is_display(whole: &Elaborated, value: Value) -> bool {
    let node = value.0.checked_sub(1).and_then(|before| whole.nodes.get(before));
    matches!(node.map_or(&whole.original, |node| &node.gives).reference, Reference::Display { .. })
}

/// The last picture that is still the scene's light: what is first brought to a display, else the result. None where the chain
/// has no scene light.
pub fn scene(whole: &Elaborated) -> Option<Value> {
    let to_display = whole
        .nodes
        .iter()
        .enumerate()
        .find(|(at, node)| is_display(whole, Value(at + 1)) && !is_display(whole, node.input));
    match to_display {
        Some((_, node)) => Some(node.input),
        None => (!is_display(whole, whole.result)).then_some(whole.result),
    }
}

/// A chain that has been led out at a place, and what runs it.
struct Led {
    elaborated: Elaborated,
    layout: Layout,
    engine: Engine,
}

impl Led {
    /// Whether frames of this layout through this chain differ from its own in numbers alone.
    fn fits(&self, elaborated: &Elaborated, layout: Layout) -> bool {
        let original = |of: &Elaborated| (of.original.clone(), of.original_range);
        self.layout == layout && original(&self.elaborated) == original(elaborated)
    }
}

/// What reads parts of frames.
pub struct Reader {
    gpu: Option<Arc<Gpu>>,
    /// By the place's picture.
    led: BTreeMap<usize, Led>,
}

impl Reader {
    /// A reader; without a GPU the proof computes.
    pub fn new(gpu: Option<Arc<Gpu>>) -> Self {
        Self { gpu, led: BTreeMap::new() }
    }

    /// Reads a part of a frame at a place. None where no pixel is finite.
    ///
    /// # Errors
    /// There is no such picture; what computes fails.
    pub fn read(
        &mut self,
        whole: &Elaborated,
        value: Value,
        place: &Place,
        part: &Frame,
        (average, target_white): (Average, Xy),
    ) -> Result<Option<Reading>, Fault> {
        let pixels = self.pixels(whole, value, part)?;
        let probe = Probe { tap: place.tap.clone(), codes: place.codes, average, target_white };
        Ok(probe.read_values(pixels))
    }

    /// The signal of a part of a frame at a place, before any clamp of a file.
    ///
    /// # Errors
    /// There is no such picture; what computes fails.
    pub fn pixels(&mut self, whole: &Elaborated, value: Value, part: &Frame) -> Result<Vec<[f64; 3]>, Fault> {
        if value == Value(0) {
            return Ok(as_stored(part, whole.original_range));
        }
        let mut part = part.clone();
        part.replace_non_finite();
        let layout = part.layout();
        let engine = self.engine(value, led_out(whole, value)?, layout)?;
        Ok(doubles(&engine.frame(Arc::new(part))?.to_pixels(Range::Full)))
    }

    /// What runs the chain to a place: that of the frame before where nothing else changed than numbers.
    fn engine(&mut self, value: Value, elaborated: Elaborated, layout: Layout) -> Result<&mut Engine, Fault> {
        match self.led.entry(value.0) {
            Entry::Occupied(led) if led.get().fits(&elaborated, layout) => {
                let led = led.into_mut();
                if led.elaborated != elaborated {
                    led.engine.set(&elaborated)?;
                    led.elaborated = elaborated;
                }
                Ok(&mut led.engine)
            }
            entry => {
                let engine = Engine::new(self.gpu.as_ref(), &elaborated, layout, FLOATS)?;
                Ok(&mut entry.insert_entry(Led { elaborated, layout, engine }).into_mut().engine)
            }
        }
    }
}

/// The signal of what a file holds: of codes exactly, and what is not a number as such.
pub fn as_stored(part: &Frame, range: CodeRange) -> Vec<[f64; 3]> {
    match part.to_codes() {
        Some(codes) => {
            let (scale, offset) = range::scale_and_offset(part.layout().bits(), range);
            codes.into_iter().map(|rgb| rgb.map(|code| (f64::from(code) - offset) / scale)).collect()
        }
        None => doubles(&part.to_pixels(file_range(range))),
    }
}

fn doubles(pixels: &[[f32; 4]]) -> Vec<[f64; 3]> {
    pixels.iter().map(|[red, green, blue, _]| [*red, *green, *blue].map(f64::from)).collect()
}

fn led_out(whole: &Elaborated, value: Value) -> Result<Elaborated, Fault> {
    // What leaves in codes of a range is read as signal.
    whole.at(value).ok_or_else(|| Fault::failed("there is no such picture in the chain"))
}

/// One code in signal; 0 where the file holds floats.
pub fn code_of(layout: Layout, codes: CodeRange) -> f64 {
    if layout.is_float() { 0.0 } else { 1.0 / range::scale_and_offset(layout.bits(), codes).0 }
}

/// CIE XYZ of the mean light of pixels; black of none.
pub fn mean_xyz(tap: &Tap, pixels: impl IntoIterator<Item = [f64; 3]>) -> [f64; 3] {
    let (mut sum, mut count) = ([0.0; 3], 0.0);
    for light in pixels.into_iter().map(|pixel| tap.light(pixel)).filter(|light| light.iter().all(|v| v.is_finite())) {
        sum = [0, 1, 2].map(|i| sum[i] + light[i]);
        count += 1.0;
    }
    tap.xyz(sum.map(|v| v / f64::max(count, 1.0)))
}
