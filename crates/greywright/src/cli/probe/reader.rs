//! Frames one at a time through a chain, read where the areas are. Nothing of a frame stays but its readings.

use std::path::Path;
use std::sync::Arc;

use colour::Xy;
use frame::Frame;
use gpu::device::Gpu;
use graph::{Elaborated, Value};
use measure::confidence::Declared;
use measure::readings::Average;
use measure::scopes::Region;
use serde::Serialize;
use session::readings::{Place, as_stored};

use super::areas::Named;
use super::record::Record;
use crate::cli::chain::Chain;
use crate::cli::confidence;
use crate::cli::failure::Failure;
use crate::cli::say;
use crate::cli::scopes::{At, resolve};

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

/// What reads frames.
pub struct Reader<'a> {
    chain: &'a Chain,
    terms: &'a Terms,
    reader: session::readings::Reader,
}

impl<'a> Reader<'a> {
    /// A reader; without a GPU the proof computes.
    pub fn new(chain: &'a Chain, gpu: Option<Arc<Gpu>>, terms: &'a Terms) -> Reader<'a> {
        Reader { chain, terms, reader: session::readings::Reader::new(gpu) }
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
                    let place = Place::of(self.chain, &whole, *value, words, frame.layout(), self.terms.bits)?;
                    let terms = (self.terms.average, self.terms.target);
                    let reading = self.reader.read(&whole, *value, &place, &part, terms)?;
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
}

fn four(region: Region) -> [u32; 4] {
    [region.x(), region.y(), region.width(), region.height()]
}
