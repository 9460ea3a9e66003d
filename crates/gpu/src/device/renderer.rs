//! Frames through a program whatever happens: tiles where they are too large, a new device where one is lost.

use std::collections::VecDeque;
use std::sync::Arc;

use frame::{Frame, Layout, Size};

use super::buffers::Stock;
use super::drawn::{Assembly, Drawn};
use super::held::Piece;
use super::tiles::tile_size;
use super::{ATTEMPTS, AdapterChoice, DeviceError, Gpu, Held, Runner, Ticket};
use crate::assemble::{Edge, Program};

/// Frames on their way at once: one being uploaded, one computed, one read back.
const IN_FLIGHT: usize = 3;

/// A frame that was sent: on its way, or finished already.
enum Sent {
    OnItsWay { held: Held, number: i64, ticket: Ticket },
    Finished(Frame),
}

/// Runs a program over frames. Results come back in the order they were sent, or stay on the device.
pub struct Renderer {
    choice: AdapterChoice,
    gpu: Arc<Gpu>,
    program: Program,
    tile: Option<u32>,
    runner: Option<Runner>,
    /// Where frames are uploaded that are not held already.
    sources: Stock,
    sent: VecDeque<Sent>,
    reopened: u32,
}

impl Renderer {
    /// A renderer on an open device; `choice` says what to open when it is lost.
    pub fn new(gpu: Arc<Gpu>, choice: AdapterChoice, program: Program, tile: Option<u32>) -> Self {
        let (sources, sent) = (Stock::default(), VecDeque::new());
        Self { choice, gpu, program, tile, runner: None, sources, sent, reopened: 0 }
    }

    /// The device it runs on now.
    pub fn gpu(&self) -> &Arc<Gpu> {
        &self.gpu
    }

    /// How often a lost device was opened again.
    pub fn reopened(&self) -> u32 {
        self.reopened
    }

    /// Takes a program of other settings. One of the same shape writes bytes only.
    ///
    /// # Errors
    /// None now; frames on their way must have been received before.
    pub fn set(&mut self, program: Program) -> Result<(), DeviceError> {
        let pairs = || self.program.passes.iter().zip(&program.passes);
        let same_shape = self.program.passes.len() == program.passes.len()
            && pairs().all(|(a, b)| a.wgsl == b.wgsl && a.tables.len() == b.tables.len());
        match &self.runner {
            Some(runner) if same_shape => {
                runner.set(&program);
                for (number, (_, pass)) in pairs().enumerate().filter(|(_, (a, b))| a.tables != b.tables) {
                    runner.set_tables(number, &pass.tables);
                }
            }
            _ => self.runner = None,
        }
        self.program = program;
        Ok(())
    }

    /// Whether a frame can be sent without waiting for one to come back.
    pub fn has_room(&self) -> bool {
        self.sent.len() < IN_FLIGHT
    }

    /// Whether any frame is still to be received.
    pub fn is_empty(&self) -> bool {
        self.sent.is_empty()
    }

    /// Uploads a frame and sends it on its way; its noise is that of frame `number`, where the result is dithered.
    ///
    /// # Errors
    /// A frame that is stored otherwise than the program says; what a new device does not mend.
    pub fn send(&mut self, frame: Arc<Frame>, number: i64) -> Result<(), DeviceError> {
        self.check(frame.layout())?;
        let held = self.again_if_lost(|renderer| {
            let tile = renderer.tile_size(frame.size());
            Held::cut(&renderer.gpu, Arc::clone(&frame), tile, &mut renderer.sources)
        })?;
        self.send_held(&held, number)
    }

    /// Uploads a frame to the device that it runs on, to be held there.
    ///
    /// # Errors
    /// What a new device does not mend.
    pub fn hold(&mut self, frame: &Arc<Frame>) -> Result<Held, DeviceError> {
        self.again_if_lost(|renderer| Held::new(&renderer.gpu, Arc::clone(frame), renderer.tile))
    }

    /// Sends a frame that is held on the device on its way, as [`Renderer::send`] does, without another upload.
    ///
    /// # Errors
    /// As [`Renderer::send`].
    pub fn send_held(&mut self, held: &Held, number: i64) -> Result<(), DeviceError> {
        self.check(held.layout())?;
        let sent = match held.is_whole() {
            false => Sent::Finished(self.tiled(held, number)?),
            true => {
                let ticket = self.again_if_lost(|renderer| renderer.start(held, number, 0))?;
                Sent::OnItsWay { held: held.clone(), number, ticket }
            }
        };
        self.sent.push_back(sent);
        Ok(())
    }

    /// Draws a held frame and leaves the result on the device; nothing is waited for. Frames on their way stay so.
    ///
    /// # Errors
    /// As [`Renderer::send`].
    pub fn draw(&mut self, held: &Held, number: i64) -> Result<Drawn, DeviceError> {
        self.check(held.layout())?;
        let edge = self.result();
        self.again_if_lost(|renderer| {
            let pieces = held.on(&renderer.gpu)?;
            let runner = renderer.runner_for(&pieces)?;
            let mut drawn = Vec::with_capacity(pieces.len());
            let (mut last, mut times) = (None, Vec::new());
            for piece in pieces.iter() {
                let (region, place) = (piece.region, piece.place(number));
                let left = runner.leave(&piece.buffer, region.pixels(), place)?;
                drawn.push(Piece { region, buffer: left.buffer });
                times.extend(left.times);
                last = Some(left.submission);
            }
            Ok(Drawn { gpu: Arc::clone(&renderer.gpu), size: held.size(), edge, pieces: drawn, last, times })
        })
    }

    /// Waits for the frame sent first. None when all have come back.
    ///
    /// # Errors
    /// What a new device does not mend.
    pub fn receive(&mut self) -> Result<Option<Frame>, DeviceError> {
        match self.sent.pop_front() {
            None => Ok(None),
            Some(Sent::Finished(frame)) => Ok(Some(frame)),
            Some(Sent::OnItsWay { held, number, ticket }) => {
                let mut ticket = Some(ticket);
                self.again_if_lost(|renderer| {
                    let ticket = match ticket.take() {
                        Some(ticket) => ticket,
                        None => renderer.start(&held, number, 0)?,
                    };
                    renderer.finish(held.size(), ticket)
                })
                .map(Some)
            }
        }
    }

    /// One frame, there and back; its number is 0.
    ///
    /// # Errors
    /// What a new device does not mend.
    pub fn frame(&mut self, frame: Arc<Frame>) -> Result<Frame, DeviceError> {
        self.send(frame, 0)?;
        let mut last = None;
        while let Some(frame) = self.receive()? {
            last = Some(frame);
        }
        last.ok_or_else(|| DeviceError::Refused("no frame came back".to_string()))
    }

    /// Refuses frames that the program cannot read.
    fn check(&self, layout: Layout) -> Result<(), DeviceError> {
        let source = self.program.passes.first().map_or(Edge::Between, |pass| pass.source);
        let wanted = source.layout();
        if layout == wanted {
            return Ok(());
        }
        let fault = format!("this chain was made for frames of {wanted}; this one is of {layout}");
        Err(DeviceError::Refused(fault))
    }

    /// Sends a piece of a held frame on its way.
    fn start(&mut self, held: &Held, number: i64, piece: usize) -> Result<Ticket, DeviceError> {
        let pieces = held.on(&self.gpu)?;
        let runner = self.runner_for(&pieces)?;
        let piece = pieces.get(piece).ok_or_else(|| DeviceError::Refused("the frame has no such piece".to_string()))?;
        runner.fetch(&piece.buffer, piece.region.pixels(), piece.place(number))
    }

    /// A runner for pieces of which the first is the largest. Tickets of an earlier one stay good.
    fn runner_for(&mut self, pieces: &[Piece]) -> Result<&mut Runner, DeviceError> {
        let most = pieces.first().map_or(0, |piece| piece.region.pixels());
        let runner = match self.runner.take() {
            Some(runner) if runner.most() == most => runner,
            _ => Runner::new(&self.gpu, &self.program, most, IN_FLIGHT)?,
        };
        Ok(self.runner.insert(runner))
    }

    fn finish(&mut self, size: Size, ticket: Ticket) -> Result<Frame, DeviceError> {
        let mut bytes = Vec::new();
        ticket.collect(&self.gpu, &mut bytes)?;
        let layout = self.result().layout();
        bytes.truncate(layout.byte_len(size).unwrap_or(0));
        Frame::new(size, layout, bytes, 0).map_err(|error| DeviceError::Refused(error.to_string()))
    }

    fn result(&self) -> Edge {
        self.program.passes.last().map_or(Edge::Between, |pass| pass.result)
    }

    /// Does some work; where the device is lost, opens it again, sends again what was on its way, and repeats.
    fn again_if_lost<T>(
        &mut self,
        mut work: impl FnMut(&mut Self) -> Result<T, DeviceError>,
    ) -> Result<T, DeviceError> {
        let mut lost = match work(self) {
            Err(DeviceError::Lost { reason }) => reason,
            other => return other,
        };
        for _ in 0..ATTEMPTS {
            match self.reopen().and_then(|()| work(self)) {
                Err(DeviceError::Lost { reason }) => lost = reason,
                other => return other,
            }
        }
        Err(DeviceError::Lost { reason: lost })
    }

    /// Opens the device again and sends again what was on its way. Where it is lost once more meanwhile, all that is
    /// still to come back stays in its place, for the next try.
    fn reopen(&mut self) -> Result<(), DeviceError> {
        self.runner = None;
        self.sources = Stock::default();
        self.gpu = self.gpu.again(&self.choice)?;
        self.reopened += 1;
        for at in 0..self.sent.len() {
            if let Some(Sent::OnItsWay { held, number, .. }) = self.sent.get(at) {
                let (held, number) = (held.clone(), *number);
                let ticket = self.start(&held, number, 0)?;
                self.sent[at] = Sent::OnItsWay { held, number, ticket };
            }
        }
        Ok(())
    }

    /// The tiles that a frame must be cut into. None if it fits whole.
    fn tile_size(&self, size: Size) -> Option<Size> {
        let edges = self.program.passes.iter().flat_map(|pass| [pass.source, pass.result]);
        let widest = edges.map(|edge| edge.layout().bytes_per_pixel()).max().unwrap_or(0);
        tile_size(&self.gpu, self.tile, size, widest)
    }

    fn tiled(&mut self, held: &Held, number: i64) -> Result<Frame, DeviceError> {
        let mut whole = Assembly::new(held.size(), self.result().layout());
        let mut bytes = Vec::new();
        for (at, region) in held.regions().enumerate() {
            self.again_if_lost(|renderer| {
                let ticket = renderer.start(held, number, at)?;
                ticket.collect(&renderer.gpu, &mut bytes)
            })?;
            whole.put(region, &bytes);
        }
        whole.finish()
    }
}
