//! Real files from many writers, where the collection lies beside the checkout.
//!
//! Sizes and means are what OpenImageIO 3.2 read from the same files.

use std::fs;
use std::path::PathBuf;

use frame::{Range, Samples, Size};
use media::{MediaError, Picture, read};

/// The collection, or `None` with the reason printed.
fn collection() -> Option<PathBuf> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared/media");
    if path.is_dir() {
        return Some(path);
    }
    println!("skipped: {} is not there", path.display());
    None
}

fn mean(picture: &Picture) -> [f64; 3] {
    let pixels = picture.frame.to_pixels(Range::Full);
    let mut sum = [0.0; 3];
    for pixel in &pixels {
        for (sum, value) in sum.iter_mut().zip(pixel) {
            *sum += f64::from(*value);
        }
    }
    sum.map(|sum| sum / pixels.len() as f64)
}

type Known = (&'static str, Samples, Size, [f64; 3]);

/// Size and means by OpenImageIO 3.2.2: data placed in the display window, DPX by its 10-bit codes.
#[rustfmt::skip]
const KNOWN: [Known; 15] = [
    ("dpx/bars_10_be.dpx", Samples::Ten, Size::new(240, 135), [0.42057357, 0.42100832, 0.42111416]),
    ("dpx/card_1280x720_10_be.dpx", Samples::Ten, Size::new(1280, 720), [0.49224117, 0.48488559, 0.49770690]),
    ("log/film_scan_portrait_512.dpx", Samples::Ten, Size::new(512, 392), [0.39964086, 0.39191633, 0.34785223]),
    ("exr/ScanLines/Cannon.exr", Samples::Half, Size::new(780, 566), [0.34708811, 0.35930602, 0.34586954]),
    ("exr/MultiResolution/PeriodicPattern.exr", Samples::Half, Size::new(517, 517), [0.21150787, 0.21059767, 0.19967225]),
    ("exr/LuminanceChroma/Garden.exr", Samples::Half, Size::new(874, 493), [0.33410876, 0.33410876, 0.33410876]),
    ("exr/TestImages/WideColorGamut.exr", Samples::Half, Size::new(800, 800), [1.09906895, 0.96227423, 1.08192870]),
    ("exr/DisplayWindow/t05.exr", Samples::Half, Size::new(340, 260), [0.00287330, 0.00287330, 0.74861991]),
    ("exr/DisplayWindow/t07.exr", Samples::Half, Size::new(481, 371), [0.00504340, 0.00617536, 0.49765482]),
    ("exr/DisplayWindow/t15.exr", Samples::Half, Size::new(481, 371), [0.00504340, 0.00617536, 0.49765482]),
    ("exr/oiio/tiny-az.exr", Samples::Float, Size::new(20, 20), [0.01, 0.02, 0.03]),
    ("tiff/bars/bars_16_le_planar.tif", Samples::U16, Size::new(240, 135), [0.42066346, 0.42109977, 0.42120507]),
    ("tiff/bars/bars_16_be_interleaved.tif", Samples::U16, Size::new(240, 135), [0.42066346, 0.42109977, 0.42120507]),
    ("tiff/depth/flower-minisblack-16.tif", Samples::U16, Size::new(73, 43), [0.36651990, 0.36651990, 0.36651990]),
    ("png/linear_pairs/Nikon-D3-14bit_2020_g1.png", Samples::U16, Size::new(64, 64), [0.03709440, 0.03751303, 0.03268356]),
];

#[test]
fn sizes_and_means_are_those_of_another_reader() {
    let Some(media) = collection() else { return };
    for (file, samples, size, expected) in KNOWN {
        let picture = read(&media.join(file)).unwrap();
        assert_eq!(picture.frame.layout().samples, samples, "{file}");
        assert_eq!(picture.frame.size(), size, "{file}");
        let found = mean(&picture);
        for (a, b) in found.iter().zip(expected) {
            // Eight decimals are printed; single float adds 6e-8 of a value near 1.
            assert!((a - b).abs() < 1e-7, "{file}: {found:?}");
        }
    }
}

#[test]
fn damaged_files_are_refused_or_read_without_a_panic() {
    let Some(media) = collection() else { return };
    for folder in ["exr/Damaged", "exr/bad", "exr/oiio", "dpx/bad", "tiff/bad", "png/bad", "cineon"] {
        for entry in fs::read_dir(media.join(folder)).unwrap() {
            let path = entry.unwrap().path();
            match read(&path) {
                Ok(picture) => println!("{}: {}", path.display(), picture.frame.size()),
                Err(error) => println!("{error}"),
            }
        }
    }
    for liar in ["dpx/bad/bomb-46341.dpx", "exr/Damaged/memory_DOS_1", "exr/Damaged/memory_DOS_2.2"] {
        assert!(read(&media.join(liar)).is_err(), "{liar}");
    }
}

#[test]
fn kinds_that_are_not_read_are_named() {
    let Some(media) = collection() else { return };
    for (file, part) in [
        ("exr/LuminanceChroma/Flowers.exr", "subsampling"),
        ("exr/oiio/deep-nosamples.exr", "deep data"),
        ("tiff/depth/flower-separated-contig-16.tif", "CMYK"),
        ("cineon/bomb-46341.cin", "Cineon"),
    ] {
        match read(&media.join(file)) {
            Err(error @ (MediaError::Unsupported { .. } | MediaError::WrongMagic { .. })) => {
                assert!(error.to_string().contains(part), "{error}");
            }
            other => panic!("{file}: {other:?}"),
        }
    }
}
