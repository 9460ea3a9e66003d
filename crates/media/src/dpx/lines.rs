//! Where each line lies: the header's word on padding, held against the size of the file.

use super::element::{Element, Packing};
use super::header::{Fields, at};

/// The picture's lines in the file, counted from its first byte.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Lines {
    /// Bytes of a line that hold samples.
    pub line: u64,
    /// Bytes from the start of a line to the start of the next; `None` where lines run on within words.
    pub stride: Option<u64>,
    /// Bytes from the first sample to the last.
    pub len: u64,
}

/// What the header says of the bytes around the lines; 0 where it says nothing.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Told {
    /// Bytes behind each line.
    pub line_padding: u64,
    /// Bytes behind the picture.
    pub image_padding: u64,
    /// Bytes of the file.
    pub file_size: u64,
}

impl Told {
    pub fn of(fields: &Fields<'_>) -> Told {
        let field = |at| u64::from(fields.u32(at).unwrap_or(0));
        Told {
            line_padding: field(at::LINE_PADDING),
            image_padding: field(at::IMAGE_PADDING),
            file_size: field(at::FILE_SIZE),
        }
    }
}

impl Lines {
    /// The lines of `element` in a file of `file_len` bytes, and what had to be decided against the header,
    /// in words. The file may still be too short for them.
    ///
    /// A padding that the header tells is believed where the file is long enough for it. Else the lines are
    /// those of common use: 10- and 12-bit words begin anew with each line, samples of whole bytes follow one
    /// another. Another arrangement is taken where the size of the file fits it exactly and the usual one not.
    pub fn find(element: &Element, told: Told, file_len: u64) -> (Lines, Option<String>) {
        let available = file_len.saturating_sub(element.start);
        let height = u64::from(element.stored.height);
        let line = bytes_for(element, element.samples_per_line() as u64);
        let every = |stride: u64| Lines { line, stride: Some(stride), len: stride * (height - 1) + line };
        let exact = |len: u64| {
            available == len || available == len + told.image_padding || told.file_size == element.start + len
        };
        let bare = every(line);
        let padded = every(line + told.line_padding);
        if told.line_padding > 0 {
            if padded.len <= available || !exact(bare.len) {
                return (padded, None);
            }
            let padding = told.line_padding;
            let why = format!(
                "the header tells of {padding} bytes after each line, the size of the file leaves no room for \
                 them: read without"
            );
            return (bare, Some(why));
        }
        let aligned = every(line.next_multiple_of(4));
        if aligned.stride != bare.stride && available >= aligned.len && exact(line.next_multiple_of(4) * height) {
            return (aligned, Some("by the size of the file, lines are padded to 32 bits".to_owned()));
        }
        let len = bytes_for(element, element.samples_per_line() as u64 * height);
        if available < bare.len && available >= len && exact(len) {
            let why = "by the size of the file, lines run on within words".to_owned();
            return (Lines { line, stride: None, len }, Some(why));
        }
        (bare, None)
    }
}

/// Bytes that so many samples in a row take.
pub(super) fn bytes_for(element: &Element, samples: u64) -> u64 {
    match (element.bits, element.packing) {
        (8, _) => samples,
        (10, Packing::MethodA | Packing::MethodB) => 4 * samples.div_ceil(3),
        (16, _) | (12, Packing::MethodA | Packing::MethodB) => 2 * samples,
        (bits, _) => 4 * (samples * u64::from(bits)).div_ceil(32),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::dpx::element::Kind;
    use frame::{ByteOrder, Size};

    fn element(kind: Kind, bits: u8, packing: Packing) -> Element {
        let stored = Size::new(73, 43);
        Element { stored, kind, bits, packing, order: ByteOrder::Big, orientation: 0, has_runs: false, start: 2048 }
    }

    fn silent(element: &Element, available: u64) -> (Option<u64>, u64) {
        let (lines, _) = Lines::find(element, Told::default(), 2048 + available);
        (lines.stride, lines.len)
    }

    /// Source: SMPTE ST 268-1 for 10 and 12 bits; two files of 73x43 by other writers (truecolor10.dpx and
    /// truecolor16.dpx of tests/data/frames) have lines of 276 and 438 bytes.
    #[test]
    fn usual_lines() {
        use Packing::{MethodA, MethodB, Packed};
        for (kind, bits, packing, stride) in [
            (Kind::Rgb, 8, Packed, 219),
            (Kind::Rgb, 10, MethodA, 292),
            (Kind::Rgb, 10, Packed, 276),
            (Kind::Luma, 10, MethodB, 100),
            (Kind::Rgba, 10, MethodA, 392),
            (Kind::Rgb, 12, Packed, 332),
            (Kind::Rgb, 12, MethodB, 438),
            (Kind::Rgb, 16, Packed, 438),
            (Kind::Abgr, 16, Packed, 584),
        ] {
            let element = element(kind, bits, packing);
            for available in [stride * 43, stride * 43 + 1000, 5] {
                assert_eq!(silent(&element, available), (Some(stride), stride * 43), "{kind:?} {bits} {packing:?}");
            }
        }
    }

    #[test]
    fn the_size_of_the_file_decides() {
        let eight = element(Kind::Rgb, 8, Packing::Packed);
        assert_eq!(silent(&eight, 220 * 43), (Some(220), 220 * 43 - 1));
        let told = Told { file_size: 2048 + 220 * 43, ..Told::default() };
        let (lines, why) = Lines::find(&eight, told, 8192 * 3);
        assert_eq!((lines.stride, why.is_some()), (Some(220), true));
        let luma = element(Kind::Luma, 10, Packing::MethodA);
        // 3139 samples, three to a word.
        assert_eq!(silent(&luma, 4188), (None, 4188));
        assert_eq!(silent(&luma, 4187), (Some(100), 4300));
    }

    #[test]
    fn told_padding_is_believed_where_it_fits() {
        let ten = element(Kind::Rgb, 10, Packing::MethodA);
        let told = Told { line_padding: 12, ..Told::default() };
        let find = |available: u64| Lines::find(&ten, told, 2048 + available);
        // The last line's padding may be missing.
        assert_eq!(find(304 * 42 + 292).0, Lines { line: 292, stride: Some(304), len: 304 * 42 + 292 });
        let (lines, why) = find(292 * 43);
        assert_eq!((lines.stride, why.is_some()), (Some(292), true));
        // Neither: cut short.
        assert_eq!(find(304 * 42).0.stride, Some(304));
    }
}
