//! What is known of the frame, and how: its light, its tones, its surfaces, the truth.

use std::path::{Path, PathBuf};

use colour::Encoding;
use frame::{Frame, Range, Size};
use measure::Tap;
use measure::confidence::{Confidence, confidence};
use measure::readings::{Statistics, kept};
use measure::scopes::Region;
use measure::verdict::{Block, Grey, Known, SHADOW_STOPS, chart, converted, flattest, noise, occupied};
use ops::{MID_GREY, Signal};

use super::{Gathered, Marked, Told};
use crate::Fault;
use crate::paths::shown as path_shown;
use crate::readings::{code_of, mean_xyz};

/// Stops from the card between which dark neutrals are looked at.
const DARK: [f64; 2] = [-6.0, -4.0];

/// What is known.
pub struct Evidence {
    /// Grey under the shot's own light.
    pub grey: Option<Grey>,
    /// How that is known, or why it is not.
    pub grey_in_words: String,
    /// Where the card is, if one was marked, or the chart's grey nearest to it.
    pub card: Option<Region>,
    /// How sure the reading of that card is.
    pub confidence: Option<Confidence>,
    /// The stops from the card that the shot has.
    pub occupied: [f64; 2],
    /// Surfaces by name.
    pub surfaces: Vec<(String, Region)>,
    /// Dark neutrals: stops from the card, and where.
    pub neutrals: Vec<(f64, Region)>,
    /// Where shadow noise is measured, with its noise in the original.
    pub shadow: Option<(Block, f64)>,
    /// The truth.
    pub truth: Option<Truth>,
}

/// What the scene was made of.
pub struct Truth {
    /// Where it is from.
    pub file: String,
    /// Patches of the chart: name, place, linear ACEScg as a perfect correction gives it.
    pub patches: Vec<(String, Region, [f64; 3])>,
    /// The whole picture, linear ACEScg; none where there is none of this frame.
    pub picture: Option<Vec<[f32; 4]>>,
    /// What was made, where the demo says it.
    told: Option<demo::Truth>,
}

/// A region of the picture.
///
/// # Errors
/// Nothing of it is there; what was marked is named.
pub fn region_of(marked: &Marked, size: Size) -> Result<Region, Fault> {
    let [x, y, width, height] = marked.area;
    Region::new(x, y, width, height, size).ok_or_else(|| {
        Fault::asked(format!(
            "{marked}: nothing of it lies in the picture, which is {size}; the left upper pixel is 0,0"
        ))
    })
}

/// Pixels of a region.
pub fn inside(pixels: &[[f32; 4]], size: Size, region: Region) -> impl Iterator<Item = [f64; 3]> {
    let rows = pixels.chunks(size.width.max(1) as usize).skip(region.y() as usize).take(region.height() as usize);
    rows.flat_map(move |row| row.iter().skip(region.x() as usize).take(region.width() as usize))
        .map(|[r, g, b, _]| [*r, *g, *b].map(f64::from))
}

/// Refuses a card that the file's codes cut: what it would have read is not known.
///
/// # Errors
/// It is clipped.
pub fn refuse_clip(called: &str, card: Region, pixels: &[[f32; 4]], frame: &Frame) -> Result<(), Fault> {
    let clips = |rgb: [f64; 3]| rgb.into_iter().any(|v| v >= 1.0);
    if frame.layout().is_float() || !inside(pixels, frame.size(), card).any(clips) {
        return Ok(());
    }
    Err(Fault::failed(format!(
        "{called} {},{},{},{}: it is clipped in the original, so that its colour is not known; mark a grey below clip",
        card.x(),
        card.y(),
        card.width(),
        card.height()
    )))
}

/// Gathers it; `note` hears what the user should know.
///
/// # Errors
/// What was marked lies outside, is clipped or has no light; a truth that cannot be read or is of another size.
pub fn gather(told: &Told, gathered: &Gathered, note: &dyn Fn(&str)) -> Result<Evidence, Fault> {
    let size = gathered.frame.size();
    let scene = converted(gathered.tap.signal(), &Signal::scene());
    let truth = match &told.chart {
        Some(place) => Some(chart_truth(place, gathered)?),
        None => told.truth.as_ref().map(|file| read_truth(file, gathered, note)).transpose()?,
    };
    let (grey, grey_in_words) = grey(told, gathered, truth.as_ref(), &scene)?;
    let weights = Tap::new(Signal::scene()).luminance_weights();
    let luminance = |rgb: [f64; 3]| -> f64 { scene(rgb).iter().zip(weights).map(|(v, weight)| v * weight).sum() };
    let all = || inside(&gathered.pixels, size, gathered.region);
    let found = grey.and_then(|grey| occupied(all().map(luminance), &grey));

    let marked = told.surfaces.iter().map(|(name, place)| Ok((name.clone(), region_of(place, size)?)));
    let mut surfaces = marked.collect::<Result<Vec<_>, Fault>>()?;
    if surfaces.is_empty() {
        let patches = truth.iter().flat_map(|truth| &truth.patches);
        surfaces = patches
            .filter(|(name, ..)| matches!(name.as_str(), "light skin" | "dark skin" | "deep skin" | "foliage"))
            .map(|(name, place, _)| (name.clone(), *place))
            .collect();
    }
    let mut neutrals = Vec::new();
    if let Some(grey) = &grey {
        for place in &told.neutrals {
            let place = region_of(place, size)?;
            let pixels: Vec<f64> = inside(&gathered.pixels, size, place).map(luminance).collect();
            let mean = pixels.iter().sum::<f64>() / pixels.len().max(1) as f64;
            neutrals.push(((mean / grey.level).log2(), place));
        }
        let told = truth.iter().filter_map(|truth| truth.told.as_ref()).flat_map(|told| &told.steps);
        for step in told.filter(|step| (DARK[0]..=DARK[1]).contains(&step.stops)) {
            let demo::Rect { x, y, width, height } = step.rect;
            neutrals.extend(Region::new(x, y, width, height, size).map(|place| (step.stops, place)));
        }
    }
    let marked = told.shadow.as_ref().map(|place| region_of(place, size)).transpose()?;
    let block = match (marked, &grey) {
        (Some(region), grey) => {
            let pixels: Vec<f64> = inside(&gathered.pixels, size, region).map(luminance).collect();
            let level = grey.map_or(MID_GREY, |grey| grey.level);
            let mean = pixels.iter().sum::<f64>() / pixels.len().max(1) as f64;
            Some(Block { region, stops: (mean / level).log2() })
        }
        (None, Some(grey)) => flattest(&gathered.tap, &gathered.pixels, size, gathered.region, grey, &scene),
        (None, None) => None,
    };
    let shadow = block.and_then(|block| Some((block, noise(&gathered.tap, &gathered.pixels, size, block.region)?)));
    let card = match (&told.grey, &told.chart, &truth) {
        (Some(place), ..) => Some(region_of(place, size)?),
        (_, Some(_), Some(truth)) => truth.patches.get(chart::NEUTRAL_5).map(|(_, place, _)| *place),
        _ => None,
    };
    let confidence = card.filter(|_| grey.is_some()).and_then(|card| sure(told, gathered, card));
    Ok(Evidence {
        grey,
        grey_in_words,
        card,
        confidence,
        occupied: found.unwrap_or([f64::INFINITY, f64::NEG_INFINITY]),
        surfaces,
        neutrals,
        shadow,
        truth,
    })
}

fn grey(
    told: &Told,
    gathered: &Gathered,
    truth: Option<&Truth>,
    scene: &dyn Fn([f64; 3]) -> [f64; 3],
) -> Result<(Option<Grey>, String), Fault> {
    if !gathered.tap.is_scene() {
        return Ok((None, "no grey known: the original is a display's picture, not a scene's light".to_string()));
    }
    let (grey, from) = if let Some(place) = &told.grey {
        let size = gathered.frame.size();
        let card = region_of(place, size)?;
        refuse_clip(&place.called, card, &gathered.pixels, &gathered.frame)?;
        // Outliers by the rule of readings and of confidence, so that all three are of the same pixels.
        let kept = kept(inside(&gathered.pixels, size, card), code_of(gathered.frame.layout(), gathered.range));
        let light: Vec<_> = kept.pixels.into_iter().map(scene).collect();
        let mean = Statistics::of(&light).map(|of| of.mean);
        let grey = mean.and_then(|mean| Grey::of_card(mean, Known::Card));
        let [x, y, width, height] = place.area;
        let name = format!("card at {x},{y},{width},{height}, taken for 18 %");
        (grey.ok_or_else(|| Fault::failed(format!("{place}: there is no light; mark the card")))?, name)
    } else if let (Some(Marked { called, area: [x, y, width, height] }), Some(truth)) = (&told.chart, truth) {
        let grey = chart_grey(gathered, truth, called, scene)?;
        (grey, format!("chart at {x},{y},{width},{height}, its four middle greys"))
    } else if let Some(made) = truth.and_then(|truth| truth.told.as_ref()) {
        // Lights flicker and drift, so each frame has its own.
        let of_frame = made.frames.iter().find(|frame| i64::from(frame.frame) == gathered.number);
        let (white, stops) = match of_frame {
            Some(frame) => (frame.white_as_read, frame.exposure_stops),
            None => (made.light.white_as_read, made.exposure_error_stops),
        };
        let grey = Grey::of_white(white, MID_GREY * stops.exp2(), Known::Truth);
        let none = || Fault::failed("the truth names a white that is no light; write the demo again");
        (grey.ok_or_else(none)?, format!("truth: {}", made.light.description))
    } else {
        return Ok((None, format!("no grey known; {}", told.remedy)));
    };
    let white = grey.white();
    let kelvin = match grey.cct_duv() {
        Some((kelvin, duv)) => format!("{kelvin:.0} K, Duv {duv:+.4}"),
        None => "no colour temperature".to_string(),
    };
    let stops = grey.stops_over();
    let level = match stops {
        stops if stops.abs() < 0.005 => "well exposed".to_string(),
        stops if stops > 0.0 => format!("{stops:.2} stop over"),
        stops => format!("{:.2} stop under", -stops),
    };
    Ok((Some(grey), format!("{from}: x {:.4} y {:.4}, {kelvin}, {level}", white.x, white.y)))
}

/// How sure a card's reading is, with a veil of the measured picture's mean colour.
fn sure(told: &Told, gathered: &Gathered, card: Region) -> Option<Confidence> {
    let (size, tap) = (gathered.frame.size(), &gathered.tap);
    let pixels: Vec<[f64; 3]> = inside(&gathered.pixels, size, card).collect();
    let code = code_of(gathered.frame.layout(), gathered.range);
    let veil = mean_xyz(tap, inside(&gathered.pixels, size, gathered.region));
    confidence(tap, &pixels, card.width() as usize, code, veil, &told.declared)
}

/// The patches of a chart in the picture, with what a perfect correction makes of them.
fn chart_truth(marked: &Marked, gathered: &Gathered) -> Result<Truth, Fault> {
    let size = gathered.frame.size();
    let whole = region_of(marked, size)?;
    let patches = chart::PATCHES.iter().zip(chart::truth()).enumerate();
    let patches = patches
        .filter_map(|(at, ((name, _), acescg))| Some(((*name).to_string(), chart::place(whole, at, size)?, acescg)));
    let [x, y, width, height] = marked.area;
    let patches: Vec<_> = patches.collect();
    if patches.len() != chart::PATCHES.len() {
        return Err(Fault::asked(format!("{marked}: a part of it lies outside the picture, which is {size}")));
    }
    Ok(Truth { file: format!("the chart at {x},{y},{width},{height}"), patches, picture: None, told: None })
}

/// The grey of the chart in the picture.
fn chart_grey(
    gathered: &Gathered,
    truth: &Truth,
    called: &str,
    scene: &dyn Fn([f64; 3]) -> [f64; 3],
) -> Result<Grey, Fault> {
    let size = gathered.frame.size();
    for (_, place, _) in truth.patches.get(chart::greys()).unwrap_or_default() {
        refuse_clip(&format!("{called}, grey at"), *place, &gathered.pixels, &gathered.frame)?;
    }
    let mean = |(_, place, _): &(String, Region, [f64; 3])| {
        Statistics::of(&kept(inside(&gathered.pixels, size, *place).map(scene), 0.0).pixels).map(|of| of.mean)
    };
    let read: Vec<[f64; 3]> = truth.patches.iter().filter_map(mean).collect();
    chart::grey(&read).ok_or_else(|| {
        Fault::failed(format!(
            "{}: its lowest row does not fall from white to black; mark the 24 patches of an upright chart, dark skin at the \
             left upper corner",
            truth.file
        ))
    })
}

/// Where the truth of a demo's shot lies, by one of its frames.
pub fn demo_truth(frame: &Path) -> PathBuf {
    frame.parent().unwrap_or(Path::new("")).join("truth/truth.json")
}

fn read_truth(file: &Path, gathered: &Gathered, note: &dyn Fn(&str)) -> Result<Truth, Fault> {
    let size = gathered.frame.size();
    let name = path_shown(file);
    if file.extension().is_none_or(|ending| ending != "json") {
        let picture = picture(file, size)?;
        return Ok(Truth { file: name, patches: Vec::new(), picture: Some(picture), told: None });
    }
    let text = std::fs::read(file).map_err(|error| {
        Fault::failed(format!(
            "{name}: {error}; the truth of a shot of the demo lies in the folder `truth` beside its frames"
        ))
    })?;
    let told: demo::Truth = serde_json::from_slice(&text).map_err(|error| {
        Fault::failed(format!("{name}: {error}; give a truth.json that the demo wrote, or a picture"))
    })?;
    if told.size != [size.width, size.height] {
        let [width, height] = told.size;
        return Err(Fault::failed(format!(
            "{name}: it is of {width}x{height}, the frame is {size}; they must be one size"
        )));
    }
    let place = |rect: demo::Rect| Region::new(rect.x, rect.y, rect.width, rect.height, size);
    let patches = told.patches.iter().filter_map(|patch| Some((patch.name.clone(), place(patch.rect)?, patch.acescg)));
    let patches = patches.collect();
    // Each frame may have its own picture.
    let beside = file.parent().unwrap_or(Path::new(""));
    let own = u32::try_from(gathered.number).ok().map(|number| beside.join(told.pictures.relit_of(number)));
    let picture = own.filter(|own| own.is_file()).map(|own| picture(&own, size)).transpose()?;
    if picture.is_none() {
        note("the truth has no picture of this frame; its patches hold in every frame and are used alone");
    }
    Ok(Truth { file: name, patches, picture, told: Some(told) })
}

/// A picture as linear ACEScg.
fn picture(file: &Path, size: Size) -> Result<Vec<[f32; 4]>, Fault> {
    let read = media::read(file)?;
    let name = path_shown(file);
    if read.frame.size() != size {
        let own = read.frame.size();
        return Err(Fault::failed(format!("{name}: it is {own}, the frame is {size}; they must be one size")));
    }
    let encoding = Encoding::named(read.about.encoding_id().unwrap_or("ACEScg"), None);
    let encoding = encoding.map_err(|error| Fault::failed(format!("{name}: {error}")))?;
    let scene = converted(&Signal::code(&encoding), &Signal::scene());
    let pixels = read.frame.to_pixels(Range::Full);
    let one = |[r, g, b, alpha]: [f32; 4]| {
        let [r, g, b] = scene([r, g, b].map(f64::from)).map(|v| v as f32);
        [r, g, b, alpha]
    };
    Ok(pixels.into_iter().map(one).collect())
}

/// What shadow noise was looked for in, for people.
pub fn shadow_in_words(evidence: &Evidence) -> String {
    match &evidence.shadow {
        Some((Block { region, stops }, noise)) => format!(
            "noise at {},{},{},{}, {stops:+.1} stops from the card; {noise:.1} codes in the original",
            region.x(),
            region.y(),
            region.width(),
            region.height()
        ),
        None => format!("no place near {SHADOW_STOPS} stops from the card to measure noise at"),
    }
}
