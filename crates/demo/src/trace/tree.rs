//! The bodies' boxes as a tree, so that a ray asks those alone that it comes near.

use crate::space::{Bounds, Ray, Vec3};

/// A node: a box, and either one body or two nodes.
#[derive(Debug, Clone, Copy)]
struct Node {
    bounds: Bounds,
    /// The ball about the box.
    centre: Vec3,
    radius: f64,
    inside: Inside,
}

#[derive(Debug, Clone, Copy)]
enum Inside {
    Body(u32),
    Nodes(u32, u32),
}

/// The tree. Bodies keep their numbers.
#[derive(Debug, Clone)]
pub struct Tree {
    nodes: Vec<Node>,
    root: Option<u32>,
}

/// Nodes that wait, at the most: a tree of halves of 2^31 bodies is not deeper.
const WAITING: usize = 40;

impl Tree {
    /// Of these boxes, of which each has its body's number.
    pub fn of(mut boxes: Vec<(u32, Bounds)>) -> Self {
        let mut tree = Self { nodes: Vec::with_capacity(boxes.len() * 2), root: None };
        if !boxes.is_empty() {
            tree.root = Some(tree.grow(&mut boxes));
        }
        tree
    }

    fn grow(&mut self, boxes: &mut [(u32, Bounds)]) -> u32 {
        let bounds = boxes.iter().skip(1).fold(boxes[0].1, |all, (_, bounds)| all.with(bounds));
        let inside = if let [(body, _)] = boxes {
            Inside::Body(*body)
        } else {
            let half = bounds.half();
            let key = |bounds: &Bounds| {
                let centre = bounds.centre();
                if half.x >= half.y && half.x >= half.z {
                    centre.x
                } else if half.y >= half.z {
                    centre.y
                } else {
                    centre.z
                }
            };
            boxes.sort_by(|(_, a), (_, b)| key(a).total_cmp(&key(b)));
            let (lower, upper) = boxes.split_at_mut(boxes.len() / 2);
            Inside::Nodes(self.grow(lower), self.grow(upper))
        };
        self.nodes.push(Node { bounds, centre: bounds.centre(), radius: bounds.half().length(), inside });
        (self.nodes.len() - 1) as u32
    }

    /// Calls `body` for each body whose box the ray may enter before `limit` metres, with where the box begins and ends;
    /// the answer is the new limit.
    pub fn along(&self, ray: &Ray, mut limit: f64, mut body: impl FnMut(u32, f64, f64, f64) -> f64) {
        let steps = ray.steps();
        let enter = |node: u32| self.nodes[node as usize].bounds.span(ray, steps);
        let mut waiting = [(0_u32, 0.0_f64, 0.0_f64); WAITING];
        let mut count = 0;
        if let Some(root) = self.root
            && let Some((near, far)) = enter(root)
        {
            waiting[0] = (root, near, far);
            count = 1;
        }
        while count > 0 {
            count -= 1;
            let (node, near, far) = waiting[count];
            if near >= limit {
                continue;
            }
            match self.nodes[node as usize].inside {
                Inside::Body(number) => limit = body(number, near, far, limit),
                Inside::Nodes(one, other) => {
                    let mut both = [(one, enter(one)), (other, enter(other))];
                    // The nearer one is taken first, so it waits on top.
                    let begins = |span: Option<(f64, f64)>| span.map_or(f64::INFINITY, |(near, _)| near);
                    if begins(both[0].1) < begins(both[1].1) {
                        both.swap(0, 1);
                    }
                    for (node, span) in both {
                        if let Some((near, far)) = span {
                            waiting[count] = (node, near, far);
                            count += 1;
                        }
                    }
                }
            }
        }
    }

    /// Calls `body` for each body that a cone about the ray may touch before `limit` metres, with where it may begin and
    /// end; the answer is the new limit. `wide` is half the cone's width over the way to it.
    pub fn within(&self, ray: &Ray, wide: f64, mut limit: f64, mut body: impl FnMut(u32, f64, f64, f64) -> f64) {
        let steps = ray.steps();
        let mut waiting = [0_u32; WAITING];
        let mut count = 0;
        if let Some(root) = self.root {
            waiting[0] = root;
            count = 1;
        }
        while count > 0 && limit > 0.0 {
            count -= 1;
            let node = &self.nodes[waiting[count] as usize];
            // The ball about the box against the cone: neither a root nor a division for most.
            let way = node.centre - ray.from;
            let along = way.dot(ray.towards);
            let margin = wide * (along + node.radius).clamp(0.0, limit);
            let reach = node.radius + margin;
            if along < -node.radius || along - node.radius > limit || way.dot(way) - along * along > reach * reach {
                continue;
            }
            match node.inside {
                Inside::Body(number) => {
                    if let Some((near, far)) = node.bounds.grown(margin).span(ray, steps) {
                        limit = body(number, near, far, limit);
                    }
                }
                Inside::Nodes(one, other) => {
                    waiting[count] = one;
                    waiting[count + 1] = other;
                    count += 2;
                }
            }
        }
    }

    /// Calls `body` for each body whose box is nearer to a point than `limit` metres; the answer is the new limit.
    pub fn around(&self, p: Vec3, mut limit: f64, mut body: impl FnMut(u32, f64) -> f64) {
        let mut waiting = [0_u32; WAITING];
        let mut count = 0;
        if let Some(root) = self.root {
            waiting[0] = root;
            count = 1;
        }
        while count > 0 && limit > 0.0 {
            count -= 1;
            let node = &self.nodes[waiting[count] as usize];
            if node.bounds.squared_distance(p) >= limit * limit {
                continue;
            }
            match node.inside {
                Inside::Body(number) => limit = body(number, limit),
                Inside::Nodes(one, other) => {
                    waiting[count] = one;
                    waiting[count + 1] = other;
                    count += 2;
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::space::{hash, v3};

    fn boxes() -> Vec<(u32, Bounds)> {
        let part = |number: u64| (hash(5, number) >> 40) as f64 / (1_u64 << 24) as f64;
        let one = |body: u64| {
            let centre = v3(part(6 * body) * 4.0, part(6 * body + 1) * 4.0, part(6 * body + 2) * 4.0);
            let half = v3(part(6 * body + 3) * 0.4, part(6 * body + 4) * 0.4, part(6 * body + 5) * 0.4);
            (body as u32, Bounds::around(centre, half))
        };
        (0..57).map(one).collect()
    }

    #[test]
    fn finds_what_a_search_of_all_finds() {
        let tree = Tree::of(boxes());
        for at in 0..60 {
            let turn = f64::from(at) * 0.7;
            let ray = Ray {
                from: v3(2.0 + turn.cos(), -1.0, 2.0),
                towards: v3(turn.sin() * 0.4, 1.0, turn.cos() * 0.6).unit(),
            };
            let mut found = Vec::new();
            tree.along(&ray, f64::INFINITY, |body, _, _, limit| {
                found.push(body);
                limit
            });
            found.sort_unstable();
            let all: Vec<u32> = boxes()
                .into_iter()
                .filter(|(_, bounds)| bounds.span(&ray, ray.steps()).is_some())
                .map(|(body, _)| body)
                .collect();
            assert_eq!(found, all);
            // A cone of no width is the ray; a wider one misses none of those.
            for wide in [0.0, 0.2] {
                let mut touched = Vec::new();
                tree.within(&ray, wide, 50.0, |body, _, _, limit| {
                    touched.push(body);
                    limit
                });
                assert!(all.iter().all(|body| touched.contains(body)), "{wide}");
                assert!(wide > 0.0 || touched.len() == all.len());
            }
            let mut near = Vec::new();
            tree.around(ray.at(2.0), 0.5, |body, limit| {
                near.push(body);
                limit
            });
            near.sort_unstable();
            let all: Vec<u32> =
                boxes().into_iter().filter(|(_, of)| of.distance(ray.at(2.0)) < 0.5).map(|(body, _)| body).collect();
            assert_eq!(near, all);
        }
    }

    #[test]
    fn none_is_none() {
        let tree = Tree::of(Vec::new());
        let ray = Ray { from: v3(0.0, 0.0, 0.0), towards: v3(0.0, 0.0, 1.0) };
        tree.along(&ray, f64::INFINITY, |_, _, _, _| panic!("there is no body"));
        tree.within(&ray, 0.1, 9.0, |_, _, _, _| panic!("there is no body"));
        tree.around(ray.from, 1.0, |_, _| panic!("there is no body"));
    }
}
