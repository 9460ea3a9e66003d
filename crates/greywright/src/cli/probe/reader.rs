//! Frames one at a time through a chain, read where the areas are. Nothing of a frame stays but its readings.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::path::Path;
use std::sync::Arc;

use colour::{CodeRange, Xy, range};
use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples};
use gpu::device::Gpu;
use graph::{Elaborated, Value};
use measure::Tap;
use measure::confidence::Declared;
use measure::readings::{Average, Probe, Reading};
use measure::scopes::Region;
use serde::Serialize;

use super::areas::Named;
use super::record::{Place, Record};
use crate::cli::chain::{Chain, file_range};
use crate::cli::confidence;
use crate::cli::engine::Engine;
use crate::cli::failure::Failure;
use crate::cli::say;
use crate::cli::scopes::{At, range_at, resolve};

const FLOATS: Layout = Layout::new(Channels::Rgb, Samples::Float, ByteOrder::Little);
/// Depth of a display's codes where neither the original nor the user says one.
const USUAL_BITS: u32 = 10;

/// How readings are taken.
#[derive(Debug, Clone)]
pub struct Terms {
    /// The places; original, scene and result unless told.
    pub at: Vec<At>,
    /// Depth of codes; the original's unless told.
    pub bits: Option<u32>,
    /// Which average colour is that of.
    pub average: Average,
    /// What white is told from.
    pub target: Xy,
    /// Left, top, width and height that areas are cut to.
    pub region: Option<[u32; 4]>,
    /// Areas that are known to be grey cards, by name.
    pub cards: Vec<String>,
    /// What is declared of them.
    pub declared: Declared,
}

/// What one area measures at a frame.
#[derive(Debug, Clone, Serialize)]
pub struct OfArea {
    pub name: String,
    /// Left, top, width and height of the pixels that were read; none where the area lies outside.
    pub pixels: Option<[u32; 4]>,
    pub readings: Vec<Record>,
}

/// What all areas measure at a frame.
#[derive(Debug, Clone, Serialize)]
pub struct OfFrame {
    pub frame: i64,
    pub file: String,
    /// Left, top, width and height.
    pub measuring_region: [u32; 4],
    pub areas: Vec<OfArea>,
}

/// A chain that has been led out at a place, and what runs it.
struct Led {
    elaborated: Elaborated,
    layout: Layout,
    engine: Engine,
}

/// What reads frames.
pub struct Reader<'a> {
    chain: &'a Chain,
    gpu: Option<Arc<Gpu>>,
    terms: &'a Terms,
    /// By the place's picture.
    led: BTreeMap<usize, Led>,
}

impl<'a> Reader<'a> {
    /// A reader; without a GPU the proof computes.
    pub fn new(chain: &'a Chain, gpu: Option<Arc<Gpu>>, terms: &'a Terms) -> Reader<'a> {
        Reader { chain, gpu, terms, led: BTreeMap::new() }
    }

    /// Reads the areas of a frame; the whole measuring region where there are none.
    ///
    /// # Errors
    /// A file that cannot be read, a chain without meaning for it, a place that is not there, a measuring region outside the
    /// picture.
    pub fn read(&mut self, number: i64, path: &Path, areas: &[Named]) -> Result<OfFrame, Failure> {
        let media::Picture { frame, about } = media::read(path)?;
        let whole = self.chain.for_frame(&about, number)?;
        let places = self.places(&whole)?;
        let measured = self.measuring_region(&frame, path)?;
        let placed: Vec<(String, Option<Region>)> = match areas {
            [] => vec![("picture".to_string(), Some(measured))],
            areas => {
                let place = |named: &Named| named.area.at(number).and_then(|area| area.pixels(measured));
                areas.iter().map(|named| (named.name.clone(), place(named))).collect()
            }
        };
        let mut of_areas = Vec::with_capacity(placed.len());
        for (name, region) in placed {
            let mut readings = Vec::new();
            if let Some(region) = region {
                let part = frame.crop(region.x(), region.y(), region.width(), region.height());
                for (value, words) in &places {
                    let place = self.place(&whole, *value, words, frame.layout())?;
                    let reading = self.reading(&whole, *value, &place, &part)?;
                    let record = reading.map(|reading| Record::of(&place, &reading, self.terms.target));
                    let is_card = *value == Value(0) && self.terms.cards.contains(&name);
                    let sure = if is_card { self.confidence(&whole, &place, &frame, measured, &part) } else { None };
                    readings.extend(record.map(|record| Record { confidence: sure, ..record }));
                }
            }
            of_areas.push(OfArea { name, pixels: region.map(four), readings });
        }
        let file = path.file_name().map_or_else(|| say::path(path), |name| name.to_string_lossy().into_owned());
        Ok(OfFrame { frame: number, file, measuring_region: four(measured), areas: of_areas })
    }

    /// The places as asked for; else those before and after the corrections, and the scene's light between them.
    fn places(&self, whole: &Elaborated) -> Result<Vec<(Value, String)>, Failure> {
        let wanted = self.terms.at.iter().map(|at| resolve(Some(at), self.chain, whole));
        let mut places = wanted.collect::<Result<Vec<_>, _>>()?;
        if places.is_empty() {
            places.push(resolve(Some(&At::Original), self.chain, whole)?);
            places.extend(resolve(Some(&At::Scene), self.chain, whole).ok().filter(|_| !whole.nodes.is_empty()));
            places.push(resolve(None, self.chain, whole)?);
        }
        let mut once: Vec<(Value, String)> = Vec::with_capacity(places.len());
        for place in places {
            if !once.iter().any(|(value, _)| *value == place.0) {
                once.push(place);
            }
        }
        Ok(once)
    }

    fn measuring_region(&self, frame: &Frame, path: &Path) -> Result<Region, Failure> {
        let size = frame.size();
        let of_shot = self.chain.shot().and_then(|shot| shot.measuring_region).map(|region| region.0);
        let region = match self.terms.region.or(of_shot) {
            None => Region::whole(size),
            Some([x, y, width, height]) => Region::new(x, y, width, height, size),
        };
        region.ok_or_else(|| {
            Failure::work(format!(
                "{}: nothing of the measuring region lies in the picture, which is {size}; the left upper pixel is 0,0",
                path.display()
            ))
        })
    }

    fn place(&self, whole: &Elaborated, value: Value, words: &str, layout: Layout) -> Result<Place, Failure> {
        let of_place = led_out(whole, value)?;
        let tap = Tap::new(of_place.result_signal.clone());
        let stored = (!layout.is_float()).then(|| layout.bits());
        let is_original = value == Value(0);
        let has_codes = tap.is_code() || is_original && stored.is_some();
        let display = (!tap.is_scene()).then_some(USUAL_BITS);
        let bits = self.terms.bits.or(stored).or(display).filter(|_| has_codes);
        Ok(Place {
            name: words.to_string(),
            tap,
            codes: bits.map(|bits| (bits.clamp(8, 16), range_at(whole, value))),
            rendering: of_place.rendering_in_words(),
            camera_white: self.chain.shot().and_then(|shot| shot.camera_white).filter(|_| is_original),
        })
    }

    /// How sure a card's reading in the original is. None where its light is not known to be a scene's, or is too little.
    fn confidence(
        &self,
        whole: &Elaborated,
        place: &Place,
        frame: &Frame,
        measured: Region,
        part: &Frame,
    ) -> Option<confidence::Data> {
        if !place.tap.is_scene() || place.tap.signal().is_unknown() {
            return None;
        }
        let range = whole.original_range;
        let picture = frame.crop(measured.x(), measured.y(), measured.width(), measured.height());
        let veil = confidence::mean_xyz(&place.tap, as_stored(&picture, range));
        let code = confidence::code_of(frame.layout(), range);
        let (pixels, width) = (as_stored(part, range), part.size().width as usize);
        let sure = measure::confidence::confidence(&place.tap, &pixels, width, code, veil, &self.terms.declared)?;
        Some(confidence::Data::from(&sure))
    }

    /// Reads a part of a frame at a place. None where no pixel is finite.
    fn reading(
        &mut self,
        whole: &Elaborated,
        value: Value,
        place: &Place,
        part: &Frame,
    ) -> Result<Option<Reading>, Failure> {
        let pixels: Vec<[f64; 3]> = if value == Value(0) {
            as_stored(part, whole.original_range)
        } else {
            let mut part = part.clone();
            part.replace_non_finite();
            let layout = part.layout();
            let engine = self.engine(value, led_out(whole, value)?, layout)?;
            doubles(&engine.frame(Arc::new(part))?.to_pixels(Range::Full))
        };
        let probe = Probe {
            tap: place.tap.clone(),
            codes: place.codes,
            average: self.terms.average,
            target_white: self.terms.target,
        };
        Ok(probe.read_values(pixels))
    }

    /// What runs the chain to a place: that of the frame before where nothing else changed than numbers.
    fn engine(&mut self, value: Value, elaborated: Elaborated, layout: Layout) -> Result<&mut Engine, Failure> {
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

impl Led {
    /// Whether frames of this layout through this chain differ from its own in numbers alone.
    fn fits(&self, elaborated: &Elaborated, layout: Layout) -> bool {
        let original = |of: &Elaborated| (of.original.clone(), of.original_range);
        self.layout == layout && original(&self.elaborated) == original(elaborated)
    }
}

/// The signal of what a file holds: of codes exactly, and what is not a number as such.
fn as_stored(part: &Frame, range: CodeRange) -> Vec<[f64; 3]> {
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

fn led_out(whole: &Elaborated, value: Value) -> Result<Elaborated, Failure> {
    // What leaves in codes of a range is read as signal.
    whole.at(value).ok_or_else(|| Failure::work("there is no such picture in the chain"))
}

fn four(region: Region) -> [u32; 4] {
    [region.x(), region.y(), region.width(), region.height()]
}
