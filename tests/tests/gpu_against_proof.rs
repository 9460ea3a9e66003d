//! The GPU against the proof, pixel by pixel, within the one tolerance of `tests::tolerance`.
//!
//! The proof is f64 by the textbook formula; `tests/tables.rs` of `colour` holds it against outside tables.

use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use gpu::assemble::{Edge, assemble};
use gpu::device::{AdapterChoice, Renderer};
use graph::Original;
use ops::Op;
use plan::{Level, Plan};
use tests::cases::{self, Subject};
use tests::gpu::{adapter, render};
use tests::pixels::{self, Random};
use tests::tolerance::Standard;

/// Runs every subject optimised and not, and holds both against the proof. Says all that failed, not the first.
fn hold(subjects: &[Subject]) {
    let Some(gpu) = adapter() else { return };
    let mut failures = Vec::new();
    for subject in subjects {
        let pixels = pixels::all(&pixels::breaks(&subject.elaborated));
        let standard = Standard::new(&subject.name, &subject.elaborated, &pixels);
        for level in [Level::Full, Level::None] {
            let verdict = standard.judge(&render(&gpu, &subject.elaborated, level, &pixels));
            println!("{level:?}: {}", verdict.line());
            failures.extend(verdict.failure().map(|failure| format!("{level:?}: {failure}")));
        }
    }
    assert!(failures.is_empty(), "{} failures\n{}", failures.len(), failures.join("\n"));
}

#[test]
fn every_operation_with_every_setting() {
    for op in Op::all() {
        assert!(cases::settings(op.id()).is_some(), "tests/src/cases.rs says nothing about {}", op.id());
    }
    hold(&cases::operations());
}

#[test]
fn every_conversion() {
    hold(&cases::conversions());
}

#[test]
fn chains_of_several_operations() {
    hold(&cases::chains());
}

/// N-Log's published decoder steps down at code 452, by 3e-4 of light, and so has two codes for some light. On its
/// way out of the scene and back a pixel can meet both sides, of which f32 cannot know the right ones: within a
/// millionth of that code the proof's bound judges alone, everywhere else every term holds.
#[test]
fn a_decoder_that_is_not_one_to_one() {
    let Some(gpu) = adapter() else { return };
    let chain = "input-transform encoding=N-Log | exposure stops=0.2 domain=camera | exposure stops=0.1 domain=camera \
                 | output-transform display=HLG";
    let subject = Subject::chain(chain, &Original::SceneRows);
    let near = |pixel: &[f32; 3]| pixel.iter().any(|&code| (f64::from(code) - 452.0 / 1023.0).abs() < 1e-6);
    let all = pixels::all(&pixels::breaks(&subject.elaborated));
    let (at_step, elsewhere): (Vec<_>, Vec<_>) = all.into_iter().partition(near);
    assert!(!at_step.is_empty());
    for (pixels, whole) in [(elsewhere, true), (at_step, false)] {
        let standard = Standard::new(&subject.name, &subject.elaborated, &pixels);
        for level in [Level::Full, Level::None] {
            let verdict = standard.judge(&render(&gpu, &subject.elaborated, level, &pixels));
            println!("{level:?}: {}", verdict.line());
            assert!(verdict.worst_share <= 1.0 && (!whole || verdict.holds()), "{:?}", verdict.failure());
        }
    }
}
