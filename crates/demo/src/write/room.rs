//! What the demo takes on disk, before it is written.

use super::Settings;
use crate::DemoError;
use crate::set_up::stage;

/// Bytes of a DPX header.
///
/// # Source
/// SMPTE ST 268-1.
const HEADER: u64 = 2048;
/// Bytes that two pictures of half floats and a map of materials take a pixel, compressed, and those that three sources'
/// shares take. Measured on the demo itself at 960x540.
const TRUTH_BYTES: f64 = 8.8;
const SHARE_BYTES: f64 = 1.5;

/// What the demo takes on disk.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Room {
    /// Frames of all shots.
    pub frames: u64,
    /// Bytes of the frames, exact.
    pub frame_bytes: u64,
    /// Bytes of the truth's pictures, about.
    pub truth_bytes: u64,
}

/// What the shots of the settings take on disk; faults, numbers and the project are a few megabytes more.
///
/// # Errors
/// Settings out of bounds.
pub fn room(settings: &Settings) -> Result<Room, DemoError> {
    let pixels = u64::from(settings.size.width) * u64::from(settings.size.height);
    let mut room = Room { frames: 0, frame_bytes: 0, truth_bytes: 0 };
    for shot in settings.checked()? {
        let pixel_bytes = if shot.bits == 8 { 3 } else { 4 };
        room.frames += u64::from(settings.frames);
        room.frame_bytes += u64::from(settings.frames) * (HEADER + pixels * pixel_bytes);
        let sources = stage(shot.name).map_or(0, |stage| stage.sources.len());
        let pixel_bytes = TRUTH_BYTES + SHARE_BYTES * sources.div_ceil(3) as f64;
        room.truth_bytes += (f64::from(settings.truth_frames()) * pixels as f64 * pixel_bytes) as u64;
    }
    Ok(room)
}
