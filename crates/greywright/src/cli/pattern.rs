//! `pattern`: built-in test signals as files.

use std::path::PathBuf;

use colour::{Encoding, Form};
use demo::pattern::{Pattern, PatternSignal, pixels};
use frame::{Channels, Frame, Range, Size};
use media::{About, Depth, OutputPattern, layout_for};
use serde::Serialize;

use super::failure::Failure;
use super::say;

/// Write a built-in test signal.
///
/// Kinds: ramp (0 to 100 % of display signal), ramp-stops (scene light, -8 to +6 stops from mid
/// grey), wedge (scene light, a stop a step), bars75, bars100, hue-sweep.
#[derive(clap::Args)]
#[command(after_help = "  greywright pattern ramp-stops --encoding LogC3 --out ramp.dpx
  greywright pattern bars75 --out bars.png --size 1280x720")]
pub struct Args {
    /// Which signal.
    #[arg(value_name = "KIND", value_parser = kind)]
    kind: Pattern,
    /// The file to write; its ending chooses the format.
    #[arg(long, value_name = "FILE")]
    out: PathBuf,
    /// Width and height in pixels.
    #[arg(long, value_name = "WxH", default_value = "1920x1080", value_parser = size)]
    size: Size,
    /// The encoding of scene-light signals; ACEScct unless told, linear in float files.
    #[arg(long, value_name = "ENCODING")]
    encoding: Option<String>,
    /// The exposure index of the encoding, for LogC3.
    #[arg(long, value_name = "INDEX", requires = "encoding")]
    ei: Option<u32>,
    /// Bits of a sample: 8, 10, 16, half or float, as the format allows.
    #[arg(long, value_name = "8|10|16|half|float")]
    depth: Option<Depth>,
    /// Write JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Serialize)]
struct Written {
    kind: &'static str,
    description: &'static str,
    path: String,
    signal: String,
}

fn kind(text: &str) -> Result<Pattern, String> {
    text.parse().map_err(|error: demo::pattern::UnknownPattern| error.to_string())
}

/// Reads `WxH`.
pub fn size(text: &str) -> Result<Size, String> {
    let wanted = || "width x height is wanted, for instance 1920x1080".to_string();
    let (width, height) = text.split_once('x').ok_or_else(wanted)?;
    let (width, height) = (width.trim().parse().map_err(|_| wanted())?, height.trim().parse().map_err(|_| wanted())?);
    if (1..=16384).contains(&width) && (1..=16384).contains(&height) {
        Ok(Size::new(width, height))
    } else {
        Err("width and height must be 1 to 16384".to_string())
    }
}

pub fn run(args: &Args) -> Result<(), Failure> {
    let out = OutputPattern::parse(&args.out).map_err(Failure::usage)?;
    let depth = args.depth.unwrap_or_else(|| out.format().default_depth());
    let layout = layout_for(out.format(), depth, Channels::Rgb).map_err(Failure::usage)?;
    let (mut values, signal) = pixels(args.kind, args.size);
    let encoding = match (signal, &args.encoding) {
        (PatternSignal::DisplayCode, None) => None,
        (PatternSignal::DisplayCode, Some(_)) => {
            let message =
                format!("--encoding: {} is display code; only scene-light signals are encoded", args.kind.name());
            return Err(Failure::usage(message));
        }
        (PatternSignal::SceneLinear, name) => {
            let usual = if layout.is_float() { "ACEScg" } else { "ACEScct" };
            Some(scene_encoding(name.as_deref().unwrap_or(usual), args.ei)?)
        }
    };
    if let Some(encoding) = &encoding {
        // Grey is grey on any primaries, so the curve is all there is to do.
        for pixel in &mut values {
            for channel in &mut pixel[..3] {
                *channel = encoding.transfer.encode(Form::Published, f64::from(*channel)) as f32;
            }
        }
    }
    let name = encoding.as_ref().map_or_else(|| "display code".to_string(), name_with_index);
    let frame = Frame::from_pixels(&values, args.size, layout, Range::Full);
    let told = encoding.map(|encoding| (encoding.name, "as asked".to_string()));
    out.prepare()?;
    let path = out.path_for(1);
    media::write(&path, &frame, &About { encoding: told, ..About::default() })?;
    let (kind, description) = (args.kind.name(), args.kind.description());
    let path = say::path(&path);
    if args.json {
        return say::json(&Written { kind, description, path, signal: name });
    }
    say::result(&format!("{path}\n  {description}; {name}\n"))
}

/// The encoding for scene light; displays have none.
fn scene_encoding(name: &str, ei: Option<u32>) -> Result<Encoding, Failure> {
    let encoding = Encoding::named(name, ei).map_err(|error| Failure::usage(format!("--encoding: {error}")))?;
    if encoding.reference == colour::Reference::Display {
        let message =
            format!("--encoding: {} is a display encoding; a scene encoding is wanted, as LogC3", encoding.name);
        return Err(Failure::usage(message));
    }
    Ok(encoding)
}

fn name_with_index(encoding: &Encoding) -> String {
    match encoding.exposure_index {
        Some(index) => format!("{} EI {index}", encoding.name),
        None => encoding.name.clone(),
    }
}
