//! A frame: one picture's raw bytes with their size and layout.

use thiserror::Error;

use crate::{Channels, Layout, Samples};

/// Width and height in pixels.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Size {
    /// Pixels a row.
    pub width: u32,
    /// Rows.
    pub height: u32,
}

impl Size {
    /// A size of `width` by `height` pixels.
    pub const fn new(width: u32, height: u32) -> Size {
        Size { width, height }
    }

    /// Pixels in the picture; saturates where `usize` is too small.
    pub const fn pixels(self) -> usize {
        (self.width as usize).saturating_mul(self.height as usize)
    }
}

impl std::fmt::Display for Size {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{}x{}", self.width, self.height)
    }
}

/// Why bytes are not a frame.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum FrameError {
    /// Width or height is zero.
    #[error("the picture is {0}: width and height must be at least 1")]
    ZeroSize(Size),
    /// The byte count overflows.
    #[error("a picture of {0} is more than this machine can address")]
    TooLarge(Size),
    /// Packed 10-bit words have no place for alpha.
    #[error("packed 10-bit words hold red, green and blue only: drop the alpha channel")]
    TenHasNoAlpha,
    /// Fewer bytes than the size and layout need.
    #[error("a picture of {size} ({layout}) needs {expected} bytes, only {found} are there")]
    TooFewBytes {
        /// Size asked for.
        size: Size,
        /// Layout asked for.
        layout: Layout,
        /// Bytes needed.
        expected: usize,
        /// Bytes found from the start offset on.
        found: usize,
    },
}

/// One picture as stored: size, layout and raw bytes. Alpha, where there is any, is associated.
#[derive(Debug, Clone)]
pub struct Frame {
    size: Size,
    layout: Layout,
    bytes: Vec<u8>,
    /// First byte of the picture in `bytes`: a file read whole keeps its header in front.
    start: usize,
}

impl Frame {
    /// A frame of `size` and `layout` whose pixels begin at byte `start` of `bytes`. What lies behind
    /// the pixels is ignored.
    ///
    /// # Errors
    /// A zero size, an overflowing one, 10-bit words with alpha, or too few bytes.
    pub fn new(size: Size, layout: Layout, bytes: Vec<u8>, start: usize) -> Result<Frame, FrameError> {
        if size.width == 0 || size.height == 0 {
            return Err(FrameError::ZeroSize(size));
        }
        if !layout.is_valid() {
            return Err(FrameError::TenHasNoAlpha);
        }
        let expected = layout.byte_len(size).ok_or(FrameError::TooLarge(size))?;
        let found = bytes.len().saturating_sub(start);
        if found < expected {
            return Err(FrameError::TooFewBytes { size, layout, expected, found });
        }
        Ok(Frame { size, layout, bytes, start })
    }

    /// Wraps bytes that are already known to fit; used where this crate made them.
    pub(crate) fn from_exact(size: Size, layout: Layout, bytes: Vec<u8>) -> Frame {
        debug_assert_eq!(layout.byte_len(size), Some(bytes.len()));
        Frame { size, layout, bytes, start: 0 }
    }

    /// Width and height.
    pub fn size(&self) -> Size {
        self.size
    }

    /// How the bytes are to be read.
    pub fn layout(&self) -> Layout {
        self.layout
    }

    /// The picture's bytes, row after row without padding.
    pub fn bytes(&self) -> &[u8] {
        &self.bytes[self.start..self.start + self.byte_len()]
    }

    /// The picture's bytes, for changing in place.
    pub(crate) fn bytes_mut(&mut self) -> &mut [u8] {
        let end = self.start + self.byte_len();
        &mut self.bytes[self.start..end]
    }

    /// The bytes of up to `count` rows from row `first` on; what lies outside the picture is left out.
    pub fn rows(&self, first: u32, count: u32) -> &[u8] {
        let stride = self.stride();
        let first = first.min(self.size.height);
        let end = first.saturating_add(count).min(self.size.height);
        &self.bytes()[first as usize * stride..end as usize * stride]
    }

    /// A copy of the rectangle at column `x`, row `y`, `width` by `height` pixels, cut to the picture.
    pub fn crop(&self, x: u32, y: u32, width: u32, height: u32) -> Frame {
        let left = x.min(self.size.width);
        let top = y.min(self.size.height);
        let size = Size::new(width.min(self.size.width - left), height.min(self.size.height - top));
        let pixel = self.layout.bytes_per_pixel();
        let span = left as usize * pixel..(left as usize + size.width as usize) * pixel;
        let mut bytes = Vec::with_capacity(size.pixels() * pixel);
        if size.width > 0 {
            for row in self.rows(top, size.height).chunks_exact(self.stride()) {
                bytes.extend_from_slice(&row[span.clone()]);
            }
        }
        Frame::from_exact(size, self.layout, bytes)
    }

    /// Bytes a row takes.
    pub(crate) fn stride(&self) -> usize {
        self.size.width as usize * self.layout.bytes_per_pixel()
    }

    /// Bytes of memory that the frame keeps: with the pixels whatever of their file stands before and behind them.
    pub fn held_bytes(&self) -> usize {
        self.bytes.capacity()
    }

    fn byte_len(&self) -> usize {
        self.stride() * self.size.height as usize
    }
}

/// Two frames are equal when they show the same picture in the same bytes; a header in front of one of
/// them does not count.
impl PartialEq for Frame {
    fn eq(&self, other: &Frame) -> bool {
        self.size == other.size && self.layout == other.layout && self.bytes() == other.bytes()
    }
}

impl Layout {
    /// The layout that exists nearest to this one: packed 10-bit words lose their alpha.
    pub(crate) fn valid(self) -> Layout {
        match self.samples {
            Samples::Ten => Layout { channels: Channels::Rgb, ..self },
            _ => self,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ByteOrder;

    const TEN: Layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);

    #[test]
    fn refuses_what_does_not_fit() {
        let size = Size::new(2, 2);
        assert!(matches!(
            Frame::new(size, TEN, vec![0; 17], 2),
            Err(FrameError::TooFewBytes { expected: 16, found: 15, .. })
        ));
        assert!(Frame::new(size, TEN, vec![0; 18], 2).is_ok());
        assert!(matches!(Frame::new(size, TEN, vec![0; 18], 40), Err(FrameError::TooFewBytes { found: 0, .. })));
        let none = Size::new(0, 2);
        assert_eq!(Frame::new(none, TEN, vec![], 0).err(), Some(FrameError::ZeroSize(none)));
        let alpha = Layout { channels: Channels::Rgba, ..TEN };
        assert_eq!(Frame::new(size, alpha, vec![0; 99], 0).err(), Some(FrameError::TenHasNoAlpha));
        let huge = Size::new(u32::MAX, u32::MAX);
        assert!(Frame::new(huge, TEN, vec![], 0).is_err());
    }

    #[test]
    fn rows_and_crops_are_cut_to_the_picture() {
        let bytes: Vec<u8> = (0..50).collect();
        let frame = Frame::new(Size::new(3, 4), TEN, bytes, 2).unwrap();
        assert_eq!(frame.rows(1, 1), (14..26).collect::<Vec<u8>>());
        assert_eq!(frame.rows(3, u32::MAX).len(), 12);
        assert_eq!(frame.rows(9, 1).len(), 0);
        let crop = frame.crop(1, 2, 9, 1);
        assert_eq!(crop.size(), Size::new(2, 1));
        assert_eq!(crop.bytes(), (30..38).collect::<Vec<u8>>());
        assert_eq!(frame.crop(7, 7, 1, 1).size(), Size::new(0, 0));
        assert_eq!(frame.crop(0, 0, 3, 4), frame);
    }
}
