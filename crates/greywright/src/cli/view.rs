//! `view`: a frame as an exposure view: false colour, zebra, warnings, black and white.

mod level;
mod seen;
mod sheet;

use std::path::PathBuf;

use clap::ValueEnum;
use colour::Primaries;
use measure::view::{Clip, Kind, Level, View};
use serde::Serialize;

use self::level::Wanted;
use self::seen::Seen;
use super::chain::{Chain, ChainArgs};
use super::engine::Executor;
use super::failure::Failure;
use super::help::with_operations;
use super::say;
use super::scopes::{At, Tapped, frame_of, picture};

/// A view.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum As {
    /// Stops of scene light from mid grey, a colour for each.
    FalseColour,
    /// Stripes over what is as light as --level.
    Zebra,
    /// What is clipped, at the display's ends or outside a gamut.
    Warnings,
    /// What is near a display's black and white, spread out so that a tint is seen.
    BlackWhite,
}

/// Show where a picture lies on the scale of light: false colour, zebra, warnings, black and white.
///
/// The picture is written at its own size with its key and the share of each class beside it. False colour is of scene light
/// and is lightness-ordered, so that it reads without hue; what is clipped is hatched. Unless --at says where, false colour is
/// of the scene's light that the chain gives, the others are of the result.
#[derive(clap::Args)]
#[command(after_long_help = with_operations("\
Where the original lies in stops, and after a correction:
  greywright view galley.0001.dpx --as false-colour --input LogC3 --out stops.png
  greywright view --project night_ferry.greywright --shot galley_010 --as false-colour --out corrected.png
Skin between 60 and 70 % of signal, and a tint in the blacks:
  greywright view --project night_ferry.greywright --shot galley_010 --as zebra --level 60%..70% --out skin.png
  greywright view --project night_ferry.greywright --shot galley_010 --as black-white --near 4 --out ends.png"))]
pub struct Args {
    /// The original: a frame, or a sequence of which --frame chooses one (the first unless told); left out where --shot
    /// says which.
    #[arg(value_name = "IN")]
    original: Option<PathBuf>,
    #[command(flatten)]
    chain: ChainArgs,
    /// What is to be seen.
    #[arg(long = "as", value_name = "VIEW")]
    seen_as: As,
    /// The picture to write, as PNG or TIFF.
    #[arg(long, value_name = "FILE", required_unless_present = "json")]
    out: Option<PathBuf>,
    /// Where in the chain: original, scene, display, or after=N.
    #[arg(long, value_name = "PLACE")]
    at: Option<At>,
    /// What zebra is over: 95% of signal and more, 60%..70%, +2 stops from mid grey and more, or +1..+2.
    #[arg(long, value_name = "LEVEL", value_parser = level::read, allow_hyphen_values = true)]
    level: Option<Wanted>,
    /// How much at either end black-white spreads out, in % of signal: up to 25.
    #[arg(long, value_name = "PERCENT", default_value = "5", value_parser = near)]
    near: f64,
    /// The primaries that warnings hold colours to; the picture's own unless told.
    #[arg(long, value_name = "PRIMARIES", value_parser = primaries)]
    gamut: Option<Primaries>,
    /// From where the original is clipped, in % of its signal; its last code unless told. Many cameras clip before.
    #[arg(long, value_name = "PERCENT")]
    clip: Option<f64>,
    /// What computes; the adapter if there is one.
    #[arg(long)]
    executor: Option<Executor>,
    /// Write the share of each class as JSON to standard output.
    #[arg(long)]
    json: bool,
}

fn near(text: &str) -> Result<f64, String> {
    let number = text.trim_end_matches('%').parse::<f64>().ok().filter(|v| *v > 0.0 && *v <= 25.0);
    number.map(|percent| percent / 100.0).ok_or_else(|| "more than 0 and up to 25 % is wanted".to_string())
}

fn primaries(text: &str) -> Result<Primaries, String> {
    Primaries::named(text).ok_or_else(|| format!("no such primaries; there are {}", Primaries::names().join(", ")))
}

/// What `--json` writes.
#[derive(Serialize)]
struct Answer<'a> {
    file: &'a str,
    frame: i64,
    at: &'a str,
    signal: String,
    rendering: &'a str,
    view: String,
    pixels: usize,
    classes: Vec<Share>,
}

#[derive(Serialize)]
struct Share {
    class: String,
    pixels: u64,
    percent: f64,
}

pub fn run(args: &Args) -> Result<(), Failure> {
    let chain = args.chain.read_of_frame()?;
    let (number, path) = frame_of(args.original.as_deref(), &chain, args.chain.frame)?;
    let original = picture(&chain, number, &path, Some(&At::Original), args.executor, false)?;
    let at = args.at.clone().or_else(|| (args.seen_as == As::FalseColour && !is_empty(&chain)).then_some(At::Scene));
    let tapped = picture(&chain, number, &path, at.as_ref(), args.executor, args.chain.explain)?;
    let kind = kind(args, &tapped)?;
    let of_file = original.stored_bits.map_or(Clip::none(), |bits| Clip::of_codes(bits.clamp(8, 16), original.range));
    let clip = args.clip.map_or(of_file, |percent| of_file.from(percent / 100.0));
    let gamut = args.gamut.clone().unwrap_or_else(|| tapped.tap.signal().primaries.clone());
    let view = View::new(kind, tapped.tap.clone(), clip, &gamut);
    let seen = Seen::of(&view, &original, &tapped);
    if let Some(out) = &args.out {
        sheet::write(out, &tapped, &seen, &words(args, &gamut))?;
    }
    if args.json {
        return say::json(&answer(args, &tapped, &seen, &gamut));
    }
    let file = args.out.iter().map(|path| say::path(path) + "\n").collect::<String>();
    say::result(&format!("{file}  {}\n  {}\n{}", tapped.in_words(), words(args, &gamut), seen.table()))
}

fn is_empty(chain: &Chain) -> bool {
    chain.places().is_empty()
}

/// What is seen, in words.
fn words(args: &Args, gamut: &Primaries) -> String {
    let clip = match args.clip {
        Some(percent) => format!("the original is clipped from {percent} % of signal"),
        None => "the original is clipped at its last code".to_string(),
    };
    match args.seen_as {
        As::FalseColour => format!("false colour: luminance in stops from mid grey; {clip}"),
        As::Zebra => format!("zebra: {}", args.level.map_or_else(String::new, |level| level.to_string())),
        As::Warnings => format!("warnings: {clip}; gamut {}", gamut.name),
        As::BlackWhite => format!("black and white: {} % of signal at either end, spread out", 100.0 * args.near),
    }
}

/// What is wanted, if it means something where it is wanted.
fn kind(args: &Args, tapped: &Tapped) -> Result<Kind, Failure> {
    let (tap, as_what) = (&tapped.tap, args.seen_as);
    let refuse = |why: &str| {
        let name = as_what.to_possible_value().map_or_else(String::new, |value| value.get_name().to_string());
        Err(Failure::usage(format!("--as {name}: {why}")))
    };
    if args.level.is_some() && as_what != As::Zebra {
        return Err(Failure::usage("--level goes with --as zebra; leave it out"));
    }
    let of_stops = |kind: Kind| {
        if tapped.is_unknown() {
            refuse("the encoding of the original is not known; say it with --input")
        } else if tap.is_scene() {
            Ok(kind)
        } else {
            refuse("a display's signal has no stops; look --at scene")
        }
    };
    match (as_what, args.level.map(|level| level.level)) {
        (As::FalseColour, _) => of_stops(Kind::FalseColour),
        (As::Zebra, None) => refuse("--level is missing: 95%, 60%..70%, +2 or +1..+2 (stops)"),
        (As::Zebra, Some(level @ Level::Stops(..))) => of_stops(Kind::Zebra(level)),
        (As::Zebra, Some(Level::Luma(..))) if !tap.is_code() && !tapped.is_unknown() => {
            refuse("linear light has no % of signal; give --level in stops, for instance +2")
        }
        (As::Zebra, Some(level)) => Ok(Kind::Zebra(level)),
        (As::Warnings, _) if tapped.is_unknown() => {
            refuse("the encoding of the original is not known; say it with --input")
        }
        (As::Warnings, _) => Ok(Kind::Warnings),
        (As::BlackWhite, _) if tap.is_scene() => {
            refuse("black and white are a display's; end the chain with an output-transform, or look --at display")
        }
        (As::BlackWhite, _) => Ok(Kind::BlackWhite { near: args.near }),
    }
}

fn answer<'a>(args: &Args, tapped: &'a Tapped, seen: &Seen, gamut: &Primaries) -> Answer<'a> {
    let share = |class: &seen::OfClass| Share {
        class: class.name.clone(),
        pixels: class.pixels,
        percent: seen.percent(class.pixels),
    };
    Answer {
        file: &tapped.file,
        frame: tapped.number,
        at: &tapped.place,
        signal: tapped.tap.signal().to_string(),
        rendering: &tapped.rendering,
        view: words(args, gamut),
        pixels: tapped.size.pixels(),
        classes: seen.classes.iter().map(share).collect(),
    }
}
