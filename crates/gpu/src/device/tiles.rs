//! Frames that are too large for the device's buffers, cut into pieces.

use frame::Size;
use measure::scopes::Region;

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

/// The pieces of a frame, row by row: tiles of this size, those at the right and at the lower edge smaller; or the whole.
pub(super) fn pieces(size: Size, tile: Option<Size>) -> impl Iterator<Item = Region> {
    let tile = tile.unwrap_or(size);
    let [width, height] = [tile.width.max(1), tile.height.max(1)];
    let columns = move |y| (0..size.width).step_by(width as usize).map(move |x| (x, y));
    let corners = (0..size.height).step_by(height as usize).flat_map(columns);
    corners.filter_map(move |(x, y)| Region::new(x, y, width, height, size))
}
