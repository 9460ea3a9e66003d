//! Copies of a few frames with planted faults of ingest, each in a folder of its own, to try `inspect` and `check` on.

use std::path::Path;

use frame::{Frame, Range, Size};
use media::{About, Encoded, Note};

use crate::DemoError;
use crate::film::{Shot, Take};
use crate::write::{Settings, files, shot};

/// The folder in the demo's.
pub const FOLDER: &str = "faults";
/// Frames of each copy.
pub const FRAMES: u32 = 6;
/// What they are copies of: a shot of one light, without a veil, with movement in it.
const SHOT: &str = "galley_010";
/// Their size.
const SIZE: Size = Size { width: 320, height: 180 };

/// The exposure index that the tag names, where the camera was set to another.
pub const WRONG_INDEX: u32 = 1600;
/// The number that is missing from `gap_and_repeat`, and the two frames of it that are one.
pub const MISSING: u32 = 3;
/// The frame that is there twice, and its second number.
pub const REPEATED: [u32; 2] = [5, 6];

const README: &str = "\
Copies of the first frames of galley_010, each with one fault of ingest planted in it. Everything else about them is right.

exposure_index    the slate and the shot sheet, shots.csv, say exposure index 1600; the camera was set to 800. Read as 1600,
                  the picture comes out about a stop too dark or too light, and no header tells which is true.
legal_in_full     the codes lie in legal range (64 to 940 of 1023), and the file says no range, so that it is taken for
                  full. Read so, blacks are grey and the contrast is low.
eight_in_ten      8-bit codes in 10-bit words: every code is divisible by 4, and a stop has a quarter of its steps.
gap_and_repeat    frame 3 is missing, and frame 6 holds the picture of frame 5, byte for byte.

    greywright inspect faults/eight_in_ten faults/legal_in_full faults/gap_and_repeat
    greywright inspect --shot-sheet faults/shots.csv
";

/// The shot sheet that has the wrong exposure index.
const SHEET: &str = "\
shot,set-up,camera roll,media,encoding,exposure index,camera kelvin,range
galley_010,galley,,exposure_index/exposure_index.%04d.dpx,LogC3,1600,,full
";

/// Writes the copies; `step` hears how many frames are done.
///
/// # Errors
/// What cannot be written, or what `step` says.
pub fn plant(dir: &Path, settings: &Settings, step: &dyn Fn(usize) -> Result<(), DemoError>) -> Result<(), DemoError> {
    let Some((_, shot)) = Shot::named(SHOT) else { return Err(DemoError::NoStage { shot: SHOT }) };
    let take = Take::new(shot, SIZE)?;
    let settings = Settings { noise: true, ..settings.clone() };
    for name in ["exposure_index", "legal_in_full", "eight_in_ten", "gap_and_repeat"] {
        files::folder(&dir.join(name))?;
    }
    let about = shot::about(shot);
    let mut before: Option<Frame> = None;
    for number in 1..=FRAMES {
        let frame = frame(&take, &settings, number - 1);
        let path = |folder: &str| dir.join(folder).join(format!("{folder}.{number:04}.dpx"));
        media::write(&path("exposure_index"), &frame, &with_wrong_index(&about))?;
        write_legal(&path("legal_in_full"), &frame, &about)?;
        media::write(&path("eight_in_ten"), &of_eight_bits(&frame), &about)?;
        if number != MISSING {
            let shown = before.filter(|_| number == REPEATED[1]);
            media::write(&path("gap_and_repeat"), shown.as_ref().unwrap_or(&frame), &about)?;
        }
        before = Some(frame);
        step(number as usize)?;
    }
    files::bytes(&dir.join("shots.csv"), SHEET.as_bytes())?;
    files::bytes(&dir.join("README.txt"), README.as_bytes())
}

fn frame(take: &Take, settings: &Settings, frame: u32) -> Frame {
    let moment = take.moment(frame);
    let gain = take.gain * take.shot.exposure_error_stops.exp2();
    let light = moment.light(&moment.levels, gain, |of| &of.camera);
    shot::sensor(&moment, settings, frame).frame(&light, SIZE)
}

fn with_wrong_index(about: &About) -> About {
    let mut about = about.clone();
    about.notes.insert(Note::Slate, format!("{SHOT}, EI {WRONG_INDEX}"));
    about
}

/// The codes put into legal range, in a file that says no range.
fn write_legal(path: &Path, frame: &Frame, about: &About) -> Result<(), DemoError> {
    let legal = Frame::from_pixels(&frame.to_pixels(Range::Full), frame.size(), frame.layout(), Range::Legal);
    let mut bytes = media::encode(path, &legal, about)?.to_bytes();
    // SMPTE ST 268-1: the reference codes of the first element, and all ones for what is not told.
    for place in [784, 792] {
        if let Some(field) = bytes.get_mut(place..place + 4) {
            field.fill(0xFF);
        }
    }
    Ok(media::store(path, &Encoded::of(bytes))?)
}

/// The same picture as 8-bit codes, moved up into 10 bits.
fn of_eight_bits(frame: &Frame) -> Frame {
    let coarse = |code: f32| {
        let code = (code * 1023.0).round() as u32 >> 2 << 2;
        code as f32 / 1023.0
    };
    let pixels: Vec<[f32; 4]> =
        frame.to_pixels(Range::Full).into_iter().map(|[r, g, b, a]| [coarse(r), coarse(g), coarse(b), a]).collect();
    Frame::from_pixels(&pixels, frame.size(), frame.layout(), Range::Full)
}
