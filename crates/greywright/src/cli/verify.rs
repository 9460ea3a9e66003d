//! `verify`: how far the GPU is from the proof.

mod everything;

use std::path::PathBuf;
use std::sync::Arc;

use colour::{Form, Matrix, Primaries, difference, primaries};
use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use gpu::assemble::Edge;
use gpu::device::Gpu;
use graph::Elaborated;
use ops::{Reference, Signal};
use reference::Proof;
use serde::Serialize;
use session::trust::alone;

use super::chain::{Chain, ChainArgs, explain};
use super::engine::{self, Engine};
use super::failure::Failure;
use super::render::{self, Gaps};
use super::{interrupt, samples, say};

/// Steps of a 12-bit code.
const CODES_12: f64 = 4095.0;
/// A deviation below this share of a pixel's light does not count, however dark another channel is.
const LIGHT: f64 = 1e-6;
/// More than this share of pixels above half a 12-bit code is a failure.
const SHARE_ABOVE_HALF: f64 = 1e-5;
/// Delta E 2000 above this is a failure, for display signals.
const DELTA_E: f64 = 0.01;

/// Say how far the GPU is from the proof, per operation and for frames.
///
/// The proof is the same chain in double float, step by step by the textbook formula.
///
/// Without a chain every operation is tried over the range of its controls, and every encoding and display. Exit code 1 if any deviation is
/// more than f32 can answer for, or visible.
#[derive(clap::Args)]
#[command(after_help = "  greywright verify
  greywright verify 'deck_010.%04d.dpx' --chain 'input-transform encoding=LogC3 | output-transform display=BT.1886'")]
pub struct Args {
    /// Frames to verify the chain on.
    #[arg(value_name = "IN")]
    original: Option<PathBuf>,
    #[command(flatten)]
    chain: ChainArgs,
    /// A shot sheet (CSV): its row for IN says encoding, exposure index and range, before the files do.
    #[arg(long, value_name = "FILE", requires = "original")]
    shot_sheet: Option<PathBuf>,
    /// Only these frames: A-B, or one number.
    #[arg(long, value_name = "A-B", value_parser = render::frames, allow_hyphen_values = true)]
    frames: Option<(i64, i64)>,
    /// Write JSON.
    #[arg(long)]
    json: bool,
}

/// How far one operation or frame is off.
#[derive(Debug, Clone, Serialize)]
struct Deviation {
    what: String,
    pixels: usize,
    /// In the numbers of the result.
    max_signal: f64,
    mean_signal: f64,
    /// In 12-bit codes; linear light is counted in ACEScct code.
    max_codes_12: f64,
    mean_codes_12: f64,
    share_above_half_code: f64,
    max_delta_e_2000: f64,
    mean_delta_e_2000: f64,
    /// The largest deviation as a share of what f32 may honestly be off, where that was worked out.
    worst_share_of_bound: Option<f64>,
    passed: bool,
}

#[derive(Serialize)]
struct Answer {
    adapter: String,
    /// How the chain brings its picture to a display; none where it does not, or where no chain is given.
    rendering: Option<String>,
    operations: Vec<Deviation>,
    frames: Vec<Deviation>,
    passed: bool,
}

pub fn run(args: &Args) -> Result<(), Failure> {
    let mut chain = args.chain.read()?;
    let gpu = engine::open_gpu()?;
    let mut answer = Answer {
        adapter: gpu.note().to_string(),
        rendering: None,
        operations: Vec::new(),
        frames: Vec::new(),
        passed: true,
    };
    match args.original.clone().or_else(|| chain.media()) {
        Some(path) => {
            let sequence = render::open(&path, args.frames, Gaps::Skip)?;
            if let Some(sheet) = &args.shot_sheet {
                chain.follow(sheet, &sequence)?;
            }
            let mut about = None;
            for (number, path) in sequence.frames() {
                if interrupt::asked() {
                    return Err(Failure::work("stopped"));
                }
                let mut picture = media::read(path)?;
                picture.frame.replace_non_finite();
                let elaborated = chain.for_frame(&picture.about, *number)?;
                if args.chain.explain && about.is_none() {
                    explain_as_floats(&chain, &elaborated)?;
                }
                answer.frames.push(on_frame(&gpu, &elaborated, picture.frame, &format!("frame {number}"))?);
                about = Some((picture.about, *number));
            }
            if let Some((about, number)) = about {
                let elaborated = chain.for_frame(&about, number)?;
                answer.rendering = elaborated.rendering();
                answer.operations = per_operation(&gpu, &elaborated)?;
            }
        }
        None if args.frames.is_some() => {
            return Err(Failure::usage("--frames: no frames are named; name them, or a --shot of a --project"));
        }
        None if args.chain.is_given() => {
            let elaborated = chain.for_rows()?;
            if args.chain.explain {
                explain_as_floats(&chain, &elaborated)?;
            }
            answer.rendering = elaborated.rendering();
            answer.operations = per_operation(&gpu, &elaborated)?;
            answer.operations.push(on_samples(&gpu, &elaborated, "the whole chain")?);
        }
        None => answer.operations = everything(&gpu)?,
    }
    answer.passed = answer.operations.iter().chain(&answer.frames).all(|row| row.passed);
    if args.json {
        say::json(&answer)?;
    } else {
        say::result(&table(&answer))?;
    }
    if answer.passed { Ok(()) } else { Err(Failure::work("the GPU departs from the proof; the rows are marked")) }
}

/// The chain between float rows, as most of `verify` runs it.
fn explain_as_floats(chain: &Chain, elaborated: &Elaborated) -> Result<(), Failure> {
    let edge = Edge::Stored(FLOATS, Range::Full);
    explain(chain, elaborated, edge, edge)
}

/// Each place alone, on samples of what reaches it.
fn per_operation(gpu: &Arc<Gpu>, elaborated: &Elaborated) -> Result<Vec<Deviation>, Failure> {
    elaborated.nodes.iter().map(|node| on_samples(gpu, &alone(node), &node.member)).collect()
}

/// Every operation, every encoding, every display.
fn everything(gpu: &Arc<Gpu>) -> Result<Vec<Deviation>, Failure> {
    let book = everything::book()?;
    let chains = everything::chains();
    let bar = say::progress(chains.len(), "verify");
    let mut rows = Vec::with_capacity(chains.len());
    for chain in chains {
        if interrupt::asked() {
            return Err(Failure::work("stopped"));
        }
        rows.push(on_samples(gpu, &everything::meaning(&chain, &book)?, &chain)?);
        bar.inc(1);
    }
    bar.finish_and_clear();
    Ok(rows)
}

const FLOATS: Layout = Layout::new(Channels::Rgb, Samples::Float, ByteOrder::Little);

fn on_samples(gpu: &Arc<Gpu>, elaborated: &Elaborated, what: &str) -> Result<Deviation, Failure> {
    let pixels = samples::pixels(&elaborated.original);
    let height = u32::try_from(pixels.len()).map_err(Failure::work)?;
    let frame = Frame::from_pixels(&pixels, Size::new(1, height), FLOATS, Range::Full);
    let answers = Engine::new(Some(gpu), elaborated, FLOATS, FLOATS)?.frame(Arc::new(frame))?.to_pixels(Range::Full);
    let proof = Proof::new(elaborated);
    let mut sum = Sum::new(what, &elaborated.result_signal);
    for (pixel, answer) in pixels.iter().zip(&answers) {
        let [r, g, b, _] = pixel.map(f64::from);
        let bound = proof.bound([r, g, b]);
        sum.add(bound.value, *answer, Some(bound.deviation));
    }
    Ok(sum.finish())
}

fn on_frame(gpu: &Arc<Gpu>, elaborated: &Elaborated, frame: Frame, what: &str) -> Result<Deviation, Failure> {
    let elaborated = &Elaborated { result_range: colour::CodeRange::Full, ..elaborated.clone() };
    let range = super::chain::file_range(elaborated.original_range);
    let layout = Layout { channels: if frame.layout().has_alpha() { Channels::Rgba } else { Channels::Rgb }, ..FLOATS };
    let wanted = Proof::new(elaborated).pixels(&frame.to_pixels(range));
    let answers =
        Engine::new(Some(gpu), elaborated, frame.layout(), layout)?.frame(Arc::new(frame))?.to_pixels(Range::Full);
    let mut sum = Sum::new(what, &elaborated.result_signal);
    for (&[r, g, b, _], answer) in wanted.iter().zip(&answers) {
        sum.add([r, g, b], *answer, None);
    }
    Ok(sum.finish())
}

/// How far apart two numbers are. The proof is always a number; a GPU that gives none is infinitely far off, where
/// the maximum of floats would have passed over it.
fn apart(gpu: f64, proof: f64) -> f64 {
    let apart = (gpu - proof).abs();
    if apart.is_nan() { f64::INFINITY } else { apart }
}

/// Deviations, added up pixel by pixel.
struct Sum {
    row: Deviation,
    /// ACEScct where the result is linear, so that its deviations can be counted in codes.
    code: Option<Signal>,
    signal: Signal,
    xyz: Matrix,
    above_half: usize,
    /// Pixels inside the display, which Delta E was worked out for.
    inside: usize,
    judged_by_eye: bool,
}

impl Sum {
    fn new(what: &str, signal: &Signal) -> Self {
        let row = Deviation {
            what: what.to_string(),
            pixels: 0,
            max_signal: 0.0,
            mean_signal: 0.0,
            max_codes_12: 0.0,
            mean_codes_12: 0.0,
            share_above_half_code: 0.0,
            max_delta_e_2000: 0.0,
            mean_delta_e_2000: 0.0,
            worst_share_of_bound: None,
            passed: true,
        };
        let d65 = Primaries { white: primaries::D65, ..signal.primaries.clone() };
        Self {
            row,
            code: signal.curve.is_linear().then(Signal::log),
            xyz: d65.xyz_from_rgb(),
            signal: signal.clone(),
            above_half: 0,
            inside: 0,
            judged_by_eye: matches!(signal.reference, Reference::Display { .. }),
        }
    }

    fn add(&mut self, proof: [f64; 3], answer: [f32; 4], bound: Option<[f64; 3]>) {
        let gpu = [answer[0], answer[1], answer[2]].map(f64::from);
        let row = &mut self.row;
        row.pixels += 1;
        let mut codes: f64 = 0.0;
        let mut signal: f64 = 0.0;
        for channel in 0..3 {
            let apart = apart(gpu[channel], proof[channel]);
            signal = signal.max(apart);
            let coded = match &self.code {
                Some(log) => {
                    let code = |light| log.curve.transfer.encode(Form::Exact, light);
                    self::apart(code(gpu[channel]), code(proof[channel]))
                }
                None => apart,
            };
            codes = codes.max(coded * CODES_12);
            if let Some(bound) = bound {
                let share = apart / bound[channel];
                row.worst_share_of_bound = Some(row.worst_share_of_bound.unwrap_or(0.0).max(share));
            }
        }
        row.max_signal = row.max_signal.max(signal);
        row.mean_signal += signal;
        row.max_codes_12 = row.max_codes_12.max(codes);
        row.mean_codes_12 += codes;
        // Half a code, or a millionth of the pixel's own light where that is more.
        let largest = proof.iter().fold(0.0f64, |largest, value| largest.max(value.abs()));
        self.above_half += usize::from(codes > 0.5 && signal > LIGHT * largest);
        // Delta E has a meaning inside the display only.
        if proof.iter().all(|value| (0.0..=1.0).contains(value)) {
            self.inside += 1;
            let lab = |rgb: [f64; 3]| {
                let light = rgb.map(|code| self.signal.curve.transfer.decode(Form::Exact, code));
                difference::cielab(self.xyz.apply(light), primaries::D65)
            };
            let delta = difference::ciede2000(lab(gpu), lab(proof));
            let delta = if delta.is_nan() { f64::INFINITY } else { delta };
            row.max_delta_e_2000 = row.max_delta_e_2000.max(delta);
            row.mean_delta_e_2000 += delta;
        }
    }

    fn finish(self) -> Deviation {
        let mut row = self.row;
        let count = row.pixels.max(1) as f64;
        row.mean_signal /= count;
        row.mean_codes_12 /= count;
        row.mean_delta_e_2000 /= self.inside.max(1) as f64;
        row.share_above_half_code = self.above_half as f64 / count;
        let few_above_half = row.share_above_half_code <= SHARE_ABOVE_HALF;
        // Frames have no bound of their own: there the codes decide, whatever the signal is.
        let honest = row.worst_share_of_bound.map_or(few_above_half, |share| share <= 1.0);
        let unseen = !self.judged_by_eye || (few_above_half && row.max_delta_e_2000 < DELTA_E);
        row.passed = honest && unseen;
        row
    }
}

fn table(answer: &Answer) -> String {
    let mut text = format!("{} against the proof\n", answer.adapter);
    text += &answer.rendering.as_ref().map_or_else(String::new, |rendering| format!("rendering: {rendering}\n"));
    let rows = || answer.operations.iter().chain(&answer.frames);
    let width = rows().map(|row| row.what.len()).max().unwrap_or(0).max(9);
    text += &format!(
        "{:width$}  {:>9} {:>9}  {:>9} {:>9}  {:>8}  {:>9}  {:>8}\n",
        "", "signal", "", "12-bit", "codes", "above", "Delta E", "of the"
    );
    text += &format!(
        "{:width$}  {:>9} {:>9}  {:>9} {:>9}  {:>8}  {:>9}  {:>8}\n",
        "operation", "max", "mean", "max", "mean", "half", "2000 max", "bound"
    );
    for row in rows() {
        let bound = row.worst_share_of_bound.map_or_else(|| "-".to_string(), |share| format!("{share:.3}"));
        text += &format!(
            "{:width$}  {:>9.2e} {:>9.2e}  {:>9.2e} {:>9.2e}  {:>8.1e}  {:>9.2e}  {:>8}{}\n",
            row.what,
            row.max_signal,
            row.mean_signal,
            row.max_codes_12,
            row.mean_codes_12,
            row.share_above_half_code,
            row.max_delta_e_2000,
            bound,
            if row.passed { "" } else { "  departs" }
        );
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    fn judged(signal: &Signal, answer: [f32; 4], bound: Option<[f64; 3]>) -> Deviation {
        let mut sum = Sum::new("test", signal);
        sum.add([0.5; 3], answer, bound);
        sum.finish()
    }

    #[test]
    fn a_gpu_that_gives_no_number_departs() {
        let nan = [f32::NAN, 0.5, 0.5, 1.0];
        for bound in [Some([1e-6; 3]), None] {
            let row = judged(&Signal::scene(), nan, bound);
            assert!(!row.passed && row.max_signal.is_infinite(), "{row:?}");
        }
    }

    #[test]
    fn a_frame_of_scene_light_is_judged_by_its_codes() {
        assert!(judged(&Signal::scene(), [0.5, 0.5, 0.5, 1.0], None).passed);
        // A hundredth of a stop is 1 / 1752 of ACEScct signal: more than two 12-bit codes.
        let row = judged(&Signal::scene(), [0.5, 0.5 * 0.01f32.exp2(), 0.5, 1.0], None);
        assert!(!row.passed, "{row:?}");
    }
}
