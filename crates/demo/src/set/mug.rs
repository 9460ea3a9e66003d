//! A white enamel mug with a blue rim, and the steam over it.

use super::look::{Look, round, unit};
use super::{FOOT, Prop};
use crate::geometry::{Area, Point, at, ellipse, mix, rounded_box, smooth, uneven};
use crate::material::{ENAMEL, ENAMEL_RIM, IRON, OAK_DARK};

const HALF: f64 = 0.50;
const HEIGHT: f64 = 1.22;
const RIM: f64 = 0.10;

/// A mug on the bench, its handle to the right.
pub struct Mug {
    foot: Point,
}

impl Mug {
    /// Standing with its middle at `x`.
    pub fn standing(x: f64) -> Self {
        Self { foot: at(x, FOOT + 0.08) }
    }

    /// Signed distance from the body, foot at the origin.
    fn body(q: Point) -> f64 {
        // A little narrower at the foot, and round below as it is round above.
        let widen = 1.0 - 0.05 * (q.y / HEIGHT + 1.0);
        let sunk = at(q.x / widen, q.y + HEIGHT / 2.0 - 0.5 * RIM * (1.0 - (q.x / HALF).powi(2)).max(0.0));
        rounded_box(sunk, HALF, HEIGHT / 2.0, 0.06).min(Self::mouth(q))
    }

    fn mouth(q: Point) -> f64 {
        ellipse(q.from(at(0.0, -HEIGHT)), HALF, RIM)
    }

    /// Signed distance from the middle line of the handle.
    fn handle(q: Point) -> f64 {
        ellipse(q.from(at(0.48, -0.64)), 0.30, 0.34)
    }
}

impl Prop for Mug {
    fn area(&self) -> Area {
        Area::new(self.foot.x - 0.56, self.foot.y - HEIGHT - 0.14, 1.50, HEIGHT + 0.30)
    }

    fn look(&self, p: Point, _: f64) -> Option<Look> {
        let q = p.from(self.foot);
        let mouth = Self::mouth(q);
        if mouth.abs() < 0.022 {
            return Some(Look::of(ENAMEL_RIM).facing([q.x, -0.5, 0.7]).glossy(0.35, 60.0));
        }
        if mouth < 0.0 {
            // Looking in: the far wall, and coffee a finger below the rim.
            let coffee = ellipse(q.from(at(0.0, -HEIGHT + 0.055)), HALF * 0.93, RIM * 0.75) < 0.0;
            let inside = Look::of(if coffee { OAK_DARK } else { ENAMEL });
            return Some(if coffee {
                inside.open(0.3).facing([0.0, -0.9, 0.4]).glossy(0.03, 8.0)
            } else {
                inside.facing([-q.x, 0.3, 0.6]).open(0.55)
            });
        }
        if Self::body(q) < 0.0 {
            let across = (q.x / HALF).clamp(-0.99, 0.99);
            let normal = [across, 0.0, (1.0 - across * across).sqrt()];
            // Two chips where the iron shows.
            let chip = ellipse(q.from(at(-0.24, -0.06)), 0.07, 0.035).min(ellipse(
                q.from(at(0.31, -HEIGHT + 0.13)),
                0.035,
                0.025,
            ));
            if chip < 0.0 {
                return Some(Look::of(IRON).facing(normal));
            }
            let foot = mix(0.55, 1.0, smooth(0.0, 0.25, 0.06 - q.y));
            return Some(Look::of(ENAMEL).facing(normal).open(foot).glossy(2.2, 45.0));
        }
        let handle = Self::handle(q);
        if handle.abs() < 0.075 && q.x > 0.36 {
            let c = q.from(at(0.48, -0.64));
            let out = unit([c.x / 0.09, c.y / 0.116, 0.0]);
            let look = Look::of(ENAMEL).facing(round(handle / 0.075, out[0], out[1])).glossy(0.4, 50.0);
            return Some(look.open(mix(0.6, 1.0, smooth(0.36, 0.55, q.x))));
        }
        None
    }

    fn outline(&self, p: Point, _: f64) -> f64 {
        let q = p.from(self.foot);
        let body = rounded_box(q.from(at(0.0, -(HEIGHT + RIM) / 2.0)), HALF, (HEIGHT + RIM) / 2.0, 0.06);
        body.min(Self::handle(q).abs() - 0.075)
    }
    fn depth(&self) -> f64 {
        0.75
    }
    fn footing(&self) -> Option<(f64, f64)> {
        Some((self.foot.x, HALF))
    }
}

/// Steam rising from the mug.
pub struct Steam {
    source: Point,
}

impl Steam {
    /// Over the mug at `x`.
    pub fn over(x: f64) -> Self {
        Self { source: at(x, FOOT + 0.08 - HEIGHT) }
    }

    /// All that it ever covers.
    pub fn area(&self) -> Area {
        Area::new(self.source.x - 0.62, self.source.y - 1.75, 1.24, 1.78)
    }

    /// How much of what is behind it hides, 0..1.
    pub fn density(&self, p: Point, moment: f64) -> f64 {
        if !self.area().holds(p) {
            return 0.0;
        }
        let q = p.from(self.source);
        let height = -q.y;
        let life = smooth(-0.02, 0.18, height) * smooth(1.72, 0.5, height);
        let strand = |phase: f64, lean: f64| {
            let middle = lean * height + 0.13 * height * (3.4 * height - 2.1 * moment + phase).sin();
            let width = 0.07 + 0.13 * height;
            (-((q.x - middle) / width).powi(2)).exp()
        };
        let drift = uneven(61, at(q.x * 3.0 + 0.4 * moment, q.y * 2.2 + 1.3 * moment));
        let veil = 0.20 * strand(0.0, 0.10) + 0.15 * strand(2.2, -0.12);
        let edge = smooth(0.62, 0.40, q.x.abs());
        (veil * life * edge * (0.35 + 0.9 * drift)).clamp(0.0, 1.0)
    }
}
