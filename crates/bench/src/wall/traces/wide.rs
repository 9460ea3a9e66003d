//! The wide trace: levels, column by column, or how often each occurs.

use std::sync::Arc;

use egui::{Align2, Color32, Rect, Stroke, Ui, pos2};
use gpu::assemble::Trace;
use measure::scopes::{Axis, Histogram, WaveformOf, cells_of, waveform_shares};

use super::{APART, FIGURES, figures, ground, ink, words, words_in};
use crate::look::{self, FILL, LINE};
use crate::pictures::{Counted, Traces};
use crate::state::{TileId, Wide};

/// Names of the planes.
const CHANNELS: [&str; 3] = ["R", "G", "B"];
/// Figures across stand no nearer to each other than this, in points.
const APART_ACROSS: f32 = 34.0;

/// Draws it on a place, its name and figures around that.
pub fn show(ui: &Ui, at: TileId, place: Rect, traces: &Traces, candidate: Option<&str>, of_frame: Option<i64>) {
    let name = ui.scope_id().with(("wide", at));
    let counted = &traces.wide;
    let painter = ui.painter();
    ground(painter, place);
    let (kind, axis) = match &counted.trace {
        Trace::Waveform(scope) => {
            levels(ui, place, scope.axis());
            let is_parade = traces.kinds.0 == Wide::Parade;
            let has_channels = scope.of() == WaveformOf::Channels;
            let pixel = |shares: [f64; 3]| if has_channels { ink::together(shares) } else { ink::light(shares[0]) };
            ink::paint(ui, name, (place, if is_parade { 3 } else { 1 }), counted, |size| {
                waveform_shares(scope, &counted.counts, traces.region, size, is_parade).into_iter().map(pixel).collect()
            });
            match (has_channels, is_parade) {
                (true, true) => thirds(ui, place),
                (true, false) => letters(ui, place),
                (false, _) => {}
            }
            let of_light = scope.axis().is_of_light() || !traces.signal.is_code();
            let kind = match (has_channels, is_parade, of_light) {
                (true, true, _) => "parade",
                (true, false, _) => "red, green, blue together",
                (false, _, true) => "waveform, luminance",
                (false, _, false) => "waveform, luma",
            };
            (kind, scope.axis())
        }
        Trace::Histogram(scope) => {
            across(ui, place, &scope.axis);
            rows(ui, name, place, counted, scope);
            ("histogram, counts by their logarithm", &scope.axis)
        }
        // Only these two are wide.
        _ => return,
    };
    let of = candidate.map_or_else(String::new, |name| format!("{name}: "));
    let frame = of_frame.map_or_else(String::new, |frame| format!(", of frame {frame}"));
    let title = format!("{of}{kind}, {}{frame}", axis.name);
    words(painter, pos2(place.left() - FIGURES, place.top() - 4.0), Align2::LEFT_BOTTOM, &title);
}

/// Lines and figures of levels upwards.
fn levels(ui: &Ui, place: Rect, axis: &Axis) {
    for (share, figure) in figures(axis, place.height(), APART) {
        let y = place.bottom() - share * place.height();
        ui.painter().hline(place.x_range(), y, Stroke::new(1.0, FILL));
        let y = y.clamp(place.top() + 6.0, place.bottom() - 6.0);
        words(ui.painter(), pos2(place.left() - 5.0, y), Align2::RIGHT_CENTER, figure);
    }
}

/// Lines and figures of levels across.
fn across(ui: &Ui, place: Rect, axis: &Axis) {
    for (share, figure) in figures(axis, place.width(), APART_ACROSS) {
        let x = place.left() + share * place.width();
        ui.painter().vline(x, place.y_range(), Stroke::new(1.0, FILL));
        words(ui.painter(), pos2((x + 3.0).min(place.right() - 24.0), place.top() + 1.0), Align2::LEFT_TOP, figure);
    }
}

fn thirds(ui: &Ui, place: Rect) {
    for (third, name) in (0u8..).zip(CHANNELS) {
        let x = place.left() + f32::from(third) * place.width() / 3.0;
        if third > 0 {
            ui.painter().vline(x, place.y_range(), Stroke::new(1.0, LINE));
        }
        words(ui.painter(), pos2(x + 5.0, place.top() + 1.0), Align2::LEFT_TOP, name);
    }
}

/// Which ink is which channel, where they lie over each other.
fn letters(ui: &Ui, place: Rect) {
    for (at, (name, ink)) in CHANNELS.into_iter().zip(look::CHANNELS).enumerate() {
        let x = place.right() - 14.0 * (CHANNELS.len() - at) as f32;
        words_in(ui.painter(), pos2(x, place.top() + 2.0), Align2::LEFT_TOP, name, ink);
    }
}

/// Red, green and blue one below the other, each as high as its count's logarithm.
fn rows(ui: &Ui, name: egui::Id, place: Rect, counted: &Arc<Counted>, scope: &Histogram) {
    ink::paint(ui, name, (place, 1), counted, |size| histogram_pixels(counted, scope, size));
    for (row, channel) in (0u8..).zip(CHANNELS) {
        let y = place.top() + f32::from(row + 1) * place.height() / 3.0;
        ui.painter().hline(place.x_range(), y, Stroke::new(1.0, LINE));
        words(ui.painter(), pos2(place.left() - 5.0, y - 1.0), Align2::RIGHT_BOTTOM, channel);
    }
}

fn histogram_pixels(counted: &Counted, scope: &Histogram, [across, down]: [u32; 2]) -> Vec<Color32> {
    let pixels = counted.counts.total(0).max(2) as f64;
    let third = (down / 3).max(1);
    let heights: Vec<[u32; 3]> = (0..across)
        .map(|x| {
            let bins = cells_of(x, across, scope.axis.bins());
            [0, 1, 2].map(|plane| {
                let sum: u32 = bins.clone().map(|bin| counted.counts.at(plane, 0, bin + 1)).sum();
                // One pixel is seen.
                let share = if sum == 0 { 0.0 } else { (f64::from(sum) + 1.0).ln() / (pixels + 1.0).ln() };
                (share * f64::from(third)).ceil() as u32
            })
        })
        .collect();
    let mut drawn = Vec::with_capacity(across as usize * down as usize);
    for y in 0..down {
        let (plane, up) = ((y / third).min(2), third - (y % third));
        let is_row = y < 3 * third;
        drawn.extend(heights.iter().map(|heights| {
            let height = heights.get(plane as usize).copied().unwrap_or(0);
            let share = match up {
                _ if !is_row || up > height => 0.0,
                _ if up == height => 1.0,
                _ => 0.45,
            };
            ink::channel(plane as usize, share)
        }));
    }
    drawn
}
