//! A candidate's picture of the frame, whole and at measuring size.

use std::sync::Arc;

use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use gpu::device::Gpu;
use graph::{Elaborated, Node, Value, Work};
use measure::Tap;
use measure::readings::Tristimulus;
use measure::response::Candidate;
use measure::scopes::Region;
use ops::{Eval, Operation as _, OutputTransform, Signal, conversion};
use reference::Proof;

use crate::Fault;
use crate::engine::Engine;

/// What pictures are handed around in.
pub const FLOATS: Layout = Layout::new(Channels::Rgb, Samples::Float, ByteOrder::Little);
/// The longest side at which pictures are measured pixel by pixel: noise is averaged, and a report stays small.
const LONGEST: u32 = 640;

/// What a candidate makes of the frame.
pub struct Shown {
    /// The candidate as a function, by the proof.
    pub candidate: Candidate<Eval>,
    /// What the shown numbers are.
    pub tap: Tap,
    /// The shown signal of every pixel, unclamped.
    pub pixels: Vec<[f32; 4]>,
    /// Columns and rows.
    pub size: Size,
}

/// A picture as the display shows it, averaged as light to measuring size.
pub struct Small {
    /// Columns and rows.
    pub size: [u32; 2],
    /// CIE XYZ, white at Y = 1.
    pub xyz: Vec<[f64; 3]>,
    /// Whether each pixel lies within what is measured.
    pub counts: Vec<bool>,
    /// Nits of white; none for a scene.
    pub white_nits: Option<f64>,
}

/// Puts the frame through a candidate.
///
/// # Errors
/// What computes fails.
pub fn render(elaborated: &Elaborated, frame: &Frame, gpu: Option<&Arc<Gpu>>) -> Result<Shown, Fault> {
    // Signal, not codes of a range: what a file would hold is not the matter.
    let as_signal = elaborated.at(elaborated.result).unwrap_or_else(|| elaborated.clone());
    let mut engine = Engine::new(gpu, &as_signal, frame.layout(), FLOATS)?;
    let pixels = engine.frame(Arc::new(frame.clone()))?.to_pixels(Range::Full);
    let (original, tap) = (Tap::new(elaborated.original.clone()), Tap::new(elaborated.result_signal.clone()));
    let proof = Proof::new(elaborated);
    Ok(Shown {
        candidate: Candidate::new(original, tap.clone(), Box::new(move |rgb| proof.pixel(rgb))),
        tap,
        pixels,
        size: frame.size(),
    })
}

impl Shown {
    /// The picture at measuring size, as the display shows it.
    pub fn small(&self, measured: Region) -> Small {
        self.averaged(measured, |signal| self.seen(signal))
    }

    /// The same before the clamp.
    pub fn unclamped(&self, measured: Region) -> Small {
        self.averaged(measured, |signal| signal)
    }

    fn averaged(&self, measured: Region, seen: impl Fn([f64; 3]) -> [f64; 3]) -> Small {
        let every = self.size.width.max(self.size.height).div_ceil(LONGEST).max(1);
        let size = [self.size.width, self.size.height].map(|side| (side / every).max(1));
        let mut xyz = Vec::with_capacity(size[0] as usize * size[1] as usize);
        let mut counts = Vec::with_capacity(xyz.capacity());
        for y in 0..size[1] {
            for x in 0..size[0] {
                let mut sum = [0.0; 3];
                let (mut count, width) = (0.0, self.size.width as usize);
                for row in y * every..((y + 1) * every).min(self.size.height) {
                    for column in x * every..((x + 1) * every).min(self.size.width) {
                        let at = row as usize * width + column as usize;
                        let [r, g, b, _] = self.pixels.get(at).copied().unwrap_or_default();
                        let seen = self.tap.light(seen([r, g, b].map(f64::from)));
                        sum = [0, 1, 2].map(|i| sum[i] + seen[i]);
                        count += 1.0;
                    }
                }
                counts.push(measured.holds(x * every, y * every));
                xyz.push(self.tap.xyz(sum.map(|v| v / f64::max(count, 1.0))));
            }
        }
        Small { size, xyz, counts, white_nits: self.tap.white_nits() }
    }

    /// A signal as far as a display shows it; light of a scene as it is.
    fn seen(&self, signal: [f64; 3]) -> [f64; 3] {
        if self.tap.is_scene() { signal } else { signal.map(|v| v.clamp(0.0, 1.0)) }
    }
}

impl Small {
    /// CIE XYZ of the pixels that are measured.
    pub fn measured(&self) -> impl Iterator<Item = [f64; 3]> {
        self.xyz.iter().zip(&self.counts).filter(|(_, counts)| **counts).map(|(xyz, _)| *xyz)
    }

    /// The colour of each pixel.
    pub fn colours(&self) -> impl Iterator<Item = Tristimulus> {
        self.xyz.iter().map(|xyz| Tristimulus { xyz: *xyz, white_nits: self.white_nits })
    }
}

/// What a candidate's own output transform makes of scene light on AP1: how the truth is shown beside it.
pub fn output_alone(elaborated: &Elaborated) -> Elaborated {
    let transforms = |node: &&Node| node.operation == OutputTransform::ID && node.work != Work::Bypassed;
    let output = elaborated.nodes.iter().rfind(transforms);
    let takes = output.map_or(&elaborated.result_signal, |node| &node.takes);
    let mut alone = onto(light_of_scene(), takes);
    if let Some(node) = output {
        let input = Value(alone.nodes.len());
        alone.nodes.push(Node { input, side: None, ..node.clone() });
        alone.made = node.made.clone();
        alone.result_signal = node.gives.clone();
    }
    alone.result = Value(alone.nodes.len());
    alone
}

/// Adds the conversion that a graph's result needs to become another signal of the same light.
pub fn onto(mut graph: Elaborated, to: &Signal) -> Elaborated {
    let from = graph.result_signal.clone();
    let node = Node {
        member: "conversion".to_string(),
        operation: "conversion",
        input: graph.result,
        side: None,
        takes: from.clone(),
        gives: to.clone(),
        made: graph.made.clone(),
        work: Work::Steps(conversion(&from, to)),
    };
    graph.nodes.push(node);
    graph.result = Value(graph.nodes.len());
    graph.result_signal = to.clone();
    graph
}

/// Scene light on AP1 with nothing done to it.
pub fn light_of_scene() -> Elaborated {
    Elaborated {
        original: Signal::scene(),
        original_range: colour::CodeRange::Full,
        nodes: Vec::new(),
        result: Value(0),
        result_signal: Signal::scene(),
        result_range: colour::CodeRange::Full,
        made: graph::Made::Scene,
        warnings: Vec::new(),
    }
}
