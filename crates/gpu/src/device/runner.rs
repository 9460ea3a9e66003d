//! A program on pieces of up to so many pixels: several on their way at once, results in order.

use std::sync::Arc;

use wgpu::BufferUsages as Usage;

use super::buffers::{Reading, Stock, buffer, source_usage, upload};
use super::clock::Clock;
use super::pass::{Pass, grid};
use super::{DeviceError, Gpu};
use crate::assemble::{Edge, Place, Program};

/// A result on its way back.
#[derive(Debug)]
pub struct Ticket {
    reading: Reading,
    bytes: u64,
    /// Free again when the ticket is gone.
    _slot: Arc<Slot>,
    _source: Arc<wgpu::Buffer>,
}

/// Buffers of one result on its way back.
#[derive(Debug)]
struct Slot {
    result: Arc<wgpu::Buffer>,
    /// Where the result is mapped: the result itself on devices that share memory.
    readback: Option<Arc<wgpu::Buffer>>,
}

/// A program with all that it needs beside its source and its result.
#[derive(Debug)]
pub struct Runner {
    gpu: Arc<Gpu>,
    /// The most pixels of a run.
    most: u64,
    /// The pixels that the settings say.
    pixels: u64,
    source: Edge,
    result: Edge,
    passes: Vec<(Pass, Edge)>,
    between: [wgpu::Buffer; 2],
    /// Whether the last pass asks where its pixels lie.
    is_placed: bool,
    in_flight: usize,
    slots: Vec<Arc<Slot>>,
    sent: Stock,
    left: Stock,
    /// Times what is left on the device; none where the device has no clock.
    clock: Option<Clock>,
}

/// A result that stays on the device.
pub(super) struct Left {
    pub(super) buffer: Arc<wgpu::Buffer>,
    /// The work that fills it.
    pub(super) submission: wgpu::SubmissionIndex,
    /// The times of its begin and end, once that is done.
    pub(super) times: Option<Arc<wgpu::Buffer>>,
}

impl Runner {
    /// Prepares a program for up to `pixels` pixels a run, and for `in_flight` results on their way back at once.
    ///
    /// # Errors
    /// A pass that does not compile, a lost device, buffers beyond the device's limits.
    pub fn new(gpu: &Arc<Gpu>, program: &Program, pixels: u64, in_flight: usize) -> Result<Self, DeviceError> {
        let passes = program.passes.iter().map(|pass| {
            let ready = Pass::new(gpu, &pass.wgsl, &pass.settings, &pass.tables)?;
            Ok((ready, pass.result))
        });
        let passes = passes.collect::<Result<Vec<_>, DeviceError>>()?;
        // Two are enough between passes: each pass reads one and writes the other, in order.
        let between_len = if passes.len() > 1 { Edge::Between.byte_len(pixels) } else { 0 };
        let runner = Self {
            gpu: Arc::clone(gpu),
            most: pixels,
            pixels,
            source: program.passes.first().map_or(Edge::Between, |pass| pass.source),
            result: program.passes.last().map_or(Edge::Between, |pass| pass.result),
            passes,
            between: [0, 1].map(|_| buffer(gpu, "between", between_len, Usage::STORAGE)),
            is_placed: program.passes.last().is_some_and(|pass| pass.placed),
            in_flight: in_flight.max(1),
            slots: Vec::new(),
            sent: Stock::default(),
            left: Stock::default(),
            clock: Clock::new(gpu),
        };
        for (number, pass) in program.passes.iter().enumerate() {
            runner.set_tables(number, &pass.tables);
        }
        runner.set(program);
        gpu.trouble()?;
        Ok(runner)
    }

    /// The most pixels of a run.
    pub(super) fn most(&self) -> u64 {
        self.most
    }

    /// Writes the settings of a program of the same shape: what a moved slider does.
    pub fn set(&self, program: &Program) {
        for (pass, (ready, _)) in program.passes.iter().zip(&self.passes) {
            ready.write_settings_for(&self.gpu, &pass.settings, self.pixels);
        }
    }

    /// Writes the tables of a pass of the same shape, as many numbers as before: what another LUT of the same size does.
    pub fn set_tables(&self, pass: usize, tables: &[f32]) {
        if let Some((ready, _)) = self.passes.get(pass) {
            ready.write_tables(&self.gpu, tables);
        }
    }

    /// Whether another frame can be sent before one is collected.
    pub fn has_room(&self) -> bool {
        self.slots.len() < self.in_flight || self.slots.iter().any(is_free)
    }

    /// Sends stored bytes on their way: of a frame, or of the piece of one that `place` says.
    ///
    /// # Errors
    /// Bytes of the wrong length, no room, a lost device.
    pub fn send(&mut self, bytes: &[u8], place: Place) -> Result<Ticket, DeviceError> {
        let source_len = self.source.byte_len(self.most);
        let wanted = usize::try_from(source_len).unwrap_or(usize::MAX);
        // A last group of pixels may be padded beyond the frame.
        if bytes.len() > wanted || bytes.len() + 16 <= wanted {
            return Err(DeviceError::WrongSize { found: bytes.len(), wanted });
        }
        if !self.has_room() {
            return Err(no_room());
        }
        let source = self.sent.take(&self.gpu, "source", source_len, source_usage(&self.gpu));
        upload(&self.gpu, &source, bytes)?;
        self.fetch(&source, self.most, place)
    }

    /// Runs over a source that is on the device, and sends the result on its way back.
    ///
    /// # Errors
    /// No room, a lost device.
    pub(super) fn fetch(
        &mut self,
        source: &Arc<wgpu::Buffer>,
        pixels: u64,
        place: Place,
    ) -> Result<Ticket, DeviceError> {
        let slot = self.free_slot().ok_or_else(no_room)?;
        let (submission, _) = self.submit(source, &slot.result, (pixels, place), slot.readback.as_deref(), false);
        let reading = Reading::of(Arc::clone(slot.readback.as_ref().unwrap_or(&slot.result)), submission);
        self.gpu.trouble()?;
        let bytes = self.result.byte_len(pixels);
        Ok(Ticket { reading, bytes, _slot: slot, _source: Arc::clone(source) })
    }

    /// Runs over a source that is on the device, and leaves the result there.
    ///
    /// # Errors
    /// A lost device; work that the device refused.
    pub(super) fn leave(&mut self, source: &wgpu::Buffer, pixels: u64, place: Place) -> Result<Left, DeviceError> {
        let buffer = self.result_buffer(pixels);
        let (submission, times) = self.submit(source, &buffer, (pixels, place), None, true);
        self.gpu.trouble()?;
        Ok(Left { buffer, submission, times })
    }

    /// A buffer for a result that stays on the device, which nobody holds.
    pub(super) fn result_buffer(&mut self, pixels: u64) -> Arc<wgpu::Buffer> {
        self.left.take(&self.gpu, "result", self.result.byte_len(pixels), Usage::STORAGE | Usage::COPY_SRC)
    }

    fn free_slot(&mut self) -> Option<Arc<Slot>> {
        if let Some(slot) = self.slots.iter().find(|slot| is_free(slot)) {
            return Some(Arc::clone(slot));
        }
        if self.slots.len() >= self.in_flight {
            return None;
        }
        let (gpu, length) = (&self.gpu, self.result.byte_len(self.most));
        let read = if gpu.direct { Usage::MAP_READ } else { Usage::COPY_SRC };
        let result = Arc::new(buffer(gpu, "result", length, Usage::STORAGE | read));
        let copied = || Arc::new(buffer(gpu, "readback", length, Usage::MAP_READ | Usage::COPY_DST));
        let slot = Arc::new(Slot { result, readback: (!gpu.direct).then(copied) });
        self.slots.push(Arc::clone(&slot));
        Some(slot)
    }

    fn submit(
        &mut self,
        source: &wgpu::Buffer,
        result: &wgpu::Buffer,
        (pixels, place): (u64, Place),
        readback: Option<&wgpu::Buffer>,
        timed: bool,
    ) -> (wgpu::SubmissionIndex, Option<Arc<wgpu::Buffer>>) {
        if self.pixels != pixels {
            self.passes.iter().for_each(|(pass, _)| pass.write_pixels(&self.gpu, pixels));
            self.pixels = pixels;
        }
        if let (true, Some((pass, _))) = (self.is_placed, self.passes.last()) {
            pass.write_settings(&self.gpu, Place::AT, &place.bytes());
        }
        let mut encoder = self.gpu.device.create_command_encoder(&wgpu::CommandEncoderDescriptor::default());
        let clock = self.clock.as_ref().filter(|_| timed);
        self.encode(&mut encoder, &self.bind(source, result), clock.map(|clock| (clock.queries(), 0)));
        let times = clock.map(|clock| clock.leave(&self.gpu, &mut encoder));
        if let Some(readback) = readback {
            encoder.copy_buffer_to_buffer(result, 0, readback, 0, readback.size());
        }
        (self.gpu.queue.submit([encoder.finish()]), times)
    }

    /// Every pass with what it reads and what it writes.
    pub(super) fn bind(&self, source: &wgpu::Buffer, result: &wgpu::Buffer) -> Vec<wgpu::BindGroup> {
        let last = self.passes.len().saturating_sub(1);
        let bind = |(at, (pass, _)): (usize, &(Pass, Edge))| {
            let from = if at == 0 { source } else { &self.between[(at + 1) % 2] };
            let to = if at == last { result } else { &self.between[at % 2] };
            pass.bind(&self.gpu, from, to)
        };
        self.passes.iter().enumerate().map(bind).collect()
    }

    /// Encodes the passes, with timestamps at their begin and end if a query set is given.
    pub(super) fn encode(
        &self,
        encoder: &mut wgpu::CommandEncoder,
        binds: &[wgpu::BindGroup],
        timed: Option<(&wgpu::QuerySet, u32)>,
    ) {
        let last = self.passes.len().saturating_sub(1);
        for (at, ((pass, result), bind)) in self.passes.iter().zip(binds).enumerate() {
            let timestamp_writes = timed.map(|(query_set, first)| wgpu::ComputePassTimestampWrites {
                query_set,
                beginning_of_pass_write_index: (at == 0).then_some(first),
                end_of_pass_write_index: (at == last).then_some(first + 1),
            });
            let timestamp_writes = timestamp_writes.filter(|writes| {
                writes.beginning_of_pass_write_index.is_some() || writes.end_of_pass_write_index.is_some()
            });
            pass.encode(encoder, bind, grid(self.pixels, *result), timestamp_writes);
        }
    }

    /// Waits for a frame and takes its stored bytes into `out`, which keeps its memory.
    ///
    /// # Errors
    /// A lost device; work that the device refused.
    pub fn collect(&mut self, ticket: Ticket, out: &mut Vec<u8>) -> Result<(), DeviceError> {
        ticket.collect(&self.gpu, out)
    }
}

impl Ticket {
    /// Waits for the result and takes its stored bytes into `out`, which keeps its memory.
    pub(super) fn collect(self, gpu: &Gpu, out: &mut Vec<u8>) -> Result<(), DeviceError> {
        self.reading.finish(gpu, self.bytes, |bytes| {
            out.clear();
            out.extend_from_slice(bytes);
        })
    }
}

fn is_free(slot: &Arc<Slot>) -> bool {
    Arc::strong_count(slot) == 1
}

fn no_room() -> DeviceError {
    DeviceError::Refused("every buffer is in use".to_string())
}
