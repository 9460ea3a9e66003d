//! What must hold whatever the colour. The tone scale is held against published figures in `tests/tables.rs`, whole
//! displays against OpenColorIO in the workspace's `tests/tests/renderings.rs`.

use std::sync::LazyLock;

use proptest::prelude::*;

use super::{Aces2, tables};
use crate::{Primaries, primaries};

static SDR: LazyLock<Aces2> = LazyLock::new(|| Aces2::new(100.0, &primaries::BT709));
static HDR: LazyLock<Aces2> = LazyLock::new(|| Aces2::new(1000.0, &primaries::P3_D65));
static WIDE: LazyLock<Aces2> = LazyLock::new(|| Aces2::new(4000.0, &primaries::BT2020));

fn each() -> [&'static Aces2; 3] {
    [&SDR, &HDR, &WIDE]
}

#[test]
fn tables_hold_every_hue_once() {
    for transform in each() {
        let (cusps, reach) = (transform.cusp_table(), transform.reach_table());
        assert_eq!([cusps.len(), reach.len()], [tables::ENTRIES; 2]);
        assert!(cusps.is_sorted_by(|a, b| a.hue < b.hue) && cusps[0].hue < 0.0 && cusps[361].hue >= 360.0);
        assert!(cusps.iter().all(|cusp| cusp.j > 0.0 && cusp.m > 0.0 && cusp.upper_exponent.is_finite()));
        assert!(reach.iter().all(|&m| m > 0.0));
    }
}

/// Light in signal of gamma 2.4, in which the eye's steps are about even.
fn signal(light: [f64; 3]) -> [f64; 3] {
    light.map(|channel| channel.powf(1.0 / 2.4))
}

fn apart(a: [f64; 3], b: [f64; 3]) -> f64 {
    (0..3).map(|i| (a[i] - b[i]).abs()).fold(0.0, f64::max)
}

/// Finished pictures come back: how far each colour of the display's cube is off after both ways, in signal.
#[test]
fn display_colours_come_back() {
    // Largest, mean; and colours that AP1 cannot be rendered to, being beyond it once undone, of 35937.
    let bounds = [(&SDR, 5e-4, 1e-6, 1), (&HDR, 5e-4, 1e-6, 80), (&WIDE, 5e-4, 1e-6, 400)];
    for (transform, most, mean, beyond) in bounds {
        let side = 33;
        let tick = |step: usize| (step as f64 / (side - 1) as f64).powf(2.4);
        let colours = (0..side * side * side).map(|n| [tick(n % side), tick(n / side % side), tick(n / side / side)]);
        let (mut worst, mut sum, mut within, mut cut) = (0.0f64, 0.0, 0, 0);
        for colour in colours {
            let scene = transform.scene(colour);
            if colour != [0.0; 3] && scene.iter().any(|&channel| channel <= 0.0) {
                cut += 1;
                continue;
            }
            let off = apart(signal(transform.rendered(scene)), signal(colour));
            (worst, sum, within) = (worst.max(off), sum + off, within + 1);
        }
        let average = sum / f64::from(within);
        println!(
            "{} nits: {worst:.1e} at worst, {average:.1e} on average, {cut} beyond",
            transform.tone_scale().peak_nits
        );
        assert!(worst < most && average < mean && cut <= beyond);
    }
}

fn light() -> impl Strategy<Value = f64> {
    prop_oneof![(-14.0f64..11.0).prop_map(|stops| 0.18 * stops.exp2()), -1.0f64..1.0]
}

proptest! {
    #[test]
    fn whatever_comes_stays_on_the_display(rgb in prop::array::uniform3(light())) {
        for transform in each() {
            let out = transform.rendered(rgb);
            prop_assert!(out.iter().all(|channel| (0.0..=1.0).contains(channel)), "{:?}", out);
            prop_assert!(transform.scene(rgb).iter().all(|channel| channel.is_finite() && *channel >= 0.0));
        }
    }

    #[test]
    fn greys_stay_grey_and_in_order(stops in -14.0f64..10.0, brighter in 0.001f64..2.0) {
        for transform in each() {
            let at = |stops: f64| transform.rendered([0.18 * stops.exp2(); 3]);
            let (dark, bright) = (at(stops), at(stops + brighter));
            prop_assert!(apart(dark, [dark[0]; 3]) < 1e-9);
            prop_assert!(dark[1] <= bright[1]);
        }
    }

    /// Surfaces in a usual light: what no compression had to cut comes back.
    #[test]
    fn scene_colours_come_back(grey in 0.01f64..1.0, tint in prop::array::uniform3(0.6f64..1.4)) {
        for transform in each() {
            let scene = tint.map(|channel| channel * grey);
            let back = transform.scene(transform.rendered(scene));
            prop_assert!(apart(back, scene) < 1e-9, "{:?} {:?}", scene, back);
        }
    }

    /// A dimmer, smaller display is no other picture: with the same primaries greys of the scene keep their order between peaks.
    #[test]
    fn a_brighter_display_is_brighter(stops in -6.0f64..9.0) {
        let nits = |transform: &Aces2| transform.tone_scale_nits(0.18 * stops.exp2());
        prop_assert!(nits(&SDR) <= nits(&HDR) && nits(&HDR) <= nits(&WIDE));
    }
}

/// Making the tables fails for no primaries that have a name.
#[test]
fn any_primaries_get_their_tables() {
    for name in ["BT.709", "P3-D65", "BT.2020"] {
        for peak_nits in [100.0, 10_000.0] {
            let transform = Aces2::new(peak_nits, &Primaries::named(name).expect("it has a name"));
            assert!(
                transform.cusp_table().iter().all(|cusp| cusp.upper_exponent > 0.2 && cusp.upper_exponent < 5.0),
                "{name}"
            );
        }
    }
}
