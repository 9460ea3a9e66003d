//! The truth beside every shot: in numbers (`told`, gathered by `gather`), and in pictures.

mod gather;
mod pictures;
mod spot;
mod told;

pub use gather::truth;
pub use pictures::Pictures;
pub use spot::{Rect, Spot};
pub use told::{
    FrameTruth, LightTruth, MarkTruth, MaterialTruth, PatchTruth, PicturesTruth, SensorTruth, SourceTruth, StepTruth,
    Truth, numbered,
};
