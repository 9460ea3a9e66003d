//! Frames through a program whatever happens: tiles where they are too large, a new device where one is lost.

use std::collections::VecDeque;
use std::sync::Arc;

use frame::{Frame, Layout, Size};

use super::tiles::tile_size;
use super::{AdapterChoice, DeviceError, Gpu, Runner, Ticket};
use crate::assemble::{Edge, Place, Program};

/// Frames on their way at once: one being uploaded, one computed, one read back.
const IN_FLIGHT: usize = 3;

/// How often a lost device is opened again for the same frames before giving up.
const ATTEMPTS: u32 = 3;

/// A frame that was sent: on its way, or finished already.
enum Sent {
    OnItsWay { frame: Arc<Frame>, number: i64, ticket: Ticket },
    Finished(Frame),
}

/// Runs a program over frames; results come back in the order they were sent.
pub struct Renderer {
    choice: AdapterChoice,
    gpu: Arc<Gpu>,
    program: Program,
    tile: Option<u32>,
    runner: Option<(u64, Runner)>,
    sent: VecDeque<Sent>,
    reopened: u32,
}

impl Renderer {
    /// A renderer on an open device; `choice` says what to open when it is lost.
    pub fn new(gpu: Arc<Gpu>, choice: AdapterChoice, program: Program, tile: Option<u32>) -> Self {
        Self { choice, gpu, program, tile, runner: None, sent: VecDeque::new(), reopened: 0 }
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
            Some((_, runner)) if same_shape => {
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

    /// Sends a frame on its way; its noise is that of frame `number`, where the result is dithered.
    ///
    /// # Errors
    /// What a new device does not mend.
    pub fn send(&mut self, frame: Arc<Frame>, number: i64) -> Result<(), DeviceError> {
        let tile = self.tile_size(frame.size(), frame.layout());
        let pixels = tile.unwrap_or(frame.size()).pixels() as u64;
        if tile.is_some() || self.runner.as_ref().is_some_and(|(made_for, _)| *made_for != pixels) {
            // Frames on their way live in buffers of the size that is about to go.
            self.settle()?;
        }
        if let Some(size) = tile {
            let result = self.tiled(&frame, number, size)?;
            self.sent.push_back(Sent::Finished(result));
            return Ok(());
        }
        let place = Place::whole(frame.size(), number);
        let ticket = self.again_if_lost(|renderer| renderer.start(&frame, place))?;
        self.sent.push_back(Sent::OnItsWay { frame, number, ticket });
        Ok(())
    }

    /// Waits for the frame sent first. None when all have come back.
    ///
    /// # Errors
    /// What a new device does not mend.
    pub fn receive(&mut self) -> Result<Option<Frame>, DeviceError> {
        match self.sent.pop_front() {
            None => Ok(None),
            Some(Sent::Finished(frame)) => Ok(Some(frame)),
            Some(Sent::OnItsWay { frame, number, ticket }) => {
                let mut ticket = Some(ticket);
                self.again_if_lost(|renderer| {
                    let ticket = match ticket.take() {
                        Some(ticket) => ticket,
                        None => renderer.start(&frame, Place::whole(frame.size(), number))?,
                    };
                    renderer.finish(&frame, ticket)
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

    /// Brings home all that is on its way; it is handed out later, in order.
    fn settle(&mut self) -> Result<(), DeviceError> {
        let mut home = VecDeque::new();
        while let Some(frame) = self.receive()? {
            home.push_back(Sent::Finished(frame));
        }
        self.sent = home;
        Ok(())
    }

    fn start(&mut self, frame: &Frame, place: Place) -> Result<Ticket, DeviceError> {
        let pixels = frame.size().pixels() as u64;
        if self.runner.as_ref().is_none_or(|(made_for, _)| *made_for != pixels) {
            self.runner = None;
            self.runner = Some((pixels, Runner::new(&self.gpu, &self.program, pixels, IN_FLIGHT)?));
        }
        match &mut self.runner {
            Some((_, runner)) => runner.send(frame.bytes(), place),
            None => Err(DeviceError::Refused("there is no runner".to_string())),
        }
    }

    fn finish(&mut self, frame: &Frame, ticket: Ticket) -> Result<Frame, DeviceError> {
        let Some((_, runner)) = &mut self.runner else {
            return Err(DeviceError::Refused("there is no runner".to_string()));
        };
        let mut bytes = Vec::new();
        runner.collect(ticket, &mut bytes)?;
        let layout = self.result_layout();
        bytes.truncate(layout.byte_len(frame.size()).unwrap_or(0));
        Frame::new(frame.size(), layout, bytes, 0).map_err(|error| DeviceError::Refused(error.to_string()))
    }

    fn result_layout(&self) -> Layout {
        let edge = self.program.passes.last().map_or(Edge::Between, |pass| pass.result);
        let floats = Layout::new(frame::Channels::Rgba, frame::Samples::Float, frame::ByteOrder::Little);
        edge.stored().map_or(floats, |(layout, _)| layout)
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
            match self.reopen(&lost).and_then(|()| work(self)) {
                Err(DeviceError::Lost { reason }) => lost = reason,
                other => return other,
            }
        }
        Err(DeviceError::Lost { reason: lost })
    }

    /// Opens the device again and sends again what was on its way. Where it is lost once more meanwhile, all that is
    /// still to come back stays in its place, for the next try.
    fn reopen(&mut self, reason: &str) -> Result<(), DeviceError> {
        self.runner = None;
        self.gpu = Gpu::open(&self.choice)?.ok_or_else(|| DeviceError::Lost { reason: reason.to_string() })?;
        self.reopened += 1;
        for at in 0..self.sent.len() {
            if let Some(Sent::OnItsWay { frame, number, .. }) = self.sent.get(at) {
                let (frame, number) = (Arc::clone(frame), *number);
                let ticket = self.start(&frame, Place::whole(frame.size(), number))?;
                self.sent[at] = Sent::OnItsWay { frame, number, ticket };
            }
        }
        Ok(())
    }

    /// The tiles a frame must be cut into. None if it fits whole.
    fn tile_size(&self, size: Size, layout: Layout) -> Option<Size> {
        let between = if self.program.passes.len() > 1 { 16 } else { 0 };
        let widest = layout.bytes_per_pixel().max(self.result_layout().bytes_per_pixel()).max(between);
        tile_size(&self.gpu, self.tile, size, widest)
    }

    fn tiled(&mut self, frame: &Frame, number: i64, tile: Size) -> Result<Frame, DeviceError> {
        let (size, layout) = (frame.size(), self.result_layout());
        let bytes_a_pixel = layout.bytes_per_pixel();
        let mut out = vec![0; layout.byte_len(size).unwrap_or(0)];
        for y in (0..size.height).step_by(tile.height as usize) {
            for x in (0..size.width).step_by(tile.width as usize) {
                let (width, height) = (tile.width.min(size.width - x), tile.height.min(size.height - y));
                let piece = frame.crop(x, y, width, height);
                let place = Place { width, left: x, top: y, number };
                let done = self.again_if_lost(|renderer| {
                    let ticket = renderer.start(&piece, place)?;
                    renderer.finish(&piece, ticket)
                })?;
                for row in 0..height {
                    let from = done.rows(row, 1);
                    let to = ((y + row) as usize * size.width as usize + x as usize) * bytes_a_pixel;
                    out[to..to + from.len()].copy_from_slice(from);
                }
            }
        }
        Frame::new(size, layout, out, 0).map_err(|error| DeviceError::Refused(error.to_string()))
    }
}
