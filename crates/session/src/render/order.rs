//! A render as it is asked for, carried out: by the command, and by the queue.

use std::path::PathBuf;
use std::sync::Arc;

use frame::Dither;
use gpu::device::Gpu;
use media::{Depth, Sequence};

use super::targets::wanted;
use super::{Example, Gaps, Job, Part, Record, Report, Sink, output, refuse_same, render, resume};
use crate::chain::Chain;
use crate::{Fault, Follower};

/// A render as it is asked for.
#[derive(Debug, Clone)]
pub struct Order {
    /// The originals.
    pub original: PathBuf,
    /// Where the frames go.
    pub out: PathBuf,
    /// A shot sheet that tells of the originals.
    pub shot_sheet: Option<PathBuf>,
    /// First and last frame; all if none.
    pub frames: Option<(i64, i64)>,
    /// Which part of them; all if none.
    pub part: Option<Part>,
    /// What becomes of missing numbers.
    pub gaps: Gaps,
    /// Bits of a sample; the format's usual ones if none.
    pub depth: Option<Depth>,
    /// How codes are dithered, if they are.
    pub dither: Option<Dither>,
    /// Whether what is there and whole stays.
    pub resume: bool,
    /// Whether to print what the chain means.
    pub explain: bool,
    /// Whether each stage is timed.
    pub timings: bool,
    /// Whether anything but an ACES image container is refused.
    pub aces_container: bool,
    /// Bytes of memory for pictures.
    pub memory_bytes: u64,
}

/// Carries an order out.
///
/// # Errors
/// Originals that are not there, a folder that takes no files, a chain that does not fit. A frame that fails is in the
/// report.
pub fn carry_out(
    order: &Order,
    chain: &mut Chain,
    gpu: Option<&Arc<Gpu>>,
    follower: &dyn Follower,
) -> Result<Report, Fault> {
    let whole = Sequence::open(&order.original)?;
    let all = wanted(&whole, order.frames, order.gaps, |words| follower.note(words))?;
    if let Some(sheet) = &order.shot_sheet {
        chain.follow(sheet, &all)?;
    }
    let out = output(&order.out, order.depth, order.dither, &all)?;
    refuse_same(&all, &out)?;
    let mine = order.part.map_or_else(|| all.clone(), |part| part.of(&whole, &all));
    // Frames that are made apart must be like each other all the same.
    let is_apart = order.part.is_some() || order.resume;
    let example = if is_apart { Example::first(&all, chain) } else { None };
    let record = Record::of(&out);
    let mut job = Job {
        chain,
        sequence: &mine,
        example: example.as_ref(),
        found: None,
        sink: Sink::Files { out: &out, record: record.as_ref() },
        depth: order.depth,
        dither: order.dither,
        explain: order.explain,
        timings: order.timings,
        aces_container: order.aces_container,
        memory_bytes: order.memory_bytes,
        follower,
    };
    let left;
    if order.resume {
        let (rest, found) = resume(&job, &out, gpu.is_some())?;
        left = rest;
        follower.note(&format!("{}: {}", all.name(), found.in_words()));
        (job.sequence, job.found) = (&left, Some(found));
    }
    render(&job, gpu)
}
