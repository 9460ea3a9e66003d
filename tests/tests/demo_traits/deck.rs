//! The deck: a veil over black, a lamp beyond the sensor, an 8-bit shot far under, a shot whose light goes.

use colour::transfer::Form;

use crate::film::{CHANGING, FILM, FRAMES, mean, number};

/// The veil as the demo states it, as a share of white.
const VEIL: f64 = 0.003;
/// Signal of a stop under and of black at EI 800: ARRI, ALEXA Log C Curve, 2012.
const BLACK_SIGNAL: f64 = 0.092_809;

/// What a card has over its own light for the veil, in stops.
fn veil_stops() -> f64 {
    (1.0 + VEIL / 0.18_f64).log2()
}

#[test]
fn a_blue_veil_lifts_the_light_trap() {
    for name in ["deck_010", "deck_030"] {
        let shot = FILM.shot(name);
        let from_working = shot.encoding.aces_from_rgb().inverse().expect("a matrix with an inverse");
        let (mut lifted, mut cards, mut codes, mut count) = (Vec::new(), Vec::new(), Vec::new(), 0);
        for frame in 1..=FRAMES {
            let trap = shot.alone("inside of the light trap", frame);
            let (read, file) = (shot.linear(frame), shot.codes(frame));
            let same = shot.truly(&shot.truth.pictures.same, frame);
            let dark = mean(trap.iter().map(|place| from_working.apply(same[*place])));
            let found = mean(trap.iter().map(|place| read[*place]));
            lifted.push([0, 1, 2].map(|c| found[c] - dark[c]));
            cards.push(shot.mean(&read, shot.mark("grey card").rect));
            codes.push(mean(trap.iter().map(|place| file[*place].map(f64::from))));
            count += trap.len();
        }
        let [veil, card, code] = [lifted, cards, codes].map(|of| mean(of.into_iter()));
        // The card is lit by the key, whose colour the veil has.
        let share = [0, 1, 2].map(|c| 0.18 * veil[c] / (card[c] - veil[c]));
        let over = code.map(|code| code - BLACK_SIGNAL * 1023.0);
        println!("{name}: black is lifted by {over:.2?} codes, {share:.5?} of white, over {count} pixels");
        assert!(count > 200, "{name}: {count} pixels of the trap");
        for share in share {
            // Noise of black is .0005 of light, a quarter of the veil and more, over some hundred pixels.
            assert!((share / VEIL - 1.0).abs() < 0.06, "{name}: {share} of white, {VEIL} stated");
        }
        assert!(veil[2] > 1.1 * veil[1] && veil[1] > 1.1 * veil[0], "{name}: no blue veil: {veil:?}");
        assert!(over.iter().all(|codes| *codes > 5.0), "{name}: {over:?}");
    }
}

#[test]
fn the_lamp_fills_every_channel() {
    for name in ["deck_010", "deck_020", "deck_030"] {
        let shot = FILM.shot(name);
        let most = f64::from((1_u32 << shot.truth.sensor.bits) - 1);
        let ceiling = (shot.encoding.transfer.encode(Form::Published, shot.truth.sensor.full) * most).round() as u16;
        let (codes, maps) = (shot.codes(1), shot.map(&shot.truth.pictures.maps, 1));
        let full: Vec<[u16; 3]> =
            codes.iter().zip(&maps).filter(|(_, map)| map[1] == 7).map(|(code, _)| *code).collect();
        println!("{name}: {} pixels are full in all channels, at code {ceiling}", full.len());
        assert!(full.len() >= 20, "{name}: {} pixels", full.len());
        // Noise at the ceiling is a fiftieth of a stop and less.
        assert!(full.iter().flatten().all(|code| ceiling - code <= 2), "{name}: {full:?}");
        assert!(codes.iter().flatten().all(|code| *code <= ceiling), "{name}: a code above the ceiling {ceiling}");
    }
}

#[test]
fn the_second_shot_has_eight_bits_and_is_far_under() {
    let shot = FILM.shot("deck_020");
    let bytes = std::fs::read(shot.frame(1)).expect("a frame");
    // SMPTE ST 268-1: the bit size of the first element is at byte 803.
    assert_eq!(bytes[803], 8);
    let card = shot.probed(shot.mark("grey card").rect);
    let stops = number(&card[0]["stops"]);
    println!("deck_020: the card reads {stops:+.4} stops; the veil is {:.4} of it", veil_stops());
    // Probe's luminance is AP1's, under a light that is not its white; 8 bits round by some .02 stop over a card.
    assert!((stops - veil_stops() + 1.7).abs() < 0.02, "{stops}");
}

#[test]
fn the_third_shot_drifts_by_a_third_of_a_stop_and_twelve_mired() {
    let shot = CHANGING.shot("deck_030");
    let card = shot.probed(shot.mark("grey card").rect);
    let mired = |frame: usize| 1e6 / number(&card[frame]["temperature"]["kelvin"]);
    let (stops, mired) = (number(&card[47]["stops"]) - number(&card[0]["stops"]), mired(47) - mired(0));
    let told = |frame: usize| &shot.truth.frames[frame];
    println!(
        "deck_030: {stops:+.4} stop, {mired:+.2} mired from first to last on the card; the truth has {:+.4} and {:+.2}",
        told(47).exposure_stops - told(0).exposure_stops,
        1e6 / told(47).kelvin - 1e6 / told(0).kelvin
    );
    assert_eq!(card.len(), 48);
    assert!((stops + 0.35).abs() < 0.01, "{stops}");
    // Noise of the card is .2 mired a frame.
    assert!((mired - 12.0).abs() < 0.8, "{mired}");
}
