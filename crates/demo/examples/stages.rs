//! How long a shot takes to write: `cargo run --release -p demo --example stages -- SHOT [WIDTH] [FRAMES]`.
//!
//! Seconds to the first frame, which traces the whole picture, and of each further one, with truth pictures and without.

use std::cell::RefCell;
use std::error::Error;
use std::time::Instant;

use demo::{Settings, TruthPictures};
use frame::Size;

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [shot, rest @ ..] = arguments.as_slice() else { return Err("name a shot".into()) };
    let width: u32 = rest.first().map_or(Ok(1920), |text| text.parse())?;
    let frames: u32 = rest.get(1).map_or(Ok(5), |text| text.parse())?;
    let size = Size { width, height: width * 9 / 16 };
    for (words, truth) in
        [("truth of the first frame", TruthPictures::First), ("truth of every frame", TruthPictures::Every)]
    {
        let folder = tempfile::tempdir()?;
        let settings =
            Settings { size, frames, truth, shots: vec![shot.clone()], faults: false, ..Settings::default() };
        let (begun, done) = (Instant::now(), RefCell::new(Vec::new()));
        demo::write(folder.path(), &settings, &|_, _| {
            done.borrow_mut().push(begun.elapsed().as_secs_f64());
            true
        })?;
        let done = done.borrow();
        let (Some(first), Some(last)) = (done.first(), done.last()) else { continue };
        let each = (last - first) / f64::from(frames.saturating_sub(1).max(1));
        // As over the 48 frames that a shot has.
        println!(
            "{shot} {size}, {words}: {first:.2} s, then {each:.2} s a frame; {:.2} over 48",
            (first + 47.0 * each) / 48.0
        );
    }
    Ok(())
}
