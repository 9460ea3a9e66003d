//! Writes a small demo and prints where its shots are: `cargo run --release -p demo --example look -- DIR [WIDTH]`.
//! The first frame of each shot, as shot and corrected by its stated chain, is put beside it as a BT.1886 `.ppm`.

use std::error::Error;
use std::fs;
use std::path::PathBuf;

use colour::transfer::{Form, Transfer};
use colour::{Adaptation, Encoding, Primaries, primaries};
use frame::{Range, Size};

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let dir = PathBuf::from(arguments.next().ok_or("name a folder to write to")?);
    let width: u32 = arguments.next().map_or(Ok(960), |text| text.parse())?;
    let settings = demo::Settings { size: Size { width, height: width * 9 / 16 }, ..demo::Settings::default() };
    let summary = demo::write(&dir, &settings, &|done, total| {
        eprint!("\r{done}/{total}");
        true
    })?;
    eprintln!();
    for shot in &summary.shots {
        let truth: demo::Truth = serde_json::from_str(&fs::read_to_string(dir.join(&shot.truth))?)?;
        let first = dir.join(shot.pattern.replace("%04d", "0001"));
        let pixels = media::read(&first)?.frame.to_pixels(Range::Full);
        let encoding = Encoding::named(&shot.encoding, None)?;
        let to_screen = Primaries::rgb_from_rgb(&primaries::BT709, &encoding.primaries, Adaptation::Bradford);
        let balance = Adaptation::Bradford.matrix(truth.light.white, primaries::D65);
        let balanced = primaries::BT709.rgb_from_xyz() * balance * encoding.primaries.xyz_from_rgb();
        let gain = (-truth.exposure_error_stops).exp2();
        for (name, matrix, gain) in [("as-shot", to_screen, 1.0), ("corrected", balanced, gain)] {
            let mut image = format!("P6 {} {} 255\n", settings.size.width, settings.size.height).into_bytes();
            for pixel in &pixels {
                let linear = [0, 1, 2].map(|c| gain * encoding.transfer.decode(Form::Published, f64::from(pixel[c])));
                for value in matrix.apply(linear) {
                    let code = Transfer::Gamma { exponent: 2.4 }.encode(Form::Published, value.clamp(0.0, 1.0));
                    image.push((code * 255.0 + 0.5) as u8);
                }
            }
            let path = dir.join(format!("{}.{name}.ppm", shot.name));
            fs::write(&path, image)?;
            println!("{}", path.display());
        }
    }
    Ok(())
}
