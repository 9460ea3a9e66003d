//! What turns a decoded frame into a picture for the screen: a chain, on the device or by the proof.

use std::collections::VecDeque;
use std::sync::Arc;

use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples};
use gpu::assemble::{Edge, assemble};
use gpu::device::{DeviceError, Drawn, Gpu, Held, HeldFrames, Job, time};
use graph::Elaborated;
use media::About;
use media::ahead::{Decoded, Direction, Position};
use plan::{Level, Plan};

use super::costs::{Costs, Stage};
use super::{Purpose, Share, Task, picked};
use crate::Fault;
use crate::chain::Chain;
use crate::engine::{self, Engine};

/// How many frames are on their way through the device at most.
const IN_FLIGHT: usize = 3;
/// How often a picture that was lost with its device is drawn again.
const ATTEMPTS: usize = 3;
/// How often the device's own clock is asked; the median counts.
const REPEATS: usize = 5;
/// Something to compute on: a middle grey in packed words of 10 bits, and a number in every other layout.
const GREY: u32 = 0x6419_0640;

/// Turns frames into pictures, in order. Runs on the thread that computes.
pub trait Work: Send + 'static {
    /// What a picture is.
    type Picture: Send + 'static;
    /// What leads from frames to pictures.
    type Chain: Send + 'static;

    /// Whether a frame can be sent before a picture is received.
    fn has_room(&self) -> bool;

    /// Sends a frame on its way.
    ///
    /// # Errors
    /// Why there will be no picture of it; those on their way come all the same.
    fn send(&mut self, task: &Task, decoded: &Decoded, head: &Position) -> Result<(), Fault>;

    /// Waits for the picture of the frame sent first, of those that were sent without an error.
    ///
    /// # Errors
    /// Why there is none.
    fn receive(&mut self) -> Result<Self::Picture, Fault>;

    /// Takes another chain for all frames that are sent from now on.
    fn set(&mut self, chain: Self::Chain);
}

/// A picture for the screen, in the code of the display that the chain renders for.
#[derive(Debug)]
pub enum Picture {
    /// On the device, where it was computed. Where the device is lost with it, it is to be drawn again.
    OnDevice(Drawn),
    /// In memory, because the proof computed it or because it was asked for there.
    InMemory(Frame),
}

/// How a [`Computing`] works.
#[derive(Debug, Clone, Copy)]
pub struct Means {
    /// Bytes on the device for frames that stay there. Each keeps its copy in memory beside it, so that a lost device
    /// loses no frame: the bytes are taken of what frames may take in memory, too.
    pub device_bytes: u64,
    /// Whether pictures are fetched from the device.
    pub fetched: bool,
}

enum OnItsWay {
    Drawn {
        drawn: Drawn,
        held: Held,
        number: i64,
    },
    /// In the engine.
    Sent,
    /// Received before its turn.
    Home(Result<Frame, Fault>),
}

/// A chain bound to frames of one kind.
struct Bound {
    engine: Engine,
    elaborated: Elaborated,
    source: Layout,
    about: About,
}

/// Computes pictures by a chain.
pub struct Computing {
    gpu: Option<Arc<Gpu>>,
    chain: Arc<Chain>,
    means: Means,
    costs: Arc<Costs>,
    bound: Option<Bound>,
    /// Whole frames on the device, or smaller ones: those of one share.
    held: HeldFrames,
    share: Share,
    on_its_way: VecDeque<OnItsWay>,
    reopened: u32,
}

impl Computing {
    /// On a device, or by the proof.
    pub fn new(gpu: Option<Arc<Gpu>>, chain: Arc<Chain>, means: Means, costs: Arc<Costs>) -> Self {
        let held = HeldFrames::new(means.device_bytes);
        let (share, on_its_way) = (Share::Whole, VecDeque::new());
        Self { gpu, chain, means, costs, bound: None, held, share, on_its_way, reopened: 0 }
    }

    /// Binds the chain to a frame and does what is only done once, so that no frame that is played waits for it.
    ///
    /// # Errors
    /// A chain that does not fit the frame; what the device refuses.
    pub fn prepare(&mut self, frame: &Arc<Frame>, about: &About, number: i64) -> Result<(), Fault> {
        self.bind(frame, about, number)?;
        match &mut self.bound {
            Some(bound) if self.gpu.is_some() => bound.engine.frame(Arc::clone(frame)).map(drop),
            _ => Ok(()),
        }
    }

    /// How often a lost device was opened again.
    pub fn reopened(&self) -> u32 {
        self.reopened + self.bound.as_ref().map_or(0, |bound| bound.engine.reopened())
    }

    /// Bytes on the device that frames take.
    pub fn device_bytes(&self) -> u64 {
        self.held.bytes()
    }

    /// How pictures were brought to a display, in words; none where nothing was computed yet.
    pub fn rendering(&self) -> Option<String> {
        self.bound.as_ref().map(|bound| bound.elaborated.rendering_in_words())
    }

    /// Seconds that the chain takes on a frame of so many pixels, by the device's own clock; none where it has none.
    pub fn device_seconds(&self, pixels: usize) -> Option<f64> {
        let bound = self.bound.as_ref()?;
        let gpu = bound.engine.gpu()?;
        let [source, result] = screen_edges(&bound.elaborated, bound.source);
        let program = assemble(&Plan::new(&bound.elaborated, Level::Full), source, result).ok()?;
        let timings = time(gpu, &[Job::Program(&program)], pixels as u64, 1, REPEATS, &vec![GREY; pixels]).ok()?;
        timings.first().map(gpu::device::Timing::median)
    }

    /// Binds the chain to a frame's kind and numbers, where it is not already.
    fn bind(&mut self, frame: &Frame, about: &About, number: i64) -> Result<(), Fault> {
        if let Some(bound) = &mut self.bound
            && bound.source == frame.layout()
            && says_the_same(&bound.about, about)
        {
            if self.chain.moves() {
                let now = self.chain.for_frame(about, number)?;
                if !now.nodes.iter().map(|node| &node.work).eq(bound.elaborated.nodes.iter().map(|node| &node.work)) {
                    self.come_home();
                    if let Some(bound) = &mut self.bound {
                        bound.engine.set(&now)?;
                        bound.elaborated = now;
                    }
                }
            }
            return Ok(());
        }
        self.come_home();
        self.reopened = self.reopened();
        self.bound = None;
        let elaborated = self.chain.for_frame(about, number)?;
        let source = frame.layout();
        let engine = Engine::between(self.gpu.as_ref(), &elaborated, screen_edges(&elaborated, source))?;
        self.bound = Some(Bound { engine, elaborated, source, about: about.clone() });
        Ok(())
    }

    /// Receives what is on its way in the engine, before that takes other numbers.
    fn come_home(&mut self) {
        let Some(bound) = &mut self.bound else { return };
        for sent in &mut self.on_its_way {
            if let OnItsWay::Sent = sent {
                *sent = OnItsWay::Home(received(&mut bound.engine));
            }
        }
    }

    /// The frame on the device: from the cache, or uploaded and kept if there is room.
    fn hold(&mut self, task: &Task, frame: Arc<Frame>, head: &Position) -> Result<Held, Fault> {
        if let (Some(held), true) = (self.held.get(task.source), task.share == self.share) {
            return Ok(held.clone());
        }
        let frame = self.small(frame, task.share)?;
        let Some(bound) = &mut self.bound else { return Err(unbound()) };
        let held = self.costs.time(Stage::Upload, || bound.engine.hold(&frame))?.ok_or_else(no_device)?;
        if task.share != self.share {
            // A still among smaller pictures does not push those out.
            if !matches!(task.purpose, Purpose::Play(_)) {
                return Ok(held);
            }
            (self.share, self.held) = (task.share, HeldFrames::new(self.means.device_bytes));
        }
        if self.held.make_room(task.source, held.byte_len(), |number| frames_until(head, number)) {
            self.held.insert(task.source, held.clone());
        }
        Ok(held)
    }

    fn small(&self, frame: Arc<Frame>, share: Share) -> Result<Arc<Frame>, Fault> {
        match share {
            Share::Whole => Ok(frame),
            smaller => self.costs.time(Stage::Pick, || picked(&frame, smaller)).map(Arc::new),
        }
    }
}

impl Work for Computing {
    type Picture = Picture;
    type Chain = Arc<Chain>;

    fn has_room(&self) -> bool {
        // The proof takes one at a time.
        let most = if self.gpu.is_some() { IN_FLIGHT } else { 1 };
        self.on_its_way.len() < most
    }

    fn send(&mut self, task: &Task, decoded: &Decoded, head: &Position) -> Result<(), Fault> {
        let costs = Arc::clone(&self.costs);
        self.bind(&decoded.frame, &decoded.about, task.source)?;
        let frame = Arc::clone(&decoded.frame);
        let sent = if self.gpu.is_some() && !self.means.fetched {
            let held = self.hold(task, frame, head)?;
            let Some(bound) = &mut self.bound else { return Err(unbound()) };
            let drawn = costs.time(Stage::Draw, || bound.engine.draw(&held, task.source))?;
            let drawn = drawn.ok_or_else(no_device)?;
            OnItsWay::Drawn { drawn, held, number: task.source }
        } else {
            let frame = self.small(frame, task.share)?;
            let Some(bound) = &mut self.bound else { return Err(unbound()) };
            let stage = if self.gpu.is_some() { Stage::Upload } else { Stage::Draw };
            costs.time(stage, || bound.engine.send(frame, task.source))?;
            OnItsWay::Sent
        };
        self.on_its_way.push_back(sent);
        costs.add_frame(task.share);
        Ok(())
    }

    fn receive(&mut self) -> Result<Picture, Fault> {
        let nothing = || Fault::failed("nothing is on its way");
        let costs = Arc::clone(&self.costs);
        let sent = self.on_its_way.pop_front().ok_or_else(nothing)?;
        let engine = self.bound.as_mut().map(|bound| &mut bound.engine);
        costs.time(Stage::Wait, || match (sent, engine) {
            (OnItsWay::Home(frame), _) => frame.map(Picture::InMemory),
            (OnItsWay::Sent, Some(engine)) => received(engine).map(Picture::InMemory),
            (OnItsWay::Drawn { drawn, held, number }, Some(engine)) => {
                waited(engine, drawn, &held, number).map(Picture::OnDevice)
            }
            (OnItsWay::Drawn { drawn, .. }, None) => {
                drawn.wait()?;
                Ok(Picture::OnDevice(drawn))
            }
            (OnItsWay::Sent, None) => Err(nothing()),
        })
    }

    fn set(&mut self, chain: Arc<Chain>) {
        self.come_home();
        self.reopened = self.reopened();
        (self.chain, self.bound) = (chain, None);
    }
}

fn no_device() -> Fault {
    Fault::failed("there is no device")
}

fn unbound() -> Fault {
    Fault::failed("no chain is bound")
}

fn received(engine: &mut Engine) -> Result<Frame, Fault> {
    engine.receive()?.ok_or_else(|| Fault::failed("no frame came back"))
}

/// A picture that is drawn; again, where it was lost with its device.
fn waited(engine: &mut Engine, mut drawn: Drawn, held: &Held, number: i64) -> Result<Drawn, Fault> {
    for _ in 0..ATTEMPTS {
        match drawn.wait() {
            Err(DeviceError::Lost { .. }) => {
                drawn = engine.draw(held, number)?.ok_or_else(no_device)?;
            }
            other => return Ok(other.map(|()| drawn)?),
        }
    }
    drawn.wait()?;
    Ok(drawn)
}

/// How frames of a chain are stored on either side where they are played: pictures for a screen are packed words of 10
/// bits, full range.
pub fn screen_edges(elaborated: &Elaborated, source: Layout) -> [Edge; 2] {
    let screen = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Little);
    let [source, _] = engine::edges(elaborated, source, screen, None);
    [source, Edge::Stored(screen, Range::Full)]
}

/// Whether a chain means the same for both, as far as their files say what it goes by.
pub fn says_the_same(one: &About, other: &About) -> bool {
    one.encoding_id() == other.encoding_id() && one.range == other.range && one.rendering == other.rendering
}

/// How many frames the play head takes to get to a number; more than any where it never does.
pub fn frames_until(head: &Position, number: i64) -> u64 {
    let (first, last) = (*head.range.start(), *head.range.end());
    let is_ahead = match head.direction {
        Direction::Forward => number >= head.at,
        Direction::Backward => number <= head.at,
    };
    let distance = number.abs_diff(head.at);
    let frames = last.abs_diff(first).saturating_add(1);
    match (head.range.contains(&number), is_ahead) {
        (true, true) => distance,
        (true, false) if head.looped => frames.saturating_sub(distance),
        (true, false) => frames.saturating_add(distance),
        (false, _) => frames.saturating_mul(2).saturating_add(distance),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_the_play_head_reaches_last_is_farthest() {
        let check = |direction, looped, order: [i64; 7]| {
            let head = Position { at: 4, range: 2..=6, direction, looped };
            let mut numbers: Vec<i64> = (1..=7).collect();
            numbers.sort_by_key(|number| frames_until(&head, *number));
            assert_eq!(numbers, order, "{direction:?} {looped}");
        };
        check(Direction::Forward, false, [4, 5, 6, 3, 2, 1, 7]);
        check(Direction::Forward, true, [4, 5, 6, 2, 3, 1, 7]);
        check(Direction::Backward, false, [4, 3, 2, 5, 6, 1, 7]);
        check(Direction::Backward, true, [4, 3, 2, 6, 5, 1, 7]);
    }
}
