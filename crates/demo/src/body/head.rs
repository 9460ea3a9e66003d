//! The heads of the crew: the mate, light skinned, and the cook, dark skinned.

use crate::material::{SKIN_DEEP, SKIN_LIGHT};
use crate::space::{Bounds, Place, Vec3, distance, v3};
use crate::trace::{Shape, Surface};

/// Who it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Crew {
    /// The mate: light skin, a knitted cap, a short beard.
    Mate,
    /// The cook: dark skin, cropped hair or a cloth cap.
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

/// A head with its neck; its origin is the pit of the neck, its middle about 190 mm above. Facing +z.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Head {
    who: Crew,
    place: Place,
    pose: Pose,
}

impl Head {
    /// A person's, on its neck.
    pub fn new(who: Crew, place: Place, pose: Pose) -> Self {
        Self { who, place, pose }
    }

    /// A plain place of skin on the cheek of the side of +x (`side` 1) or -x (-1) of the face, at moment 0, for a mark.
    pub fn cheek(&self, side: f64) -> Vec3 {
        self.place.outward(v3(0.04 * side, 0.17, 0.08))
    }
}

impl Shape for Head {
    fn bounds(&self) -> Bounds {
        self.place.bounds(&Bounds { least: v3(-0.17, -0.06, -0.17), most: v3(0.17, 0.36, 0.17) })
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = self.place.inward(p);
        distance::ellipsoid(q - v3(0.0, 0.19, 0.0), v3(0.078, 0.12, 0.095))
    }
    fn surface(&self, _: Vec3, normal: Vec3, _: f64) -> Surface {
        let skin = match self.who {
            Crew::Mate => SKIN_LIGHT,
            Crew::Cook => SKIN_DEEP,
        };
        Surface { soft: 0.15, ..Surface::of(skin, normal).glossy(0.03, 12.0) }
    }
    fn moves(&self) -> bool {
        self.pose.turns != 0.0
    }
}
