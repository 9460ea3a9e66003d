//! A rectangle of a canvas.

/// A rectangle in pixels from the canvas's upper left corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Area {
    /// Its left edge.
    pub x: f32,
    /// Its upper edge.
    pub y: f32,
    /// Pixels across.
    pub width: f32,
    /// Pixels down.
    pub height: f32,
}

impl Area {
    /// A rectangle by its upper left corner and size.
    pub fn new(x: f32, y: f32, width: f32, height: f32) -> Area {
        Area { x, y, width, height }
    }

    /// The column after its last one.
    pub fn right(self) -> f32 {
        self.x + self.width
    }

    /// The row after its last one.
    pub fn bottom(self) -> f32 {
        self.y + self.height
    }

    /// What is left of it inside margins.
    #[must_use]
    pub fn inside(self, left: f32, top: f32, right: f32, bottom: f32) -> Area {
        let (width, height) = (self.width - left - right, self.height - top - bottom);
        Area::new(self.x + left, self.y + top, width.max(1.0), height.max(1.0))
    }
}
