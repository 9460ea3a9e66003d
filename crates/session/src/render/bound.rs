//! A chain bound to the frames that go through it, and when one frame may follow another.

use std::sync::Arc;

use colour::Primaries;
use frame::{Channels, Frame, Layout, Samples, Size};
use gpu::assemble::Edge;
use gpu::device::Gpu;
use graph::{Elaborated, Made};
use media::{About, Format, Said, layout_for};

use super::Job;
use super::example::Example;
use crate::Fault;
use crate::chain::{encoding_id, explain, file_range};
use crate::engine::{self, Engine};

/// A chain bound to frames of one layout and size, and to what their files say.
pub struct Bound {
    /// What computes.
    pub engine: Engine,
    /// What the chain means for them.
    pub elaborated: Elaborated,
    /// The layout of the originals.
    pub source: Layout,
    /// How originals and results are stored.
    pub edges: [Edge; 2],
    /// The size of both.
    pub size: Size,
    /// What the file of the last frame that was let through said.
    about: About,
    /// The number of the last frame that was let through.
    number: i64,
}

/// Whether a frame may follow those before it.
pub enum Follows {
    /// As it is.
    Yes,
    /// After the chain was bound anew: it is stored otherwise.
    Rebound,
    /// Not at all, with why and what to do.
    No(String),
}

impl Bound {
    /// Binds the job's chain to frames like this one.
    pub fn new(job: &Job<'_>, gpu: Option<&Arc<Gpu>>, example: &Example) -> Result<Self, Fault> {
        let Example { number, layout: source, size, about } = example;
        let (number, source, size) = (*number, *source, *size);
        let elaborated = job.chain.for_frame(about, number)?;
        let format = job.sink.format();
        let depth = job.depth.unwrap_or_else(|| format.default_depth());
        let channels = if source.has_alpha() { Channels::Rgba } else { Channels::Rgb };
        let mut result = layout_for(format, depth, channels)?;
        if result.samples == Samples::Ten && source.samples == Samples::Ten {
            // 10-bit words leave in the byte order they came in.
            result.order = source.order;
        }
        if source.has_alpha() && !result.has_alpha() {
            // A fact of the format as it is written here: `media::layout_for`.
            let words = format!(
                "{format} of {depth} bits holds no alpha: the picture is written over black; --depth 16 keeps it"
            );
            job.chain.say_once(words);
        }
        if job.aces_container {
            require_container(&elaborated, format, result)?;
        }
        let edges = engine::edges(&elaborated, source, result, job.dither);
        if job.explain {
            job.follower.explained(&explain(job.chain, &elaborated, edges[0], edges[1])?);
        }
        let engine = Engine::between(gpu, &elaborated, edges)?;
        Ok(Self { engine, elaborated, source, edges, size, about: about.clone(), number })
    }

    /// Bytes of memory that a result takes.
    pub fn result_bytes(&self) -> u64 {
        self.edges[1].stored().and_then(|(layout, _)| layout.byte_len(self.size)).unwrap_or(0) as u64
    }

    /// Whether a picture may follow. A sequence is one shot: its size is one, and one chain means one thing for all of
    /// it. What a file says of encoding or range and the user overrules may change.
    pub fn follows(&mut self, job: &Job<'_>, frame: &Frame, about: &About) -> Result<Follows, Fault> {
        if frame.size() != self.size {
            let (now, before) = (frame.size(), self.size);
            return Ok(Follows::No(format!(
                "it is {now}, the frames before it {before}; render each part by itself with --frames"
            )));
        }
        let said: Vec<Said> =
            [Said::Encoding, Said::Range].into_iter().filter(|said| said.by(about) != said.by(&self.about)).collect();
        if !said.is_empty() && !means_the_same(&job.chain.for_frame(about, self.number)?, &self.elaborated) {
            let words = |about: &About| said.iter().map(|said| said.by(about)).collect::<Vec<_>>().join(" and ");
            return Ok(Follows::No(format!(
                "its file says {}, those before it {}; say what holds for all with --input and --range or a shot \
                 sheet, or render each part by itself with --frames",
                words(about),
                words(&self.about)
            )));
        }
        self.about = about.clone();
        Ok(if frame.layout() == self.source { Follows::Yes } else { Follows::Rebound })
    }

    /// What the chain means for a frame where its numbers are others than those of the frame before it.
    pub fn moved(&mut self, job: &Job<'_>, number: i64) -> Result<Option<Elaborated>, Fault> {
        self.number = number;
        if !job.chain.moves() {
            return Ok(None);
        }
        let now = job.chain.for_frame(&self.about, number)?;
        Ok(Some(now).filter(|now| !means_the_same(now, &self.elaborated)))
    }

    /// Takes new numbers of the same chain. All frames on their way must have come back.
    pub fn set(&mut self, elaborated: Elaborated) -> Result<(), Fault> {
        self.engine.set(&elaborated)?;
        self.elaborated = elaborated;
        Ok(())
    }

    /// What a rendered frame says of itself: its own encoding and range, the rest as the original says.
    pub fn about_result(&self, original: About) -> About {
        let signal = &self.elaborated.result_signal;
        let encoding = encoding_id(signal).map(|id| (id, "made so".to_string()));
        // Chromaticities in a float file are taken for those of linear light, so that code says none. Of what nothing
        // is known the original's own still hold: a chain that touches primaries asks for the encoding.
        let chromaticities = if signal.is_unknown() {
            original.chromaticities
        } else {
            let Primaries { red, green, blue, white, .. } = &signal.primaries;
            signal.curve.is_linear().then(|| [red, green, blue, white].map(|xy| [xy.x, xy.y]))
        };
        let rendering = match &self.elaborated.made {
            Made::AsOriginal => original.rendering,
            Made::Rendered(rendered) => Some(rendered.to_string()),
            Made::Scene => None,
        };
        let range = Some(file_range(self.elaborated.result_range));
        About { encoding, range, chromaticities, rendering, ..original }
    }
}

/// Whether the same is done to the codes and the same comes of it, whatever the files called them.
fn means_the_same(a: &Elaborated, b: &Elaborated) -> bool {
    let done = |it: &Elaborated| (it.original_range, it.result_signal.clone(), it.result_range);
    done(a) == done(b) && a.nodes.iter().map(|node| &node.work).eq(b.nodes.iter().map(|node| &node.work))
}

/// Whether what is written is an ACES image container, which every OpenEXR file of ACES2065-1 in halves is.
///
/// # Source
/// SMPTE ST 2065-4.
fn require_container(elaborated: &Elaborated, format: Format, result: Layout) -> Result<(), Fault> {
    let needs = |what: &str| Err(Fault::asked(format!("--aces-container: {what}")));
    if format != Format::Exr || result.samples != Samples::Half {
        return needs(
            "an ACES image container is OpenEXR in halves; write to a name that ends in .exr, with --depth half",
        );
    }
    if encoding_id(&elaborated.result_signal).as_deref() != Some("ACES2065-1") {
        return needs(
            "it holds ACES2065-1 alone, and that is not what leaves the chain; end it with | encode encoding=ACES2065-1",
        );
    }
    Ok(())
}
