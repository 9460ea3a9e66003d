//! Scopes of frames, counted on the device. The grids stay there until they are read, so that a window can draw from them.

use std::sync::Arc;
use std::sync::mpsc::channel;

use frame::{ByteOrder, Channels, Frame, Layout, Samples, Size};
use measure::scopes::{Counts, Region};

use super::runner::{bind, buffer, failed, grid, tables_fit, upload};
use super::tiles::tile_size;
use super::{AdapterChoice, DeviceError, Gpu};
use crate::assemble::{CountKernel, Edge, ScopesProgram};

/// A picture between two passes, as bytes.
const BETWEEN: Layout = Layout::new(Channels::Rgba, Samples::Float, ByteOrder::Little);

/// How often a lost device is opened again for the same frame before giving up.
const ATTEMPTS: u32 = 3;

/// A pass with its buffers.
#[derive(Debug)]
struct Ready {
    pipeline: wgpu::ComputePipeline,
    settings: wgpu::Buffer,
    tables: wgpu::Buffer,
    bind: wgpu::BindGroup,
}

/// A program bound to buffers for pieces of so many pixels.
#[derive(Debug)]
pub(super) struct Counter {
    gpu: Arc<Gpu>,
    pixels: u64,
    source: wgpu::Buffer,
    before: Vec<Ready>,
    kernels: Vec<Ready>,
    counts: wgpu::Buffer,
    readback: wgpu::Buffer,
}

impl Counter {
    pub(super) fn new(gpu: &Arc<Gpu>, program: &ScopesProgram, pixels: u64) -> Result<Self, DeviceError> {
        use wgpu::BufferUsages as Usage;
        let words = u64::from(program.words) * 4;
        if words > gpu.largest_buffer() {
            return Err(DeviceError::Refused(format!(
                "the grids of these scopes take {} MiB, and {} takes {} MiB at once; give them fewer columns or bins",
                words.div_ceil(1 << 20),
                gpu.note.name,
                gpu.largest_buffer() >> 20
            )));
        }
        let write = if gpu.direct { Usage::MAP_WRITE } else { Usage::COPY_DST };
        let source = buffer(gpu, "source", program.source.byte_len(pixels), Usage::STORAGE | write);
        let counts = buffer(gpu, "counts", words, Usage::STORAGE | Usage::COPY_SRC | Usage::COPY_DST);
        let readback = buffer(gpu, "counts read back", words, Usage::MAP_READ | Usage::COPY_DST);
        let between_len = if program.before.is_empty() { 0 } else { Edge::Between.byte_len(pixels) };
        let between = [0, 1].map(|_| buffer(gpu, "between", between_len, Usage::STORAGE));
        let ready = |wgsl: &str, settings: &[u8], tables: &[f32], from: &wgpu::Buffer, to: &wgpu::Buffer| {
            let pipeline = gpu.pipelines.get(wgsl)?;
            tables_fit(gpu, tables)?;
            let settings = buffer(gpu, "settings", settings.len() as u64, Usage::UNIFORM | Usage::COPY_DST);
            let tables = buffer(gpu, "tables", tables.len() as u64 * 4, Usage::STORAGE | Usage::COPY_DST);
            let bind = bind(gpu, &settings, &tables, from, to);
            Ok::<_, DeviceError>(Ready { pipeline, settings, tables, bind })
        };
        let mut from = &source;
        let mut before = Vec::with_capacity(program.before.len());
        for (at, pass) in program.before.iter().enumerate() {
            let to = &between[at % 2];
            before.push(ready(&pass.wgsl, &pass.settings, &pass.tables, from, to)?);
            from = to;
        }
        let kernels = program
            .kernels
            .iter()
            .map(|kernel| ready(&kernel.wgsl, &kernel.settings, &kernel.tables, from, &counts))
            .collect::<Result<_, _>>()?;
        let counter = Self { gpu: Arc::clone(gpu), pixels, source, before, kernels, counts, readback };
        counter.set(program);
        gpu.trouble()?;
        Ok(counter)
    }

    /// Writes settings and tables of a program of the same shape.
    fn set(&self, program: &ScopesProgram) {
        let queue = &self.gpu.queue;
        for (pass, ready) in program.before.iter().zip(&self.before) {
            let mut bytes = pass.settings.clone();
            let pixels = u32::try_from(self.pixels).unwrap_or(u32::MAX);
            if let Some(head) = bytes.get_mut(..4) {
                head.copy_from_slice(&pixels.to_le_bytes());
            }
            queue.write_buffer(&ready.settings, 0, &bytes);
            queue.write_buffer(&ready.tables, 0, bytemuck::cast_slice(&pass.tables));
        }
        for (kernel, ready) in program.kernels.iter().zip(&self.kernels) {
            queue.write_buffer(&ready.settings, 0, &kernel.settings);
            queue.write_buffer(&ready.tables, 0, bytemuck::cast_slice(&kernel.tables));
        }
    }

    /// Says which piece of the picture is at hand; the workgroups of each kernel, none where none of it is counted.
    pub(super) fn place(&self, program: &ScopesProgram, piece: Region) -> Option<Vec<[u32; 2]>> {
        let (part, words) = program.piece(piece)?;
        for ready in &self.kernels {
            self.gpu.queue.write_buffer(&ready.settings, CountKernel::PIECE_AT, bytemuck::cast_slice(&words));
        }
        Some(program.kernels.iter().map(|kernel| kernel.workgroups(part)).collect())
    }

    /// Takes the stored bytes of a piece.
    pub(super) fn upload(&self, bytes: &[u8]) -> Result<(), DeviceError> {
        let most = usize::try_from(self.source.size()).unwrap_or(usize::MAX);
        if bytes.len() > most {
            return Err(DeviceError::WrongSize { found: bytes.len(), wanted: most });
        }
        upload(&self.gpu, &self.source, bytes)
    }

    /// Empties the grids.
    pub(super) fn encode_empty(&self, encoder: &mut wgpu::CommandEncoder) {
        encoder.clear_buffer(&self.counts, 0, None);
    }

    /// Counts the piece at hand on top of what the grids hold.
    pub(super) fn encode(&self, encoder: &mut wgpu::CommandEncoder, workgroups: &[[u32; 2]]) {
        let pixels = grid(self.pixels, Edge::Between);
        let passes = self.before.iter().map(|ready| (ready, pixels));
        for (ready, [x, y]) in passes.chain(self.kernels.iter().zip(workgroups.iter().copied())) {
            let descriptor = wgpu::ComputePassDescriptor { label: Some("scopes"), timestamp_writes: None };
            let mut pass = encoder.begin_compute_pass(&descriptor);
            pass.set_pipeline(&ready.pipeline);
            pass.set_bind_group(0, &ready.bind, &[]);
            pass.dispatch_workgroups(x, y, 1);
        }
    }

    fn read(&self) -> Result<Vec<u32>, DeviceError> {
        let mut encoder = self.gpu.device.create_command_encoder(&wgpu::CommandEncoderDescriptor::default());
        encoder.copy_buffer_to_buffer(&self.counts, 0, &self.readback, 0, self.readback.size());
        let submission = self.gpu.queue.submit([encoder.finish()]);
        let (done, mapped) = channel();
        self.readback.map_async(wgpu::MapMode::Read, .., move |result| {
            let _ = done.send(result);
        });
        self.gpu.wait(Some(submission))?;
        let refused = |error: &dyn std::fmt::Display| failed(&self.gpu, error);
        mapped.recv().map_err(|error| refused(&error))?.map_err(|error| refused(&error))?;
        let view = self.readback.get_mapped_range(..).map_err(|error| refused(&error))?;
        let words = bytemuck::cast_slice(&view).to_vec();
        drop(view);
        self.readback.unmap();
        Ok(words)
    }
}

/// Counts the scopes of frames, in tiles where they are too large, on a new device where one is lost.
pub struct Scopes {
    choice: AdapterChoice,
    gpu: Arc<Gpu>,
    program: ScopesProgram,
    tile: Option<u32>,
    counter: Option<Counter>,
}

impl Scopes {
    /// On an open device; `choice` says what to open when it is lost, `tile` the edge of tiles that are forced.
    pub fn new(gpu: Arc<Gpu>, choice: AdapterChoice, program: ScopesProgram, tile: Option<u32>) -> Self {
        Self { choice, gpu, program, tile, counter: None }
    }

    /// The device it runs on now.
    pub fn gpu(&self) -> &Arc<Gpu> {
        &self.gpu
    }

    /// What is counted, and where it lies among the counts.
    pub fn program(&self) -> &ScopesProgram {
        &self.program
    }

    /// Takes a program of other settings. One of the same shape writes bytes only.
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
    }

    /// Counts a frame; the grids stay on the device.
    ///
    /// # Errors
    /// A frame that is stored otherwise than the program says; what a new device does not mend.
    pub fn send(&mut self, frame: &Frame) -> Result<(), DeviceError> {
        self.again_if_lost(|scopes| scopes.start(frame))
    }

    /// Counts a frame and reads what was counted, scope by scope.
    ///
    /// # Errors
    /// As [`Scopes::send`].
    pub fn count(&mut self, frame: &Frame) -> Result<Vec<Counts>, DeviceError> {
        let words = self.again_if_lost(|scopes| {
            scopes.start(frame)?;
            scopes.counter.as_ref().ok_or_else(nothing)?.read()
        })?;
        self.program.counts(&words).ok_or_else(nothing)
    }

    /// Reads what the frame sent last has counted.
    ///
    /// # Errors
    /// No frame was sent; a lost device, on which the counts are lost too.
    pub fn read(&self) -> Result<Vec<Counts>, DeviceError> {
        let words = self.counter.as_ref().ok_or_else(nothing)?.read()?;
        self.program.counts(&words).ok_or_else(nothing)
    }

    /// The grids on the device, as [`ScopesProgram::grids`] places them; none before a frame was sent.
    pub fn grids(&self) -> Option<&wgpu::Buffer> {
        self.counter.as_ref().map(|counter| &counter.counts)
    }

    fn start(&mut self, frame: &Frame) -> Result<(), DeviceError> {
        let (size, layout) = (frame.size(), frame.layout());
        let wanted = self.program.source.stored().map_or(BETWEEN, |(layout, _)| layout);
        if layout != wanted {
            let fault = format!("these scopes count frames of {wanted}; this one is of {layout}");
            return Err(DeviceError::Refused(fault));
        }
        let between = if self.program.before.is_empty() { 0 } else { 16 };
        let tile = tile_size(&self.gpu, self.tile, size, layout.bytes_per_pixel().max(between));
        let piece = tile.unwrap_or(size);
        let pixels = piece.pixels() as u64;
        if self.counter.as_ref().is_none_or(|counter| counter.pixels != pixels) {
            self.counter = None;
            self.counter = Some(Counter::new(&self.gpu, &self.program, pixels)?);
        }
        let counter = self.counter.as_ref().ok_or_else(nothing)?;
        let mut encoder = self.gpu.device.create_command_encoder(&wgpu::CommandEncoderDescriptor::default());
        counter.encode_empty(&mut encoder);
        self.gpu.queue.submit([encoder.finish()]);
        for y in (0..size.height).step_by(piece.height.max(1) as usize) {
            for x in (0..size.width).step_by(piece.width.max(1) as usize) {
                self.count_piece(counter, frame, Region::new(x, y, piece.width, piece.height, size), tile)?;
            }
        }
        self.gpu.trouble()
    }

    fn count_piece(
        &self,
        counter: &Counter,
        frame: &Frame,
        piece: Option<Region>,
        tile: Option<Size>,
    ) -> Result<(), DeviceError> {
        let Some(piece) = piece else { return Ok(()) };
        let Some(workgroups) = counter.place(&self.program, piece) else { return Ok(()) };
        match tile {
            None => counter.upload(frame.bytes())?,
            Some(_) => counter.upload(frame.crop(piece.x(), piece.y(), piece.width(), piece.height()).bytes())?,
        }
        let mut encoder = self.gpu.device.create_command_encoder(&wgpu::CommandEncoderDescriptor::default());
        counter.encode(&mut encoder, &workgroups);
        self.gpu.queue.submit([encoder.finish()]);
        Ok(())
    }

    /// Does some work; where the device is lost, opens it again and repeats.
    fn again_if_lost<T>(
        &mut self,
        mut work: impl FnMut(&mut Self) -> Result<T, DeviceError>,
    ) -> Result<T, DeviceError> {
        let mut done = work(self);
        for _ in 0..ATTEMPTS {
            let Err(DeviceError::Lost { reason }) = &done else { break };
            self.counter = None;
            self.gpu = Gpu::open(&self.choice)?.ok_or_else(|| DeviceError::Lost { reason: reason.clone() })?;
            done = work(self);
        }
        done
    }
}

fn nothing() -> DeviceError {
    DeviceError::Refused("no frame has been counted".to_string())
}
