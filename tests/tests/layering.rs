//! Dependencies point one way: the layout of DEVELOPERS.md, held against what cargo resolves.
//!
//! Only what ends up in a build counts (`-e normal`); a crate's tests may look wherever they like.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// What the program and the tests may name.
const EVERYTHING: &[&str] = &[
    "colour",
    "frame",
    "ops",
    "graph",
    "reference",
    "plan",
    "gpu",
    "media",
    "measure",
    "demo",
    "interchange",
    "session",
    "bench",
];

/// Our crates, lower layers first, each with those of ours that it may name in its Cargo.toml.
const LAYERS: [(&str, &[&str]); 16] = [
    ("colour", &[]),
    ("frame", &[]),
    ("xtask", &[]),
    ("ops", &["colour"]),
    ("graph", &["colour", "ops"]),
    ("reference", &["colour", "frame", "ops", "graph"]),
    ("plan", &["colour", "ops", "graph"]),
    ("measure", &["colour", "frame", "ops", "graph", "reference"]),
    ("gpu", &["colour", "frame", "ops", "graph", "plan", "measure"]),
    ("media", &["frame"]),
    ("demo", &["colour", "frame", "media"]),
    ("interchange", &["colour", "ops", "graph", "reference"]),
    (
        "session",
        &["colour", "frame", "ops", "graph", "reference", "plan", "gpu", "media", "measure", "interchange", "demo"],
    ),
    ("bench", &["colour", "frame", "ops", "graph", "plan", "reference", "gpu", "media", "measure", "session"]),
    ("greywright", EVERYTHING),
    ("tests", EVERYTHING),
];

/// Crates from outside that are kept to some of ours: their name, who may name them, who may have them in its tree.
const CONFINED: [(&str, &[&str], &[&str]); 4] = [
    // One crate talks to the device; the window and the suites reach it through that one.
    ("wgpu", &["gpu"], &["gpu", "session", "bench", "greywright", "tests"]),
    ("naga", &["gpu", "tests"], &["gpu", "session", "bench", "greywright", "tests"]),
    // Only the window draws.
    ("egui", &["bench"], &["bench", "greywright", "tests"]),
    ("winit", &["bench"], &["bench", "greywright", "tests"]),
];

/// The chain of packages from a crate to something in its tree, as names.
type Route = Vec<String>;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("tests/ lies in the checkout").to_path_buf()
}

/// Every package in the crate's build, each by the first route on which cargo prints it.
fn routes(package: &str) -> Vec<Route> {
    let cargo = std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into());
    let output = Command::new(cargo)
        .args(["tree", "-p", package, "-e", "normal", "--prefix", "depth", "--offline", "--locked"])
        .args(["--format", " {p}"])
        .current_dir(root())
        .output()
        .expect("cargo runs");
    assert!(output.status.success(), "cargo tree -p {package}: {}", String::from_utf8_lossy(&output.stderr));
    routes_from_depths(&String::from_utf8(output.stdout).expect("cargo prints UTF-8"))
}

/// Reads lines of the form `2 name v1.0.0 ...`, the number being the depth.
fn routes_from_depths(printed: &str) -> Vec<Route> {
    let mut route = Route::new();
    let mut routes = Vec::new();
    for line in printed.lines().filter(|line| !line.is_empty()) {
        let mut words = line.split_whitespace();
        let depth: usize = words.next().and_then(|word| word.parse().ok()).expect("a depth first");
        route.truncate(depth);
        route.push(words.next().expect("a name second").to_owned());
        routes.push(route.clone());
    }
    routes
}

fn is_ours(name: &str) -> bool {
    LAYERS.iter().any(|(layer, _)| *layer == name)
}

/// What a crate's tree breaks, one line each, with the path that leads there.
fn faults(package: &str, routes: &[Route]) -> Vec<String> {
    let allowed = LAYERS.iter().find(|(layer, _)| *layer == package).map_or(&[][..], |(_, allowed)| allowed);
    let mut faults = Vec::new();
    for route in routes.iter().filter(|route| route.len() > 1) {
        let end = route.last().map_or("", String::as_str);
        let path = route.join(" -> ");
        let is_direct = route.len() == 2;
        if is_direct && is_ours(end) && !allowed.contains(&end) {
            faults.push(format!("{path}: {package} may name {allowed:?} of ours, not {end}"));
        }
        for (outsider, namers, holders) in CONFINED.iter().filter(|(outsider, ..)| *outsider == end) {
            if !holders.contains(&package) {
                faults.push(format!("{path}: only {holders:?} may have {outsider} in the tree"));
            } else if is_direct && !namers.contains(&package) {
                faults.push(format!("{path}: only {namers:?} may name {outsider}"));
            }
        }
    }
    faults
}

#[test]
fn dependencies_point_one_way() {
    let faults: Vec<String> = LAYERS.iter().flat_map(|(package, _)| faults(package, &routes(package))).collect();
    assert!(faults.is_empty(), "against the layout:\n{}", faults.join("\n"));
}

#[test]
fn every_crate_has_its_layer() {
    let mut ours: BTreeSet<String> = fs::read_dir(root().join("crates"))
        .expect("crates/ is there")
        .map(|entry| entry.expect("crates/ can be read").path())
        .filter(|path| path.join("Cargo.toml").is_file())
        .filter_map(|path| path.file_name().map(|name| name.to_string_lossy().into_owned()))
        .collect();
    ours.extend(["xtask".to_owned(), "tests".to_owned()]);
    let listed: BTreeSet<String> = LAYERS.iter().map(|(name, _)| (*name).to_owned()).collect();
    assert_eq!(ours, listed, "crates on disk (left) and in the table above (right)");
}

#[test]
fn the_table_itself_points_one_way() {
    for (place, (package, allowed)) in LAYERS.iter().enumerate() {
        for below in *allowed {
            let lower = LAYERS[..place].iter().any(|(name, _)| name == below);
            assert!(lower, "{package} may name {below}, which does not stand above it in the table");
        }
    }
}

/// Plans become text and bytes without a device: that half of `gpu` can be tested, and dumped, anywhere.
#[test]
fn assembling_shaders_needs_no_device() {
    for path in rust_files(&root().join("crates/gpu/src/assemble")) {
        let text = fs::read_to_string(&path).expect("the file can be read");
        let offence =
            text.lines().enumerate().find(|(_, line)| !line.trim_start().starts_with("//") && line.contains("wgpu::"));
        if let Some((line, said)) = offence {
            panic!("{}:{}: {}", path.display(), line + 1, said.trim());
        }
    }
}

fn rust_files(folder: &Path) -> Vec<PathBuf> {
    let Ok(entries) = fs::read_dir(folder) else {
        return Vec::new();
    };
    let mut files = Vec::new();
    for path in entries.flatten().map(|entry| entry.path()) {
        if path.is_dir() {
            files.extend(rust_files(&path));
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            files.push(path);
        }
    }
    files.sort();
    files
}

/// What cargo prints is read: the binary reaches the colour science and the device, by routes that begin with itself.
#[test]
fn routes_reach_the_bottom() {
    let routes = routes("greywright");
    for end in ["colour", "wgpu"] {
        let route = routes.iter().find(|route| route.last().is_some_and(|last| last == end));
        assert!(route.is_some_and(|route| route.len() > 1 && route[0] == "greywright"), "{end}: {route:?}");
    }
}

/// The check can fail, and says where.
#[test]
fn faults_are_found_and_their_path_printed() {
    let tree = "0 ops v0.1.0\n1 colour v0.1.0\n1 serde v1.0.0\n2 wgpu v30.0.0\n1 graph v0.1.0\n2 colour v0.1.0 (*)\n";
    let found = faults("ops", &routes_from_depths(tree));
    assert_eq!(found.len(), 2, "{found:?}");
    assert!(found[0].starts_with("ops -> serde -> wgpu:"), "{found:?}");
    assert!(found[1].starts_with("ops -> graph:"), "{found:?}");

    let through = "0 greywright v0.1.0\n1 gpu v0.1.0\n2 wgpu v30.0.0\n";
    assert!(faults("greywright", &routes_from_depths(through)).is_empty());
    let direct = "0 greywright v0.1.0\n1 wgpu v30.0.0\n";
    assert_eq!(faults("greywright", &routes_from_depths(direct)).len(), 1);
}
