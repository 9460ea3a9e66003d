//! `render`: a sequence of frames through a chain.
//!
//! Reading, computing and writing overlap; at most a few frames are held at once, however long the
//! sequence is.

use std::collections::{BTreeSet, VecDeque};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Instant;

use clap::ValueEnum;
use colour::Primaries;
use crossbeam_channel::{Receiver, Sender, bounded, unbounded};
use frame::{Channels, Frame, Layout, NonFinite, Samples, Size};
use gpu::assemble::Edge;
use gpu::device::Gpu;
use graph::Elaborated;
use media::{About, Depth, Format, MediaError, OutputPattern, Picture, Sequence, layout_for};
use serde::Serialize;

use super::chain::{Chain, ChainArgs, encoding_id, explain, file_range};
use super::engine::{self, Engine, Executor};
use super::failure::Failure;
use super::help::with_operations;
use super::timings::{Bound, Clock, Stage, Timings};
use super::{interrupt, say, timings};

/// Frames read ahead of the one that is computed.
const AHEAD: usize = 2;
/// Threads that encode and write.
const WRITERS: usize = 2;

/// What becomes of numbers that are missing in a sequence.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Gaps {
    /// Stop before anything is written.
    Refuse,
    /// Render what is there.
    Skip,
}

/// Put a sequence of frames through a chain.
///
/// IN and OUT are name.%04d.dpx, name.####.exr, one file, or a folder; OUT's ending chooses the
/// format, and in a folder frames keep their names. A frame appears under its final name only when it
/// is whole.
#[derive(clap::Args)]
#[command(after_long_help = with_operations("\
A tungsten shot, half a stop under, to a BT.1886 monitor:
  greywright render 'galley.%04d.dpx' 'corrected/galley.%04d.dpx' --chain \\
    'input-transform encoding=LogC3 | exposure stops=+0.5 | white-balance from=3200K | output-transform display=BT.1886'"))]
pub struct Args {
    /// The originals.
    #[arg(value_name = "IN")]
    original: PathBuf,
    /// Where the frames go.
    #[arg(value_name = "OUT")]
    out: PathBuf,
    #[command(flatten)]
    chain: ChainArgs,
    /// A shot sheet (CSV): its row for IN says encoding, exposure index and range, before the files do.
    #[arg(long, value_name = "FILE")]
    shot_sheet: Option<PathBuf>,
    /// Only these frames: A-B, or one number.
    #[arg(long, value_name = "A-B", value_parser = frames, allow_hyphen_values = true)]
    frames: Option<(i64, i64)>,
    /// Bits of a sample: 8, 10, 16, half or float, as the format allows.
    #[arg(long, value_name = "8|10|16|half|float")]
    depth: Option<Depth>,
    /// Stop unless what is written is an ACES image container (SMPTE ST 2065-4): OpenEXR, half, ACES2065-1.
    #[arg(long)]
    aces_container: bool,
    /// What to do where frame numbers are missing.
    #[arg(long, value_name = "WHAT", default_value = "refuse")]
    gaps: Gaps,
    /// What computes; the adapter if there is one.
    #[arg(long)]
    executor: Option<Executor>,
    /// Say what each stage costs; every file is read once more, to tell the disk from the decoder.
    #[arg(long)]
    timings: bool,
    /// Write JSON.
    #[arg(long)]
    json: bool,
}

/// Reads `A-B` or `A`; both may be negative.
pub fn frames(text: &str) -> Result<(i64, i64), String> {
    let wanted = || "first and last frame are wanted, for instance 1001-1048".to_string();
    let split = text.char_indices().skip(1).find(|&(_, c)| c == '-').map(|(at, _)| at);
    let (first, last) = match split {
        Some(at) => (&text[..at], &text[at + 1..]),
        None => (text, text),
    };
    let (first, last): (i64, i64) = (first.parse().map_err(|_| wanted())?, last.parse().map_err(|_| wanted())?);
    if first <= last { Ok((first, last)) } else { Err(format!("{first} comes after {last}")) }
}

/// What one render did.
#[derive(Debug, Serialize)]
pub struct Report {
    /// What computed.
    pub executor: String,
    /// Where the frames are.
    pub out: String,
    /// Frames written.
    pub written: usize,
    /// Frames asked for.
    pub wanted: usize,
    /// Whether Ctrl-C ended it.
    pub stopped: bool,
    /// Frames that failed, with why.
    pub failed: Vec<Failed>,
    /// NaN replaced by 0.
    pub nan: u64,
    /// Infinities replaced by the largest half float.
    pub infinite: u64,
    /// How often a lost device was opened again.
    pub device_reopened: u32,
    /// Wall time.
    pub seconds: f64,
    /// Wall time a written frame.
    pub seconds_a_frame: f64,
    /// What each stage costs, where that was asked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub timings: Option<Timings>,
}

/// A frame that failed.
#[derive(Debug, Serialize)]
pub struct Failed {
    /// Its number.
    pub frame: i64,
    /// Why.
    pub reason: String,
}

/// What to render.
pub struct Job<'a> {
    /// The chain.
    pub chain: &'a Chain,
    /// The originals.
    pub sequence: &'a Sequence,
    /// Where the frames go.
    pub out: &'a OutputPattern,
    /// Bits of a sample; the format's usual ones if none.
    pub depth: Option<Depth>,
    /// Whether to print what the chain means.
    pub explain: bool,
    /// Whether each stage is timed.
    pub timings: bool,
    /// Whether anything but an ACES image container is refused.
    pub aces_container: bool,
}

pub fn run(args: &Args) -> Result<(), Failure> {
    let mut chain = args.chain.read()?;
    let sequence = open(&args.original, args.frames, args.gaps)?;
    if let Some(sheet) = &args.shot_sheet {
        chain.follow(sheet, &sequence)?;
    }
    let out = output(&args.out, args.depth, &sequence)?;
    refuse_same(&sequence, &out)?;
    let gpu = engine::open(args.executor)?;
    let job = Job {
        chain: &chain,
        sequence: &sequence,
        out: &out,
        depth: args.depth,
        explain: args.chain.explain,
        timings: args.timings,
        aces_container: args.aces_container,
    };
    let report = render(&job, gpu.as_ref())?;
    if args.json {
        say::json(&report)?;
    } else if report.written > 0 {
        say::result(&format!(
            "{} of {} frames, {} s a frame, by {}\n  {}\n{}",
            report.written,
            report.wanted,
            say::significant(report.seconds_a_frame, 3),
            report.executor,
            report.out,
            report.timings.as_ref().map(Timings::table).unwrap_or_default()
        ))?;
    }
    report.verdict()
}

impl Report {
    /// A render of which nothing is done yet.
    fn begun(job: &Job<'_>, gpu: Option<&Arc<Gpu>>) -> Self {
        Self {
            executor: engine::name(gpu),
            out: say::path(&job.out.path_for(job.sequence.frames().first().map_or(1, |(number, _)| *number))),
            written: 0,
            wanted: job.sequence.frames().len(),
            stopped: false,
            failed: Vec::new(),
            nan: 0,
            infinite: 0,
            device_reopened: 0,
            seconds: 0.0,
            seconds_a_frame: 0.0,
            timings: None,
        }
    }

    /// Says what went wrong, if anything did.
    pub fn verdict(&self) -> Result<(), Failure> {
        if self.nan + self.infinite > 0 {
            say::note(&format!(
                "{} NaN and {} infinite values were replaced (by 0 and by +-65504)",
                self.nan, self.infinite
            ));
        }
        if self.device_reopened > 0 {
            say::note(&format!(
                "the graphics device was lost and opened again {} times; no frame was lost",
                self.device_reopened
            ));
        }
        for failed in &self.failed {
            say::error(&format!("frame {}: {}", failed.frame, failed.reason));
        }
        if self.stopped {
            say::error(&format!("stopped after {} of {} frames; what was written is whole", self.written, self.wanted));
        }
        if self.stopped || !self.failed.is_empty() { Err(Failure::said()) } else { Ok(()) }
    }
}

/// Opens a sequence, a part of it if asked.
pub fn open(path: &Path, part: Option<(i64, i64)>, gaps: Gaps) -> Result<Sequence, Failure> {
    let sequence = Sequence::open(path)?;
    let sequence = match part {
        Some((first, last)) => sequence.restrict(first, last)?,
        None => sequence,
    };
    match gaps {
        Gaps::Refuse => {
            sequence.require_whole().map_err(|error| Failure::work(format!("{error}; or say --gaps skip")))?
        }
        Gaps::Skip if !sequence.missing().is_empty() => {
            say::note(&format!("{}: {} not there, left out", sequence.name(), sequence.missing_in_words()));
        }
        Gaps::Skip => {}
    }
    Ok(sequence)
}

/// Where the frames go. In a folder (one that is there, a path that ends in a slash, a name without an ending) they
/// keep their names.
fn output(path: &Path, depth: Option<Depth>, sequence: &Sequence) -> Result<OutputPattern, Failure> {
    let is_bare = path.extension().is_none() && !path.to_string_lossy().contains(['%', '#']);
    let path = if is_bare { path.join("") } else { path.to_owned() };
    let out = OutputPattern::parse_with_default(&path, sequence.name()).map_err(Failure::usage)?;
    out.check_count(sequence.frames().len()).map_err(Failure::usage)?;
    if let Some(depth) = depth {
        layout_for(out.format(), depth, Channels::Rgb).map_err(Failure::usage)?;
    }
    out.prepare()?;
    Ok(out)
}

/// Originals are never written over.
fn refuse_same(sequence: &Sequence, out: &OutputPattern) -> Result<(), Failure> {
    let originals: BTreeSet<PathBuf> =
        sequence.frames().iter().filter_map(|(_, path)| path.canonicalize().ok()).collect();
    for (number, _) in sequence.frames() {
        let target = out.path_for(*number);
        if target.canonicalize().is_ok_and(|target| originals.contains(&target)) {
            return Err(Failure::work(format!("{}: this is an original; write elsewhere", target.display())));
        }
    }
    Ok(())
}

/// A picture on its way, with what its file is to say.
struct Waiting {
    number: i64,
    about: About,
}

/// What came of reading a frame: the picture, and what in it was not finite.
type Reading = (i64, Result<(Picture, NonFinite), MediaError>);

/// What came of writing a frame.
type Outcome = (i64, Result<(), MediaError>);

/// Renders a job with a progress bar on a terminal.
pub fn render(job: &Job<'_>, gpu: Option<&Arc<Gpu>>) -> Result<Report, Failure> {
    let started = Instant::now();
    let bar = say::progress(job.sequence.frames().len(), job.sequence.name());
    let (to_engine, pictures) = bounded::<Reading>(AHEAD);
    let (to_writers, frames) = bounded::<(i64, Frame, About)>(WRITERS);
    let (to_report, outcomes) = unbounded::<Outcome>();
    let halt = AtomicBool::new(false);
    let mut report = Report::begun(job, gpu);
    let clock = Clock::new(job.timings);
    let computed = std::thread::scope(|scope| {
        let (halted, clock) = (&halt, &clock);
        scope.spawn(move || read_all(job.sequence, &to_engine, halted, clock));
        for _ in 0..WRITERS {
            let (frames, to_report) = (frames.clone(), to_report.clone());
            let (halt, bar) = (&halt, &bar);
            scope.spawn(move || write_all(job.out, &frames, &to_report, halt, bar, clock));
        }
        drop((frames, to_report));
        let computed = compute_all(job, gpu, &pictures, &to_writers, &mut report, clock);
        if computed.is_err() {
            halt.store(true, Ordering::Relaxed);
        }
        // Both ends close here, so that readers and writers come to their end.
        drop((pictures, to_writers));
        computed
    });
    bar.finish_and_clear();
    for (frame, outcome) in outcomes.iter() {
        match outcome {
            Ok(()) => report.written += 1,
            Err(error) => report.failed.push(Failed { frame, reason: error.to_string() }),
        }
    }
    let bound = computed?;
    report.failed.sort_by_key(|failed| failed.frame);
    report.stopped = interrupt::asked() && report.written + report.failed.len() < report.wanted;
    report.seconds = started.elapsed().as_secs_f64();
    report.seconds_a_frame = report.seconds / report.written.max(1) as f64;
    if job.timings {
        let device = gpu.zip(bound.as_ref()).and_then(|(gpu, bound)| timings::device_seconds(gpu, bound));
        report.timings = Some(clock.timings(report.written, report.seconds, gpu.is_some(), device));
    }
    Ok(report)
}

fn read_all(sequence: &Sequence, pictures: &Sender<Reading>, halt: &AtomicBool, clock: &Clock) {
    for (number, path) in sequence.frames() {
        if halt.load(Ordering::Relaxed) || interrupt::asked() {
            return;
        }
        let picture = clock.read(path).map(|mut picture| {
            let replaced = picture.frame.replace_non_finite();
            (picture, replaced)
        });
        if pictures.send((*number, picture)).is_err() {
            return;
        }
    }
}

fn write_all(
    out: &OutputPattern,
    frames: &Receiver<(i64, Frame, About)>,
    outcomes: &Sender<Outcome>,
    halt: &AtomicBool,
    bar: &indicatif::ProgressBar,
    clock: &Clock,
) {
    for (number, frame, about) in frames {
        let outcome = clock.time(Stage::Store, || media::write(&out.path_for(number), &frame, &about));
        if outcome.is_err() {
            // A folder that takes no file takes the next one no better.
            halt.store(true, Ordering::Relaxed);
        }
        bar.inc(1);
        if outcomes.send((number, outcome)).is_err() {
            return;
        }
    }
}

/// Computes what is read and hands it to the writers, in order. Gives what the last frame was computed with.
fn compute_all(
    job: &Job<'_>,
    gpu: Option<&Arc<Gpu>>,
    pictures: &Receiver<Reading>,
    frames: &Sender<(i64, Frame, About)>,
    report: &mut Report,
    clock: &Clock,
) -> Result<Option<Bound>, Failure> {
    let mut bound: Option<(Engine, Bound)> = None;
    let mut waiting: VecDeque<Waiting> = VecDeque::new();
    for (number, picture) in pictures {
        let (picture, replaced) = match picture {
            Ok(picture) => picture,
            Err(error) => {
                report.failed.push(Failed { frame: number, reason: error.to_string() });
                continue;
            }
        };
        report.nan += replaced.nan;
        report.infinite += replaced.infinite;
        let (layout, size) = (picture.frame.layout(), picture.frame.size());
        if bound.as_ref().is_none_or(|(engine, _)| engine.source_layout() != layout) {
            if let Some((engine, _)) = &mut bound {
                drain(engine, &mut waiting, frames, Until::Empty, clock)?;
                report.device_reopened += engine.reopened();
            }
            bound = Some(bind(job, gpu, &picture.about, layout, size)?);
            picture.about.warnings.iter().for_each(|warning| say::note(warning));
        }
        let Some((engine, bound)) = &mut bound else { continue };
        waiting.push_back(Waiting { number, about: about_result(&bound.elaborated, picture.about) });
        clock.time(Stage::Upload, || engine.send(Arc::new(picture.frame)))?;
        if !engine.has_room() {
            drain(engine, &mut waiting, frames, Until::Room, clock)?;
        }
    }
    if let Some((engine, _)) = &mut bound {
        drain(engine, &mut waiting, frames, Until::Empty, clock)?;
        report.device_reopened += engine.reopened();
    }
    Ok(bound.map(|(_, bound)| bound))
}

/// What a rendered frame says of itself: its own encoding and range, the rest as the original says.
fn about_result(elaborated: &Elaborated, original: About) -> About {
    let signal = &elaborated.result_signal;
    let encoding = encoding_id(signal).map(|id| (id, "made so".to_string()));
    // Chromaticities in a float file are taken for those of linear light, so that code says none. Of what nothing is
    // known the original's own still hold: a chain that touches primaries asks for the encoding.
    let chromaticities = if signal.is_unknown() {
        original.chromaticities
    } else {
        let Primaries { red, green, blue, white, .. } = &signal.primaries;
        signal.curve.is_linear().then(|| [red, green, blue, white].map(|xy| [xy.x, xy.y]))
    };
    About { encoding, range: Some(file_range(elaborated.result_range)), chromaticities, ..original }
}

fn bind(
    job: &Job<'_>,
    gpu: Option<&Arc<Gpu>>,
    about: &About,
    source: Layout,
    size: Size,
) -> Result<(Engine, Bound), Failure> {
    let elaborated = job.chain.for_frames(about)?;
    let format = job.out.format();
    let depth = job.depth.unwrap_or_else(|| format.default_depth());
    let channels = if source.has_alpha() { Channels::Rgba } else { Channels::Rgb };
    let mut result = layout_for(format, depth, channels)?;
    if result.samples == Samples::Ten && source.samples == Samples::Ten {
        // 10-bit words leave in the byte order they came in.
        result.order = source.order;
    }
    if job.aces_container {
        require_container(&elaborated, format, result)?;
    }
    if job.explain {
        let edge = |layout, range| Edge::Stored(layout, file_range(range));
        explain(&elaborated, edge(source, elaborated.original_range), edge(result, elaborated.result_range))?;
    }
    Ok((Engine::new(gpu, &elaborated, source, result)?, Bound { elaborated, source, result, size }))
}

/// Whether what is written is an ACES image container, which every OpenEXR file of ACES2065-1 in halves is.
///
/// # Source
/// SMPTE ST 2065-4.
fn require_container(elaborated: &Elaborated, format: Format, result: Layout) -> Result<(), Failure> {
    let needs = |what: &str| Err(Failure::usage(format!("--aces-container: {what}")));
    if format != Format::Exr || result.samples != Samples::Half {
        return needs(
            "an ACES image container is OpenEXR in halves; write to a name that ends in .exr, with --depth half",
        );
    }
    if encoding_id(&elaborated.result_signal).as_deref() != Some("ACES2065-1") {
        return needs(
            "it holds ACES2065-1 alone, and that is not what leaves the chain; end it with | encode encoding=ACES2065-1",
        );
    }
    Ok(())
}

/// How far to empty the engine.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Until {
    /// Until one more frame can be sent.
    Room,
    /// Until nothing is on its way.
    Empty,
}

/// Receives frames and hands them to the writers.
fn drain(
    engine: &mut Engine,
    waiting: &mut VecDeque<Waiting>,
    frames: &Sender<(i64, Frame, About)>,
    until: Until,
    clock: &Clock,
) -> Result<(), Failure> {
    while !engine.is_empty() && (until == Until::Empty || !engine.has_room()) {
        let Some(frame) = clock.time(Stage::Receive, || engine.receive())? else { break };
        if let Some(Waiting { number, about }) = waiting.pop_front() {
            // The writers are gone only when the work is ending anyway.
            if frames.send((number, frame, about)).is_err() {
                break;
            }
        }
    }
    Ok(())
}
