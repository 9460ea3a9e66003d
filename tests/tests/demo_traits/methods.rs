//! The methods of the demo's project part where they should, and read as the same where they should not.

use serde_json::Value;
use tests::program::{Run, greywright};

use crate::film::{FILM, number};

/// What a 3x3 matrix fitted on the patches may be worse by than a method that works in scene light: the fit is by least squares
/// in light, and is judged in Delta E 2000.
const FIT: f64 = 0.05;
/// The methods that work in scene light alone.
const IN_SCENE_LIGHT: [&str; 3] = ["adaptation", "shift", "taper"];

fn run(shot: &str) -> Run {
    greywright("compare --truth demo --executor proof --json --shot").with(shot).with(FILM.project())
}

/// The chart's place: figures over patches need no more of the picture, which saves time.
fn chart(shot: &str) -> String {
    let rects: Vec<_> = FILM.shot(shot).truth.patches.iter().map(|patch| patch.rect).collect();
    let least = |of: fn(&demo::Rect) -> u32| rects.iter().map(of).min().expect("patches");
    let most = |of: fn(&demo::Rect) -> u32| rects.iter().map(of).max().expect("patches");
    let (x, y) = (least(|r| r.x), least(|r| r.y));
    format!("{x},{y},{},{}", most(|r| r.x + r.width) - x, most(|r| r.y + r.height) - y)
}

/// What `compare` says of a shot's candidates, with a line a method in the test's output.
fn compared(shot: &str, run: &Run) -> (Vec<Value>, Value) {
    let all = run.done().json();
    let rows = all["rows"].as_array().expect("rows");
    let methods: Vec<Value> = rows.iter().filter(|row| row["kind"] == "candidate").cloned().collect();
    assert_eq!(methods.len(), 5, "{shot}");
    for row in &methods {
        let of = |figure: &str| ["mean", "p95"].map(|which| number(&row[figure][which]));
        let [[mean, most], [best, best_most]] = ["to_truth_patches", "to_truth_best_matrix"].map(of);
        println!(
            "{shot} {}: {mean:.2} in the mean, {most:.2} at the 95th percentile; best 3x3 {best:.2}, {best_most:.2}",
            row["name"].as_str().expect("a name")
        );
        if IN_SCENE_LIGHT.iter().any(|name| row["name"] == *name) {
            assert!(best < mean + FIT, "{shot} {}: {mean} betters the best matrix's {best}", row["name"]);
        }
    }
    (methods, all["pictures"].clone())
}

/// The figure: best and worst are 2 Delta E 2000 apart, at the 95th percentile over the 24 patches.
fn teaches(shot: &str) {
    let run = run(shot).with("--region").with(chart(shot));
    let (methods, _) = compared(shot, &run);
    let spread = |which: &str| {
        let figures = methods.iter().map(|row| number(&row["to_truth_patches"][which]));
        let (least, most) = figures.fold((f64::INFINITY, 0.0_f64), |(a, b), figure| (a.min(figure), b.max(figure)));
        most - least
    };
    let [mean, most] = ["mean", "p95"].map(spread);
    println!("{shot}: best and worst method are {mean:.2} apart in the mean, {most:.2} at the 95th percentile");
    assert!(most >= 2.0, "{shot}: {most}");
}

#[test]
fn methods_part_on_deck() {
    ["deck_010", "deck_020", "deck_030"].into_iter().for_each(teaches);
}

#[test]
fn methods_part_in_the_galley() {
    ["galley_010", "galley_010b"].into_iter().for_each(teaches);
}

#[test]
fn methods_part_in_the_wheelhouse() {
    ["wheelhouse_010", "wheelhouse_020"].into_iter().for_each(teaches);
}

/// Next to no cast: no method can be told from another, and the program says so.
#[test]
fn methods_are_the_same_on_the_control() {
    let (methods, pictures) = compared("galley_020", &run("galley_020"));
    let to_truth: Vec<f64> = methods.iter().map(|row| number(&row["to_truth_patches"]["mean"])).collect();
    let pairs: Vec<f64> =
        pictures.as_array().expect("pairs").iter().map(|pair| number(&pair["delta_e"]["mean"])).collect();
    let most = pairs.iter().fold(0.0, |a: f64, b| a.max(*b));
    println!("galley_020: {to_truth:.3?} from the truth; pictures are {most:.3} apart at most in the mean");
    assert_eq!(pairs.len(), 10, "every pair of five");
    assert!(most < 0.5 && to_truth.iter().all(|a| to_truth.iter().all(|b| (a - b).abs() < 0.5)), "{most} {to_truth:?}");
    for row in &methods {
        println!(
            "galley_020 {}: hues kept {:.3}, same: {}",
            row["name"],
            number(&row["hues_kept"]),
            row["same"]["hues_kept"]
        );
        for figure in ["patches", "hue_gaps"] {
            assert_eq!(row["same"][figure], true, "{}: {figure}", row["name"]);
        }
    }
}
