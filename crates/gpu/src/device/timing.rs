//! Time of passes on the device, by timestamps, several jobs interleaved in one run.

use std::sync::Arc;

use frame::Size;
use measure::scopes::Region;

use super::runner::Runner;
use super::scopes::Counter;
use super::{DeviceError, Gpu};
use crate::assemble::{Program, ScopesProgram};

/// What is timed.
#[derive(Debug, Clone, Copy)]
pub enum Job<'a> {
    /// A program, over buffers that alternate so that no cache holds them.
    Program(&'a Program),
    /// A plain copy from buffer to buffer of so many bytes.
    Copy(u64),
    /// Scopes of a picture of this size, the grids emptied before.
    Scopes(&'a ScopesProgram, Size),
}

/// Seconds of every repeat of one job.
#[derive(Debug, Clone, PartialEq)]
pub struct Timing {
    /// In the order they ran.
    pub seconds: Vec<f64>,
}

impl Timing {
    /// The median in seconds.
    pub fn median(&self) -> f64 {
        let mut sorted = self.seconds.clone();
        sorted.sort_by(f64::total_cmp);
        sorted.get(sorted.len() / 2).copied().unwrap_or(0.0)
    }
}

enum Ready {
    Program(Runner),
    Copy(Vec<[wgpu::Buffer; 2]>, u64),
    Scopes(Vec<(Counter, Vec<[u32; 2]>)>),
}

/// Times every job `repeats` times, job after job in each round, over `sets` sets of buffers of `pixels` pixels
/// that hold `words` over and over.
///
/// # Errors
/// A device without timestamps, a lost device, a pass that does not compile.
pub fn time(
    gpu: &Arc<Gpu>,
    jobs: &[Job<'_>],
    pixels: u64,
    sets: usize,
    repeats: usize,
    words: &[u32],
) -> Result<Vec<Timing>, DeviceError> {
    if !gpu.timestamps {
        return Err(DeviceError::NoTimestamps);
    }
    let ready = jobs.iter().map(|job| prepare(gpu, *job, pixels, sets, words)).collect::<Result<Vec<_>, _>>()?;
    let query_set = gpu.device.create_query_set(&wgpu::QuerySetDescriptor {
        label: Some("times"),
        ty: wgpu::QueryType::Timestamp,
        count: 2,
    });
    let usage = wgpu::BufferUsages::QUERY_RESOLVE | wgpu::BufferUsages::COPY_SRC;
    let resolved = gpu.device.create_buffer(&wgpu::BufferDescriptor {
        label: Some("times"),
        size: 16,
        usage,
        mapped_at_creation: false,
    });
    let usage = wgpu::BufferUsages::MAP_READ | wgpu::BufferUsages::COPY_DST;
    let read = gpu.device.create_buffer(&wgpu::BufferDescriptor {
        label: Some("times"),
        size: 16,
        usage,
        mapped_at_creation: false,
    });
    let period = f64::from(gpu.queue.get_timestamp_period()) * 1e-9;
    let mut timings = vec![Timing { seconds: Vec::with_capacity(repeats) }; jobs.len()];
    // The first rounds bring clocks and caches to their working state.
    let warm_up = sets.max(3);
    for round in 0..warm_up + repeats {
        for (job, timing) in ready.iter().zip(&mut timings) {
            let mut encoder = gpu.device.create_command_encoder(&wgpu::CommandEncoderDescriptor::default());
            match job {
                Ready::Program(runner) => {
                    runner.encode(&mut encoder, round % runner.slot_count(), Some((&query_set, 0)))
                }
                Ready::Copy(sets, bytes) => {
                    let [from, to] = &sets[round % sets.len()];
                    encoder.write_timestamp(&query_set, 0);
                    encoder.copy_buffer_to_buffer(from, 0, to, 0, *bytes);
                    encoder.write_timestamp(&query_set, 1);
                }
                Ready::Scopes(sets) => {
                    let (counter, workgroups) = &sets[round % sets.len()];
                    encoder.write_timestamp(&query_set, 0);
                    counter.encode_empty(&mut encoder);
                    counter.encode(&mut encoder, workgroups);
                    encoder.write_timestamp(&query_set, 1);
                }
            }
            encoder.resolve_query_set(&query_set, 0..2, &resolved, 0);
            encoder.copy_buffer_to_buffer(&resolved, 0, &read, 0, 16);
            let submission = gpu.queue.submit([encoder.finish()]);
            read.map_async(wgpu::MapMode::Read, .., |_| {});
            gpu.wait(Some(submission))?;
            let view = read.get_mapped_range(..).map_err(|error| DeviceError::Refused(error.to_string()))?;
            let ticks: &[u64] = bytemuck::cast_slice(&view);
            if round >= warm_up {
                timing.seconds.push(ticks[1].saturating_sub(ticks[0]) as f64 * period);
            }
            drop(view);
            read.unmap();
        }
    }
    Ok(timings)
}

fn prepare(gpu: &Arc<Gpu>, job: Job<'_>, pixels: u64, sets: usize, words: &[u32]) -> Result<Ready, DeviceError> {
    match job {
        Job::Program(program) => {
            let runner = Runner::new(gpu, program, pixels, sets)?;
            runner.fill(words)?;
            Ok(Ready::Program(runner))
        }
        Job::Copy(bytes) => {
            let usage = wgpu::BufferUsages::COPY_SRC | wgpu::BufferUsages::COPY_DST;
            let descriptor =
                wgpu::BufferDescriptor { label: Some("copy"), size: bytes, usage, mapped_at_creation: false };
            let pair = || [gpu.device.create_buffer(&descriptor), gpu.device.create_buffer(&descriptor)];
            let sets: Vec<_> = (0..sets).map(|_| pair()).collect();
            for [from, _] in &sets {
                let words = &words[..words.len().min(usize::try_from(bytes / 4).unwrap_or(usize::MAX))];
                gpu.queue.write_buffer(from, 0, bytemuck::cast_slice(words));
            }
            Ok(Ready::Copy(sets, bytes))
        }
        Job::Scopes(program, size) => {
            let sets = (0..sets).map(|_| {
                let counter = Counter::new(gpu, program, size.pixels() as u64)?;
                let length = usize::try_from(program.source.byte_len(size.pixels() as u64)).unwrap_or(usize::MAX);
                let bytes: &[u8] = bytemuck::cast_slice(words);
                counter.upload(&bytes[..bytes.len().min(length)])?;
                let whole = Region::whole(size);
                let workgroups = whole.and_then(|whole| counter.place(program, whole)).unwrap_or_default();
                Ok((counter, workgroups))
            });
            Ok(Ready::Scopes(sets.collect::<Result<_, DeviceError>>()?))
        }
    }
}
