//! A shot made ready: its still picture traced once, and at any moment what moves in it.

use colour::Encoding;
use frame::Size;
use rayon::prelude::*;

use super::palettes::{Colours, Palette};
use super::shots::Shot;
use crate::material::WHITE;
use crate::set_up::{Level, MarkKind, Stage, stage};
use crate::trace::{Change, Part, Plate, Window};
use crate::truth::Spot;
use crate::{DemoError, RATE};

/// A shot made ready.
pub struct Take {
    /// The shot.
    pub shot: &'static Shot,
    /// The encoding of its files.
    pub encoding: Encoding,
    /// Its stage.
    pub stage: Stage,
    /// Its frames' size.
    pub size: Size,
    /// The colours of each source.
    pub colours: Vec<Colours>,
    /// Where its marks lie in the picture.
    pub spots: Vec<Spot>,
    /// Light of each source on a perfect diffuser at the first card, at its full level; together 1 once `gain` is applied.
    pub at_card: Vec<f64>,
    /// What brings a perfect diffuser at the first card to 1.
    pub gain: f64,
    /// The picture at its first moment.
    plate: Plate,
    /// What changes in it.
    windows: Vec<Window>,
}

impl Take {
    /// Sets the stage of a shot and traces its first moment.
    ///
    /// # Errors
    /// A shot without a stage, an encoding that is not known, or no card in the picture.
    pub fn new(shot: &'static Shot, size: Size) -> Result<Self, DemoError> {
        let encoding = shot.encoding().map_err(|source| DemoError::Encoding { shot: shot.name, source })?;
        let stage = stage(shot.name).ok_or(DemoError::NoStage { shot: shot.name })?;
        let plate = Plate::whole(&stage.scene, &stage.view, size, 0.0);
        let windows = Plate::moving(&stage.scene, &stage.view, size);
        let colours: Vec<Colours> =
            stage.sources.iter().map(|source| Colours::of(source, shot.camera, &encoding)).collect();
        let spots: Vec<Spot> = stage.marks.iter().filter_map(|mark| Spot::of(mark, &stage.view, &plate)).collect();
        let card = spots.iter().find(|spot| spot.mark.kind == MarkKind::Card);
        let card = card.ok_or(DemoError::NoCard { shot: shot.name, size })?;
        let light = card.light(&plate, stage.sources.len());
        let whole: f64 = light.iter().sum();
        if whole.is_nan() || whole <= 0.0 {
            return Err(DemoError::NoCard { shot: shot.name, size });
        }
        let (at_card, gain) = (light.iter().map(|light| light / whole).collect(), 1.0 / whole);
        Ok(Self { shot, encoding, stage, size, colours, spots, at_card, gain, plate, windows })
    }

    /// The plate of the first moment.
    pub fn plate(&self) -> &Plate {
        &self.plate
    }

    /// The picture at a frame, counted from 0, with what moves traced anew.
    pub fn moment(&self, frame: u32) -> Moment<'_> {
        let seconds = f64::from(frame) / RATE;
        let (scene, view) = (&self.stage.scene, &self.stage.view);
        let change = || Change::of(scene, view, self.size, &self.windows, &self.plate, seconds);
        Moment { take: self, levels: self.levels(frame), change: (frame > 0).then(change) }
    }

    /// Each source at a frame, counted from 0.
    pub fn levels(&self, frame: u32) -> Vec<Level> {
        let mut levels = (self.stage.levels)(f64::from(frame) / RATE);
        levels.resize(self.stage.sources.len(), Level::FULL);
        levels
    }

    /// A perfect diffuser at the first card at a frame, well exposed at the first moment, by one kind of colours: 1 in all for
    /// XYZ's Y while the levels are full.
    pub fn white(&self, levels: &[Level], palette: impl Fn(&Colours) -> &Palette) -> [f64; 3] {
        let mut sum = [0.0; 3];
        for ((share, colours), level) in self.at_card.iter().zip(&self.colours).zip(levels) {
            for (sum, value) in sum.iter_mut().zip(palette(colours).at(WHITE.index(), *level)) {
                *sum += share * value;
            }
        }
        sum
    }

    /// The veil in linear camera RGB at a frame, as the sensor gets it.
    pub fn veil(&self, levels: &[Level]) -> [f64; 3] {
        let strength = self.shot.veil * self.shot.exposure_error_stops.exp2();
        match (self.colours.first(), levels.first()) {
            (Some(key), Some(level)) => key.camera.at(WHITE.index(), *level).map(|value| value * strength),
            _ => [0.0; 3],
        }
    }
}

/// A picture at a moment, in parts.
pub struct Moment<'a> {
    /// The shot.
    pub take: &'a Take,
    /// Each source.
    pub levels: Vec<Level>,
    /// What is not as at the first moment.
    change: Option<Change>,
}

impl Moment<'_> {
    /// What every pixel makes of its parts, row by row.
    pub fn map<T: Send + Default + Clone>(&self, make: impl Fn(&[Part]) -> T + Sync) -> Vec<T> {
        let width = self.take.size.width as usize;
        let mut pixels = vec![T::default(); self.take.size.pixels()];
        pixels.par_chunks_mut(width.max(1)).enumerate().for_each(|(y, row)| {
            for (x, pixel) in row.iter_mut().enumerate() {
                *pixel = make(self.take.plate.pixel(y * width + x));
            }
            let changed = self.change.iter().flat_map(|change| change.within(y * width..(y + 1) * width));
            for (place, parts) in changed {
                row[place - y * width] = make(parts);
            }
        });
        pixels
    }

    /// Light on every pixel by one kind of colours, each source at a level, times `gain`.
    pub fn light(&self, levels: &[Level], gain: f64, palette: impl Fn(&Colours) -> &Palette) -> Vec<[f32; 3]> {
        let colour = |(colours, level): (&Colours, &Level)| -> Vec<[f32; 3]> {
            let palette = palette(colours);
            (0..palette.len()).map(|material| palette.at(material, *level).map(|value| (value * gain) as f32)).collect()
        };
        let table: Vec<Vec<[f32; 3]>> = self.take.colours.iter().zip(levels).map(colour).collect();
        let none = [0.0; 3];
        self.map(|parts| {
            let mut sum = [0.0_f32; 3];
            for part in parts {
                let colours = table.get(usize::from(part.source)).and_then(|of| of.get(usize::from(part.material)));
                for (sum, value) in sum.iter_mut().zip(colours.unwrap_or(&none)) {
                    *sum += part.weight * value;
                }
            }
            sum
        })
    }
}
