//! The parts of the window by its size.

use egui::{Rect, pos2, vec2};

use crate::look::{GAP, ROW};

/// The height of the traces under a tile, the least there is.
pub const TRACES: f32 = 160.0;
/// The lines over a picture and under it: its order and its verdict.
pub const TILE_LINES: f32 = 2.0 * ROW;
/// The shape of a picture that the wall is laid out for; others are fitted in.
const SHAPE: f32 = 16.0 / 9.0;
/// The least that is left for rails, and for the tables below them.
const LEAST_BELOW: f32 = 150.0;

/// The least height of the rails.
const LEAST_RAILS: f32 = 60.0;

/// What is left of the tables while scales are open, where there is room for both.
const LEAST_TABLES: f32 = 2.0 * ROW;

/// The parts of the window.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Places {
    /// Project, shot, time; on the right what computes and how well.
    pub head: Rect,
    /// The tiles with their traces.
    pub wall: Rect,
    /// The frames of the shot.
    pub transport: Rect,
    /// The candidates as rails.
    pub rails: Rect,
    /// The table of shots.
    pub shots: Rect,
    /// The table of probes.
    pub readings: Rect,
    /// Typed numbers.
    pub entry: Rect,
}

impl Places {
    /// With the scales of a carriage open the rails take most of the room of the tables.
    #[must_use]
    pub fn with_scales_open(self) -> Self {
        let below = self.entry.top() - self.rails.top();
        let height = (below - LEAST_TABLES).max(LEAST_BELOW).min(below);
        self.with_rails(height)
    }

    /// Where the rails need less than they have, the tables get the rest.
    #[must_use]
    pub fn with_rails_of(self, height: f32) -> Self {
        self.with_rails(height.clamp(LEAST_RAILS.min(self.rails.height()), self.rails.height()))
    }

    fn with_rails(self, height: f32) -> Self {
        let rails = self.rails.with_max_y(self.rails.top() + height);
        let tables = |table: Rect| table.with_min_y(rails.max.y);
        Self { rails, shots: tables(self.shots), readings: tables(self.readings), ..self }
    }
}

/// Lays a window out for so many rows and columns of tiles.
pub fn layout(window: Rect, [rows, columns]: [usize; 2]) -> Places {
    let line = ROW + GAP;
    let (left, width) = (window.left(), window.width());
    let strip = |top: f32, height: f32| Rect::from_min_size(pos2(left, top), vec2(width, height));
    let head = strip(window.top(), line);
    let entry = strip(window.bottom() - line, line);
    let picture = width / columns.max(1) as f32 / SHAPE;
    let wanted = rows.max(1) as f32 * (picture + TILE_LINES) + TRACES;
    let most = entry.top() - head.bottom() - line - LEAST_BELOW;
    let wall = strip(head.bottom(), wanted.min(most).max(0.0));
    let transport = strip(wall.bottom(), line);
    let below = entry.top() - transport.bottom();
    let rails = strip(transport.bottom(), (below * 0.56).max(90.0).min(below));
    let tables = strip(rails.bottom(), (entry.top() - rails.bottom()).max(0.0));
    let (shots, readings) = tables.split_left_right_at_fraction(0.5);
    Places { head, wall, transport, rails, shots, readings, entry }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_tiles_fill_nearly_half_of_the_window() {
        for (width, height) in [(1600.0, 1000.0), (1280.0, 800.0), (1920.0, 1080.0), (2560.0, 1440.0)] {
            let window = Rect::from_min_size(pos2(0.0, 0.0), vec2(width, height));
            let places = layout(window, [1, 2]);
            let tiles = places.wall.height() - TRACES;
            assert!(tiles * width >= 0.45 * width * height, "{width}x{height}: {tiles}");
        }
    }

    #[test]
    fn parts_cover_the_window_and_nothing_twice() {
        for (width, height) in [(1600.0, 1000.0), (1280.0, 800.0), (1000.0, 640.0)] {
            for grid in [[1, 1], [1, 2], [1, 3], [2, 2]] {
                let window = Rect::from_min_size(pos2(0.0, 0.0), vec2(width, height));
                let closed = layout(window, grid);
                assert!(closed.with_scales_open().rails.height() > closed.rails.height());
                let few = closed.with_rails_of(70.0);
                assert!(few.rails.height() <= closed.rails.height() && few.shots.height() >= closed.shots.height());
                assert_eq!(closed.with_rails_of(4000.0), closed);
                for (places, least) in [(closed, 0.1), (few, 0.1), (closed.with_scales_open(), 0.0)] {
                    let Places { head, wall, transport, rails, shots, readings, entry } = places;
                    let parts = [head, wall, transport, rails, shots, readings, entry];
                    let sum: f32 = parts.iter().map(|part| part.area()).sum();
                    assert!((sum / window.area() - 1.0).abs() < 1e-4, "{width}x{height} {grid:?}: {sum}");
                    assert!(parts.iter().all(|part| window.expand(0.1).contains_rect(*part) && part.height() >= least));
                }
            }
        }
    }
}
