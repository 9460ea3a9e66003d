//! Pictures with figures on them: a canvas, text, lines, plots with axes. Knows no scopes and no files.
//!
//! Everything is placed in pixels from the upper left corner. What surrounds a picture is neutral; only data have hue.

mod area;
mod canvas;
mod ink;
mod plot;
mod scale;
mod text;

pub use area::Area;
pub use canvas::{Canvas, Stroke};
pub use ink::Ink;
pub use plot::{Drawn, Plot};
pub use scale::Scale;
pub use text::{Align, SMALL, TEXT, TITLE, line_height, width};
