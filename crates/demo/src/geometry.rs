//! Plane geometry of the stage: points, boxes, signed distances, and repeatable randomness.
//!
//! Lengths are in stage units: the stage is 16 wide and 9 high, y grows downwards. Distances are negative inside.

/// A point or a direction of the stage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// To the right.
    pub x: f64,
    /// Downwards.
    pub y: f64,
}

/// A short way to write a [`Point`].
pub const fn at(x: f64, y: f64) -> Point {
    Point { x, y }
}

impl Point {
    /// This point as seen from `origin`.
    pub fn from(self, origin: Point) -> Point {
        at(self.x - origin.x, self.y - origin.y)
    }

    /// Distance from the origin.
    pub fn length(self) -> f64 {
        self.x.hypot(self.y)
    }

    /// Turned about the origin by an angle in radians, clockwise as seen.
    pub fn turned(self, angle: f64) -> Point {
        let (sine, cosine) = angle.sin_cos();
        at(self.x * cosine - self.y * sine, self.x * sine + self.y * cosine)
    }
}

/// A rectangle of the stage with its sides along the axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Area {
    /// Left edge.
    pub left: f64,
    /// Upper edge.
    pub top: f64,
    /// Right edge.
    pub right: f64,
    /// Lower edge.
    pub bottom: f64,
}

impl Area {
    /// The rectangle of this corner and extent.
    pub const fn new(left: f64, top: f64, width: f64, height: f64) -> Self {
        Self { left, top, right: left + width, bottom: top + height }
    }

    /// Whether the point lies inside.
    pub fn holds(&self, p: Point) -> bool {
        p.x >= self.left && p.x < self.right && p.y >= self.top && p.y < self.bottom
    }

    /// Grown by `margin` on every side, or shrunk where it is negative.
    pub fn grown(&self, margin: f64) -> Self {
        Self {
            left: self.left - margin,
            top: self.top - margin,
            right: self.right + margin,
            bottom: self.bottom + margin,
        }
    }

    /// Signed distance of a point from the edge.
    pub fn distance(&self, p: Point) -> f64 {
        let centre = at((self.left + self.right) / 2.0, (self.top + self.bottom) / 2.0);
        rounded_box(p.from(centre), (self.right - self.left) / 2.0, (self.bottom - self.top) / 2.0, 0.0)
    }

    /// The smallest rectangle that holds both.
    pub fn with(&self, other: &Area) -> Self {
        Self {
            left: self.left.min(other.left),
            top: self.top.min(other.top),
            right: self.right.max(other.right),
            bottom: self.bottom.max(other.bottom),
        }
    }
}

/// Signed distance from a box about the origin with rounded corners; half extents.
pub fn rounded_box(p: Point, half_width: f64, half_height: f64, radius: f64) -> f64 {
    let qx = p.x.abs() - half_width + radius;
    let qy = p.y.abs() - half_height + radius;
    qx.max(0.0).hypot(qy.max(0.0)) + qx.max(qy).min(0.0) - radius
}

/// Signed distance from an ellipse about the origin, near enough close to its edge.
pub fn ellipse(p: Point, half_width: f64, half_height: f64) -> f64 {
    let level = (p.x / half_width).hypot(p.y / half_height);
    let slope = (p.x / (half_width * half_width)).hypot(p.y / (half_height * half_height));
    if slope < 1e-9 { -half_width.min(half_height) } else { level * (level - 1.0) / slope }
}

/// Distance from the line between two points.
pub fn segment(p: Point, from: Point, to: Point) -> f64 {
    let along = to.from(from);
    let q = p.from(from);
    let share = ((q.x * along.x + q.y * along.y) / (along.x * along.x + along.y * along.y)).clamp(0.0, 1.0);
    at(q.x - share * along.x, q.y - share * along.y).length()
}

/// 0 below `from`, 1 above `to`, smooth between.
pub fn smooth(from: f64, to: f64, value: f64) -> f64 {
    let share = ((value - from) / (to - from)).clamp(0.0, 1.0);
    share * share * (3.0 - 2.0 * share)
}

/// Linear mix of two numbers.
pub fn mix(a: f64, b: f64, share: f64) -> f64 {
    a + (b - a) * share
}

/// A well-mixed word of a seed and a number: SplitMix64's finishing steps (Steele, Lea, Flood 2014).
pub fn hash(seed: u64, number: u64) -> u64 {
    let mut word = (seed ^ number.wrapping_mul(0x9E37_79B9_7F4A_7C15)).wrapping_add(0x9E37_79B9_7F4A_7C15);
    word = (word ^ (word >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    word = (word ^ (word >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    word ^ (word >> 31)
}

/// A repeatable number in 0..1 for a cell of a grid.
pub fn chance(seed: u64, column: i64, row: i64) -> f64 {
    // Two odd multipliers keep the cells of a picture apart; the hash does the rest.
    let cell = (column as u64).wrapping_mul(0xD6E8_FEB8_6659_FD93) ^ (row as u64).wrapping_mul(0xA076_1D64_78BD_642F);
    let word = hash(seed, cell);
    (word >> 11) as f64 / (1_u64 << 53) as f64
}

/// Smooth repeatable unevenness in 0..1, one bump a unit.
pub fn uneven(seed: u64, p: Point) -> f64 {
    let (column, row) = (p.x.floor(), p.y.floor());
    let (u, v) = (smooth(0.0, 1.0, p.x - column), smooth(0.0, 1.0, p.y - row));
    let (i, j) = (column as i64, row as i64);
    let upper = mix(chance(seed, i, j), chance(seed, i + 1, j), u);
    let lower = mix(chance(seed, i, j + 1), chance(seed, i + 1, j + 1), u);
    mix(upper, lower, v)
}
