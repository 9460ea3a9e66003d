//! The first directory of a TIFF file: its fields, each read when it is asked for.

use std::collections::BTreeMap;
use std::io::{self, Read, Seek, SeekFrom};

use frame::ByteOrder;

/// Numbers of the fields that are used.
///
/// # Source
/// TIFF Revision 6.0, sections 8 to 15; Supplement 1 (tiles, colour maps, predictors); ICC.1, annex B (profile).
pub(super) mod tag {
    pub const WIDTH: u16 = 256;
    pub const LENGTH: u16 = 257;
    pub const BITS_PER_SAMPLE: u16 = 258;
    pub const COMPRESSION: u16 = 259;
    pub const PHOTOMETRIC: u16 = 262;
    pub const FILL_ORDER: u16 = 266;
    pub const STRIP_OFFSETS: u16 = 273;
    pub const ORIENTATION: u16 = 274;
    pub const SAMPLES_PER_PIXEL: u16 = 277;
    pub const ROWS_PER_STRIP: u16 = 278;
    pub const STRIP_BYTE_COUNTS: u16 = 279;
    pub const X_RESOLUTION: u16 = 282;
    pub const Y_RESOLUTION: u16 = 283;
    pub const PLANAR: u16 = 284;
    pub const PREDICTOR: u16 = 317;
    pub const COLOR_MAP: u16 = 320;
    pub const TILE_WIDTH: u16 = 322;
    pub const TILE_LENGTH: u16 = 323;
    pub const TILE_OFFSETS: u16 = 324;
    pub const TILE_BYTE_COUNTS: u16 = 325;
    pub const EXTRA_SAMPLES: u16 = 338;
    pub const SAMPLE_FORMAT: u16 = 339;
    pub const ICC_PROFILE: u16 = 34675;
}

/// The directory of a file, or of the same structure inside another file, as EXIF is.
pub(crate) struct Directory<R> {
    reader: R,
    /// Bytes that can be read.
    len: u64,
    /// Byte order of every number.
    pub order: ByteOrder,
    entries: BTreeMap<u16, Entry>,
    /// Whether another picture follows.
    pub has_more: bool,
}

struct Entry {
    kind: u16,
    count: u64,
    /// The value if it fits, else where it lies; in the file's byte order.
    value: Vec<u8>,
}

/// Bytes of a value of this kind; `None` for kinds that no version of the standard knows.
const fn bytes_of(kind: u16) -> Option<u64> {
    match kind {
        1 | 2 | 6 | 7 => Some(1),
        3 | 8 => Some(2),
        4 | 9 | 11 | 13 => Some(4),
        5 | 10 | 12 | 16 | 17 | 18 => Some(8),
        _ => None,
    }
}

/// An unsigned number of up to eight bytes.
fn number(bytes: &[u8], order: ByteOrder) -> u64 {
    let join = |sum: u64, &byte: &u8| (sum << 8) | u64::from(byte);
    match order {
        ByteOrder::Big => bytes.iter().fold(0, join),
        ByteOrder::Little => bytes.iter().rev().fold(0, join),
    }
}

impl<R: Read + Seek> Directory<R> {
    /// Reads the first directory of a file of `len` bytes, of 32-bit or 64-bit offsets.
    ///
    /// # Errors
    /// [`io::ErrorKind::InvalidData`] where there is none; whatever reading says.
    pub fn first(reader: R, len: u64) -> io::Result<Directory<R>> {
        let mut directory =
            Directory { reader, len, order: ByteOrder::Little, entries: BTreeMap::new(), has_more: false };
        let head = directory.at(0, 8)?;
        if head.starts_with(b"MM") {
            directory.order = ByteOrder::Big;
        }
        let order = directory.order;
        // 42 has offsets of 4 bytes in entries of 12, 43 of 8 in 20.
        let wide = number(&head[2..4], order) == 43;
        let (offset, width, count_len) = if wide { (8, 8, 8) } else { (4, 4, 2) };
        let first = directory.number_at(offset, width)?;
        let count = directory.number_at(first, count_len)?;
        let entry_len = 4 + 2 * width;
        let list_len = count.checked_mul(entry_len).filter(|list_len| *list_len <= len);
        let list_len = list_len.ok_or_else(|| invalid("its directory is larger than the file"))?;
        let list = directory.at(first + count_len, list_len)?;
        for entry in list.chunks_exact(entry_len as usize) {
            let (head, value) = entry.split_at(4 + width as usize);
            let [tag, kind] = [number(&head[..2], order), number(&head[2..4], order)].map(|number| number as u16);
            let entry = Entry { kind, count: number(&head[4..], order), value: value.to_vec() };
            directory.entries.entry(tag).or_insert(entry);
        }
        directory.has_more = directory.number_at(first + count_len + list_len, width)? != 0;
        Ok(directory)
    }

    /// `len` bytes from `offset`.
    ///
    /// # Errors
    /// [`io::ErrorKind::UnexpectedEof`] where the file has fewer, before memory is taken for them.
    pub fn at(&mut self, offset: u64, len: u64) -> io::Result<Vec<u8>> {
        if offset.checked_add(len).is_none_or(|end| end > self.len) {
            return Err(io::ErrorKind::UnexpectedEof.into());
        }
        self.reader.seek(SeekFrom::Start(offset))?;
        let mut bytes = vec![0; usize::try_from(len).map_err(|_| invalid("a field is larger than memory"))?];
        self.reader.read_exact(&mut bytes)?;
        Ok(bytes)
    }

    fn number_at(&mut self, offset: u64, len: u64) -> io::Result<u64> {
        let order = self.order;
        self.at(offset, len).map(|bytes| number(&bytes, order))
    }

    /// The bytes of a field and the length of one of its values; `None` where it is not there or lies outside the file.
    fn values(&mut self, tag: u16) -> Option<(u16, Vec<u8>)> {
        let Entry { kind, count, value } = self.entries.get(&tag)?;
        let (kind, len) = (*kind, count.checked_mul(bytes_of(*kind)?)?);
        if len <= value.len() as u64 {
            return Some((kind, value.get(..len as usize)?.to_vec()));
        }
        let offset = number(value, self.order);
        Some((kind, self.at(offset, len).ok()?))
    }

    /// Whether the field is there.
    pub fn has(&self, tag: u16) -> bool {
        self.entries.contains_key(&tag)
    }

    /// The field's bytes.
    pub fn bytes(&mut self, tag: u16) -> Option<Vec<u8>> {
        self.values(tag).map(|(_, bytes)| bytes)
    }

    /// The field's whole numbers; none where it is not there or holds something else.
    pub fn numbers(&mut self, tag: u16) -> Vec<u64> {
        match self.values(tag) {
            Some((kind @ (1 | 3 | 4 | 13 | 16 | 18), bytes)) => {
                let len = bytes_of(kind).unwrap_or(1) as usize;
                bytes.chunks_exact(len).map(|bytes| number(bytes, self.order)).collect()
            }
            _ => Vec::new(),
        }
    }

    /// The field's first whole number.
    pub fn number(&mut self, tag: u16) -> Option<u64> {
        self.numbers(tag).first().copied()
    }

    /// The field's first fraction; `None` where it is not above zero.
    pub fn fraction(&mut self, tag: u16) -> Option<f64> {
        let (5, bytes) = self.values(tag)? else { return None };
        let over = number(bytes.get(..4)?, self.order) as f64;
        let under = number(bytes.get(4..8)?, self.order) as f64;
        (over > 0.0 && under > 0.0).then_some(over / under)
    }

    /// The field's text up to its first NUL.
    pub fn text(&mut self, tag: u16) -> Option<String> {
        let (2, bytes) = self.values(tag)? else { return None };
        let text = bytes.split(|byte| *byte == 0).next().unwrap_or_default();
        Some(String::from_utf8_lossy(text).into_owned())
    }
}

/// What a file says that contradicts itself.
pub(super) fn invalid(what: &str) -> io::Error {
    io::Error::new(io::ErrorKind::InvalidData, what.to_owned())
}
