//! `scopes`: what a frame measures, at any place of a chain, as one picture and as data.

mod count;
mod data;
mod density;
mod panels;
mod sheet;
mod tapped;
mod thumbnail;

use std::path::{Path, PathBuf};
use std::sync::Arc;

use clap::ValueEnum;
use measure::scopes::{Region, YCbCr};
use media::Sequence;

use count::Counted;
pub use tapped::{At, Tapped, picture, resolve};
pub use thumbnail::make as thumbnail;

use super::chain::{Chain, ChainArgs};
use super::engine::{self, Executor};
use super::failure::Failure;
use super::help::with_operations;
use super::probe::{Terms, over_time};
use super::{render, say};

/// A scope.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Kind {
    /// Luma of code, or luminance of linear light, column by column.
    Waveform,
    /// Red, green and blue, column by column, one over the other.
    WaveformRgb,
    /// Red, green and blue, column by column, side by side.
    Parade,
    /// Colour difference of code: Cb across, Cr up.
    Vectorscope,
    /// How often each level occurs in red, green and blue.
    Histogram,
    /// CIE 1976 u'v' of the light.
    Chromaticity,
    /// CIE 1931 xy of the light.
    ChromaticityXy,
}

/// What the levels of waveforms and histograms are counted in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Levels {
    /// Codes of the original's depth, or of --bits.
    Code,
    /// Percent of signal.
    Percent,
    /// Light of a grey on the display, in nits.
    Nits,
    /// Light of the scene, in stops from mid grey.
    Stops,
}

/// Show what a frame measures: waveform, parade, vectorscope, histogram, chromaticity, beside the picture itself.
///
/// --at says where in the chain: original, scene (what the first output-transform is given), display (what the last one
/// gives, corrections behind it included), or after=N, a place by its number or its name. Without it the result is
/// measured. A place's number is the one that `greywright project` shows; a typed chain counts from 0.
#[derive(clap::Args)]
#[command(after_long_help = with_operations("\
The original of a shot, and what its corrections make of it:
  greywright scopes galley.0001.dpx --input LogC3 --out original.png
  greywright scopes --project night_ferry.greywright --shot galley_010 --frame 12 --at scene --out scene.png
The light of a region in stops, and the counts behind the picture:
  greywright scopes galley.0001.dpx --chain 'input-transform encoding=LogC3' --region 640,300,200,150 \\
    --scopes waveform,histogram --out region.png --csv region.csv

Each scope's data have one row a cell that holds anything:
  scope,channel,across,up,pixels
channel is luma, red, green, blue or all. across is the column of a waveform (0 is the region's left one), and a value
of the axis elsewhere; up is a value of the axis: code, % of signal, stops from mid grey, or the coordinate. `below` and
`above` stand for what lies beyond an axis. Pixels that are not a number or too dark to have a chromaticity have a row
with these words in both columns, so that each channel's pixels add up to the region's."))]
pub struct Args {
    /// The original: a frame, or a sequence of which --frame chooses one (the first unless told); left out where --shot
    /// says which.
    #[arg(value_name = "IN")]
    original: Option<PathBuf>,
    #[command(flatten)]
    chain: ChainArgs,
    /// The picture to write, as PNG or TIFF.
    #[arg(long, value_name = "FILE", required_unless_present_any = ["csv", "json"])]
    out: Option<PathBuf>,
    /// Which scopes, with commas between them.
    #[arg(long, value_name = "LIST", value_delimiter = ',')]
    scopes: Vec<Kind>,
    /// Where in the chain: original, scene, display, or after=N.
    #[arg(long, value_name = "PLACE")]
    at: Option<At>,
    /// Only these pixels of the picture: left, top, width, height.
    #[arg(long, value_name = "X,Y,W,H", value_parser = four)]
    region: Option<[u32; 4]>,
    /// What levels are counted in: code of integer originals, nits of PQ and HLG, stops of linear light, else percent.
    #[arg(long, value_name = "UNIT")]
    levels: Option<Levels>,
    /// The depth of --levels code, 8 to 16; the original's own unless told, 10 elsewhere.
    #[arg(long, value_name = "BITS", value_parser = clap::value_parser!(u32).range(8..=16))]
    bits: Option<u32>,
    /// Luma and colour difference of waveform and vectorscope: BT.601 for standard definition, BT.709 or BT.2020; what goes
    /// with the primaries unless told.
    #[arg(long, value_name = "NAME", value_parser = matrix)]
    matrix: Option<YCbCr>,
    /// Readings of the region over every frame instead of a frame's scopes, as `probe --over-time` has them for more areas.
    #[arg(long, conflicts_with_all = ["scopes", "levels", "bits", "frame", "matrix"])]
    over_time: bool,
    /// What computes; the adapter if there is one.
    #[arg(long)]
    executor: Option<Executor>,
    /// Write the counts as JSON to standard output.
    #[arg(long)]
    json: bool,
    /// Write the counts as CSV.
    #[arg(long, value_name = "FILE")]
    csv: Option<PathBuf>,
}

/// Reads `X,Y,W,H`.
pub fn four(text: &str) -> Result<[u32; 4], String> {
    let numbers: Vec<u32> = text.split(',').map_while(|number| number.trim().parse().ok()).collect();
    match numbers[..] {
        [x, y, width, height] if text.split(',').count() == 4 && width > 0 && height > 0 => Ok([x, y, width, height]),
        _ => Err("left, top, width and height are wanted in whole pixels, for instance 640,300,200,150".to_string()),
    }
}

fn matrix(text: &str) -> Result<YCbCr, String> {
    YCbCr::named(text).ok_or_else(|| format!("one of {} is wanted", YCbCr::ALL.map(|matrix| matrix.name).join(", ")))
}

pub fn run(args: &Args) -> Result<(), Failure> {
    let chain = args.chain.read_of_frame()?;
    if args.over_time {
        return over_time(args, &chain);
    }
    let (number, path) = frame_of(args.original.as_deref(), &chain, args.chain.frame)?;
    let mut tapped = picture(&chain, number, &path, args.at.as_ref(), args.executor, args.chain.explain)?;
    if let Some(matrix) = args.matrix {
        tapped.tap = tapped.tap.with_y_cb_cr(matrix);
    }
    let region = region_of(args.region.or_else(|| measuring_region(&chain)), &tapped)?;
    let levels = count::levels(args.levels, args.bits, &tapped)?;
    let counted = counted(&args.scopes, &tapped, region, levels)?;
    if let Some(out) = &args.out {
        sheet::write(out, &tapped, region, &counted)?;
    }
    if let Some(csv) = &args.csv {
        data::write_csv(csv, &counted)?;
    }
    if args.json {
        return say::json(&data::answer(&tapped, region, &counted));
    }
    let files = args.out.iter().chain(&args.csv).map(|path| say::path(path) + "\n").collect::<String>();
    let tones = tapped.tones.as_ref().map_or_else(String::new, |tones| format!("  {}\n", tones.words));
    say::result(&format!("{files}  {}\n{tones}", tapped.in_words()))
}

/// The measuring region of the project's shot, if it has one.
pub fn measuring_region(chain: &Chain) -> Option<[u32; 4]> {
    chain.shot()?.measuring_region.map(|region| region.0)
}

/// The region over every frame of the sequence.
fn over_time(args: &Args, chain: &Chain) -> Result<(), Failure> {
    let original = args.original.clone().or_else(|| chain.media()).ok_or_else(over_time::no_original)?;
    over_time::run(&over_time::Job {
        chain,
        sequence: &render::open(&original, None, render::Gaps::Skip)?,
        areas: &[],
        terms: Terms::usual(args.at.iter().cloned().collect(), args.region),
        target: "D65".to_string(),
        gpu: engine::open(args.executor)?,
        out: args.out.as_deref(),
        csv: args.csv.as_deref(),
        json: args.json,
    })
}

/// Which frame is looked at: the one of the number asked for, else the first.
pub fn frame_of(original: Option<&Path>, chain: &Chain, wanted: Option<i64>) -> Result<(i64, PathBuf), Failure> {
    let Some(original) = original.map(Path::to_owned).or_else(|| chain.media()) else {
        return Err(Failure::usage("IN is missing: give a frame or a sequence, or a project's shot with --shot"));
    };
    let sequence = Sequence::open(&original)?;
    let sequence = match wanted {
        Some(number) => sequence.restrict(number, number)?,
        None => sequence,
    };
    let first = sequence.frames().first().cloned();
    first.ok_or_else(|| Failure::work(format!("{}: no frame", original.display())))
}

/// The region asked for, cut to the picture; else the whole picture.
pub fn region_of(wanted: Option<[u32; 4]>, tapped: &Tapped) -> Result<Region, Failure> {
    let size = tapped.size;
    let region = match wanted {
        None => Region::whole(size),
        Some([x, y, width, height]) => Region::new(x, y, width, height, size),
    };
    region.ok_or_else(|| match wanted {
        Some([x, y, width, height]) => Failure::usage(format!(
            "--region {x},{y},{width},{height}: nothing of it lies in the picture, which is {size}; the left upper \
             pixel is 0,0"
        )),
        None => Failure::work(format!("{}: the picture has no pixels", tapped.file)),
    })
}

/// The scopes asked for; unless told, those that the numbers at the tap can have.
fn counted(
    wanted: &[Kind],
    tapped: &Tapped,
    region: Region,
    levels: count::Level,
) -> Result<Vec<(Kind, Arc<Counted>)>, Failure> {
    use Kind::{Chromaticity, Histogram, Parade, Vectorscope, Waveform};
    let all = [Waveform, Parade, Vectorscope, Histogram, Chromaticity];
    let mut kinds: Vec<Kind> = Vec::new();
    for kind in if wanted.is_empty() { &all[..] } else { wanted } {
        match count::objection(*kind, tapped) {
            Some(why) if wanted.is_empty() => say::note(&format!("no {}: {why}", kind.name())),
            Some(why) => return Err(Failure::usage(format!("--scopes {}: {why}", kind.name()))),
            None if kinds.contains(kind) => {}
            None => kinds.push(*kind),
        }
    }
    count::all(&kinds, tapped, region, levels)
}

impl Kind {
    /// The name that is typed.
    pub fn name(self) -> &'static str {
        match self {
            Kind::Waveform => "waveform",
            Kind::WaveformRgb => "waveform-rgb",
            Kind::Parade => "parade",
            Kind::Vectorscope => "vectorscope",
            Kind::Histogram => "histogram",
            Kind::Chromaticity => "chromaticity",
            Kind::ChromaticityXy => "chromaticity-xy",
        }
    }
}
