//! What practitioners know of their corrections, tried on ramps and charts: in the proof, and on the GPU.
//!
//! Facts of the trade are common practice, no source, unless a test names one.

use colour::difference::{ciede2000, cielab};
use colour::transfer::{Form, LogCurve, LogSegments, Transfer};
use colour::{Adaptation, Encoding, Matrix, Xy, locus, primaries};
use demo::pattern::{self, Pattern};
use frame::Size;
use graph::Original;
use ops::{MID_GREY, PrinterPoints};
use plan::Level;
use reference::Proof;
use tests::cases::Subject;
use tests::gpu::{adapter, render};
use tests::table;

fn camera(name: &str) -> Original {
    Original::Encoded(encoding(name))
}

fn encoding(name: &str) -> Encoding {
    Encoding::named(name, None).expect("it is built in")
}

/// What pixels become in the proof, then on the GPU where there is one; each with its name and what its numbers are
/// good to: units of f64, or of f32 for signal up to 2.
fn executors(chain: &str, original: &Original, pixels: &[[f32; 3]]) -> Vec<(&'static str, f64, Vec<[f64; 3]>)> {
    let subject = Subject::chain(chain, original);
    let proof = Proof::new(&subject.elaborated);
    let mut answers =
        vec![("proof", 1e-15, pixels.iter().map(|pixel| proof.pixel(pixel.map(f64::from))).collect::<Vec<_>>())];
    if let Some(gpu) = adapter() {
        let rendered = render(&gpu, &subject.elaborated, Level::Full, pixels);
        answers.push(("GPU", 4e-7, rendered.iter().map(|pixel| pixel.map(f64::from)).collect()));
    }
    answers
}

/// The smooth grey ramp over all of the signal, as `greywright pattern ramp` makes it.
fn ramp() -> Vec<[f32; 3]> {
    let size = Size { width: 512, height: 1 };
    pattern::pixels(Pattern::RampPercent, size).0.iter().map(|&[red, green, blue, _]| [red, green, blue]).collect()
}

/// Greys of light from 8 stops under mid grey to 6 over, as `greywright pattern ramp-stops` makes them.
fn ramp_of_light() -> Vec<[f32; 3]> {
    let size = Size { width: 512, height: 1 };
    pattern::pixels(Pattern::RampStops, size).0.iter().map(|&[red, green, blue, _]| [red, green, blue]).collect()
}

/// The smallest and the largest of some numbers.
fn ends(numbers: impl IntoIterator<Item = f64>) -> (f64, f64) {
    numbers
        .into_iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), number| (low.min(number), high.max(number)))
}

// ---- waveforms

#[test]
fn an_offset_of_all_log_channels_moves_a_waveform_without_stretching_it() {
    let ramp = ramp();
    let moved = |chain: &str| {
        executors(chain, &camera("LogC3"), &ramp)
            .into_iter()
            .map(|(name, unit, out)| {
                let by = out.iter().zip(&ramp).flat_map(|(out, input)| (0..3).map(|i| out[i] - f64::from(input[i])));
                (name, unit, ends(by))
            })
            .collect::<Vec<_>>()
    };
    // A stop of LogC3 is 0.247190 log10(2) of signal (ARRI, ALEXA Log C Curve, 2012): seven points of twelve.
    let seven_points = 7.0 / 12.0 * 0.247190 * 2f64.log10();
    for (chain, wanted) in
        [("channel-offset red=0.05 green=0.05 blue=0.05", 0.05), ("printer-points all=7", seven_points)]
    {
        for (name, unit, (least, most)) in moved(chain) {
            println!("{chain}, {name}: moved by {least} to {most}");
            assert!((least - wanted).abs() <= unit && (most - wanted).abs() <= unit, "{chain}, {name}: {least} {most}");
        }
    }
    // A gain on the same code stretches it: the white end moves farther than the black end.
    for (name, _, (least, most)) in moved("channel-gain red=1.2 green=1.2 blue=1.2 domain=camera") {
        println!("gain, {name}: moved by {least} to {most}");
        assert!(most - least > 0.05, "{name}: {least} {most}");
    }
}

/// Red less green along the ramp, of a correction of the code.
fn gaps(chain: &str, original: &Original) -> Vec<(&'static str, f64, Vec<f64>)> {
    let answers = executors(chain, original, &ramp());
    answers.into_iter().map(|(name, unit, out)| (name, unit, out.iter().map(|rgb| rgb[0] - rgb[1]).collect())).collect()
}

#[test]
fn an_offset_of_one_channel_keeps_the_gap_and_a_gain_makes_it_grow() {
    // In the camera's log, and in the signal of a display; the ramp is that signal.
    let display = "input-transform encoding=BT.1886 | output-transform rendering=plain";
    let places = [(String::new(), " domain=camera", "LogC3"), (format!("{display} | "), " domain=display", "BT.1886")];
    for (before, domain, original) in places {
        let original = camera(original);
        for (name, unit, gaps) in gaps(&format!("{before}channel-offset red=0.04{domain}"), &original) {
            // What lies before it in the display's case brings the ramp back to 1e-6 (design.md).
            let unit = if before.is_empty() { unit } else { 4e-6 };
            let (least, most) = ends(gaps);
            println!("offset{domain}, {name}: gap {least} to {most}");
            assert!((least - 0.04).abs() <= unit && (most - 0.04).abs() <= unit, "{name}{domain}: {least} {most}");
        }
        for (name, _, gaps) in gaps(&format!("{before}channel-gain red=1.1{domain}"), &original) {
            println!("gain{domain}, {name}: gap {} in the shadows, {} in the highlights", gaps[0], gaps[511]);
            assert!(gaps.windows(2).all(|pair| pair[0] < pair[1]), "{name}{domain}: the gap grows all along");
            assert!(gaps[0].abs() < 1e-6 && (gaps[511] - 0.1).abs() < 1e-5, "{name}{domain}");
        }
    }
}

// ---- exposure

#[test]
fn exposure_under_the_output_curve_is_a_change_in_the_camera() {
    let curve = encoding("LogC3").transfer;
    let code = |light: f64| curve.encode(Form::Exact, light) as f32;
    let light: Vec<f64> = ramp_of_light().iter().map(|grey| f64::from(grey[0])).collect();
    // A warm patch, so that more than grey is tried.
    let shot = |stops: f64| -> Vec<[f32; 3]> {
        light.iter().map(|grey| [1.3, 1.0, 0.6].map(|channel| code(grey * channel * f64::exp2(stops)))).collect()
    };
    for stops in [-1.5, 0.5, 2.0] {
        let in_the_camera =
            executors("input-transform | output-transform rendering=plain", &camera("LogC3"), &shot(stops));
        let under = executors(
            &format!("input-transform | exposure stops={stops} | output-transform rendering=plain"),
            &camera("LogC3"),
            &shot(0.0),
        );
        for ((name, _, camera), (_, _, under)) in in_the_camera.iter().zip(&under) {
            let (_, worst) = ends(camera.iter().zip(under).flat_map(|(a, b)| {
                // What code in f32 is good to: half a unit of it is 3e-8 of signal, 4e-7 of a stop and 1e-6 of light,
                // which the display's root makes 5e-7 of its signal. Above white the bright end is 20 times that.
                (0..3).map(|i| (a[i] - b[i]).abs() / a[i].abs().max(1.0)).collect::<Vec<_>>()
            }));
            println!("{stops:+} stops, {name}: {worst} of signal apart");
            assert!(worst < 2e-6, "{stops:+}, {name}: {worst}");
        }
        // Over the output curve the same gain is another picture: the signal is not light.
        let over = executors(
            &format!(
                "input-transform | output-transform rendering=plain \
                 | channel-gain red={g} green={g} blue={g} domain=display",
                g = stops.exp2()
            ),
            &camera("LogC3"),
            &shot(0.0),
        );
        let grey = light.iter().position(|&grey| grey >= MID_GREY).expect("the ramp holds mid grey");
        assert!((over[0].2[grey][1] - in_the_camera[0].2[grey][1]).abs() > 0.05);
    }
}

/// Stops that points make of greys so many stops from mid grey, less the stops they should be.
fn points_against_exposure(name: &str, points: f64, at: impl Iterator<Item = f64>) -> Vec<(f64, f64)> {
    let curve = encoding(name).transfer;
    let proof = |chain: &str| Proof::new(&Subject::chain(chain, &camera(name)).elaborated);
    let by_points = proof(&format!("printer-points all={points} | input-transform"));
    let by_exposure = proof(&format!("input-transform | exposure stops={}", points / 12.0));
    at.map(|stops| {
        let code = [curve.encode(Form::Exact, MID_GREY * stops.exp2()); 3];
        (stops, (by_points.pixel(code)[1] / by_exposure.pixel(code)[1]).log2())
    })
    .collect()
}

#[test]
fn equal_points_are_an_exposure_exactly_on_a_pure_logarithm() {
    // Academy S-2014-003: ACEScc is a logarithm from 2^-15 up, which is 12.5 stops below mid grey.
    for points in [-12.0, -5.0, 1.0, 12.0] {
        let far = points_against_exposure("ACEScc", points, (-11..=8).map(f64::from));
        assert!(far.iter().all(|(_, off)| off.abs() < 1e-12), "{points}: {far:?}");
    }
    // ACEScct has the same logarithm above its break at 2^-7 (S-2016-001).
    let above = points_against_exposure("ACEScct", 12.0, (-4..=8).map(f64::from));
    assert!(above.iter().all(|(_, off)| off.abs() < 1e-12), "{above:?}");
}

#[test]
fn equal_points_are_nearly_an_exposure_in_the_lights_of_a_camera_log() {
    for points in [-12.0, -6.0, 6.0, 12.0] {
        let off = points_against_exposure("LogC3", points, (-6..=8).map(f64::from));
        for (stops, off) in &off {
            // Points down can leave no light of the toe, which is no number of stops.
            println!("LogC3, {points:+} points at {stops:+} stops: {off:+.4} stop off");
        }
        // From two stops up, before the points and after them.
        let up = |stops: f64| stops.min(stops + points / 12.0) >= 2.0;
        assert!(off.iter().filter(|(stops, _)| up(*stops)).all(|(_, off)| off.abs() < 0.01), "{points}");
        // In the toe they are no exposure, so the fact says something.
        let toe = off.iter().filter(|(stops, _)| *stops < -3.0);
        assert!(toe.clone().count() > 0 && toe.clone().all(|(_, off)| !off.is_finite() || off.abs() > 0.1), "{points}");
    }
}

// ---- printer points against a table

/// Film negatives of several gammas, scanned to printing density: `tests/data/printer_points.tsv` names its source.
#[test]
fn a_point_through_a_negative_is_what_the_table_says() {
    for row in table::rows("printer_points.tsv") {
        let number = |column: &str| table::number(&row, column);
        let gamma = number("negative_gamma");
        // 0.002 density a 10-bit code: gamma / 0.002 codes a decade of exposure.
        let codes = gamma / 0.002;
        let log = LogSegments { base: 10.0, a: 1.0, b: 0.0, c: codes / 1023.0, d: 0.6, e: 1.0, f: 0.0 };
        let curve = Transfer::Log(LogCurve::new(log, 1e-9, -10.0));
        let one =
            PrinterPoints { all: 1.0, points_a_stop: number("points_per_camera_stop"), ..PrinterPoints::default() };
        let [point, ..] = one.offsets(&curve).expect("it is a logarithm");
        let [stops, ..] = one.stops_at_grey(&curve).expect("it is a logarithm");
        println!("gamma {gamma}: {} codes and {stops} stops a point", point * 1023.0);
        // The table's figures are doubles; a few roundings on the way.
        let close = |got: f64, column: &str| {
            let wanted = number(column);
            assert!((got - wanted).abs() < 1e-12 * wanted, "gamma {gamma} {column}: {got} {wanted}");
        };
        close(curve.code_per_stop().expect("it is a logarithm") * 1023.0, "cineon_codes_per_camera_stop");
        close(point * 1023.0, "cineon_codes_per_point");
        close(stops, "camera_stops_per_point");
        close(stops.exp2(), "linear_gain_per_point");
        if gamma == 0.6 {
            // The built-in film scan is the negative of this row.
            let [scan, ..] = one.offsets(&encoding("Printing-Density").transfer).expect("it is a logarithm");
            close(scan * 1023.0, "cineon_codes_per_point");
        }
    }
}

// ---- the taper

#[test]
fn a_taper_leaves_a_raised_neutral_black_as_it_was_and_is_the_light_shift_above() {
    // Mired -60 over a taper from 6 to 4 stops below mid grey. A neutral black raised by flare, with some noise, 6
    // stops down and less; and everything from 4 stops down up, in several colours.
    let (numbers, taper) = ("mired=-60 duv=0.004", "centre=5 width=2");
    let level = |stops: f32| MID_GREY as f32 * stops.exp2();
    let black: Vec<[f32; 3]> = (0..64)
        .map(|step| {
            let grey = level(-6.001) * (step as f32 / 64.0);
            [grey, grey * 0.97, grey * 1.01]
        })
        .chain([[level(-6.5); 3], [level(-9.0); 3], [0.0; 3], [-level(-7.0); 3], [1e-3, -1e-3, 2e-3]])
        .collect();
    let above: Vec<[f32; 3]> = (0..64)
        .flat_map(|step| {
            let grey = level(-3.5 + step as f32 / 6.0);
            [
                [grey; 3],
                [1.3 * grey, grey, 0.7 * grey],
                [0.8 * grey, 1.1 * grey, 1.4 * grey],
                [1.2 * grey, grey, -0.1 * grey],
            ]
        })
        .collect();
    for (name, _, out) in executors(&format!("taper-balance {numbers} {taper}"), &Original::SceneRows, &black) {
        for (out, input) in out.iter().zip(&black) {
            assert_eq!(out, &input.map(f64::from), "{name}: black is what it was to the bit");
        }
    }
    // What it protects from.
    for (name, _, out) in executors(&format!("light-shift {numbers}"), &Original::SceneRows, &black) {
        let [red, _, blue] = out[64];
        println!("{name}: a light shift makes blue of neutral black {:.3} of its red", blue / red);
        assert!(blue / red > 1.2, "{name}");
    }
    let tapered = executors(&format!("taper-balance {numbers} {taper}"), &Original::SceneRows, &above);
    let shifted = executors(&format!("light-shift {numbers}"), &Original::SceneRows, &above);
    for ((name, _, tapered), (_, _, shifted)) in tapered.iter().zip(&shifted) {
        // 1 + (gain - 1) against gain: three roundings in either executor's floats.
        let rounding = if *name == "proof" { 4.0 * f64::EPSILON } else { 4.0 * f64::from(f32::EPSILON) };
        for (tapered, shifted) in tapered.iter().zip(shifted) {
            for (tapered, shifted) in tapered.iter().zip(shifted) {
                assert!((tapered - shifted).abs() <= rounding * shifted.abs(), "{name}: {tapered} {shifted}");
            }
        }
    }
}

// ---- methods differ

/// XYZ of linear AP1 where equal RGB is D65.
fn xyz_of_scene() -> Matrix {
    Adaptation::Bradford.matrix(primaries::ACES_WHITE, primaries::D65) * primaries::AP1.xyz_from_rgb()
}

/// The chart of `tests/data/chart24.tsv` under a Planckian light, in XYZ: its colours under the light of the table,
/// adapted by Bradford.
fn chart_under(kelvin: f64) -> Vec<(String, [f64; 3])> {
    // ICC D50, as the table says.
    let table_light = Xy::new(0.345_702_91, 0.358_538_6);
    let light = locus::planckian(kelvin).expect("it is in range");
    let to_light = Adaptation::Bradford.matrix(table_light, light);
    let patch = |row: &table::Row| {
        let [x, y, luminance] = ["x", "y", "Y"].map(|column| table::number(row, column));
        (row["name"].clone(), to_light.apply(Xy::new(x, y).to_xyz().map(|v| v * luminance)))
    };
    table::rows("chart24.tsv").iter().map(patch).collect()
}

/// The offsets that bring a code to grey's, as settings of channel-offset.
fn offsets_to(grey: f64, code: [f64; 3]) -> String {
    let [red, green, blue] = code.map(|channel| grey - channel);
    format!("red={red} green={green} blue={blue}")
}

/// The grey card brought to the same neutral by offsets of the camera's own log, and by offsets of the common log: the
/// colours differ, since the channels that are moved are other ones. An independent reckoning gave Delta E 2000 of
/// 2.6 in the mean and 7.2 at most.
#[test]
fn offsets_in_the_cameras_own_log_are_not_those_in_the_common_log() {
    let light = locus::planckian(3100.0).expect("it is in range").to_xyz();
    let card = light.map(|v| v * MID_GREY);
    for name in ["LogC3", "LogC4", "S-Log3", "V-Log"] {
        let own = encoding(name);
        let code_of = |xyz: [f64; 3]| {
            own.primaries.rgb_from_xyz().apply(xyz).map(|channel| own.transfer.encode(Form::Exact, channel))
        };
        let proof = |chain: &str| Proof::new(&Subject::chain(chain, &camera(name)).elaborated);
        let grey = own.transfer.encode(Form::Exact, MID_GREY);
        let in_own = proof(&format!("channel-offset {} | input-transform", offsets_to(grey, code_of(card))));
        let common = proof("input-transform | encode encoding=ACEScct");
        let grey_common = encoding("ACEScct").transfer.encode(Form::Exact, MID_GREY);
        let in_common = proof(&format!(
            "input-transform | channel-offset {} domain=log",
            offsets_to(grey_common, common.pixel(code_of(card)))
        ));
        let lab = |scene: [f64; 3]| cielab(xyz_of_scene().apply(scene), primaries::D65);
        for way in [&in_own, &in_common] {
            for channel in way.pixel(code_of(card)) {
                assert!((channel - MID_GREY).abs() < 1e-6, "{name}: the card is neutral either way, not {channel}");
            }
        }
        let mut differences: Vec<(f64, String)> = chart_under(3100.0)
            .into_iter()
            .map(|(patch, xyz)| {
                let code = code_of(xyz);
                (ciede2000(lab(in_own.pixel(code)), lab(in_common.pixel(code))), patch)
            })
            .collect();
        differences.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mean = differences.iter().map(|(difference, _)| difference).sum::<f64>() / differences.len() as f64;
        let (most, worst) = &differences[0];
        println!("{name}: Delta E 2000 mean {mean:.2}, most {most:.2} ({worst})");
        assert_eq!(differences.len(), 24);
        // Seen at once, and no other picture altogether.
        assert!((1.0..5.0).contains(&mean) && (3.0..15.0).contains(most), "{name}: {mean} {most}");
    }
}
