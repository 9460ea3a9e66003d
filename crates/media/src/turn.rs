//! Lines that do not run from left to right, from the top down.

use frame::Size;
use rayon::prelude::*;

/// The bit of an orientation that says that lines are columns.
pub(crate) const COLUMNS: u8 = 4;

/// The picture upright, and its size. `stored` is pixels a line by lines; `bytes` holds pixels of
/// `pixel_len` bytes without padding.
///
/// Bit 0 of `orientation` turns left and right, bit 1 top and bottom; with bit 2 set, lines are columns.
///
/// # Source
/// SMPTE ST 268-1, image orientation codes 0 to 7.
pub(crate) fn upright(bytes: &[u8], stored: Size, pixel_len: usize, orientation: u8) -> (Vec<u8>, Size) {
    let columns = orientation & COLUMNS != 0;
    let size = if columns { Size::new(stored.height, stored.width) } else { stored };
    let (width, height) = (size.width as usize, size.height as usize);
    let mut out = vec![0; bytes.len()];
    out.par_chunks_mut((width * pixel_len).max(1)).enumerate().for_each(|(y, row)| {
        let y = if orientation & 2 != 0 { height - 1 - y } else { y };
        for (x, pixel) in row.chunks_exact_mut(pixel_len).enumerate() {
            let x = if orientation & 1 != 0 { width - 1 - x } else { x };
            let at = if columns { x * height + y } else { y * width + x };
            pixel.copy_from_slice(&bytes[at * pixel_len..(at + 1) * pixel_len]);
        }
    });
    (out, size)
}

/// The orientation of ST 268-1 for that of TIFF and of EXIF, which is 1 to 8; `None` for other numbers.
///
/// # Source
/// TIFF Revision 6.0, Orientation (274): where row 0 and column 0 of what is stored are seen. EXIF (CIPA DC-008)
/// takes the field over.
pub(crate) fn orientation_from_tiff(code: u16) -> Option<u8> {
    [0, 1, 3, 2, 4, 5, 7, 6].get(usize::from(code).checked_sub(1)?).copied()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: SMPTE ST 268-1, image orientation: line direction and frame direction of each code. The
    /// stored lines are 012 and 345.
    #[test]
    fn all_eight() {
        for (orientation, rows) in [
            (0, "012/345"),
            (1, "210/543"),
            (2, "345/012"),
            (3, "543/210"),
            (4, "03/14/25"),
            (5, "30/41/52"),
            (6, "25/14/03"),
            (7, "52/41/30"),
        ] {
            let (bytes, size) = upright(b"0a1b2c3d4e5f", Size::new(3, 2), 2, orientation);
            let digits: Vec<u8> = bytes.chunks(2).map(|pixel| pixel[0]).collect();
            let lines: Vec<_> = digits.chunks(size.width as usize).map(String::from_utf8_lossy).collect();
            assert_eq!(lines.join("/"), rows, "{orientation}");
        }
    }
}
