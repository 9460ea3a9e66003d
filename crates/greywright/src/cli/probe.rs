//! `probe`: what places of a picture measure, before and after a chain, at one frame or over a shot.

mod areas;
mod csv;
pub mod over_time;
mod reader;
mod record;
mod table;

use std::path::PathBuf;

use clap::ValueEnum;
use colour::primaries::D65;
use colour::{White, Xy};
use measure::confidence::Declared;
use measure::readings::Average;
use serde::Serialize;

pub use reader::{OfFrame, Reader, Terms};

use super::chain::ChainArgs;
use super::confidence::DeclaredArgs;
use super::engine::{self, Executor};
use super::failure::Failure;
use super::help::with_operations;
use super::scopes::{At, four, frame_of};
use super::{render, say};

/// Which average stands for an area.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum By {
    /// The mean of the light.
    Mean,
    /// The median of each channel.
    Median,
}

/// Say what places of a picture measure, before and after the chain: code, light, stops, white, colour.
///
/// Points and areas may have names and may be placed at several frames; between these they move in a straight line. Of an
/// area, pixels far from its median are left out and counted. Stops are of scene light alone; white is told from --target, as
/// encoded unless the project's shot says what white the camera was set to, and not of what is darker than five stops under
/// mid grey. Differences are to the neutral of the target that is as light.
#[derive(clap::Args)]
#[command(after_long_help = with_operations("\
A grey card before and after a chain:
  greywright probe galley.0001.dpx --area card=640,300,20,15 --card card --chain \\
    'input-transform encoding=LogC3 | white-balance from=3200K | output-transform display=BT.1886'
A card that moves through a shot of a project, over time, as a picture and as data:
  greywright probe --project night_ferry.greywright --shot galley_010 --area card=1001:640,300,20,15 \\
    --area card=1024:700,300,20,15 --over-time --out card.png --csv card.csv"))]
pub struct Args {
    /// The original: a frame, or a sequence of which --frame chooses one (the first unless told); left out where --shot
    /// says which.
    #[arg(value_name = "IN")]
    original: Option<PathBuf>,
    #[command(flatten)]
    chain: ChainArgs,
    /// One pixel, with a name and a frame if wanted. May be repeated.
    #[arg(long, value_name = "[NAME=][FRAME:]X,Y", value_parser = areas::point, allow_hyphen_values = true)]
    point: Vec<areas::Typed>,
    /// A rectangle: left, top, width, height, with a name and a frame if wanted. May be repeated; without one the whole
    /// measuring region is read.
    #[arg(long, value_name = "[NAME=][FRAME:]X,Y,W,H", value_parser = areas::area, allow_hyphen_values = true)]
    area: Vec<areas::Typed>,
    /// An area, by its name, that is known to be a grey card: says how sure its reading in the original is. May be repeated.
    #[arg(long, value_name = "NAME")]
    card: Vec<String>,
    #[command(flatten)]
    declared: DeclaredArgs,
    /// The measuring region: what areas are cut to, so that mattes and corners stay out. Goes before that of the project's
    /// shot.
    #[arg(long, value_name = "X,Y,W,H", value_parser = four)]
    region: Option<[u32; 4]>,
    /// Where in the chain: original, scene, display, or after=N. May be repeated; unless told before the chain, in scene
    /// light and after the chain.
    #[arg(long, value_name = "PLACE")]
    at: Vec<At>,
    /// The white that white and differences are told from.
    #[arg(long, value_name = "WHITE", default_value = "D65")]
    target: White,
    /// Which average stands for an area.
    #[arg(long, value_name = "WHICH", default_value = "mean")]
    average: By,
    /// The depth of codes, 8 to 16; the original's own unless told, 10 on displays elsewhere.
    #[arg(long, value_name = "BITS", value_parser = clap::value_parser!(u32).range(8..=16))]
    bits: Option<u32>,
    /// Read every frame of the sequence; unless told in scene light, else in the original.
    #[arg(long)]
    over_time: bool,
    /// Only these frames over time: A-B, or one number.
    #[arg(long, value_name = "A-B", value_parser = render::frames, allow_hyphen_values = true, requires = "over_time")]
    frames: Option<(i64, i64)>,
    /// The picture of readings over time to write, as PNG or TIFF.
    #[arg(long, value_name = "FILE", requires = "over_time")]
    out: Option<PathBuf>,
    /// What computes; the adapter if there is one.
    #[arg(long)]
    executor: Option<Executor>,
    /// Write the readings as JSON to standard output.
    #[arg(long)]
    json: bool,
    /// Write the readings as CSV.
    #[arg(long, value_name = "FILE")]
    csv: Option<PathBuf>,
}

/// What `--json` writes.
#[derive(Serialize)]
pub struct Answer<'a> {
    /// The target white, as typed.
    target: String,
    /// Its (x, y).
    target_xy: [f64; 2],
    average: &'static str,
    frames: &'a [OfFrame],
}

impl Args {
    fn terms(&self) -> Result<Terms, Failure> {
        let target = self.target.xy().map_err(|error| Failure::usage(format!("--target: {error}")))?;
        let average = match self.average {
            By::Mean => Average::Mean,
            By::Median => Average::Median,
        };
        Ok(Terms {
            at: self.at.clone(),
            bits: self.bits,
            average,
            target,
            region: self.region,
            cards: self.card.clone(),
            declared: self.declared.declared(),
        })
    }
}

impl Terms {
    /// How readings are taken where nothing else is said.
    pub fn usual(at: Vec<At>, region: Option<[u32; 4]>) -> Terms {
        let (cards, declared) = (Vec::new(), Declared::default());
        Terms { at, bits: None, average: Average::Mean, target: D65, region, cards, declared }
    }

    /// What `--json` says of frames that were read so.
    pub fn answer<'a>(&self, target: String, frames: &'a [OfFrame]) -> Answer<'a> {
        let Xy { x, y } = self.target;
        let average = match self.average {
            Average::Mean => "mean",
            Average::Median => "median",
        };
        Answer { target, target_xy: [x, y], average, frames }
    }
}

pub fn run(args: &Args) -> Result<(), Failure> {
    let chain = args.chain.read_of_frame()?;
    let terms = args.terms()?;
    let typed: Vec<areas::Typed> = args.point.iter().chain(&args.area).cloned().collect();
    let named = areas::together(&typed)?;
    if let Some(card) = args.card.iter().find(|card| !named.iter().any(|area| area.name == **card)) {
        return Err(Failure::usage(format!(
            "--card {card}: there is no area of this name; mark it with --area {card}=X,Y,W,H"
        )));
    }
    if args.over_time {
        if args.chain.frame.is_some() {
            return Err(Failure::usage(
                "--frame is one frame and --over-time all of them; say --frames A-B for a part",
            ));
        }
        let original = args.original.clone().or_else(|| chain.media()).ok_or_else(over_time::no_original)?;
        return over_time::run(&over_time::Job {
            chain: &chain,
            sequence: &render::open(&original, args.frames, render::Gaps::Skip)?,
            areas: &named,
            terms,
            target: args.target.to_string(),
            gpu: engine::open(args.executor)?,
            out: args.out.as_deref(),
            csv: args.csv.as_deref(),
            json: args.json,
        });
    }
    let (number, path) = frame_of(args.original.as_deref(), &chain, args.chain.frame)?;
    let read = Reader::new(&chain, engine::open(args.executor)?, &terms).read(number, &path, &named)?;
    if let Some(outside) = read.areas.iter().find(|area| area.pixels.is_none()) {
        let [x, y, width, height] = read.measuring_region;
        return Err(Failure::usage(format!(
            "{}: nothing of it lies in what is measured of frame {number}, which is {x},{y},{width},{height} (left, top, \
             width, height)",
            outside.name
        )));
    }
    let frames = [read];
    if let Some(csv) = &args.csv {
        csv::write(csv, &frames)?;
    }
    if args.json {
        return say::json(&terms.answer(args.target.to_string(), &frames));
    }
    let [read] = &frames;
    say::result(&table::text(read, &args.target.to_string()))
}
