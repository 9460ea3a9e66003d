//! Results that stay on the device.

use std::sync::Arc;

use frame::{Frame, Layout, Size};
use measure::scopes::Region;
use wgpu::BufferUsages as Usage;

use super::buffers::{Reading, buffer};
use super::held::Piece;
use super::{DeviceError, Gpu, clock};
use crate::assemble::Edge;

/// A picture that a program has drawn and left on the device, for a window or for playback.
///
/// The work may still be under way: what is submitted after it sees the picture whole. Its buffers are used again by the same
/// renderer once it is dropped. With its device it is lost: draw it again.
#[derive(Debug)]
pub struct Drawn {
    pub(super) gpu: Arc<Gpu>,
    pub(super) size: Size,
    pub(super) edge: Edge,
    pub(super) pieces: Vec<Piece>,
    /// The work that draws the last piece.
    pub(super) last: Option<wgpu::SubmissionIndex>,
    /// When the work on each piece began and ended.
    pub(super) times: Vec<Arc<wgpu::Buffer>>,
}

impl Drawn {
    /// Width and height.
    pub fn size(&self) -> Size {
        self.size
    }

    /// How its pixels are stored.
    pub fn edge(&self) -> Edge {
        self.edge
    }

    /// The device that has it.
    pub fn gpu(&self) -> &Arc<Gpu> {
        &self.gpu
    }

    /// Its pieces, each a rectangle of the picture and its pixels row by row without padding: one, where the picture fits one
    /// buffer of the device. The buffers can be bound as storage and copied from.
    pub fn pieces(&self) -> impl Iterator<Item = (Region, &wgpu::Buffer)> {
        self.pieces.iter().map(|piece| (piece.region, &*piece.buffer))
    }

    /// Whether its device is lost, and the picture with it, as far as [`Gpu::is_lost`] knows.
    pub fn is_lost(&self) -> bool {
        self.gpu.is_lost()
    }

    /// Waits until it is drawn, and all that was submitted before it is done; not for what came later.
    ///
    /// # Errors
    /// A lost device; work that the device refused.
    pub fn wait(&self) -> Result<(), DeviceError> {
        self.gpu.wait(self.last.clone())
    }

    /// Waits until it is drawn, and says how many seconds the device worked on it, by its own clock. None where it has none.
    ///
    /// # Errors
    /// A lost device; work that the device refused.
    pub fn device_seconds(&self) -> Result<Option<f64>, DeviceError> {
        let Some(last) = self.last.as_ref().filter(|_| !self.times.is_empty()) else { return Ok(None) };
        let mut sum = 0.0;
        for times in &self.times {
            let reading = Reading::of(Arc::clone(times), last.clone());
            sum += reading.finish(&self.gpu, clock::BYTES, |bytes| clock::seconds(&self.gpu, bytes))??;
        }
        Ok(Some(sum))
    }

    /// Fetches it.
    ///
    /// # Errors
    /// A lost device; work that the device refused.
    pub fn read(&self) -> Result<Frame, DeviceError> {
        let mut whole = Assembly::new(self.size, self.edge.layout());
        for piece in &self.pieces {
            let bytes = self.edge.byte_len(piece.region.pixels());
            let target = Arc::new(buffer(&self.gpu, "readback", bytes, Usage::MAP_READ | Usage::COPY_DST));
            let mut encoder = self.gpu.device.create_command_encoder(&wgpu::CommandEncoderDescriptor::default());
            encoder.copy_buffer_to_buffer(&piece.buffer, 0, &target, 0, target.size());
            let submission = self.gpu.queue.submit([encoder.finish()]);
            Reading::of(target, submission).finish(&self.gpu, bytes, |bytes| whole.put(piece.region, bytes))?;
        }
        whole.finish()
    }
}

/// A frame put together from pieces.
pub(super) struct Assembly {
    size: Size,
    layout: Layout,
    bytes: Vec<u8>,
}

impl Assembly {
    pub(super) fn new(size: Size, layout: Layout) -> Self {
        Self { size, layout, bytes: vec![0; layout.byte_len(size).unwrap_or(0)] }
    }

    /// Takes the rows of a piece; what follows them is padding.
    pub(super) fn put(&mut self, piece: Region, bytes: &[u8]) {
        let pixel = self.layout.bytes_per_pixel();
        let [width, left] = [piece.width(), piece.x()].map(|columns| columns as usize * pixel);
        let stride = self.size.width as usize * pixel;
        let rows = self.bytes.chunks_exact_mut(stride.max(1)).skip(piece.y() as usize).take(piece.height() as usize);
        for (row, from) in rows.zip(bytes.chunks_exact(width.max(1))) {
            if let Some(to) = row.get_mut(left..left + width) {
                to.copy_from_slice(from);
            }
        }
    }

    pub(super) fn finish(self) -> Result<Frame, DeviceError> {
        Frame::new(self.size, self.layout, self.bytes, 0).map_err(|error| DeviceError::Refused(error.to_string()))
    }
}
