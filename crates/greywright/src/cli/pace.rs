//! `pace`: the chain against plain copies and the proof, in one run, as ratios.

mod held;
mod scopes;

use std::time::Instant;

use frame::{ByteOrder, Channels, Layout, Range, Samples, Size};
use gpu::assemble::{Edge, assemble};
use gpu::device::{Job, time};
use plan::{Level, Plan};
use reference::Proof;
use serde::Serialize;

use super::chain::{ChainArgs, explain};
use super::engine;
use super::failure::Failure;
use super::{pattern, say};

/// The chain timed unless another one is given: the main job.
const USUAL: &str =
    "input-transform encoding=LogC3 | exposure stops=0.5 | white-balance from=3200K | output-transform display=BT.1886";

/// Pixels that the proof is timed on; its time is scaled to the whole frame.
const PROOF_PIXELS: usize = 1 << 18;

/// Time a chain against plain copies and the proof, in one run, as ratios.
///
/// By the device's own clock: the fused chain, the same chain unfused, a pass that only copies between the same
/// formats, a plain copy from buffer to buffer; and the proof. Without a chain the main job is timed. With --scopes, the
/// scopes of a picture are timed instead: all together and each alone, on a frame of the demo, on noise and on a flat frame.
/// With --held, what a window does with a frame that is held on the device: its upload, a chain of twelve operations to a
/// screen, two candidates with five scopes each and a view, and frames that follow each other.
#[derive(clap::Args)]
#[command(after_help = "  greywright pace --json\n  greywright pace --scopes\n  greywright pace --held")]
pub struct Args {
    #[command(flatten)]
    chain: ChainArgs,
    /// Width and height of the frames.
    #[arg(long, value_name = "WxH", default_value = "3840x2160", value_parser = pattern::size)]
    size: Size,
    /// How often each is timed; the median counts.
    #[arg(long, default_value_t = 50, value_parser = clap::value_parser!(u32).range(1..=10000))]
    repeats: u32,
    /// Sets of frames that take turns, so that no cache holds them.
    #[arg(long, default_value_t = 4, value_parser = clap::value_parser!(u32).range(1..=64))]
    sets: u32,
    /// Time the scopes instead of a chain.
    #[arg(long, conflicts_with_all = ["chain", "chain_file", "project"])]
    scopes: bool,
    /// Time frames that are held on the device.
    #[arg(long, conflicts_with_all = ["chain", "chain_file", "project", "scopes"])]
    held: bool,
    /// Write JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Serialize)]
struct Answer {
    adapter: String,
    driver: String,
    chain: String,
    /// How it brings its picture to a display; none where it does not.
    rendering: Option<String>,
    size: [u32; 2],
    source: String,
    result: String,
    repeats: u32,
    sets: u32,
    passes_unfused: usize,
    /// Medians.
    microseconds: Row,
    /// Each as a multiple of the copy pass.
    of_copy_pass: Row,
    /// How fast the copy pass is, as a share of the plain buffer copy; both move the same bytes.
    copy_pass_speed_of_buffer_copy: f64,
    gigabytes_a_second_buffer_copy: f64,
}

#[derive(Serialize)]
struct Row {
    fused: f64,
    unfused: f64,
    copy_pass: f64,
    buffer_copy: f64,
    proof: f64,
}

pub fn run(args: &Args) -> Result<(), Failure> {
    if args.held {
        return held::run(args, &engine::open_gpu()?);
    }
    let mut chain_args = args.chain.clone();
    if !chain_args.is_given() {
        chain_args.chain = Some(USUAL.to_string());
    }
    let chain = chain_args.read()?;
    let text = chain_args.chain.clone().unwrap_or_else(|| chain.title());
    let elaborated = chain.for_rows()?;
    let empty = ChainArgs::default().read()?.for_rows()?;
    let gpu = engine::open_gpu()?;
    let ten = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);
    let edge = Edge::Stored(ten, Range::Full);
    if args.chain.explain {
        explain(&chain, &elaborated, edge, edge)?;
    }
    let fused = assemble(&Plan::new(&elaborated, Level::Full), edge, edge)?;
    let unfused = assemble(&Plan::new(&elaborated, Level::None), edge, edge)?;
    let nothing = Plan::new(&empty, Level::Full);
    let copy = assemble(&nothing, edge, edge)?;
    if args.scopes {
        return scopes::run(args, &gpu, &nothing, &copy);
    }
    let pixels = args.size.pixels();
    let words = noise(pixels);
    let jobs =
        [Job::Program(&fused), Job::Program(&unfused), Job::Program(&copy), Job::Copy(edge.byte_len(pixels as u64))];
    let timings = time(&gpu, &jobs, pixels as u64, args.sets as usize, args.repeats as usize, &words)?;
    let [fused_s, unfused_s, copy_s, buffer_s] = [0, 1, 2, 3].map(|at| timings[at].median());
    let proof_s = proof_seconds(&elaborated, &words) * pixels as f64;
    let row = |scale: f64| Row {
        fused: fused_s * scale,
        unfused: unfused_s * scale,
        copy_pass: copy_s * scale,
        buffer_copy: buffer_s * scale,
        proof: proof_s * scale,
    };
    let answer = Answer {
        adapter: gpu.note().to_string(),
        driver: gpu.note().driver.clone(),
        chain: text,
        rendering: elaborated.rendering(),
        size: [args.size.width, args.size.height],
        source: ten.name(),
        result: ten.name(),
        repeats: args.repeats,
        sets: args.sets,
        passes_unfused: unfused.passes.len(),
        microseconds: row(1e6),
        of_copy_pass: row(1.0 / copy_s),
        copy_pass_speed_of_buffer_copy: buffer_s / copy_s,
        gigabytes_a_second_buffer_copy: 2.0 * edge.byte_len(pixels as u64) as f64 / buffer_s / 1e9,
    };
    if args.json {
        return say::json(&answer);
    }
    say::result(&table(&answer))
}

/// Words that no compression or cache can make light of.
fn noise(pixels: usize) -> Vec<u32> {
    let mut state = 0x2545_f491_4f6c_dd1d_u64;
    let step = || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 16) as u32
    };
    std::iter::repeat_with(step).take(pixels).collect()
}

/// Seconds a pixel of the proof, on all cores.
fn proof_seconds(elaborated: &graph::Elaborated, words: &[u32]) -> f64 {
    let code = |word: u32, shift: u32| ((word >> shift) & 1023) as f32 / 1023.0;
    let pixels: Vec<[f32; 4]> =
        words.iter().take(PROOF_PIXELS).map(|&word| [code(word, 22), code(word, 12), code(word, 2), 1.0]).collect();
    let proof = Proof::new(elaborated);
    let started = Instant::now();
    std::hint::black_box(proof.pixels(&pixels));
    started.elapsed().as_secs_f64() / pixels.len().max(1) as f64
}

fn table(answer: &Answer) -> String {
    let mut text = format!(
        "{}\n  rendering: {}\n  {}\n  {}x{}, {} to {}, {} sets, median of {}\n",
        answer.chain,
        answer.rendering.as_deref().unwrap_or("none"),
        answer.adapter,
        answer.size[0],
        answer.size[1],
        answer.source,
        answer.result,
        answer.sets,
        answer.repeats
    );
    let unfused = format!("unfused, {} passes", answer.passes_unfused);
    let (time, ratio) = (&answer.microseconds, &answer.of_copy_pass);
    let rows = [
        ("fused, one pass", time.fused, ratio.fused),
        (&unfused, time.unfused, ratio.unfused),
        ("copy pass", time.copy_pass, ratio.copy_pass),
        ("buffer copy", time.buffer_copy, ratio.buffer_copy),
        ("proof", time.proof, ratio.proof),
    ];
    for (name, microseconds, of_copy) in rows {
        text += &format!("  {name:20} {microseconds:>12.1} us  {of_copy:>9.2} of the copy pass\n");
    }
    text + &format!(
        "  the copy pass runs at {:.0} % of the buffer copy ({:.0} GB/s read and written)\n",
        answer.copy_pass_speed_of_buffer_copy * 100.0,
        answer.gigabytes_a_second_buffer_copy
    )
}
