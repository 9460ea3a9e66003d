//! What every operation promises, whatever it is: neutral is nothing, the inverse undoes, nothing becomes NaN, and
//! the picture does what the ends of a scale say.

use colour::Encoding;
use graph::{ElaborateError, Elaborated, Kit, Original, Place, Wiring, elaborate};
use ops::{Control, Domain, Field, MID_GREY, Op, OpError};
use plan::Level;
use reference::Proof;
use tests::cases::{self, Subject};
use tests::gpu::{adapter, render};
use tests::pixels::{self, Random};
use tests::plain::{Reach, reach};

/// A chain of operations as they are, each in a domain.
fn chain_of(ops: &[(Op, Option<Domain>)], original: &Original) -> Elaborated {
    try_chain_of(ops, original).unwrap_or_else(|error| panic!("{error}"))
}

fn try_chain_of(ops: &[(Op, Option<Domain>)], original: &Original) -> Result<Elaborated, ElaborateError> {
    let mut kit = Kit::new();
    let mut places = Vec::new();
    for (number, (op, domain)) in ops.iter().enumerate() {
        let member = format!("{number}-{}", op.id());
        kit.insert(member.clone(), op.clone());
        places.push(Place { domain: *domain, ..Place::of(member) });
    }
    elaborate(&Wiring::linear(places), &kit, original, None, &cases::book())
}

fn op(text: &str) -> Op {
    let document = graph::chain::parse(text).unwrap_or_else(|error| panic!("{text}: {error}"));
    document.kit.into_values().next().expect("one operation")
}

/// Operations of the cases, with their settings.
fn every_setting() -> Vec<Op> {
    let texts = |op: &Op| cases::settings(op.id()).odd;
    let made = Op::all()
        .into_iter()
        .flat_map(|all| texts(&all).into_iter().map(move |text| op(&format!("{} {text}", all.id()))));
    made.chain(Op::all()).collect()
}

// ---- neutral is nothing ----

#[test]
fn neutral_settings_return_the_picture_bit_for_bit_in_every_domain() {
    let neutral: Vec<Op> = every_setting().into_iter().filter(|op| op.is_neutral() && !op.clamps()).collect();
    assert!(neutral.len() >= 3, "exposure and two kinds of neutral white balance at least");
    let gpu = adapter();
    for op in neutral {
        let mut refused = Vec::new();
        for (original, domain) in places() {
            if matches!(op, Op::Mix(_)) && domain == Domain::Display {
                // The original, which would be its side picture, is no display signal.
                continue;
            }
            let mut ops = vec![(op.clone(), Some(domain))];
            let mut rest = chain_of(&[], &original);
            if domain == Domain::Display {
                // Before a display signal there is no such domain.
                ops.insert(0, (self::op("output-transform display=sRGB rendering=plain"), None));
                rest = chain_of(&ops[..1], &original);
            }
            let elaborated = match try_chain_of(&ops, &original) {
                // An operation may refuse a signal in which its unit has no size, whatever its numbers are.
                Err(ElaborateError::Op(OpError::Setting { field: "domain", .. })) => {
                    refused.push(domain);
                    continue;
                }
                elaborated => elaborated.unwrap_or_else(|error| panic!("{error}")),
            };
            let pixels = pixels::all(&[]);
            let (proof, without) = (Proof::new(&elaborated), Proof::new(&rest));
            for &pixel in &pixels {
                let (got, wanted) = (proof.pixel(pixel.map(f64::from)), without.pixel(pixel.map(f64::from)));
                assert_eq!(got, wanted, "{} in {domain}: {pixel:?}", op.id());
            }
            if let Some(gpu) = &gpu {
                for level in [Level::None, Level::Full] {
                    let got = render(gpu, &elaborated, level, &pixels);
                    let wanted = render(gpu, &rest, level, &pixels);
                    assert!(got == wanted, "{} in {domain} on the GPU, {level:?}, differs", op.id());
                }
            }
        }
        // A printer point is a step of a logarithm. Nothing else is refused anywhere.
        assert_eq!(!refused.is_empty(), matches!(op, Op::PrinterPoints(_)), "{} was refused in {refused:?}", op.id());
        assert!(!refused.contains(&Domain::Log), "{} was refused in {refused:?}", op.id());
    }
}

/// Originals with the domains that can be entered from them.
fn places() -> Vec<(Original, Domain)> {
    let named = |name: &str| Original::Encoded(Encoding::named(name, None).expect("it is built in"));
    let mut places = vec![(Original::SceneRows, Domain::AsGiven)];
    for name in ["LogC3", "C-Log2", "N-Log", "ACEScct", "ACES2065-1", "PQ"] {
        places.extend(Domain::ALL.into_iter().filter(|&d| d != Domain::Display).map(|domain| (named(name), domain)));
    }
    places.push((named("S-Log3"), Domain::Display));
    places.extend([Domain::Scene, Domain::Log, Domain::Camera].map(|domain| (Original::SceneRows, domain)));
    places
}

#[test]
fn a_white_balance_from_a_light_to_itself_is_nothing() {
    for light in ["2800K", "A", "FL2", "0.4,0.4", "9000K+0.01duv"] {
        for method in colour::Adaptation::ALL {
            let op = op(&format!("white-balance from={light} to={light} method=\"{}\"", method.name()));
            assert!(op.is_neutral(), "{light} {}", method.name());
            let proof = Proof::new(&chain_of(&[(op, None)], &Original::SceneRows));
            assert_eq!(proof.pixel([0.1, -0.2, 300.0]), [0.1, -0.2, 300.0]);
        }
    }
}

/// The test can fail: what is not neutral changes the picture.
#[test]
fn what_is_not_neutral_changes_something() {
    // Operations that change what a signal is are never neutral: ACEScg read as ACEScg stays as it is.
    let can_be = |op: &Op| Op::named(op.id()).is_some_and(|op| op.is_neutral());
    for op in every_setting().into_iter().filter(|op| can_be(op) && !op.is_neutral()) {
        let original = Original::Encoded(Encoding::named("LogC3", None).expect("it is built in"));
        // What is mixed with itself stays.
        let before = match op {
            Op::Mix(_) => Some(self::op("exposure stops=1")),
            // Its home is a display's signal.
            Op::SoftClip(_) => Some(self::op("output-transform rendering=plain")),
            _ => None,
        };
        let before: Vec<_> = before.into_iter().map(|op| (op, None)).collect();
        let with = [before.clone(), vec![(op.clone(), None)]].concat();
        let [proof, without] = [with, before].map(|ops| Proof::new(&chain_of(&ops, &original)));
        let pixels = [[0.7, 0.4, 0.2], [0.18; 3], [0.02, 0.5, 0.9]];
        let moved = pixels.iter().any(|&pixel| proof.pixel(pixel) != without.pixel(pixel));
        assert!(moved, "{op:?} says it is not neutral");
    }
}

// ---- the inverse undoes ----

#[test]
fn the_inverse_undoes() {
    let (mut undone, mut exact, mut channels) = (0, 0, 0);
    for op in every_setting() {
        let Some(inverse) = op.inverse() else { continue };
        undone += 1;
        let again = inverse.inverse().unwrap_or_else(|| panic!("{op:?}: its inverse has none"));
        assert!(same_settings(&op, &again), "the inverse of the inverse: {op:?} {again:?}");
        let there_and_back = chain_of(&[(op.clone(), None), (inverse.clone(), None)], &Original::SceneRows);
        // What undoes a compression is asked for no more than to undo: it leaves alone what no compression gives.
        let given = matches!(&op, Op::GamutCompress(op) if op.inverse)
            .then(|| Proof::new(&chain_of(&[(inverse, None)], &Original::SceneRows)));
        for pixel in pixels::all(&[]) {
            let pixel = pixel.map(f64::from);
            let pixel = given.as_ref().map_or(pixel, |given| given.pixel(pixel));
            // What the roundings of f64 may honestly become on the way, which is little for a matrix and much where an
            // inverse is steep; and no more than that.
            let Reach { value, deviation, .. } = reach(&there_and_back, pixel);
            let size = pixel.iter().fold(0.0f64, |size, channel| size.max(channel.abs()));
            for channel in 0..3 {
                let (got, wanted, allowed) = (value[channel], pixel[channel], deviation[channel]);
                let off = (got - wanted).abs();
                // An inverse so steep that f64 has lost the number says nothing.
                let lost = allowed > 1e-6 * size;
                assert!(off <= allowed || lost, "{op:?}: {pixel:?}: {got} instead of {wanted}, {allowed:e} allowed");
                exact += usize::from(off <= 1e-11 * size);
            }
            channels += 3;
        }
    }
    // The allowance is no excuse: nearly all come back to eleven digits.
    println!("{exact} of {channels} channels come back to 1e-11 of their pixel");
    assert!(exact as f64 > 0.95 * channels as f64, "{exact} of {channels}");
    assert!(undone > 10, "{undone}");
}

/// Whether two operations of a kind have the same settings; a number may be off by the roundings of two reciprocals.
fn same_settings(a: &Op, b: &Op) -> bool {
    let alike = |a: String, b: String| match (a.parse::<f64>(), b.parse::<f64>()) {
        (Ok(a), Ok(b)) => (a - b).abs() <= 2.0 * f64::EPSILON * a.abs(),
        _ => a == b,
    };
    let same = |field: &Field| a.get(field.key).zip(b.get(field.key)).is_some_and(|(a, b)| alike(a, b));
    a.id() == b.id() && a.fields().iter().all(same)
}

#[test]
fn exposures_add_up() {
    let mut random = Random::new(5);
    for _ in 0..200 {
        let (a, b) = (random.between(-6.0, 6.0), random.between(-6.0, 6.0));
        let stops = |stops: f64| (Op::Exposure(ops::Exposure { stops }), None);
        let both = Proof::new(&chain_of(&[stops(a), stops(b)], &Original::SceneRows));
        let once = Proof::new(&chain_of(&[stops(a + b)], &Original::SceneRows));
        for (got, wanted) in both.pixel([0.18, -0.3, 55.0]).iter().zip(once.pixel([0.18, -0.3, 55.0])) {
            // Three powers of two: a few units of f64.
            assert!((got - wanted).abs() <= 1e-14 * wanted.abs(), "{a} {b}: {got} {wanted}");
        }
    }
}

// ---- nothing becomes NaN ----

#[test]
fn hostile_numbers_stay_finite() {
    let gpu = adapter();
    let hostile = pixels::hostile();
    for Subject { name, elaborated } in
        cases::operations().into_iter().chain(cases::conversions()).chain(cases::chains())
    {
        let proof = Proof::new(&elaborated);
        for pixel in &hostile {
            let value = proof.pixel(pixel.map(f64::from));
            assert!(value.iter().all(|channel| channel.is_finite()), "{name}: {pixel:?} becomes {value:?}");
        }
        if let Some(gpu) = &gpu {
            for (pixel, value) in hostile.iter().zip(render(gpu, &elaborated, Level::Full, &hostile)) {
                assert!(
                    value.iter().all(|channel| channel.is_finite()),
                    "{name} on the GPU: {pixel:?} becomes {value:?}"
                );
            }
        }
    }
}

// ---- the ends of a scale do what they say ----

/// What a patch of mid grey, lit as the trial says, looks like: red, green and blue of display light in nits.
type Look = [f64; 3];

/// Whether the picture at this end of a scale, beside the one at the other end, does what the word says.
fn does(word: &str, here: Look, there: Look) -> bool {
    let luminance = |look: Look| 0.2126 * look[0] + 0.7152 * look[1] + 0.0722 * look[2];
    let warmth = |look: Look| look[0] / look[2];
    let redness = |look: Look| look[0] / (look[1] + look[2]);
    let greenness = |look: Look| look[1] / (look[0] + look[2]);
    let blueness = |look: Look| look[2] / (look[0] + look[1]);
    let cast = |look: Look| (look[0] / look[1]).ln().abs() + (look[2] / look[1]).ln().abs();
    let chroma = |look: Look| {
        (look.iter().fold(0.0f64, |a, b| a.max(*b)) - look.iter().fold(f64::MAX, |a, b| a.min(*b))) / luminance(look)
    };
    match word {
        // Of a mix: its side picture is the original, its main picture a lighter one.
        "lighter" | "brighter" | "raised black" | "veiled blacks" | "main picture" => {
            luminance(here) > luminance(there)
        }
        "darker" | "dimmer" | "black" | "deeper blacks" | "side picture" => luminance(here) < luminance(there),
        "warmer" => warmth(here) > warmth(there),
        "bluer" => warmth(here) < warmth(there),
        // Of a dark patch while the other end brings it down: with more contrast about a brighter tone, shadows sink.
        "flatter" | "shadows stay" | "brighter highlights" => luminance(here) > luminance(there),
        "more contrast" | "highlights stay" | "darker highlights" => luminance(here) < luminance(there),
        "paler" => chroma(here) < chroma(there),
        "more colourful" => chroma(here) > chroma(there),
        "cast stays" => cast(here) > cast(there),
        "cast goes" => cast(here) < cast(there),
        "redder" => redness(here) > redness(there),
        "more cyan" => redness(here) < redness(there),
        "greener" => greenness(here) > greenness(there),
        "more magenta" => greenness(here) < greenness(there),
        "more yellow" => blueness(here) < blueness(there),
        // Points that lighten are set.
        "bigger steps" => luminance(here) > luminance(there),
        "smaller steps" => luminance(here) < luminance(there),
        // A grey in the shadows, and a correction that warms what it reaches.
        "shadows untouched" | "an edge" => cast(here) < cast(there),
        "shadows follow" | "a slow fade" => cast(here) > cast(there),
        _ => panic!("'{word}': say in this test what the picture then does"),
    }
}

/// Low end, high end, and what else must be set for the scale to show; by operation and field.
fn trial(id: &str, field: &Field) -> (String, String, &'static str, [f64; 3]) {
    let grey = [0.18; 3];
    let ends = |rest, patch| {
        let (low, high) = field.soft.unwrap_or_else(|| panic!("{id} {}: say in this test how to try it", field.key));
        (low.to_string(), high.to_string(), rest, patch)
    };
    match (id, field.key) {
        ("white-balance", "from" | "to") => ("2800K".to_string(), "12000K".to_string(), "", grey),
        // The cast of a warm light on a grey card.
        ("white-balance", "degree") => ("0".to_string(), "1".to_string(), "from=3200K", [0.30, 0.17, 0.08]),
        ("printer-points", "points_a_stop") => ("6".to_string(), "13".to_string(), "all=3", grey),
        // The middle of the default taper, and a little below it where a narrow one has ended.
        ("taper-balance", "centre") => ("0".to_string(), "10".to_string(), "mired=80", [MID_GREY / 32.0; 3]),
        ("taper-balance", "width") => ("0.5".to_string(), "6".to_string(), "mired=80", [MID_GREY / 48.0; 3]),
        // A patch in the shadows, three stops below mid grey.
        ("contrast", "slope") => ends("", [0.0225; 3]),
        ("contrast", "about") => ends("slope=1.5", [0.0225; 3]),
        // A red surface.
        ("saturation", "factor") | ("cdl", "saturation") => ends("", [0.3, 0.12, 0.08]),
        // A bright wall, two thirds of a stop above the knee's default.
        ("shoulder", "knee") => ends("strength=1", [1.14; 3]),
        ("shoulder", "strength") => ends("", [1.14; 3]),
        // A light as colourful as AP1 holds.
        ("gamut-compress", _) => ends("", [0.5, 0.02, 0.0]),
        // A bright wall and a dark one in signal.
        ("soft-clip", "high") => ends("", [0.8; 3]),
        ("soft-clip", "low") => ends("", [0.002; 3]),
        ("output-transform", "black") => ("0".to_string(), "0.1".to_string(), "", [0.0; 3]),
        _ => ends("", grey),
    }
}

#[test]
fn a_grey_patch_does_what_the_ends_of_each_scale_say() {
    let mut tried = 0;
    for op in Op::all() {
        for field in op.fields() {
            let Some((low_word, high_word)) = field.ends else {
                assert_ne!(field.control, Control::Scale, "{} {}", op.id(), field.key);
                continue;
            };
            let (low, high, rest, patch) = trial(op.id(), field);
            let before = cases::settings(op.id()).before;
            let look = |end: &str| look(&format!("{before}{} {}={end} {rest}", op.id(), field.key), patch);
            let (at_low, at_high) = (look(&low), look(&high));
            assert!(
                does(low_word, at_low, at_high),
                "{} {}={low}: not {low_word}: {at_low:?} {at_high:?}",
                op.id(),
                field.key
            );
            assert!(
                does(high_word, at_high, at_low),
                "{} {}={high}: not {high_word}: {at_low:?} {at_high:?}",
                op.id(),
                field.key
            );
            tried += 1;
        }
    }
    assert!(tried >= 6, "{tried} scales have ends");
}

/// The light that a display shows of a patch: as the chain's own display does, or through a plain BT.1886 one.
fn look(chain: &str, patch: [f64; 3]) -> Look {
    let text = if chain.starts_with("output-transform") {
        chain.to_string()
    } else {
        format!("{chain} | output-transform rendering=plain")
    };
    let elaborated = Subject::chain(text.trim(), &Original::SceneRows).elaborated;
    let signal = &elaborated.result_signal;
    let ops::Reference::Display { peak_nits, black_nits } = signal.reference else { panic!("{text}: no display") };
    let code = Proof::new(&elaborated).pixel(patch);
    // Rec. ITU-R BT.1886 annex 1, written out.
    let root = |nits: f64| nits.powf(1.0 / 2.4);
    let gain = (root(peak_nits) - root(black_nits)).powf(2.4);
    let lift = root(black_nits) / (root(peak_nits) - root(black_nits));
    code.map(|code| gain * (code + lift).max(0.0).powf(2.4))
}
