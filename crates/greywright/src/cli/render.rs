//! `render`: a sequence of frames through a chain.

use std::path::{Path, PathBuf};

use clap::ValueEnum;
use frame::Dither;
use media::{Depth, Sequence};
use session::render::{Failed, Order, Part, Report, carry_out};

use super::chain::ChainArgs;
use super::engine::{self, Executor};
use super::failure::Failure;
use super::follow::Terminal;
use super::help::with_operations;
use super::{bytes, say, timings};

/// Frames that failed are told one by one up to here.
const MOST_TOLD: usize = 20;

/// What becomes of numbers that are missing in a sequence.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Gaps {
    /// Stop before anything is written.
    Refuse,
    /// Render what is there.
    Skip,
}

/// Noise that is added before codes are rounded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum DitherKind {
    /// None: codes are rounded to the nearest.
    Off,
    /// White noise two codes wide.
    Triangular,
    /// Noise of high frequencies alone, which is seen least.
    BlueNoise,
}

/// Put a sequence of frames through a chain.
///
/// IN and OUT are name.%04d.dpx, name.####.exr, one file, or a folder; OUT's ending chooses the
/// format, and in a folder frames keep their names. A frame appears under its final name only when it
/// is whole.
#[derive(clap::Args)]
#[command(after_long_help = with_operations("\
A shot of a project, with its own numbers and the candidate that it has chosen:
  greywright render corrected/ --project night_ferry.greywright --shot galley_010
A tungsten shot, half a stop under, to a BT.1886 monitor:
  greywright render 'galley.%04d.dpx' 'corrected/galley.%04d.dpx' --chain \\
    'input-transform encoding=LogC3 | exposure stops=+0.5 | white-balance from=3200K | output-transform display=BT.1886'"))]
pub struct Args {
    /// The originals; left out where --shot says which.
    #[arg(value_name = "IN")]
    original: PathBuf,
    /// Where the frames go.
    #[arg(value_name = "OUT")]
    out: Option<PathBuf>,
    #[command(flatten)]
    chain: ChainArgs,
    /// A shot sheet (CSV): its row for IN says encoding, exposure index, range and camera roll, before the files
    /// do.
    #[arg(long, value_name = "FILE")]
    shot_sheet: Option<PathBuf>,
    /// Only these frames: A-B, or one number.
    #[arg(long, value_name = "A-B", value_parser = frames, allow_hyphen_values = true)]
    frames: Option<(i64, i64)>,
    /// Bits of a sample: 8, 10, 16, half or float, as the format allows.
    #[arg(long, value_name = "8|10|16|half|float")]
    depth: Option<Depth>,
    /// Noise added before codes are rounded, so that smooth areas show no bands; for 8-bit deliveries above all. Black,
    /// white and alpha get none.
    #[arg(long, value_name = "KIND", default_value = "off")]
    dither: DitherKind,
    /// Stop unless what is written is an ACES image container (SMPTE ST 2065-4): OpenEXR, half, ACES2065-1.
    #[arg(long)]
    aces_container: bool,
    /// Memory for pictures, in bytes or with KiB, MiB or GiB: half for those that are read ahead, half for those that are
    /// computed or wait to be written.
    #[arg(long, value_name = "BYTES", default_value = "2GiB", value_parser = bytes::parse)]
    memory: u64,
    /// What to do where frame numbers are missing.
    #[arg(long, value_name = "WHAT", default_value = "refuse")]
    gaps: Gaps,
    /// Go on with a render that was broken off: frames that are there and whole, made with the same settings of the same
    /// originals, stay; the others are made anew. The files named rendered-*.tsv beside the frames tell.
    #[arg(long)]
    resume: bool,
    /// The I-th of N parts, for as many machines that know nothing of each other: frames in turn, by their place in the
    /// whole sequence.
    #[arg(long, value_name = "I/N", value_parser = <Part as std::str::FromStr>::from_str)]
    part: Option<Part>,
    /// What computes; the adapter if there is one.
    #[arg(long)]
    executor: Option<Executor>,
    /// Taken only to be refused: a monitor is what one looks through.
    #[arg(long, value_name = "FILE", hide = true)]
    monitor: Option<PathBuf>,
    /// Say what each stage costs.
    #[arg(long)]
    timings: bool,
    /// Write JSON.
    #[arg(long)]
    json: bool,
}

impl Gaps {
    /// The same for a session.
    pub fn kind(self) -> session::render::Gaps {
        match self {
            Self::Refuse => session::render::Gaps::Refuse,
            Self::Skip => session::render::Gaps::Skip,
        }
    }
}

impl DitherKind {
    /// The noise, if there is any.
    pub fn kind(self) -> Option<Dither> {
        match self {
            DitherKind::Off => None,
            DitherKind::Triangular => Some(Dither::Triangular),
            DitherKind::BlueNoise => Some(Dither::BlueNoise),
        }
    }
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

pub fn run(args: &Args) -> Result<(), Failure> {
    if args.monitor.is_some() {
        return Err(Failure::usage(
            "--monitor: nothing that is rendered goes through a monitor's profile, it is what you look through; leave it \
             out. `eval --monitor` says what the monitor shows",
        ));
    }
    let mut chain = args.chain.read()?;
    let (original, out) = match (&args.out, chain.media()) {
        (Some(out), _) => (args.original.clone(), out),
        (None, Some(media)) => (media, &args.original),
        (None, None) => return Err(Failure::usage("OUT is missing: where the frames go; give it behind IN")),
    };
    let order = Order {
        original,
        out: out.clone(),
        shot_sheet: args.shot_sheet.clone(),
        frames: args.frames,
        part: args.part,
        gaps: args.gaps.kind(),
        depth: args.depth,
        dither: args.dither.kind(),
        resume: args.resume,
        explain: args.chain.explain,
        timings: args.timings,
        aces_container: args.aces_container,
        memory_bytes: args.memory,
    };
    let gpu = engine::open(args.executor)?;
    let terminal = Terminal::new();
    let report = carry_out(&order, &mut chain, gpu.as_ref(), &terminal)?;
    drop(terminal);
    if args.json {
        say::json(&report)?;
    } else {
        say::result(&in_words(&report))?;
    }
    verdict(&report)
}

/// What a render did, for people; empty where nothing was written and nothing was there.
pub fn in_words(report: &Report) -> String {
    let kept = match report.kept() {
        0 => String::new(),
        kept => format!(", {kept} were there already"),
    };
    if report.written == 0 {
        return match report.wanted {
            0 => "no frame is wanted of this part; the others have them all\n".to_string(),
            wanted if wanted == report.kept() => {
                format!("nothing to do: {wanted} of {wanted} frames are there and whole\n")
            }
            _ => String::new(),
        };
    }
    format!(
        "{} of {} frames, {} s a frame, by {}{}{kept}\n  {}\n  rendering: {}\n{}",
        report.written,
        report.wanted,
        say::significant(report.seconds_a_frame, 3),
        report.executor,
        if report.dither == "off" { String::new() } else { format!(", {} dither", report.dither) },
        report.out,
        report.rendering_in_words,
        report.timings.as_ref().map(|costs| timings::table(costs) + &memory(report)).unwrap_or_default()
    )
}

/// What pictures took of the memory that they might take.
fn memory(report: &Report) -> String {
    let (peak, all) = (bytes::shown(report.peak_bytes), bytes::shown(report.memory_bytes));
    format!("pictures took {peak} of memory at the most; they might take {all}\n")
}

/// Opens a sequence, a part of it if asked.
pub fn open(path: &Path, part: Option<(i64, i64)>, gaps: Gaps) -> Result<Sequence, Failure> {
    Ok(session::render::open(path, part, gaps.kind(), say::note)?)
}

/// Says what went wrong, if anything did.
pub fn verdict(report: &Report) -> Result<(), Failure> {
    if report.nan + report.infinite > 0 {
        say::note(&format!(
            "{} NaN and {} infinite values were replaced (by 0 and by +-65504)",
            report.nan, report.infinite
        ));
    }
    if report.device_reopened > 0 {
        say::note(&format!(
            "the graphics device was lost and opened again {} times; no frame was lost",
            report.device_reopened
        ));
    }
    for Failed { frame, reason } in report.failed.iter().take(MOST_TOLD) {
        say::error(&format!("frame {frame}: {reason}"));
    }
    if report.failed.len() > MOST_TOLD {
        say::error(&format!("and {} frames more; --json has them all", report.failed.len() - MOST_TOLD));
    }
    if report.stopped {
        let there = report.written + report.kept();
        say::error(&format!("stopped after {there} of {} frames; what was written is whole", report.wanted));
    }
    if report.stopped || !report.failed.is_empty() { Err(Failure::said()) } else { Ok(()) }
}
