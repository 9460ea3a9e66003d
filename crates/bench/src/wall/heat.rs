//! The scale of differences, in the line under a picture.

use egui::{Color32, DragValue, Mesh, Rect, Sense, Shape, Stroke, Ui, pos2, vec2};

use crate::look::{LINE, ROW, label};
use crate::state::{Action, Bench};

/// How long the scale is, in points.
const LENGTH: f32 = 160.0;
/// Steps that are drawn of it.
const STEPS: u32 = 40;

/// Draws the scale; its end can be set.
pub fn show(ui: &mut Ui, bench: &Bench, actions: &mut Vec<Action>) {
    ui.label(label("same"));
    let (rect, _) = ui.allocate_exact_size(vec2(LENGTH, ROW), Sense::hover());
    let bar = rect.shrink2(vec2(0.0, 5.0));
    ui.painter().add(Shape::mesh(ramp(bar)));
    for quarter in 0..=4 {
        let x = bar.left() + bar.width() * quarter as f32 / 4.0;
        ui.painter().vline(x, bar.bottom()..=rect.bottom() - 1.0, Stroke::new(1.0, LINE));
    }
    let mut end = bench.wall.difference_end;
    let words = "10-bit codes of the largest channel";
    let number = ui.add(DragValue::new(&mut end).range(1.0..=1023.0).fixed_decimals(0).speed(1.0));
    let name = ui.label(label(words));
    let number = number.labelled_by(name.id).on_hover_text("what the scale of differences reaches to");
    if number.changed() {
        actions.push(Action::DifferenceEnd(end));
    }
}

fn ramp(bar: Rect) -> Mesh {
    let mut mesh = Mesh::default();
    for step in 0..=STEPS {
        let share = step as f32 / STEPS as f32;
        let [red, green, blue] = gpu::device::heat(share).map(|code| (code * 255.0).round() as u8);
        let (x, colour) = (bar.left() + share * bar.width(), Color32::from_rgb(red, green, blue));
        mesh.colored_vertex(pos2(x, bar.top()), colour);
        mesh.colored_vertex(pos2(x, bar.bottom()), colour);
        if step > 0 {
            let at = 2 * step;
            mesh.add_triangle(at - 2, at - 1, at);
            mesh.add_triangle(at - 1, at, at + 1);
        }
    }
    mesh
}
