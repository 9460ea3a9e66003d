//! `pace --held`: what a window and playback do with frames that are held on the device.

use std::sync::Arc;
use std::sync::mpsc::sync_channel;
use std::time::Instant;

use colour::CodeRange;
use colour::primaries::BT709;
use frame::{Frame, Range};
use gpu::assemble::{Edge, Program, ScopesProgram, Trace, assemble, assemble_scopes, assemble_view};
use gpu::device::{AdapterChoice, DeviceError, Gpu, Held, Job, Renderer, Scopes, time};
use measure::Tap;
use measure::scopes::Region;
use measure::view::{Clip, Kind, View};
use plan::{Level, Plan};
use serde::Serialize;

use super::scopes::{TEN, noisy, traces};
use super::{Args, ChainArgs};
use crate::cli::failure::Failure;
use crate::cli::say;

/// Twelve operations, none of them neutral.
const TWELVE: &str = "input-transform encoding=LogC3 | printer-points all=2 red=1 | flare all=0.3 | exposure stops=0.4 \
    | white-balance from=3400K | light-shift mired=8 duv=0.001 | contrast slope=1.1 | saturation factor=1.1 \
    | cdl slope=1.02,1,0.98 offset=0.01,0,0 power=1.05,1,1 | shoulder strength=0.5 | gamut-compress \
    | output-transform display=BT.1886";

/// The same in another order.
const OTHER: &str = "input-transform encoding=LogC3 | exposure stops=0.4 | light-shift mired=8 duv=0.001 | flare all=0.3 \
    | cdl slope=1.02,1,0.98 offset=0.01,0,0 power=1.05,1,1 | contrast slope=1.1 | white-balance from=3400K \
    | printer-points all=2 red=1 | gamut-compress | saturation factor=1.1 | shoulder strength=0.5 \
    | output-transform display=BT.1886";

/// Rounds before those that count.
const WARM_UP: u32 = 3;

#[derive(Serialize)]
struct Answer {
    adapter: String,
    driver: String,
    chain: &'static str,
    other: &'static str,
    size: [u32; 2],
    /// How the frames are stored, and what is drawn for a screen.
    source: String,
    result: String,
    repeats: u32,
    rows: Vec<Row>,
}

#[derive(Serialize)]
struct Row {
    what: &'static str,
    /// By the device's own clock, each pass alone; none where there is no such clock, or no pass.
    device_microseconds: Option<f64>,
    /// From the first call until all is done; none where it is not done by itself.
    wall_microseconds: Option<f64>,
}

/// A candidate, ready to be drawn and counted.
struct Candidate {
    plan: Plan,
    tap: Tap,
    picture: Program,
    scopes: ScopesProgram,
}

/// Ten bits for a screen as for a file.
const EDGE: Edge = Edge::Stored(TEN, Range::Full);

impl Candidate {
    fn new(chain: &str, region: Region) -> Result<Self, Failure> {
        let elaborated = ChainArgs { chain: Some(chain.to_string()), ..ChainArgs::default() }.read()?.for_rows()?;
        let tap = Tap::new(elaborated.result_signal.clone());
        let plan = Plan::new(&elaborated, Level::Full);
        let traces: Vec<Trace> = traces(&tap, region).into_iter().map(|(_, trace)| trace).collect();
        let scopes = assemble_scopes(&plan, EDGE, &tap, &traces, region)?;
        Ok(Self { picture: assemble(&plan, EDGE, EDGE)?, scopes, tap, plan })
    }
}

pub(super) fn run(args: &Args, gpu: &Arc<Gpu>) -> Result<(), Failure> {
    let size = args.size;
    let whole = Region::whole(size).ok_or_else(|| Failure::usage("a size of at least 1x1 is wanted"))?;
    let candidates = [Candidate::new(TWELVE, whole)?, Candidate::new(OTHER, whole)?];
    let [one, other] = &candidates;
    let clip = Clip::of_codes(10, CodeRange::Full);
    let view = assemble_view(&one.plan, EDGE, &View::new(Kind::Warnings, one.tap.clone(), clip, &BT709), EDGE)?;
    let frame = Arc::new(noisy(size)?);
    let jobs = [
        Job::Program(&one.picture),
        Job::Program(&other.picture),
        Job::Scopes(&one.scopes, size),
        Job::Scopes(&other.scopes, size),
        Job::Program(&view),
    ];
    let device = device_seconds(args, gpu, &jobs, &frame)?;
    let renderer =
        |program: &Program| Renderer::new(Arc::clone(gpu), AdapterChoice::from_environment(), program.clone(), None);
    let scopes = |program: &ScopesProgram| {
        Scopes::new(Arc::clone(gpu), AdapterChoice::from_environment(), program.clone(), None)
    };
    let held = Held::new(gpu, Arc::clone(&frame), None)?;
    let upload = wall(args.repeats, || Held::new(gpu, Arc::clone(&frame), None)?.wait())?;
    let mut picture = renderer(&one.picture);
    let chain = wall(args.repeats, || picture.draw(&held, 0)?.wait())?;
    let told = told(args.repeats, &mut picture, &held)?;
    let mut pictures = candidates.each_ref().map(|candidate| renderer(&candidate.picture));
    let mut counters = candidates.each_ref().map(|candidate| scopes(&candidate.scopes));
    let mut view = renderer(&view);
    let window = wall(args.repeats, || {
        let drawn = pictures.each_mut().map(|picture| picture.draw(&held, 0));
        counters.iter_mut().try_for_each(|counter| counter.send_held(&held))?;
        view.draw(&held, 0)?.wait()?;
        drawn.into_iter().try_for_each(|drawn| drawn.map(drop))
    })?;
    let playback = playback(args.repeats, gpu, &frame, &mut picture)?;
    let row = |what, device: Option<f64>, wall: Option<f64>| Row {
        what,
        device_microseconds: device.map(|seconds| seconds * 1e6),
        wall_microseconds: wall.map(|seconds| seconds * 1e6),
    };
    let of = |at: usize| device.as_ref().and_then(|seconds| seconds.get(at).copied());
    let rows = vec![
        row("upload", None, Some(upload)),
        row("twelve operations to a screen", of(0), Some(chain)),
        row("the same as a window is told it", told, None),
        row("the same in another order", of(1), None),
        row("five scopes of the one", of(2), None),
        row("five scopes of the other", of(3), None),
        row("a view", of(4), None),
        row(
            "two candidates, five scopes each, a view",
            device.as_ref().map(|seconds| seconds.iter().sum()),
            Some(window),
        ),
        row("a new frame every time, uploaded beside the work", None, Some(playback)),
    ];
    let answer = Answer {
        adapter: gpu.note().to_string(),
        driver: gpu.note().driver.clone(),
        chain: TWELVE,
        other: OTHER,
        size: [size.width, size.height],
        source: TEN.name(),
        result: TEN.name(),
        repeats: args.repeats,
        rows,
    };
    if args.json { say::json(&answer) } else { say::result(&table(&answer)) }
}

/// Medians of jobs by the device's own clock; none where it has none.
fn device_seconds(args: &Args, gpu: &Arc<Gpu>, jobs: &[Job<'_>], frame: &Frame) -> Result<Option<Vec<f64>>, Failure> {
    let words: Vec<u32> = frame.bytes().as_chunks::<4>().0.iter().map(|word| u32::from_le_bytes(*word)).collect();
    let pixels = frame.size().pixels() as u64;
    match time(gpu, jobs, pixels, args.sets as usize, args.repeats as usize, &words) {
        Ok(timings) => Ok(Some(timings.iter().map(gpu::device::Timing::median).collect())),
        Err(DeviceError::NoTimestamps) => Ok(None),
        Err(error) => Err(error.into()),
    }
}

/// The median of what some work takes, in seconds.
fn wall(repeats: u32, mut work: impl FnMut() -> Result<(), DeviceError>) -> Result<f64, Failure> {
    let mut seconds = Vec::with_capacity(repeats as usize);
    for round in 0..WARM_UP + repeats {
        let started = Instant::now();
        work()?;
        if round >= WARM_UP {
            seconds.push(started.elapsed().as_secs_f64());
        }
    }
    Ok(gpu::device::Timing { seconds }.median())
}

/// The median of what drawn pictures say that the device took for them; none where it has no clock.
fn told(repeats: u32, picture: &mut Renderer, held: &Held) -> Result<Option<f64>, Failure> {
    let mut seconds = Vec::with_capacity(repeats as usize);
    for _ in 0..repeats {
        match picture.draw(held, 0)?.device_seconds()? {
            Some(time) => seconds.push(time),
            None => return Ok(None),
        }
    }
    Ok(Some(gpu::device::Timing { seconds }.median()))
}

/// Seconds a frame where each is uploaded on a thread of its own while the one before is drawn.
fn playback(repeats: u32, gpu: &Arc<Gpu>, frame: &Arc<Frame>, picture: &mut Renderer) -> Result<f64, Failure> {
    let (give, take) = sync_channel(1);
    std::thread::scope(|scope| {
        scope.spawn(move || {
            for _ in 0..WARM_UP + repeats {
                // Nobody takes it any more once drawing has failed.
                if give.send(Held::new(gpu, Arc::clone(frame), None)).is_err() {
                    return;
                }
            }
        });
        let mut before = None;
        let mut draw = || {
            let held = take.recv().map_err(|error| Failure::work(error.to_string()))??;
            let drawn = picture.draw(&held, 0)?;
            // One is shown while the next is drawn.
            before.replace(drawn).map_or(Ok(()), |before: gpu::device::Drawn| before.wait())?;
            Ok::<_, Failure>(())
        };
        (0..WARM_UP).try_for_each(|_| draw())?;
        let started = Instant::now();
        (0..repeats).try_for_each(|_| draw())?;
        Ok(started.elapsed().as_secs_f64() / f64::from(repeats))
    })
}

fn table(answer: &Answer) -> String {
    let Answer { adapter, size, source, result, repeats, .. } = answer;
    let mut text = format!(
        "frames held on the device\n  {adapter}\n  {}x{}, {source} to {result}, median of {repeats}\n",
        size[0], size[1]
    );
    for row in &answer.rows {
        let time = |time: Option<f64>| time.map_or("-".to_string(), |time| format!("{time:.1} us"));
        let (device, wall) = (time(row.device_microseconds), time(row.wall_microseconds));
        text += &format!("  {:50} {wall:>15} until it is done  {device:>14} on the device\n", row.what);
    }
    text
}
