//! What the demo takes on disk, before it is written.

use super::Settings;
use crate::DemoError;
use crate::set_up::stage;

/// Bytes of a DPX header.
///
/// # Source
/// SMPTE ST 268-1.
const HEADER: u64 = 2048;
/// Bytes that truth pictures take a pixel: two of half floats, and codes of materials and shares, compressed. Measured on
/// the demo itself at 1280x720, rounded up.
const TRUTH_BYTES: f64 = 9.0;

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
        let pictures = 1.0 + (sources.div_ceil(3) as f64 - 1.0).max(0.0) * 0.1;
        room.truth_bytes += (f64::from(settings.truth_frames()) * pixels as f64 * TRUTH_BYTES * pictures) as u64;
    }
    Ok(room)
}
