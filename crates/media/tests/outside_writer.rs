//! DPX files that another program wrote: tests/data/frames, with their source in its README.

use std::path::PathBuf;

use frame::{ByteOrder, Range, Size};
use media::read;

/// Source: the codes the files were written from, OpenImageIO 3.2.2 (SMPTE 268M-2003, methods A and B).
#[test]
fn ten_bit_words_of_both_methods_and_orders() {
    let codes = [[0, 1023, 512], [64, 940, 502], [1, 2, 3], [1023, 0, 1]];
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../tests/data/frames");
    for (order, name) in [(ByteOrder::Big, "big"), (ByteOrder::Little, "little")] {
        for method in ["a", "b"] {
            let path = folder.join(format!("ten_{name}_{method}.dpx"));
            let picture = read(&path).unwrap();
            assert_eq!(picture.frame.size(), Size::new(4, 1));
            assert_eq!(picture.frame.layout().order, order);
            for (pixel, codes) in picture.frame.to_pixels(Range::Full).iter().zip(codes) {
                let found = [pixel[0], pixel[1], pixel[2]].map(|value| f64::from(value) * 1023.0);
                for (found, code) in found.iter().zip(codes) {
                    // A code is a whole number; single float is off by 1e-4 of one at most.
                    assert!((found - f64::from(code)).abs() < 1e-3, "{}: {found}", path.display());
                }
            }
        }
    }
}
