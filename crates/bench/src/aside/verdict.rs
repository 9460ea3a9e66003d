//! Verdict figures of what the tiles show, by `session::verdict`, as `compare` has them.
//!
//! Grey is known by a probe that the user marked as a card, or by the truth of the demo; never by a candidate's settings.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::mpsc::Sender;

use gpu::device::Gpu;
use measure::scopes::Region;
use measure::verdict::distance::Divisors;
use session::Fault;
use session::beside::{Kind, Placed};
use session::chain::file_range;
use session::verdict::anchor::{Anchor, Places};
use session::verdict::evidence::{self, Evidence, demo_truth, refuse_clip, region_of};
use session::verdict::{Comparison, Extent, Gathered, Marked, Subject, Told, Watch, compare};

use super::frames::{Found, Frames, Which};
use super::words;
use crate::pictures::{Named, Source, Wanted};
use crate::state::{Action, Bench, Figures, OnTile, OnVerdict, Stand, Tap};
use crate::worker::{Wanted as Turn, Worker};

/// A shot with the candidates that tiles show of it.
struct OfShot {
    media: PathBuf,
    /// The tiles' own numbers, and what their figures hang on.
    tiles: Vec<(u64, Stand)>,
    /// The shot that others are to match; none where there is none, or this is it.
    anchor: Option<OfAnchor>,
    /// Whether this is it.
    is_anchor: bool,
}

/// The anchor shot.
struct OfAnchor {
    shot: String,
    media: PathBuf,
    /// The candidate that its shot has chosen; else each goes through its own.
    candidate: Option<String>,
    probes: Vec<Placed>,
}

/// What is asked for.
struct Ask {
    number: u64,
    extent: Extent,
    source: Arc<Source>,
    shots: Vec<OfShot>,
}

/// What measures verdicts, on a thread of its own: it takes seconds, and probes shall not wait for it.
pub struct Judge {
    worker: Worker<Ask>,
    /// What was given to it last, while that is wanted.
    given: Option<u64>,
}

impl Judge {
    pub fn new(gpu: Option<Arc<Gpu>>, answers: Sender<Action>, context: egui::Context) -> Self {
        let mut frames = Frames::default();
        let work = move |ask: Ask, turn: &dyn Turn| {
            let say = |action: OnVerdict| {
                // Nobody listens any more once the window is closed.
                let _ = answers.send(Action::Verdict(action));
                context.request_repaint();
            };
            for shot in &ask.shots {
                let follow = Follow { number: ask.number, turn, say: &say };
                judge(&mut frames, &ask, shot, gpu.as_ref(), &follow);
                if turn.is_over() {
                    return;
                }
            }
            say(OnVerdict::Done(ask.number));
        };
        Self { worker: Worker::new(work), given: None }
    }

    /// Begins what the window asks for, and ends what it does not want any more.
    pub fn follow(&mut self, bench: &Bench) {
        let wanted = bench.verdicts.running.as_ref().map(|running| running.number);
        if wanted == self.given {
            return;
        }
        self.given = wanted;
        match asked(bench) {
            Some(ask) => self.worker.give(ask),
            None => self.worker.stop(),
        }
    }
}

/// What the window asks for.
fn asked(bench: &Bench) -> Option<Ask> {
    let (running, project) = (bench.verdicts.running.as_ref()?, bench.project()?);
    let document = bench.document()?.clone();
    let is_all = running.extent == Extent::All;
    let mut shots: BTreeMap<String, OfShot> = BTreeMap::new();
    for tile in bench.wall.tiles.iter().filter(|tile| !tile.kept && tile.shot.is_some()) {
        if is_all && tile.shot.as_deref() != bench.shot() {
            continue;
        }
        let (Some(stand), Some(media)) = (bench.stand(tile), bench.media_of(tile.shot.as_deref()?)) else { continue };
        let of = shots.entry(stand.shot().to_string()).or_insert_with(|| {
            let anchor = stand.anchor().and_then(|(shot, probes)| {
                let candidate = document.shots.get(shot)?.candidate.clone();
                let media = bench.media_of(shot)?;
                Some(OfAnchor { shot: shot.to_string(), media, candidate, probes: probes.to_vec() })
            });
            let is_anchor = bench.table.anchor.as_deref() == Some(stand.shot());
            OfShot { media, tiles: Vec::new(), anchor, is_anchor }
        });
        of.tiles.push((tile.number, stand));
    }
    let source = Source { document, folder: project.folder(), encoding_files: project.encoding_files() };
    let shots = shots.into_values().collect();
    Some(Ask { number: running.number, extent: running.extent, source: Arc::new(source), shots })
}

/// Tells the window how far it is, and ends where that is wanted.
struct Follow<'a> {
    number: u64,
    turn: &'a dyn Turn,
    say: &'a dyn Fn(OnVerdict),
}

impl Watch for Follow<'_> {
    fn begins(&self, words: &str, done: usize, of: usize) {
        (self.say)(OnVerdict::At(self.number, words.to_string(), [done, of]));
    }

    fn stop(&self) -> bool {
        self.turn.is_over()
    }
}

fn judge(frames: &mut Frames, ask: &Ask, shot: &OfShot, gpu: Option<&Arc<Gpu>>, follow: &Follow) {
    let mut notes = Vec::new();
    let found = measured(frames, ask, shot, gpu, follow, &mut notes);
    if follow.stop() {
        return;
    }
    let of_tile = |stand: &Stand| {
        let comparison = found.as_ref().map_err(ToString::to_string)?;
        let of = comparison.candidates.iter().find(|row| row.name == stand.candidate());
        Ok(of.map(|row| words::of_tile(row, comparison, shot.is_anchor)).unwrap_or_default())
    };
    for (tile, stand) in &shot.tiles {
        let of = OnTile { stand: Box::new(stand.clone()), figures: of_tile(stand) };
        (follow.say)(OnVerdict::Tile(ask.number, *tile, of));
    }
    if ask.extent == Extent::All {
        let stands: Vec<Stand> = shot.tiles.iter().map(|(_, stand)| stand.clone()).collect();
        let figures = found.map(|comparison| {
            let (columns, rows) = words::table(&comparison);
            Figures { stands, head: words::head(&comparison, &notes), columns, rows }
        });
        (follow.say)(OnVerdict::Figures(ask.number, figures.map_err(|fault| fault.to_string())));
    }
}

fn measured(
    frames: &mut Frames,
    ask: &Ask,
    shot: &OfShot,
    gpu: Option<&Arc<Gpu>>,
    follow: &Follow,
    notes: &mut Vec<String>,
) -> Result<Comparison, Fault> {
    let (gathered, told) = gathered(frames, ask, shot)?;
    let said = std::cell::RefCell::new(Vec::new());
    let evidence = evidence::gather(&told, &gathered, &|words| said.borrow_mut().push(words.to_string()))?;
    notes.extend(said.into_inner());
    let anchor = shot.anchor.as_ref().map(|anchor| of_anchor(frames, ask, anchor, &gathered, &evidence, gpu));
    let anchor = match anchor.transpose() {
        Ok(anchor) => anchor,
        // The other figures hold without it.
        Err(fault) => {
            notes.push(format!("no distance from the anchor: {fault}"));
            None
        }
    };
    compare(&gathered, evidence, anchor, (ask.extent, gpu), follow)
}

/// The picture of a shot through a candidate.
fn wanted(ask: &Ask, media: &std::path::Path, shot: &str, candidate: &str, frame: i64) -> Wanted {
    let named =
        Named { shot: shot.to_string(), candidate: candidate.to_string(), order: String::new(), tap: Tap::Result };
    let (source, media) = (Arc::clone(&ask.source), media.to_owned());
    Wanted { source, media, named, frame, look: crate::state::Look::Picture, traces: None, monitor: None }
}

/// The frame with the candidates, and what is known of it.
fn gathered(frames: &mut Frames, ask: &Ask, shot: &OfShot) -> Result<(Gathered, Told), Fault> {
    let none = || Fault::failed("no tile shows a candidate");
    let (_, first) = shot.tiles.first().ok_or_else(none)?;
    let mut subjects: Vec<Subject> = Vec::new();
    let mut last: Option<Found> = None;
    for (_, stand) in &shot.tiles {
        let name = stand.candidate();
        if subjects.iter().any(|subject| subject.name == name) {
            continue;
        }
        let picture = wanted(ask, &shot.media, stand.shot(), name, stand.frame());
        let found = frames.find(&picture, Which::Number(stand.frame()))?;
        if found.whole.original.is_unknown() {
            return Err(Fault::asked("the encoding of the original is not known; set it for the shot"));
        }
        let order = found.chain.order();
        subjects.push(Subject { name: name.to_string(), order, elaborated: found.whole.clone() });
        last = Some(found);
    }
    let found = last.ok_or_else(none)?;
    let mut frame = found.picture.frame.clone();
    frame.replace_non_finite();
    let region = measured_region(&found)?;
    let mut told = told(first.probes());
    let truth = demo_truth(&found.path);
    told.truth = truth.is_file().then_some(truth);
    let gathered = Gathered::new((found.path, found.number, Some(first.shot())), frame, region, subjects)?;
    Ok((gathered, told))
}

fn measured_region(found: &Found) -> Result<Region, Fault> {
    let size = found.picture.frame.size();
    let told = found.chain.shot().and_then(|shot| shot.measuring_region);
    match told {
        Some(region) => region_of(&Marked::new("the measuring region", region.0), size),
        None => Region::whole(size).ok_or_else(|| Fault::failed("the picture has no pixels")),
    }
}

/// What probes say by their kinds; the first card counts.
fn told(probes: &[Placed]) -> Told {
    let marked = |probe: &Placed| {
        let area = probe.area.map(|side| side.round().clamp(0.0, f64::from(u32::MAX)) as u32);
        Marked::new(&probe.name, area)
    };
    let is_surface = |probe: &&Placed| matches!(probe.kind, Kind::Skin | Kind::Foliage);
    Told {
        grey: probes.iter().find(|probe| probe.kind == Kind::Grey).map(marked),
        surfaces: probes.iter().filter(is_surface).map(|probe| (probe.name.clone(), marked(probe))).collect(),
        remedy: "mark a probe as grey card",
        ..Told::default()
    }
}

/// The anchor shot as it is shown, in its first frame.
fn of_anchor(
    frames: &mut Frames,
    ask: &Ask,
    anchor: &OfAnchor,
    gathered: &Gathered,
    evidence: &Evidence,
    gpu: Option<&Arc<Gpu>>,
) -> Result<Anchor, Fault> {
    let candidates: Vec<String> = match &anchor.candidate {
        Some(one) => vec![one.clone()],
        None => gathered.subjects.iter().map(|subject| subject.name.clone()).collect(),
    };
    let through = match &candidates[..] {
        [one] => format!("through {one}"),
        _ => "each through its own candidate".to_string(),
    };
    let mut shown = Anchor::new(format!("{}, {through}", anchor.shot), Divisors::default());
    let Told { grey, surfaces, .. } = told(&anchor.probes);
    for candidate in &candidates {
        let picture = wanted(ask, &anchor.media, &anchor.shot, candidate, i64::MIN);
        let found = frames.find(&picture, Which::Number(i64::MIN)).map_err(|fault| fault.of(&anchor.shot))?;
        let mut frame = found.picture.frame.clone();
        frame.replace_non_finite();
        let size = frame.size();
        let card = grey.as_ref().filter(|_| evidence.card.is_some());
        let card = card.map(|card| region_of(card, size)).transpose()?;
        if let (Some(card), true) = (card, shown.is_empty()) {
            let pixels = frame.to_pixels(file_range(found.whole.original_range));
            refuse_clip("the anchor's card at", card, &pixels, &frame)?;
        }
        let both = surfaces.iter().filter(|(name, _)| evidence.surfaces.iter().any(|(own, _)| own == name));
        let both = both.map(|(name, place)| Ok((name.clone(), region_of(place, size)?)));
        let surfaces = both.collect::<Result<Vec<_>, Fault>>()?;
        let places = Places { region: measured_region(&found)?, card, surfaces };
        shown.add(&found.whole, &frame, &places, gpu)?;
    }
    Ok(shown)
}
