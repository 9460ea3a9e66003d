//! A dear body's distances on a grid, so that what passes it far off need not ask the body itself.

use std::sync::OnceLock;

use rayon::prelude::*;

use super::shape::Shape;
use crate::space::{Bounds, Vec3, v3};

/// Cells along the longest side of a still body, whose grid is made once for all frames, and of one that moves.
const STILL: f64 = 88.0;
const MOVING: f64 = 56.0;
/// How far beyond the body's box the grid reaches, in metres: there soft shadows still ask.
const BEYOND: f64 = 0.12;
/// Cells from the body within which its own distance is asked.
const NEAR: f64 = 1.6;

/// The grids of a scene's still bodies, made once, by the bodies' numbers; none for one that moves or costs little.
#[derive(Default)]
pub struct Still(OnceLock<Vec<Option<Grid>>>);

impl Still {
    /// Of these bodies, which are the same at every call.
    pub(super) fn of(&self, shapes: &[Box<dyn Shape>]) -> &[Option<Grid>] {
        let grid = |shape: &dyn Shape| (shape.dear() && !shape.moves()).then(|| Grid::of(shape, 0.0));
        self.0.get_or_init(|| shapes.iter().map(|shape| grid(shape.as_ref())).collect())
    }
}

/// Distances of one body at one moment at the corners of cells.
pub struct Grid {
    least: Vec3,
    cell: f64,
    corners: [usize; 3],
    distances: Vec<f32>,
}

impl Grid {
    /// Of a body at a moment.
    pub fn of(shape: &dyn Shape, seconds: f64) -> Self {
        let Bounds { least, most } = shape.bounds().grown(BEYOND);
        let size = most - least;
        let cell = size.most() / if shape.moves() { MOVING } else { STILL };
        let corners = [size.x, size.y, size.z].map(|length| (length / cell).ceil() as usize + 1);
        let [across, up, deep] = corners;
        let row = |at: usize| {
            let (y, z) = ((at % up) as f64 * cell, (at / up) as f64 * cell);
            let place = |x: usize| least + v3(x as f64 * cell, y, z);
            (0..across).map(|x| shape.distance(place(x), seconds) as f32).collect::<Vec<_>>()
        };
        Self { least, cell, corners, distances: (0..up * deep).into_par_iter().flat_map_iter(row).collect() }
    }

    /// The distance of a point that is not near the body; none near it or beyond the grid.
    pub fn distance(&self, p: Vec3) -> Option<f64> {
        let q = (p - self.least) * (1.0 / self.cell);
        let [across, up, deep] = self.corners;
        let inside = |place: f64, corners: usize| place >= 0.0 && place < (corners - 1) as f64;
        if !(inside(q.x, across) && inside(q.y, up) && inside(q.z, deep)) {
            return None;
        }
        let (x, y, z) = (q.x as usize, q.y as usize, q.z as usize);
        let (u, v, w) = (q.x - x as f64, q.y - y as f64, q.z - z as f64);
        let corner = (z * up + y) * across + x;
        let line = |from: usize| {
            let (a, b) = (f64::from(self.distances[from]), f64::from(self.distances[from + 1]));
            a + (b - a) * u
        };
        let face = |from: usize| {
            let (a, b) = (line(from), line(from + across));
            a + (b - a) * v
        };
        let (a, b) = (face(corner), face(corner + across * up));
        let distance = a + (b - a) * w;
        // Between corners the true distance may be less by the bend of the body, which is small beside this.
        (distance > NEAR * self.cell).then_some(0.97 * distance)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::material::CARD;
    use crate::space::distance;
    use crate::trace::Surface;

    struct Ring;

    impl Shape for Ring {
        fn bounds(&self) -> Bounds {
            Bounds::around(v3(0.1, 1.0, -0.2), v3(0.22, 0.04, 0.22))
        }
        fn distance(&self, p: Vec3, _: f64) -> f64 {
            distance::ring(p - v3(0.1, 1.0, -0.2), 0.18, 0.03)
        }
        fn surface(&self, _: Vec3, normal: Vec3, _: f64) -> Surface {
            Surface::of(CARD, normal)
        }
    }

    #[test]
    fn far_distances_are_those_of_the_body_and_never_more() {
        let grid = Grid::of(&Ring, 0.0);
        let mut asked = 0;
        for at in 0..8000_u64 {
            let part = |number: u64| (crate::space::hash(3, 3 * at + number) >> 40) as f64 / (1_u64 << 24) as f64;
            let p = v3(0.1, 1.0, -0.2) + v3(part(0) - 0.5, part(1) - 0.5, part(2) - 0.5) * 0.7;
            let own = Ring.distance(p, 0.0);
            if let Some(found) = grid.distance(p) {
                asked += 1;
                assert!(found <= own + 1e-6 && found > 0.9 * own - 0.002, "{found} for {own}");
            }
        }
        assert!(asked > 1000, "{asked}");
        assert!(grid.distance(v3(9.0, 0.0, 0.0)).is_none());
        assert!(grid.distance(v3(0.28, 1.0, -0.2)).is_none(), "inside the ring");
    }
}
