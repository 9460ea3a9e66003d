//! What it costs to travel as a CDL and as a CLF: nothing where the file says all that a candidate does, something where not.

use std::path::{Path, PathBuf};

use serde_json::Value;
use tests::program::greywright;

/// Delta E below which a cost is nothing: six decimals of a list, and parts of a published curve that meet to a fiftieth of a code.
const NOTHING: f64 = 0.02;

/// A frame of the galley, small.
fn galley(dir: &Path) -> PathBuf {
    greywright("demo --size 320x180 --frames 1 --shots galley_010 --no-faults").with(dir).done();
    dir.join("galley_010/galley_010.0001.dpx")
}

/// The rows of candidates, compared by the proof.
fn compared(frame: &Path, chains: &[String]) -> Value {
    let run = greywright("compare --executor proof --json --input LogC3 --ei 800").with(frame);
    chains.iter().fold(run, |run, chain| run.with("--chain").with(chain)).done().json()
}

fn p95(of: &Value) -> f64 {
    of["p95"].as_f64().unwrap_or_else(|| panic!("no figure: {of}"))
}

/// The list at a place.
fn list<'a>(row: &'a Value, place: &str) -> &'a Value {
    let places = row["cdl"]["places"].as_array().expect("places");
    places.iter().find(|of| of["place"] == place).unwrap_or_else(|| panic!("no {place}: {row}"))
}

#[test]
fn a_list_costs_nothing_where_it_is_the_candidate_and_something_where_it_cannot_be() {
    let dir = tempfile::tempdir().expect("a folder");
    let frame = galley(dir.path());
    let list_text = "cdl slope=1.1,1,0.95 offset=-0.02,0,0.01 power=1.05,1,0.95 saturation=1.1";
    // What is corrected, and the place where a list says the same; none where no list does.
    let cases = [
        ("channel-offset red=-0.03 blue=0.05", Some("camera")),
        ("printer-points red=-2 blue=3 all=1", Some("camera")),
        (&format!("{list_text} clamp=true domain=camera"), Some("camera")),
        (&format!("{list_text} domain=log"), Some("log")),
        ("channel-offset red=-0.02 blue=0.03 domain=log", Some("log")),
        // A gain of light is no offset of code below the toe; a matrix is no list anywhere; a taper has no place in one.
        ("exposure stops=-4 | channel-gain red=0.6 blue=2.5", None),
        ("white-balance from=2500K to=9000K method=Bradford", None),
        ("taper-balance mired=-120 centre=-1 width=2", None),
    ];
    let chains: Vec<String> =
        cases.iter().map(|(text, _)| format!("input-transform | {text} | output-transform rendering=plain")).collect();
    let data = compared(&frame, &chains);
    for ((text, exact), row) in cases.iter().zip(data["rows"].as_array().expect("rows")) {
        let best = row["cdl"]["best"].as_str().expect("a place");
        let cost = p95(&list(row, best)["delta_e"]);
        println!("{cost:.4} in {best}, clf {:.4}: {text}", p95(&row["clf"]));
        match exact {
            Some(place) => {
                assert_eq!((best, row["same"]["cdl"].as_bool()), (*place, Some(true)), "{text}");
                assert!(cost < NOTHING, "{text}: {cost}");
            }
            None => assert!(cost > 5.0 * NOTHING, "{text}: {cost}"),
        }
        // Of these the taper alone needs a grid.
        let clf = p95(&row["clf"]);
        assert!(if text.starts_with("taper") { clf > 0.0 && clf < 0.5 } else { clf < NOTHING }, "{text}: {clf}");
    }
}

/// A list's cost is the difference to a candidate that is that list.
#[test]
fn the_list_that_is_named_makes_the_picture_that_is_costed() {
    let dir = tempfile::tempdir().expect("a folder");
    let frame = galley(dir.path());
    let output = "output-transform rendering=plain";
    let candidate = format!("input-transform | white-balance from=2500K to=9000K | {output}");
    let first = compared(&frame, std::slice::from_ref(&candidate));
    let mut chains = vec![candidate];
    let mut costs = Vec::new();
    for place in ["camera", "log"] {
        let list = list(&first["rows"][0], place);
        let three = |key: &str| {
            let numbers: Vec<String> = list[key].as_array().expect("three").iter().map(Value::to_string).collect();
            numbers.join(",")
        };
        let [slope, offset, power] = ["slope", "offset", "power"].map(three);
        let saturation = &list["saturation"];
        chains.push(format!(
            "input-transform | cdl slope={slope} offset={offset} power={power} saturation={saturation} clamp=true domain={place} | {output}"
        ));
        costs.push(p95(&list["delta_e"]));
    }
    let second = compared(&frame, &chains);
    let pictures = second["pictures"].as_array().expect("pairs");
    for (cost, pair) in costs.iter().zip(pictures) {
        assert_eq!(pair["a"], "chain 1");
        let apart = p95(&pair["delta_e"]);
        // All pixels of the picture against every fifteenth.
        println!("costed {cost:.3}, apart {apart:.3}");
        assert!((cost - apart).abs() < 0.1 * apart, "{pair}: {cost}");
    }
}

#[test]
fn the_demo_has_both_figures_and_sorts_by_them() {
    let dir = tempfile::tempdir().expect("a folder");
    greywright("demo --size 160x90 --frames 1 --shots galley_010 --no-faults").with(dir.path()).done();
    let run = || {
        greywright("compare --executor proof --shot galley_010 --truth demo")
            .with(dir.path().join("night_ferry.greywright"))
    };
    let data = run().with("--json").with("--sort").with("cdl").done().json();
    let candidates: Vec<&Value> =
        data["rows"].as_array().expect("rows").iter().filter(|row| row["kind"] == "candidate").collect();
    assert_eq!(candidates.len(), 5);
    let costs: Vec<f64> = candidates
        .iter()
        .map(|row| {
            let clf = p95(&row["clf"]);
            assert!(clf > 0.0 && clf < 1.0 && row["clf"]["count"] == row["cube"]["delta_e"]["count"], "{row}");
            p95(&list(row, row["cdl"]["best"].as_str().expect("a place"))["delta_e"])
        })
        .collect();
    assert!(costs.is_sorted(), "{costs:?}");
    // Points on log code are a list; gains of the display's signal are none.
    assert_eq!(
        (&candidates[0]["name"], &candidates[0]["cdl"]["best"]),
        (&Value::from("log-points"), &Value::from("camera"))
    );
    assert_eq!(candidates[4]["name"], "display-gains");
    assert!(costs[0] < NOTHING && costs[4] > 1.0, "{costs:?}");
    let table = run().done().stdout;
    for line in ["as a CLF (", "as a CDL ("] {
        assert!(table.lines().any(|of| of.starts_with(line)), "no '{line}'\n{table}");
    }
    assert!(!table.contains("not yet measured"), "{table}");
}

/// Light has no largest code for a Cube's grid and none for a clamped list; a CLF holds it, and so does a list in ACEScct.
#[test]
fn an_original_of_light_travels_without_a_grid_over_its_codes() {
    let dir = tempfile::tempdir().expect("a folder");
    let (frame, light) = (galley(dir.path()), dir.path().join("light.exr"));
    let render = greywright("render --executor proof --input LogC3 --ei 800").with(&frame).with(&light);
    render.chain("input-transform").done();
    let chain =
        "input-transform | exposure stops=0.5 | white-balance from=3100K to=D65 | output-transform rendering=plain";
    let run = greywright("compare --executor proof --json --input ACEScg").with(&light).chain(chain);
    let row = run.done().json()["rows"][0].clone();
    assert!(row["cube"].is_null() && p95(&row["clf"]) < NOTHING, "{row}");
    let places = row["cdl"]["places"].as_array().expect("places");
    assert!(places.len() == 1 && row["cdl"]["best"] == "log" && p95(&places[0]["delta_e"]) > NOTHING, "{row}");
}
