//! Smaller pictures for machines that cannot keep up, and how a picture is made smaller.

use std::fmt;

use frame::{Frame, Size};
use serde::Serialize;

use crate::Fault;

/// How much of a picture is computed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub enum Share {
    /// Every pixel.
    #[serde(rename = "whole")]
    Whole,
    /// One pixel of two in both directions.
    #[serde(rename = "1/2")]
    Half,
    /// One of four.
    #[serde(rename = "1/4")]
    Quarter,
    /// One of eight.
    #[serde(rename = "1/8")]
    Eighth,
}

impl Share {
    /// All of them, the largest in front.
    pub const ALL: [Share; 4] = [Share::Whole, Share::Half, Share::Quarter, Share::Eighth];

    /// One pixel of how many is there, in both directions.
    pub const fn pixels(self) -> u32 {
        match self {
            Share::Whole => 1,
            Share::Half => 2,
            Share::Quarter => 4,
            Share::Eighth => 8,
        }
    }

    /// The next larger one.
    pub fn larger(self) -> Option<Share> {
        Self::ALL.into_iter().rev().find(|share| *share < self)
    }

    /// The size of what is made of a picture of this size.
    pub const fn of(self, size: Size) -> Size {
        Size::new(size.width.div_ceil(self.pixels()), size.height.div_ceil(self.pixels()))
    }
}

/// `whole`, or as it is shown beside a picture: `proxy 1/2`.
impl fmt::Display for Share {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Share::Whole => f.write_str("whole"),
            smaller => write!(f, "proxy 1/{}", smaller.pixels()),
        }
    }
}

/// The pixels of a picture that stand in the middle of each block of `n` by `n`, as they are stored.
///
/// Pixels are picked, not averaged. A mean of log codes is the mean of no light, and the mean of light asks for the
/// chain's decoder before the chain; both would also dull noise and hide what is clipped. A picked pixel is one of the
/// original and goes through the chain as that does, so colours, noise and clipping stay true; fine lines may stair.
///
/// # Errors
/// None for a frame that is one; what does not fit is said rather than shown.
pub fn picked(frame: &Frame, share: Share) -> Result<Frame, Fault> {
    let size = frame.size();
    let small = share.of(size);
    let pixel = frame.layout().bytes_per_pixel();
    let block = share.pixels();
    let middle = |at: u32, end: u32| (at * block + block / 2).min(end - 1);
    let mut bytes = Vec::with_capacity(small.pixels() * pixel);
    for y in 0..small.height {
        let row = frame.rows(middle(y, size.height), 1);
        // All but the last block are whole, so its middle alone may lie beyond the edge.
        let first = middle(0, size.width) as usize * pixel;
        let inside = row.get(first..).unwrap_or_default().chunks(pixel * block as usize);
        bytes.extend(inside.filter_map(|from| from.get(..pixel)).take(small.width as usize).flatten());
        if bytes.len() < (y as usize + 1) * small.width as usize * pixel {
            bytes.extend_from_slice(row.get(row.len() - pixel..).unwrap_or_default());
        }
    }
    Frame::new(small, frame.layout(), bytes, 0).map_err(Fault::failed)
}

#[cfg(test)]
mod tests {
    use super::*;
    use frame::{ByteOrder, Channels, Layout, Samples};
    use proptest::prelude::*;

    #[test]
    fn shares_have_neighbours_and_names() {
        assert_eq!(Share::Whole.larger(), None);
        assert_eq!(Share::Half.larger(), Some(Share::Whole));
        assert_eq!(Share::Quarter.larger(), Some(Share::Half));
        assert_eq!([Share::Whole, Share::Half].map(|share| share.to_string()), ["whole", "proxy 1/2"]);
        assert_eq!(Share::Eighth.of(Size::new(3840, 2161)), Size::new(480, 271));
    }

    proptest! {
        #[test]
        fn a_picked_pixel_is_one_of_the_original(
            width in 1u32..40, height in 1u32..40, which in 0usize..4, layout in 0usize..3,
        ) {
            let share = Share::ALL[which];
            let layouts = [
                Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big),
                Layout::new(Channels::Rgb, Samples::U16, ByteOrder::Little),
                Layout::new(Channels::Rgba, Samples::Float, ByteOrder::Little),
            ];
            let (size, layout) = (Size::new(width, height), layouts[layout]);
            let pixel = layout.bytes_per_pixel();
            // Every pixel says where it is.
            let name = |x: u32, y: u32| {
                let mut bytes = vec![0; pixel];
                bytes[..2].copy_from_slice(&[x as u8, y as u8]);
                bytes
            };
            let bytes: Vec<u8> = (0..height).flat_map(|y| (0..width).flat_map(move |x| name(x, y))).collect();
            let frame = Frame::new(size, layout, bytes, 0).unwrap();
            let small = picked(&frame, share).unwrap();
            let block = share.pixels();
            prop_assert_eq!(small.size(), share.of(size));
            for y in 0..small.size().height {
                for x in 0..small.size().width {
                    let at = (y as usize * small.size().width as usize + x as usize) * pixel;
                    let from = ((x * block + block / 2).min(width - 1), (y * block + block / 2).min(height - 1));
                    prop_assert_eq!(&small.bytes()[at..at + pixel], &name(from.0, from.1)[..], "{} {}", x, y);
                }
            }
        }
    }
}
