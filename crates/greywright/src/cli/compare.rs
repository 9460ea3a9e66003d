//! `compare`: candidates side by side on one frame, with the verdict figures of each.

mod anchor;
mod data;
mod evidence;
mod figures;
mod html;
mod lines;
mod measured;
mod pictures;
mod shown;
mod subjects;
mod table;
mod travel;
mod yardstick;

use std::path::PathBuf;

use clap::ValueEnum;
use colour::CodeRange;
use measure::scopes::Region;
use measure::verdict::distance::Divisors;

use super::confidence::DeclaredArgs;
use super::engine::{self, Executor};
use super::failure::Failure;
use super::help::with_operations;
use super::say;
use super::scopes::four;
use measured::Measured;

/// A figure that candidates can be put in order by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Figure {
    /// The worst drift of grey.
    GreyDrift,
    /// The largest code of scene zero, whichever its sign.
    BlackDrift,
    /// How far hue gaps are from the yardstick's.
    HueGaps,
    /// Hues kept, the most first.
    HuesKept,
    /// Shadow noise as it is shown.
    ShadowNoise,
    /// The share that is clipped.
    Clipped,
    /// The share out of gamut.
    OutOfGamut,
    /// The luminance change at mid grey, whichever its sign.
    MidGrey,
    /// The largest step on the display.
    LargestStep,
    /// What a Cube LUT costs.
    Cube,
    /// What a CLF costs.
    Clf,
    /// What the nearest colour decision list costs.
    Cdl,
    /// The mean difference to the truth.
    Truth,
    /// The distance from the anchor shot.
    Distance,
}

/// Compare candidates on a frame: grey and black drift, hue gaps, noise, clipping, tones, and differences to the truth.
///
/// Figures on grey are on grey under the shot's own light, which a card (--grey), a chart (--chart) or the truth (--truth) says; a candidate's own
/// settings do not count, and without either these figures read 'no grey known'. A figure that differs by less than 0.5 Delta E
/// or two 10-bit codes reads 'same'. Nothing is added up to a total.
#[derive(clap::Args)]
#[command(after_long_help = with_operations("\
The candidates of the demo's project on one of its shots, held against the truth:
  greywright compare night_ferry.greywright --shot galley_010 --truth demo --out galley.html
Two ways to correct a frame whose grey card is known, with a third surface to keep apart:
  greywright compare galley.0001.dpx --input LogC3 --grey 610,420,40,40 --surface skin=300,210,24,24 \\
    --surface parsley=820,530,20,20 --chain 'exposure stops=1 | white-balance from=3100K | output-transform' \\
    --chain 'printer-points blue=9 red=-8 | output-transform' --out two.html
How far a shot of the project is from the anchor shot, by a card and a face that both have:
  greywright compare night_ferry.greywright --shot deck_010 --grey 900,300,30,30 --surface skin=500,200,20,20 \\
    --anchor galley_010 --anchor-grey 640,300,30,30 --anchor-surface skin=300,210,24,24 --sort distance
Every order of one candidate, those alike together:
  greywright compare night_ferry.greywright --shot galley_010 --truth demo --orders log-points --out orders.html

What each figure is stands in the report, and in docs/verdicts.md with its formula."))]
pub struct Args {
    /// A project, or an original: a frame, or a sequence of which --frame chooses one (the first unless told).
    #[arg(value_name = "PROJECT|IN")]
    what: PathBuf,
    /// Which candidates of the project, with commas between them; all of them unless told.
    #[arg(long, value_name = "A,B,C", value_delimiter = ',', conflicts_with_all = ["chain", "orders"])]
    candidates: Vec<String>,
    /// A chain to compare; may be repeated.
    #[arg(long, value_name = "CHAIN")]
    chain: Vec<String>,
    /// What the chains are called, with commas between them; `chain 1` and so on unless told.
    #[arg(long, value_name = "A,B,C", value_delimiter = ',', requires = "chain")]
    names: Vec<String>,
    /// Compare every order of the corrections of this candidate, one of each group that makes the same picture.
    #[arg(long, value_name = "CANDIDATE", conflicts_with = "chain")]
    orders: Option<String>,
    /// The shot of the project; needed where it has more than one.
    #[arg(long, value_name = "NAME")]
    shot: Option<String>,
    /// The frame; the first unless told.
    #[arg(long, value_name = "NUMBER", allow_hyphen_values = true)]
    frame: Option<i64>,
    /// An 18 % grey card in the original: left, top, width, height.
    #[arg(long, value_name = "X,Y,W,H", value_parser = four)]
    grey: Option<[u32; 4]>,
    /// A 24-patch chart in the original, upright: left, top, width, height of all patches. It tells grey, and the truth of
    /// its patches.
    #[arg(long, value_name = "X,Y,W,H", value_parser = four, conflicts_with_all = ["grey", "truth"])]
    chart: Option<[u32; 4]>,
    #[command(flatten)]
    declared: DeclaredArgs,
    /// The truth: `demo` for a shot of the demo, its truth.json, or a picture (scene-linear ACEScg unless it says otherwise).
    #[arg(long, value_name = "FILE|demo")]
    truth: Option<PathBuf>,
    /// A surface whose hue is to stay apart from the others', by its name and place; may be repeated.
    #[arg(long, value_name = "NAME=X,Y,W,H", value_parser = surface)]
    surface: Vec<(String, [u32; 4])>,
    /// A dark place known to be neutral, four to six stops below the card; may be repeated.
    #[arg(long, value_name = "X,Y,W,H", value_parser = four)]
    neutral: Vec<[u32; 4]>,
    /// What of the picture is measured: left, top, width, height; a shot's measuring region unless told, else all of it.
    #[arg(long, value_name = "X,Y,W,H", value_parser = four)]
    region: Option<[u32; 4]>,
    /// Where shadow noise is measured; the flattest block near four stops below the card unless told.
    #[arg(long, value_name = "X,Y,W,H", value_parser = four)]
    shadow: Option<[u32; 4]>,
    /// The anchor shot that this one is matched to: a shot of the project, or frames that go through the same chains.
    #[arg(long, value_name = "SHOT|IN")]
    anchor: Option<String>,
    /// The anchor's frame; its first unless told.
    #[arg(long, value_name = "NUMBER", allow_hyphen_values = true)]
    anchor_frame: Option<i64>,
    /// Which candidate the anchor goes through; the one that its shot has chosen unless told, else each that is compared.
    #[arg(long, value_name = "NAME")]
    anchor_candidate: Option<String>,
    /// The grey card in the anchor: left, top, width, height. With --grey it tells stops and white.
    #[arg(long, value_name = "X,Y,W,H", value_parser = four, requires = "grey")]
    anchor_grey: Option<[u32; 4]>,
    /// A --surface in the anchor, by the same name. May be repeated; two and more tell what no card tells.
    #[arg(long, value_name = "NAME=X,Y,W,H", value_parser = surface)]
    anchor_surface: Vec<(String, [u32; 4])>,
    /// What the components of the distance from the anchor are divided by where they are added up.
    #[arg(long, value_name = "stops=.1,mired=5,duv=.001,black=4", value_parser = anchor::divisors)]
    distance_divisors: Option<Divisors>,
    /// Put the candidates in the order of a figure, the least first.
    #[arg(long, value_name = "FIGURE")]
    sort: Option<Figure>,
    /// The original's encoding, where neither a chain nor the project says it.
    #[arg(long, value_name = "ENCODING")]
    input: Option<String>,
    /// The exposure index that belongs to --input, for LogC3.
    #[arg(long, value_name = "INDEX", requires = "input")]
    ei: Option<u32>,
    /// Whether the original's codes fill the full or the legal range.
    #[arg(long, value_name = "full|legal", value_parser = <CodeRange as ops::Setting>::parse)]
    range: Option<CodeRange>,
    /// An encoding file (TOML). May be repeated.
    #[arg(long, value_name = "FILE")]
    encoding_file: Vec<PathBuf>,
    /// What computes the pictures; the adapter if there is one. Figures on grey are always the proof's.
    #[arg(long)]
    executor: Option<Executor>,
    /// The report to write: one HTML file that holds its pictures.
    #[arg(long, value_name = "HTML")]
    out: Option<PathBuf>,
    /// Write JSON to this file, or to standard output.
    #[arg(long, value_name = "FILE", num_args = 0..=1)]
    #[expect(clippy::option_option, reason = "left out, alone, and with a file")]
    json: Option<Option<PathBuf>>,
}

/// Reads `NAME=X,Y,W,H`.
fn surface(text: &str) -> Result<(String, [u32; 4]), String> {
    match text.split_once('=') {
        Some((name, place)) if !name.trim().is_empty() => Ok((name.trim().to_string(), four(place)?)),
        _ => Err("a name and a place are wanted, for instance skin=300,210,24,24".to_string()),
    }
}

/// All that was compared.
pub struct Comparison {
    /// Frame, shot, encoding: what was looked at, for people.
    pub what: String,
    /// The frame's file.
    pub file: String,
    /// Its number.
    pub number: i64,
    /// What of it is measured.
    pub region: Region,
    /// What computed the pictures.
    pub executor: String,
    /// What is known of the frame.
    pub evidence: evidence::Evidence,
    /// The anchor shot, if one is named.
    pub anchor: Option<anchor::Anchor>,
    /// What candidates are held against, where it is not the first of them.
    pub truth: Option<Measured>,
    /// Full Bradford from the same grey.
    pub baseline: Option<Measured>,
    /// The candidates, in order.
    pub candidates: Vec<Measured>,
}

impl Comparison {
    /// What hues and pictures are held against: the truth, else the baseline, else the first candidate.
    pub fn yardstick(&self) -> Option<&Measured> {
        self.truth.as_ref().or(self.baseline.as_ref()).or(self.candidates.first())
    }

    /// What figures are held against that the truth does not have, such as noise.
    pub fn base(&self) -> Option<&Measured> {
        self.baseline.as_ref().or(self.candidates.first())
    }

    /// Every row: truth and baseline where they are, then the candidates.
    pub fn rows(&self) -> impl Iterator<Item = &Measured> {
        self.truth.iter().chain(&self.baseline).chain(&self.candidates)
    }
}

pub fn run(args: &Args) -> Result<(), Failure> {
    let gathered = subjects::gather(args)?;
    let gpu = engine::open(args.executor)?;
    let evidence = evidence::gather(args, &gathered)?;
    let anchor = anchor::gather(args, &gathered, &evidence, gpu.as_ref())?;
    let truth = yardstick::truth(&gathered, &evidence, gpu.as_ref())?;
    let mut baseline = None;
    if let Some(grey) = &evidence.grey {
        let made = yardstick::baseline(&gathered, grey)?;
        baseline = Some(measured::measure(&made, &gathered, &evidence, truth.as_ref(), None, gpu.as_ref())?);
    }
    let mut candidates = Vec::with_capacity(gathered.subjects.len());
    for (at, subject) in gathered.subjects.iter().enumerate() {
        let against = anchor.as_ref().map(|anchor| (anchor, at));
        candidates.push(measured::measure(subject, &gathered, &evidence, truth.as_ref(), against, gpu.as_ref())?);
    }
    let mut comparison = Comparison {
        what: gathered.what.clone(),
        region: gathered.region,
        file: gathered.file.clone(),
        number: gathered.number,
        executor: engine::name(gpu.as_ref()),
        evidence,
        anchor,
        truth: truth.map(|truth| truth.row),
        baseline,
        candidates,
    };
    if let Some(figure) = args.sort {
        figures::sort(&mut comparison, figure);
    }
    if let Some(out) = &args.out {
        html::write(out, &comparison)?;
    }
    let answer = data::answer(&comparison);
    match &args.json {
        Some(None) => return say::json(&answer),
        Some(Some(file)) => {
            let text = serde_json::to_vec_pretty(&answer)?;
            media::store(file, &media::Encoded::of(text))?;
        }
        None => {}
    }
    say::result(&table::text(&comparison))
}
