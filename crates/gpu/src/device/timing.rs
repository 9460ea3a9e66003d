//! Time of passes on the device, by timestamps, several jobs interleaved in one run.

use std::sync::Arc;

use frame::Size;
use measure::scopes::Region;

use super::buffers::{buffer, source_usage, upload};
use super::runner::Runner;
use super::scopes::{Bound, Counter};
use super::{DeviceError, Gpu};
use crate::assemble::{Edge, Program, ScopesProgram};

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
    Program(Box<Runner>, Vec<Vec<wgpu::BindGroup>>),
    Copy(Vec<[wgpu::Buffer; 2]>, u64),
    Scopes(Vec<(Counter, Bound)>),
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
                Ready::Program(runner, sets) => {
                    runner.encode(&mut encoder, &sets[round % sets.len()], Some((&query_set, 0)));
                }
                Ready::Copy(sets, bytes) => {
                    let [from, to] = &sets[round % sets.len()];
                    encoder.write_timestamp(&query_set, 0);
                    encoder.copy_buffer_to_buffer(from, 0, to, 0, *bytes);
                    encoder.write_timestamp(&query_set, 1);
                }
                Ready::Scopes(sets) => {
                    let (counter, bound) = &sets[round % sets.len()];
                    encoder.write_timestamp(&query_set, 0);
                    counter.encode_empty(&mut encoder);
                    counter.encode(&mut encoder, bound);
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
    let source = |edge: Edge| {
        let length = edge.byte_len(pixels);
        let source = buffer(gpu, "source", length, source_usage(gpu));
        let length = usize::try_from(length).unwrap_or(usize::MAX).min(words.len() * 4);
        upload(gpu, &source, &bytemuck::cast_slice(words)[..length])?;
        Ok(source)
    };
    match job {
        Job::Program(program) => {
            let mut runner = Runner::new(gpu, program, pixels, sets)?;
            let edge = program.passes.first().map_or(Edge::Between, |pass| pass.source);
            let results: Vec<_> = (0..sets).map(|_| runner.result_buffer(pixels)).collect();
            let sets = results.iter().map(|result| Ok(runner.bind(&source(edge)?, result)));
            let sets = sets.collect::<Result<_, DeviceError>>()?;
            Ok(Ready::Program(Box::new(runner), sets))
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
                let whole = Region::whole(size).ok_or_else(|| refused("a picture without pixels"))?;
                let bound = counter.bind(program, whole, &source(program.source)?);
                Ok((counter, bound.ok_or_else(|| refused("a region that lies outside the picture"))?))
            });
            Ok(Ready::Scopes(sets.collect::<Result<_, DeviceError>>()?))
        }
    }
}

fn refused(fault: &str) -> DeviceError {
    DeviceError::Refused(format!("{fault} cannot be timed"))
}
