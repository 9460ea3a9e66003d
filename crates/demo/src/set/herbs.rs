//! A pine crate of herbs: parsley, basil, sage, and chives in flower.

use super::look::Look;
use super::{FOOT, Prop};
use crate::geometry::{Area, Point, at, chance, mix, segment, smooth, uneven};
use crate::material::{BLACK, FLOWER, IRON, LEAF, LEAF_BLUE, LEAF_YOUNG, Material, PINE, PINE_DARK};
use std::f64::consts::TAU;

const HALF: f64 = 1.42;
const BOARDS: f64 = 1.02;
/// How far the herbs rise over the crate.
const GROWTH: f64 = 1.0;
const CELL: f64 = 0.17;

/// A crate on the bench.
pub struct Herbs {
    foot: Point,
}

/// One herb of the three: its material, and the length and width of its leaves.
struct Kind {
    material: Material,
    length: f64,
    width: f64,
}

impl Herbs {
    /// Standing with its middle at `x`.
    pub fn standing(x: f64) -> Self {
        Self { foot: at(x, FOOT + 0.10) }
    }

    /// Height of the herbs' outline over the crate's upper edge.
    fn crown(x: f64) -> f64 {
        let dome = (1.0 - (x / (HALF + 0.12)).powi(2)).max(0.0).sqrt();
        dome * (0.55 + 0.30 * uneven(101, at(x * 1.6 + 3.0, 0.5)) + 0.12 * uneven(102, at(x * 6.0, 0.5)))
    }

    fn kind(x: f64, luck: f64) -> Kind {
        let place = x + 0.35 * (luck - 0.5);
        if place < -0.45 {
            Kind { material: LEAF, length: 0.13, width: 0.075 }
        } else if place < 0.5 {
            Kind { material: LEAF_YOUNG, length: 0.19, width: 0.115 }
        } else {
            Kind { material: LEAF_BLUE, length: 0.21, width: 0.062 }
        }
    }

    /// The uppermost leaf at a point, crate's upper edge at y = 0.
    fn leaf(q: Point) -> Option<Look> {
        let (column, row) = ((q.x / CELL).floor() as i64, (q.y / CELL).floor() as i64);
        let mut best: Option<(f64, Look)> = None;
        for (i, j) in (-2..=2).flat_map(|i| (-2..=2).map(move |j| (column + i, row + j))) {
            for layer in 0..2_u64 {
                let luck = |what: u64| chance(110 + 10 * layer + what, i, j);
                let order = luck(0);
                if best.as_ref().is_some_and(|(top, _)| *top > order) {
                    continue;
                }
                let centre = at((i as f64 + luck(1)) * CELL, (j as f64 + luck(2)) * CELL);
                if centre.y < -Self::crown(centre.x) || centre.y > 0.12 {
                    continue;
                }
                if let Some(look) = Self::blade(q.from(centre), centre, order, [luck(3), luck(4), luck(5)]) {
                    best = Some((order, look));
                }
            }
        }
        best.map(|(_, look)| look)
    }

    /// One leaf about the origin.
    fn blade(q: Point, centre: Point, order: f64, luck: [f64; 3]) -> Option<Look> {
        let kind = Self::kind(centre.x, luck[0]);
        // Leaves point up and outwards, with some freedom.
        let angle = -TAU / 4.0 + 0.55 * centre.x + 2.4 * (luck[1] - 0.5);
        let local = q.turned(-angle);
        let along = local.x / kind.length;
        let half = kind.width * (1.0 - along * along).max(0.0) * (1.0 - 0.25 * along);
        if along.abs() >= 1.0 || local.y.abs() > half {
            return None;
        }
        let across = local.y / half.max(1e-6);
        let fold = 0.45 * across.signum() * (1.0 - across.abs() * 0.5);
        let tilt = at(0.25 * along, fold + 0.5 * (luck[2] - 0.5)).turned(angle);
        let vein = smooth(0.16, 0.0, across.abs());
        let open = mix(0.30, 1.0, order * order)
            * mix(0.55, 1.0, smooth(0.1, -0.5, centre.y))
            * (1.0 - 0.25 * across.abs().powi(4));
        let look = Look::of(kind.material).mixed(LEAF_YOUNG, 0.35 * vein + 0.25 * luck[0]);
        Some(look.facing([tilt.x, tilt.y - 0.25, 1.0]).open(open).glossy(0.03, 14.0))
    }

    /// Chives: thin stalks with round flowers, behind the leaves.
    fn chives(q: Point) -> Option<Look> {
        for stalk in 0..7_i64 {
            let luck = |what: u64| chance(150 + what, stalk, 0);
            let root = at(-0.95 + 0.30 * stalk as f64 + 0.12 * luck(0), 0.0);
            let tip = at(root.x + 0.5 * (luck(1) - 0.5), -0.78 - 0.20 * luck(2));
            let c = q.from(tip);
            let size = 0.085 + 0.03 * luck(3);
            let distance = c.length() / size;
            let petals = 0.80 + 0.20 * (c.y.atan2(c.x) * 11.0).sin() * distance;
            if distance < petals {
                let tuft = chance(160, (c.x * 70.0) as i64, (c.y * 70.0) as i64);
                return Some(Look::of(FLOWER).facing([c.x / size, c.y / size, 1.0]).open(mix(0.55, 1.0, tuft)));
            }
            if segment(q, root, tip) < 0.016 {
                return Some(Look::of(LEAF_YOUNG).open(0.7));
            }
        }
        None
    }

    /// The crate's front: three boards between two posts.
    fn boards(q: Point) -> Look {
        let post = q.x.abs() > HALF - 0.17;
        let pitch = BOARDS / 3.0;
        let board = (q.y / pitch).floor();
        let inside = q.y - board * pitch;
        if !post && inside > pitch - 0.045 {
            return Look::of(BLACK);
        }
        let (along, across) = if post { (q.y, q.x) } else { (q.x + 9.0 * board, q.y) };
        let bend = 0.3 * uneven(171, at(along * 0.9, across * 2.0));
        let lines = uneven(172, at(along * 0.6, (across + bend) * 16.0));
        let wood = Look::of(PINE).mixed(PINE_DARK, smooth(0.35, 0.85, lines));
        let nail = at(q.x.abs() - (HALF - 0.085), inside - pitch * 0.45).length();
        if post && nail < 0.022 {
            return Look::of(IRON).glossy(0.2, 20.0);
        }
        let edge = if post {
            1.0
        } else {
            mix(0.7, 1.0, smooth(0.0, 0.05, inside)) * mix(0.6, 1.0, smooth(HALF - 0.17, HALF - 0.26, q.x.abs()))
        };
        wood.open(edge).glossy(0.02, 8.0)
    }
}

impl Prop for Herbs {
    fn area(&self) -> Area {
        Area::new(
            self.foot.x - HALF - 0.3,
            self.foot.y - BOARDS - GROWTH - 0.15,
            2.0 * HALF + 0.6,
            BOARDS + GROWTH + 0.16,
        )
    }

    fn look(&self, p: Point, _: f64) -> Option<Look> {
        let q = p.from(at(self.foot.x, self.foot.y - BOARDS));
        if q.y > 0.0 && q.x.abs() < HALF && q.y < BOARDS {
            // A few leaves hang over the edge.
            return if q.y < 0.14 { Self::leaf(q) } else { None }.or_else(|| Some(Self::boards(q)));
        }
        if q.y >= BOARDS {
            return None;
        }
        Self::leaf(q).or_else(|| {
            let deep = -q.y < Self::crown(q.x) - 0.10 && q.y < 0.0;
            if deep { Some(Look::of(LEAF).open(0.16)) } else { Self::chives(q) }
        })
    }

    fn outline(&self, p: Point, _: f64) -> f64 {
        let q = p.from(at(self.foot.x, self.foot.y - BOARDS));
        if q.y > -0.05 {
            (q.x.abs() - HALF).max(q.y - BOARDS)
        } else {
            (-Self::crown(q.x) - q.y).max(q.x.abs() - HALF) * 0.8
        }
    }
    fn depth(&self) -> f64 {
        0.55
    }
    fn footing(&self) -> Option<(f64, f64)> {
        Some((self.foot.x, HALF))
    }
}
