//! Leaves and stalks, sorted into a grid of cells so that a ray asks only the few that are near.

use crate::space::Leg as _;
use crate::space::{Bounds, Vec3, mix, v3};

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
    fn reach(&self) -> f64 {
        self.half.most() + self.bend.abs() * self.half.x * self.half.x + self.cup.abs() * self.half.y * self.half.y
    }
}

/// A part with what its distance needs, reckoned once.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Ready {
    part: Part,
    across: Vec3,
    inverse: [f64; 2],
    reach: f64,
    stalk: bool,
}

impl Ready {
    fn of(part: &Part) -> Self {
        let half = part.half;
        let inverse = [1.0 / half.x, 1.0 / half.y];
        let stalk = half.y == half.z;
        Self { part: *part, across: part.up.cross(part.along), inverse, reach: part.reach(), stalk }
    }

    /// A point along the leaf, across and above it, from its bent middle plane.
    fn own(&self, q: Vec3) -> Vec3 {
        let (d, half) = (q - self.part.middle, self.part.half);
        let (u, v) = (d.dot(self.part.along), d.dot(self.across));
        let (along, across) = (u.clamp(-half.x, half.x), v.clamp(-half.y, half.y));
        v3(u, v, d.dot(self.part.up) + self.part.bend * along * along - self.part.cup * across * across)
    }

    fn distance(&self, q: Vec3) -> f64 {
        let (own, half) = (self.own(q), self.part.half);
        if self.stalk {
            return v3((own.x.abs() - half.x + half.y).max(0.0), own.y, own.z).length() - half.y;
        }
        // A sheet with an ellipse for its outline and a round rim. Bending stretches space, and that is taken off.
        let (u, v) = (own.x * self.inverse[0], own.y * self.inverse[1]);
        let (from, slope) = (u.leg(v), (u * self.inverse[0]).leg(v * self.inverse[1]));
        let beyond = if from > 0.3 { from * (from - 1.0) / slope } else { -half.z };
        STRETCH * ((beyond + half.z).max(0.0).leg(own.z) - half.z)
    }
}

/// What is taken off a leaf's distance because its bend stretches space.
const STRETCH: f64 = 0.8;
/// Side of a cell in metres.
const CELL: f64 = 0.006;
/// Half a cell's diagonal.
const HALF_DIAGONAL: f64 = CELL * 0.866_026;
/// Up to this distance a leaf is known in a cell.
const KNOWN: f64 = 0.018;
/// What lines between the cells' middles may be wrong by, beside a fifth of the distance: far off, the leaf that is handed
/// on need not be the nearest.
const SLACK: f64 = 0.0008;

/// Many leaves in their grid.
#[derive(Debug, Clone, PartialEq)]
pub struct Leaves {
    parts: Vec<Ready>,
    bounds: Bounds,
    counts: [usize; 3],
    /// For each cell the distance of its middle from the leaves.
    least: Vec<f64>,
    /// For each cell where the leaves that may be the nearest in it begin and end.
    cells: Vec<[u32; 2]>,
    members: Vec<u32>,
}

impl Leaves {
    /// Sorts them.
    pub fn new(parts: &[Part]) -> Self {
        let parts: Vec<Ready> = parts.iter().map(Ready::of).collect();
        let around = |ready: &Ready| Bounds::around(ready.part.middle, v3(1.0, 1.0, 1.0) * ready.reach);
        let bounds = parts
            .iter()
            .map(around)
            .reduce(|all, one| all.with(&one))
            .unwrap_or(Bounds::around(v3(0.0, 0.0, 0.0), v3(0.0, 0.0, 0.0)));
        let extent = bounds.half() * (2.0 / CELL);
        let counts = [extent.x, extent.y, extent.z].map(|cells| cells.ceil().max(1.0) as usize);
        let mut near: Vec<Vec<(f64, u32)>> = vec![Vec::new(); counts.iter().product()];
        for (number, ready) in parts.iter().enumerate() {
            let (middle, reach) = (ready.part.middle, ready.reach + KNOWN);
            let range = |middle: f64, least: f64, count: usize| {
                let first = ((middle - reach - least) / CELL).floor().max(0.0) as usize;
                let last = ((middle + reach - least) / CELL).ceil().max(0.0) as usize;
                first..last.min(count)
            };
            for k in range(middle.z, bounds.least.z, counts[2]) {
                for j in range(middle.y, bounds.least.y, counts[1]) {
                    for i in range(middle.x, bounds.least.x, counts[0]) {
                        let place = bounds.least + v3(i as f64 + 0.5, j as f64 + 0.5, k as f64 + 0.5) * CELL;
                        let away = ready.distance(place);
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
        let (mut least, mut nearest) = (Vec::with_capacity(near.len()), Vec::with_capacity(near.len()));
        for mut cell in near {
            cell.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
            let (away, first) = cell.first().map_or((f64::INFINITY, None), |first| (first.0, Some(first.1)));
            let begin = members.len() as u32;
            // A leaf that is further from the middle than this is nowhere in the cell the nearest.
            let enough = away.max(0.0) + 2.0 * HALF_DIAGONAL;
            if away < 1.6 * HALF_DIAGONAL {
                members.extend(cell.iter().take_while(|(away, _)| *away < enough).map(|(_, number)| *number));
            }
            cells.push([begin, members.len() as u32]);
            least.push(away);
            nearest.push(first);
        }
        spread(&parts, bounds.least, counts, &mut least, &mut nearest);
        Self { parts, bounds, counts, least, cells, members }
    }

    /// A box that holds them.
    pub fn bounds(&self) -> Bounds {
        self.bounds
    }

    /// The leaves that may be the nearest to a point within the bounds; none where all are some way off.
    fn members(&self, q: Vec3) -> &[u32] {
        let at = (q - self.bounds.least) * (1.0 / CELL);
        let clamped = |value: f64, count: usize| (value.max(0.0) as usize).min(count - 1);
        let [i, j, k] = [clamped(at.x, self.counts[0]), clamped(at.y, self.counts[1]), clamped(at.z, self.counts[2])];
        let [begin, end] = self.cells.get((k * self.counts[1] + j) * self.counts[0] + i).copied().unwrap_or([0, 0]);
        self.members.get(begin as usize..end as usize).unwrap_or(&[])
    }

    /// The distance between the cells' middles, by straight lines.
    fn between(&self, q: Vec3) -> f64 {
        let at = (q - self.bounds.least) * (1.0 / CELL) - v3(0.5, 0.5, 0.5);
        let split = |value: f64, count: usize| {
            let value = value.clamp(0.0, (count - 1) as f64);
            let first = (value as usize).min(count.saturating_sub(2));
            (first, value - first as f64)
        };
        let (i, u) = split(at.x, self.counts[0]);
        let (j, v) = split(at.y, self.counts[1]);
        let (k, w) = split(at.z, self.counts[2]);
        let (row, sheet) = (self.counts[0], self.counts[0] * self.counts[1]);
        let first = k * sheet + j * row + i;
        let value = |at: usize| self.least.get(at).copied().unwrap_or(0.0);
        let line = |at: usize| mix(value(at), value(at + 1), u);
        mix(mix(line(first), line(first + row), v), mix(line(first + sheet), line(first + sheet + row), v), w)
    }

    /// Distance of a point, or a lower bound of it.
    pub fn distance(&self, q: Vec3) -> f64 {
        let (half, from) = (self.bounds.half(), q - self.bounds.centre());
        let inside = v3(from.x.clamp(-half.x, half.x), from.y.clamp(-half.y, half.y), from.z.clamp(-half.z, half.z));
        let (outside, held) = ((from - inside).length(), inside + self.bounds.centre());
        let members = self.members(held);
        if outside > 0.0 || members.is_empty() {
            // From outside a box, what is in it is seen at a right angle or a wider one.
            return outside.leg((0.8 * self.between(held) - SLACK).max(0.0)).max(SLACK);
        }
        let parts = members.iter().filter_map(|number| self.parts.get(*number as usize));
        parts.fold(KNOWN, |near, ready| {
            let d = q - ready.part.middle;
            let reach = ready.reach + near;
            if d.dot(d) > reach * reach { near } else { near.min(ready.distance(q)) }
        })
    }

    /// The nearest leaf at a point: its distance, what it belongs to, its own number 0..1, and where on it the point is,
    /// along and across in half extents; none where no leaf is near.
    pub fn at(&self, q: Vec3) -> Option<(f64, Kind, f64, [f64; 2])> {
        let parts = self.members(q).iter().filter_map(|number| self.parts.get(*number as usize));
        let (near, ready) = parts.map(|ready| (ready.distance(q), ready)).min_by(|a, b| a.0.total_cmp(&b.0))?;
        let (own, part) = (ready.own(q), &ready.part);
        Some((near, part.kind, part.seed, [own.x / part.half.x, own.y / part.half.y]))
    }
}

/// Gives the cells that no leaf is known in the distance of a leaf that is known in a cell beside them.
fn spread(parts: &[Ready], corner: Vec3, counts: [usize; 3], least: &mut [f64], nearest: &mut [Option<u32>]) {
    let [across, up, deep] = counts;
    let steps = [1, across, across * up];
    let known: Vec<bool> = nearest.iter().map(Option::is_some).collect();
    for pass in 0..4 {
        for turn in 0..across * up * deep {
            let cell = if pass % 2 == 0 { turn } else { across * up * deep - 1 - turn };
            if known[cell] {
                continue;
            }
            let at = [cell % across, cell / across % up, cell / (across * up)];
            let place = corner + v3(at[0] as f64 + 0.5, at[1] as f64 + 0.5, at[2] as f64 + 0.5) * CELL;
            for axis in 0..3 {
                let beside = if pass % 2 == 0 {
                    (at[axis] > 0).then(|| cell - steps[axis])
                } else {
                    (at[axis] + 1 < counts[axis]).then(|| cell + steps[axis])
                };
                let Some(number) = beside.and_then(|beside| nearest[beside]) else { continue };
                let away = parts[number as usize].distance(place);
                if away < least[cell] {
                    (least[cell], nearest[cell]) = (away, Some(number));
                }
            }
        }
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
            // The room itself, without what is taken off for the bend.
            let room = |ready: Ready| ready.distance(q) / if ready.stalk { 1.0 } else { STRETCH };
            let nearest = parts.iter().map(|part| room(Ready::of(part))).fold(f64::INFINITY, f64::min);
            assert!(leaves.distance(q) <= nearest.max(0.0) + 1e-3, "{q:?}: {} beside {nearest}", leaves.distance(q));
        }
    }
}
