//! Originals that stay on the device.

use std::sync::{Arc, Mutex, Weak};

use frame::{Frame, Layout, Size};
use measure::scopes::Region;

use super::buffers::{Stock, rounded, source_usage, upload};
use super::tiles::{pieces, tile_size};
use super::{DeviceError, Gpu, lock};
use crate::assemble::{Edge, Place};

/// Bytes a pixel of the widest picture that a program over a held frame has: four floats.
const WIDEST: usize = 16;

/// An original on a device, as it is stored: uploaded once, and then the source of any number of programs and scopes.
///
/// Clones are the same upload. The frame itself is kept beside it, so that nothing is lost with a device: whoever uses a held
/// frame on the device that stands in for its lost one uploads it again, for all clones.
#[derive(Debug, Clone)]
pub struct Held(Arc<Inside>);

#[derive(Debug)]
pub(super) struct Inside {
    frame: Arc<Frame>,
    tile: Option<Size>,
    home: Mutex<Home>,
}

/// The device that has it, and the pieces there: one, where the frame fits one buffer.
#[derive(Debug)]
struct Home {
    gpu: Arc<Gpu>,
    pieces: Arc<[Piece]>,
}

/// A rectangle of a picture in a buffer of its own.
#[derive(Debug, Clone)]
pub(super) struct Piece {
    pub(super) region: Region,
    pub(super) buffer: Arc<wgpu::Buffer>,
}

impl Piece {
    /// Where it lies in frame `number`.
    pub(super) fn place(&self, number: i64) -> Place {
        Place { width: self.region.width(), left: self.region.x(), top: self.region.y(), number }
    }
}

impl Held {
    /// Uploads a frame; `tile` is the edge of tiles that are forced. Frames that are too large for the device's buffers are
    /// cut into bands. The bytes are on their way when this returns; it waits for no other work, and may run on a thread of its
    /// own beside work on the same device.
    ///
    /// # Errors
    /// A lost device; memory that the device has not.
    pub fn new(gpu: &Arc<Gpu>, frame: Arc<Frame>, tile: Option<u32>) -> Result<Self, DeviceError> {
        let tile = Self::tile(gpu, frame.size(), frame.layout(), tile);
        let held = Self::cut(gpu, frame, tile, &mut Stock::default())?;
        if !gpu.direct {
            // Sent now, not along with the work that comes next. Shared memory is written already, and some drivers let a
            // submission wait for the work before it.
            gpu.queue.submit([]);
        }
        gpu.trouble()?;
        Ok(held)
    }

    /// As [`Held::new`], cut into tiles of this size, into buffers of a stock.
    pub(super) fn cut(
        gpu: &Arc<Gpu>,
        frame: Arc<Frame>,
        tile: Option<Size>,
        stock: &mut Stock,
    ) -> Result<Self, DeviceError> {
        let pieces = uploaded(gpu, &frame, tile, stock)?;
        let home = Mutex::new(Home { gpu: Arc::clone(gpu), pieces });
        Ok(Self(Arc::new(Inside { frame, tile, home })))
    }

    /// The frame that was uploaded.
    pub fn frame(&self) -> &Arc<Frame> {
        &self.0.frame
    }

    /// Width and height.
    pub fn size(&self) -> Size {
        self.0.frame.size()
    }

    /// How it is stored.
    pub fn layout(&self) -> Layout {
        self.0.frame.layout()
    }

    /// Bytes that it takes on the device.
    pub fn byte_len(&self) -> u64 {
        byte_len(self.size(), self.layout(), self.0.tile)
    }

    /// Bytes that a frame would take on the device, as [`Held::new`] uploads it.
    pub fn byte_len_of(gpu: &Gpu, size: Size, layout: Layout, tile: Option<u32>) -> u64 {
        byte_len(size, layout, Self::tile(gpu, size, layout, tile))
    }

    /// Waits until it is there, and all that was submitted before it is done.
    ///
    /// # Errors
    /// A lost device; work that the device refused.
    pub fn wait(&self) -> Result<(), DeviceError> {
        let gpu = Arc::clone(&lock(&self.0.home).gpu);
        gpu.wait(None)
    }

    /// Whether the device that has it is lost, as far as [`Gpu::is_lost`] knows. Whoever uses it on the one that stands in for
    /// it uploads it again.
    pub fn is_lost(&self) -> bool {
        lock(&self.0.home).gpu.is_lost()
    }

    /// Whether it is one piece.
    pub(super) fn is_whole(&self) -> bool {
        self.regions().nth(1).is_none()
    }

    /// The rectangles of its pieces, in their order.
    pub(super) fn regions(&self) -> impl Iterator<Item = Region> + use<> {
        pieces(self.size(), self.0.tile)
    }

    /// Its pieces on a device, uploaded again if its own is lost.
    pub(super) fn on(&self, gpu: &Arc<Gpu>) -> Result<Arc<[Piece]>, DeviceError> {
        let mut home = lock(&self.0.home);
        if !Arc::ptr_eq(&home.gpu, gpu) {
            // Where the one that asks is lost, the frame may have gone before it to what stands in for it.
            gpu.still_there()?;
            if home.gpu.still_there().is_ok() {
                let fault = "the frame is held on another device; upload it to this one too".to_string();
                return Err(DeviceError::Refused(fault));
            }
            let pieces = uploaded(gpu, &self.0.frame, self.0.tile, &mut Stock::default())?;
            *home = Home { gpu: Arc::clone(gpu), pieces };
        }
        Ok(Arc::clone(&home.pieces))
    }

    /// For counting those that are still somewhere.
    pub(super) fn downgrade(&self) -> Weak<Inside> {
        Arc::downgrade(&self.0)
    }

    pub(super) fn of(inside: &Weak<Inside>) -> Option<Self> {
        inside.upgrade().map(Self)
    }

    fn tile(gpu: &Gpu, size: Size, layout: Layout, tile: Option<u32>) -> Option<Size> {
        tile_size(gpu, tile, size, layout.bytes_per_pixel().max(WIDEST))
    }
}

/// Bytes of the buffer of a piece.
fn piece_len(layout: Layout, piece: Region) -> u64 {
    rounded(Edge::Stored(layout, frame::Range::Full).byte_len(piece.pixels()))
}

fn byte_len(size: Size, layout: Layout, tile: Option<Size>) -> u64 {
    pieces(size, tile).map(|piece| piece_len(layout, piece)).sum()
}

fn uploaded(gpu: &Arc<Gpu>, frame: &Frame, tile: Option<Size>, stock: &mut Stock) -> Result<Arc<[Piece]>, DeviceError> {
    let one = |region: Region| {
        let buffer = stock.take(gpu, "source", piece_len(frame.layout(), region), source_usage(gpu));
        match tile {
            None => upload(gpu, &buffer, frame.bytes())?,
            Some(_) => {
                let piece = frame.crop(region.x(), region.y(), region.width(), region.height());
                upload(gpu, &buffer, piece.bytes())?;
            }
        }
        Ok(Piece { region, buffer })
    };
    pieces(frame.size(), tile).map(one).collect()
}
