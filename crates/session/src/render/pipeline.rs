//! Frames through a chain: reading, computing and writing overlap, each on threads of its own.
//!
//! Several frames are decoded and several encoded at a time, since some formats use one core a frame. At most a few
//! frames are held at once, however long the sequence is.

use std::collections::{BTreeSet, VecDeque};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;
use std::time::Instant;

use crossbeam_channel::{Receiver, Sender, bounded, unbounded};
use frame::NonFinite;
use gpu::device::Gpu;
use media::{About, MediaError, Picture, Said};

use super::Job;
use super::bound::{Bound, Follows};
use super::content::Content;
use super::example::Example;
use super::meaning::Meaning;
use super::report::{Failed, Report};
use super::sink::{Origin, Rendered};
use super::timings::{self, Clock, Stage};
use crate::{Fault, Follower};

/// Most threads that read, and most that write: each holds a frame, and a frame may be large.
const MOST_THREADS: usize = 8;

/// What came of reading a frame.
struct Reading {
    number: i64,
    /// What its file holds, where that is to be recorded.
    original: Option<Content>,
    /// The picture, and what in it was not finite.
    picture: Result<(Picture, NonFinite), MediaError>,
}

/// What came of writing a frame.
type Outcome = (i64, Result<(), MediaError>);

/// A picture on its way, with what its file is to say.
struct Waiting {
    number: i64,
    about: About,
    origin: Option<Origin>,
}

/// How many threads read, and how many write.
pub(super) fn threads() -> usize {
    thread::available_parallelism().map_or(2, usize::from).clamp(2, MOST_THREADS)
}

/// Renders a job.
///
/// # Errors
/// A chain that does not fit the frames, a device that is lost for good. A frame that fails is in the report.
pub fn render(job: &Job<'_>, gpu: Option<&Arc<Gpu>>) -> Result<Report, Fault> {
    let started = Instant::now();
    let threads = threads();
    let (to_writers, frames) = bounded::<Rendered>(1);
    let (to_report, outcomes) = unbounded::<Outcome>();
    let (halt, closed) = (AtomicBool::new(false), AtomicBool::new(false));
    let clock = Clock::default();
    let mut report = Report::begun(job, gpu);
    job.follower.begins(job.sequence.frames().len(), job.sequence.name());
    let computed = thread::scope(|scope| {
        let (halt, closed, clock) = (&halt, &closed, &clock);
        let mut readers = Vec::with_capacity(threads);
        for first in 0..threads {
            // Nothing waits in the channel: the reader itself holds its next picture.
            let (to_engine, pictures) = bounded::<Reading>(0);
            readers.push(pictures);
            scope.spawn(move || read_every(job, first, threads, &to_engine, halt, clock));
        }
        for _ in 0..threads {
            let (frames, to_report) = (frames.clone(), to_report.clone());
            scope.spawn(move || write_all(job, &frames, &to_report, [halt, closed], clock));
        }
        drop((frames, to_report));
        // In the order of the sequence, which the readers share out in turn.
        let pictures = readers.iter().cycle().map_while(|reader| reader.recv().ok());
        let computing = Computing { job, gpu, frames: &to_writers, clock, report: &mut report, meaning: None };
        let computed = computing.all(pictures);
        if computed.is_err() {
            halt.store(true, Ordering::Relaxed);
        }
        // Both ends close here, so that readers and writers come to their end.
        drop((readers, to_writers));
        computed
    });
    for (frame, outcome) in outcomes.iter() {
        match outcome {
            Ok(()) => report.written += 1,
            Err(error) => report.failed.push(Failed { frame, reason: error.to_string() }),
        }
    }
    let bound = computed?;
    if let Some(Bound { elaborated, .. }) = &bound {
        (report.rendering, report.rendering_in_words) = (elaborated.rendering(), elaborated.rendering_in_words());
    }
    report.failed.sort_by_key(|failed| failed.frame);
    report.stopped = report.written + report.kept() + report.failed.len() < report.wanted;
    report.seconds = started.elapsed().as_secs_f64();
    report.seconds_a_frame = report.seconds / report.written.max(1) as f64;
    if job.timings {
        let device = gpu.zip(bound.as_ref()).and_then(|(gpu, bound)| timings::device_seconds(gpu, bound));
        report.timings = Some(clock.timings(report.written, report.seconds, gpu.is_some(), device));
    }
    Ok(report)
}

/// Reads every `step`th frame from the one at place `first` on.
fn read_every(job: &Job<'_>, first: usize, step: usize, pictures: &Sender<Reading>, halt: &AtomicBool, clock: &Clock) {
    for (number, path) in job.sequence.frames().iter().skip(first).step_by(step) {
        if halt.load(Ordering::Relaxed) || job.follower.stop() {
            return;
        }
        // Before the picture is read: an original that changes between the two is then recorded as it is no longer, and
        // its frame made anew.
        let original = if job.sink.records() { clock.hash(path) } else { None };
        let picture = clock.read(path).map(|mut picture| {
            let replaced = picture.frame.replace_non_finite();
            (picture, replaced)
        });
        if pictures.send(Reading { number: *number, original, picture }).is_err() {
            return;
        }
    }
}

/// Writes what comes. One frame that cannot be written costs itself; where no other one can be written either, what
/// still comes is let go and the reading ends.
fn write_all(
    job: &Job<'_>,
    frames: &Receiver<Rendered>,
    outcomes: &Sender<Outcome>,
    [halt, closed]: [&AtomicBool; 2],
    clock: &Clock,
) {
    for rendered in frames {
        if closed.load(Ordering::Relaxed) {
            continue;
        }
        let number = rendered.number;
        let outcome = job.sink.take(rendered, clock, job.follower);
        if outcome.as_ref().is_err_and(|error| job.sink.is_closed(error)) {
            closed.store(true, Ordering::Relaxed);
            halt.store(true, Ordering::Relaxed);
        }
        job.follower.frame_done(number);
        if outcomes.send((number, outcome)).is_err() {
            return;
        }
    }
}

/// How far to empty the engine.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Until {
    /// Until one more frame can be sent.
    Room,
    /// Until nothing is on its way.
    Empty,
}

/// What the thread that computes has to do with.
struct Computing<'a> {
    job: &'a Job<'a>,
    gpu: Option<&'a Arc<Gpu>>,
    frames: &'a Sender<Rendered>,
    clock: &'a Clock,
    report: &'a mut Report,
    /// What the job means for each frame, as the record states it.
    meaning: Option<Meaning<'a>>,
}

impl Computing<'_> {
    /// Computes what is read and hands it to the writers, in order. Gives what the last frame was computed with.
    fn all(mut self, pictures: impl Iterator<Item = Reading>) -> Result<Option<Bound>, Fault> {
        let mut bound = match self.job.example {
            Some(example) => Some(self.bind(example)?),
            None => None,
        };
        let mut waiting: VecDeque<Waiting> = VecDeque::new();
        let mut told = Told::default();
        for Reading { number, original, picture } in pictures {
            let (mut picture, replaced) = match picture {
                Ok(picture) => picture,
                Err(error) => {
                    self.fail(number, error.to_string());
                    continue;
                }
            };
            self.job.chain.overrule(&mut picture.about);
            let follows = match &mut bound {
                Some(bound) => bound.follows(self.job, &picture.frame, &picture.about)?,
                None => Follows::Rebound,
            };
            match follows {
                Follows::Yes => {}
                Follows::Rebound => {
                    self.end(bound.take(), &mut waiting)?;
                    bound = Some(self.bind(&Example::of(number, &picture))?);
                }
                Follows::No(why) => {
                    // What came before is sound and is written.
                    self.fail(number, format!("{why}; stopped here"));
                    break;
                }
            }
            let Some(bound) = &mut bound else { continue };
            if let Some(elaborated) = bound.moved(self.job, number)? {
                self.drain(bound, &mut waiting, Until::Empty)?;
                bound.set(elaborated)?;
            }
            told.changes(number, &picture.about, self.job.follower);
            self.report.nan += replaced.nan;
            self.report.infinite += replaced.infinite;
            let made_with = self.meaning.as_mut().map(|meaning| meaning.of(number)).transpose()?;
            let origin = made_with.zip(original).map(|(made_with, original)| Origin { made_with, original });
            waiting.push_back(Waiting { number, about: bound.about_result(picture.about), origin });
            self.clock.time(Stage::Upload, || bound.engine.send(Arc::new(picture.frame), number))?;
            if !bound.engine.has_room() {
                self.drain(bound, &mut waiting, Until::Room)?;
            }
        }
        self.end(bound, &mut waiting)
    }

    /// Binds the chain to frames like this one. What is recorded holds for the first one that was bound: one of another
    /// meaning would end the render.
    fn bind(&mut self, example: &Example) -> Result<Bound, Fault> {
        let bound = Bound::new(self.job, self.gpu, example)?;
        example.about.warnings.iter().for_each(|warning| self.job.follower.note(warning));
        if self.job.sink.records() {
            let (job, on_device) = (self.job, self.gpu.is_some());
            self.meaning.get_or_insert_with(|| Meaning::new(job, on_device, &example.about));
        }
        Ok(bound)
    }

    fn fail(&mut self, frame: i64, reason: String) {
        self.report.failed.push(Failed { frame, reason });
    }

    /// Receives what is still on its way.
    fn end(&mut self, bound: Option<Bound>, waiting: &mut VecDeque<Waiting>) -> Result<Option<Bound>, Fault> {
        let Some(mut bound) = bound else { return Ok(None) };
        self.drain(&mut bound, waiting, Until::Empty)?;
        self.report.device_reopened += bound.engine.reopened();
        Ok(Some(bound))
    }

    /// Receives frames and hands them to the writers.
    fn drain(&self, bound: &mut Bound, waiting: &mut VecDeque<Waiting>, until: Until) -> Result<(), Fault> {
        let engine = &mut bound.engine;
        while !engine.is_empty() && (until == Until::Empty || !engine.has_room()) {
            let Some(frame) = self.clock.time(Stage::Receive, || engine.receive())? else { break };
            if let Some(Waiting { number, about, origin }) = waiting.pop_front() {
                // The writers are gone only when the work is ending anyway.
                if self.frames.send(Rendered { number, frame, about, origin }).is_err() {
                    break;
                }
            }
        }
        Ok(())
    }
}

/// Says once a fact where the files of a sequence part over what changes no code and travels as each file says it.
#[derive(Default)]
struct Told {
    before: Option<About>,
    said: BTreeSet<Said>,
}

impl Told {
    fn changes(&mut self, number: i64, about: &About, follower: &dyn Follower) {
        if let Some(before) = &self.before {
            for said in [Said::Rate, Said::PixelAspect, Said::CameraRoll] {
                let (before, now) = (said.by(before), said.by(about));
                if before != now && self.said.insert(said) {
                    follower
                        .note(&format!("frame {number}: {now}, the frame before it {before}; kept as each file says"));
                }
            }
        }
        self.before = Some(about.clone());
    }
}
