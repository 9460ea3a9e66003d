//! The anchor shot that a shot is matched to, and how far each candidate's picture is from it.

use std::sync::Arc;

use frame::Frame;
use gpu::device::Gpu;
use graph::Elaborated;
use measure::Tap;
use measure::readings::{Statistics, kept};
use measure::scopes::Region;
use measure::verdict::distance::{Colours, Distance, Divisors, distance, tones};
use ops::Signal;

use super::evidence::inside;
use super::shown::{Shown, render};
use crate::Fault;

/// The anchor as it is shown.
pub struct Anchor {
    /// What it is, for people.
    pub words: String,
    /// What components of a distance are divided by.
    pub divisors: Divisors,
    /// What to do about a candidate that is shown on another display; without it such a candidate has no distance.
    pub remedy: Option<&'static str>,
    /// One for each candidate, or one for all.
    of: Vec<(Signal, Colours)>,
}

/// Places of a shot that another shot may have too.
pub struct Places {
    /// What of the picture is measured.
    pub region: Region,
    /// Its grey card.
    pub card: Option<Region>,
    /// Surfaces by name.
    pub surfaces: Vec<(String, Region)>,
}

/// The colours of a shown picture that another shot may have too. Surfaces have theirs before the clamp.
pub(super) fn colours(shown: &Shown, places: &Places) -> Colours {
    let Places { region, card, surfaces } = places;
    let mean = |place: Region| {
        let light = kept(inside(&shown.pixels, shown.size, place).map(|signal| shown.tap.light(signal)), 0.0);
        Some(shown.tap.xyz(Statistics::of(&light.pixels)?.mean))
    };
    let surface = |(name, place): &(String, Region)| Some((name.clone(), mean(*place)?));
    Colours {
        card: card.and_then(mean),
        surfaces: surfaces.iter().filter_map(surface).collect(),
        tones: tones(shown.unclamped(*region).measured()),
    }
}

impl Anchor {
    /// An anchor of which nothing is shown yet; what it is in words.
    pub fn new(words: String, divisors: Divisors) -> Self {
        Self { words, divisors, remedy: None, of: Vec::new() }
    }

    /// Whether nothing is shown of it yet.
    pub fn is_empty(&self) -> bool {
        self.of.is_empty()
    }

    /// Shows its frame through a candidate: the next of those compared, or one for all.
    ///
    /// # Errors
    /// What computes fails.
    pub fn add(
        &mut self,
        elaborated: &Elaborated,
        frame: &Frame,
        places: &Places,
        gpu: Option<&Arc<Gpu>>,
    ) -> Result<(), Fault> {
        let shown = render(elaborated, frame, gpu)?;
        self.of.push((shown.tap.signal().clone(), colours(&shown, places)));
        Ok(())
    }

    /// How far a candidate, the `at`th of those compared, is from the anchor.
    ///
    /// # Errors
    /// The two are shown on different displays, and there is a remedy.
    pub fn distance(&self, at: usize, name: &str, tap: &Tap, colours: &Colours) -> Result<Option<Distance>, Fault> {
        let Some((signal, anchor)) = self.of.get(at).or(self.of.first()) else { return Ok(None) };
        match self.remedy {
            _ if signal == tap.signal() => Ok(distance(tap, anchor, colours)),
            None => Ok(None),
            Some(remedy) => {
                Err(Fault::failed(format!("the anchor is shown as {signal}, {name} as {}; {remedy}", tap.signal())))
            }
        }
    }
}
