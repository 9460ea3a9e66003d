//! Scopes of frames, counted on the device. The grids stay there until they are read, so that a window can draw from them.

use std::sync::Arc;

use frame::{Frame, Layout, Size};
use measure::scopes::{Counts, Region};
use wgpu::BufferUsages as Usage;

use super::buffers::{Reading, Stock, buffer};
use super::held::Piece;
use super::pass::{Pass, grid};
use super::tiles::tile_size;
use super::{ATTEMPTS, AdapterChoice, DeviceError, Gpu, Held};
use crate::assemble::{CountKernel, Edge, ScopesProgram};

/// A program with all that it needs beside its source, for pieces of up to so many pixels.
#[derive(Debug)]
pub(super) struct Counter {
    gpu: Arc<Gpu>,
    most: u64,
    before: Vec<Pass>,
    between: [wgpu::Buffer; 2],
    kernels: Vec<Pass>,
    counts: wgpu::Buffer,
    readback: Arc<wgpu::Buffer>,
}

/// A piece that is about to be counted: buffers and workgroups of each pass.
#[derive(Debug)]
pub(super) struct Bound(Vec<(wgpu::BindGroup, [u32; 2])>);

impl Counter {
    pub(super) fn new(gpu: &Arc<Gpu>, program: &ScopesProgram, most: u64) -> Result<Self, DeviceError> {
        let words = u64::from(program.words) * 4;
        if words > gpu.largest_buffer() {
            return Err(DeviceError::Refused(format!(
                "the grids of these scopes take {} MiB, and {} takes {} MiB at once; give them fewer columns or bins",
                words.div_ceil(1 << 20),
                gpu.note.name,
                gpu.largest_buffer() >> 20
            )));
        }
        let between_len = if program.before.is_empty() { 0 } else { Edge::Between.byte_len(most) };
        let before = program.before.iter().map(|pass| Pass::new(gpu, &pass.wgsl, &pass.settings, &pass.tables));
        let kernels = program.kernels.iter().map(|pass| Pass::new(gpu, &pass.wgsl, &pass.settings, &pass.tables));
        let counter = Self {
            gpu: Arc::clone(gpu),
            most,
            before: before.collect::<Result<_, _>>()?,
            between: [0, 1].map(|_| buffer(gpu, "between", between_len, Usage::STORAGE)),
            kernels: kernels.collect::<Result<_, _>>()?,
            counts: buffer(gpu, "counts", words, Usage::STORAGE | Usage::COPY_SRC | Usage::COPY_DST),
            readback: Arc::new(buffer(gpu, "counts read back", words, Usage::MAP_READ | Usage::COPY_DST)),
        };
        counter.set(program);
        gpu.trouble()?;
        Ok(counter)
    }

    /// Writes settings and tables of a program of the same shape.
    fn set(&self, program: &ScopesProgram) {
        for (pass, ready) in program.before.iter().zip(&self.before) {
            ready.write_settings_for(&self.gpu, &pass.settings, self.most);
            ready.write_tables(&self.gpu, &pass.tables);
        }
        for (kernel, ready) in program.kernels.iter().zip(&self.kernels) {
            ready.write_settings(&self.gpu, 0, &kernel.settings);
            ready.write_tables(&self.gpu, &kernel.tables);
        }
    }

    /// Says which piece of the picture is at hand, and binds it; none where none of it is counted.
    pub(super) fn bind(&self, program: &ScopesProgram, region: Region, source: &wgpu::Buffer) -> Option<Bound> {
        let (part, words) = program.piece(region)?;
        let gpu = &self.gpu;
        let mut bound = Vec::with_capacity(self.before.len() + self.kernels.len());
        let mut from = source;
        for (at, ready) in self.before.iter().enumerate() {
            let to = &self.between[at % 2];
            ready.write_pixels(gpu, region.pixels());
            bound.push((ready.bind(gpu, from, to), grid(region.pixels(), Edge::Between)));
            from = to;
        }
        for (ready, kernel) in self.kernels.iter().zip(&program.kernels) {
            ready.write_settings(gpu, CountKernel::PIECE_AT, bytemuck::cast_slice(&words));
            bound.push((ready.bind(gpu, from, &self.counts), kernel.workgroups(part)));
        }
        Some(Bound(bound))
    }

    /// Empties the grids.
    pub(super) fn encode_empty(&self, encoder: &mut wgpu::CommandEncoder) {
        encoder.clear_buffer(&self.counts, 0, None);
    }

    /// Counts a piece on top of what the grids hold.
    pub(super) fn encode(&self, encoder: &mut wgpu::CommandEncoder, Bound(bound): &Bound) {
        for (ready, (bind, workgroups)) in self.before.iter().chain(&self.kernels).zip(bound) {
            ready.encode(encoder, bind, *workgroups, None);
        }
    }

    fn read(&self) -> Result<Vec<u32>, DeviceError> {
        let mut encoder = self.gpu.device.create_command_encoder(&wgpu::CommandEncoderDescriptor::default());
        encoder.copy_buffer_to_buffer(&self.counts, 0, &self.readback, 0, self.readback.size());
        let submission = self.gpu.queue.submit([encoder.finish()]);
        let reading = Reading::of(Arc::clone(&self.readback), submission);
        reading.finish(&self.gpu, self.readback.size(), |bytes| bytemuck::cast_slice(bytes).to_vec())
    }
}

/// Counts the scopes of frames, in tiles where they are too large, on a new device where one is lost.
pub struct Scopes {
    choice: AdapterChoice,
    gpu: Arc<Gpu>,
    program: ScopesProgram,
    tile: Option<u32>,
    counter: Option<Counter>,
    /// Where frames are uploaded that are not held already.
    sources: Stock,
    /// What the grids have counted.
    counted: Option<Held>,
}

impl Scopes {
    /// On an open device; `choice` says what to open when it is lost, `tile` the edge of tiles that are forced.
    pub fn new(gpu: Arc<Gpu>, choice: AdapterChoice, program: ScopesProgram, tile: Option<u32>) -> Self {
        Self { choice, gpu, program, tile, counter: None, sources: Stock::default(), counted: None }
    }

    /// The device it runs on now.
    pub fn gpu(&self) -> &Arc<Gpu> {
        &self.gpu
    }

    /// What is counted, and where it lies among the counts.
    pub fn program(&self) -> &ScopesProgram {
        &self.program
    }

    /// Takes a program of other settings. One of the same shape writes bytes only. What was counted is forgotten.
    pub fn set(&mut self, program: ScopesProgram) {
        let old = &self.program;
        let same_shape = old.words == program.words
            && old.source == program.source
            && old.before.len() == program.before.len()
            && old.kernels.len() == program.kernels.len()
            && old.before.iter().zip(&program.before).all(|(a, b)| {
                a.wgsl == b.wgsl && a.tables.len() == b.tables.len() && a.settings.len() == b.settings.len()
            })
            && old.kernels.iter().zip(&program.kernels).all(|(a, b)| {
                a.wgsl == b.wgsl && a.tables.len() == b.tables.len() && a.settings.len() == b.settings.len()
            });
        match &self.counter {
            Some(counter) if same_shape => counter.set(&program),
            _ => self.counter = None,
        }
        self.program = program;
        self.counted = None;
    }

    /// Uploads a frame and counts it; the grids stay on the device.
    ///
    /// # Errors
    /// A frame that is stored otherwise than the program says; what a new device does not mend.
    pub fn send(&mut self, frame: &Arc<Frame>) -> Result<(), DeviceError> {
        self.check(frame.layout())?;
        let held = self.again_if_lost(|scopes| {
            let tile = scopes.tile_size(frame.size(), frame.layout());
            Held::cut(&scopes.gpu, Arc::clone(frame), tile, &mut scopes.sources)
        })?;
        self.send_held(&held)
    }

    /// Counts a frame that is held on the device, without another upload; the grids stay there.
    ///
    /// # Errors
    /// As [`Scopes::send`].
    pub fn send_held(&mut self, held: &Held) -> Result<(), DeviceError> {
        self.check(held.layout())?;
        self.counted = None;
        self.again_if_lost(|scopes| scopes.start(held))?;
        self.counted = Some(held.clone());
        Ok(())
    }

    /// Counts a frame and reads what was counted, scope by scope.
    ///
    /// # Errors
    /// As [`Scopes::send`].
    pub fn count(&mut self, frame: &Arc<Frame>) -> Result<Vec<Counts>, DeviceError> {
        self.send(frame)?;
        self.read()
    }

    /// Reads what the frame sent last has counted; counts it again where it was lost with the device.
    ///
    /// # Errors
    /// No frame was sent; what a new device does not mend.
    pub fn read(&mut self) -> Result<Vec<Counts>, DeviceError> {
        let held = self.counted.clone().ok_or_else(nothing)?;
        let words = self.again_if_lost(|scopes| {
            if scopes.counter.is_none() {
                scopes.start(&held)?;
            }
            scopes.counter.as_ref().ok_or_else(nothing)?.read()
        })?;
        self.program.counts(&words).ok_or_else(nothing)
    }

    /// The grids on the device, as [`ScopesProgram::grids`] places them; none before a frame was sent.
    pub fn grids(&self) -> Option<&wgpu::Buffer> {
        self.counter.as_ref().map(|counter| &counter.counts)
    }

    /// Refuses frames that the program cannot read.
    fn check(&self, layout: Layout) -> Result<(), DeviceError> {
        let wanted = self.program.source.layout();
        if layout == wanted {
            return Ok(());
        }
        let fault = format!("these scopes count frames of {wanted}; this one is of {layout}");
        Err(DeviceError::Refused(fault))
    }

    fn tile_size(&self, size: Size, layout: Layout) -> Option<Size> {
        let between = if self.program.before.is_empty() { 0 } else { Edge::Between.layout().bytes_per_pixel() };
        tile_size(&self.gpu, self.tile, size, layout.bytes_per_pixel().max(between))
    }

    fn start(&mut self, held: &Held) -> Result<(), DeviceError> {
        let pieces = held.on(&self.gpu)?;
        let most = pieces.first().map_or(0, |piece| piece.region.pixels());
        let counter = match self.counter.take() {
            Some(counter) if counter.most == most => counter,
            _ => Counter::new(&self.gpu, &self.program, most)?,
        };
        let encoder = || self.gpu.device.create_command_encoder(&wgpu::CommandEncoderDescriptor::default());
        let mut commands = encoder();
        counter.encode_empty(&mut commands);
        for Piece { region, buffer } in pieces.iter() {
            if let Some(bound) = counter.bind(&self.program, *region, buffer) {
                counter.encode(&mut commands, &bound);
                // A submission a piece: its settings are written in their order.
                self.gpu.queue.submit([commands.finish()]);
                commands = encoder();
            }
        }
        self.gpu.queue.submit([commands.finish()]);
        self.counter = Some(counter);
        self.gpu.trouble()
    }

    /// Does some work; where the device is lost, opens it again and repeats.
    fn again_if_lost<T>(
        &mut self,
        mut work: impl FnMut(&mut Self) -> Result<T, DeviceError>,
    ) -> Result<T, DeviceError> {
        let mut done = work(self);
        for _ in 0..ATTEMPTS {
            let Err(DeviceError::Lost { .. }) = &done else { break };
            (self.counter, self.sources) = (None, Stock::default());
            self.gpu = self.gpu.again(&self.choice)?;
            done = work(self);
        }
        done
    }
}

fn nothing() -> DeviceError {
    DeviceError::Refused("no frame has been counted".to_string())
}
