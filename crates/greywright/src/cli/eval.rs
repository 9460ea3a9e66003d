//! `eval`: numbers through a chain.

use std::fmt::Write as _;
use std::io::{BufRead as _, IsTerminal as _};
use std::path::PathBuf;
use std::sync::Arc;

use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use gpu::assemble::Edge;
use graph::{Elaborated, Monitored};
use reference::Proof;
use serde::Serialize;

use super::chain::{ChainArgs, explain, file_range};
use super::engine::{self, Engine, Executor};
use super::failure::Failure;
use super::help::with_operations;
use super::{monitor, say};

/// Put numbers through a chain: r,g,b rows in, rows out.
///
/// Rows come from standard input and leave in the same order. They are linear scene light on AP1 (ACEScg) unless the
/// chain begins with an input-transform or --input names their encoding; then they are code values as a share of the
/// highest code (code / 1023). Output codes are shares too.
#[derive(clap::Args)]
#[command(after_long_help = with_operations("\
Mid grey one stop up:
  echo 0.18,0.18,0.18 | greywright eval --chain 'exposure stops=+1'
What a code value means:
  echo 0.391,0.391,0.391 | greywright eval --executor proof --chain 'input-transform encoding=LogC3'"))]
pub struct Args {
    #[command(flatten)]
    chain: ChainArgs,
    /// A monitor profile (TOML): the rows that leave are the codes by which that monitor shows the picture.
    #[arg(long, value_name = "FILE")]
    monitor: Option<PathBuf>,
    /// What computes: gpu prints 9 significant digits, proof 17. The adapter if there is one.
    #[arg(long)]
    executor: Option<Executor>,
    /// Write JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Serialize)]
struct Answer {
    executor: String,
    original: String,
    result: String,
    /// How the rows were brought to a display; none where they were not.
    rendering: Option<String>,
    /// The monitor that the rows are codes of, if one was named.
    #[serde(skip_serializing_if = "Option::is_none")]
    monitor: Option<SeenOn>,
    not_finite: u64,
    rows: Vec<[f64; 3]>,
}

#[derive(Serialize)]
struct SeenOn {
    name: String,
    signal: String,
    notes: Vec<String>,
}

/// What the rows go through.
enum Through {
    Picture(Box<Elaborated>),
    Monitor(Box<Monitored>),
}

impl Through {
    fn picture(&self) -> &Elaborated {
        match self {
            Self::Picture(picture) => picture,
            Self::Monitor(monitored) => monitored.picture(),
        }
    }

    fn proof(&self) -> Proof {
        match self {
            Self::Picture(picture) => Proof::new(picture),
            Self::Monitor(monitored) => Proof::for_monitor(monitored),
        }
    }

    fn engine(&self, gpu: &Arc<gpu::device::Gpu>) -> Result<Engine, Failure> {
        Ok(match self {
            Self::Picture(picture) => Engine::new(Some(gpu), picture, ROWS, ROWS)?,
            Self::Monitor(monitored) => Engine::for_monitor(Some(gpu), monitored, ROWS, ROWS)?,
        })
    }

    /// The range of what leaves.
    fn result_range(&self) -> Range {
        match self {
            Self::Picture(picture) => file_range(picture.result_range),
            Self::Monitor(_) => Range::Full,
        }
    }
}

const ROWS: Layout = Layout::new(Channels::Rgb, Samples::Float, ByteOrder::Little);

pub fn run(args: &Args) -> Result<(), Failure> {
    let chain = args.chain.read()?;
    let elaborated = chain.for_rows()?;
    if args.chain.explain {
        let edge = |range| Edge::Stored(ROWS, file_range(range));
        explain(&chain, &elaborated, edge(elaborated.original_range), edge(elaborated.result_range))?;
    }
    let through = match &args.monitor {
        Some(profile) => Through::Monitor(Box::new(monitor::seen(elaborated, profile)?)),
        None => Through::Picture(Box::new(elaborated)),
    };
    let seen = match &through {
        Through::Monitor(monitored) => Some(monitored),
        Through::Picture(_) => None,
    };
    if let Some(monitored) = seen.filter(|_| args.chain.explain) {
        eprint!("\n{monitored}");
    }
    if std::io::stdin().is_terminal() {
        if args.chain.explain {
            // Nobody wants to type rows to see what a chain means.
            return Ok(());
        }
        say::note("type rows of r,g,b; Ctrl-D ends them");
    }
    let (rows, not_finite) = read_rows()?;
    let gpu = engine::open(args.executor)?;
    let (out, digits) = match &gpu {
        Some(gpu) => (on_gpu(gpu, &through, &rows)?, 9),
        None => (by_proof(&through, &rows), 17),
    };
    if not_finite > 0 {
        say::note(&format!("{not_finite} numbers were not finite and were replaced (NaN by 0, infinity by 65504)"));
    }
    let elaborated = through.picture();
    if args.json {
        let answer = Answer {
            executor: engine::name(gpu.as_ref()),
            original: elaborated.original.to_string(),
            result: elaborated.result_signal.to_string(),
            rendering: elaborated.rendering(),
            monitor: seen.map(|monitored| SeenOn {
                name: monitored.monitor().name.clone(),
                signal: monitored.monitor().signal().to_string(),
                notes: monitored.notes().to_vec(),
            }),
            not_finite,
            rows: out.into_iter().map(|row| row.map(|value| rounded(value, digits))).collect(),
        };
        return say::json(&answer);
    }
    match (seen, elaborated.rendering()) {
        (Some(monitored), rendering) => {
            let picture = rendering.unwrap_or_else(|| elaborated.result_signal.to_string());
            say::note(&format!("the rows are codes of {}, showing {picture}", monitored.monitor().name));
            monitored.notes().iter().for_each(|note| say::note(note));
        }
        (None, Some(rendering)) => say::note(&format!("the rows are for {rendering}")),
        (None, None) => {}
    }
    let mut text = String::with_capacity(out.len() * 36);
    for [r, g, b] in out {
        let [r, g, b] = [r, g, b].map(|value| say::significant(value, digits));
        // Writing to a string cannot fail.
        let _ = writeln!(text, "{r},{g},{b}");
    }
    say::result(&text)
}

/// A number as its significant digits say, so that JSON shows no digits that mean nothing.
fn rounded(value: f64, digits: usize) -> f64 {
    say::significant(value, digits).parse().unwrap_or(value)
}

/// Rows of standard input, with how many numbers were not finite and have been replaced. Blank lines are passed over.
fn read_rows() -> Result<(Vec<[f64; 3]>, u64), Failure> {
    let mut rows = Vec::new();
    let mut not_finite = 0;
    for (number, line) in std::io::stdin().lock().lines().enumerate() {
        let line = line.map_err(|error| Failure::work(format!("standard input, line {}: {error}", number + 1)))?;
        if line.trim().is_empty() {
            continue;
        }
        let wrong = || {
            Failure::work(format!(
                "standard input, line {}: '{line}' is not r,g,b; give three numbers with commas",
                number + 1
            ))
        };
        let values: Vec<f64> =
            line.split(',').map(|value| value.trim().parse()).collect::<Result<_, _>>().map_err(|_| wrong())?;
        let mut row: [f64; 3] = values.try_into().map_err(|_| wrong())?;
        for value in &mut row {
            if !value.is_finite() {
                not_finite += 1;
                *value = if value.is_nan() { 0.0 } else { 65504f64.copysign(*value) };
            }
        }
        rows.push(row);
    }
    Ok((rows, not_finite))
}

fn by_proof(through: &Through, rows: &[[f64; 3]]) -> Vec<[f64; 3]> {
    let proof = through.proof();
    let (scale, offset) = file_range(through.picture().original_range).signal_from_stored(Samples::Float);
    let (back_scale, back_offset) = through.result_range().stored_from_signal(Samples::Float);
    rows.iter()
        .map(|row| {
            proof.pixel(row.map(|stored| stored * scale + offset)).map(|signal| signal * back_scale + back_offset)
        })
        .collect()
}

fn on_gpu(gpu: &Arc<gpu::device::Gpu>, through: &Through, rows: &[[f64; 3]]) -> Result<Vec<[f64; 3]>, Failure> {
    if rows.is_empty() {
        return Ok(Vec::new());
    }
    let largest = f64::from(f32::MAX);
    let bytes = rows.iter().flatten().flat_map(|value| (value.clamp(-largest, largest) as f32).to_le_bytes()).collect();
    let height = u32::try_from(rows.len()).map_err(|_| Failure::work("more than 4294967295 rows; split them"))?;
    let frame = Frame::new(Size::new(1, height), ROWS, bytes, 0).map_err(Failure::work)?;
    let out = through.engine(gpu)?.frame(Arc::new(frame))?;
    let float = |bytes: &[u8]| bytes.try_into().map_or(0.0, |bytes| f64::from(f32::from_le_bytes(bytes)));
    Ok(out
        .bytes()
        .chunks_exact(12)
        .map(|pixel| [float(&pixel[..4]), float(&pixel[4..8]), float(&pixel[8..])])
        .collect())
}
