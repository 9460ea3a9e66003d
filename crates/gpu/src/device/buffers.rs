//! Buffers: how they are made, used again, and filled.

use std::sync::Arc;
use std::sync::mpsc::{Receiver, channel};

use wgpu::BufferUsages as Usage;

use super::{DeviceError, Gpu};

/// Bytes of a buffer that holds so many: whole groups of sixteen, which is what the widest load takes.
pub(super) fn rounded(bytes: u64) -> u64 {
    bytes.next_multiple_of(16).max(16)
}

pub(super) fn buffer(gpu: &Gpu, label: &str, size: u64, usage: Usage) -> wgpu::Buffer {
    let size = rounded(size);
    gpu.device.create_buffer(&wgpu::BufferDescriptor { label: Some(label), size, usage, mapped_at_creation: false })
}

/// How a buffer is used that [`upload`] fills.
pub(super) fn source_usage(gpu: &Gpu) -> Usage {
    Usage::STORAGE | if gpu.direct { Usage::MAP_WRITE } else { Usage::COPY_DST }
}

/// Buffers of one use, each used again once nobody else holds it.
#[derive(Debug, Default)]
pub(super) struct Stock {
    buffers: Vec<Arc<wgpu::Buffer>>,
}

impl Stock {
    /// A buffer of so many bytes that nobody holds. Free ones of another length have had their time.
    pub(super) fn take(&mut self, gpu: &Gpu, label: &str, bytes: u64, usage: Usage) -> Arc<wgpu::Buffer> {
        let is_free = |buffer: &Arc<wgpu::Buffer>| Arc::strong_count(buffer) == 1;
        let fits = |buffer: &&Arc<wgpu::Buffer>| is_free(buffer) && buffer.size() == rounded(bytes);
        if let Some(buffer) = self.buffers.iter().find(fits) {
            return Arc::clone(buffer);
        }
        self.buffers.retain(|buffer| !is_free(buffer));
        let made = Arc::new(buffer(gpu, label, bytes, usage));
        self.buffers.push(Arc::clone(&made));
        made
    }
}

/// Writes bytes to the front of a source. Where memory is not shared this waits for no work: the bytes go along with the next
/// submission.
pub(super) fn upload(gpu: &Gpu, source: &wgpu::Buffer, bytes: &[u8]) -> Result<(), DeviceError> {
    gpu.count_upload();
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

/// The first bytes of a buffer that can be mapped for reading, once the work that fills it is done.
#[derive(Debug)]
pub(super) struct Reading {
    target: Arc<wgpu::Buffer>,
    submission: wgpu::SubmissionIndex,
    mapped: Receiver<Result<(), wgpu::BufferAsyncError>>,
}

impl Reading {
    /// Asks for what a submission leaves in `target`.
    pub(super) fn of(target: Arc<wgpu::Buffer>, submission: wgpu::SubmissionIndex) -> Self {
        let (done, mapped) = channel();
        target.map_async(wgpu::MapMode::Read, .., move |result| {
            // The receiver is gone when nobody wants the result any more.
            let _ = done.send(result);
        });
        Self { target, submission, mapped }
    }

    /// Waits, and shows the first `bytes` bytes to `look`.
    pub(super) fn finish<T>(self, gpu: &Gpu, bytes: u64, look: impl FnOnce(&[u8]) -> T) -> Result<T, DeviceError> {
        gpu.wait(Some(self.submission.clone()))?;
        match self.mapped.recv() {
            Ok(Ok(())) => {}
            Ok(Err(error)) => return Err(failed(gpu, &error)),
            Err(error) => return Err(failed(gpu, &error)),
        }
        let view = self.target.get_mapped_range(..bytes).map_err(|error| failed(gpu, &error))?;
        Ok(look(&view))
    }
}

/// Whether it was read or not, the buffer can be used again.
impl Drop for Reading {
    fn drop(&mut self) {
        self.target.unmap();
    }
}

/// Why the device did not hand over a buffer.
pub(super) fn failed(gpu: &Gpu, error: &dyn std::fmt::Display) -> DeviceError {
    gpu.trouble().err().unwrap_or_else(|| DeviceError::Refused(error.to_string()))
}
