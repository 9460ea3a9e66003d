//! How much of each shot's picture is clipped, in its middle frame, before the clamp of a display.

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
use crate::state::{Action, Bench, Look, OnTable, Tap};

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

    /// The share of a shot; none where it is the same as before.
    pub fn measure(&mut self, frames: &mut Frames, wanted: &Wanted) -> Option<Action> {
        let shot = wanted.named.shot.clone();
        let found = frames.find(wanted, Which::Middle);
        let key = match &found {
            Ok(found) => Ok((found.number, found.whole.clone())),
            Err(fault) => Err(fault.to_string()),
        };
        if self.done.get(&shot) == Some(&key) {
            return None;
        }
        let share = found.and_then(|found| self.share(&found)).map_err(|fault| fault.to_string());
        self.done.insert(shot.clone(), key);
        Some(Action::Table(OnTable::Clipped(shot, share)))
    }

    fn share(&mut self, found: &Found) -> Result<f64, Fault> {
        let frame: &Frame = &found.picture.frame;
        let region = found.chain.shot().and_then(|shot| shot.measuring_region);
        let cut = region.map(|region| {
            let [x, y, width, height] = region.0;
            frame.crop(x, y, width, height)
        });
        let pixels = self.reader.pixels(&found.whole, found.whole.result, cut.as_ref().unwrap_or(frame))?;
        let none = || Fault::failed("nothing of the measuring region lies in the picture");
        Shares::of(pixels).map(|shares| shares.clipped).ok_or_else(none)
    }
}
