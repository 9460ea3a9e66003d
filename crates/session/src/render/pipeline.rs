//! Frames through a chain: reading, computing and writing overlap, each on threads of its own.
//!
//! Several frames are decoded and several encoded at a time, since some formats use one core a frame. Frames are read ahead by
//! `media::ahead`, the engine that plays too. However long the sequence is, pictures take no more memory than the job allows.

use std::collections::{BTreeMap, BTreeSet, VecDeque};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread;
use std::time::Instant;

use crossbeam_channel::{Receiver, Sender, bounded, unbounded};
use gpu::device::Gpu;
use media::ahead::{InOrder, Limits};
use media::{About, MediaError, Said, read_timed};

use super::Job;
use super::bound::{Bound, Follows};
use super::content::Content;
use super::example::Example;
use super::meaning::Meaning;
use super::purse::Purse;
use super::report::{Failed, Report};
use super::sink::{Origin, Rendered};
use super::timings::{self, Clock, Stage};
use crate::{Fault, Follower};

/// Most threads that read, and most that write: each holds a frame, and a frame may be large.
const MOST_THREADS: usize = 8;

/// What files hold, by their paths, from before they were read until their frame is computed.
type Contents = Arc<Mutex<BTreeMap<PathBuf, Content>>>;

/// What came of writing a frame.
type Outcome = (i64, Result<(), MediaError>);

/// A picture on its way, with what its file is to say.
struct Waiting {
    number: i64,
    about: About,
    origin: Option<Origin>,
    /// What it took from the purse.
    bytes: u64,
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
    let clock = Arc::new(Clock::default());
    let purse = Purse::new(job.memory_bytes / 2);
    let contents = Contents::default();
    let mut pictures = read_ahead(job, &clock, &contents)?;
    let mut report = Report::begun(job, gpu);
    job.follower.begins(job.sequence.frames().len(), job.sequence.name());
    let computed = thread::scope(|scope| {
        let (halt, closed, clock, purse) = (&halt, &closed, &*clock, &purse);
        for _ in 0..threads {
            let (frames, to_report) = (frames.clone(), to_report.clone());
            scope.spawn(move || write_all(job, &frames, &to_report, [halt, closed], (clock, purse)));
        }
        drop((frames, to_report));
        let report = &mut report;
        let computing =
            Computing { job, gpu, frames: &to_writers, clock, purse, halt, contents: &contents, report, meaning: None };
        let computed = computing.all(&mut pictures);
        // The end closes here, so that the writers come to theirs.
        drop(to_writers);
        computed
    });
    for (frame, outcome) in outcomes.iter() {
        match outcome {
            Ok(()) => report.written += 1,
            Err(error) => report.failed.push(Failed { frame, reason: error.to_string() }),
        }
    }
    report.peak_bytes = pictures.peak_bytes() + purse.peak();
    drop(pictures);
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

/// Reads the originals ahead of the work, each with what its file holds where that is to be recorded.
fn read_ahead(job: &Job<'_>, clock: &Arc<Clock>, contents: &Contents) -> Result<InOrder, Fault> {
    let limits = Limits { budget_bytes: job.memory_bytes / 2, threads: Some(threads()) };
    let (records, clock, contents) = (job.sink.records(), Arc::clone(clock), Arc::clone(contents));
    let read = move |path: &Path| {
        // Before the picture is read: an original that changes between the two is then recorded as it is no longer, and
        // its frame made anew.
        if records && let Some(content) = clock.hash(path) {
            contents.lock().unwrap_or_else(PoisonError::into_inner).insert(path.to_owned(), content);
        }
        read_timed(path)
    };
    Ok(InOrder::with_reader(job.sequence.frames().to_vec(), limits, Box::new(read))?)
}

/// Writes what comes. One frame that cannot be written costs itself; where no other one can be written either, what
/// still comes is let go and the reading ends.
fn write_all(
    job: &Job<'_>,
    frames: &Receiver<Rendered>,
    outcomes: &Sender<Outcome>,
    [halt, closed]: [&AtomicBool; 2],
    (clock, purse): (&Clock, &Purse),
) {
    for rendered in frames {
        let (number, bytes) = (rendered.number, rendered.bytes);
        if closed.load(Ordering::Relaxed) {
            purse.give(bytes);
            continue;
        }
        let outcome = job.sink.take(rendered, clock, job.follower);
        purse.give(bytes);
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
    purse: &'a Purse,
    /// Whether nothing more is to be read.
    halt: &'a AtomicBool,
    contents: &'a Contents,
    report: &'a mut Report,
    /// What the job means for each frame, as the record states it.
    meaning: Option<Meaning<'a>>,
}

impl Computing<'_> {
    /// Computes what is read and hands it to the writers, in order. Gives what the last frame was computed with.
    fn all(mut self, pictures: &mut InOrder) -> Result<Option<Bound>, Fault> {
        let mut bound = match self.job.example {
            Some(example) => Some(self.bind(example)?),
            None => None,
        };
        let mut waiting: VecDeque<Waiting> = VecDeque::new();
        let mut told = Told::default();
        while !self.halt.load(Ordering::Relaxed) && !self.job.follower.stop() {
            let Some(reading) = pictures.next() else { break };
            let number = reading.number;
            self.clock.add(Stage::Read, reading.spent.reading);
            self.clock.add(Stage::Decode, reading.spent.decoding);
            let original = self.original(number);
            let (mut picture, replaced) = match reading.outcome {
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
            let bytes = picture.frame.held_bytes() as u64 + bound.result_bytes();
            self.take(bytes, bound, &mut waiting)?;
            waiting.push_back(Waiting { number, about: bound.about_result(picture.about), origin, bytes });
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

    /// What the original of a frame held before it was read.
    fn original(&self, number: i64) -> Option<Content> {
        let frames = self.job.sequence.frames();
        let at = frames.binary_search_by_key(&number, |(own, _)| *own).ok()?;
        self.contents.lock().unwrap_or_else(PoisonError::into_inner).remove(&frames.get(at)?.1)
    }

    /// Takes memory for one more picture on its way; where there is none, those before it are received and written first.
    fn take(&self, bytes: u64, bound: &mut Bound, waiting: &mut VecDeque<Waiting>) -> Result<(), Fault> {
        while !self.purse.try_take(bytes) {
            if bound.engine.is_empty() {
                // The writers have the rest, and give it back.
                self.purse.take(bytes);
                break;
            }
            self.receive(bound, waiting)?;
        }
        Ok(())
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
        while !bound.engine.is_empty() && (until == Until::Empty || !bound.engine.has_room()) {
            self.receive(bound, waiting)?;
        }
        Ok(())
    }

    /// Receives the frame that was sent first and hands it to the writers.
    fn receive(&self, bound: &mut Bound, waiting: &mut VecDeque<Waiting>) -> Result<(), Fault> {
        let frame = self.clock.time(Stage::Receive, || bound.engine.receive())?;
        if let (Some(frame), Some(Waiting { number, about, origin, bytes })) = (frame, waiting.pop_front()) {
            // The writers stay until this end is closed.
            let _ = self.frames.send(Rendered { number, frame, about, origin, bytes });
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
