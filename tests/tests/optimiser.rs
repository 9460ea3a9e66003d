//! The optimiser may make a plan faster, never change what it means; its shape never follows a setting.

#![expect(clippy::unwrap_used, reason = "helpers of tests: what they cannot do fails the test")]

use colour::Encoding;
use graph::{Document, Elaborated, Original, Value, Wiring, chain, elaborate};
use ops::{Book, Control, Op};
use plan::{Item, Level, Plan};
use proptest::prelude::*;
use reference::Proof;
use tests::plain::{evaluate, reach, shape};

fn meaning(document: &Document, original: &Original) -> Elaborated {
    let wiring: &Wiring = &document.candidates[chain::CANDIDATE];
    elaborate(wiring, &document.kit, original, None, &Book::default()).unwrap()
}

fn elaborated(text: &str, original: &Original) -> Elaborated {
    meaning(&chain::parse(text).unwrap_or_else(|error| panic!("{text}: {error}")), original)
}

fn unknown(text: &str) -> Elaborated {
    elaborated(text, &Original::Unknown)
}

fn encoded(text: &str, encoding: &str) -> Elaborated {
    elaborated(text, &Original::Encoded(Encoding::named(encoding, None).unwrap()))
}

/// How often a named pass changed something.
fn fired(elaborated: &Elaborated, pass: &str) -> usize {
    let plan = Plan::new(elaborated, Level::Full);
    let change = plan.changes.iter().find(|change| change.name == pass);
    change.unwrap_or_else(|| panic!("there is no pass '{pass}'")).count
}

// ---- random chains

fn encoding() -> impl Strategy<Value = &'static str> {
    proptest::sample::select(Encoding::ids())
}

/// Half of all numbers are neutral: that is where scopes are skipped.
fn stops(widest: f64) -> impl Strategy<Value = f64> {
    prop_oneof![Just(0.0), -widest..widest]
}

fn white() -> impl Strategy<Value = String> {
    prop_oneof![
        Just("D65".to_string()),
        Just("FL2".to_string()),
        (2000.0f64..12_000.0).prop_map(|kelvin| format!("{kelvin}K")),
        (2500.0f64..9000.0, -0.01f64..0.01).prop_map(|(kelvin, duv)| format!("{kelvin}K{duv:+}duv")),
        (0.27f64..0.45, 0.28f64..0.42).prop_map(|(x, y)| format!("{x},{y}")),
    ]
}

fn settings() -> impl Strategy<Value = String> {
    let method = proptest::sample::select(vec!["Bradford", "CAT02", "CAT16", "von-Kries", "XYZ-scaling"]);
    let degree = prop_oneof![Just(0.0), Just(1.0), 0.0f64..1.0];
    prop_oneof![
        stops(1.5).prop_map(|stops| format!("exposure stops={stops}")),
        (white(), white(), method, degree)
            .prop_map(|(from, to, m, d)| format!("white-balance from={from} to={to} method={m} degree={d}")),
        (stops(0.5), -2.0f64..2.0, any::<bool>())
            .prop_map(|(by, about, each)| format!("contrast slope={} about={about} per_channel={each}", by.exp2())),
        stops(0.8).prop_map(|by| format!("saturation factor={}", 1.0 + by)),
        (stops(0.1), stops(0.3), any::<bool>()).prop_map(|(offset, by, clamp)| {
            format!("cdl slope=1.1,1,0.9 offset={offset} power={} saturation={} clamp={clamp}", by.exp2(), 1.0 + by)
        }),
        (stops(3.0), 0.0f64..1.0).prop_map(|(knee, strength)| format!("shoulder knee={knee} strength={strength}")),
        (1.0f64..2.0).prop_map(|power| format!("gamut-compress power={power}")),
    ]
}

/// Corrections that may stand between code and light.
fn correction() -> impl Strategy<Value = String> {
    let domains = vec!["", "camera", "camera", "camera-linear", "scene", "log", "log", "as-given"];
    (settings(), proptest::sample::select(domains), proptest::bool::weighted(0.15)).prop_map(|(op, domain, bypass)| {
        let domain = if domain.is_empty() { String::new() } else { format!(" domain={domain}") };
        format!("{op}{domain}{}", if bypass { " bypass=true" } else { "" })
    })
}

fn ending() -> impl Strategy<Value = Vec<String>> {
    let displays = vec!["BT.1886", "sRGB", "Gamma2.2", "P3-D65", "Display-P3", "BT.2020", "PQ", "HLG"];
    let display = (proptest::sample::select(displays), prop_oneof![Just(0.0), 0.001f64..0.5])
        .prop_map(|(display, black)| format!("output-transform display={display} black={black} rendering=plain"));
    let soft_clip = (0.5f64..1.0, 0.0f64..0.5).prop_map(|(high, low)| format!("soft-clip high={high} low={low}"));
    let fitted = (80.0f64..4000.0, prop_oneof![Just(0.0), 0.001f64..0.5])
        .prop_map(|(peak, black)| format!("output-transform display=PQ rendering=bt2390 peak={peak} black={black}"));
    let display = prop_oneof![3 => display, 1 => fitted];
    let behind = (
        prop_oneof![5 => settings().boxed(), 1 => soft_clip.boxed()],
        proptest::sample::select(vec!["display", "as-given"]),
    )
        .prop_map(|(op, domain)| format!("{op} domain={domain}"));
    let scene: Vec<&str> = Encoding::ids().iter().copied().filter(|id| is_scene(id)).collect();
    prop_oneof![
        Just(Vec::new()),
        proptest::sample::select(scene).prop_map(|id| vec![format!("encode encoding={id}")]),
        (display, proptest::collection::vec(behind, 0..3)).prop_map(|(out, behind)| [vec![out], behind].concat()),
    ]
}

fn is_scene(id: &str) -> bool {
    Encoding::named(id, None).is_ok_and(|encoding| encoding.reference == colour::Reference::Scene)
}

/// A chain and the encoding of what enters it.
fn chains() -> impl Strategy<Value = (String, &'static str)> {
    let corrections = || proptest::collection::vec(correction(), 0..4);
    (encoding(), proptest::bool::weighted(0.7), corrections(), corrections(), ending()).prop_map(
        |(encoding, reads, before, after, ending)| {
            let reader = if reads { vec![format!("input-transform encoding={encoding}")] } else { Vec::new() };
            ([before, reader, after, ending].concat().join(" | "), encoding)
        },
    )
}

/// Code from well below black to a stop or so beyond the top.
fn pixels() -> impl Strategy<Value = Vec<[f64; 3]>> {
    proptest::collection::vec(proptest::array::uniform3(prop_oneof![0.0f64..1.0, -0.1f64..1.3]), 1..12)
}

/// Light beyond this is near the bound that no decoder passes (1e30): there code no longer comes back, and two
/// scopes differ from one. Pictures end at 1e3.
const BEYOND_PICTURES: f64 = 1e20;

proptest! {
    #![proptest_config(ProptestConfig { cases: 1500, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_level_means_what_the_proof_says((text, encoding) in chains(), pixels in pixels()) {
        let elaborated = encoded(&text, encoding);
        let proof = Proof::new(&elaborated);
        let plans = [Level::None, Level::Full].map(|level| Plan::new(&elaborated, level));
        for rgb in pixels {
            let reach = reach(&elaborated, rgb);
            if reach.largest > BEYOND_PICTURES {
                continue;
            }
            let wanted = proof.pixel(rgb);
            prop_assert_eq!(wanted, reach.value, "the harness walks the graph another way");
            for (plan, slack) in plans.iter().zip([0.0, 1.0]) {
                let found = evaluate(plan, rgb);
                for channel in 0..3 {
                    // Level none does the same work in the same order: not a bit may differ. Merged matrices and
                    // cancelled pairs round elsewhere; 1e-9 of the result is far below a float of the GPU (6e-8).
                    let allowed = slack * (reach.deviation[channel] + 1e-9 * wanted[channel].abs().max(1.0));
                    let off = (found[channel] - wanted[channel]).abs();
                    prop_assert!(off <= allowed, "{text}\n{encoding} {rgb:?}: {found:?} for {wanted:?}, {off:e} > {allowed:e}\n{plan}");
                }
            }
        }
    }

    #[test]
    fn no_setting_changes_the_shape((text, encoding) in chains(), values in proptest::collection::vec((white(), 0.0f64..1.0), 8)) {
        let original = Original::Encoded(Encoding::named(encoding, None).unwrap());
        let before = chain::parse(&text).unwrap();
        for neutral in [true, false] {
            let mut after = before.clone();
            for (op, value) in after.kit.values_mut().zip(values.iter().cycle()) {
                if neutral { make_neutral(op) } else { set_all(op, value) }
            }
            for level in [Level::None, Level::Full] {
                let plans = [&before, &after].map(|document| Plan::new(&meaning(document, &original), level));
                prop_assert_eq!(shape(&plans[0]), shape(&plans[1]), "{} at {:?}", text, level);
                prop_assert_eq!(&plans[0].changes, &plans[1].changes);
            }
        }
    }
}

/// Every scale and every white back to its default; choices and names are structure and stay.
fn make_neutral(op: &mut Op) {
    let default = Op::named(op.id()).unwrap();
    for field in op.fields().iter().filter(|field| matches!(field.control, Control::Scale | Control::White)) {
        op.set(field.key, &default.get(field.key).unwrap()).unwrap();
    }
}

/// Moves everything that is a number or a white; what chooses a mode or names an encoding or a display is structure.
fn set_all(op: &mut Op, (white, share): &(String, f64)) {
    for field in op.fields() {
        match (field.control, field.soft) {
            (Control::Scale, Some((low, high))) => {
                op.set(field.key, &(low + share * (high - low)).to_string()).unwrap()
            }
            (Control::White, _) if field.key == "from" => op.set(field.key, white).unwrap(),
            _ => {}
        }
    }
}

// ---- the plan of the main job

#[test]
fn the_main_chain_is_one_pass_of_three_items() {
    let main = "input-transform encoding=LogC3 | exposure stops=0.5 | white-balance from=3200K \
        | output-transform display=BT.1886 rendering=plain";
    let plan = Plan::new(&unknown(main), Level::Full);
    let [pass] = &plan.passes[..] else { panic!("{plan}") };
    let items: Vec<_> = pass.instructions.iter().map(|instruction| &instruction.item).collect();
    match items[..] {
        [Item::Point(decode), Item::Affine(factors), Item::Point(encode)] => {
            assert!(matches!(decode.point, ops::Point::CodeToLight(_)));
            assert!(matches!(encode.point, ops::Point::LightToCode(_)));
            assert_eq!(factors.len(), 4, "camera to AP1, exposure, white balance, AP1 to BT.709");
        }
        _ => panic!("{plan}"),
    }
    assert_eq!(Plan::new(&unknown(main), Level::None).passes.len(), 6);
}

#[test]
fn nothing_to_do_is_one_pass_that_copies() {
    for text in ["", "exposure stops=1 bypass=true", "input-transform encoding=ACEScg"] {
        let plan = Plan::new(&encoded(text, "ACEScg"), Level::Full);
        assert_eq!(plan.passes.len(), 1, "{text}: {plan}");
        assert!(plan.passes[0].instructions.is_empty(), "{text}: {plan}");
    }
}

// ---- each named pass: where it must fire, and where it must not

#[test]
fn every_named_pass_is_tested_here() {
    let plan = Plan::new(&unknown(""), Level::Full);
    let names: Vec<_> = plan.changes.iter().map(|change| change.name).collect();
    assert_eq!(
        names,
        [
            "drop the bypassed",
            "remove the dead",
            "merge neighbouring scopes",
            "cancel exact inverse pairs",
            "merge matrices and gains"
        ]
    );
    assert!(Plan::new(&unknown(""), Level::None).changes.is_empty());
}

#[test]
fn the_bypassed_vanish() {
    let with = "input-transform encoding=V-Log | exposure stops=1 bypass=true | output-transform rendering=plain \
        | exposure domain=log bypass=true";
    let without = "input-transform encoding=V-Log | output-transform rendering=plain";
    assert_eq!(fired(&unknown(with), "drop the bypassed"), 2);
    assert_eq!(fired(&unknown(without), "drop the bypassed"), 0);
    let [with, without] = [with, without].map(|text| Plan::new(&unknown(text), Level::Full));
    let items = |plan: &Plan| -> Vec<Item> {
        plan.passes.iter().flat_map(|pass| &pass.instructions).map(|one| one.item.clone()).collect()
    };
    assert_eq!(items(&with), items(&without));
    assert_eq!(with.passes.len(), without.passes.len());
}

#[test]
fn the_dead_are_removed() {
    // What a bypassed mix would have let in is read by nobody.
    let siding = unknown("input-transform encoding=V-Log | exposure stops=1 | mix bypass=true");
    assert_eq!(fired(&siding, "remove the dead"), 0, "the original is not made by anything");
    // The result is moved by hand to before the last operation.
    let mut graph = unknown("input-transform encoding=V-Log | exposure stops=1 | output-transform rendering=plain");
    assert_eq!(fired(&graph, "remove the dead"), 0);
    graph.result = Value(2);
    assert_eq!(fired(&graph, "remove the dead"), 2, "primaries and curve of the output-transform");
    let found = evaluate(&Plan::new(&graph, Level::Full), [0.4; 3]);
    let wanted = Proof::new(&unknown("input-transform encoding=V-Log | exposure stops=1")).pixel([0.4; 3]);
    for (found, wanted) in found.into_iter().zip(wanted) {
        // Two matrices merged into one: a few roundings.
        assert!((found - wanted).abs() < 1e-14, "{found} for {wanted}");
    }
}

#[test]
fn neighbouring_scopes_merge_where_leaving_and_entering_is_exact() {
    let two = |encoding: &str, domain: &str| {
        format!(
            "input-transform encoding={encoding} | exposure stops=1 domain={domain} | white-balance from=A domain={domain}"
        )
    };
    let pass = "merge neighbouring scopes";
    // ACEScct has one code for every light and one light for every code.
    assert_eq!(fired(&unknown(&two("V-Log", "log")), pass), 1);
    // Without a curve there is nothing to lose.
    assert_eq!(fired(&unknown(&two("N-Log", "camera-linear")), pass), 1);
    // N-Log's decoder steps down at its break: some light has two codes, and leaving forgets which.
    assert_eq!(fired(&unknown(&two("N-Log", "camera")), pass), 0);
    // On N-Log code itself a scene scope leaves by encoding and enters by decoding, which does come back.
    assert_eq!(fired(&encoded("exposure stops=1 | white-balance from=A", "N-Log"), pass), 1);
    // Different domains, and something between.
    assert_eq!(
        fired(
            &unknown("input-transform encoding=V-Log | exposure stops=1 domain=log | exposure stops=1 domain=camera"),
            pass
        ),
        0
    );
    assert_eq!(
        fired(
            &unknown(
                "input-transform encoding=V-Log | exposure stops=1 domain=log | exposure stops=1 | exposure stops=2 domain=log"
            ),
            pass
        ),
        0
    );
    // A bypassed place between does not count.
    assert_eq!(
        fired(
            &unknown(
                "input-transform encoding=V-Log | exposure stops=1 domain=log | exposure bypass=true | exposure stops=2 domain=log"
            ),
            pass
        ),
        1
    );
}

#[test]
fn a_merged_scope_runs_while_either_operation_does() {
    for (stops, light, active) in [(0.0, "D65", false), (1.0, "D65", true), (0.0, "A", true)] {
        let text = format!(
            "input-transform encoding=ACEScct | exposure stops={stops} domain=camera-linear | exposure stops=0 domain=log | white-balance from={light} domain=log"
        );
        let plan = Plan::new(
            &unknown(&text.replace("exposure stops=0 domain=log", &format!("exposure stops={stops} domain=log"))),
            Level::Full,
        );
        let flags: Vec<bool> = plan
            .passes
            .iter()
            .flat_map(|pass| &pass.instructions)
            .filter_map(|one| if let Item::Scope { active, .. } = one.item { Some(active) } else { None })
            .collect();
        assert_eq!(flags, [active], "{text}\n{plan}");
    }
}

#[test]
fn scopes_merge_only_where_numbers_come_back() {
    // The claim is judged by running the pair, not by asking the curve about itself.
    let mut merged = Vec::new();
    for id in Encoding::ids() {
        let encoding = Encoding::named(id, None).unwrap();
        let text = format!(
            "input-transform encoding={id} | exposure stops=1 domain=camera | white-balance from=A domain=camera"
        );
        if encoding.transfer == colour::transfer::Transfer::Linear
            || fired(&unknown(&text), "merge neighbouring scopes") == 0
        {
            continue;
        }
        merged.push(*id);
        let exact = colour::transfer::Form::Exact;
        for step in 0..=200_000 {
            let code = -0.2 + 1.4 * f64::from(step) / 200_000.0;
            let back = encoding.transfer.encode(exact, encoding.transfer.decode(exact, code));
            // 3e-8 of code is half a step of single float near one half.
            assert!((back - code).abs() < 3e-8, "{id}: {code} comes back as {back}");
        }
    }
    assert!(merged.contains(&"ACEScct") && merged.contains(&"C-Log2") && !merged.contains(&"N-Log"), "{merged:?}");
}

/// The steps of a decoder: light just below and just above each break, found by halving wherever a small stretch
/// of code spans more light than both its neighbours together.
fn steps_up(decode: impl Fn(f64) -> f64) -> Vec<(f64, f64)> {
    const CELLS: i32 = 20_000;
    let code = |i: i32| -0.2 + 1.4 * f64::from(i) / f64::from(CELLS);
    let rise = |i: i32| decode(code(i + 1)) - decode(code(i));
    let cells = (1..CELLS - 1).filter(|&i| rise(i) > rise(i - 1) + rise(i + 1));
    cells
        .map(|i| {
            let (mut low, mut high) = (code(i), code(i + 1));
            loop {
                let middle = low + (high - low) / 2.0;
                if middle <= low || middle >= high {
                    return (decode(low), decode(high));
                }
                let (left, right) = (decode(middle) - decode(low), decode(high) - decode(middle));
                if left > right { high = middle } else { low = middle }
            }
        })
        .collect()
}

#[test]
fn scopes_on_code_merge_only_where_light_comes_back() {
    let mut kept = Vec::new();
    for id in Encoding::ids() {
        let encoding = Encoding::named(id, None).unwrap();
        let merges = fired(&encoded("exposure stops=1 | white-balance from=A", id), "merge neighbouring scopes") == 1;
        let exact = colour::transfer::Form::Exact;
        let decode = |code: f64| encoding.transfer.decode(exact, code);
        let mut worst = 0.0f64;
        for (below, above) in steps_up(decode) {
            let light = below + (above - below) / 2.0;
            worst = worst.max((decode(encoding.transfer.encode(exact, light)) - light).abs());
        }
        // Merged, half the gap may be lost: 3e-8 of light near a break is less than half a step of single float there
        // makes of code.
        assert!(!merges || worst < 3e-8, "{id}: light parts by {worst:e}, and yet its scopes merge");
        if !merges && encoding.transfer != colour::transfer::Transfer::Linear {
            kept.push(*id);
        }
    }
    // Where the published encoder steps down at its break, the decoder steps up: step_in_10bit_codes of
    // tests/data/log_breaks.tsv. F-Log2's step, 4e-9 of light, is below what single float can tell.
    assert_eq!(kept, ["LogC3", "V-Log", "F-Log"]);
}

#[test]
fn only_exact_pairs_cancel() {
    let pass = "cancel exact inverse pairs";
    // The change of primaries and its opposite cancel; the published decoder and the exact encoder stay.
    let plain = unknown("input-transform encoding=BT.1886 | output-transform display=BT.1886 rendering=plain");
    assert_eq!(fired(&plain, pass), 1);
    assert_eq!(Plan::new(&plain, Level::Full).steps().len(), 2);
    // A display original straight into an output-transform: whether both curves are one depends on the display's
    // black, which is a setting, so they stay and the plan keeps its shape.
    for black in [0.0, 0.1] {
        let text = format!("output-transform display=BT.1886 black={black} rendering=plain");
        assert_eq!(fired(&encoded(&text, "BT.1886"), pass), 1);
    }
    // Published decoder and published encoder of one camera: the document's pair parts, so both are kept.
    let camera = unknown("input-transform encoding=F-Log | encode encoding=F-Log");
    assert_eq!(fired(&camera, pass), 1);
    assert_eq!(Plan::new(&camera, Level::Full).steps().len(), 2);
    // An exposure between keeps the primaries apart, whatever its stops.
    for stops in [0, 1] {
        let text = format!("input-transform encoding=F-Log | exposure stops={stops} | encode encoding=F-Log");
        assert_eq!(fired(&unknown(&text), pass), 0);
    }
    // Opposite primaries by another adaptation are no opposites.
    let other =
        unknown("input-transform encoding=LogC3 primaries=BT.709 | output-transform display=BT.1886 rendering=plain");
    assert_eq!(fired(&other, pass), 0);
}

#[test]
fn matrices_merge_and_curves_part_them() {
    let pass = "merge matrices and gains";
    assert_eq!(fired(&unknown("input-transform encoding=LogC3 | exposure stops=1 | white-balance from=A"), pass), 2);
    assert_eq!(fired(&unknown("exposure stops=1 domain=as-given"), pass), 0);
    assert_eq!(fired(&unknown("input-transform encoding=ACEScct | encode encoding=ACEScct"), pass), 0);
    // Inside a scope: into AP1, the correction, and back.
    assert_eq!(fired(&encoded("white-balance from=A", "LogC3"), pass), 2);
    // Gains and offsets of single channels are matrices with an offset too, and so is a scope of nothing else.
    let scope = "input-transform encoding=LogC3 | flare all=1 | channel-gain red=1.1 | printer-points all=1 domain=log";
    assert_eq!(fired(&unknown(scope), pass), 4, "two inside the scope, and the three neighbours");
    // Two such scopes side by side stay two: while neither is active, nothing may be multiplied.
    let two = "channel-gain red=1.1 | channel-gain red=1.1 domain=scene";
    assert_eq!(fired(&encoded(two, "LogC3"), "merge neighbouring scopes"), 0);
    // A scope with a curve in it is skipped as a whole, so a matrix beside it stays outside.
    assert_eq!(fired(&unknown("input-transform encoding=LogC3 | exposure stops=1 domain=log"), pass), 0);
}
