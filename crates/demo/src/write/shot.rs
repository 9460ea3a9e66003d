//! Writes one shot: its frames, and its truth beside them.

use std::path::{Path, PathBuf};

use frame::{Frame, Size};
use media::{About, Note};
use rayon::prelude::*;

use super::{RATE, Settings, ShotSummary, files};
use crate::DemoError;
use crate::film::{Moment, Sensor, Shot, Take};
use crate::truth::{Pictures, PicturesTruth, Rect, Spot, numbered, truth};

/// A shot that was written, with what is known of it.
pub struct Written {
    /// For the list of shots.
    pub summary: ShotSummary,
    /// Where its marks lie.
    pub spots: Vec<Spot>,
}

/// Writes a shot into its own folder in `dir`; `step` hears how many frames are done.
///
/// # Errors
/// What cannot be written, or what `step` says.
pub fn shot(
    dir: &Path,
    shot: &'static Shot,
    settings: &Settings,
    step: &dyn Fn(usize) -> Result<(), DemoError>,
) -> Result<Written, DemoError> {
    let take = Take::new(shot, settings.size)?;
    let name = shot.name;
    let own = dir.join(name);
    let beside = own.join("truth");
    files::folder(&beside)?;
    let truth = truth(&take, settings)?;
    files::json(&beside.join("truth.json"), &truth)?;
    let mut next = Some(take.moment(0));
    let mut frame = 0;
    while let Some(moment) = next.take() {
        let to = To { own: &own, beside: &beside, pictures: &truth.pictures };
        // What moves in the next frame is traced while this one is written.
        let (written, following) = rayon::join(
            || one_frame(&moment, frame, settings, &to),
            || (frame + 1 < settings.frames).then(|| take.moment(frame + 1)),
        );
        written?;
        frame += 1;
        step(frame as usize)?;
        next = following;
    }
    let summary = ShotSummary {
        name: name.to_owned(),
        pattern: format!("{name}/{name}.%04d.dpx"),
        frames: settings.frames,
        encoding: truth.encoding.clone(),
        exposure_index: shot.exposure_index(),
        correction: truth.correction.clone(),
        card: truth.card,
        truth: format!("{name}/truth/truth.json"),
        truth_picture: format!("{name}/truth/{}", truth.truth_picture),
    };
    Ok(Written { summary, spots: take.spots })
}

/// Where a frame goes.
struct To<'a> {
    own: &'a Path,
    beside: &'a Path,
    pictures: &'a PicturesTruth,
}

fn one_frame(moment: &Moment<'_>, frame: u32, settings: &Settings, to: &To<'_>) -> Result<(), DemoError> {
    let take = moment.take;
    let light = moment.light(&moment.levels, take.gain * take.shot.exposure_error_stops.exp2(), |of| &of.camera);
    let sensor = sensor(moment, settings, frame);
    let path = to.own.join(format!("{}.{:04}.dpx", take.shot.name, frame + 1));
    media::write(&path, &sensor.frame(&light, take.size), &about(take.shot))?;
    if frame >= to.pictures.frames {
        return Ok(());
    }
    let pictures = Pictures::of(moment, &light, &sensor);
    let PicturesTruth { same, relit, maps, shares, .. } = to.pictures;
    let acescg = About { encoding: Some(("ACEScg".to_owned(), "written as such".to_owned())), ..rate() };
    let mut all: Vec<(&str, &Frame, &About)> = vec![(same, &pictures.same, &acescg), (relit, &pictures.relit, &acescg)];
    let plain = rate();
    all.push((maps, &pictures.maps, &plain));
    all.extend(shares.iter().zip(&pictures.shares).map(|(name, picture)| (name.as_str(), picture, &plain)));
    let path = |name: &str| -> PathBuf { to.beside.join(numbered(name, frame + 1)) };
    all.par_iter().try_for_each(|(name, picture, about)| Ok(media::write(&path(name), picture, about)?))
}

/// What a shot's frames say of themselves.
pub fn about(shot: &Shot) -> About {
    let mut about = rate();
    let index = shot.exposure_index().map_or(String::new(), |index| format!(", EI {index}"));
    about.notes.insert(Note::Slate, format!("{}{index}", shot.name));
    about
}

fn rate() -> About {
    About { rate: Some(RATE), ..About::default() }
}

/// What lies between a moment's light and its codes.
pub fn sensor<'a>(moment: &Moment<'a>, settings: &Settings, frame: u32) -> Sensor<'a> {
    let take = moment.take;
    Sensor {
        encoding: &take.encoding,
        bits: take.shot.bits,
        veil: take.veil(&moment.levels),
        noise: settings.noise.then(|| take.shot.noise(settings.seed, frame)),
    }
}

/// Widest picture that is traced for [`first_frame`].
const QUICK: u32 = 480;

/// The first frame of a shot, in memory. A large one is traced smaller and stretched, since it is wanted for its codes alone.
pub fn first_frame(shot: &'static Shot, settings: &Settings) -> Result<Frame, DemoError> {
    let size = settings.size;
    let times = size.width.div_ceil(QUICK);
    let traced = Size { width: size.width.div_ceil(times), height: size.height.div_ceil(times) };
    let take = Take::new(shot, traced)?;
    let moment = take.moment(0);
    let light = moment.light(&moment.levels, take.gain * shot.exposure_error_stops.exp2(), |of| &of.camera);
    let light = stretched(&light, traced, size);
    Ok(sensor(&moment, settings, 0).frame(&light, size))
}

/// A picture at another size, straight lines between its pixels.
fn stretched(pixels: &[[f32; 3]], from: Size, to: Size) -> Vec<[f32; 3]> {
    let place = |at: u32, from: u32, to: u32| {
        let place = ((at as f32 + 0.5) * from as f32 / to as f32 - 0.5).clamp(0.0, (from - 1) as f32);
        let first = (place as u32).min(from.saturating_sub(2));
        (first as usize, ((first + 1).min(from - 1)) as usize, place - first as f32)
    };
    let width = from.width as usize;
    let row = |y: u32| {
        let (upper, lower, down) = place(y, from.height, to.height);
        (0..to.width).map(move |x| {
            let (left, right, along) = place(x, from.width, to.width);
            let between = |row: usize, c: usize| {
                pixels[row * width + left][c] * (1.0 - along) + pixels[row * width + right][c] * along
            };
            std::array::from_fn(|c| between(upper, c) * (1.0 - down) + between(lower, c) * down)
        })
    };
    (0..to.height).flat_map(row).collect()
}

/// A rectangle's pixels, as projects write them.
pub fn area(rect: Rect) -> [u32; 4] {
    [rect.x, rect.y, rect.width, rect.height]
}
