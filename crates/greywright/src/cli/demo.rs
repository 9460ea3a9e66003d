//! `demo`: the demo sequence, and the main job on it.

use std::path::{Path, PathBuf};

use demo::{Settings, ShotSummary, Summary, TruthPictures};
use frame::Size;
use media::OutputPattern;
use serde::Serialize;
use session::render::{Job, Report, Sink};

use super::chain::ChainArgs;
use super::failure::Failure;
use super::follow::Terminal;
use super::render::{self, Gaps};
use super::{engine, interrupt, pattern, picture, say};

/// Write the demo, a short film of a night ferry's crew, with its truth; --render corrects it too.
///
/// Eight shots in three set-ups, each under lights of known spectra, in camera log, exposed a little wrong, and a project
/// with five ways to correct them. Beside every frame lies the truth, in numbers and in pictures. A folder `faults` holds
/// copies of a few frames with planted faults of ingest.
///
/// With --render each shot goes through the correction that its light calls for, and a picture shows
/// it before and after.
#[derive(clap::Args)]
#[command(after_help = "  greywright demo demo-out --render
  greywright demo quick --size 640x360 --truth first --shots deck_010,galley_010")]
pub struct Args {
    /// Where to write; made if it is not there.
    #[arg(value_name = "DIR", default_value = "demo-out")]
    dir: PathBuf,
    /// Correct every shot too, and write before/after pictures.
    #[arg(long)]
    render: bool,
    /// Width and height of the frames.
    #[arg(long, value_name = "WxH", default_value = "1280x720", value_parser = pattern::size)]
    size: Size,
    /// Frames a shot.
    #[arg(long, default_value_t = 48, value_parser = clap::value_parser!(u32).range(1..=9999))]
    frames: u32,
    /// Shots by name; all if none is named.
    #[arg(long, value_name = "NAME,NAME", value_delimiter = ',')]
    shots: Vec<String>,
    /// Which frames have truth pictures beside them; the numbers of every frame are always written.
    #[arg(long, value_name = "WHICH", value_enum, default_value_t = Truth::Every)]
    truth: Truth,
    /// Leave the copies with planted faults away.
    #[arg(long)]
    no_faults: bool,
    /// Leave the sensor noise away.
    #[arg(long)]
    no_noise: bool,
    /// What the noise is drawn from: the same number gives the same files.
    #[arg(long, value_name = "NUMBER", default_value_t = 1)]
    seed: u64,
    /// Write JSON.
    #[arg(long)]
    json: bool,
}

/// Frames with truth pictures.
#[derive(Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Truth {
    /// All.
    Every,
    /// The first one of each shot.
    First,
}

impl Args {
    fn settings(&self) -> Settings {
        Settings {
            size: self.size,
            frames: self.frames,
            shots: self.shots.clone(),
            truth: match self.truth {
                Truth::Every => TruthPictures::Every,
                Truth::First => TruthPictures::First,
            },
            faults: !self.no_faults,
            noise: !self.no_noise,
            seed: self.seed,
        }
    }
}

#[derive(Serialize)]
struct Answer {
    originals: String,
    project: String,
    /// The folder of copies with planted faults.
    faults: Option<String>,
    shots: Vec<Shot>,
}

#[derive(Serialize)]
struct Shot {
    name: String,
    original: String,
    correction: String,
    corrected: Option<String>,
    /// How the corrected frames were brought to a display.
    rendering: Option<String>,
    picture: Option<String>,
}

pub fn run(args: &Args) -> Result<(), Failure> {
    let originals = if args.render { args.dir.join("originals") } else { args.dir.clone() };
    let kept = originals.join(demo::PROJECT_NAME);
    if kept.exists() {
        say::note(&format!("{}: there is a project already; it stays as it is", kept.display()));
    }
    let summary = write(&args.settings(), &originals)?;
    let project = originals.join(&summary.project).display().to_string();
    let faults = summary.faults.as_ref().map(|folder| originals.join(folder).display().to_string());
    let mut answer = Answer { originals: originals.display().to_string(), project, faults, shots: Vec::new() };
    let gpu = if args.render { engine::open(None)? } else { None };
    for shot in &summary.shots {
        let original = originals.join(&shot.pattern);
        let (mut corrected, mut rendering, mut shown) = (None, None, None);
        if args.render {
            let (frames, report) = correct(args, shot, &original, gpu.as_ref())?;
            (corrected, rendering) = (Some(frames), report.rendering);
            shown = Some(show(args, shot, &originals, gpu.as_ref())?);
        }
        answer.shots.push(Shot {
            name: shot.name.clone(),
            original: original.display().to_string(),
            correction: corrected_for(shot, "BT.1886"),
            corrected,
            rendering,
            picture: shown,
        });
    }
    if args.json {
        return say::json(&answer);
    }
    for shot in &answer.shots {
        say::result(&format!("{}\n  original   {}\n  correction {}\n", shot.name, shot.original, shot.correction))?;
        if let (Some(corrected), Some(shown)) = (&shot.corrected, &shot.picture) {
            let rendering = shot.rendering.as_deref().unwrap_or("no rendering");
            say::result(&format!("  corrected  {corrected}, {rendering}\n  before and after {shown}\n"))?;
        }
    }
    say::result(&format!("project {}\n", answer.project))?;
    if let Some(faults) = &answer.faults {
        say::result(&format!("planted faults {faults}, README.txt says which\n"))?;
    }
    if args.render {
        say::result(&format!("by {}\n", engine::name(gpu.as_ref())))?;
    }
    Ok(())
}

/// Writes the originals with their project; says what they take, and shows how far it is.
pub fn write(settings: &Settings, originals: &Path) -> Result<Summary, Failure> {
    let room = demo::room(settings).map_err(|error| Failure::usage(error.to_string()))?;
    say::note(&format!(
        "{}: {} of {}, {} of originals and about {} of truth",
        say::path(originals),
        say::count(room.frames as usize, "frame"),
        settings.size,
        size_in_words(room.frame_bytes),
        size_in_words(room.truth_bytes)
    ));
    let bar = say::progress(0, "writing the originals");
    let progress = |done: usize, total: usize| {
        bar.set_length(total as u64);
        bar.set_position(done as u64);
        !interrupt::asked()
    };
    let summary = demo::write(originals, settings, &progress).map_err(Failure::work);
    bar.finish_and_clear();
    summary
}

/// Bytes in megabytes or gigabytes, the decimal ones.
fn size_in_words(bytes: u64) -> String {
    let megabytes = bytes as f64 / 1e6;
    if megabytes < 1000.0 { format!("{megabytes:.0} MB") } else { format!("{:.1} GB", megabytes / 1000.0) }
}

/// The shot's correction, rendered to be looked at on a display; the truth's own chain is for measuring.
fn corrected_for(shot: &ShotSummary, display: &str) -> String {
    let parts = shot.correction.split('|').filter(|part| !part.trim().starts_with("output-transform"));
    format!("{}| output-transform display={display}", parts.collect::<Vec<_>>().join("|"))
}

/// Renders a shot through its correction.
fn correct(
    args: &Args,
    shot: &ShotSummary,
    original: &Path,
    gpu: Option<&std::sync::Arc<gpu::device::Gpu>>,
) -> Result<(String, Report), Failure> {
    let chain = ChainArgs { chain: Some(corrected_for(shot, "BT.1886")), ..ChainArgs::default() }.read()?;
    let sequence = render::open(original, None, Gaps::Refuse)?;
    let pattern = args.dir.join("corrected").join(&shot.name).join(format!("{}.%04d.dpx", shot.name));
    let out = OutputPattern::parse(&pattern)?;
    out.prepare()?;
    let job = Job {
        chain: &chain,
        sequence: &sequence,
        example: None,
        found: None,
        sink: Sink::Files { out: &out, record: None },
        depth: None,
        dither: None,
        explain: false,
        timings: false,
        aces_container: false,
        memory_bytes: session::render::MEMORY_BYTES,
        follower: &Terminal::new(),
    };
    let report = session::render::render(&job, gpu)?;
    render::verdict(&report)?;
    Ok((pattern.display().to_string(), report))
}

/// Writes the picture of a shot before and after its correction.
fn show(
    args: &Args,
    shot: &ShotSummary,
    originals: &Path,
    gpu: Option<&std::sync::Arc<gpu::device::Gpu>>,
) -> Result<String, Failure> {
    let sequence = render::open(&originals.join(&shot.pattern), None, Gaps::Refuse)?;
    let Some((_, first)) = sequence.frames().first() else { return Err(Failure::work("the shot has no frames")) };
    let pictures = args.dir.join("pictures");
    std::fs::create_dir_all(&pictures).map_err(|error| Failure::work(format!("{}: {error}", pictures.display())))?;
    let out = pictures.join(format!("{}_before_after.png", shot.name));
    let index = shot.exposure_index.map_or(String::new(), |index| format!(" ei={index}"));
    let before = format!("input-transform encoding={}{index} | output-transform display=sRGB", shot.encoding);
    // The picture is for an sRGB screen, whatever the delivery is.
    let after = corrected_for(shot, "sRGB");
    picture::before_after(gpu, first, &before, &after, &out)?;
    Ok(out.display().to_string())
}
