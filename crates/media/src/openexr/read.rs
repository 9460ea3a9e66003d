//! Reading: chunks one after the other from the file, decoding in parallel, straight into the frame.

use std::collections::BTreeMap;
use std::io::BufReader;
use std::path::Path;

use exr::block::UncompressedBlock;
use exr::block::chunk::Chunk;
use exr::math::Vec2;
use exr::meta::MetaData;
use exr::meta::attribute::{Compression, SampleType};
use exr::meta::header::Header;
use frame::{Frame, Samples, Size};
use half::f16;
use rayon::prelude::*;

use super::attributes;
use super::channels::{Choice, choose};
use crate::limits::{check_ratio, checked_len};
use crate::read::Source;
use crate::{MediaError, Picture};

/// Bytes asked from the system at a time.
const READ_BUFFER: usize = 1 << 20;

/// Where the stored picture (data window) lies in the frame (display window).
struct Window {
    frame: Size,
    /// Column and row of the stored picture's corner in the frame; may be negative.
    left: i64,
    top: i64,
}

pub(crate) fn read(source: Source<'_>) -> Result<Picture, MediaError> {
    let path = source.path;
    let failed = |error| decoding(path, error);
    let buffered = BufReader::with_capacity(READ_BUFFER, source.file);
    let reader = exr::block::read(buffered, false).map_err(failed)?;
    let choice = choose(path, reader.headers())?;
    let header = reader.headers().get(choice.part).ok_or_else(|| MediaError::damaged(path, "it holds no part"))?;
    let window = check_size(path, header, &choice, source.len)?;
    let mut about = attributes::about(header);
    about.warnings.extend(choice.warnings.iter().cloned());
    let part = choice.part;
    let chunks = reader
        .filter_chunks(false, |_, tile, block| block.layer == part && tile.level_index == Vec2(0, 0))
        .map_err(failed)?;
    let meta = exr::block::reader::ChunksReader::meta_data(&chunks).clone();
    let chunks = chunks.collect::<exr::error::Result<Vec<Chunk>>>().map_err(failed)?;
    // Only now that the file has been seen to hold its chunks is the frame's memory taken.
    let mut bytes = vec![0; choice.layout.byte_len(window.frame).unwrap_or(0)];
    fill(&mut bytes, &window, &choice, &meta, chunks).map_err(failed)?;
    let frame = Frame::new(window.frame, choice.layout, bytes, 0)
        .map_err(|error| MediaError::damaged(path, error.to_string()))?;
    Ok(Picture { frame, about })
}

/// Holds both windows against the limits and the file.
fn check_size(path: &Path, header: &Header, choice: &Choice, file_len: u64) -> Result<Window, MediaError> {
    let side = |length: usize| u32::try_from(length).unwrap_or(u32::MAX);
    let size = |size: Vec2<usize>| Size::new(side(size.x()), side(size.y()));
    let display = header.shared_attributes.display_window;
    let frame = size(display.size);
    let stored = size(header.layer_size);
    checked_len(path, "the display window", frame, choice.layout)?;
    checked_len(path, "the data window", stored, choice.layout)?;
    let all_channels = stored.pixels() as u64 * header.channels.bytes_per_pixel as u64;
    check_ratio(path, all_channels, file_len, most_gain(header.compression))?;
    // Every chunk has at least its place of 8 bytes in the file's offset table.
    check_ratio(path, header.chunk_count as u64 * 8, file_len, 1)?;
    let corner = header.own_attributes.layer_position;
    Ok(Window {
        frame,
        left: i64::from(corner.x()) - i64::from(display.position.x()),
        top: i64::from(corner.y()) - i64::from(display.position.y()),
    })
}

/// The most that a compression can gain, for telling a lying header; generous where there is no
/// simple bound.
fn most_gain(compression: Compression) -> u64 {
    match compression {
        Compression::Uncompressed => 1,
        // Two bytes for a run of 128.
        Compression::RLE => 64,
        // Deflate at its best, and for PXR24 one byte in four dropped before.
        Compression::ZIP1 | Compression::ZIP16 | Compression::PXR24 => 1400,
        _ => 100_000,
    }
}

/// Decodes all chunks. Chunks of the same rows form a band; bands share no byte of the frame.
fn fill(
    bytes: &mut [u8],
    window: &Window,
    choice: &Choice,
    meta: &MetaData,
    chunks: Vec<Chunk>,
) -> exr::error::Result<()> {
    let Some(header) = meta.headers.get(choice.part) else { return Ok(()) };
    let mut bands: BTreeMap<i64, (i64, Vec<Chunk>)> = BTreeMap::new();
    for chunk in chunks {
        let tile = header.get_block_data_indices(&chunk.compressed_block)?;
        let place = header.get_absolute_block_pixel_coordinates(tile)?;
        let height = i64::try_from(place.size.y()).unwrap_or(0);
        let band = bands.entry(i64::from(place.position.y())).or_insert((height, Vec::new()));
        band.0 = band.0.max(height);
        band.1.push(chunk);
    }
    let stride = window.frame.width as usize * choice.layout.bytes_per_pixel();
    let mut work = Vec::new();
    let (mut rest, mut next_row) = (bytes, 0_usize);
    for (y, (height, chunks)) in bands {
        let rows = i64::from(window.frame.height);
        let first = (y + window.top).clamp(0, rows) as usize;
        let end = (y + window.top + height).clamp(0, rows) as usize;
        if first >= end || first < next_row {
            continue;
        }
        let (_, from_first) = rest.split_at_mut((first - next_row) * stride);
        let (band, after) = from_first.split_at_mut((end - first) * stride);
        (rest, next_row) = (after, end);
        work.push((first as i64, band, chunks));
    }
    work.into_par_iter().try_for_each(|(first, band, chunks)| {
        for chunk in chunks {
            let block = UncompressedBlock::decompress_chunk(chunk, meta, false)?;
            place(band, first, window, choice, header, &block);
        }
        Ok(())
    })
}

/// Copies a decoded block into its band, which begins at row `first` of the frame.
fn place(band: &mut [u8], first: i64, window: &Window, choice: &Choice, header: &Header, block: &UncompressedBlock) {
    let stride = window.frame.width as usize * choice.layout.bytes_per_pixel();
    for line in block.lines(&header.channels) {
        let Some((stored, slots)) = choice.uses.get(line.location.channel) else { continue };
        let row = line.location.position.y() as i64 + window.top - first;
        let column = line.location.position.x() as i64 + window.left;
        let Ok(row) = usize::try_from(row) else { continue };
        let Some(out) = band.get_mut(row * stride..(row + 1) * stride) else { continue };
        for &slot in *slots {
            let place = Place { column, slot, pixel: choice.layout.bytes_per_pixel() };
            match (stored, choice.layout.samples) {
                (SampleType::F16, Samples::Half) => copy_line::<2, 2>(out, line.value, place, |half| half),
                (SampleType::F16, _) => {
                    copy_line::<2, 4>(out, line.value, place, |half| f16::from_ne_bytes(half).to_f32().to_ne_bytes())
                }
                (SampleType::F32, _) => copy_line::<4, 4>(out, line.value, place, |float| float),
                // The nearest single float: ids and counts below 2^24 stay themselves.
                (SampleType::U32, _) => {
                    copy_line::<4, 4>(out, line.value, place, |whole| (u32::from_ne_bytes(whole) as f32).to_ne_bytes())
                }
            }
        }
    }
}

/// Where a line of one channel goes.
#[derive(Clone, Copy)]
struct Place {
    /// Column of its first sample in the frame; may be negative.
    column: i64,
    /// Place of the channel in a pixel.
    slot: usize,
    /// Bytes of a pixel.
    pixel: usize,
}

/// Puts one channel's samples of `N` bytes, made into `M` bytes, into their place in each pixel.
fn copy_line<const N: usize, const M: usize>(
    out: &mut [u8],
    line: &[u8],
    place: Place,
    one: impl Fn([u8; N]) -> [u8; M],
) {
    let skipped = usize::try_from(-place.column).unwrap_or(0);
    let column = usize::try_from(place.column).unwrap_or(0);
    let samples = line.as_chunks::<N>().0.iter().skip(skipped);
    let pixels = out.chunks_exact_mut(place.pixel).skip(column);
    for (pixel, sample) in pixels.zip(samples) {
        pixel[place.slot * M..(place.slot + 1) * M].copy_from_slice(&one(*sample));
    }
}

/// The library's own word for a file that ends early.
const CUT_SHORT: &str = "reference to missing bytes";

fn decoding(path: &Path, error: exr::error::Error) -> MediaError {
    use std::io::ErrorKind::{InvalidInput, UnexpectedEof};
    let cut = || MediaError::damaged(path, "it ends before its picture does");
    match error {
        exr::error::Error::Io(error) if error.kind() == UnexpectedEof => cut(),
        // A jump to a place that no file can have.
        exr::error::Error::Io(error) if error.kind() == InvalidInput => {
            MediaError::damaged(path, "its table of offsets points outside the file")
        }
        exr::error::Error::Io(error) => MediaError::reading(path, error),
        exr::error::Error::Invalid(what) if what == CUT_SHORT => cut(),
        exr::error::Error::Invalid(what) => MediaError::damaged(path, what),
        exr::error::Error::NotSupported(what) => unsupported(path, &what),
        exr::error::Error::Aborted => MediaError::damaged(path, "reading it was given up"),
    }
}

/// The library's refusals with what to do about each.
fn unsupported(path: &Path, what: &str) -> MediaError {
    let (kind, remedy) = if what.contains("subsampling") {
        ("OpenEXR with chroma subsampling (Y, RY, BY)", "render it as R, G, B, or have it converted to that")
    } else if what.contains("deep") {
        ("OpenEXR with deep data", "flatten it to R, G, B and A")
    } else if what.contains("compression") {
        let kind = format!("OpenEXR of this compression ({what})");
        return MediaError::unsupported(path, kind, "write it again with ZIP, PIZ or DWAA compression");
    } else {
        let kind = format!("this OpenEXR file ({what})");
        return MediaError::unsupported(path, kind, "flat RGB with scan lines or tiles is: convert the file");
    };
    MediaError::unsupported(path, kind, remedy)
}
