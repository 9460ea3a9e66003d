//! Files of pixels for the suites of whole commands.

use std::path::{Path, PathBuf};

use frame::{Channels, Frame, Range, Size};
use media::{About, Depth, Format, layout_for};

/// Writes a picture: 10 bits of DPX, floats of every other format.
///
/// # Panics
/// A name without a known ending, or a file that cannot be written.
pub fn picture(path: &Path, size: Size, pixels: &[[f32; 4]]) -> PathBuf {
    let format = Format::of_path(path).expect("an ending");
    let depth = if format == Format::Dpx { Depth::Ten } else { Depth::Float };
    let layout = layout_for(format, depth, Channels::Rgb).expect("a layout");
    media::write(path, &Frame::from_pixels(pixels, size, layout, Range::Full), &About::default()).expect("a file");
    path.to_owned()
}
