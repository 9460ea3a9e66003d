//! The header's fields by their place, for reading and for writing.

use frame::ByteOrder;

/// Bytes of the whole header as written: generic 1664 and industry 384.
pub(super) const HEADER_LEN: usize = 2048;
/// Bytes of the generic part, the least a file may have.
pub(super) const GENERIC_LEN: usize = 1664;

/// Byte offsets of the fields that are read or written.
pub(super) mod at {
    pub const IMAGE_OFFSET: usize = 4;
    pub const VERSION: usize = 8;
    pub const FILE_SIZE: usize = 16;
    pub const DITTO: usize = 20;
    pub const GENERIC_SIZE: usize = 24;
    pub const INDUSTRY_SIZE: usize = 28;
    pub const USER_SIZE: usize = 32;
    pub const CREATED: (usize, usize) = (136, 24);
    pub const CREATOR: (usize, usize) = (160, 100);
    pub const PROJECT: (usize, usize) = (260, 200);
    pub const COPYRIGHT: (usize, usize) = (460, 200);
    pub const ENCRYPTION: usize = 660;
    pub const ORIENTATION: usize = 768;
    pub const ELEMENTS: usize = 770;
    pub const WIDTH: usize = 772;
    pub const HEIGHT: usize = 776;
    pub const SIGN: usize = 780;
    pub const LOW_CODE: usize = 784;
    pub const LOW_QUANTITY: usize = 788;
    pub const HIGH_CODE: usize = 792;
    pub const HIGH_QUANTITY: usize = 796;
    pub const DESCRIPTOR: usize = 800;
    pub const TRANSFER: usize = 801;
    pub const COLORIMETRIC: usize = 802;
    pub const BITS: usize = 803;
    pub const PACKING: usize = 804;
    pub const ENCODING: usize = 806;
    pub const DATA_OFFSET: usize = 808;
    pub const LINE_PADDING: usize = 812;
    pub const IMAGE_PADDING: usize = 816;
    /// The description of the first element.
    pub const DESCRIPTION: (usize, usize) = (820, 32);
    pub const SECOND_ELEMENT: usize = 852;
    pub const ELEMENT_LEN: usize = 72;
    /// Bytes of an element before its description.
    pub const ELEMENT_NUMBERS: usize = 40;
    pub const SOURCE_NUMBERS: (usize, usize) = (1408, 24);
    pub const SOURCE_FILE: (usize, usize) = (1432, 100);
    pub const DEVICE: (usize, usize) = (1556, 32);
    pub const BORDER: (usize, usize) = (1620, 8);
    pub const PIXEL_ASPECT: usize = 1628;
    pub const SCANNED_SIZE: (usize, usize) = (1636, 8);
    pub const FILM_NUMBERS: (usize, usize) = (1712, 20);
    pub const FILM_RATE: usize = 1724;
    pub const SLATE: (usize, usize) = (1764, 100);
    pub const TIME_CODE: usize = 1920;
    pub const USER_BITS: usize = 1924;
    pub const INTERLACE: usize = 1928;
    pub const FIELD_AND_SIGNAL: (usize, usize) = (1929, 2);
    pub const TELEVISION_REALS: (usize, usize) = (1932, 40);
    pub const TELEVISION_RATE: usize = 1940;
}

/// Reads fields; all ones, or a place behind the end, is "not told".
pub(super) struct Fields<'a> {
    pub bytes: &'a [u8],
    pub order: ByteOrder,
}

impl Fields<'_> {
    pub fn u8(&self, at: usize) -> Option<u8> {
        self.bytes.get(at).copied().filter(|&value| value != u8::MAX)
    }

    pub fn u16(&self, at: usize) -> Option<u16> {
        let bytes = self.bytes.get(at..)?.first_chunk::<2>()?;
        let value = match self.order {
            ByteOrder::Big => u16::from_be_bytes(*bytes),
            ByteOrder::Little => u16::from_le_bytes(*bytes),
        };
        Some(value).filter(|&value| value != u16::MAX)
    }

    pub fn u32(&self, at: usize) -> Option<u32> {
        let bytes = self.bytes.get(at..)?.first_chunk::<4>()?;
        let value = match self.order {
            ByteOrder::Big => u32::from_be_bytes(*bytes),
            ByteOrder::Little => u32::from_le_bytes(*bytes),
        };
        Some(value).filter(|&value| value != u32::MAX)
    }

    pub fn f32(&self, at: usize) -> Option<f32> {
        self.u32(at).map(f32::from_bits).filter(|value| value.is_finite())
    }

    /// Text up to the first NUL or 0xff, which some writers fill with.
    pub fn text(&self, (at, len): (usize, usize)) -> String {
        let bytes = self.bytes.get(at..at + len).unwrap_or_default();
        let end = bytes.iter().position(|&b| b == 0 || b == 0xff).unwrap_or(len).min(bytes.len());
        String::from_utf8_lossy(&bytes[..end]).into_owned()
    }
}

/// Writes fields into a fresh header.
pub(super) struct Blank {
    pub bytes: [u8; HEADER_LEN],
    pub order: ByteOrder,
}

impl Blank {
    pub fn u16(&mut self, at: usize, value: u16) {
        let bytes = match self.order {
            ByteOrder::Big => value.to_be_bytes(),
            ByteOrder::Little => value.to_le_bytes(),
        };
        self.bytes[at..at + 2].copy_from_slice(&bytes);
    }

    pub fn u32(&mut self, at: usize, value: u32) {
        let bytes = match self.order {
            ByteOrder::Big => value.to_be_bytes(),
            ByteOrder::Little => value.to_le_bytes(),
        };
        self.bytes[at..at + 4].copy_from_slice(&bytes);
    }

    pub fn f32(&mut self, at: usize, value: f32) {
        self.u32(at, value.to_bits());
    }

    /// ASCII, cut so that a NUL ends it; what is not ASCII becomes a question mark.
    pub fn text(&mut self, (at, len): (usize, usize), text: &str) {
        let ascii = text.chars().map(|c| if c.is_ascii_graphic() || c == ' ' { c as u8 } else { b'?' });
        for (byte, c) in self.bytes[at..at + len - 1].iter_mut().zip(ascii) {
            *byte = c;
        }
    }

    /// Marks a range as "not told".
    pub fn undefined(&mut self, (at, len): (usize, usize)) {
        self.bytes[at..at + len].fill(0xff);
    }
}
