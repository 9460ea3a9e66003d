//! Frames through an elaborated chain: on the GPU, or by the proof where there is no adapter.

use std::collections::VecDeque;
use std::sync::Arc;

use frame::{Dither, Frame, Layout, Range};
use gpu::assemble::{Edge, assemble};
use gpu::device::{AdapterChoice, Drawn, Gpu, Held, Renderer};
use graph::{Elaborated, Monitored};
use plan::{Level, Plan};
use reference::Proof;
use serde::{Deserialize, Serialize};

use crate::chain::file_range;
use crate::{Fault, Tell};

/// What computes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Executor {
    /// The graphics adapter, in single float.
    Gpu,
    /// The proof, in double float.
    Proof,
}

/// Opens the adapter that `GREYWRIGHT_ADAPTER` chooses, unless the proof is asked for.
///
/// # Errors
/// An adapter that is asked for and not there; a device that does not open.
pub fn open(executor: Option<Executor>, tell: Tell) -> Result<Option<Arc<Gpu>>, Fault> {
    match executor {
        Some(Executor::Proof) => Ok(None),
        Some(Executor::Gpu) => open_gpu().map(Some),
        None => {
            let gpu = Gpu::open(&AdapterChoice::from_environment())?;
            if gpu.is_none() {
                tell("no graphics adapter: the proof computes; it is exact and slow");
            }
            Ok(gpu)
        }
    }
}

/// Opens the adapter that `GREYWRIGHT_ADAPTER` chooses, for work that the proof cannot stand in for.
pub fn open_gpu() -> Result<Arc<Gpu>, Fault> {
    let choice = AdapterChoice::from_environment();
    Gpu::open(&choice)?.ok_or_else(|| {
        Fault::failed(match choice {
            AdapterChoice::None => "this needs a graphics adapter, and GREYWRIGHT_ADAPTER=none forbids one; unset it",
            _ => "there is no graphics adapter, and this needs one; install a Vulkan driver (a software one will do)",
        })
    })
}

enum Inside {
    Gpu(Box<Renderer>),
    Proof { proof: Box<Proof>, waiting: VecDeque<(Arc<Frame>, i64)> },
}

/// A chain bound to the layouts of its original and its result.
pub struct Engine {
    inside: Inside,
    edges: [Edge; 2],
    sent: u32,
}

impl Engine {
    /// Binds a chain to frames of `source` layout that become frames of `result` layout.
    pub fn new(gpu: Option<&Arc<Gpu>>, elaborated: &Elaborated, source: Layout, result: Layout) -> Result<Self, Fault> {
        Self::between(gpu, elaborated, edges(elaborated, source, result, None))
    }

    /// Binds a chain to frames as they are stored on either side.
    pub fn between(gpu: Option<&Arc<Gpu>>, elaborated: &Elaborated, edges: [Edge; 2]) -> Result<Self, Fault> {
        Self::of(gpu, || Plan::new(elaborated, Level::Full), || Proof::new(elaborated), edges)
    }

    /// Binds a picture as it is seen on a monitor; its code has the full range.
    pub fn for_monitor(
        gpu: Option<&Arc<Gpu>>,
        monitored: &Monitored,
        source: Layout,
        result: Layout,
    ) -> Result<Self, Fault> {
        let source = Edge::Stored(source, file_range(monitored.picture().original_range));
        let plan = || Plan::for_monitor(monitored, Level::Full);
        Self::of(gpu, plan, || Proof::for_monitor(monitored), [source, Edge::Stored(result, Range::Full)])
    }

    fn of(
        gpu: Option<&Arc<Gpu>>,
        plan: impl Fn() -> Plan,
        proof: impl Fn() -> Proof,
        edges: [Edge; 2],
    ) -> Result<Self, Fault> {
        let [source, result] = edges;
        let inside = match gpu {
            Some(gpu) => {
                let program = assemble(&plan(), source, result)?;
                let choice = AdapterChoice::from_environment();
                let renderer = Renderer::new(Arc::clone(gpu), choice, program, tile()?);
                Inside::Gpu(Box::new(renderer))
            }
            None => Inside::Proof { proof: Box::new(proof()), waiting: VecDeque::new() },
        };
        Ok(Self { inside, edges, sent: 0 })
    }

    /// Takes a chain of the same shape with other numbers; nothing is compiled. All that was sent must have been
    /// received.
    pub fn set(&mut self, elaborated: &Elaborated) -> Result<(), Fault> {
        match &mut self.inside {
            Inside::Gpu(renderer) => {
                let [source, result] = self.edges;
                renderer.set(assemble(&Plan::new(elaborated, Level::Full), source, result)?)?;
            }
            Inside::Proof { proof, .. } => **proof = Proof::new(elaborated),
        }
        Ok(())
    }

    /// Whether a frame can be sent before one is received.
    pub fn has_room(&self) -> bool {
        match &self.inside {
            Inside::Gpu(renderer) => renderer.has_room(),
            Inside::Proof { waiting, .. } => waiting.is_empty(),
        }
    }

    /// Whether all that was sent has been received.
    pub fn is_empty(&self) -> bool {
        match &self.inside {
            Inside::Gpu(renderer) => renderer.is_empty(),
            Inside::Proof { waiting, .. } => waiting.is_empty(),
        }
    }

    /// Sends frame `number` on its way.
    pub fn send(&mut self, frame: Arc<Frame>, number: i64) -> Result<(), Fault> {
        self.sent += 1;
        match &mut self.inside {
            Inside::Gpu(renderer) => {
                renderer.send(frame, number)?;
                // A fault on purpose, for the tests of what a lost device costs (DEVELOPERS.md).
                if lose_device_at() == Some(self.sent) {
                    renderer.gpu().lose();
                }
                Ok(())
            }
            Inside::Proof { waiting, .. } => {
                waiting.push_back((frame, number));
                Ok(())
            }
        }
    }

    /// Waits for the frame sent first.
    pub fn receive(&mut self) -> Result<Option<Frame>, Fault> {
        match &mut self.inside {
            Inside::Gpu(renderer) => Ok(renderer.receive()?),
            Inside::Proof { proof, waiting } => {
                let [source, result] = self.edges;
                Ok(waiting.pop_front().and_then(|(frame, number)| proved(proof, &frame, number, source, result)))
            }
        }
    }

    /// One frame, there and back; its number is 0.
    pub fn frame(&mut self, frame: Arc<Frame>) -> Result<Frame, Fault> {
        self.send(frame, 0)?;
        self.receive()?.ok_or_else(|| Fault::failed("no frame came back"))
    }

    /// Uploads a frame to stay on the device. None with the proof, which has no device.
    pub fn hold(&mut self, frame: &Arc<Frame>) -> Result<Option<Held>, Fault> {
        match &mut self.inside {
            Inside::Gpu(renderer) => Ok(Some(renderer.hold(frame)?)),
            Inside::Proof { .. } => Ok(None),
        }
    }

    /// Draws frame `number`, which is held on the device, and leaves the result there; nothing is waited for. None with the
    /// proof, which has no device.
    pub fn draw(&mut self, held: &Held, number: i64) -> Result<Option<Drawn>, Fault> {
        let Inside::Gpu(renderer) = &mut self.inside else { return Ok(None) };
        let drawn = renderer.draw(held, number)?;
        self.sent += 1;
        if lose_device_at() == Some(self.sent) {
            renderer.gpu().lose();
        }
        Ok(Some(drawn))
    }

    /// The device that it computes on now; none with the proof.
    pub fn gpu(&self) -> Option<&Arc<Gpu>> {
        match &self.inside {
            Inside::Gpu(renderer) => Some(renderer.gpu()),
            Inside::Proof { .. } => None,
        }
    }

    /// How often a lost device was opened again.
    pub fn reopened(&self) -> u32 {
        match &self.inside {
            Inside::Gpu(renderer) => renderer.reopened(),
            Inside::Proof { .. } => 0,
        }
    }
}

/// How the frames of a chain are stored on either side.
pub fn edges(elaborated: &Elaborated, source: Layout, result: Layout, dither: Option<Dither>) -> [Edge; 2] {
    let source = Edge::Stored(source, file_range(elaborated.original_range));
    [source, Edge::written(result, file_range(elaborated.result_range), dither)]
}

/// What the proof makes of frame `number`.
fn proved(proof: &Proof, frame: &Frame, number: i64, source: Edge, result: Edge) -> Option<Frame> {
    let (_, range) = source.stored()?;
    let (layout, result_range) = result.stored()?;
    let Some(dither) = result.dither() else { return Some(proof.frame(frame, range, layout, result_range)) };
    let signals = proof.signals(frame, range);
    Some(Frame::from_pixels_dithered(&signals, frame.size(), layout, result_range, dither, number))
}

/// The edge of tiles that `GREYWRIGHT_TILE` forces, in pixels.
pub fn tile() -> Result<Option<u32>, Fault> {
    let Ok(text) = std::env::var("GREYWRIGHT_TILE") else { return Ok(None) };
    match text.trim().parse() {
        Ok(edge) if edge > 0 => Ok(Some(edge)),
        _ => Err(Fault::asked(format!("GREYWRIGHT_TILE={text}: a number of pixels is wanted, for instance 512"))),
    }
}

/// The frame after which the device is given up on purpose, as `GREYWRIGHT_LOSE_DEVICE` says: for tests of what that costs.
pub fn lose_device_at() -> Option<u32> {
    std::env::var("GREYWRIGHT_LOSE_DEVICE").ok()?.trim().parse().ok()
}

/// What computes, in words.
pub fn name(gpu: Option<&Arc<Gpu>>) -> String {
    gpu.map_or_else(|| "the proof".to_string(), |gpu| gpu.note().to_string())
}
