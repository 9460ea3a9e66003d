//! Times reading and writing of 3840x2160 frames: `cargo run --release --example speed -p media [FOLDER]`.

use std::error::Error;
use std::path::PathBuf;
use std::time::Instant;

use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use media::{About, read, write};

fn main() -> Result<(), Box<dyn Error>> {
    let folder = std::env::args_os().nth(1).map_or_else(std::env::temp_dir, PathBuf::from);
    let size = Size::new(3840, 2160);
    let pixels: Vec<[f32; 4]> = (0..size.pixels())
        .map(|i| {
            let (x, y) = (i % 3840, i / 3840);
            // A ramp with grain, so that compression has something to do.
            let grain = (i as u32).wrapping_mul(2_654_435_761) >> 22;
            let value = (x + y) as f32 / 6000.0 + grain as f32 / 1024.0 / 50.0;
            [value, value * 0.9, value * 0.8, 1.0]
        })
        .collect();
    for (name, samples, order) in [
        ("10-bit.dpx", Samples::Ten, ByteOrder::Big),
        ("half.exr", Samples::Half, ByteOrder::Little),
        ("16-bit.tif", Samples::U16, ByteOrder::Little),
        ("16-bit.png", Samples::U16, ByteOrder::Big),
    ] {
        let layout = Layout::new(Channels::Rgb, samples, order);
        let (frame, pack) = best(|| Frame::from_pixels(&pixels, size, layout, Range::Full));
        let (_, unpack) = best(|| frame.to_pixels(Range::Full));
        let path = folder.join(name);
        let (written, write_ms) = best(|| write(&path, &frame, &About::default()));
        written?;
        let (back, read_ms) = best(|| read(&path));
        back?;
        std::fs::remove_file(&path)?;
        println!("{name}: write {write_ms:.1} ms, read {read_ms:.1} ms, pack {pack:.1} ms, unpack {unpack:.1} ms");
    }
    Ok(())
}

/// The last answer and the best time of five, in milliseconds.
fn best<T>(mut work: impl FnMut() -> T) -> (T, f64) {
    let mut least = f64::INFINITY;
    let mut answer = timed(&mut work, &mut least);
    for _ in 0..4 {
        answer = timed(&mut work, &mut least);
    }
    (answer, least)
}

fn timed<T>(work: &mut impl FnMut() -> T, least: &mut f64) -> T {
    let start = Instant::now();
    let answer = work();
    *least = least.min(start.elapsed().as_secs_f64() * 1e3);
    answer
}
