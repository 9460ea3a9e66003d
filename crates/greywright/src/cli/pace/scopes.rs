//! `pace --scopes`: the scopes together and each alone, on a picture, on noise and on a flat frame, against the copy pass.

use std::sync::Arc;

use colour::{CodeRange, Encoding};
use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use gpu::assemble::{Edge, Program, ScopesProgram, Trace, assemble_scopes};
use gpu::device::{Gpu, Job, time};
use measure::Tap;
use measure::scopes::{
    Axis, BT709, Chromaticity, DARKEST, Diagram, Histogram, Region, Vectorscope, Waveform, WaveformOf,
};
use ops::Signal;
use plan::Plan;
use serde::Serialize;

use super::{Args, noise};
use crate::cli::failure::Failure;
use crate::cli::say;

/// What the demo's camera writes.
const ENCODING: &str = "LogC3";
/// Columns and levels of the waveforms, and bins of a plane: more than a window shows.
const COLUMNS: u32 = 1280;
const LEVELS: u32 = 512;
const PLANE: u32 = 511;
/// A flat frame's code, of ten bits.
const FLAT: u32 = 400;

pub(super) const TEN: Layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);

#[derive(Serialize)]
struct Answer {
    adapter: String,
    driver: String,
    size: [u32; 2],
    columns: u32,
    levels: u32,
    bins_of_a_plane: u32,
    repeats: u32,
    sets: u32,
    /// Every row is timed beside a copy pass over packed 10-bit frames of its size.
    rows: Vec<Row>,
    /// All scopes together: the flat frame as a multiple of the picture.
    flat_of_picture: f64,
}

#[derive(Serialize)]
struct Row {
    content: &'static str,
    /// How the counted picture is stored.
    source: &'static str,
    scopes: &'static str,
    microseconds: f64,
    of_copy_pass: f64,
}

/// The scopes timed, each by its name.
pub(super) fn traces(tap: &Tap, region: Region) -> [(&'static str, Trace); 5] {
    let axis = |bins| Axis::codes(10, CodeRange::Full, bins);
    let waveform = |of| Trace::Waveform(Waveform::new(of, axis(LEVELS), COLUMNS, region));
    let plane = Vectorscope::of_codes(BT709, 10, CodeRange::Full, PLANE);
    [
        ("luma waveform", waveform(WaveformOf::Luma(BT709.weights))),
        ("parade", waveform(WaveformOf::Channels)),
        ("vectorscope", Trace::Vectorscope(plane)),
        ("histogram", Trace::Histogram(Histogram { axis: axis(1024) })),
        ("chromaticity", Trace::Chromaticity(Chromaticity::new(Diagram::Uv1976, tap, DARKEST, PLANE))),
    ]
}

pub(super) fn run(args: &Args, gpu: &Arc<Gpu>, plan: &Plan, copy: &Program) -> Result<(), Failure> {
    let size = args.size;
    let whole = Region::whole(size).ok_or_else(|| Failure::usage("a size of at least 1x1 is wanted"))?;
    let encoding = Encoding::named(ENCODING, None).map_err(|error| Failure::work(error.to_string()))?;
    let tap = Tap::new(Signal::code(&encoding));
    let scopes = traces(&tap, whole);
    let all: Vec<Trace> = scopes.iter().map(|(_, trace)| trace.clone()).collect();
    let program = |source: Edge, traces: &[Trace]| assemble_scopes(plan, source, &tap, traces, whole);
    let stored = Edge::Stored(TEN, Range::Full);
    let mut of_stored = vec![("all five", program(stored, &all)?)];
    for (name, trace) in scopes {
        of_stored.push((name, program(stored, &[trace])?));
    }
    let of_floats = [("all five", program(Edge::Between, &all)?)];
    let mut rows = Vec::new();
    let picture = demo::one_frame(size).map_err(|error| Failure::usage(error.to_string()))?;
    for (content, frame) in [("picture", picture), ("noise", noisy(size)?), ("flat", flat(size)?)] {
        let words = |bytes: &[u8]| bytes.as_chunks::<4>().0.iter().map(|word| u32::from_le_bytes(*word)).collect();
        let codes: Vec<u32> = words(frame.bytes());
        let floats = frame.to_pixels(Range::Full).iter().flatten().map(|value| value.to_bits()).collect();
        let sources: [(_, &[(_, ScopesProgram)], Vec<u32>); 2] =
            [("packed 10 bits", &of_stored, codes), ("single float", &of_floats, floats)];
        for (source, programs, words) in sources {
            let mut jobs = vec![Job::Program(copy)];
            jobs.extend(programs.iter().map(|(_, program)| Job::Scopes(program, size)));
            let (sets, repeats) = (args.sets as usize, args.repeats as usize);
            let timings = time(gpu, &jobs, size.pixels() as u64, sets, repeats, &words)?;
            let seconds: Vec<f64> = timings.iter().map(|timing| timing.median()).collect();
            let Some((copy, counted)) = seconds.split_first() else { continue };
            let row = |(name, seconds): (&'static str, f64)| Row {
                content,
                source,
                scopes: name,
                microseconds: seconds * 1e6,
                of_copy_pass: seconds / copy,
            };
            rows.extend(programs.iter().map(|(name, _)| *name).zip(counted.iter().copied()).map(row));
        }
    }
    let all_on = |content| {
        let row = rows.iter().find(|row| row.content == content && row.scopes == "all five");
        row.map_or(f64::NAN, |row| row.microseconds)
    };
    let flat_of_picture = all_on("flat") / all_on("picture");
    let answer = Answer {
        adapter: gpu.note().to_string(),
        driver: gpu.note().driver.clone(),
        size: [size.width, size.height],
        columns: COLUMNS,
        levels: LEVELS,
        bins_of_a_plane: PLANE,
        repeats: args.repeats,
        sets: args.sets,
        rows,
        flat_of_picture,
    };
    if args.json { say::json(&answer) } else { say::result(&table(&answer)) }
}

fn packed(size: Size, words: impl Iterator<Item = u32>) -> Result<Frame, Failure> {
    let bytes = words.flat_map(u32::to_be_bytes).collect();
    Frame::new(size, TEN, bytes, 0).map_err(|error| Failure::work(error.to_string()))
}

pub(super) fn noisy(size: Size) -> Result<Frame, Failure> {
    packed(size, noise(size.pixels()).into_iter())
}

fn flat(size: Size) -> Result<Frame, Failure> {
    packed(size, std::iter::repeat_n(FLAT << 22 | FLAT << 12 | FLAT << 2, size.pixels()))
}

fn table(answer: &Answer) -> String {
    let mut text = format!(
        "scopes: waveforms of {} columns and {} levels, planes of {} bins\n  {}\n  {}x{}, {} sets, median of {}\n",
        answer.columns,
        answer.levels,
        answer.bins_of_a_plane,
        answer.adapter,
        answer.size[0],
        answer.size[1],
        answer.sets,
        answer.repeats
    );
    for row in &answer.rows {
        text += &format!(
            "  {:8} {:15} {:14} {:>12.1} us  {:>9.2} of the copy pass\n",
            row.content, row.source, row.scopes, row.microseconds, row.of_copy_pass
        );
    }
    text + &format!("  a flat frame costs {:.2} of the picture\n", answer.flat_of_picture)
}
