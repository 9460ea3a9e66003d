//! How large, how long and how noisy the demo is, and what of it is written.

use frame::Size;

use crate::DemoError;
use crate::film::{SHOTS, Shot};

/// Which frames have truth pictures beside them. The numbers of every frame are always written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum TruthPictures {
    /// All.
    #[default]
    Every,
    /// The first one of each shot.
    First,
}

/// How large, how long and how noisy the demo is, and what of it is written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Settings {
    /// Size of every frame; at least [`Settings::SMALLEST`].
    pub size: Size,
    /// Frames a shot, 1 to 9999.
    pub frames: u32,
    /// Names of the shots; none means all.
    pub shots: Vec<String>,
    /// Which frames have truth pictures.
    pub truth: TruthPictures,
    /// Whether the copies with planted faults are written.
    pub faults: bool,
    /// Whether the camera has noise.
    pub noise: bool,
    /// What the noise is drawn from; the same seed gives the same bytes.
    pub seed: u64,
}

impl Settings {
    /// The smallest size at which every card still covers a pixel.
    pub const SMALLEST: Size = Size { width: 160, height: 90 };
    /// The largest size, a bound against typing errors.
    pub const LARGEST: Size = Size { width: 16_384, height: 16_384 };

    /// The shots to be written, in the film's order.
    ///
    /// # Errors
    /// A size or a number of frames out of bounds, a name that is no shot's.
    pub(crate) fn checked(&self) -> Result<Vec<&'static Shot>, DemoError> {
        let within = |value: u32, least: u32, most: u32| (least..=most).contains(&value);
        let fits = within(self.size.width, Self::SMALLEST.width, Self::LARGEST.width)
            && within(self.size.height, Self::SMALLEST.height, Self::LARGEST.height);
        if !fits {
            return Err(DemoError::Size { width: self.size.width, height: self.size.height });
        }
        if !within(self.frames, 1, 9999) {
            return Err(DemoError::Frames { frames: self.frames });
        }
        for name in &self.shots {
            if Shot::named(name).is_none() {
                let near = colour::names::near(name, SHOTS.iter().map(|shot| shot.name));
                return Err(DemoError::NoShot { name: name.clone(), near });
            }
        }
        let wanted = |shot: &&Shot| self.shots.is_empty() || self.shots.iter().any(|name| name == shot.name);
        Ok(SHOTS.iter().filter(wanted).collect())
    }

    /// Frames of a shot that have truth pictures.
    pub(crate) fn truth_frames(&self) -> u32 {
        match self.truth {
            TruthPictures::Every => self.frames,
            TruthPictures::First => 1,
        }
    }
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            size: Size { width: 1280, height: 720 },
            frames: 48,
            shots: Vec::new(),
            truth: TruthPictures::Every,
            faults: true,
            noise: true,
            seed: 1,
        }
    }
}
