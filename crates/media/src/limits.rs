//! No header is believed before it was held against the file and these limits.

use std::path::Path;

use frame::{Layout, Size};

use crate::MediaError;

/// Most pixels along one side of a frame.
pub const MAX_SIDE: u32 = 65535;

/// Most bytes of one frame, 2 GiB.
pub const MAX_FRAME_BYTES: u64 = 2 << 30;

/// Bytes of a picture of `size` in `layout`, once the size is known to be neither empty nor absurd.
/// `field` names the header fields the size comes from.
pub(crate) fn checked_len(path: &Path, field: &'static str, size: Size, layout: Layout) -> Result<usize, MediaError> {
    if size.width == 0 || size.height == 0 {
        return Err(MediaError::ZeroSize { path: path.to_owned(), field, size });
    }
    let bytes = u128::from(size.width) * u128::from(size.height) * layout.bytes_per_pixel() as u128;
    let fits = size.width <= MAX_SIDE && size.height <= MAX_SIDE && bytes <= u128::from(MAX_FRAME_BYTES);
    layout.byte_len(size).filter(|_| fits).ok_or_else(|| MediaError::TooLarge {
        path: path.to_owned(),
        field,
        size,
        bytes,
    })
}

/// Refuses a header whose picture could not come out of a file of `file_len` bytes, however well it
/// was compressed: `ratio` is the most that the compression can gain.
pub(crate) fn check_ratio(path: &Path, picture_len: u64, file_len: u64, ratio: u64) -> Result<(), MediaError> {
    let least = picture_len / ratio;
    if file_len < least {
        return Err(MediaError::Truncated { path: path.to_owned(), expected: least, found: file_len });
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use frame::{ByteOrder, Channels, Samples};

    #[test]
    fn absurd_sizes_are_refused_by_name() {
        let layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);
        let check = |w, h| checked_len(Path::new("a.dpx"), "width and height", Size::new(w, h), layout);
        assert_eq!(check(3840, 2160).unwrap(), 33_177_600);
        let message = check(60000, 60000).unwrap_err().to_string();
        for part in ["a.dpx", "width and height", "60000x60000", "14400000000", "split"] {
            assert!(message.contains(part), "{message}");
        }
        assert!(matches!(check(0, 5), Err(MediaError::ZeroSize { .. })));
        assert!(matches!(check(65536, 1), Err(MediaError::TooLarge { .. })));
        assert!(matches!(check(u32::MAX, u32::MAX), Err(MediaError::TooLarge { .. })));
        assert!(check_ratio(Path::new("a"), 10_000, 9, 1000).is_err());
        assert!(check_ratio(Path::new("a"), 10_000, 10, 1000).is_ok());
    }
}
