//! The frames of the shot: where it stands, what is there.

use egui::{Sense, Stroke, Ui, pos2, vec2};

use crate::look::{GAP, LABEL, LIGHT, LINE, ROW, label};
use crate::pictures::Pictures;
use crate::state::{Action, Bench};

/// Draws the bar; a press or a drag on it goes to a frame.
pub fn show(ui: &mut Ui, bench: &Bench, pictures: &Pictures, actions: &mut Vec<Action>) {
    let shown = pictures.of(bench.wall.active).and_then(|outcome| outcome.shown.as_ref());
    let Some([first, last]) = shown.map(|shown| shown.span) else { return };
    ui.add_space(3.0);
    ui.horizontal(|ui| {
        ui.add_space(GAP);
        ui.label(label(format!("{first}")));
        let width = (ui.available_width() - 90.0).max(40.0);
        let (rect, response) = ui.allocate_exact_size(vec2(width, ROW), Sense::click_and_drag());
        let count = (last - first).max(0);
        let at = |frame: i64| {
            let share = if count == 0 { 0.0 } else { (frame - first) as f32 / count as f32 };
            rect.left() + share.clamp(0.0, 1.0) * rect.width()
        };
        let middle = rect.center().y;
        let painter = ui.painter();
        painter.line_segment([pos2(rect.left(), middle), pos2(rect.right(), middle)], Stroke::new(1.0, LINE));
        if count > 0 && count <= 240 {
            for frame in first..=last {
                let x = at(frame);
                painter.line_segment([pos2(x, middle - 2.0), pos2(x, middle + 2.0)], Stroke::new(1.0, LABEL));
            }
        }
        let x = at(bench.frame);
        painter.line_segment([pos2(x, rect.top() + 1.0), pos2(x, rect.bottom() - 1.0)], Stroke::new(2.0, LIGHT));
        response.widget_info(|| egui::WidgetInfo::slider(true, bench.frame as f64, "frame"));
        if let Some(place) = response.interact_pointer_pos() {
            let share = ((place.x - rect.left()) / rect.width().max(1.0)).clamp(0.0, 1.0);
            let frame = first + (share * count as f32).round() as i64;
            if frame != bench.frame {
                actions.push(Action::Frame(frame));
            }
        }
        ui.label(label(format!("{last}")));
    });
}
