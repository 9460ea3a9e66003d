//! What an EXIF block, a TIFF directory inside another file, says of a picture.
//!
//! # Source
//! EXIF (CIPA DC-008): the attributes of IFD0 are those of TIFF Revision 6.0.

use std::io::Cursor;

use frame::Frame;

use crate::tiff::{Directory, orientation, texts};
use crate::{About, turn};

/// Adds what an EXIF block says to `about` and turns the frame upright. A block that cannot be followed says nothing.
///
/// # Errors
/// Those of making a frame.
pub(crate) fn follow(block: &[u8], frame: Frame, about: &mut About) -> Result<Frame, frame::FrameError> {
    let Ok(mut fields) = Directory::first(Cursor::new(block), block.len() as u64) else { return Ok(frame) };
    texts(&mut fields, about);
    let orientation = orientation(&mut fields);
    if orientation == 0 {
        return Ok(frame);
    }
    let layout = frame.layout();
    let (bytes, size) = turn::upright(frame.bytes(), frame.size(), layout.bytes_per_pixel(), orientation);
    if orientation & turn::COLUMNS != 0 {
        about.pixel_aspect = about.pixel_aspect.map(f64::recip);
    }
    Frame::new(size, layout, bytes, 0)
}
