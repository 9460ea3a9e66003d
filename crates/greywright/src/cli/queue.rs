//! `queue`: many renders, one after the other.

use std::path::{Path, PathBuf};

use clap::{Args as ClapArgs, Subcommand};
use colour::CodeRange;
use serde::Serialize;
use session::chain::ChainSource;
use session::queue::{Delivery, Job, QueueFile, Ran, Runner, State, Wish};

use super::engine::Executor;
use super::failure::Failure;
use super::follow::Terminal;
use super::render::{Gaps, frames, in_words, verdict};
use super::{interrupt, say};

/// Line up renders and work through them.
///
/// The queue is a file; it can be changed while it is worked through, from as many terminals as you like. What a job has
/// written and is whole stays: it goes on where it was broken off.
#[derive(ClapArgs)]
#[command(after_help = "\
Every shot of a project, with what it has chosen, as 10-bit DPX and as 8-bit PNG:
  greywright queue night.queue add --project night_ferry.greywright \\
    --to 'dpx/{shot}/{shot}.%04d.dpx' --to 'png/{shot}/{shot}.%04d.png depth=8 dither=blue-noise'
  greywright queue night.queue run
From another terminal:
  greywright queue night.queue move 5 1
  greywright queue night.queue pause 2")]
pub struct Args {
    /// The queue's file.
    #[arg(value_name = "FILE")]
    file: PathBuf,
    #[command(subcommand)]
    what: What,
}

#[derive(Subcommand)]
enum What {
    /// Add jobs at the end: shots times candidates times deliveries of a project, or a chain over files.
    Add(Box<Add>),
    /// Show the jobs in their order.
    List(Json),
    /// Work through the jobs that wait, and through those that a process left when it died.
    Run(Json),
    /// Let jobs wait until they are told to go; all unless numbered. A running one ends between two frames.
    Pause(Numbers),
    /// Let paused jobs go on; all unless numbered. One that failed or is done goes again where it is numbered.
    Go(Numbers),
    /// Move a job to a place in the order.
    Move {
        /// The job's number.
        job: u32,
        /// The place, counted from 1, or `last`.
        #[arg(value_parser = place)]
        place: usize,
    },
    /// Take jobs out of the queue. Files that they have written stay.
    Drop {
        /// The jobs' numbers.
        #[arg(required = true)]
        jobs: Vec<u32>,
    },
}

#[derive(ClapArgs)]
struct Json {
    /// Write JSON.
    #[arg(long)]
    json: bool,
}

#[derive(ClapArgs)]
struct Numbers {
    /// The jobs' numbers.
    jobs: Vec<u32>,
}

#[derive(ClapArgs)]
struct Add {
    /// The originals, where there is no project.
    #[arg(value_name = "IN", required_unless_present = "project", conflicts_with = "project")]
    original: Option<PathBuf>,
    /// Where the frames go, as OUT of render, with {shot} and {candidate} where those go; then, if wanted, depth= and
    /// dither=. May be repeated.
    #[arg(long, value_name = "OUT", required = true, value_parser = <Delivery as std::str::FromStr>::from_str)]
    to: Vec<Delivery>,
    /// A project file.
    #[arg(long, value_name = "FILE")]
    project: Option<PathBuf>,
    /// A shot of the project; all unless told. May be repeated.
    #[arg(long, value_name = "NAME", requires = "project")]
    shot: Vec<String>,
    /// A candidate of the project; what each shot has chosen unless told. May be repeated.
    #[arg(long, value_name = "NAME", requires = "project")]
    candidate: Vec<String>,
    /// Operations joined by |, each a name and key=value settings.
    #[arg(long, value_name = "CHAIN", conflicts_with_all = ["chain_file", "project"])]
    chain: Option<String>,
    /// A text file that holds the chain.
    #[arg(long, value_name = "FILE", conflicts_with = "project")]
    chain_file: Option<PathBuf>,
    /// The originals' encoding.
    #[arg(long, value_name = "ENCODING")]
    input: Option<String>,
    /// The exposure index that belongs to --input, for LogC3.
    #[arg(long, value_name = "INDEX", requires = "input")]
    ei: Option<u32>,
    /// Whether the originals' codes fill the full or the legal range.
    #[arg(long, value_name = "full|legal", value_parser = <CodeRange as ops::Setting>::parse)]
    range: Option<CodeRange>,
    /// An encoding file (TOML). May be repeated.
    #[arg(long, value_name = "FILE")]
    encoding_file: Vec<PathBuf>,
    /// Only these frames: A-B, or one number.
    #[arg(long, value_name = "A-B", value_parser = frames, allow_hyphen_values = true)]
    frames: Option<(i64, i64)>,
    /// What to do where frame numbers are missing.
    #[arg(long, value_name = "WHAT")]
    gaps: Option<Gaps>,
    /// What computes; the adapter if there is one.
    #[arg(long)]
    executor: Option<Executor>,
}

fn place(text: &str) -> Result<usize, String> {
    match text.parse() {
        Ok(place) if place > 0 => Ok(place),
        _ if text == "last" => Ok(usize::MAX),
        _ => Err("a place is wanted, 1 for the first, or last".to_string()),
    }
}

pub fn run(args: &Args) -> Result<(), Failure> {
    let file = QueueFile::at(&args.file);
    match &args.what {
        What::Add(add) => {
            let jobs = wish(add).jobs(&file.folder(), say::note)?;
            let numbers = file.change_or_begin(|queue| queue.add(jobs))?;
            told("added", &numbers)
        }
        What::List(Json { json }) => list(&file, &args.file, *json),
        What::Run(Json { json }) => work(&file, *json),
        What::Pause(Numbers { jobs }) => told("paused", &file.change(|queue| queue.pause(jobs))?),
        What::Go(Numbers { jobs }) => told("waiting", &file.change(|queue| queue.go(jobs))?),
        What::Move { job, place } => {
            file.change(|queue| queue.move_to(*job, *place))?;
            told("moved", &[*job])
        }
        What::Drop { jobs } => {
            file.change(|queue| queue.take_out(jobs))?;
            told("taken out", jobs)
        }
    }
}

fn told(what: &str, numbers: &[u32]) -> Result<(), Failure> {
    let numbers: Vec<_> = numbers.iter().map(u32::to_string).collect();
    match numbers.len() {
        0 => say::result(&format!("{what}: none\n")),
        1 => say::result(&format!("{what}: job {}\n", numbers.join(", "))),
        _ => say::result(&format!("{what}: jobs {}\n", numbers.join(", "))),
    }
}

fn wish(add: &Add) -> Wish {
    Wish {
        source: ChainSource {
            chain: add.chain.clone(),
            chain_file: add.chain_file.clone(),
            project: add.project.clone(),
            input: add.input.clone(),
            exposure_index: add.ei,
            range: add.range,
            encoding_files: add.encoding_file.clone(),
            ..ChainSource::default()
        },
        original: add.original.clone(),
        shots: add.shot.clone(),
        candidates: add.candidate.clone(),
        deliveries: add.to.clone(),
        frames: add.frames.map(|(first, last)| [first, last]),
        gaps: add.gaps.map(Gaps::kind),
        executor: add.executor.map(Executor::kind),
    }
}

/// A job as `list` shows it.
#[derive(Serialize)]
struct Row {
    #[serde(flatten)]
    job: Job,
    /// Whether a living process works on it.
    worked_on: bool,
}

fn list(file: &QueueFile, path: &Path, json: bool) -> Result<(), Failure> {
    let rows: Vec<_> = file.jobs()?.into_iter().map(|(job, worked_on)| Row { job, worked_on }).collect();
    if json {
        return say::json(&rows);
    }
    let cells: Vec<Vec<String>> = rows.iter().map(cells).collect();
    let counts = [State::Waiting, State::Running, State::Paused, State::Done, State::Failed].map(|state| {
        let count = rows.iter().filter(|row| row.job.state == state).count();
        (count > 0).then(|| format!("{count} {}", state.name()))
    });
    let counts: Vec<_> = counts.into_iter().flatten().collect();
    let counts = if counts.is_empty() { "no jobs".to_string() } else { counts.join(", ") };
    say::result(&format!("{}: {counts}\n{}", say::path(path), say::columns(&cells)))
}

fn cells(Row { job, worked_on }: &Row) -> Vec<String> {
    let state = match (job.state, worked_on) {
        (State::Running, false) => "broken off",
        (State::Paused, true) => "pausing",
        (state, _) => state.name(),
    };
    let made = job.done.as_ref().map_or_else(String::new, |done| {
        let there = done.kept + done.written;
        let pace = if done.written > 0 {
            format!(", {} s a frame", say::significant(done.seconds / done.written as f64, 3))
        } else {
            String::new()
        };
        format!("{there} of {} frames{pace}", done.wanted)
    });
    let settings = [
        job.depth.map(|depth| format!("depth={depth}")),
        job.dither.map(|noise| match noise {
            session::queue::Noise::Triangular => "dither=triangular".to_string(),
            session::queue::Noise::BlueNoise => "dither=blue-noise".to_string(),
        }),
        job.frames.map(|[first, last]| format!("frames={first}-{last}")),
    ];
    let settings: Vec<_> = settings.into_iter().flatten().collect();
    let why = job.why.clone().unwrap_or_default();
    vec![job.number.to_string(), state.to_string(), job.title(), job.out.clone(), settings.join(" "), made, why]
}

fn work(file: &QueueFile, json: bool) -> Result<(), Failure> {
    let mut runner = Runner::new(file, say::note);
    let mut ran: Vec<Ran> = Vec::new();
    while !interrupt::asked() {
        let Some((job, claim)) = runner.take()? else { break };
        say::note(&format!("job {}: {}", job.number, job.title()));
        let terminal = Terminal::new();
        let one = runner.work(&job, claim, &terminal)?;
        drop(terminal);
        if !json {
            tell(&one)?;
        }
        ran.push(one);
    }
    if json {
        say::json(&ran)?;
    }
    let left = file.read()?.jobs.into_iter().filter(|job| matches!(job.state, State::Waiting | State::Running)).count();
    match (interrupt::asked(), left) {
        (true, _) => say::note(&format!("stopped; {} to do", say::count(left, "job"))),
        (false, 0) => {}
        (false, _) => say::note(&format!("another process works on {}", say::count(left, "job"))),
    }
    let failed = ran.iter().filter(|one| one.state == Some(State::Failed)).count();
    if failed > 0 {
        say::error(&format!("{} of {} failed; list says why", failed, say::count(ran.len(), "job")));
    }
    if failed > 0 || interrupt::asked() { Err(Failure::said()) } else { Ok(()) }
}

fn tell(one: &Ran) -> Result<(), Failure> {
    let state = one.state.map_or("taken out", State::name);
    let body = one.report.as_ref().map(in_words).unwrap_or_default();
    say::result(&format!("job {} {state}: {}\n{body}", one.job, one.title))?;
    match (&one.report, &one.why) {
        // A job that failed ends itself and not the queue.
        (Some(report), _) => verdict(report).or(Ok(())),
        (None, Some(why)) => {
            say::error(&format!("job {}: {why}", one.job));
            Ok(())
        }
        (None, None) => Ok(()),
    }
}
