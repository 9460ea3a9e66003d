//! Writing: scan lines, zip-compressed in parallel; ACES2065-1 halves as an ST 2065-4 container.

use std::io::{self, Cursor};

use exr::block::chunk::{Chunk, CompressedBlock, CompressedScanLineBlock};
use exr::block::writer::ChunksWriter;
use exr::math::Vec2;
use exr::meta::BlockDescription;
use exr::meta::attribute::{ChannelDescription, Compression, LineOrder, SampleType, Text};
use exr::meta::header::{Header, LayerAttributes};
use exr::prelude::SmallVec;
use frame::{ByteOrder, Frame, Samples};
use rayon::prelude::*;

use super::attributes;
use super::zip::zip;
use crate::About;
use crate::shorts::in_order;

/// Channels in the order the file must have, each with its place in a pixel.
const RGBA: [(&str, usize); 4] = [("A", 3), ("B", 2), ("G", 1), ("R", 0)];

pub(crate) fn write(file: &mut Cursor<Vec<u8>>, frame: &Frame, about: &About) -> io::Result<()> {
    match frame.layout().samples {
        Samples::Half => write_samples::<2>(file, frame, about),
        _ => write_samples::<4>(file, frame, about),
    }
}

/// Writes a frame whose samples have `N` bytes.
fn write_samples<const N: usize>(file: &mut Cursor<Vec<u8>>, frame: &Frame, about: &About) -> io::Result<()> {
    let channels = if frame.layout().has_alpha() { &RGBA[..] } else { &RGBA[1..] };
    let header = header(frame, about, channels);
    let (compression, lines) = (header.compression, header.compression.scan_lines_per_block());
    let mut headers = SmallVec::new();
    headers.push(header);
    let samples = frame.layout().samples;
    let bytes = in_order::<N>(frame, ByteOrder::Little);
    let stride = frame.layout().bytes_per_pixel() * frame.size().width as usize;
    exr::block::write(file, headers, true, |_, writer| {
        let chunks: Vec<_> = bytes
            .par_chunks(stride * lines)
            .enumerate()
            .map(|(index, rows)| {
                let plain = planar_lines::<N>(rows, stride, channels);
                let compressed_pixels_le = if compression == Compression::ZIP16 { zip(plain, samples) } else { plain };
                let y_coordinate = i32::try_from(index * lines).map_err(io::Error::other)?;
                let block = CompressedScanLineBlock { y_coordinate, compressed_pixels_le };
                Ok(Chunk { layer_index: 0, compressed_block: CompressedBlock::ScanLine(block) })
            })
            .collect::<io::Result<_>>()?;
        for (index, chunk) in chunks.into_iter().enumerate() {
            writer.write_chunk(index, chunk)?;
        }
        Ok(())
    })
    .map_err(|error| match error {
        exr::error::Error::Io(error) => error,
        other => io::Error::other(other),
    })
}

fn header(frame: &Frame, about: &About, channels: &[(&str, usize)]) -> Header {
    let half = frame.layout().samples == Samples::Half;
    let sample_type = if half { SampleType::F16 } else { SampleType::F32 };
    let list = channels.iter().map(|(name, _)| ChannelDescription::new(*name, sample_type, false)).collect();
    let size = Vec2(frame.size().width as usize, frame.size().height as usize);
    // What ST 2065-4 asks for: AP0 in halves, without compression, and its flag.
    let container = half && about.encoding_id() == Some("ACES2065-1");
    let compression = if container { Compression::Uncompressed } else { Compression::ZIP16 };
    let mut header = Header::new(Text::from(""), size, list).with_encoding(
        compression,
        BlockDescription::ScanLines,
        LineOrder::Increasing,
    );
    header.own_attributes = LayerAttributes::default();
    attributes::describe(&mut header, about);
    if container {
        attributes::describe_container(&mut header);
    }
    header
}

/// Interleaved rows to what a block holds: for each row, each channel's samples together.
fn planar_lines<const N: usize>(rows: &[u8], stride: usize, channels: &[(&str, usize)]) -> Vec<u8> {
    let mut planar = vec![0; rows.len()];
    for (row, planar) in rows.chunks_exact(stride).zip(planar.chunks_exact_mut(stride)) {
        for ((_, slot), line) in channels.iter().zip(planar.chunks_exact_mut(stride / channels.len())) {
            let samples = row.as_chunks::<N>().0.iter().skip(*slot).step_by(channels.len());
            for (out, sample) in line.as_chunks_mut::<N>().0.iter_mut().zip(samples) {
                *out = *sample;
            }
        }
    }
    planar
}
