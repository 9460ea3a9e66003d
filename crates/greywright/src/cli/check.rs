//! `check`: quality control of finished frames against named limits.

mod gather;
mod judge;
mod limits;
mod report;

use std::path::{Path, PathBuf};
use std::time::Instant;

use measure::limits::Area;
use media::{Depth, Sequence};
use ops::Display;

use self::limits::Limits;
use self::report::{Report, ShotReport};
use super::chain::ChainArgs;
use super::engine::{self, Executor};
use super::failure::Failure;
use super::{render, say};

/// Hold finished frames to named limits: pass or fail per shot.
///
/// Every frame is read. Signal levels, clipping, gamut, black, repeated and missing frames, time code, and what the files
/// say against what they hold. With a chain or a project the picture after it is checked, as it would be written, and no file
/// is. Exit code 1 where a shot fails.
#[derive(clap::Args)]
#[command(after_help = "  greywright check 'corrected/deck_010.%04d.dpx' --display BT.1886
  greywright check corrected/ --limit clipped-top=0.2 --limit black-tint=off --limit rate=24
  greywright check --project night_ferry.greywright
  greywright check --limits")]
pub struct Args {
    /// Shots: name.%04d.dpx, name.####.exr, one file, or a folder. With a project and none, its shots.
    #[arg(value_name = "PATH", required_unless_present_any = ["limits", "project"])]
    paths: Vec<PathBuf>,
    #[command(flatten)]
    chain: ChainArgs,
    /// A shot sheet (CSV): its rows say encoding, exposure index and range of each PATH, before the files do.
    #[arg(long, value_name = "FILE", requires = "paths")]
    shot_sheet: Option<PathBuf>,
    /// Only these frames: A-B, or one number.
    #[arg(long, value_name = "A-B", value_parser = render::frames, allow_hyphen_values = true)]
    frames: Option<(i64, i64)>,
    /// The display that the frames are for; with a chain its output transform says it.
    #[arg(long, value_name = "DISPLAY", value_parser = gather::display, conflicts_with_all = ["chain", "chain_file", "project"])]
    display: Option<Display>,
    /// The primaries that colours must keep within: BT.709, P3-D65, BT.2020 or off. Unless told, those that the chain
    /// renders within, and P3-D65 on PQ and HLG.
    #[arg(long, value_name = "PRIMARIES", value_parser = gather::gamut_name)]
    gamut: Option<String>,
    /// A part of the picture that is black; else its darkest thousandth is taken.
    #[arg(long, value_name = "X,Y,W,H", value_parser = gather::area)]
    black: Option<Area>,
    /// Holds shots to another limit, or to none: clipped-top=0.5, rate=24, black-tint=off. May be repeated.
    #[arg(long, value_name = "NAME=VALUE")]
    limit: Vec<String>,
    /// List the limits: what each means, its value, and where that is from.
    #[arg(long)]
    limits: bool,
    /// Bits of a sample after a chain: 8, 10, 16, half or float; 10 unless told.
    #[arg(long, value_name = "8|10|16|half|float")]
    depth: Option<Depth>,
    /// Noise added to codes after a chain, as in render.
    #[arg(long, value_name = "KIND", default_value = "off")]
    dither: render::DitherKind,
    /// What computes a chain; the adapter if there is one.
    #[arg(long)]
    executor: Option<Executor>,
    /// Write JSON.
    #[arg(long)]
    json: bool,
}

pub fn run(args: &Args) -> Result<(), Failure> {
    let limits = Limits::read(&args.limit)?;
    if args.limits {
        return if args.json { say::json(&limits::ALL) } else { say::result(&limits::table(&limits)) };
    }
    let started = Instant::now();
    let gpu = if args.chain.is_given() { engine::open(args.executor)? } else { None };
    let mut shots = Vec::new();
    for (name, path, chain) in wanted(args)? {
        // A shot that cannot be read keeps nothing of the others back.
        match one(args, &limits, &name, &path, &chain, gpu.as_ref()) {
            Ok(shot) => shots.push(shot),
            Err(failure) if failure.code == 1 => shots.push(ShotReport::failed(&name, &path, failure.message)),
            Err(failure) => return Err(failure),
        }
    }
    let report = Report::new(shots, started.elapsed());
    if args.json {
        say::json(&report)?;
    } else {
        say::result(&report.text())?;
    }
    if report.passed { Ok(()) } else { Err(Failure::said()) }
}

/// The shots with the arguments of their chains.
fn wanted(args: &Args) -> Result<Vec<(String, PathBuf, ChainArgs)>, Failure> {
    let named = |path: &PathBuf| (say::path(path), path.clone(), args.chain.clone());
    let (true, Some(project)) = (args.paths.is_empty(), &args.chain.project) else {
        return Ok(args.paths.iter().map(named).collect());
    };
    let document = session::read(project).map_err(Failure::work)?.document;
    let chosen = |name: &str| args.chain.shot.as_deref().is_none_or(|shot| shot == name);
    let shots = document.shots.keys().filter(|name| chosen(name)).map(|name| {
        let chain = ChainArgs { shot: Some(name.clone()), ..args.chain.clone() };
        Ok((name.clone(), chain.read()?.media().unwrap_or_default(), chain))
    });
    let shots: Vec<_> = shots.collect::<Result<_, Failure>>()?;
    if shots.is_empty() {
        // The chain names the shots that there are.
        args.chain.read()?;
        return Err(Failure::work(format!("{}: it has no shots", project.display())));
    }
    Ok(shots)
}

fn one(
    args: &Args,
    limits: &Limits,
    name: &str,
    path: &Path,
    chain: &ChainArgs,
    gpu: Option<&std::sync::Arc<gpu::device::Gpu>>,
) -> Result<ShotReport, Failure> {
    let mut read = chain.read()?;
    let sequence = Sequence::open(path)?;
    let sequence = match args.frames {
        Some((first, last)) => sequence.restrict(first, last)?,
        None => sequence,
    };
    if let Some(sheet) = &args.shot_sheet {
        read.follow(sheet, &sequence)?;
    }
    let shot = gather::gather(args, limits, &read, sequence, chain.is_given(), gpu)?;
    let verdict = judge::judge(&shot, limits);
    Ok(ShotReport::new(name, path, &shot, verdict))
}
