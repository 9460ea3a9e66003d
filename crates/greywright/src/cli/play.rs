//! `play`: a sequence at its rate, without a window, and what came of it.

mod counter;
mod report;

use std::path::PathBuf;
use std::sync::Arc;
use std::time::{Duration, Instant};

use media::ahead::{Direction, Limits};
use media::{Picture, Sequence};
use session::playback::{Computing, Costs, Means, Pace, Player, Rate, Settings, Transport, screen_edges};

use self::counter::Counter;
use self::report::{Report, Run};
use super::chain::{ChainArgs, explain};
use super::engine::{self, Executor};
use super::failure::Failure;
use super::help::with_operations;
use super::{bytes, interrupt, render, say};

/// How often Ctrl-C is looked for.
const LOOK: Duration = Duration::from_millis(100);

/// Frames a second, or as many as there are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Speed {
    /// By the clock.
    Rate(Rate),
    /// As fast as it goes, every frame whole.
    Most,
}

/// Play a sequence through a chain without a window, and say what came of it.
///
/// By the clock at the sequence's rate: a frame that is not ready while it is due is dropped and counted, and none is shown
/// late. Where computing cannot keep up, smaller pictures are computed (one pixel of two, four or eight in both
/// directions), and the report says from which frame on. For a missing number the frame before it is held. With --rate
/// most, every frame is computed whole, as fast as it goes, and the report says which stage is the limit.
#[derive(clap::Args)]
#[command(after_long_help = with_operations("\
A shot of a project, at its own rate, in a loop for ten seconds:
  greywright play --project night_ferry.greywright --shot galley_010 --loop --seconds 10
How fast this machine can play, and what keeps it from playing faster:
  greywright play 'galley.%04d.dpx' --rate most --chain 'input-transform encoding=LogC3 | output-transform'"))]
pub struct Args {
    /// The originals; left out where --shot says which.
    #[arg(value_name = "IN")]
    original: Option<PathBuf>,
    #[command(flatten)]
    chain: ChainArgs,
    /// A shot sheet (CSV): its row for IN says encoding, exposure index, range and camera roll, before the files do.
    #[arg(long, value_name = "FILE")]
    shot_sheet: Option<PathBuf>,
    /// In and out: A-B, or one number.
    #[arg(long, value_name = "A-B", value_parser = render::frames, allow_hyphen_values = true)]
    frames: Option<(i64, i64)>,
    /// Frames a second, for instance 24, 23.976 or 24000/1001; `most` is as fast as it goes. The files' own rate if it
    /// is not given.
    #[arg(long, value_name = "RATE|most", value_parser = speed)]
    rate: Option<Speed>,
    /// Stop after so many seconds.
    #[arg(long, value_name = "SECONDS", value_parser = seconds)]
    seconds: Option<Duration>,
    /// Begin again at the other end.
    #[arg(long = "loop")]
    looped: bool,
    /// From the last frame to the first.
    #[arg(long)]
    backward: bool,
    /// Memory for decoded frames, in bytes or with KiB, MiB or GiB.
    #[arg(long, value_name = "BYTES", default_value = "2GiB", value_parser = bytes::parse)]
    memory: u64,
    /// Memory on the device for frames that stay there, half of --memory at most: each keeps its copy beside it, so that
    /// nothing is lost with the device.
    #[arg(long, value_name = "BYTES", default_value = "1GiB", value_parser = bytes::parse)]
    device_memory: u64,
    /// Threads that read and decode; as many as the machine runs at once if it is not given.
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u16).range(1..=512))]
    threads: Option<u16>,
    /// Fetch the pictures from the device, instead of leaving them there for a screen.
    #[arg(long)]
    fetch: bool,
    /// What computes; the adapter if there is one.
    #[arg(long)]
    executor: Option<Executor>,
    /// Write JSON.
    #[arg(long)]
    json: bool,
}

fn speed(text: &str) -> Result<Speed, String> {
    if text == "most" {
        return Ok(Speed::Most);
    }
    text.parse().map(Speed::Rate).map_err(|error: session::playback::RateError| error.to_string())
}

fn seconds(text: &str) -> Result<Duration, String> {
    let seconds: f64 = text.parse().unwrap_or(0.0);
    if seconds > 0.0 { Duration::try_from_secs_f64(seconds).ok() } else { None }
        .ok_or_else(|| "a number of seconds above 0 is wanted, for instance 10".to_string())
}

pub fn run(args: &Args) -> Result<(), Failure> {
    let mut chain = args.chain.read()?;
    let original = args.original.clone().or_else(|| chain.media());
    let original =
        original.ok_or_else(|| Failure::usage("IN is missing: the frames to play, or --shot of a project"))?;
    let sequence = open(&original, args.frames)?;
    if let Some(sheet) = &args.shot_sheet {
        chain.follow(sheet, &sequence)?;
    }
    // Where it cannot be read, playing says so.
    let first = sequence.frames().first().and_then(|(number, path)| Some((*number, media::read(path).ok()?)));
    let said = first.as_ref().and_then(|(_, picture)| picture.about.rate);
    let (rate, pace) = how(args.rate, said, sequence.name());
    let gpu = engine::open(args.executor)?;
    let costs = Arc::new(Costs::default());
    let means = Means { device_bytes: args.device_memory.min(args.memory / 2), fetched: args.fetch };
    let limits = Limits { budget_bytes: args.memory, threads: args.threads.map(usize::from) };
    let title = chain.title();
    let chain = Arc::new(chain);
    let mut work = Computing::new(gpu.clone(), Arc::clone(&chain), means, Arc::clone(&costs));
    let mut pixels = 0;
    if let Some((number, Picture { mut frame, about })) = first {
        pixels = frame.size().pixels();
        frame.replace_non_finite();
        if args.chain.explain {
            let elaborated = chain.for_frame(&about, number)?;
            let [source, result] = screen_edges(&elaborated, frame.layout());
            explain(&chain, &elaborated, source, result)?;
        }
        work.prepare(&Arc::new(frame), &about, number)?;
    }
    let counter = Counter::default();
    let settings = Settings { rate, pace, limits };
    let player = Player::start(&sequence, settings, Arc::clone(&costs), work, counter.screen())?;
    player.change(|transport, now| {
        transport.set_looped(now, args.looped);
        if args.backward {
            transport.set_direction(now, Direction::Backward);
            transport.scrub(*transport.span().end());
        }
    });
    // By the clock, play begins on a picture that is in sight, as in a window, and that is not counted. As fast as it goes,
    // nothing is read before.
    if pace == Pace::Clock {
        while !player.wait_for_rest(LOOK) && !interrupt::asked() {}
        player.count_anew();
        costs.begin_anew();
        counter.begin_anew();
    }
    let started = Instant::now();
    player.change(Transport::play);
    let is_over = || interrupt::asked() || args.seconds.is_some_and(|seconds| started.elapsed() >= seconds);
    let left = || args.seconds.map_or(LOOK, |seconds| seconds.saturating_sub(started.elapsed()).min(LOOK));
    while !player.wait_for_end(left()) && !is_over() {}
    let (tally, seconds) = (player.tally(), started.elapsed().as_secs_f64());
    player.change(Transport::stop);
    let peak_bytes = player.ahead().peak_bytes();
    let work = player.end().ok_or_else(|| Failure::work("the thread that computes broke off"))?;
    let run = Run {
        name: sequence.name(),
        title: &title,
        frames: sequence.frames().len(),
        executor: engine::name(gpu.as_ref()),
        has_device: gpu.is_some(),
        fetched: args.fetch,
        rate,
        pace,
        threads: args.threads.map_or_else(|| std::thread::available_parallelism().map_or(1, usize::from), usize::from),
        pixels,
        seconds,
        tally,
        peak_bytes,
        memory: args.memory,
        device_memory: means.device_bytes,
    };
    let report = Report::of(&run, &costs, &work, counter.failed());
    if args.json {
        say::json(&report)?;
    } else {
        say::result(&report.text())?;
    }
    verdict(&report)
}

fn open(path: &std::path::Path, frames: Option<(i64, i64)>) -> Result<Sequence, Failure> {
    let sequence = Sequence::open(path)?;
    let sequence = match frames {
        Some((first, last)) => sequence.restrict(first, last)?,
        None => sequence,
    };
    if !sequence.missing().is_empty() {
        say::note(&format!("{}: {} not there; the frame before is held", sequence.name(), sequence.missing_in_words()));
    }
    Ok(sequence)
}

/// The rate and what play goes by: what was asked for, else what the file says.
fn how(speed: Option<Speed>, said: Option<f64>, name: &str) -> (Rate, Pace) {
    match (speed, said.and_then(|rate| Rate::from_decimal(rate).ok())) {
        (Some(Speed::Rate(rate)), _) | (None, Some(rate)) => (rate, Pace::Clock),
        (Some(Speed::Most), _) => (Rate::CINEMA, Pace::Most),
        (None, None) => {
            say::note(&format!("{name}: no file says its rate; played at {}, say another with --rate", Rate::CINEMA));
            (Rate::CINEMA, Pace::Clock)
        }
    }
}

/// Says what went wrong, if anything did.
fn verdict(report: &Report) -> Result<(), Failure> {
    if report.device_reopened > 0 {
        say::note(&format!(
            "the graphics device was lost and opened again {} times; pictures were drawn again",
            report.device_reopened
        ));
    }
    for failed in &report.failed {
        let times = if failed.times > 1 { format!(", {} times", failed.times) } else { String::new() };
        say::error(&format!("frame {}{times}: {}", failed.frame, failed.reason));
    }
    if report.failed.is_empty() { Ok(()) } else { Err(Failure::said()) }
}
