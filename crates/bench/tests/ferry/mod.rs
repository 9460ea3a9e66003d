#![allow(dead_code, reason = "each suite uses a part of it")]
//! The demo's project in a folder of its own, without its frames, and the window on it without a device.

use std::path::{Path, PathBuf};

use bench::pictures::Pictures;
use bench::shell;
use bench::state::{Action, Bench};
use egui_kittest::Harness;
use graph::Edit;
use session::Project;
use session::aside::Aside;

const PROJECT: &str = r#"schema_version = 2

[kit.exposure]
operation = "exposure"
version = 1

[kit.input-transform]
operation = "input-transform"
version = 1

[kit.output-transform]
operation = "output-transform"
version = 2

[kit.white-balance]
operation = "white-balance"
version = 1

[candidates]
light-first = ["input-transform", "exposure", "white-balance", "output-transform"]
white-first = ["input-transform", "white-balance", "exposure", "output-transform"]

[shots.deck_010]
media = "deck_010/deck_010.%04d.dpx"
encoding = "LogC3"
exposure_index = 800

[shots.galley_010]
media = "galley_010/galley_010.%04d.dpx"
encoding = "LogC3"
exposure_index = 800
"#;

/// A folder that is taken away with it.
pub struct Ferry {
    folder: tempfile::TempDir,
}

impl Ferry {
    pub fn new() -> Self {
        let ferry = Self { folder: tempfile::tempdir().unwrap() };
        std::fs::write(ferry.project(), PROJECT).unwrap();
        ferry
    }

    pub fn folder(&self) -> &Path {
        self.folder.path()
    }

    pub fn project(&self) -> PathBuf {
        self.folder.path().join("ferry.greywright")
    }

    /// A window on it that remembers how it stood.
    pub fn bench(&self) -> Bench {
        let mut bench = Bench::default();
        bench.remember_in(Some(Aside::at(self.folder.path().join("state"))));
        bench.apply(Action::Open(self.project()));
        assert!(bench.project().is_some(), "{:?}", bench.message);
        bench
    }

    pub fn saved(&self) -> Project {
        Project::open(&self.project()).unwrap()
    }
}

/// An edit of the kit.
pub fn exposure(stops: &str) -> Edit {
    Edit::Set { member: "exposure".to_string(), key: "stops".to_string(), value: stops.to_string() }
}

/// The value in the kit.
pub fn stops(document: &graph::Document) -> String {
    document.kit["exposure"].get("stops").unwrap()
}

/// The whole window; what is asked for in it is done and noted.
pub fn window(bench: Bench, size: [f32; 2], scale: f32) -> Harness<'static, (Bench, Vec<Action>)> {
    window_with(bench, Pictures::none(), size, scale)
}

/// The same with pictures.
pub fn window_with(
    bench: Bench,
    mut pictures: Pictures,
    size: [f32; 2],
    scale: f32,
) -> Harness<'static, (Bench, Vec<Action>)> {
    let draw = move |ui: &mut egui::Ui, (bench, done): &mut (Bench, Vec<Action>)| {
        let mut actions = Vec::new();
        pictures.follow(bench);
        pictures.heard(bench).into_iter().for_each(|action| bench.apply(action));
        // The harness leaves a margin that the real window has not.
        let whole = ui.ctx().content_rect();
        let mut ui = ui.new_child(egui::UiBuilder::new().max_rect(whole));
        ui.set_clip_rect(whole);
        shell::show(&mut ui, bench, &pictures, &mut actions);
        for action in actions {
            done.push(action.clone());
            bench.apply(action);
        }
    };
    let dressed = |context: &egui::Context| bench::look::dress(context);
    let mut harness = Harness::builder()
        .with_size(size)
        .with_pixels_per_point(scale)
        .with_context_setup(dressed)
        .build_ui_state(draw, (bench, Vec::new()));
    harness.run_steps(3);
    harness
}
