//! A quick look at a shot while it is built: `cargo run --release -p demo --example look -- SHOT OUT.png [WIDTH] [SECONDS]`.

use std::error::Error;
use std::path::Path;
use std::time::Instant;

use frame::Size;
use media::About;

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [shot, out, rest @ ..] = arguments.as_slice() else { return Err("name a shot and a picture to write".into()) };
    let width: u32 = rest.first().map_or(Ok(640), |text| text.parse())?;
    let seconds: f64 = rest.get(1).map_or(Ok(0.0), |text| text.parse())?;
    let begun = Instant::now();
    let size = Size { width, height: width * 9 / 16 };
    let picture = demo::viewer::picture(shot, size, seconds, true).ok_or("there is no such shot")?;
    println!("{:.2} s", begun.elapsed().as_secs_f64());
    media::write(Path::new(out), &picture, &About::default())?;
    Ok(())
}
