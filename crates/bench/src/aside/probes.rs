//! What probes read: the original, the scene's light behind the corrections, the picture at the tile's tap.

use std::collections::BTreeMap;
use std::sync::Arc;

use colour::primaries::D65;
use frame::Frame;
use gpu::device::Gpu;
use graph::{Elaborated, Value};
use measure::readings::{Area, Average, Reading};
use measure::scopes::Region;
use session::Fault;
use session::readings::{Place, Reader, scene};

use super::Probed;
use super::frames::{Found, Frames, Which};
use crate::pictures::{self, value_of};
use crate::state::{Action, BeforeAfter, Bench, OfTile, OnProbes, Read, TileId};

/// The probes of every tile that shows a shot with some.
pub fn wanted(bench: &Bench) -> Vec<Probed> {
    let pictures = pictures::wanted(bench);
    let of = |(tile, wish): (TileId, pictures::Wish)| {
        let mut picture = wish.picture?;
        // What is held to be seen does not change what is read.
        picture.named.tap = bench.wall.tiles.get(tile)?.tap;
        let areas: Vec<[f64; 4]> = bench.probes_of(&picture.named.shot).iter().map(|probe| probe.area).collect();
        Some(Probed { tile, picture, areas })
    };
    pictures.into_iter().enumerate().filter_map(of).collect()
}

/// What a reading is taken of.
type Key = (i64, Elaborated, Option<Value>, Vec<[f64; 4]>, String);

/// What reads probes.
pub struct Probes {
    gpu: Option<Arc<Gpu>>,
    tiles: BTreeMap<TileId, (Reader, Result<Key, String>)>,
}

impl Probes {
    pub fn new(gpu: Option<Arc<Gpu>>) -> Self {
        Self { gpu, tiles: BTreeMap::new() }
    }

    /// The readings of a tile; none where they are the same as before.
    pub fn read(&mut self, frames: &mut Frames, probed: &Probed) -> Option<Action> {
        let shot = &probed.picture.named.shot;
        let found = if probed.areas.is_empty() {
            Err(Fault::failed("no probes"))
        } else {
            frames.find(&probed.picture, Which::Number(probed.picture.frame))
        };
        let key = match &found {
            Ok(found) => {
                let value = value_of(probed.picture.named.tap, &found.chain, &found.whole);
                Ok((found.number, found.whole.clone(), value, probed.areas.clone(), shot.clone()))
            }
            Err(fault) => Err(format!("{shot}: {fault}")),
        };
        if self.tiles.get(&probed.tile).is_some_and(|(_, own)| *own == key) {
            return None;
        }
        let mut reader = match self.tiles.remove(&probed.tile) {
            Some((reader, _)) => reader,
            None => Reader::new(self.gpu.clone()),
        };
        let mut of_tile = OfTile { shot: shot.clone(), ..OfTile::default() };
        if !probed.areas.is_empty() {
            match found.and_then(|found| read(&mut reader, &found, probed)) {
                Ok(probes) => of_tile.probes = probes,
                Err(fault) => of_tile.fault = Some(fault.to_string()),
            }
        }
        self.tiles.insert(probed.tile, (reader, key));
        Some(Action::Probes(OnProbes::Read(probed.tile, of_tile)))
    }
}

fn read(reader: &mut Reader, found: &Found, probed: &Probed) -> Result<Vec<BeforeAfter>, Fault> {
    let frame = &found.picture.frame;
    let size = frame.size();
    let value = value_of(probed.picture.named.tap, &found.chain, &found.whole).unwrap_or(found.whole.result);
    let light = scene(&found.whole);
    let mut all = Vec::with_capacity(probed.areas.len());
    for [x, y, width, height] in &probed.areas {
        let area = Area { x: *x, y: *y, width: *width, height: *height };
        let Some(region) = Region::whole(size).and_then(|whole| area.pixels(whole)) else {
            // It lies outside of this shot's picture.
            all.push(BeforeAfter::default());
            continue;
        };
        let part = frame.crop(region.x(), region.y(), region.width(), region.height());
        let before = at(reader, found, Value(0), &part)?;
        let mut after = at(reader, found, value, &part)?;
        if let (Some(after), Some(light)) = (&mut after, light) {
            after.stops = at(reader, found, light, &part)?.and_then(|read| read.stops);
        }
        all.push(BeforeAfter { before, after });
    }
    Ok(all)
}

fn at(reader: &mut Reader, found: &Found, value: Value, part: &Frame) -> Result<Option<Read>, Fault> {
    let place = Place::of(&found.chain, &found.whole, value, "", part.layout(), None)?;
    let reading = reader.read(&found.whole, value, &place, part, (Average::Mean, D65))?;
    Ok(reading.map(|reading| told(&place, &reading)))
}

/// The figures of a reading that the table has; what an unknown signal does not tell is none.
fn told(place: &Place, reading: &Reading) -> Read {
    let known = !place.tap.signal().is_unknown();
    let neutral = reading.colour.neutral_of(D65);
    let has_light = known && reading.colour.xyz[1] > 0.0;
    Read {
        levels: reading.code.map_or_else(|| reading.signal.mean.map(|level| 100.0 * level), |code| code.mean),
        bits: place.codes.map(|(bits, _)| bits),
        stops: reading.stops.filter(|_| known),
        white: reading.white.filter(|_| known).map(|white| [white.mired, white.duv]),
        delta_e: has_light.then(|| reading.colour.delta_e_2000(&neutral)),
    }
}
