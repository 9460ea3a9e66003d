//! One rail: its carriages on their stretches, and under them the scales of the one that is open.

use std::sync::Arc;

use egui::text::{LayoutJob, TextFormat, TextWrapping};
use egui::{Align, FontId, Galley, Id, Layout, Rect, Response, Sense, Stroke, Ui, WidgetInfo, accesskit, pos2, vec2};
use graph::{Input, Kit, Wiring};
use ops::Op;
use petgraph::stable_graph::NodeIndex;

use super::acts;
use super::meaning::Meaning;
use super::track::{Carriage, Stretch, figure_of, main_field};
use crate::look::{
    BLACK, FILL, GAP, GROUND, LABEL, LABEL_SIZE, LIGHT, LINE, ROW, TEXT, TEXT_SIZE, corner_ticks, figure, hatch, label,
};
use crate::scales::{self, Whose};
use crate::state::{Action, Bench, Opened};

/// The height of a carriage.
const HEIGHT: f32 = 22.0;
/// The height of a track with what keeps it from the next.
const TRACK: f32 = HEIGHT + 2.0 * GAP;

/// A rail to be drawn.
pub struct Row<'a> {
    pub bench: &'a Bench,
    pub candidate: &'a str,
    pub wiring: &'a Wiring,
    /// The kit as the shot has it.
    pub kit: &'a Kit,
    pub carriages: Vec<Carriage>,
    pub meaning: &'a Result<Meaning, String>,
    pub stretches: &'a [(Stretch, Rect); 3],
}

/// A carriage as it stands in the window.
pub struct Stand {
    pub at: NodeIndex,
    pub member: String,
    pub siding: bool,
    pub place: Rect,
    pub response: Response,
}

/// A rail as it was drawn.
pub struct Drawn<'a> {
    pub row: Row<'a>,
    pub stands: Vec<Stand>,
    /// The tracks, without the scales below.
    pub line: Rect,
    /// Where a siding's track begins.
    pub siding_from: f32,
}

/// The texts of a carriage.
struct Face {
    name: Arc<Galley>,
    /// Its figure, and where it works.
    rest: String,
    /// The width with the name alone.
    least: f32,
    width: f32,
}

impl<'a> Row<'a> {
    /// Draws it, and says where its carriages stand.
    pub fn show(self, ui: &mut Ui, actions: &mut Vec<Action>) -> Drawn<'a> {
        let tracks = if self.carriages.iter().any(|own| own.siding) { 2.0 } else { 1.0 };
        let (line, _) = ui.allocate_exact_size(vec2(ui.available_width(), tracks * TRACK), Sense::hover());
        let middle = line.top() + TRACK / 2.0;
        let faces: Vec<Face> = self.carriages.iter().map(|own| self.face(ui, own)).collect();
        let places = self.places(middle, &faces);
        self.tracks(ui, line, middle, &places);
        let mut stands = Vec::with_capacity(places.len());
        for ((own, place), face) in self.carriages.iter().zip(&places).zip(faces) {
            let response = self.carriage(ui, own, *place, face);
            if response.clicked() {
                let opened = Opened { candidate: self.candidate.to_string(), at: own.at.index() };
                let open = self.bench.opened.as_ref() == Some(&opened);
                actions.push(Action::OpenScales((!open).then_some(opened)));
                response.request_focus();
            }
            let member = own.place.member.clone();
            if let (true, Some(touched)) =
                (response.has_focus(), self.kit.get(&member).and_then(|op| main_field(&member, op)))
                && self.bench.touched.as_ref().is_none_or(|own| own.member != member)
            {
                actions.push(Action::Touch(touched));
            }
            stands.push(Stand { at: own.at, member, siding: own.siding, place: *place, response });
        }
        let opened = self.bench.opened.as_ref().filter(|opened| opened.candidate == self.candidate);
        if let Some(own) = opened.and_then(|opened| self.carriages.iter().find(|own| own.at.index() == opened.at)) {
            let above = stands.iter().find(|stand| stand.at == own.at).map(|stand| stand.place);
            self.scales(ui, own, above, actions);
        }
        Drawn { row: self, stands, line, siding_from: line.top() + TRACK }
    }

    /// The rail itself, and a siding's track from where it leaves to where it joins.
    fn tracks(&self, ui: &mut Ui, line: Rect, middle: f32, places: &[Rect]) {
        let [first, .., last] = self.stretches;
        let stroke = Stroke::new(1.0, LABEL);
        let ends = [pos2(first.1.left(), middle), pos2(last.1.right(), middle)];
        ui.painter().line_segment(ends, stroke);
        for end in ends {
            ui.painter().line_segment([end - vec2(0.0, 4.0), end + vec2(0.0, 4.0)], stroke);
        }
        let place_of =
            |at: NodeIndex| self.carriages.iter().position(|own| own.at == at).and_then(|number| places.get(number));
        for (own, place) in self.carriages.iter().zip(places).filter(|(own, _)| own.siding) {
            let from = self.wiring.before(own.at).and_then(place_of);
            let from = from.map_or(ends[0], |from| pos2(from.right(), from.center().y));
            let to = pos2(place.left(), place.center().y);
            let turn = pos2((from.x + GAP * 2.0).min(to.x), to.y);
            ui.painter().line_segment([from, turn], stroke);
            ui.painter().line_segment([turn, to], stroke);
            for (next, _) in self.wiring.after(own.at).into_iter().filter(|(_, input)| *input == Input::Side) {
                let Some(mix) = place_of(next) else { continue };
                let leave = pos2(place.right(), place.center().y);
                let turn = pos2((mix.left() - GAP * 2.0).max(leave.x), leave.y);
                ui.painter().line_segment([leave, turn], stroke);
                ui.painter().line_segment([turn, pos2(mix.left(), mix.center().y)], stroke);
            }
        }
        let width = first.1.left() - line.left() - 2.0 * GAP;
        let name = Rect::from_min_size(pos2(line.left() + GAP, middle - ROW / 2.0), vec2(width, ROW));
        let mut name_ui = ui.new_child(
            egui::UiBuilder::new()
                .id_salt(("rail", self.candidate))
                .max_rect(name)
                .layout(Layout::left_to_right(Align::Center)),
        );
        let named = name_ui.add(egui::Label::new(figure(self.candidate)).truncate());
        if let Err(words) = self.meaning {
            named.on_hover_text(words);
            // The words stand where the picture would leave.
            let at = pos2(last.1.left() + 2.0 * HEIGHT, middle);
            let rect = Rect::from_min_max(pos2(at.x, middle - ROW / 2.0), pos2(last.1.right(), middle + ROW / 2.0));
            ui.painter().rect_filled(rect, 0.0, BLACK);
            let mut ui = ui.new_child(
                egui::UiBuilder::new()
                    .id_salt(("fault", self.candidate))
                    .max_rect(rect)
                    .layout(Layout::left_to_right(Align::Center)),
            );
            ui.add(egui::Label::new(label(words)).truncate()).on_hover_text(words);
        }
    }

    fn face(&self, ui: &Ui, own: &Carriage) -> Face {
        let op = self.kit.get(&own.place.member);
        let figure = match op.map(figure_of).unwrap_or_default() {
            // What it reads is the shot's to say where the operation does not.
            empty if empty.is_empty() && matches!(op, Some(Op::InputTransform(_))) => {
                let shots = self.bench.document().map(|document| &document.shots);
                shots.and_then(|shots| shots.get(self.bench.shot()?)?.encoding.clone()).unwrap_or_default()
            }
            figure => figure,
        };
        let elsewhere = own.elsewhere.map(|domain| format!("in {domain}"));
        let rest: Vec<String> =
            [Some(figure), elsewhere].into_iter().flatten().filter(|part| !part.is_empty()).collect();
        let text = |words: String, size, ink| ui.painter().layout_no_wrap(words, FontId::proportional(size), ink);
        let name = text(own.place.member.replace('-', " "), TEXT_SIZE, TEXT);
        let rest = rest.join("  ");
        let least = name.size().x + 2.0 * GAP + 2.0;
        let beside = if rest.is_empty() { 0.0 } else { 8.0 + text(rest.clone(), LABEL_SIZE, LABEL).size().x };
        Face { name, rest, least, width: least + beside }
    }

    /// Where the carriages stand: along their stretch in order, the first gates on the lines between the stretches.
    fn places(&self, middle: f32, faces: &[Face]) -> Vec<Rect> {
        let gate_of = |stretch: Stretch| {
            let last = self.carriages.iter().rposition(|own| own.stretch == stretch)?;
            self.carriages.get(last).is_some_and(|own| own.gate && stretch != Stretch::Display).then_some(last)
        };
        let half = |number: Option<usize>| number.and_then(|at| faces.get(at)).map_or(0.0, |face| face.width / 2.0);
        let mut places = vec![Rect::NOTHING; self.carriages.len()];
        let mut before = 0.0;
        for (stretch, rect) in self.stretches {
            let gate = gate_of(*stretch);
            let own: Vec<usize> = (0..places.len())
                .filter(|at| self.carriages.get(*at).is_some_and(|own| own.stretch == *stretch) && Some(*at) != gate)
                .collect();
            let face = |at: &usize| faces.get(*at).map_or((0.0, 0.0), |face| (face.least, face.width - face.least));
            let room = (rect.width() - before - half(gate) - 3.0 * GAP).max(1.0);
            // Where it gets tight, figures give way before names do.
            let names: f32 = own.iter().map(|at| face(at).0 + 2.0 * GAP).sum();
            let figures: f32 = own.iter().map(|at| face(at).1).sum();
            let spared = ((room - names) / figures.max(1.0)).clamp(0.0, 1.0);
            let tight = (room / names.max(1.0)).min(1.0);
            let mut x = rect.left() + before + 2.0 * GAP;
            for at in own {
                let siding = self.carriages.get(at).is_some_and(|own| own.siding);
                let y = if siding { middle + TRACK } else { middle };
                let (name, figure) = face(&at);
                let wide = (name + figure * spared) * tight;
                if let Some(place) = places.get_mut(at) {
                    *place = Rect::from_min_size(pos2(x, y - HEIGHT / 2.0), vec2(wide, HEIGHT));
                }
                x += wide + 2.0 * GAP * tight;
            }
            if let Some(place) = gate.and_then(|at| places.get_mut(at)) {
                let size = vec2(2.0 * half(gate), HEIGHT);
                *place = Rect::from_center_size(pos2(rect.right(), middle), size);
            }
            before = half(gate);
        }
        places
    }

    fn carriage(&self, ui: &mut Ui, own: &Carriage, place: Rect, face: Face) -> Response {
        let id = Id::unique(("carriage", self.candidate, own.at.index()));
        let response = ui.interact(place, id, Sense::click_and_drag());
        let open = self
            .bench
            .opened
            .as_ref()
            .is_some_and(|opened| opened.candidate == self.candidate && opened.at == own.at.index());
        let member = &own.place.member;
        let passed = if own.place.bypass { ", passed by" } else { "" };
        let name = format!("{member} {}{passed} on rail {}", face.rest, self.candidate);
        response.widget_info(|| WidgetInfo::selected(accesskit::Role::Button, true, open, &name));
        let painter = ui.painter().with_clip_rect(place.intersect(ui.clip_rect()));
        let lit = open || response.hovered() || response.has_focus() || response.dragged();
        painter.rect_filled(place, 0.0, if lit { FILL } else { GROUND });
        if own.place.bypass {
            hatch(&painter, place, Stroke::new(1.0, LINE));
        }
        let edge = if own.gate { Stroke::new(2.0, LABEL) } else { Stroke::new(1.0, LINE) };
        painter.rect_stroke(place, 0.0, edge, egui::StrokeKind::Inside);
        let middle = |galley: &Galley| place.center().y - galley.size().y / 2.0;
        let name_at = pos2(place.left() + GAP + 1.0, middle(&face.name));
        let rest_at = name_at.x + face.name.size().x + 8.0;
        painter.galley(name_at, face.name, TEXT);
        let room = place.right() - GAP - rest_at;
        if room > 3.0 * GAP && !face.rest.is_empty() {
            // A number that is cut is another number.
            let is_number = face.rest.starts_with(|first: char| first.is_ascii_digit() || matches!(first, '+' | '-'));
            let mut rest =
                LayoutJob::single_section(face.rest, TextFormat::simple(FontId::proportional(LABEL_SIZE), LABEL));
            rest.wrap = TextWrapping::truncate_at_width(room + 1.0);
            let rest = painter.layout_job(rest);
            if !(is_number && rest.elided) {
                painter.galley(pos2(rest_at, middle(&rest)), rest, LABEL);
            }
        }
        if response.has_focus() || open {
            corner_ticks(&ui.painter().with_clip_rect(ui.clip_rect()), place.expand(2.0));
        }
        let summary = self.kit.get(member).map(Op::summary).unwrap_or_default();
        let lost = self.meaning.as_ref().map(|meaning| meaning.warnings.iter().filter(|(whose, _)| whose == member));
        let lost = lost.into_iter().flatten().map(|(_, words)| format!("\n{words}")).collect::<String>();
        if !lost.is_empty() {
            // What it loses here is told; a light foot says that there is something to be told.
            let foot = [place.left_bottom() - vec2(0.0, 1.0), place.right_bottom() - vec2(0.0, 1.0)];
            painter.line_segment(foot, Stroke::new(2.0, LIGHT));
        }
        response.on_hover_text(format!("{member}: {summary}{lost}"))
    }

    fn scales(&self, ui: &mut Ui, own: &Carriage, above: Option<Rect>, actions: &mut Vec<Action>) {
        let (Some(document), Some(project)) = (self.bench.document(), self.bench.project()) else { return };
        let whose = Whose {
            document,
            kept: project.document(),
            shot: self.bench.shot(),
            kit: self.kit,
            touched: self.bench.touched.as_ref(),
            measured: self.bench.measured_light(),
        };
        let frame = egui::Frame::new().fill(GROUND).inner_margin(egui::Margin::symmetric(GAP as i8, 3));
        let block = frame.show(ui, |ui| {
            ui.set_width(ui.available_width());
            ui.push_id(("scales", self.candidate, own.at.index()), |ui| {
                acts::show(ui, self, own, actions);
                scales::show(ui, &own.place.member, whose, actions);
            });
        });
        let top = block.response.rect.top();
        // The block hangs on its carriage.
        if let Some(above) = above {
            let stroke = Stroke::new(1.5, LIGHT);
            ui.painter().line_segment([above.center_bottom(), pos2(above.center().x, top)], stroke);
            ui.painter().line_segment([pos2(above.left(), top), pos2(above.right(), top)], stroke);
        }
    }
}
