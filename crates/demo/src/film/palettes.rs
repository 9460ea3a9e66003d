//! The colour of every material under every source of a shot, integrated once.

use colour::{Encoding, Matrix};

use crate::camera::Camera;
use crate::light::Light;
use crate::palette::{palette, truth_palette, xyz_palette};
use crate::set_up::{Level, Source};

/// Colours by material under a light that may turn into another.
#[derive(Debug, Clone, PartialEq)]
pub struct Palette {
    first: Vec<[f64; 3]>,
    later: Option<Vec<[f64; 3]>>,
}

impl Palette {
    fn of(source: &Source, colours: impl Fn(Light) -> Vec<[f64; 3]>) -> Self {
        Self { first: colours(source.light), later: source.later.map(colours) }
    }

    fn steady(first: Vec<[f64; 3]>) -> Self {
        Self { first, later: None }
    }

    /// Materials.
    pub fn len(&self) -> usize {
        self.first.len()
    }

    /// The colour of a material at a moment. Lights of luminance 1 mix by how far one has gone over to the other.
    pub fn at(&self, material: usize, level: Level) -> [f64; 3] {
        let first = self.first[material];
        let mixed = match &self.later {
            Some(later) => std::array::from_fn(|c| first[c] + (later[material][c] - first[c]) * level.gone),
            None => first,
        };
        mixed.map(|value| value * level.level)
    }
}

/// A source's colours: as the camera records them, as XYZ, and in ACEScg as a perfect correction leaves them.
#[derive(Debug, Clone, PartialEq)]
pub struct Colours {
    /// Linear camera RGB.
    pub camera: Palette,
    /// XYZ; a perfect diffuser has Y = 1.
    pub xyz: Palette,
    /// Linear ACEScg, lit by D65; a signal keeps its own colour.
    pub relit: Palette,
}

impl Colours {
    /// The colours of a source to a camera.
    pub fn of(source: &Source, camera: Camera, encoding: &Encoding) -> Self {
        let relit = if source.relit {
            Palette::steady(truth_palette(encoding))
        } else {
            let working = working_from_xyz(encoding);
            Palette::of(source, |light| xyz_palette(light).into_iter().map(|xyz| working.apply(xyz)).collect())
        };
        Self {
            camera: Palette::of(source, |light| palette(camera, encoding, light)),
            xyz: Palette::of(source, xyz_palette),
            relit,
        }
    }
}

/// From XYZ to ACEScg down the road of an encoding: its primaries, its adaptation to the ACES white.
fn working_from_xyz(encoding: &Encoding) -> Matrix {
    encoding.aces_from_rgb() * encoding.primaries.rgb_from_xyz()
}
