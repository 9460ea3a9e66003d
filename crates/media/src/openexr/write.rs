//! Writing: scan lines, zip-compressed in parallel; ACES2065-1 halves as an ST 2065-4 container.

use std::io::{self, Cursor};

use exr::block::writer::ChunksWriter;
use exr::block::{BlockIndex, UncompressedBlock};
use exr::math::Vec2;
use exr::meta::BlockDescription;
use exr::meta::attribute::{ChannelDescription, Compression, LineOrder, SampleType, Text};
use exr::meta::header::{Header, LayerAttributes};
use exr::prelude::SmallVec;
use frame::{Frame, Samples};
use rayon::prelude::*;

use super::attributes;
use crate::About;
use crate::format::NATIVE;
use crate::shorts::in_order;

/// Channels in the order the file must have, each with its place in a pixel.
const RGBA: [(&str, usize); 4] = [("A", 3), ("B", 2), ("G", 1), ("R", 0)];

pub(crate) fn write(file: &mut Cursor<Vec<u8>>, frame: &Frame, about: &About) -> io::Result<()> {
    let channels = if frame.layout().has_alpha() { &RGBA[..] } else { &RGBA[1..] };
    let header = header(frame, about, channels);
    let lines = header.compression.scan_lines_per_block();
    let mut headers = SmallVec::new();
    headers.push(header);
    let bytes = match frame.layout().samples {
        Samples::Half => in_order::<2>(frame, NATIVE),
        _ => in_order::<4>(frame, NATIVE),
    };
    let size = frame.size();
    let (width, height) = (size.width as usize, size.height as usize);
    let stride = frame.layout().bytes_per_pixel() * width;
    exr::block::write(file, headers, true, |meta, writer| {
        let chunks: Vec<_> = bytes
            .par_chunks(stride * lines)
            .enumerate()
            .map(|(index, rows)| {
                let top = index * lines;
                let block = UncompressedBlock {
                    index: BlockIndex {
                        layer: 0,
                        pixel_position: Vec2(0, top),
                        pixel_size: Vec2(width, lines.min(height - top)),
                        level: Vec2(0, 0),
                    },
                    data: planar_lines(rows, stride, frame, channels),
                };
                block.compress_to_chunk(&meta.headers)
            })
            .collect::<exr::error::Result<_>>()?;
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
fn planar_lines(rows: &[u8], stride: usize, frame: &Frame, channels: &[(&str, usize)]) -> Vec<u8> {
    let pixel = frame.layout().bytes_per_pixel();
    let sample = frame.layout().bits() as usize / 8;
    let mut data = Vec::with_capacity(rows.len());
    for row in rows.chunks_exact(stride) {
        for (_, slot) in channels {
            let at = slot * sample;
            for pixel in row.chunks_exact(pixel) {
                data.extend_from_slice(&pixel[at..at + sample]);
            }
        }
    }
    data
}
