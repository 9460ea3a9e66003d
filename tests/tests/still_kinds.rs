//! TIFF, PNG and JPEG of every kind that is read, made field by field by `tests/reference/write_stills.py`, as we read
//! them and as OpenImageIO does: depths of 1 to 16 bits and floats, palettes, alpha of both sorts, planes, tiles, byte
//! orders, predictors, turned rows.
//!
//! Without the Python that `GREYWRIGHT_PYTHON` names this is skipped with a printed reason.

use std::path::{Path, PathBuf};

use frame::{Frame, Range, Samples};
use media::Picture;
use tests::outside::{Outside, read_outside};
use tests::program::{python, reference};

/// OpenImageIO turns white that is zero into white that is one in 8 bits and fewer, but not in 16. TIFF Revision 6.0
/// (PhotometricInterpretation 0) makes no such difference.
const LEFT_AS_STORED: &str = "grey_16_white_is_zero.tif";

/// The script's files are there; empty where they cannot be made.
fn stills(folder: &Path) -> Option<(PathBuf, Vec<PathBuf>)> {
    let python = python()?;
    let names = reference(&python, "write_stills.py", &[&folder.display().to_string()]);
    Some((python, names.lines().map(|name| folder.join(name)).collect()))
}

/// Samples as numbers, 1 for the highest code, colour multiplied by alpha.
fn values(frame: &Frame) -> Vec<f64> {
    let channels = if frame.layout().has_alpha() { 4 } else { 3 };
    let pixels = frame.to_pixels(Range::Full);
    let sample = |pixel: &[f32; 4], at: usize| f64::from(pixel[at]) * if at < 3 { f64::from(pixel[3]) } else { 1.0 };
    pixels.iter().flat_map(|pixel| (0..channels).map(move |at| sample(pixel, at))).collect()
}

fn outside_values(outside: &Outside) -> Vec<f64> {
    let kind = outside.words_are();
    outside.samples().into_iter().map(|word| kind.value(word)).collect()
}

/// How far two samples may be apart. Frames are handed out in single float without alpha, which is off by 6e-8 of a value twice over, and alpha by as much; colour that
/// both sides multiply by alpha is rounded by each to half a code; and a JPEG decoder may round luma and colour
/// difference either way (ITU-T T.83), which is two codes of blue (ITU-T T.871).
fn bound(file: &Path, frame: &Frame, outside: &Outside, value: f64) -> f64 {
    let code = 1.0 / f64::from(frame.layout().samples.highest_code());
    let single = 3e-7 * value.abs();
    if file.extension().is_some_and(|ending| ending == "jpg") {
        2.0 * code + single
    } else if outside.kind == "associated" {
        0.5 * code + 1.0 / 65535.0 + single
    } else {
        single
    }
}

#[test]
fn every_kind_is_read_as_outside() {
    let folder = tempfile::tempdir().expect("a folder");
    let Some((python, files)) = stills(folder.path()) else { return };
    assert!(files.len() > 80, "{} files", files.len());
    let paths: Vec<&Path> = files.iter().map(PathBuf::as_path).collect();
    let mut wrong = Vec::new();
    for (file, outside) in paths.iter().zip(read_outside(&python, &paths, folder.path())) {
        let outside = outside.unwrap_or_else(|word| panic!("{}: not read outside: {word}", file.display()));
        let name = file.file_name().unwrap_or_default().to_string_lossy().into_owned();
        match media::read(file) {
            Ok(Picture { frame, .. }) => {
                if let Err(why) = compare(file, &frame, &outside) {
                    wrong.push(format!("{name}: {why}"));
                }
            }
            Err(error) => wrong.push(error.to_string()),
        }
    }
    assert!(wrong.is_empty(), "read otherwise than by OpenImageIO:\n{}", wrong.join("\n"));
    println!("{} files read as by OpenImageIO", files.len());
}

fn compare(file: &Path, frame: &Frame, outside: &Outside) -> Result<(), String> {
    let (size, layout) = (frame.size(), frame.layout());
    let channels = if layout.has_alpha() { 4 } else { 3 };
    if (size.width, size.height, channels) != (outside.width, outside.height, outside.channels) {
        return Err(format!("{size}, {}, outside {outside:?}", layout.name()));
    }
    let depth_stays = match layout.samples {
        Samples::Half => outside.kind == "half",
        Samples::Float => outside.kind == "float",
        samples => outside.kind == "associated" || outside.kind == (samples.highest_code() + 1).ilog2().to_string(),
    };
    if !depth_stays {
        return Err(format!("{}, outside {}", layout.name(), outside.kind));
    }
    let (own, mut theirs) = (values(frame), outside_values(outside));
    if file.ends_with(LEFT_AS_STORED) {
        theirs.iter_mut().for_each(|value| *value = 1.0 - *value);
    }
    assert_eq!(own.len(), theirs.len());
    let apart = own.iter().zip(&theirs).position(|(a, b)| (a - b).abs() > bound(file, frame, outside, *b));
    apart.map_or(Ok(()), |at| Err(format!("sample {at}: {}, outside {}", own[at], theirs[at])))
}

/// Resolution counts pixels a unit, here 4 across and 6 down, so that a pixel is half as wide again as it is high; where
/// rows are columns, two thirds.
///
/// Source: TIFF Revision 6.0, XResolution, YResolution, Orientation.
#[test]
fn the_shape_of_a_pixel_is_turned_with_the_picture() {
    let folder = tempfile::tempdir().expect("a folder");
    if stills(folder.path()).is_none() {
        return;
    }
    for code in 1..=8 {
        let picture = media::read(&folder.path().join(format!("turned_{code}.tif"))).expect("it is there");
        let wanted = if code < 5 { 1.5 } else { 2.0 / 3.0 };
        let aspect = picture.about.pixel_aspect.expect("it is said");
        assert!((aspect - wanted).abs() < 1e-9, "{code}: {aspect}");
    }
}
