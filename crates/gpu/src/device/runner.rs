//! A program on frames of one size: several frames on their way at once, results in order.

use std::sync::Arc;
use std::sync::mpsc::{Receiver, channel};

use super::{DeviceError, Gpu};
use crate::assemble::{Edge, Place, Program, WORKGROUP, group_of};

/// Workgroups of one row of the dispatch; more rows follow.
const GROUPS_A_ROW: u32 = 32768;

/// A frame on its way through the device.
#[derive(Debug)]
pub struct Ticket {
    slot: usize,
    submission: wgpu::SubmissionIndex,
    mapped: Receiver<Result<(), wgpu::BufferAsyncError>>,
}

/// Buffers of one frame on its way.
#[derive(Debug)]
struct Slot {
    source: wgpu::Buffer,
    result: wgpu::Buffer,
    /// Where the result is mapped: the result itself on devices that share memory.
    readback: Option<wgpu::Buffer>,
    binds: Vec<wgpu::BindGroup>,
    busy: bool,
}

/// A program bound to buffers for frames of so many pixels.
#[derive(Debug)]
pub struct Runner {
    gpu: Arc<Gpu>,
    pixels: u64,
    passes: Vec<(wgpu::ComputePipeline, wgpu::Buffer, [u32; 2])>,
    tables: Vec<wgpu::Buffer>,
    result_len: u64,
    source_len: u64,
    /// Whether the last pass asks where its pixels lie.
    is_placed: bool,
    slots: Vec<Slot>,
}

pub(super) fn buffer(gpu: &Gpu, label: &str, size: u64, usage: wgpu::BufferUsages) -> wgpu::Buffer {
    let size = size.next_multiple_of(16).max(16);
    gpu.device.create_buffer(&wgpu::BufferDescriptor { label: Some(label), size, usage, mapped_at_creation: false })
}

/// Whether a pass's tables fit into one buffer of the device.
pub(super) fn tables_fit(gpu: &Gpu, tables: &[f32]) -> Result<(), DeviceError> {
    let (bytes, most) = (tables.len() as u64 * 4, gpu.largest_buffer());
    if bytes <= most {
        return Ok(());
    }
    let mebibytes = |bytes: u64| bytes.div_ceil(1 << 20);
    Err(DeviceError::Refused(format!(
        "the LUTs and curves of one pass take {} MiB, and {} takes {} MiB at once; use smaller LUTs, or set \
         GREYWRIGHT_ADAPTER=none",
        mebibytes(bytes),
        gpu.note.name,
        most >> 20
    )))
}

/// Rows and columns of workgroups that cover the pixels.
pub(super) fn grid(pixels: u64, result: Edge) -> [u32; 2] {
    let threads = pixels.div_ceil(u64::from(group_of(result)));
    let groups = u32::try_from(threads.div_ceil(u64::from(WORKGROUP))).unwrap_or(u32::MAX);
    if groups <= GROUPS_A_ROW { [groups.max(1), 1] } else { [GROUPS_A_ROW, groups.div_ceil(GROUPS_A_ROW)] }
}

impl Runner {
    /// Binds a program to buffers for `in_flight` frames of `pixels` pixels.
    ///
    /// # Errors
    /// A pass that does not compile, a lost device, buffers beyond the device's limits.
    pub fn new(gpu: &Arc<Gpu>, program: &Program, pixels: u64, in_flight: usize) -> Result<Self, DeviceError> {
        use wgpu::BufferUsages as Usage;
        let source = program.passes.first().map_or(Edge::Between, |pass| pass.source);
        let result = program.passes.last().map_or(Edge::Between, |pass| pass.result);
        let mut passes = Vec::with_capacity(program.passes.len());
        let mut tables = Vec::with_capacity(program.passes.len());
        for pass in &program.passes {
            let pipeline = gpu.pipelines.get(&pass.wgsl)?;
            tables_fit(gpu, &pass.tables)?;
            let settings = buffer(gpu, "settings", pass.settings.len() as u64, Usage::UNIFORM | Usage::COPY_DST);
            let table = buffer(gpu, "tables", pass.tables.len() as u64 * 4, Usage::STORAGE | Usage::COPY_DST);
            passes.push((pipeline, settings, grid(pixels, pass.result)));
            tables.push(table);
        }
        // Two are enough between passes: each pass reads one and writes the other, in order.
        let between_len = if passes.len() > 1 { Edge::Between.byte_len(pixels) } else { 0 };
        let between = [0, 1].map(|_| buffer(gpu, "between", between_len, Usage::STORAGE));
        let (source_len, result_len) = (source.byte_len(pixels), result.byte_len(pixels));
        let mut slots = Vec::with_capacity(in_flight);
        for _ in 0..in_flight.max(1) {
            let write = if gpu.direct { Usage::MAP_WRITE } else { Usage::COPY_DST };
            let read = if gpu.direct { Usage::MAP_READ } else { Usage::COPY_SRC };
            let source = buffer(gpu, "source", source_len, Usage::STORAGE | write);
            let result = buffer(gpu, "result", result_len, Usage::STORAGE | read);
            let readback =
                (!gpu.direct).then(|| buffer(gpu, "readback", result_len, Usage::MAP_READ | Usage::COPY_DST));
            let last = passes.len().saturating_sub(1);
            let binds = (0..passes.len())
                .map(|at| {
                    let from = if at == 0 { &source } else { &between[(at + 1) % 2] };
                    let to = if at == last { &result } else { &between[at % 2] };
                    bind(gpu, &passes[at].1, &tables[at], from, to)
                })
                .collect();
            slots.push(Slot { source, result, readback, binds, busy: false });
        }
        let is_placed = program.passes.last().is_some_and(|pass| pass.placed);
        let runner = Self { gpu: Arc::clone(gpu), pixels, passes, tables, result_len, source_len, is_placed, slots };
        for (number, pass) in program.passes.iter().enumerate() {
            runner.set_tables(number, &pass.tables);
        }
        runner.set(program);
        gpu.trouble()?;
        Ok(runner)
    }

    /// Writes the settings of a program of the same shape: what a moved slider does.
    pub fn set(&self, program: &Program) {
        for (pass, (_, settings, _)) in program.passes.iter().zip(&self.passes) {
            let mut bytes = pass.settings.clone();
            let pixels = u32::try_from(self.pixels).unwrap_or(u32::MAX);
            if let Some(head) = bytes.get_mut(..4) {
                head.copy_from_slice(&pixels.to_le_bytes());
            }
            self.gpu.queue.write_buffer(settings, 0, &bytes);
        }
    }

    /// Writes the tables of a pass of the same shape, as many numbers as before: what another LUT of the same size does.
    pub fn set_tables(&self, pass: usize, tables: &[f32]) {
        if let Some(buffer) = self.tables.get(pass) {
            self.gpu.queue.write_buffer(buffer, 0, bytemuck::cast_slice(tables));
        }
    }

    /// Whether another frame can be sent before one is collected.
    pub fn has_room(&self) -> bool {
        self.slots.iter().any(|slot| !slot.busy)
    }

    /// Sends stored bytes on their way: of a frame, or of the piece of one that `place` says.
    ///
    /// # Errors
    /// Bytes of the wrong length, no room, a lost device.
    pub fn send(&mut self, bytes: &[u8], place: Place) -> Result<Ticket, DeviceError> {
        let wanted = usize::try_from(self.source_len).unwrap_or(usize::MAX);
        // A last group of pixels may be padded beyond the frame.
        if bytes.len() > wanted || bytes.len() + 16 <= wanted {
            return Err(DeviceError::WrongSize { found: bytes.len(), wanted });
        }
        let slot_index = self.slots.iter().position(|slot| !slot.busy);
        let slot_index = slot_index.ok_or_else(|| DeviceError::Refused("every buffer is in use".to_string()))?;
        let slot = &self.slots[slot_index];
        upload(&self.gpu, &slot.source, bytes)?;
        if let (true, Some((_, settings, _))) = (self.is_placed, self.passes.last()) {
            // Written in the order of submissions: frames that are on their way keep theirs.
            self.gpu.queue.write_buffer(settings, Place::AT, &place.bytes());
        }
        let mut encoder = self.gpu.device.create_command_encoder(&wgpu::CommandEncoderDescriptor::default());
        self.encode(&mut encoder, slot_index, None);
        if let Some(readback) = &slot.readback {
            encoder.copy_buffer_to_buffer(&slot.result, 0, readback, 0, readback.size());
        }
        let submission = self.gpu.queue.submit([encoder.finish()]);
        let (done, mapped) = channel();
        let target = slot.readback.as_ref().unwrap_or(&slot.result);
        target.map_async(wgpu::MapMode::Read, .., move |result| {
            // The receiver is gone when nobody wants the result any more.
            let _ = done.send(result);
        });
        self.slots[slot_index].busy = true;
        self.gpu.trouble()?;
        Ok(Ticket { slot: slot_index, submission, mapped })
    }

    fn failed(&self, error: &dyn std::fmt::Display) -> DeviceError {
        failed(&self.gpu, error)
    }

    /// Encodes the passes of one slot, with timestamps at their begin and end if a query set is given.
    pub(super) fn encode(
        &self,
        encoder: &mut wgpu::CommandEncoder,
        slot: usize,
        timed: Option<(&wgpu::QuerySet, u32)>,
    ) {
        let last = self.passes.len().saturating_sub(1);
        for (at, (pipeline, _, [x, y])) in self.passes.iter().enumerate() {
            let timestamp_writes = timed.map(|(query_set, first)| wgpu::ComputePassTimestampWrites {
                query_set,
                beginning_of_pass_write_index: (at == 0).then_some(first),
                end_of_pass_write_index: (at == last).then_some(first + 1),
            });
            let timestamp_writes = timestamp_writes.filter(|writes| {
                writes.beginning_of_pass_write_index.is_some() || writes.end_of_pass_write_index.is_some()
            });
            let mut pass =
                encoder.begin_compute_pass(&wgpu::ComputePassDescriptor { label: Some("pass"), timestamp_writes });
            pass.set_pipeline(pipeline);
            pass.set_bind_group(0, &self.slots[slot].binds[at], &[]);
            pass.dispatch_workgroups(*x, *y, 1);
        }
    }

    /// How many frames can be on their way.
    pub(super) fn slot_count(&self) -> usize {
        self.slots.len()
    }

    /// Fills the sources, for timing. Not for use while frames are on their way.
    pub(super) fn fill(&self, words: &[u32]) -> Result<(), DeviceError> {
        let length = usize::try_from(self.source_len).unwrap_or(usize::MAX).min(words.len() * 4);
        self.slots.iter().try_for_each(|slot| upload(&self.gpu, &slot.source, &bytemuck::cast_slice(words)[..length]))
    }

    /// Waits for a frame and takes its stored bytes into `out`, which keeps its memory.
    ///
    /// # Errors
    /// A lost device; work that the device refused.
    pub fn collect(&mut self, ticket: Ticket, out: &mut Vec<u8>) -> Result<(), DeviceError> {
        let waited = self.gpu.wait(Some(ticket.submission));
        self.slots[ticket.slot].busy = false;
        waited?;
        let slot = &self.slots[ticket.slot];
        let target = slot.readback.as_ref().unwrap_or(&slot.result);
        match ticket.mapped.recv() {
            Ok(Ok(())) => {}
            Ok(Err(error)) => return Err(self.failed(&error)),
            Err(error) => return Err(self.failed(&error)),
        }
        let view = target.get_mapped_range(..self.result_len).map_err(|error| self.failed(&error))?;
        out.clear();
        out.extend_from_slice(&view);
        drop(view);
        target.unmap();
        Ok(())
    }
}

pub(super) fn bind(
    gpu: &Gpu,
    settings: &wgpu::Buffer,
    tables: &wgpu::Buffer,
    from: &wgpu::Buffer,
    to: &wgpu::Buffer,
) -> wgpu::BindGroup {
    let entries = [
        wgpu::BindGroupEntry { binding: 0, resource: settings.as_entire_binding() },
        wgpu::BindGroupEntry { binding: 1, resource: tables.as_entire_binding() },
        wgpu::BindGroupEntry { binding: 2, resource: from.as_entire_binding() },
        wgpu::BindGroupEntry { binding: 3, resource: to.as_entire_binding() },
    ];
    gpu.device.create_bind_group(&wgpu::BindGroupDescriptor {
        label: Some("pass"),
        layout: gpu.pipelines.bind_layout(),
        entries: &entries,
    })
}

/// Writes bytes to the front of a pass's source.
pub(super) fn upload(gpu: &Gpu, source: &wgpu::Buffer, bytes: &[u8]) -> Result<(), DeviceError> {
    if !gpu.direct {
        let whole = bytes.len() / 4 * 4;
        gpu.queue.write_buffer(source, 0, &bytes[..whole]);
        let rest = &bytes[whole..];
        if !rest.is_empty() {
            let mut word = [0; 4];
            word[..rest.len()].copy_from_slice(rest);
            gpu.queue.write_buffer(source, whole as u64, &word);
        }
        return Ok(());
    }
    let (done, mapped) = channel();
    source.map_async(wgpu::MapMode::Write, .., move |result| {
        let _ = done.send(result);
    });
    gpu.device.poll(wgpu::PollType::Poll).map_err(|error| DeviceError::Refused(error.to_string()))?;
    if !matches!(mapped.try_recv(), Ok(Ok(()))) {
        gpu.wait(None)?;
    }
    let mut view = source.get_mapped_range_mut(..).map_err(|error| failed(gpu, &error))?;
    view.slice(..bytes.len()).copy_from_slice(bytes);
    drop(view);
    source.unmap();
    Ok(())
}

/// Why the device did not hand over a buffer.
pub(super) fn failed(gpu: &Gpu, error: &dyn std::fmt::Display) -> DeviceError {
    gpu.trouble().err().unwrap_or_else(|| DeviceError::Refused(error.to_string()))
}
