//! The heads of the crew: the mate, light skinned, and the cook, dark skinned.
//!
//! `features` says what sets one apart from the other, `face` is the skin's form with `eye`, `nose`, `mouth` and `ear`,
//! `hair` and `cap` are what they wear, `neck` carries it, `paint` says what is seen where. All of that is in
//! millimetres in the head's own axes: origin between the ears at the height of the eyes; only [`Head`] knows metres.

mod cap;
mod ear;
mod eye;
mod face;
mod features;
mod form;
mod hair;
mod mouth;
mod neck;
mod nose;
mod paint;
#[cfg(test)]
mod tests;

use crate::space::{Bounds, Place, Vec3, distance, v3};
use crate::trace::{Shape, Surface};
use face::Face;
use form::{Egg, Limb};

/// Who it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Crew {
    /// The mate: light skin, a knitted cap, a short beard.
    Mate,
    /// The cook: dark skin, a kerchief, a moustache.
    Cook,
}

/// How a head is held, in radians; all 0 looks straight to the front of its place.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Pose {
    /// Plus looks down.
    pub nod: f64,
    /// Plus leans to +x.
    pub lean: f64,
    /// How far it turns to and fro within two seconds and a half, about its place's own turn; 0 is still.
    pub turns: f64,
}

/// Seconds in which a turning head has been to both sides.
const PERIOD: f64 = 2.5;
/// Metres of a head's millimetre: both are large, as their coats are wide.
const UNIT: f64 = 1.05e-3;
/// Where a head turns and nods, from the pit of the neck: the uppermost joint of the spine.
const JOINT: Vec3 = v3(0.0, 125.0, -5.0);
/// The middle between the ears, from that joint.
const MIDDLE: Vec3 = v3(0.0, 65.0, 18.0);
/// The box that holds the neck.
const NECK: Bounds = Bounds { least: v3(-75.0, -65.0, -95.0), most: v3(75.0, 120.0, 70.0) };
/// The middle of the box that holds a head with what it wears, and half its extent.
const BOX: [Vec3; 2] = [v3(0.0, 1.0, 2.0), v3(92.0, 134.0, 128.0)];
/// Half axes of an egg about the same middle that holds it too.
const EGG: Vec3 = v3(112.0, 160.0, 156.0);

/// What holds all of a head but its neck: three plain forms.
const HULL_SKULL: Egg = Egg::new(v3(1.0, 40.0, -12.0), v3(94.0, 99.0, 112.0));
const HULL_FACE: Limb = Limb::new(v3(0.0, 0.0, 30.0), v3(0.0, -88.0, 48.0), 80.0, 80.0);
const HULL_EARS: Limb = Limb::new(v3(-62.0, -10.0, -8.0), v3(62.0, -10.0, -8.0), 38.0, 38.0);
/// And the kerchief's knot.
const HULL_KNOT: Limb = Limb::new(v3(2.0, -14.0, -98.0), v3(2.0, -52.0, -98.0), 28.0, 28.0);

static MATE: Face = Face::of(&features::MATE);
static COOK: Face = Face::of(&features::COOK);

/// A head with its neck; its origin is the pit of the neck, its eyes 200 mm above. Facing +z.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Head {
    who: Crew,
    place: Place,
    pose: Pose,
    /// The body's axes in the scene: x, y and z.
    body: [Vec3; 3],
    /// The head's axes in the body, while it is not turned.
    held: [Vec3; 3],
    bounds: Bounds,
}

/// What a place of a head belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Part {
    Skin,
    Eye,
    Hair,
    Cap,
}

/// A vector by its shares of three axes.
fn along(axes: &[Vec3; 3], v: Vec3) -> Vec3 {
    axes[0] * v.x + axes[1] * v.y + axes[2] * v.z
}

/// A vector's shares of three axes of length 1.
fn shares(axes: &[Vec3; 3], v: Vec3) -> Vec3 {
    v3(axes[0].dot(v), axes[1].dot(v), axes[2].dot(v))
}

impl Head {
    /// A person's, on its neck.
    pub fn new(who: Crew, place: Place, pose: Pose) -> Self {
        let axes = [v3(1.0, 0.0, 0.0), v3(0.0, 1.0, 0.0), v3(0.0, 0.0, 1.0)];
        let body = axes.map(|axis| axis.turned_y(place.turned));
        let held = axes.map(|axis| axis.turned_x(pose.nod).turned_z(-pose.lean));
        let nowhere = Bounds { least: place.at, most: place.at };
        let head = Self { who, place, pose, body, held, bounds: nowhere };
        Self { bounds: head.held_within(), ..head }
    }

    /// A plain place of skin on the cheek of the side of +x (`side` 1) or -x (-1) of the face, at moment 0, for a mark.
    pub fn cheek(&self, side: f64) -> Vec3 {
        let p = paint::plain_cheek(self.face(), if side > 0.0 { 1.0 } else { -1.0 });
        self.outward(p, 0.0)
    }

    /// Half the width of a mark on a cheek, in metres.
    pub const CHEEK_HALF: f64 = 0.008;

    fn face(&self) -> &'static Face {
        match self.who {
            Crew::Mate => &MATE,
            Crew::Cook => &COOK,
        }
    }

    /// The box of the scene that holds neck and head, however it is turned.
    fn held_within(&self) -> Bounds {
        let neck = self.place.bounds(&Bounds { least: NECK.least * UNIT, most: NECK.most * UNIT });
        [-1.0_f64, -0.5, 0.0, 0.5, 1.0].into_iter().fold(neck, |held, share| {
            let moment = share.asin() * PERIOD / std::f64::consts::TAU;
            // The egg's reach along each axis of the scene, and no more than the box's.
            let middle = self.outward(BOX[0], moment);
            let axes = [v3(1.0, 0.0, 0.0), v3(0.0, 1.0, 0.0), v3(0.0, 0.0, 1.0)]
                .map(|axis| self.outward(axis + BOX[0], moment) - middle);
            let reach = |pick: fn(Vec3) -> f64| {
                let egg = (axes.iter().zip([EGG.x, EGG.y, EGG.z]))
                    .map(|(axis, half)| (pick(*axis) * half).powi(2))
                    .sum::<f64>()
                    .sqrt();
                let block: f64 = (axes.iter().zip([BOX[1].x, BOX[1].y, BOX[1].z]))
                    .map(|(axis, half)| pick(*axis).abs() * half)
                    .sum();
                egg.min(block)
            };
            let half = v3(reach(|v| v.x), reach(|v| v.y), reach(|v| v.z));
            held.with(&Bounds::around(middle, half).grown(if self.pose.turns == 0.0 { 0.0 } else { 0.003 }))
        })
    }

    /// How far the head is turned about the upright axis.
    fn turn(&self, seconds: f64) -> f64 {
        self.pose.turns * (seconds * std::f64::consts::TAU / PERIOD).sin()
    }

    /// A point of the head, in its millimetres, in the scene.
    fn outward(&self, p: Vec3, seconds: f64) -> Vec3 {
        let joint = along(&self.held, p + MIDDLE).turned_y(self.turn(seconds));
        self.place.at + along(&self.body, joint + JOINT) * UNIT
    }

    /// A point of the scene in the body's axes and in the head's, in the head's millimetres.
    fn inward(&self, p: Vec3, seconds: f64) -> [Vec3; 2] {
        let body = shares(&self.body, p - self.place.at) * (1.0 / UNIT);
        let joint = body - JOINT;
        let joint = if self.pose.turns == 0.0 { joint } else { joint.turned_y(-self.turn(seconds)) };
        [body, shares(&self.held, joint) - MIDDLE]
    }

    fn neck(&self, body: Vec3) -> f64 {
        neck::neck(body, if self.who == Crew::Cook { 4.0 } else { 0.0 })
    }

    /// The nearest part and its distance in the head's millimetres.
    fn nearest(&self, body: Vec3, p: Vec3) -> (f64, Part) {
        let face = self.face();
        // Under wool and cloth no skin is looked for.
        let worn = cap::cap(self.who, p);
        if cap::over_edge(self.who, p) > 14.0 {
            return (worn, Part::Cap);
        }
        let mut bare = face.skin(p);
        if body.y < 172.0 {
            bare = distance::joined(bare, self.neck(body), 17.0);
        }
        let skin = ear::on(face::folded(p), bare);
        let mut best = (skin, Part::Skin);
        let mut take = |distance: f64, part: Part| {
            if distance < best.0 {
                best = (distance, part);
            }
        };
        take(eye::ball(face::folded(p), face::side(p)), Part::Eye);
        take(hair::hair(self.who, face, p, bare).max(cap::over_edge(self.who, p) - 2.0), Part::Hair);
        take(worn, Part::Cap);
        best
    }
}

impl Shape for Head {
    fn bounds(&self) -> Bounds {
        self.bounds
    }
    fn distance(&self, p: Vec3, seconds: f64) -> f64 {
        let [body, head] = self.inward(p, seconds);
        // Far from all of it a plain hull will do.
        let mut hull = HULL_SKULL.distance(head).min(HULL_FACE.distance(head)).min(HULL_EARS.distance(head));
        if self.who == Crew::Cook {
            hull = hull.min(HULL_KNOT.distance(head));
        }
        if hull > 26.0 {
            return 0.9 * UNIT * hull.min(self.neck(body));
        }
        0.8 * UNIT * self.nearest(body, head).0
    }
    fn surface(&self, p: Vec3, normal: Vec3, seconds: f64) -> Surface {
        let [body, head] = self.inward(p, seconds);
        let part = self.nearest(body, head).1;
        paint::surface(self.who, self.face(), part, head, normal)
    }
    fn moves(&self) -> bool {
        self.pose.turns != 0.0
    }
    fn dear(&self) -> bool {
        true
    }
}
