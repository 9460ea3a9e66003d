//! What a ray meets, and the light that it sends back.

use crate::geometry::Point;
use crate::material::{Material, WHITE};

/// A direction: x to the right, y down, z towards the camera.
pub type Direction = [f64; 3];

/// Facing the camera: card, chart and plain wall.
pub const FACING: Direction = [0.0, 0.0, 1.0];

/// How a surface takes its light.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Lit {
    /// By key and ambient light over its normal.
    Matt,
    /// Polished metal: the prop says how much of the key it mirrors, 1 as bright as a perfect diffuser.
    Mirror(f64),
    /// Its own light, of the key's colour, untouched by falloff; 1 is a perfect diffuser under the key.
    Own(f64),
}

/// A surface at a point: a mix of two materials, its normal, and how it shines.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Look {
    material: Material,
    second: Material,
    share: f64,
    normal: Direction,
    open: f64,
    gloss: f64,
    sharpness: f64,
    lit: Lit,
}

impl Look {
    /// A matt surface that faces the camera.
    pub fn of(material: Material) -> Self {
        Self {
            material,
            second: material,
            share: 0.0,
            normal: FACING,
            open: 1.0,
            gloss: 0.0,
            sharpness: 1.0,
            lit: Lit::Matt,
        }
    }

    /// With `share` 0..1 of a second material.
    pub fn mixed(mut self, second: Material, share: f64) -> Self {
        self.second = second;
        self.share = share.clamp(0.0, 1.0);
        self
    }

    /// With this normal, of any length but zero.
    pub fn facing(mut self, normal: Direction) -> Self {
        self.normal = unit(normal);
        self
    }

    /// With only this share (0..1) of the light reaching it, as in a corner.
    pub fn open(mut self, share: f64) -> Self {
        self.open = share.clamp(0.0, 1.0);
        self
    }

    /// With a highlight of this strength; a larger sharpness makes it smaller.
    pub fn glossy(mut self, strength: f64, sharpness: f64) -> Self {
        self.gloss = strength;
        self.sharpness = sharpness;
        self
    }

    /// Lit in another way than [`Lit::Matt`].
    pub fn lit(mut self, lit: Lit) -> Self {
        self.lit = lit;
        self
    }
}

/// The key light, the ambient light beside it, and the colour of every material under both.
#[derive(Debug, Clone)]
pub struct Lighting {
    /// Direction towards the key.
    pub key: Direction,
    /// Linear camera or working RGB of each material facing the key, by [`Material::index`].
    pub palette: Vec<[f64; 3]>,
}

/// Share of the ambient light in what falls on a surface that faces the camera; the key gives the rest.
const AMBIENT: f64 = 0.32;

impl Lighting {
    /// Linear RGB of a surface: `falloff` scales all light, `key_share` (0..1) is what shadows leave of the key.
    ///
    /// A matt, open, unshadowed surface facing the camera at falloff 1 returns its palette entry exactly.
    pub fn radiance(&self, look: &Look, falloff: f64, key_share: f64) -> [f64; 3] {
        let body = self.mixed(look);
        let mirror = match look.lit {
            Lit::Own(level) => return body.map(|value| value * level),
            Lit::Mirror(level) => return body.map(|value| value * level * falloff * mix_share(key_share)),
            Lit::Matt => self.highlight(look) * key_share * look.open,
        };
        let facing = dot(look.normal, self.key).max(0.0) / self.key[2];
        // Ambient light comes a little more from above than from below.
        let ambient = AMBIENT * (1.0 - 0.35 * look.normal[1]);
        let matt = falloff * look.open * (ambient + (1.0 - AMBIENT) * facing * key_share);
        let white = self.palette[WHITE.index()];
        [0, 1, 2].map(|i| matt * body[i] + falloff * mirror * white[i])
    }

    /// Linear RGB of steam or another thin white veil.
    pub fn veil(&self, falloff: f64) -> [f64; 3] {
        self.palette[WHITE.index()].map(|value| value * falloff * 0.8)
    }

    fn mixed(&self, look: &Look) -> [f64; 3] {
        let first = self.palette[look.material.index()];
        if look.share == 0.0 {
            return first;
        }
        let second = self.palette[look.second.index()];
        [0, 1, 2].map(|i| first[i] + (second[i] - first[i]) * look.share)
    }

    fn highlight(&self, look: &Look) -> f64 {
        if look.gloss == 0.0 {
            return 0.0;
        }
        let half = unit([self.key[0], self.key[1], self.key[2] + 1.0]);
        look.gloss * dot(look.normal, half).max(0.0).powf(look.sharpness)
    }
}

/// Metal mirrors the room as well as the key: shadow takes only part of it.
fn mix_share(key_share: f64) -> f64 {
    AMBIENT + (1.0 - AMBIENT) * key_share
}

/// The direction of length 1.
pub fn unit(direction: Direction) -> Direction {
    let length = dot(direction, direction).sqrt();
    direction.map(|value| value / length)
}

fn dot(a: Direction, b: Direction) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

/// Normal of a stuffed shape that rolls off over `roll` from its edge, from its signed distance.
pub fn pillow(distance: impl Fn(Point) -> f64, p: Point, roll: f64) -> Direction {
    const STEP: f64 = 0.01;
    let here = distance(p);
    let across = (distance(Point { x: p.x + STEP, y: p.y }) - here) / STEP;
    let down = (distance(Point { x: p.x, y: p.y + STEP }) - here) / STEP;
    let tilt = (1.0 + here / roll).clamp(0.0, 0.97);
    let side = tilt * tilt;
    [across * side, down * side, (1.0 - side * side).max(0.05).sqrt()]
}

/// Normal of a round bar: `across` -1..1 from edge to edge, along a unit direction of the stage.
pub fn round(across: f64, along_x: f64, along_y: f64) -> Direction {
    let side = across.clamp(-0.98, 0.98);
    [side * along_x, side * along_y, (1.0 - side * side).sqrt()]
}
