//! `inspect`: what files hold, and which adapters there are.

use std::path::{Path, PathBuf};

use serde::Serialize;

use super::failure::Failure;
use super::say;

/// Say what sequences hold, or list the graphics adapters.
#[derive(clap::Args)]
#[command(after_help = "  greywright inspect --adapters
  greywright inspect 'deck_010.%04d.dpx'")]
pub struct Args {
    /// Sequences: name.%04d.dpx, name.####.exr, one file, or a folder.
    #[arg(value_name = "PATH", required_unless_present = "adapters")]
    paths: Vec<PathBuf>,
    /// List the graphics adapters; the first one is used unless GREYWRIGHT_ADAPTER says otherwise.
    #[arg(long, conflicts_with = "paths")]
    adapters: bool,
    /// Write JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Serialize)]
struct Adapter {
    name: String,
    kind: &'static str,
    backend: String,
    driver: String,
    timestamps: bool,
}

#[derive(Serialize)]
struct Sequence {
    path: String,
    frames: usize,
    first: i64,
    last: i64,
    missing: String,
    width: u32,
    height: u32,
    stored: String,
    encoding: Option<String>,
    encoding_reason: Option<String>,
    range: Option<&'static str>,
    rate: Option<f64>,
    warnings: Vec<String>,
}

pub fn run(args: &Args) -> Result<(), Failure> {
    if args.adapters {
        return adapters(args.json);
    }
    let sequences = args.paths.iter().map(|path| sequence(path)).collect::<Result<Vec<_>, _>>()?;
    if args.json {
        return say::json(&sequences);
    }
    for sequence in &sequences {
        let missing = if sequence.missing.is_empty() { "none".to_string() } else { sequence.missing.clone() };
        let encoding = match (&sequence.encoding, &sequence.encoding_reason) {
            (Some(id), Some(reason)) => format!("{id} ({reason})"),
            _ => "not said by the file".to_string(),
        };
        say::result(&format!(
            "{}\n  frames   {}, {} to {}\n  missing  {missing}\n  size     {}x{}, {}\n  encoding {encoding}\n  \
             range    {}\n",
            sequence.path,
            sequence.frames,
            sequence.first,
            sequence.last,
            sequence.width,
            sequence.height,
            sequence.stored,
            sequence.range.unwrap_or("not said by the file")
        ))?;
        for warning in &sequence.warnings {
            say::note(warning);
        }
    }
    Ok(())
}

fn adapters(json: bool) -> Result<(), Failure> {
    let found: Vec<Adapter> = gpu::device::adapters()
        .into_iter()
        .map(|note| Adapter {
            name: note.name,
            kind: note.kind,
            backend: note.backend,
            driver: note.driver,
            timestamps: note.timestamps,
        })
        .collect();
    if json {
        return say::json(&found);
    }
    if found.is_empty() {
        return say::result("no graphics adapter; the proof computes\n");
    }
    for adapter in found {
        let times = if adapter.timestamps { "times its work" } else { "cannot time its work" };
        say::result(&format!(
            "{}\n  {}, {}, {}, {times}\n",
            adapter.name, adapter.kind, adapter.backend, adapter.driver
        ))?;
    }
    Ok(())
}

fn sequence(path: &Path) -> Result<Sequence, Failure> {
    let sequence = media::Sequence::open(path)?;
    let span = sequence.span();
    let (_, first) =
        sequence.frames().first().ok_or_else(|| Failure::work(format!("{}: no frames", path.display())))?;
    let picture = media::read(first)?;
    let (encoding, encoding_reason) = picture.about.encoding.clone().unzip();
    Ok(Sequence {
        path: path.display().to_string(),
        frames: sequence.frames().len(),
        first: *span.start(),
        last: *span.end(),
        missing: sequence.missing_in_words(),
        width: picture.frame.size().width,
        height: picture.frame.size().height,
        stored: picture.frame.layout().name(),
        encoding,
        encoding_reason,
        range: picture.about.range.map(|range| match range {
            frame::Range::Full => "full",
            frame::Range::Legal => "legal",
        }),
        rate: picture.about.rate,
        warnings: picture.about.warnings,
    })
}
