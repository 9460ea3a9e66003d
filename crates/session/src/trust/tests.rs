//! The check itself, without a device; with one it is tried by `tests/tests/trust.rs`.

use std::cell::Cell;
use std::collections::BTreeSet;

use colour::Encoding;
use graph::Original;
use ops::Book;

use super::*;

fn meant(chain: &str) -> Elaborated {
    let document = graph::chain::parse(chain).unwrap();
    let original = Original::Encoded(Encoding::named("LogC3", None).unwrap());
    let wiring = &document.candidates[graph::chain::CANDIDATE];
    graph::elaborate(wiring, &document.kit, &original, None, &Book::default()).unwrap()
}

fn original() -> Frame {
    let pixels: Vec<[f32; 4]> =
        (0..64 * 48).map(|at| [at as f32 / 3072.0, 0.4, 0.6 - at as f32 / 9000.0, 1.0]).collect();
    let layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);
    Frame::from_pixels(&pixels, Size::new(64, 48), layout, Range::Full)
}

const CHAIN: &str = "input-transform | exposure stops=0.5 | output-transform rendering=plain";

#[test]
fn places_are_spread_over_the_picture_and_lie_within() {
    for (width, height) in [(64, 48), (16384, 1), (1, 1), (1, 900)] {
        let size = Size::new(width, height);
        let places = places(size, 1024);
        assert_eq!(places.len(), 1024.min(size.pixels()));
        assert!(places.iter().all(|[x, y]| *x < width && *y < height));
        // Every sixteenth of the picture has its share, within a tenth.
        let cells: BTreeSet<[u32; 2]> = places.iter().map(|[x, y]| [x * 4 / width, y * 4 / height]).collect();
        assert_eq!(cells.len() as u32, width.min(4) * height.min(4), "{width}x{height}");
    }
}

#[test]
fn what_the_proof_makes_is_right_and_one_code_too_many_is_found_where_it_is() {
    let (whole, original) = (meant(CHAIN), original());
    let mut codes = proved(&whole, &original, &|_, _| true).unwrap().to_codes().unwrap();
    let places = places(original.size(), 500);
    let right = check(&whole, &original, &codes, &places, &|| true).unwrap();
    assert!(right.pixels == 500 && right.departs == 0 && right.codes <= 0.501, "{right:?}");
    // Two codes off at one place, and more at a place that is not looked at.
    let [x, y] = places[123];
    let at = |[x, y]: [u32; 2]| y as usize * 64 + x as usize;
    codes[at([x, y])][1] -= 2;
    let unseen = (0..64 * 48).find(|other| !places.iter().any(|place| at(*place) == *other)).unwrap();
    codes[unseen][0] ^= 512;
    let wrong = check(&whole, &original, &codes, &places, &|| true).unwrap();
    assert_eq!((wrong.at, wrong.departs), ([x, y], 1));
    assert!((1.5..=2.5).contains(&wrong.codes), "{wrong:?}");
}

#[test]
fn it_ends_when_it_shall() {
    let (whole, original) = (meant(CHAIN), original());
    let codes = vec![[0; 3]; 64 * 48];
    assert_eq!(check(&whole, &original, &codes, &places(original.size(), 500), &|| false), None);
    let asked = Cell::new(0);
    let go = |done: usize, of: usize| {
        asked.set(asked.get() + 1);
        assert_eq!((done, of), (ROWS * (asked.get() - 1), 48));
        asked.get() < 3
    };
    assert!(proved(&whole, &original, &go).is_none());
    assert_eq!(asked.get(), 3);
}
