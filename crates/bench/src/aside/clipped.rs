//! How much of each shot's picture is clipped, in its middle frame, before the clamp of a display; and how that frame looks.

use std::collections::{BTreeMap, VecDeque};
use std::sync::Arc;

use frame::Frame;
use gpu::device::Gpu;
use graph::Elaborated;
use measure::verdict::Shares;
use session::Fault;
use session::readings::Reader;

use super::frames::{Found, Frames, Which};
use crate::pictures::{Named, Source, Wanted};
use crate::state::{Action, Bench, Look, OnTable, Small, Tap};

/// Every shot through the candidate that it has chosen, else the first; the document is the kept one, not what is tried.
pub fn wanted(bench: &Bench) -> VecDeque<Wanted> {
    let Some(project) = bench.project() else { return VecDeque::new() };
    let document = project.document();
    let source = Arc::new(Source {
        document: document.clone(),
        folder: project.folder(),
        encoding_files: project.encoding_files(),
    });
    let of = |(name, shot): (&String, &graph::Shot)| {
        let candidate = shot.candidate.as_ref().or_else(|| document.candidates.keys().next())?.clone();
        let media = bench.media_of(name)?;
        let named = Named { shot: name.clone(), candidate, order: String::new(), tap: Tap::Result };
        Some(Wanted {
            source: Arc::clone(&source),
            media,
            named,
            frame: 0,
            look: Look::Picture,
            traces: None,
            monitor: None,
        })
    };
    document.shots.iter().filter_map(of).collect()
}

/// What measures the shares.
pub struct Clipped {
    reader: Reader,
    /// What was measured by shot: the frame's number and what the chain meant for it.
    done: BTreeMap<String, Result<(i64, Elaborated), String>>,
}

impl Clipped {
    pub fn new(gpu: Option<Arc<Gpu>>) -> Self {
        Self { reader: Reader::new(gpu), done: BTreeMap::new() }
    }

    /// The share of a shot, and how it looks; nothing where it is the same as before.
    pub fn measure(&mut self, frames: &mut Frames, wanted: &Wanted) -> Vec<Action> {
        let shot = wanted.named.shot.clone();
        let found = frames.find(wanted, Which::Middle);
        let key = match &found {
            Ok(found) => Ok((found.number, found.whole.clone())),
            Err(fault) => Err(fault.to_string()),
        };
        if self.done.get(&shot) == Some(&key) {
            return Vec::new();
        }
        let measured = found.and_then(|found| self.of(&found)).map_err(|fault| fault.to_string());
        self.done.insert(shot.clone(), key);
        let small = measured.as_ref().ok().and_then(|(_, small)| small.clone());
        let small = small.map(|small| OnTable::Small(shot.clone(), Arc::new(small)));
        let share = OnTable::Clipped(shot, measured.map(|(share, _)| share));
        small.into_iter().chain([share]).map(Action::Table).collect()
    }

    fn of(&mut self, found: &Found) -> Result<(f64, Option<Small>), Fault> {
        let frame: &Frame = &found.picture.frame;
        let region = found.chain.shot().and_then(|shot| shot.measuring_region);
        let cut = region.map(|region| {
            let [x, y, width, height] = region.0;
            frame.crop(x, y, width, height)
        });
        let part = cut.as_ref().unwrap_or(frame);
        let pixels = self.reader.pixels(&found.whole, found.whole.result, part)?;
        let aspect = found.picture.about.pixel_aspect.filter(|aspect| aspect.is_finite() && *aspect > 0.0);
        let small = Small::of(&pixels, part.size().width as usize, aspect.unwrap_or(1.0));
        let none = || Fault::failed("nothing of the measuring region lies in the picture");
        Ok((Shares::of(pixels).ok_or_else(none)?.clipped, small))
    }
}
