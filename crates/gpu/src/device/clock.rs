//! How long the device takes to draw a picture, by its own clock.

use std::sync::Arc;

use wgpu::BufferUsages as Usage;

use super::buffers::buffer;
use super::{DeviceError, Gpu};

/// Bytes of two timestamps.
pub(super) const BYTES: u64 = 16;

/// Takes the time at the begin and the end of what is submitted.
#[derive(Debug)]
pub(super) struct Clock {
    queries: wgpu::QuerySet,
    resolved: wgpu::Buffer,
}

impl Clock {
    /// The device's clock; none where it has none. The times that a software adapter gives are none of its work.
    pub(super) fn new(gpu: &Gpu) -> Option<Self> {
        let descriptor = wgpu::QuerySetDescriptor { label: Some("clock"), ty: wgpu::QueryType::Timestamp, count: 2 };
        (gpu.timestamps && gpu.note.kind != "software").then(|| Self {
            queries: gpu.device.create_query_set(&descriptor),
            resolved: buffer(gpu, "clock", BYTES, Usage::QUERY_RESOLVE | Usage::COPY_SRC),
        })
    }

    /// Where the two times are written.
    pub(super) fn queries(&self) -> &wgpu::QuerySet {
        &self.queries
    }

    /// Leaves the two times in a buffer that can be read.
    pub(super) fn leave(&self, gpu: &Gpu, encoder: &mut wgpu::CommandEncoder) -> Arc<wgpu::Buffer> {
        let times = Arc::new(buffer(gpu, "times", BYTES, Usage::MAP_READ | Usage::COPY_DST));
        encoder.resolve_query_set(&self.queries, 0..2, &self.resolved, 0);
        encoder.copy_buffer_to_buffer(&self.resolved, 0, &times, 0, BYTES);
        times
    }
}

/// Seconds between the two times.
pub(super) fn seconds(gpu: &Gpu, bytes: &[u8]) -> Result<f64, DeviceError> {
    let time = |at: usize| bytes.get(at..at + 8).and_then(|bytes| bytes.try_into().ok()).map(u64::from_le_bytes);
    let (Some(begin), Some(end)) = (time(0), time(8)) else {
        return Err(DeviceError::Refused("the device's clock gave no times".to_string()));
    };
    Ok(end.saturating_sub(begin) as f64 * f64::from(gpu.queue.get_timestamp_period()) * 1e-9)
}
