//! Where arms and hands are.

use crate::space::{Vec3, v3};

/// Metres from the shoulder to the elbow and from there to the wrist.
const UPPER: f64 = 0.285;
const LOWER: f64 = 0.26;
/// How far a wrist may be from its shoulder.
const REACH: f64 = 0.525;

/// What a hand does. Places and directions are in the scene.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Grip {
    /// It hangs at the side.
    Hanging,
    /// It lies flat; `at` is the middle of its back's foot: the place of the table under it.
    Flat {
        /// The table's place under the middle of the hand.
        at: Vec3,
    },
    /// It holds a round thing: a mug, a rail, a ladle.
    Round {
        /// The thing's middle between the fingers.
        at: Vec3,
        /// Along the thing, towards the thumb's end of the fist; up for a mug, inward for a rail held from above.
        along: Vec3,
        /// The thing's radius in metres.
        radius: f64,
    },
}

/// A hand in a torso's own axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hand {
    /// Round things have a radius; a hand that is open has none.
    pub radius: Option<f64>,
    /// The middle of the palm, or of the thing held.
    pub middle: Vec3,
    /// From the little finger to the thumb.
    pub along: Vec3,
    /// Out of the back of the hand.
    pub back: Vec3,
    /// From the wrist to the fingers.
    pub ahead: Vec3,
}

/// An arm in a torso's own axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Arm {
    pub shoulder: Vec3,
    pub elbow: Vec3,
    pub wrist: Vec3,
    pub hand: Hand,
    /// From the outside of the elbow to its inside, and across arm and that.
    pub inside: Vec3,
    pub side: Vec3,
    /// From the elbow to the wrist.
    pub ahead: Vec3,
}

/// A part of a vector across a direction of length 1, as a direction.
fn across(vector: Vec3, direction: Vec3) -> Vec3 {
    (vector - direction * vector.dot(direction)).unit()
}

impl Arm {
    /// The arm of a side (1 at +x, -1 at -x) whose hand does something; its places are in the torso's own axes.
    pub fn new(side: f64, grip: Grip) -> Self {
        let shoulder = v3(0.182 * side, -0.062, -0.02);
        let rough = |at: Vec3| across(at - shoulder, v3(0.0, 1.0, 0.0));
        let (wrist, hand) = match grip {
            Grip::Hanging => {
                let wrist = v3(0.262 * side, -0.56, 0.085);
                let ahead = v3(-0.06 * side, -0.97, 0.24).unit();
                let back = across(v3(side, 0.0, 0.35), ahead);
                let along = back.cross(ahead) * -side;
                (wrist, Hand { radius: None, middle: wrist + ahead * 0.085, along, back, ahead })
            }
            Grip::Flat { at } => {
                let back = v3(0.0, 1.0, 0.0);
                let ahead = across(rough(at) + v3(-0.45 * side, 0.0, 0.2), back);
                let middle = at + back * 0.017;
                let along = back.cross(ahead) * -side;
                (middle - ahead * 0.085 + back * 0.02, Hand { radius: None, middle, along, back, ahead })
            }
            Grip::Round { at, along, radius } => {
                let along = along.unit();
                let ahead = across(at - shoulder + v3(0.1 * side, 0.12, 0.0), along);
                let back = along.cross(ahead) * side;
                let wrist = at + back * (radius + 0.012) - ahead * 0.085 - along * 0.01;
                (wrist, Hand { radius: Some(radius), middle: at, along, back, ahead })
            }
        };
        let elbow = elbow(side, shoulder, wrist);
        let inside = ((shoulder + wrist) * 0.5 - elbow).unit();
        let side = (wrist - shoulder).unit().cross(inside);
        Self { shoulder, elbow, wrist, hand, inside, side, ahead: (wrist - elbow).unit() }
    }
}

/// Where the elbow goes: down, outward and a little back, as far as both bones allow.
fn elbow(side: f64, shoulder: Vec3, wrist: Vec3) -> Vec3 {
    let way = wrist - shoulder;
    let metres = way.length().clamp(0.06, REACH);
    let towards = way.unit();
    let along = ((UPPER * UPPER - LOWER * LOWER) / metres + metres) / 2.0;
    let off = (UPPER * UPPER - along * along).max(0.0).sqrt();
    let pole = across(v3(0.55 * side, -0.8, -0.45), towards);
    shoulder + towards * along + pole * off
}
