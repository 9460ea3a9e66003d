//! What the header says of the picture: its kind, checked field by field.

use frame::{ByteOrder, Channels, Layout, Samples, Size};

use super::header::{Fields, GENERIC_LEN, at};
use crate::MediaError;
use crate::format::NATIVE;
use crate::limits::checked_len;
use crate::read::Source;

/// The remedy for a DPX file of another kind.
const REMEDY: &str = "8-, 10-, 12- or 16-bit RGB, RGBA, ABGR or luma is: convert the file to that";
/// The image encoding of run-length encoded elements.
const RUN_LENGTH: u16 = 1;
const SIZE_FIELD: &str = "pixels per line and lines per element";

/// The samples of a pixel, in the file's order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    Luma,
    Rgb,
    Rgba,
    Abgr,
}

impl Kind {
    /// Samples a pixel takes in the file.
    pub fn count(self) -> usize {
        match self {
            Kind::Luma => 1,
            Kind::Rgb => 3,
            Kind::Rgba | Kind::Abgr => 4,
        }
    }

    /// Which sample of the file's pixel each channel of the frame's is.
    pub fn sources(self) -> &'static [usize] {
        match self {
            Kind::Luma => &[0, 0, 0],
            Kind::Rgb => &[0, 1, 2],
            Kind::Rgba => &[0, 1, 2, 3],
            Kind::Abgr => &[3, 2, 1, 0],
        }
    }

    pub fn channels(self) -> Channels {
        match self {
            Kind::Luma | Kind::Rgb => Channels::Rgb,
            Kind::Rgba | Kind::Abgr => Channels::Rgba,
        }
    }
}

/// How samples fill words.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Packing {
    /// One after the other from the low end of each 32-bit word, across words.
    Packed,
    /// Filled, padding bits at the low end.
    MethodA,
    /// Filled, padding bits at the high end.
    MethodB,
}

/// The first image element.
#[derive(Debug, Clone, Copy)]
pub(super) struct Element {
    /// Pixels a line and lines, as stored.
    pub stored: Size,
    pub kind: Kind,
    /// Bits a sample: 8, 10, 12 or 16.
    pub bits: u8,
    /// Says nothing for 8 and 16 bits.
    pub packing: Packing,
    pub order: ByteOrder,
    /// How the lines lie in the picture, 0 to 7.
    pub orientation: u8,
    /// Whether lines are made of runs.
    pub has_runs: bool,
    /// First byte of the picture in the file.
    pub start: u64,
}

impl Element {
    /// Checks every field that says how to read the picture.
    pub fn of(fields: &Fields<'_>, source: &Source<'_>) -> Result<Element, MediaError> {
        let (kind, bits, packing) = kind(fields, source)?;
        let has_runs = fields.u16(at::ENCODING) == Some(RUN_LENGTH);
        // The element's own offset is the one to go by; some writers leave it out.
        let start = fields.u32(at::DATA_OFFSET).filter(|offset| *offset > 0).or(fields.u32(at::IMAGE_OFFSET));
        let unsaid = || MediaError::damaged(source.path, "the picture's offset is undefined in both its fields");
        let start = start.ok_or_else(unsaid)?;
        if (start as usize) < GENERIC_LEN {
            return Err(MediaError::damaged(
                source.path,
                format!("the picture's offset is {start}, inside the header"),
            ));
        }
        let orientation = match fields.u16(at::ORIENTATION) {
            None => 0,
            Some(orientation @ 0..=7) => orientation as u8,
            Some(other) => {
                let what = format!("the image orientation is {other}, 0 to 7 are defined");
                return Err(MediaError::damaged(source.path, what));
            }
        };
        let stored = Size::new(fields.u32(at::WIDTH).unwrap_or(0), fields.u32(at::HEIGHT).unwrap_or(0));
        let element = Element {
            stored,
            kind,
            bits,
            packing,
            order: fields.order,
            orientation,
            has_runs,
            start: u64::from(start),
        };
        checked_len(source.path, SIZE_FIELD, stored, element.layout())?;
        Ok(element)
    }

    /// Whether the file's bytes are a frame's, but for padding: nothing to unpack.
    pub fn is_plain(&self) -> bool {
        match (self.bits, self.kind) {
            _ if self.has_runs => false,
            (10, Kind::Rgb) => self.packing != Packing::Packed,
            (16, Kind::Rgb | Kind::Rgba) => true,
            _ => false,
        }
    }

    /// The layout of the frame: the file's own where nothing is unpacked.
    pub fn layout(&self) -> Layout {
        let samples = match self.bits {
            10 if self.is_plain() => Samples::Ten,
            bits => Samples::Codes(bits),
        };
        Layout::new(self.kind.channels(), samples, if self.is_plain() { self.order } else { NATIVE })
    }

    /// Samples a line has.
    pub fn samples_per_line(&self) -> usize {
        self.stored.width as usize * self.kind.count()
    }
}

/// Refuses, by name, every kind of DPX file that is not read.
fn kind(fields: &Fields<'_>, source: &Source<'_>) -> Result<(Kind, u8, Packing), MediaError> {
    let refuse = |what: String| MediaError::unsupported(source.path, what, REMEDY);
    let told = |value: Option<u16>| value.map_or("undefined".to_owned(), |v| v.to_string());
    let elements = fields.u16(at::ELEMENTS);
    if !matches!(elements, Some(1..=8)) {
        let what = format!("the number of image elements is {}", told(elements));
        return Err(MediaError::damaged(source.path, what));
    }
    let kind = match fields.u8(at::DESCRIPTOR) {
        Some(6) => Kind::Luma,
        Some(50) => Kind::Rgb,
        Some(51) => Kind::Rgba,
        Some(52) => Kind::Abgr,
        other => return Err(refuse(format!("DPX with {}", descriptor_name(other)))),
    };
    let bits = match fields.u8(at::BITS) {
        Some(bits @ (8 | 10 | 12 | 16)) => bits,
        Some(bits) => return Err(refuse(format!("{bits}-bit DPX"))),
        None => return Err(refuse("DPX without a bit depth".to_owned())),
    };
    let packing = match (fields.u16(at::PACKING), bits) {
        // Samples of one and two bytes leave nothing to pack, and writers put anything here.
        (_, 8 | 16) | (Some(0), _) => Packing::Packed,
        (Some(1), _) => Packing::MethodA,
        (Some(2), _) => Packing::MethodB,
        (other, _) => return Err(refuse(format!("{bits}-bit DPX with packing {}", told(other)))),
    };
    if let Some(encoding @ 2..) = fields.u16(at::ENCODING) {
        return Err(refuse(format!("DPX with image encoding {encoding}")));
    }
    if let Some(1..) = fields.u32(at::SIGN) {
        return Err(refuse("DPX with signed samples".to_owned()));
    }
    if let Some(1..) = fields.u32(at::ENCRYPTION) {
        return Err(refuse("encrypted DPX".to_owned()));
    }
    Ok((kind, bits, packing))
}

/// An element descriptor in words, with its number.
pub(super) fn descriptor_name(descriptor: Option<u8>) -> String {
    let name = match descriptor {
        None => return "no element descriptor".to_owned(),
        Some(1) => "red only",
        Some(2) => "green only",
        Some(3) => "blue only",
        Some(4) => "alpha only",
        Some(6) => "luma only",
        Some(7) => "colour difference only",
        Some(8) => "depth",
        Some(9) => "composite video",
        Some(50) => "RGB",
        Some(51) => "RGBA",
        Some(52) => "ABGR",
        Some(100..=103) => "luma and colour difference",
        Some(_) => "samples of unknown kind",
    };
    format!("{name} (descriptor {})", descriptor.unwrap_or(0))
}
