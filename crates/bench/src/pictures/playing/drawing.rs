//! The pictures of a frame, one for each tile that is played: drawn on the device from one upload, and left there.

use std::collections::VecDeque;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::Instant;

use frame::{Frame, Layout, Size};
use gpu::device::{AdapterChoice, DeviceError, Drawn, Gpu, Held, HeldFrames, Renderer};
use media::About;
use media::ahead::{Decoded, Position};
use session::Fault;
use session::chain::Chain;
use session::playback::{Costs, Purpose, Share, Stage, Task, Work, frames_until, picked, says_the_same};

use super::super::meaning::{Chains, Meant, Original};
use super::super::traces::Countable;
use super::super::{Shared, Shown, Wanted};

/// Frames on their way through the device at most.
const IN_FLIGHT: usize = 3;
/// How often a picture that was lost with its device is drawn again.
const ATTEMPTS: usize = 3;

/// A tile's picture, what its traces are counted from, and what was wanted.
pub type OfTile = Result<(Shown, Countable, Wanted), String>;
/// The pictures of a frame by the tiles' own numbers.
pub type OfFrame = Vec<(u64, OfTile)>;

/// Makes the pictures of frames.
pub struct Drawing {
    shared: Arc<Shared>,
    /// What is played, with the first and last number of it.
    media: PathBuf,
    span: [i64; 2],
    gpu: Arc<Gpu>,
    costs: Arc<Costs>,
    chains: Chains,
    tiles: Vec<Tile>,
    /// Frames on the device, all of one share.
    held: HeldFrames,
    share: Share,
    on_its_way: VecDeque<OnItsWay>,
}

struct Tile {
    number: u64,
    wanted: Wanted,
    bound: Option<Bound>,
    renderer: Option<Renderer>,
}

/// A wish bound to frames of one kind.
struct Bound {
    chain: Chain,
    meant: Arc<Meant>,
    layout: Layout,
    about: Arc<About>,
    number: i64,
}

struct OnItsWay {
    begun: Instant,
    share: Share,
    whole: Size,
    number: i64,
    about: Arc<About>,
    /// None where there is no tile to draw it for.
    held: Option<Held>,
    tiles: Vec<Sent>,
}

/// A tile's picture on its way.
struct Sent {
    tile: u64,
    wanted: Wanted,
    drawn: Result<(Drawn, Arc<Meant>), String>,
}

impl Drawing {
    /// For the frames of a shot, which may take so many bytes on the device.
    pub fn new(shared: Arc<Shared>, gpu: Arc<Gpu>, media: PathBuf, span: [i64; 2], bytes: u64) -> Self {
        Self {
            shared,
            media,
            span,
            gpu,
            costs: Arc::default(),
            chains: Chains::default(),
            tiles: Vec::new(),
            held: HeldFrames::new(bytes),
            share: Share::Whole,
            on_its_way: VecDeque::new(),
        }
    }

    /// Where its times are added up.
    pub fn costs(&self) -> Arc<Costs> {
        Arc::clone(&self.costs)
    }

    /// The frame on the device: from the cache, or uploaded and kept if there is room. None without a tile to draw it for.
    fn hold(&mut self, task: &Task, frame: Arc<Frame>, head: &Position) -> Result<Option<Held>, Fault> {
        if let (Some(held), true) = (self.held.get(task.source), task.share == self.share) {
            return Ok(Some(held.clone()));
        }
        let costs = Arc::clone(&self.costs);
        let frame = match task.share {
            Share::Whole => frame,
            smaller => costs.time(Stage::Pick, || picked(&frame, smaller)).map(Arc::new)?,
        };
        let Some(renderer) = self.tiles.iter_mut().find_map(|tile| tile.renderer.as_mut()) else { return Ok(None) };
        let held = costs.time(Stage::Upload, || renderer.hold(&frame))?;
        // Where the device was lost, the renderer has gone to the one that stands in.
        self.gpu = Arc::clone(renderer.gpu());
        if task.share != self.share {
            // A still among smaller pictures does not push those out.
            if !matches!(task.purpose, Purpose::Play(_)) {
                return Ok(Some(held));
            }
            (self.share, self.held) = (task.share, HeldFrames::new(self.held.budget()));
        }
        if self.held.make_room(task.source, held.byte_len(), |number| frames_until(head, number)) {
            self.held.insert(task.source, held.clone());
        }
        Ok(Some(held))
    }
}

impl Tile {
    /// Binds the wish to a frame's kind and numbers, where it is not already.
    fn bind(
        &mut self,
        chains: &mut Chains,
        gpu: &Arc<Gpu>,
        about: &Arc<About>,
        number: i64,
        layout: Layout,
    ) -> Result<(), Fault> {
        let fits = |bound: &Bound| {
            let same = bound.layout == layout && says_the_same(&bound.about, about);
            same && (bound.number == number || !bound.chain.moves())
        };
        if self.bound.as_ref().is_some_and(fits) && self.renderer.is_some() {
            return Ok(());
        }
        let chain = match self.bound.take() {
            Some(bound) => bound.chain,
            None => chains.of(&self.wanted)?,
        };
        let (meant, program) = Meant::new(&chain, &self.wanted, about, number, layout)?;
        match &mut self.renderer {
            Some(renderer) => renderer.set(program)?,
            None => {
                let choice = AdapterChoice::from_environment();
                self.renderer = Some(Renderer::new(Arc::clone(gpu), choice, program, None));
            }
        }
        self.bound = Some(Bound { chain, meant: Arc::new(meant), layout, about: Arc::clone(about), number });
        Ok(())
    }

    /// Draws its picture.
    fn draw(&mut self, held: &Held, number: i64) -> Result<(Drawn, Arc<Meant>), Fault> {
        let (Some(renderer), Some(bound)) = (&mut self.renderer, &self.bound) else {
            return Err(Fault::failed("no chain is bound"));
        };
        Ok((renderer.draw(held, number)?, Arc::clone(&bound.meant)))
    }
}

impl Work for Drawing {
    type Picture = OfFrame;
    type Chain = Vec<(u64, Wanted)>;

    fn has_room(&self) -> bool {
        self.on_its_way.len() < IN_FLIGHT
    }

    fn send(&mut self, task: &Task, decoded: &Decoded, head: &Position) -> Result<(), Fault> {
        if !self.shared.desk().is_played(&self.media) {
            return Err(Fault::failed("the play head rests; stills are made elsewhere"));
        }
        let (begun, shared) = (Instant::now(), Arc::clone(&self.shared));
        let _work = shared.work();
        let (layout, number) = (decoded.frame.layout(), task.source);
        let bound: Vec<Result<(), Fault>> = self
            .tiles
            .iter_mut()
            .map(|tile| tile.bind(&mut self.chains, &self.gpu, &decoded.about, number, layout))
            .collect();
        let held = self.hold(task, Arc::clone(&decoded.frame), head)?;
        let costs = Arc::clone(&self.costs);
        let draw = |(tile, bound): (&mut Tile, Result<(), Fault>)| {
            let drawn = match (bound, &held) {
                (Ok(()), Some(held)) => costs.time(Stage::Draw, || tile.draw(held, number)),
                (Ok(()), None) => Err(Fault::failed("the frame is not on the device")),
                (Err(fault), _) => Err(fault),
            };
            let drawn = drawn.map_err(|fault| fault.to_string());
            Sent { tile: tile.number, wanted: tile.wanted.clone(), drawn }
        };
        let tiles = self.tiles.iter_mut().zip(bound).map(draw).collect();
        costs.add_frame(task.share);
        let about = Arc::clone(&decoded.about);
        self.on_its_way.push_back(OnItsWay {
            begun,
            share: task.share,
            whole: decoded.frame.size(),
            number,
            about,
            held,
            tiles,
        });
        Ok(())
    }

    fn receive(&mut self) -> Result<OfFrame, Fault> {
        let sent = self.on_its_way.pop_front().ok_or_else(|| Fault::failed("nothing is on its way"))?;
        let OnItsWay { begun, share, whole, number, about, held, tiles } = sent;
        let costs = Arc::clone(&self.costs);
        let mut pictures = OfFrame::with_capacity(tiles.len());
        for Sent { tile, wanted, drawn } in tiles {
            let waited = drawn.and_then(|(drawn, meant)| {
                let held = held.clone().ok_or("the frame is not on the device")?;
                let renderer =
                    self.tiles.iter_mut().find(|own| own.number == tile).and_then(|own| own.renderer.as_mut());
                let drawn = costs.time(Stage::Wait, || waited(renderer, drawn, &held, number));
                let drawn = drawn.map_err(|error| error.to_string())?;
                let original = Original { about: &about, number, whole, share };
                let shown = meant.shown(drawn, &wanted, &original, number, self.span, begun.elapsed());
                Ok((shown, meant.countable(held, number), wanted))
            });
            pictures.push((tile, waited));
        }
        Ok(pictures)
    }

    fn set(&mut self, wanted: Vec<(u64, Wanted)>) {
        let mut before = std::mem::take(&mut self.tiles);
        for (number, wanted) in wanted {
            let own = before.iter().position(|tile| tile.number == number).map(|at| before.swap_remove(at));
            self.tiles.push(match own {
                Some(tile) if tile.wanted == wanted => tile,
                // Its program stays: one of the same shape takes other settings and compiles nothing.
                Some(tile) => Tile { wanted, bound: None, ..tile },
                None => Tile { number, wanted, bound: None, renderer: None },
            });
        }
    }
}

/// A picture that is drawn; again, where it was lost with its device.
fn waited(
    mut renderer: Option<&mut Renderer>,
    mut drawn: Drawn,
    held: &Held,
    number: i64,
) -> Result<Drawn, DeviceError> {
    for _ in 0..ATTEMPTS {
        match (drawn.wait(), &mut renderer) {
            (Err(DeviceError::Lost { .. }), Some(renderer)) => drawn = renderer.draw(held, number)?,
            (waited, _) => return waited.map(|()| drawn),
        }
    }
    drawn.wait().map(|()| drawn)
}
