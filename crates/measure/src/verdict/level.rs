//! Luminance change at mid grey: how far the card lies from where a card that was well exposed would lie.
//!
//! `log2(Y(g(0)) / Y0)` in stops of the display's light: Y0 is what the candidate's own output transform makes of 18 % of neutral
//! scene light.

use super::{Grey, of_scene};
use crate::response::Candidate;

/// Stops of the display's light by which the card is above (plus) the output transform's own mid grey, whose luminance is `mid`.
/// None where either has no light.
pub fn change_stops(candidate: &Candidate<impl Fn([f64; 3]) -> [f64; 3]>, grey: &Grey, mid: f64) -> Option<f64> {
    let signal = of_scene(candidate)(grey.scene(0.0));
    let card = candidate.result().xyz(candidate.result().light(signal))[1];
    (card > 0.0 && mid > 0.0).then(|| (card / mid).log2())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::verdict::Known;
    use crate::verdict::testing::{in_scene, original, shown};

    #[test]
    fn a_card_half_a_stop_under_reads_so_until_it_is_lifted() {
        let grey = Grey::of_card([0.18 * 0.5f64.sqrt(); 3], Known::Card).unwrap();
        let change = |gain: f64| {
            let shows = in_scene(move |rgb| rgb.map(|v| v * gain));
            change_stops(&Candidate::new(original(), shown(), shows), &grey, 0.18).unwrap()
        };
        // AP1 to BT.709 and back through two whites: some 1e-7.
        assert!((change(1.0) + 0.5).abs() < 1e-6 && change(2f64.sqrt()).abs() < 1e-6, "{}", change(1.0));
        let candidate = Candidate::new(original(), shown(), |_| [0.0; 3]);
        assert_eq!(change_stops(&candidate, &grey, 0.18), None);
    }
}
