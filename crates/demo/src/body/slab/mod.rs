//! Plain built things: painted blocks, planks of wood, boarded and riveted walls.

mod boards;
mod planks;
mod plates;

pub use boards::Boards;
pub use planks::Planks;
pub use plates::Plates;

use crate::material::Material;
use crate::space::{Bounds, Vec3, distance, grain, smooth, uneven, v3};
use crate::trace::{Shape, Surface};

/// A painted block with rounded edges.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slab {
    bounds: Bounds,
    rounding: f64,
    paint: Material,
    shade: Option<Material>,
    worn: Option<Material>,
    gloss: [f64; 2],
    shades: bool,
}

impl Slab {
    /// A block that fills a box, its edges rounded by so many metres.
    pub fn new(bounds: Bounds, rounding: f64, paint: Material) -> Self {
        Self { bounds, rounding, paint, shade: None, worn: None, gloss: [0.0, 1.0], shades: true }
    }

    /// The same, which throws no shadow: for walls and floors behind everything.
    pub fn behind(self) -> Self {
        Self { shades: false, ..self }
    }

    /// Its paint uneven: brushed on, and in patches like a second one.
    pub fn aged(self, shade: Material) -> Self {
        Self { shade: Some(shade), ..self }
    }

    /// Worn at its edges down to what is under the paint.
    pub fn worn(self, under: Material) -> Self {
        Self { worn: Some(under), ..self }
    }

    /// Its share of mirrored light and how sharp that is, as of a [`Surface`].
    pub fn glossy(self, gloss: f64, sharpness: f64) -> Self {
        Self { gloss: [gloss, sharpness], ..self }
    }
}

/// How far a point of a block's surface is from its nearest edge, in metres.
fn from_edge(q: Vec3, half: Vec3) -> f64 {
    let gap = half - q.abs();
    let (least, most) = (gap.x.min(gap.y).min(gap.z), gap.most());
    gap.x + gap.y + gap.z - least - most
}

/// Brushed paint: patches of a second paint over a share of it, and a normal bent along the strokes, which run along x of `q`.
fn brushed(q: Vec3, paint: Material, shade: Material, normal: Vec3) -> Surface {
    let patch = smooth(0.42, 0.85, grain(91, v3(q.x * 1.1, q.y * 2.3, q.z * 2.3)));
    let stroke = uneven(92, v3(q.x * 5.0, q.y * 150.0, q.z * 150.0)) - 0.5;
    let swell = uneven(93, v3(q.x * 9.0, q.y * 30.0, q.z * 30.0)) - 0.5;
    let bend = v3(0.3 * stroke + 0.4 * swell, stroke + swell, stroke - swell) * 0.035;
    Surface::of(paint, normal).mixed(shade, 0.42 * patch + 0.07 * (stroke + 0.5)).bent(bend)
}

impl Shape for Slab {
    fn bounds(&self) -> Bounds {
        self.bounds
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        distance::block(p - self.bounds.centre(), self.bounds.half(), self.rounding)
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let (q, half) = (p - self.bounds.centre(), self.bounds.half());
        if let Some(under) = self.worn {
            let edge = from_edge(q, half) - self.rounding;
            let bare = edge + 0.005 * grain(94, p * 45.0) + 0.012 * uneven(95, p * 6.0);
            if bare < 0.0065 {
                return Surface::of(under, normal).glossy(0.04, 10.0);
            }
        }
        let surface = match self.shade {
            // Strokes run along the longest side.
            Some(shade) if half.y > half.x => brushed(v3(p.y, p.x, p.z), self.paint, shade, normal),
            Some(shade) if half.z > half.x => brushed(v3(p.z, p.x, p.y), self.paint, shade, normal),
            Some(shade) => brushed(p, self.paint, shade, normal),
            None => Surface::of(self.paint, normal),
        };
        surface.glossy(self.gloss[0], self.gloss[1])
    }
    fn shades(&self) -> bool {
        self.shades
    }
}
