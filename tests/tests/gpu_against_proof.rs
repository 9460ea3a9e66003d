//! The GPU against the proof, pixel by pixel, within the one tolerance of `tests::tolerance`.
//!
//! The proof is f64 by the textbook formula; `tests/tables.rs` of `colour` holds it against outside tables.

use graph::Original;
use plan::{Level, Plan};
use tests::cases::{self, Subject};
use tests::gpu::{adapter, render};
use tests::pixels::{self, Random};
use tests::tolerance::Standard;

/// Runs every subject optimised and not, and holds both against the proof. Says all that failed, not the first.
fn hold(subjects: &[Subject], pixels_for: impl Fn(&Subject) -> Vec<[f32; 3]>) {
    let Some(gpu) = adapter() else { return };
    let mut failures = Vec::new();
    let mut alike = 0;
    for subject in subjects {
        let pixels = pixels_for(subject);
        let standard = Standard::new(&subject.name, &subject.elaborated, &pixels).with_steep(subject.steep());
        let answers = [Level::Full, Level::None].map(|level| render(&gpu, &subject.elaborated, level, &pixels));
        if only_fused(subject) {
            alike += 1;
            if bits(&answers[0]) != bits(&answers[1]) {
                failures.push(format!("{}: fused and unfused differ, though only fusion happened", subject.name));
            }
        }
        for (level, answer) in [Level::Full, Level::None].into_iter().zip(&answers) {
            let verdict = standard.judge(answer);
            println!("{level:?}: {}", verdict.line());
            failures.extend(verdict.failure().map(|failure| format!("{level:?}: {failure}")));
        }
    }
    println!("{} subjects, {alike} of them bit-identical fused and unfused", subjects.len());
    assert!(failures.is_empty(), "{} failures\n{}", failures.len(), failures.join("\n"));
}

fn everything(subject: &Subject) -> Vec<[f32; 3]> {
    pixels::all(&pixels::breaks(&subject.elaborated))
}

/// Whether the optimiser changed no arithmetic, so that fusion is all that tells the two levels apart.
fn only_fused(subject: &Subject) -> bool {
    let changes = Plan::new(&subject.elaborated, Level::Full).changes;
    changes.iter().filter(|change| change.name != "drop the bypassed").all(|change| change.count == 0)
}

fn bits(pixels: &[[f32; 3]]) -> Vec<[u32; 3]> {
    pixels.iter().map(|pixel| pixel.map(f32::to_bits)).collect()
}

#[test]
fn every_operation_with_every_setting() {
    hold(&cases::operations(), everything);
}

#[test]
fn every_conversion() {
    hold(&cases::conversions(), everything);
}

#[test]
fn chains_of_several_operations() {
    hold(&cases::chains(), everything);
}

/// N-Log's published decoder steps down at code 452, by 3e-4 of light, and so has two codes for some light. That
/// code is one that 10-bit files hold; on its way out of the scene and back it must come back as itself.
#[test]
fn a_decoder_that_is_not_one_to_one() {
    let Some(gpu) = adapter() else { return };
    let chain = "input-transform encoding=N-Log | exposure stops=0.2 domain=camera | exposure stops=0.1 domain=camera \
                 | output-transform display=HLG rendering=plain";
    let subject = Subject::chain(chain, &Original::SceneRows);
    let pixels = pixels::all(&pixels::breaks(&subject.elaborated));
    assert!(pixels.iter().flatten().any(|&code| (f64::from(code) - 452.0 / 1023.0).abs() < 1e-7));
    let standard = Standard::new(&subject.name, &subject.elaborated, &pixels).with_steep(subject.steep());
    for level in [Level::Full, Level::None] {
        let verdict = standard.judge(&render(&gpu, &subject.elaborated, level, &pixels));
        println!("{level:?}: {}", verdict.line());
        assert!(verdict.holds(), "{:?}", verdict.failure());
    }
}

/// Random chains are tried with this seed unless `GREYWRIGHT_SEED` says another.
const SEED: u64 = 7;

/// How many random chains: a few seconds of compiling on a software adapter.
const RANDOM_CHAINS: usize = 40;

#[test]
fn random_chains() {
    let seed = std::env::var("GREYWRIGHT_SEED").ok().and_then(|text| text.parse().ok()).unwrap_or(SEED);
    println!("GREYWRIGHT_SEED={seed}");
    let mut random = Random::new(seed);
    // N-Log has its own test; a chain that passes its step several times is known to f32 only by the bound.
    let encodings: Vec<_> = cases::encodings().into_iter().filter(|encoding| !encoding.is("N-Log")).collect();
    let subjects: Vec<_> = (0..RANDOM_CHAINS)
        .map(|_| {
            let encoding = random.of(&encodings).clone();
            let mut parts = Vec::new();
            if random.bits().is_multiple_of(2) {
                parts.push("input-transform".to_string());
            }
            for _ in 0..1 + random.bits() % 5 {
                parts.push(random_operation(&mut random));
            }
            if random.bits().is_multiple_of(2) {
                let display = random.of(&["BT.1886", "sRGB", "P3-D65", "PQ", "HLG", "Gamma2.2", "BT.2020"]);
                parts.push(format!("output-transform display={display} rendering=plain"));
            }
            Subject::chain(&parts.join(" | "), &Original::Encoded(encoding))
        })
        .collect();
    // A chain of anything on numbers that no picture holds soon comes to where single floats end.
    hold(&subjects, |subject| pixels::fitting(&subject.elaborated.original, &pixels::breaks(&subject.elaborated)));
}

fn random_operation(random: &mut Random) -> String {
    let domain = *random.of(&["scene", "scene", "camera-linear", "log", "camera"]);
    let bypass = if random.bits().is_multiple_of(8) { " bypass=true" } else { "" };
    match random.bits() % 10 {
        // Code does not bear many stops: a few of them are beyond every picture.
        0 | 1 if domain == "camera" || domain == "log" => {
            format!("exposure stops={:.3} domain={domain}{bypass}", random.between(-0.2, 0.2))
        }
        0 | 1 => format!("exposure stops={:.3} domain={domain}{bypass}", random.between(-3.0, 3.0)),
        // A white balance on code is no white balance; the fixed chains have some.
        2 if domain == "scene" || domain == "camera-linear" => {
            format!("white-balance from={:.0}K domain={domain}{bypass}", random.between(2500.0, 12000.0))
        }
        3 => format!("white-balance domain={domain}{bypass}"),
        // Not every camera's code has a logarithm.
        4 => format!(
            "printer-points red={:.1} all={:.1} domain=log{bypass}",
            random.between(-6.0, 6.0),
            random.between(-6.0, 6.0)
        ),
        5 => format!("channel-offset blue={:.3} domain={domain}{bypass}", random.between(-0.05, 0.05)),
        6 => format!("channel-gain red={:.3} domain={domain}{bypass}", random.between(0.8, 1.25)),
        7 => format!(
            "flare all={:.2} green={:.2} domain={domain}{bypass}",
            random.between(-3.0, 3.0),
            random.between(-1.0, 1.0)
        ),
        8 => format!(
            "light-shift mired={:.1} duv={:.4} domain={domain}{bypass}",
            random.between(-80.0, 80.0),
            random.between(-0.01, 0.01)
        ),
        _ => format!(
            "taper-balance mired={:.1} centre={:.1} width={:.1} domain={domain}{bypass}",
            random.between(-80.0, 80.0),
            random.between(2.0, 8.0),
            random.between(0.5, 6.0)
        ),
    }
}
