//! How a frame's samples lie in its bytes.

use std::fmt;

use crate::Size;

/// What a pixel is made of. A file with luma alone is expanded to RGB by its reader.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Channels {
    /// Red, green, blue.
    Rgb,
    /// Red, green, blue and associated (premultiplied) alpha.
    Rgba,
}

impl Channels {
    /// Samples in a pixel: 3 or 4.
    pub const fn count(self) -> usize {
        match self {
            Channels::Rgb => 3,
            Channels::Rgba => 4,
        }
    }
}

/// How one sample is stored.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Samples {
    /// 10-bit codes, three to a 32-bit word: red in bits 31-22, green in 21-12, blue in 11-2, two low
    /// bits of padding (zero when written). RGB only.
    ///
    /// # Source
    /// SMPTE ST 268-1, packing "filled to 32-bit words, method A".
    Ten,
    /// Unsigned codes of so many bits, 8 to 16, each in the low bits of a 16-bit word: what files of 8 and 12 bits,
    /// and 10-bit ones of other shapes, become without losing their code.
    Codes(u8),
    /// IEEE 754 binary16.
    Half,
    /// IEEE 754 binary32.
    Float,
}

impl Samples {
    /// 16-bit unsigned codes.
    pub const U16: Samples = Samples::Codes(16);

    /// The highest code of an integer sample; 1 for floats.
    pub const fn highest_code(self) -> u32 {
        match self {
            Samples::Ten => 1023,
            Samples::Codes(bits) => (1 << bits) - 1,
            Samples::Half | Samples::Float => 1,
        }
    }
}

/// Byte order of each 32-bit word ([`Samples::Ten`], [`Samples::Float`]) or 16-bit sample
/// ([`Samples::Codes`], [`Samples::Half`]).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ByteOrder {
    /// Least significant byte first.
    Little,
    /// Most significant byte first.
    Big,
}

/// How pixels lie in bytes: interleaved, rows from the top, contiguous and without padding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Layout {
    /// What a pixel is made of.
    pub channels: Channels,
    /// How a sample is stored.
    pub samples: Samples,
    /// How its bytes are ordered.
    pub order: ByteOrder,
}

impl Layout {
    /// A layout of these channels and samples in this byte order.
    pub const fn new(channels: Channels, samples: Samples, order: ByteOrder) -> Layout {
        Layout { channels, samples, order }
    }

    /// False for what does not exist: packed 10-bit words with alpha, codes of fewer than 8 or more than 16 bits.
    pub const fn is_valid(self) -> bool {
        match self.samples {
            Samples::Ten => matches!(self.channels, Channels::Rgb),
            Samples::Codes(bits) => bits >= 8 && bits <= 16,
            Samples::Half | Samples::Float => true,
        }
    }

    /// Whether a pixel stores alpha.
    pub const fn has_alpha(self) -> bool {
        matches!(self.channels, Channels::Rgba) && !matches!(self.samples, Samples::Ten)
    }

    /// Bytes a pixel takes: 4 packed, 6 or 8 in 16 bits, 12 or 16 in single float.
    pub const fn bytes_per_pixel(self) -> usize {
        match self.samples {
            Samples::Ten => 4,
            Samples::Codes(_) | Samples::Half => 2 * self.channels.count(),
            Samples::Float => 4 * self.channels.count(),
        }
    }

    /// Bytes a picture of `size` takes, or `None` where that overflows.
    pub fn byte_len(self, size: Size) -> Option<usize> {
        let width = usize::try_from(size.width).ok()?;
        let height = usize::try_from(size.height).ok()?;
        width.checked_mul(height)?.checked_mul(self.bytes_per_pixel())
    }

    /// Bits of a sample: 10, 8 to 16, 16 or 32.
    pub const fn bits(self) -> u32 {
        match self.samples {
            Samples::Ten => 10,
            Samples::Codes(bits) => bits as u32,
            Samples::Half => 16,
            Samples::Float => 32,
        }
    }

    /// Whether samples are floating point.
    pub const fn is_float(self) -> bool {
        matches!(self.samples, Samples::Half | Samples::Float)
    }

    /// The layout in words for messages, as in `10-bit RGB, big-endian`.
    pub fn name(self) -> String {
        let samples = match self.samples {
            Samples::Ten | Samples::Codes(_) => format!("{}-bit", self.bits()),
            Samples::Half => "half float".to_string(),
            Samples::Float => "single float".to_string(),
        };
        let channels = if self.has_alpha() { "RGBA" } else { "RGB" };
        let order = match self.order {
            ByteOrder::Little => "little-endian",
            ByteOrder::Big => "big-endian",
        };
        format!("{samples} {channels}, {order}")
    }
}

impl fmt::Display for Layout {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_and_names() {
        let ten = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);
        assert_eq!(ten.name(), "10-bit RGB, big-endian");
        assert_eq!(ten.byte_len(Size::new(3840, 2160)), Some(33_177_600));
        assert_eq!((ten.bits(), ten.is_float()), (10, false));
        let half = Layout::new(Channels::Rgba, Samples::Half, ByteOrder::Little);
        assert_eq!(half.name(), "half float RGBA, little-endian");
        assert_eq!(half.bytes_per_pixel(), 8);
        let float = Layout::new(Channels::Rgba, Samples::Float, ByteOrder::Little);
        assert_eq!(float.byte_len(Size::new(u32::MAX, u32::MAX)), None, "16 x 2^64 overflows");
        assert!(!Layout::new(Channels::Rgba, Samples::Ten, ByteOrder::Big).is_valid());
    }
}
