//! Leaves and stalks, sorted into a grid of cells so that a ray asks only the few that are near.

use crate::space::{Bounds, Vec3, distance, v3};

/// What a part belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Small parts of a divided leaf, dark green.
    Parsley,
    /// Long oval leaves, grey green.
    Sage,
    /// Broad cupped leaves, light green.
    Basil,
    /// Thin upright stalks.
    Chive,
    /// Tufts of lilac petals.
    Flower,
}

/// A leaf: a thin ellipsoid that bends down along its length; or a stalk, where its axes are all alike thin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    /// What it belongs to.
    pub kind: Kind,
    /// Its middle.
    pub middle: Vec3,
    /// Along it, of length 1.
    pub along: Vec3,
    /// Its upper side, of length 1.
    pub up: Vec3,
    /// Half its length, width and thickness in metres.
    pub half: Vec3,
    /// How much it bends down: metres a square metre.
    pub bend: f64,
    /// How its sides are cupped, likewise.
    pub cup: f64,
    /// 0..1, its own.
    pub seed: f64,
}

impl Part {
    fn own(&self, q: Vec3) -> Vec3 {
        let d = q - self.middle;
        let across = self.up.cross(self.along);
        let (u, v) = (d.dot(self.along), d.dot(across));
        v3(u, v, d.dot(self.up) + self.bend * u * u - self.cup * v * v)
    }

    fn distance(&self, q: Vec3) -> f64 {
        // Bending stretches space; what it stretches it by is taken off.
        0.75 * distance::ellipsoid(self.own(q), self.half)
    }

    fn reach(&self) -> f64 {
        self.half.most() + self.bend.abs() * self.half.x * self.half.x + self.cup.abs() * self.half.y * self.half.y
    }
}

/// Side of a cell in metres.
const CELL: f64 = 0.008;
/// Half a cell's diagonal.
const HALF_DIAGONAL: f64 = CELL * 0.866_026;
/// Up to this distance a leaf is known in a cell.
const KNOWN: f64 = 0.02;

/// Many leaves in their grid.
#[derive(Debug, Clone, PartialEq)]
pub struct Leaves {
    parts: Vec<Part>,
    bounds: Bounds,
    counts: [usize; 3],
    /// For each cell the least distance from its middle, no more than [`KNOWN`], and where its leaves begin and end.
    cells: Vec<(f64, u32, u32)>,
    members: Vec<u32>,
}

impl Leaves {
    /// Sorts them.
    pub fn new(parts: &[Part]) -> Self {
        let around = |part: &Part| Bounds::around(part.middle, v3(1.0, 1.0, 1.0) * part.reach());
        let bounds = parts
            .iter()
            .map(around)
            .reduce(|all, one| all.with(&one))
            .unwrap_or(Bounds::around(v3(0.0, 0.0, 0.0), v3(0.0, 0.0, 0.0)));
        let extent = bounds.half() * (2.0 / CELL);
        let counts = [extent.x, extent.y, extent.z].map(|cells| cells.ceil().max(1.0) as usize);
        let mut near: Vec<Vec<(f64, u32)>> = vec![Vec::new(); counts.iter().product()];
        for (number, part) in parts.iter().enumerate() {
            let reach = part.reach() + KNOWN;
            let range = |middle: f64, least: f64, count: usize| {
                let first = ((middle - reach - least) / CELL).floor().max(0.0) as usize;
                let last = ((middle + reach - least) / CELL).ceil().max(0.0) as usize;
                first..last.min(count)
            };
            for k in range(part.middle.z, bounds.least.z, counts[2]) {
                for j in range(part.middle.y, bounds.least.y, counts[1]) {
                    for i in range(part.middle.x, bounds.least.x, counts[0]) {
                        let place = bounds.least + v3(i as f64 + 0.5, j as f64 + 0.5, k as f64 + 0.5) * CELL;
                        let away = part.distance(place);
                        if away < KNOWN
                            && let Some(cell) = near.get_mut((k * counts[1] + j) * counts[0] + i)
                        {
                            cell.push((away, number as u32));
                        }
                    }
                }
            }
        }
        let (mut cells, mut members) = (Vec::with_capacity(near.len()), Vec::new());
        for mut cell in near {
            cell.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            let least = cell.first().map_or(KNOWN, |first| first.0);
            let begin = members.len() as u32;
            // A leaf that is further from the middle than this is nowhere in the cell the nearest.
            let enough = least.max(0.0) + 2.0 * HALF_DIAGONAL;
            if least < 1.6 * HALF_DIAGONAL {
                members.extend(cell.iter().take_while(|(away, _)| *away < enough).map(|(_, number)| *number));
            }
            cells.push((least, begin, members.len() as u32));
        }
        Self { parts: parts.to_vec(), bounds, counts, cells, members }
    }

    /// A box that holds them.
    pub fn bounds(&self) -> Bounds {
        self.bounds
    }

    fn cell(&self, q: Vec3) -> (Vec3, f64, &[u32]) {
        let at = (q - self.bounds.least) * (1.0 / CELL);
        let clamped = |value: f64, count: usize| (value.max(0.0) as usize).min(count - 1);
        let [i, j, k] = [clamped(at.x, self.counts[0]), clamped(at.y, self.counts[1]), clamped(at.z, self.counts[2])];
        let middle = self.bounds.least + v3(i as f64 + 0.5, j as f64 + 0.5, k as f64 + 0.5) * CELL;
        let Some(&(least, begin, end)) = self.cells.get((k * self.counts[1] + j) * self.counts[0] + i) else {
            return (middle, KNOWN, &[]);
        };
        (middle, least, self.members.get(begin as usize..end as usize).unwrap_or(&[]))
    }

    /// Distance of a point, or a lower bound of it.
    pub fn distance(&self, q: Vec3) -> f64 {
        let outside = self.bounds.distance(q);
        if outside > CELL {
            return outside;
        }
        let (middle, least, members) = self.cell(q);
        if members.is_empty() {
            return (least - (q - middle).length()).max(0.0005);
        }
        let limit = KNOWN - HALF_DIAGONAL;
        members.iter().filter_map(|number| self.parts.get(*number as usize)).fold(limit, |near, part| {
            let d = q - part.middle;
            let reach = part.reach() + near;
            if d.dot(d) > reach * reach { near } else { near.min(part.distance(q)) }
        })
    }

    /// The nearest leaf at a point: its distance, what it belongs to, its own number 0..1, and where on it the point is,
    /// along and across in half extents; none where no leaf is near.
    pub fn at(&self, q: Vec3) -> Option<(f64, Kind, f64, [f64; 2])> {
        let (_, _, members) = self.cell(q);
        let parts = members.iter().filter_map(|number| self.parts.get(*number as usize));
        let (near, part) = parts.map(|part| (part.distance(q), part)).min_by(|a, b| a.0.total_cmp(&b.0))?;
        let own = part.own(q);
        Some((near, part.kind, part.seed, [own.x / part.half.x, own.y / part.half.y]))
    }
}

#[cfg(test)]
mod tests {
    use super::super::plant;
    use super::*;
    use crate::space::chance;

    #[test]
    fn the_grid_never_promises_more_room_than_all_leaves_leave() {
        let parts = plant::all();
        let leaves = Leaves::new(&parts);
        let bounds = leaves.bounds();
        for at in 0..400 {
            let share = |which| chance(7, at, which, 0);
            let half = bounds.half();
            let q = bounds.centre()
                + v3(half.x * (2.0 * share(0) - 1.0), half.y * (2.0 * share(1) - 1.0), half.z * (2.0 * share(2) - 1.0));
            let nearest = parts.iter().map(|part| part.distance(q)).fold(f64::INFINITY, f64::min);
            assert!(leaves.distance(q) <= nearest.max(0.0) + 1e-3, "{q:?}: {} beside {nearest}", leaves.distance(q));
        }
    }
}
