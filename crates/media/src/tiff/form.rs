//! What the fields say of a picture: its samples, its colour, how its chunks are laid out.

use std::io::{Read, Seek};
use std::path::Path;

use frame::{Channels, Layout, Samples, Size};

use super::directory::{Directory, tag};
use crate::format::NATIVE;
use crate::limits::{MAX_FRAME_BYTES, checked_len};
use crate::{MediaError, turn};

const SIZE_FIELD: &str = "ImageWidth and ImageLength";
pub(super) const REMEDY: &str =
    "grey, palette, RGB or RGBA TIFF of 1 to 16 bits, half or single float is: convert the file to that";

/// One stored sample for all three colours.
const GREY: &[usize] = &[0, 1, 2];
const RGB: [&[usize]; 3] = [&[0], &[1], &[2]];
const ALPHA: &[usize] = &[3];

/// A picture as its directory describes it.
pub(super) struct Form {
    pub size: Size,
    /// Bits of a stored sample.
    pub bits: u32,
    pub compression: Compression,
    pub predictor: Predictor,
    /// Whether the first bit of a byte is its lowest.
    pub reversed: bool,
    /// Whether code 0 is white.
    pub inverted: bool,
    /// For each stored sample of a pixel the places in a frame's pixel that it fills.
    pub slots: Vec<&'static [usize]>,
    /// Red, green and blue of each code, already the frame's codes.
    pub palette: Option<Vec<[u32; 3]>>,
    /// Whether colour is still to be multiplied by alpha.
    pub unassociated: bool,
    /// Each channel in chunks of its own.
    pub planar: bool,
    /// Width and height of a chunk: a tile, or a strip of the picture's width.
    pub chunk: Size,
    /// Whether a chunk at the edge is stored whole.
    pub tiled: bool,
    pub layout: Layout,
    /// Turn of the stored rows, as ST 268-1 counts it.
    pub orientation: u8,
    /// What was left out, in words.
    pub warnings: Vec<String>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Compression {
    None,
    Lzw,
    Deflate,
    PackBits,
}

impl Compression {
    /// The most it can gain.
    pub const fn most_gain(self) -> u64 {
        match self {
            Compression::None => 1,
            // A string of 4096 bytes in 12 bits.
            Compression::Lzw => 2731,
            // RFC 1951: 258 bytes in two bits.
            Compression::Deflate => 1032,
            // A run of 128 in two bytes.
            Compression::PackBits => 64,
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Predictor {
    None,
    /// Each sample is the difference from the one before.
    Difference,
    /// The same of bytes, after the bytes of a row's floats were sorted by significance.
    Float,
}

impl Form {
    pub fn of<R: Read + Seek>(path: &Path, fields: &mut Directory<R>) -> Result<Form, MediaError> {
        let refuse = |what: String| Err(MediaError::unsupported(path, what, REMEDY));
        let damaged = |what: &str| MediaError::damaged(path, what);
        let side = |number: Option<u64>| u32::try_from(number.unwrap_or(0)).unwrap_or(u32::MAX);
        let size = Size::new(side(fields.number(tag::WIDTH)), side(fields.number(tag::LENGTH)));
        let stored = fields.number(tag::SAMPLES_PER_PIXEL).unwrap_or(1);
        // As many as there are values to say something of each.
        let stored = usize::try_from(stored).ok().filter(|stored| (1..=64).contains(stored));
        let stored = stored.ok_or_else(|| damaged("its SamplesPerPixel makes no sense"))?;
        let bits = uniform(fields, tag::BITS_PER_SAMPLE, 1).filter(|bits| (1..=64).contains(bits));
        let bits = bits.ok_or_else(|| damaged("its BitsPerSample is not one number from 1 to 64"))? as u32;
        let compression = compression(path, fields)?;
        let predictor = match fields.number(tag::PREDICTOR).unwrap_or(1) {
            1 => Predictor::None,
            2 => Predictor::Difference,
            3 => Predictor::Float,
            other => return refuse(format!("TIFF with predictor {other}")),
        };
        let samples = samples(path, fields, bits)?;
        let mut form = Form {
            size,
            bits,
            compression,
            predictor,
            reversed: fields.number(tag::FILL_ORDER) == Some(2),
            inverted: false,
            slots: Vec::new(),
            palette: None,
            unassociated: false,
            planar: stored > 1 && fields.number(tag::PLANAR) == Some(2),
            chunk: size,
            tiled: fields.has(tag::TILE_WIDTH),
            layout: Layout::new(Channels::Rgb, samples, NATIVE),
            orientation: orientation(fields),
            warnings: Vec::new(),
        };
        form.take_colour(path, fields, stored)?;
        checked_len(path, SIZE_FIELD, size, form.layout)?;
        form.chunk = if form.tiled {
            Size::new(side(fields.number(tag::TILE_WIDTH)), side(fields.number(tag::TILE_LENGTH)))
        } else {
            let rows = fields.number(tag::ROWS_PER_STRIP).unwrap_or(u64::MAX).min(u64::from(size.height));
            Size::new(size.width, side(Some(rows)))
        };
        let len = form.chunk_len(form.chunk.height);
        if form.chunk.width == 0 || form.chunk.height == 0 || len > MAX_FRAME_BYTES {
            return Err(damaged("its strips or tiles have a senseless size"));
        }
        Ok(form)
    }

    /// Whether stored pixels are the frame's but for byte order, so that they can be copied.
    pub fn is_as_in_frame(&self) -> bool {
        let whole = self.bits == 16 || self.bits == 32;
        let all_in_order = self.slots.len() == self.layout.channels.count()
            && self.slots.iter().enumerate().all(|(at, slots)| **slots == [at]);
        whole && all_in_order && !self.planar && !self.inverted && self.predictor == Predictor::None
    }

    /// Samples of a pixel that one chunk holds.
    pub fn samples_in_chunk(&self) -> usize {
        if self.planar { 1 } else { self.slots.len() }
    }

    /// Bytes of one row of a chunk.
    pub fn row_len(&self) -> u64 {
        let samples = u64::from(self.chunk.width) * self.samples_in_chunk() as u64;
        (samples * u64::from(self.bits)).div_ceil(8)
    }

    /// Bytes of so many rows of a chunk.
    pub fn chunk_len(&self, rows: u32) -> u64 {
        self.row_len().saturating_mul(u64::from(rows))
    }

    /// What the samples of a pixel are: colour first, then what ExtraSamples says.
    fn take_colour<R: Read + Seek>(
        &mut self,
        path: &Path,
        fields: &mut Directory<R>,
        stored: usize,
    ) -> Result<(), MediaError> {
        let refuse = |what: &str| Err(MediaError::unsupported(path, format!("{what} TIFF"), REMEDY));
        let photometric = fields.number(tag::PHOTOMETRIC);
        let colours: &[&'static [usize]] = match photometric {
            Some(0 | 1) => &[GREY],
            Some(2) => &RGB,
            // The palette fills all three.
            Some(3) => &[GREY],
            Some(5) => return refuse("printing-ink (CMYK)"),
            Some(6) => return refuse("Y'CbCr"),
            Some(8..=10) => return refuse("CIELAB"),
            Some(32844 | 32845) => return refuse("LogL or LogLuv"),
            _ => {
                let told = photometric.map_or("no".to_owned(), |number| number.to_string());
                let what = format!("TIFF with {told} PhotometricInterpretation");
                return Err(MediaError::unsupported(path, what, REMEDY));
            }
        };
        if stored < colours.len() {
            return Err(MediaError::damaged(
                path,
                format!("its pixels have {stored} samples, too few for their colour"),
            ));
        }
        self.inverted = photometric == Some(0);
        if self.inverted && self.layout.is_float() {
            return refuse("float, white-is-zero");
        }
        self.slots = colours.to_vec();
        let extra = fields.numbers(tag::EXTRA_SAMPLES);
        // Without a word about it, a fourth sample is taken for alpha; common practice, no source.
        let means = |at: usize| extra.get(at).copied().or((extra.is_empty() && at == 0).then_some(1));
        let mut left = 0;
        for at in 0..stored - colours.len() {
            let is_alpha = matches!(means(at), Some(1 | 2)) && !self.slots.contains(&ALPHA);
            if is_alpha {
                self.unassociated = means(at) == Some(2);
                self.layout.channels = Channels::Rgba;
            } else {
                left += 1;
            }
            self.slots.push(if is_alpha { ALPHA } else { &[] });
        }
        if left > 0 {
            self.warnings.push(format!("{left} extra samples a pixel, which are no alpha, are left out"));
        }
        if photometric == Some(3) {
            if stored > 1 || self.bits > 8 || self.layout.is_float() {
                return refuse("palette and alpha or more than 8-bit");
            }
            let map = fields.numbers(tag::COLOR_MAP);
            let (palette, samples) = palette(&map, 1 << self.bits)
                .ok_or_else(|| MediaError::damaged(path, "its ColorMap does not have three values a code"))?;
            (self.palette, self.layout.samples) = (Some(palette), samples);
        }
        Ok(())
    }
}

/// One number for all samples; `None` where they differ.
fn uniform<R: Read + Seek>(fields: &mut Directory<R>, tag: u16, unless: u64) -> Option<u64> {
    let all = fields.numbers(tag);
    let first = all.first().copied().unwrap_or(unless);
    // A field that is there but says nothing is as good as none only if it is really absent.
    (all.iter().all(|number| *number == first) && (!all.is_empty() || !fields.has(tag))).then_some(first)
}

fn compression<R: Read + Seek>(path: &Path, fields: &mut Directory<R>) -> Result<Compression, MediaError> {
    let name = match fields.number(tag::COMPRESSION).unwrap_or(1) {
        1 => return Ok(Compression::None),
        5 => return Ok(Compression::Lzw),
        8 | 32946 => return Ok(Compression::Deflate),
        32773 => return Ok(Compression::PackBits),
        2..=4 => "fax".to_owned(),
        6 | 7 => "JPEG".to_owned(),
        34676 | 34677 => "LogLuv".to_owned(),
        other => format!("the unknown compression {other}"),
    };
    let remedy = "write it again without compression, or with LZW or deflate";
    Err(MediaError::unsupported(path, format!("TIFF with {name} compression"), remedy))
}

/// How the file's samples become a frame's.
fn samples<R: Read + Seek>(path: &Path, fields: &mut Directory<R>, bits: u32) -> Result<Samples, MediaError> {
    let refuse = |what: String| Err(MediaError::unsupported(path, what, REMEDY));
    match (uniform(fields, tag::SAMPLE_FORMAT, 1), bits) {
        // Fewer than 8 bits are spread over 8.
        (Some(1 | 4), 1 | 2 | 4) => Ok(Samples::Codes(8)),
        (Some(1 | 4), 8..=16) => Ok(Samples::Codes(bits as u8)),
        (Some(3), 16) => Ok(Samples::Half),
        (Some(3), 32) => Ok(Samples::Float),
        (Some(3), _) => refuse(format!("{bits}-bit float TIFF")),
        (Some(1 | 4), _) => refuse(format!("{bits}-bit TIFF")),
        (Some(_), _) => refuse(format!("{bits}-bit TIFF with signed or complex numbers")),
        (None, _) => refuse("TIFF with samples of several kinds".to_owned()),
    }
}

/// The palette's colours by code. A ColorMap has 16-bit values; where they are 8-bit ones spread over 16 or, against the
/// standard, 8-bit ones as they are (common practice, no source), they become 8-bit codes again.
fn palette(map: &[u64], codes: usize) -> Option<(Vec<[u32; 3]>, Samples)> {
    if map.len() < 3 * codes {
        return None;
    }
    let map = &map[..3 * codes];
    let is = |rule: fn(u64) -> bool| map.iter().all(|&value| rule(value));
    let (shift, samples) = if is(|value| value < 256) {
        (0, Samples::Codes(8))
    } else if is(|value| value % 257 == 0) || is(|value| value % 256 == 0) {
        (8, Samples::Codes(8))
    } else {
        (0, Samples::U16)
    };
    let colour = |code: usize| [code, codes + code, 2 * codes + code].map(|at| (map[at] >> shift) as u32);
    Some(((0..codes).map(colour).collect(), samples))
}

/// How the stored rows are turned; files that say nonsense are taken to be upright.
pub(crate) fn orientation<R: Read + Seek>(fields: &mut Directory<R>) -> u8 {
    let code = fields.number(tag::ORIENTATION).and_then(|code| u16::try_from(code).ok());
    code.and_then(turn::orientation_from_tiff).unwrap_or(0)
}
