//! `response`: what candidates do to greys and hues, without a picture.

mod data;
mod measured;
mod panels;
mod sheet;

use std::path::PathBuf;

use colour::CodeRange;
use measured::Measured;

use super::chain::ChainArgs;
use super::failure::Failure;
use super::help::with_operations;
use super::say;

/// As many candidates stand on one plot.
const MOST: usize = 2;

/// Show what a candidate does to the built-in patterns, or two candidates on one plot.
///
/// The smooth ramps (-8 to +6 stops of light from mid grey, 0 to 100 % of the original's signal) are drawn as curves of red,
/// green and blue, as the gap between channels and as slope in stops a stop; the hue sweep at three saturations as its path in
/// u'v', with the colour bars as marks. Squares on the curves are the steps of the wedge, dashed uprights the white of the bars. The proof computes, in double precision, and nothing is clipped that the chain does not
/// clip itself.
#[derive(clap::Args)]
#[command(after_long_help = with_operations("\
An offset of camera code beside a gain of light:
  greywright response --input LogC3 --out response.png \\
    --chain 'channel-offset red=0.02 | input-transform | output-transform display=BT.1886' \\
    --chain 'channel-gain red=1.3 | input-transform | output-transform display=BT.1886'
Two candidates of a project:
  greywright response night_ferry.greywright --shot galley_010 --candidate log-points --candidate display-gains --out out.png

The data have one row a level:
  candidate,pattern,level,red,green,blue,gap_red,gap_blue,slope_red,slope_green,slope_blue,from_u,from_v,to_u,to_v
pattern is ramp-stops, wedge, ramp, hue-sweep, bars75 or bars100. level is stops, % of signal, or a hue as saturation and
share of the turn, or the bar's name. red, green and blue are the signal that leaves, in % (light of a scene as it is);
gap is red and blue light over green in stops; from and to are u'v' of what enters and of what leaves."))]
pub struct Args {
    /// The project file.
    #[arg(value_name = "PROJECT", conflicts_with_all = ["chain", "chain_file"],
          required_unless_present_any = ["chain", "chain_file"])]
    project: Option<PathBuf>,
    /// Operations joined by |, each a name and key=value settings. May be given twice.
    #[arg(long, value_name = "CHAIN")]
    chain: Vec<String>,
    /// A text file that holds a chain. May be given twice.
    #[arg(long, value_name = "FILE")]
    chain_file: Vec<PathBuf>,
    /// Which candidate of the project; may be given twice. Else the one that the shot has chosen, or the only one.
    #[arg(long, value_name = "NAME", requires = "project")]
    candidate: Vec<String>,
    /// A shot of the project: its numbers, encoding and exposure index hold.
    #[arg(long, value_name = "NAME", requires = "project")]
    shot: Option<String>,
    /// The numbers that the shot has at this frame.
    #[arg(long, value_name = "NUMBER", requires = "shot", allow_hyphen_values = true)]
    frame: Option<i64>,
    /// The original's encoding, where no input-transform names it; scene light unless told.
    #[arg(long, value_name = "ENCODING")]
    input: Option<String>,
    /// The exposure index that belongs to --input, for LogC3.
    #[arg(long, value_name = "INDEX", requires = "input")]
    ei: Option<u32>,
    /// Whether an original's codes fill the full or the legal range, for chains whose meaning depends on it.
    #[arg(long, value_name = "full|legal", value_parser = <CodeRange as ops::Setting>::parse)]
    range: Option<CodeRange>,
    /// An encoding file (TOML); its name can then be used like a built-in one. May be repeated.
    #[arg(long, value_name = "FILE")]
    encoding_file: Vec<PathBuf>,
    /// The picture to write, as PNG or TIFF.
    #[arg(long, value_name = "FILE", required_unless_present_any = ["csv", "json"])]
    out: Option<PathBuf>,
    /// Write the figures as JSON to standard output.
    #[arg(long)]
    json: bool,
    /// Write the figures as CSV.
    #[arg(long, value_name = "FILE")]
    csv: Option<PathBuf>,
}

pub fn run(args: &Args) -> Result<(), Failure> {
    let wanted = args.candidates();
    if wanted.len() > MOST {
        let message = format!("{} candidates are named; a plot shows {MOST}, so leave some out", wanted.len());
        return Err(Failure::usage(message));
    }
    let alone = wanted.len() == 1;
    let measured = (1..).zip(wanted).map(|(number, (name, of))| {
        let measured = of.read().and_then(|chain| Measured::new(name, &chain));
        // Of two it must be said which.
        let which =
            |failure: Failure| Failure { message: format!("candidate {number}: {}", failure.message), ..failure };
        measured.map_err(|failure| if alone { failure } else { which(failure) })
    });
    let measured: Vec<Measured> = measured.collect::<Result<_, _>>()?;
    if let [first, second] = &measured[..] {
        first.compare_with(second)?;
    }
    if let Some(out) = &args.out {
        sheet::write(out, &measured)?;
    }
    if let Some(csv) = &args.csv {
        data::write_csv(csv, &measured)?;
    }
    if args.json {
        return say::json(&data::answer(&measured));
    }
    let files = args.out.iter().chain(&args.csv).map(|path| say::path(path) + "\n").collect::<String>();
    say::result(&(files + &data::table(&measured)))
}

impl Args {
    /// The candidates asked for, by what they are called.
    fn candidates(&self) -> Vec<(Option<String>, ChainArgs)> {
        let common = ChainArgs {
            project: self.project.clone(),
            shot: self.shot.clone(),
            frame: self.frame,
            input: self.input.clone(),
            ei: self.ei,
            range: self.range,
            encoding_file: self.encoding_file.clone(),
            ..ChainArgs::default()
        };
        let chains = self
            .chain
            .iter()
            .map(|chain| (Some(chain.trim().to_string()), ChainArgs { chain: Some(chain.clone()), ..common.clone() }));
        let files = self
            .chain_file
            .iter()
            .map(|file| (Some(say::path(file)), ChainArgs { chain_file: Some(file.clone()), ..common.clone() }));
        let named =
            self.candidate.iter().map(|name| (None, ChainArgs { candidate: Some(name.clone()), ..common.clone() }));
        let found: Vec<_> = chains.chain(files).chain(named).collect();
        if found.is_empty() { vec![(None, common)] } else { found }
    }
}
