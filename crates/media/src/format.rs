//! Formats and depths that are written.

use std::fmt;
use std::path::Path;
use std::str::FromStr;

use frame::{ByteOrder, Channels, Layout, Samples};

use crate::MediaError;

/// The byte order of this machine, for formats whose library hands out native samples.
pub(crate) const NATIVE: ByteOrder = if cfg!(target_endian = "big") { ByteOrder::Big } else { ByteOrder::Little };

/// A file format.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Format {
    /// SMPTE ST 268-1.
    Dpx,
    /// OpenEXR.
    Exr,
    /// TIFF 6.0.
    Tiff,
    /// PNG, third edition.
    Png,
    /// JPEG, ITU-T T.81; read only.
    Jpeg,
}

/// Bits of a sample on output: what `--depth` takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Depth {
    /// 8-bit codes.
    Eight,
    /// 10-bit codes.
    Ten,
    /// 16-bit codes.
    Sixteen,
    /// Half float.
    Half,
    /// Single float.
    Float,
}

impl Format {
    /// The format that the path's ending names.
    ///
    /// # Errors
    /// [`MediaError::UnknownFormat`] where it names none.
    pub fn of_path(path: &Path) -> Result<Format, MediaError> {
        let ending = path.extension().and_then(|e| e.to_str()).map(str::to_ascii_lowercase);
        match ending.as_deref() {
            Some("dpx") => Ok(Format::Dpx),
            Some("exr") => Ok(Format::Exr),
            Some("tif" | "tiff") => Ok(Format::Tiff),
            Some("png") => Ok(Format::Png),
            Some("jpg" | "jpeg") => Ok(Format::Jpeg),
            _ => Err(MediaError::UnknownFormat { path: path.to_owned() }),
        }
    }

    /// Depths the format is written with, the usual one first; none for a format that is only read.
    pub const fn depths(self) -> &'static [Depth] {
        match self {
            Format::Dpx => &[Depth::Ten, Depth::Sixteen],
            Format::Exr => &[Depth::Half, Depth::Float],
            Format::Tiff => &[Depth::Sixteen],
            Format::Png => &[Depth::Sixteen, Depth::Eight],
            Format::Jpeg => &[],
        }
    }

    /// The depth used unless told.
    pub const fn default_depth(self) -> Depth {
        match self {
            Format::Dpx => Depth::Ten,
            Format::Exr => Depth::Half,
            Format::Tiff | Format::Png => Depth::Sixteen,
            Format::Jpeg => Depth::Eight,
        }
    }

    /// What can be written, in words.
    pub(crate) const fn holds(self) -> &'static str {
        match self {
            Format::Dpx => "10-bit RGB, 8- or 16-bit RGB or RGBA",
            Format::Exr => "half or single float, RGB or RGBA",
            Format::Tiff => "16-bit RGB or RGBA",
            Format::Png => "8- or 16-bit RGB or RGBA",
            Format::Jpeg => "nothing: it is only read",
        }
    }
}

impl fmt::Display for Format {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Format::Dpx => "DPX",
            Format::Exr => "OpenEXR",
            Format::Tiff => "TIFF",
            Format::Png => "PNG",
            Format::Jpeg => "JPEG",
        })
    }
}

impl fmt::Display for Depth {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Depth::Eight => "8",
            Depth::Ten => "10",
            Depth::Sixteen => "16",
            Depth::Half => "half",
            Depth::Float => "float",
        })
    }
}

impl FromStr for Depth {
    type Err = MediaError;

    fn from_str(given: &str) -> Result<Depth, MediaError> {
        match given.trim().to_ascii_lowercase().as_str() {
            "8" => Ok(Depth::Eight),
            "10" => Ok(Depth::Ten),
            "16" => Ok(Depth::Sixteen),
            "half" => Ok(Depth::Half),
            "float" => Ok(Depth::Float),
            _ => Err(MediaError::UnknownDepth { given: given.to_owned() }),
        }
    }
}

/// The layout in which `format` stores `depth` without a pass over the pixels. 10-bit DPX holds no alpha
/// here: it gets RGB, the picture over black.
///
/// # Errors
/// [`MediaError::Depth`], naming the depths that the format takes.
pub fn layout_for(format: Format, depth: Depth, channels: Channels) -> Result<Layout, MediaError> {
    if !format.depths().contains(&depth) {
        let depths: Vec<String> = format.depths().iter().map(Depth::to_string).collect();
        let holds = if depths.is_empty() { format.holds().to_owned() } else { depths.join(" or ") };
        return Err(MediaError::Depth { format, depth, holds });
    }
    let samples = match depth {
        Depth::Eight => Samples::Codes(8),
        Depth::Ten => Samples::Ten,
        Depth::Sixteen => Samples::U16,
        Depth::Half => Samples::Half,
        Depth::Float => Samples::Float,
    };
    Ok(match format {
        Format::Dpx if samples == Samples::Ten => Layout::new(Channels::Rgb, samples, ByteOrder::Big),
        Format::Dpx | Format::Png => Layout::new(channels, samples, ByteOrder::Big),
        Format::Exr | Format::Tiff | Format::Jpeg => Layout::new(channels, samples, NATIVE),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_default_depth_is_one_the_format_takes() {
        for format in [Format::Dpx, Format::Exr, Format::Tiff, Format::Png] {
            assert_eq!(format.depths()[0], format.default_depth());
            for &depth in format.depths() {
                let layout = layout_for(format, depth, Channels::Rgba).unwrap();
                assert!(layout.is_valid());
                assert_eq!(depth.to_string().parse::<Depth>().unwrap(), depth);
            }
        }
        let error = layout_for(Format::Dpx, Depth::Half, Channels::Rgb).unwrap_err().to_string();
        assert_eq!(error, "DPX is not written with depth half; it takes 10 or 16");
        let error = layout_for(Format::Exr, Depth::Ten, Channels::Rgb).unwrap_err().to_string();
        assert!(error.ends_with("it takes half or float"));
        assert!(layout_for(Format::Jpeg, Depth::Eight, Channels::Rgb).is_err());
        assert!("12".parse::<Depth>().is_err());
    }

    #[test]
    fn endings_name_formats() {
        assert_eq!(Format::of_path(Path::new("a.DPX")).unwrap(), Format::Dpx);
        assert_eq!(Format::of_path(Path::new("a.tiff")).unwrap(), Format::Tiff);
        assert_eq!(Format::of_path(Path::new("a.JPG")).unwrap(), Format::Jpeg);
        assert!(Format::of_path(Path::new("a.gif")).is_err());
        assert!(Format::of_path(Path::new("dpx")).is_err());
    }
}
