//! `bench`: the window.

mod pace;

use std::path::PathBuf;

use ::bench::state::{Action, Bench};
use session::aside::{Aside, data_folder};

use self::pace::pace;
use super::failure::Failure;
use super::{demo, engine, say};

/// Open the window on a project: shots, candidates side by side, their numbers, live.
///
/// Without a project it opens the last one, and before there was one, the demo, which it writes for it. For a folder of
/// originals without a project it proposes one, shots with their likely encodings, and writes it once that is confirmed.
#[derive(clap::Args, Default)]
#[command(
    after_help = "  greywright bench night_ferry.greywright\n  greywright bench night_ferry.greywright --pace 200 --tiles 1"
)]
pub struct Args {
    /// The project, the folder that it lies in, or a folder of originals.
    #[arg(value_name = "PROJECT|FOLDER")]
    project: Option<PathBuf>,
    /// Move a setting so many times, say how soon each move was seen, and close the window. Nothing is kept.
    #[arg(long, value_name = "MOVES", value_parser = clap::value_parser!(u32).range(1..=100_000))]
    pace: Option<u32>,
    /// Tiles on the wall while moves are timed; as many as the project opens with if it is not given.
    #[arg(long, value_name = "NUMBER", requires = "pace", value_parser = clap::value_parser!(u8).range(1..=4))]
    tiles: Option<u8>,
    /// Write JSON.
    #[arg(long, requires = "pace")]
    json: bool,
}

pub fn run(args: &Args) -> Result<(), Failure> {
    if !::bench::has_display() {
        return Err(Failure::work(
            "there is no display to open a window on; greywright --help lists what works without",
        ));
    }
    let aside = Aside::of_user();
    let path = match &args.project {
        Some(path) => path.clone(),
        None => last(aside.as_ref())?,
    };
    let mut bench = Bench::default();
    // What is only timed leaves no trace.
    if args.pace.is_none() {
        bench.remember_in(aside);
    }
    bench.apply(Action::Open(path));
    if bench.project().is_none() && bench.originals.is_none() {
        return Err(Failure::work(bench.message.map(|message| message.words).unwrap_or_default()));
    }
    let gpu = engine::open_gpu()?;
    match args.pace {
        Some(moves) => pace(bench, gpu, moves, args),
        None => Ok(::bench::run(bench, gpu)?),
    }
}

/// The project that was open last; before there was one, the demo.
fn last(aside: Option<&Aside>) -> Result<PathBuf, Failure> {
    if let Some(path) = aside.and_then(|aside| aside.recent().into_iter().next()) {
        return Ok(path);
    }
    let data = data_folder().ok_or_else(|| {
        Failure::work(
            "the system names no folder for the demo; write it with greywright demo DIR, then open its project",
        )
    })?;
    let folder = data.join("demo");
    let project = folder.join(::demo::PROJECT_NAME);
    if !project.is_file() {
        say::note(&format!("{}: the demo is written, once", folder.display()));
        demo::write(&quick(), &folder)?;
    }
    Ok(project)
}

/// A demo that is written while somebody waits for the window.
fn quick() -> ::demo::Settings {
    ::demo::Settings {
        size: frame::Size::new(640, 360),
        frames: 12,
        truth: ::demo::TruthPictures::First,
        ..::demo::Settings::default()
    }
}
