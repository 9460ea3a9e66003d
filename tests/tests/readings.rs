//! Readings of 200 random colours against colour-science: chromaticity, colour temperature, Duv, CIELAB and differences, in
//! scene light, on a BT.1886 display and on PQ. No figure of ours enters the library's side.
//!
//! Skipped with a printed reason where `GREYWRIGHT_PYTHON` names no Python that has the library.

use colour::primaries::D65;
use measure::Tap;
use measure::readings::{Average, Probe, Reading};
use ops::{Display, Signal};
use tests::program::{python, reference};

/// Doubles on both sides, through a matrix and a division.
const DOUBLE: f64 = 1e-12;
/// A neutral has no hue but that of its roundings, and Delta E 2000 turns its ellipse by it.
const OF_A_NEUTRAL: f64 = 1e-6;

fn reading(probe: &Probe, rgb: &[f64]) -> Reading {
    // Two equal pixels, so that averaging has something to do.
    probe.read_values([[rgb[0], rgb[1], rgb[2]]; 2]).expect("a finite pixel")
}

/// Reads the library's rows through a tap.
fn check(script_signal: &str, signal: Signal) {
    let Some(python) = python() else { return };
    let text = reference(&python, "outside_readings.py", &[script_signal]);
    let probe = Probe { tap: Tap::new(signal), codes: None, average: Average::Mean, target_white: D65 };
    let (mut count, mut with_light, mut kelvin_apart, mut worst) = (0, 0, 0.0f64, 0.0f64);
    for line in text.lines().skip(1) {
        let cells: Vec<Option<f64>> = line.split('\t').map(|cell| cell.parse().ok()).collect();
        let at = |index: usize| cells[index].unwrap_or_else(|| panic!("no number in column {index} of '{line}'"));
        let rgb: Vec<f64> = (0..6).map(at).collect();
        let (ours, target) = (reading(&probe, &rgb[..3]), reading(&probe, &rgb[3..]));
        let mut close = |got: f64, column: usize, tolerance: f64| {
            let apart = (got - at(column)).abs();
            assert!(apart <= tolerance, "{line}\n  column {column}: {got}");
            worst = worst.max(apart / tolerance);
        };
        let (xy, [u, v]) = (ours.colour.xy().expect("light"), ours.colour.uv1976().expect("light"));
        for (got, column) in [(xy.x, 6), (xy.y, 7), (u, 8), (v, 9)] {
            close(got, column, DOUBLE);
        }
        for (got, column) in ours.colour.lab().into_iter().zip(12..) {
            close(got, column, 1000.0 * DOUBLE);
        }
        let neutral = [&ours, &target].iter().any(|reading| {
            let [_, a, b] = reading.colour.lab();
            a.hypot(b) < 1e-9
        });
        let differences = if neutral { OF_A_NEUTRAL } else { 1000.0 * DOUBLE };
        close(ours.colour.delta_e_2000(&target.colour), 15, differences);
        if cells[16].is_some() {
            // Delta E ITP counts 720 to the full scale of PQ, which is steep near black.
            close(ours.colour.delta_e_itp(&target.colour).expect("a display's light"), 16, 1e5 * DOUBLE);
        } else {
            assert_eq!(ours.colour.delta_e_itp(&target.colour), None);
        }
        if let (Some(kelvin), Some(duv)) = (cells[10], cells[11]) {
            let (ours, our_duv) = ours.colour.cct_duv().unwrap_or_else(|| panic!("no colour temperature: {line}"));
            // Ohno's own method is good to 2e-4 of a temperature from its table, and to more far from the locus.
            let allowed = 2e-4 * kelvin * (1.0 + 100.0 * duv.abs());
            assert!((ours - kelvin).abs() < allowed && (our_duv - duv).abs() < 1e-5, "{line}\n  {ours} K, {our_duv}");
            kelvin_apart = kelvin_apart.max((ours - kelvin).abs() / kelvin);
            with_light += 1;
        }
        count += 1;
    }
    println!(
        "{script_signal}: {count} colours, {with_light} with a colour temperature, {kelvin_apart:.1e} of it apart at worst"
    );
    println!("{script_signal}: everything else at worst {worst:.3} of its tolerance");
    assert!(count == 200 && with_light > 80, "{count} rows, {with_light} with a colour temperature");
}

#[test]
fn scene_light_against_colour_science() {
    check("aces", Signal::scene());
}

#[test]
fn a_display_against_colour_science() {
    check("bt1886", Display::Bt1886.signal(100.0, 0.0));
}

#[test]
fn perceptual_quantiser_against_colour_science() {
    check("pq", Display::Pq.signal(10_000.0, 0.0));
}
