//! The first line: what is open, where in time; on the right what computes and what was said last.

mod display;
mod proof;

use egui::{Align, Layout, Ui};

use crate::look::{GAP, figure, label};
use crate::pictures::Pictures;
use crate::state::{Action, Bench, Sheet};

/// Draws the line.
pub fn show(ui: &mut Ui, bench: &Bench, pictures: &Pictures, actions: &mut Vec<Action>) {
    let width = ui.max_rect().width();
    ui.add_space(2.0);
    ui.horizontal(|ui| {
        ui.add_space(GAP);
        let name = bench.project().and_then(|project| project.path().file_stem()).map(|name| name.to_string_lossy());
        ui.label(figure(name.as_deref().unwrap_or("no project").replace('_', " ")).strong());
        if let Some(shot) = bench.shot() {
            ui.label(figure(shot));
            ui.label(label(format!("frame {}", bench.now())));
        }
        if bench.project().is_some_and(session::Project::is_changed) {
            ui.label(label("not saved"));
        }
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.add_space(GAP);
            trust(ui, pictures, actions);
            proof::show(ui, bench, actions);
            display::show(ui, bench, pictures, width);
            if let Some(words) = crate::sheets::in_head(bench)
                && ui.button(label(words)).on_hover_text("renders go on aside (F5)").clicked()
            {
                actions.push(Action::Lay(Some(Sheet::Renders)));
            }
            if let Some(message) = &bench.message {
                let words = if message.wrong { figure(&message.words) } else { label(&message.words) };
                ui.add(egui::Label::new(words).truncate());
            }
        });
    });
}

fn trust(ui: &mut Ui, pictures: &Pictures, actions: &mut Vec<Action>) {
    let words = pictures.gpu().map_or_else(|| "no adapter".to_string(), |gpu| gpu.note().name.clone());
    let button =
        ui.button(label(words)).on_hover_text("what computes, how long it takes, how far it is from the proof");
    if button.clicked() {
        actions.push(Action::Lay(Some(Sheet::Trust)));
    }
}
