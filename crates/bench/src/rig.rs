//! A bench with a project of one shot, and a window to press its controls in, for tests.

use egui::{Event, Key, Modifiers, Pos2, Rect, vec2};
use egui_kittest::kittest::Queryable as _;
use egui_kittest::{Harness, Node};
use graph::{Document, Place, Shot, Wiring};
use ops::Op;
use session::{Project, file::Written};
use tempfile::TempDir;

use crate::entry;
use crate::pictures::Pictures;
use crate::rails;
use crate::state::{Action, Bench, Opened, Tile};

/// What the window of a test works on.
pub struct Rig {
    pub bench: Bench,
    /// All that was asked for.
    pub log: Vec<Action>,
    pictures: Pictures,
    _folder: TempDir,
}

impl Rig {
    /// A project whose kit has every operation once, with a candidate for each list of places.
    pub fn new(candidates: &[(&str, &[&str])]) -> Self {
        let mut document = Document::default();
        for op in Op::all() {
            document.kit.insert(op.id().to_string(), op);
        }
        for (name, places) in candidates {
            let wiring = Wiring::linear(places.iter().map(|member| Place::of(*member)));
            document.candidates.insert((*name).to_string(), wiring);
        }
        let shot = Shot { encoding: Some("LogC3".to_string()), ..Shot::default() };
        document.shots.insert("galley_010".to_string(), shot);
        document.shots.insert("deck_010".to_string(), Shot { encoding: Some("LogC3".to_string()), ..Shot::default() });
        let folder = tempfile::tempdir().unwrap();
        let written = Written { document, ..Written::default() };
        let project = Project::new(&folder.path().join("ferry.greywright"), written).unwrap();
        let mut bench = Bench::of(project);
        let tile = |name: &&str| Tile {
            shot: Some("galley_010".to_string()),
            candidate: Some((*name).to_string()),
            ..Tile::default()
        };
        bench.wall.tiles = candidates.iter().map(|(name, _)| tile(name)).collect();
        Self { bench, log: Vec::new(), pictures: Pictures::none(), _folder: folder }
    }

    /// With the scales of a place open.
    pub fn opened(mut self, candidate: &str, at: usize) -> Self {
        self.bench.opened = Some(Opened { candidate: candidate.to_string(), at });
        self
    }

    /// A window with rails and entry line.
    pub fn window(self) -> Harness<'static, Self> {
        let builder = Harness::builder().with_size(vec2(1500.0, 600.0)).with_context_setup(crate::look::dress);
        let mut harness = builder.build_ui_state(
            |ui, rig: &mut Self| {
                let mut actions = Vec::new();
                let (rails, line) = ui.max_rect().split_top_bottom_at_y(560.0);
                let mut part = |rect: Rect, name: &str, draw: &mut dyn FnMut(&mut egui::Ui)| {
                    let mut ui = ui.new_child(egui::UiBuilder::new().id_salt(name).max_rect(rect));
                    draw(&mut ui);
                };
                part(rails, "rails", &mut |ui| rails::show(ui, &rig.bench, &rig.pictures, &mut actions));
                part(line, "entry", &mut |ui| entry::show(ui, &rig.bench, &mut actions));
                for action in actions {
                    rig.log.push(action.clone());
                    rig.bench.apply(action);
                }
            },
            self,
        );
        (0..3).for_each(|_| harness.step());
        harness
    }

    /// The members of a rail as it is kept, in the order of work.
    pub fn order(&self, candidate: &str) -> Vec<String> {
        order(self.bench.project().unwrap().document(), candidate)
    }

    /// The same as it is shown.
    pub fn shown_order(&self, candidate: &str) -> Vec<String> {
        order(self.bench.document().unwrap(), candidate)
    }

    /// A setting as the shot has it, in what is kept.
    pub fn kept(&self, member: &str, field: &str) -> String {
        let document = self.bench.project().unwrap().document();
        document.resolve(self.bench.shot(), None).unwrap()[member].get(field).unwrap()
    }

    /// The same in what is shown.
    pub fn shown(&self, member: &str, field: &str) -> String {
        self.bench.document().unwrap().resolve(self.bench.shot(), None).unwrap()[member].get(field).unwrap()
    }
}

fn order(document: &Document, candidate: &str) -> Vec<String> {
    let wiring = &document.candidates[candidate];
    wiring.in_order().unwrap().iter().map(|at| wiring.graph()[*at].member.clone()).collect()
}

/// Presses the keys one after the other, with modifiers.
pub fn press(harness: &mut Harness<'_, Rig>, modifiers: Modifiers, keys: &[Key]) {
    for key in keys {
        harness.key_press_modifiers(modifiers, *key);
        harness.step();
        harness.step();
    }
}

/// Types into what has the keys.
pub fn write(harness: &mut Harness<'_, Rig>, text: &str) {
    for letter in text.chars() {
        harness.event(Event::Text(letter.to_string()));
        harness.step();
    }
    harness.step();
}

/// What is named so, by the beginning of its name; the topmost of several.
pub fn first<'a>(harness: &'a Harness<'_, Rig>, name: &'a str) -> Node<'a> {
    let all = harness.query_all_by(move |node| node.label().is_some_and(|label| label.starts_with(name)));
    all.min_by(|a, b| a.rect().top().total_cmp(&b.rect().top())).unwrap()
}

/// Where it stands.
pub fn place(harness: &Harness<'_, Rig>, name: &str) -> Rect {
    first(harness, name).rect()
}

/// Takes the pointer from one place to the next, pressed at the first one.
pub fn hold(harness: &mut Harness<'_, Rig>, ways: &[Pos2]) {
    let Some(first) = ways.first() else { return };
    harness.hover_at(*first);
    harness.drag_at(*first);
    harness.step();
    for way in ways.iter().skip(1) {
        harness.hover_at(*way);
        harness.step();
        harness.step();
    }
}

/// Lets go of what is held.
pub fn let_go(harness: &mut Harness<'_, Rig>, at: Pos2) {
    harness.drop_at(at);
    harness.step();
    harness.step();
}
