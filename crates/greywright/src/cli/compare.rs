//! `compare`: candidates side by side on one frame, with the verdict figures of each.

mod anchor;
mod data;
mod html;
mod pictures;
mod subjects;
mod table;

use std::path::PathBuf;

use clap::ValueEnum;
use clap::builder::PossibleValue;
use colour::CodeRange;
use measure::verdict::distance::Divisors;
use session::verdict::{Extent, Figure, Marked, Told, Watch, compare, evidence, figures};

use super::confidence::DeclaredArgs;
use super::engine::{self, Executor};
use super::failure::Failure;
use super::help::with_operations;
use super::scopes::four;
use super::{interrupt, say};

/// A figure that candidates can be put in order by, as it is typed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sort(Figure);

impl ValueEnum for Sort {
    fn value_variants<'a>() -> &'a [Self] {
        const ALL: [Sort; Figure::ALL.len()] = {
            let mut all = [Sort(Figure::GreyDrift); Figure::ALL.len()];
            let mut at = 0;
            while at < all.len() {
                all[at] = Sort(Figure::ALL[at]);
                at += 1;
            }
            all
        };
        &ALL
    }

    fn to_possible_value(&self) -> Option<PossibleValue> {
        let (name, words) = self.0.names();
        Some(PossibleValue::new(name).help(words))
    }
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
    sort: Option<Sort>,
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

impl Args {
    /// What is said of the frame.
    fn told(&self) -> Told {
        let marked = |option: &str, area: &[u32; 4]| Marked::new(option, *area);
        Told {
            grey: self.grey.as_ref().map(|area| marked("--grey", area)),
            chart: self.chart.as_ref().map(|area| marked("--chart", area)),
            declared: self.declared.declared(),
            truth: self.truth.clone(),
            surfaces: self.surface.iter().map(|(name, area)| (name.clone(), marked("--surface", area))).collect(),
            neutrals: self.neutral.iter().map(|area| marked("--neutral", area)).collect(),
            shadow: self.shadow.as_ref().map(|area| marked("--shadow", area)),
            remedy: "mark a grey card with --grey, or give the truth",
        }
    }
}

/// Ctrl-C ends the work.
struct Terminal;

impl Watch for Terminal {
    fn stop(&self) -> bool {
        interrupt::asked()
    }
}

pub fn run(args: &Args) -> Result<(), Failure> {
    let gathered = subjects::gather(args)?;
    let gpu = engine::open(args.executor)?;
    let mut told = args.told();
    told.truth = told.truth.map(|file| match file.as_os_str() == "demo" {
        true => evidence::demo_truth(&gathered.path),
        false => file,
    });
    let evidence = evidence::gather(&told, &gathered, &say::note)?;
    let anchor = anchor::gather(args, &gathered, &evidence, gpu.as_ref())?;
    let mut comparison = compare(&gathered, evidence, anchor, (Extent::All, gpu.as_ref()), &Terminal)?;
    if let Some(Sort(figure)) = args.sort {
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
