//! Frames that are too large for the device's buffers, cut into pieces.

use frame::Size;

use super::Gpu;

/// The tiles that a frame must be cut into, where its largest buffer takes so many bytes a pixel: as forced, or bands that fit
/// the device's buffers. None if it fits whole.
pub(super) fn tile_size(gpu: &Gpu, forced: Option<u32>, size: Size, bytes_per_pixel: usize) -> Option<Size> {
    if let Some(edge) = forced {
        return Some(Size::new(edge.min(size.width), edge.min(size.height)));
    }
    // Sixteen bytes are kept for the padding of the last group.
    let most = gpu.largest_buffer().min(u64::from(u32::MAX)).saturating_sub(16) / (bytes_per_pixel as u64).max(1);
    if size.pixels() as u64 <= most {
        return None;
    }
    let rows = u32::try_from(most / u64::from(size.width.max(1))).unwrap_or(u32::MAX);
    Some(Size::new(size.width, rows.clamp(1, size.height)))
}
