//! `pattern`: built-in test signals as files.

use std::path::PathBuf;

use colour::{CodeRange, Encoding, Form};
use demo::pattern::{Pattern, PatternSignal, pixels};
use frame::{Channels, Frame, Layout, Range, Size};
use media::{About, Depth, OutputPattern, layout_for};
use serde::Serialize;

use super::chain::file_range;
use super::failure::Failure;
use super::say;

/// The depth of the codes that BT.2111 prints.
const PUBLISHED_BITS: u32 = 10;

/// Write a built-in test signal.
///
/// Kinds: ramp (0 to 100 % of display signal), ramp-stops (scene light, -8 to +6 stops from mid grey), wedge (scene light,
/// a stop a step), bars75, bars100, hue-sweep; and bars of the standards in their own codes: rp219, bt2111-hlg, bt2111-pq,
/// bt2111-pq-full.
#[derive(clap::Args)]
#[command(after_help = "  greywright pattern ramp-stops --encoding LogC3 --out ramp.dpx
  greywright pattern bars75 --range legal --out bars.dpx --size 1280x720
  greywright pattern bt2111-hlg --out bars.dpx")]
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
    /// Whether the codes fill the full or the legal range: full unless told or published otherwise.
    #[arg(long, value_name = "full|legal", value_parser = <CodeRange as ops::Setting>::parse)]
    range: Option<CodeRange>,
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
    range: &'static str,
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
    let range = range(args, layout)?;
    if args.kind.published_encoding().is_some() && !layout.is_float() && layout.bits() < PUBLISHED_BITS {
        let message = format!("--depth {}: BT.2111 gives codes of 10 bits; ask for 10 or more", layout.bits());
        return Err(Failure::usage(message));
    }
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
    let published = args.kind.published_encoding();
    let name = match (&encoding, published) {
        (Some(encoding), _) => name_with_index(encoding),
        (None, Some(published)) => format!("{published} code"),
        (None, None) => "display code".to_string(),
    };
    let frame = Frame::from_pixels(&values, args.size, layout, range);
    let encoding = encoding.map(|encoding| encoding.name).or_else(|| published.map(str::to_string));
    let told = encoding.map(|encoding| (encoding, "as asked".to_string()));
    // A range that nobody named is the writer's to say.
    let said = args.kind.published_range().filter(|_| !layout.is_float()).or(args.range.map(file_range));
    out.prepare()?;
    let path = out.path_for(1);
    media::write(&path, &frame, &About { encoding: told, range: said, ..About::default() })?;
    let (kind, description) = (args.kind.name(), args.kind.description());
    let path = say::path(&path);
    if args.json {
        return say::json(&Written { kind, description, path, signal: name, range: range.name() });
    }
    say::result(&format!("{path}\n  {description}; {name}, {} range\n", range.name()))
}

/// Published codes have a range of their own. Floats hold signal, whatever codes it was published in.
fn range(args: &Args, layout: Layout) -> Result<Range, Failure> {
    let own = args.kind.published_range().filter(|_| !layout.is_float());
    match (own, args.range.map(file_range)) {
        (Some(own), Some(asked)) if own != asked => Err(Failure::usage(format!(
            "--range {}: the codes of {} are published in {} range; leave --range out",
            asked.name(),
            args.kind.name(),
            own.name()
        ))),
        (own, asked) => Ok(own.or(asked).unwrap_or_default()),
    }
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
