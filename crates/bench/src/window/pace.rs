//! How long it takes until a setting that is moved is seen, measured in the window itself.
//!
//! Settings are moved as by a hand that drags: the next move comes when the last one is on screen, traces or not. A move counts
//! from the event to the end of the device's work for the first window that shows it.

use std::sync::Arc;
use std::time::{Duration, Instant};

use gpu::device::Gpu;
use graph::Document;
use ops::Unit;

use crate::numbers::{self, Change};
use crate::pictures::{Counted, Pictures};
use crate::state::{Action, Bench, Touched};

/// Moves before those that count.
const WARM_UP: usize = 5;

/// What came of it.
#[derive(Debug, Clone)]
pub struct Paced {
    /// The setting that was moved.
    pub setting: String,
    /// Width and height of the active tile's picture, in pixels.
    pub size: [u32; 2],
    /// Tiles on the wall.
    pub tiles: usize,
    /// From each move until it is on screen.
    pub seen: Vec<Duration>,
    /// What the thread of the window computed for each drawing of it; none where the system does not say.
    pub own_work: Vec<Duration>,
    /// How often the active tile's traces were counted anew.
    pub traces: usize,
    /// How long all of it took.
    pub took: Duration,
}

/// A move that is not on screen yet.
struct Move {
    begun: Instant,
    /// A picture of this revision or a later one is of it; none before it was asked for.
    revision: Option<u64>,
}

/// Moves a setting to and fro and watches.
pub(super) struct Pacer {
    moves: usize,
    scale: Option<Touched>,
    done: usize,
    under_way: Option<Move>,
    traces: Option<Arc<Counted>>,
    begun: Instant,
    own_work_from: Option<Duration>,
    pub(super) paced: Paced,
}

impl Pacer {
    pub(super) fn new(moves: usize) -> Self {
        Self {
            moves,
            scale: None,
            done: 0,
            under_way: None,
            traces: None,
            begun: Instant::now(),
            own_work_from: None,
            paced: Paced {
                setting: String::new(),
                size: [0; 2],
                tiles: 0,
                seen: Vec::with_capacity(moves),
                own_work: Vec::new(),
                traces: 0,
                took: Duration::ZERO,
            },
        }
    }

    /// The window is about to be drawn.
    pub(super) fn wake(&mut self) {
        self.own_work_from = own_work();
    }

    /// Just before it is drawn: the event comes.
    pub(super) fn begin(&mut self, bench: &Bench, pictures: &Pictures) {
        let Some(outcome) = pictures.of(bench.wall.active) else { return };
        let (Some(shown), Some(traces)) = (&outcome.shown, &outcome.traces) else { return };
        if self.scale.is_none() {
            self.scale = scale_of(bench);
            let size = shown.size();
            (self.paced.size, self.paced.tiles) = ([size.width, size.height], bench.wall.tiles.len());
            self.paced.setting =
                self.scale.as_ref().map(|scale| format!("{} {}", scale.member, scale.field)).unwrap_or_default();
        }
        if self.traces.as_ref().is_none_or(|before| !Arc::ptr_eq(before, &traces.wide)) {
            self.paced.traces += usize::from(self.counts());
            self.traces = Some(Arc::clone(&traces.wide));
        }
        if self.under_way.is_none() {
            self.under_way = Some(Move { begun: Instant::now(), revision: None });
        }
    }

    /// While it is drawn: a panel asks.
    pub(super) fn ask(&mut self, bench: &Bench, actions: &mut Vec<Action>) {
        let waits = self.under_way.as_ref().is_some_and(|under_way| under_way.revision.is_none());
        let (true, Some(scale), Some(document)) = (waits, &self.scale, bench.project().map(session::Project::document))
        else {
            return;
        };
        if let Some(edit) = moved(document, bench.shot(), scale, self.done) {
            actions.push(Action::Try(edit));
        }
    }

    /// What was asked for has been done.
    pub(super) fn asked(&mut self, bench: &Bench) {
        if let Some(under_way) = &mut self.under_way {
            under_way.revision.get_or_insert(bench.revision());
        }
    }

    /// Behind the drawing, before anything that it asked for is done. True once all is measured.
    pub(super) fn drawn(&mut self, bench: &Bench, pictures: &Pictures, gpu: &Gpu) -> bool {
        if let (Some(from), Some(to)) = (self.own_work_from, own_work())
            && self.counts()
        {
            self.paced.own_work.push(to.saturating_sub(from));
        }
        let shown = pictures.of(bench.wall.active).and_then(|outcome| outcome.shown.as_ref());
        let is_seen =
            |under_way: &Move| under_way.revision.zip(shown).is_some_and(|(wanted, shown)| shown.revision >= wanted);
        if let Some(Move { begun, .. }) = self.under_way.take_if(|under_way| is_seen(under_way)) {
            gpu.rest();
            if self.counts() {
                self.paced.seen.push(begun.elapsed());
            } else if self.done + 1 == WARM_UP {
                self.begun = Instant::now();
            }
            self.done += 1;
        }
        self.paced.took = self.begun.elapsed();
        self.done >= WARM_UP + self.moves || self.cannot_go_on()
    }

    /// Whether the next move begins with the next drawing.
    pub(super) fn goes_on(&self) -> bool {
        self.under_way.is_none()
    }

    fn counts(&self) -> bool {
        self.done >= WARM_UP
    }

    /// There is a picture and nothing on its rail to move.
    fn cannot_go_on(&self) -> bool {
        self.paced.tiles > 0 && self.scale.is_none()
    }
}

/// The setting that is moved: stops, where the active tile's candidate has any, else its first number.
fn scale_of(bench: &Bench) -> Option<Touched> {
    let document = bench.document()?;
    let wiring = document.candidates.get(bench.candidate_of(bench.tile()?)?)?;
    let places = wiring.in_order().ok()?;
    let of_place = |at: &petgraph::graph::NodeIndex| {
        let member = &wiring.graph()[*at].member;
        let fields = document.kit.get(member)?.fields();
        Some(fields.iter().map(move |field| (field.unit, member.clone(), field.key.to_string())).collect::<Vec<_>>())
    };
    let all: Vec<Touched> = {
        let mut all: Vec<_> = places.iter().filter_map(of_place).flatten().collect();
        all.sort_by_key(|(unit, ..)| *unit != Unit::Stops);
        all.into_iter().map(|(_, member, field)| Touched { member, field, channel: None }).collect()
    };
    all.into_iter().find(|scale| moved(document, bench.shot(), scale, 0).is_some())
}

/// The next move: so little that every picture is as much work as the last.
fn moved(document: &Document, shot: Option<&str>, scale: &Touched, number: usize) -> Option<graph::Edit> {
    let by = if number.is_multiple_of(2) { "+0.02" } else { "+0.01" };
    let shots: Vec<String> = shot.into_iter().map(str::to_string).collect();
    let edit = numbers::edit(document, &shots, scale, &Change::By(by.to_string())).ok()?;
    document.clone().apply(&edit).ok()?;
    Some(edit)
}

/// The processor time of this thread.
#[cfg(unix)]
fn own_work() -> Option<Duration> {
    Duration::try_from(rustix::time::clock_gettime(rustix::time::ClockId::ThreadCPUTime)).ok()
}

/// The processor time of this thread; not asked for here.
#[cfg(not(unix))]
fn own_work() -> Option<Duration> {
    None
}
