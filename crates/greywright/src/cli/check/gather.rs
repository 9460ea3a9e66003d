//! A shot's frames looked at: as they are, or after a chain as they would be written. Each is held in memory only while
//! it is looked at.

use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};

use colour::{Primaries, primaries};
use frame::Range;
use gpu::device::Gpu;
use graph::Elaborated;
use measure::limits::{Area, Gamut, Measured, SignalLimits, Terms, measured};
use media::{Depth, Format, MediaError, Picture, Sequence, Survey, Surveying};
use ops::{Curve, Display, Reference, Setting as _, Signal};
use session::render::{Job, Sink};

use super::Args;
use super::limits::{Limits, Name};
use crate::cli::chain::{Chain, file_range};
use crate::cli::failure::Failure;
use crate::cli::follow::Terminal;
use crate::cli::say;

/// What a shot's frames are, so far as it is known before they are judged.
pub struct Shot {
    pub sequence: Sequence,
    /// None where no frame could be read.
    pub survey: Option<Survey>,
    /// By number.
    pub measured: Vec<(i64, Measured)>,
    /// Frames that could not be read, or not be rendered, with why.
    pub failed: Vec<(i64, String)>,
    /// Values of the originals that were not finite and were replaced before the chain.
    pub replaced: u64,
    pub meaning: Meaning,
}

/// What the frames' numbers mean.
pub struct Meaning {
    /// Whether they come out of a chain, and so are what it says.
    pub from_chain: bool,
    pub range: Range,
    /// What the user says of the range, and whether anybody says anything.
    pub told_range: Option<Range>,
    pub range_is_known: bool,
    /// The encoding that the files should say, where the user says one.
    pub wanted_encoding: Option<String>,
    /// The display or the encoding, for people.
    pub display: Option<String>,
    /// How the picture was brought to a display, where the chain or the first file says so.
    pub rendering: Option<String>,
    /// The gamut that colours are held to.
    pub gamut: Option<String>,
    /// Whether the user says where black is.
    pub black_is_marked: bool,
}

/// Looks at a shot. `through` says whether the frames go through the chain first.
pub fn gather(
    args: &Args,
    limits: &Limits,
    chain: &Chain,
    sequence: Sequence,
    through: bool,
    gpu: Option<&Arc<Gpu>>,
) -> Result<Shot, Failure> {
    let first = sequence.frames().iter().find_map(|(number, path)| Some((*number, media::read(path).ok()?)));
    let Some((number, first)) = first else { return unreadable(sequence) };
    if let Some(marked) = args.black.filter(|marked| marked.within(first.frame.size()) != *marked) {
        let Area { x, y, width, height } = marked;
        let size = first.frame.size();
        let why = format!("this does not lie in the picture, which is {size}; give X,Y,WIDTH,HEIGHT within it");
        return Err(Failure::usage(format!("--black {x},{y},{width},{height}: {why}")));
    }
    let elaborated = chain.for_frame(&first.about, number)?;
    let (depth, format) = result(args.depth);
    let layout = first.frame.layout();
    let (bits, is_float) = match depth {
        _ if !through => (layout.bits(), layout.is_float()),
        Depth::Half | Depth::Float => (16, true),
        Depth::Eight => (8, false),
        Depth::Ten => (10, false),
        Depth::Sixteen => (16, false),
    };
    let (meaning, terms) = terms(args, limits, chain, &elaborated, &first, through, if is_float { 8 } else { bits })?;
    drop(first);
    let seen = Mutex::new(Vec::new());
    let look = |number: i64, picture: &Picture| {
        let of_frame = measured(&picture.frame, &terms);
        lock(&seen).push((number, of_frame));
    };
    let (survey, failed, replaced) = if through {
        let surveys = Mutex::new(Vec::new());
        let look = |number: i64, picture: &Picture| {
            look(number, picture);
            let mut survey: Surveying = lock(&surveys).pop().unwrap_or_default();
            survey.add(number, picture);
            lock(&surveys).push(survey);
        };
        let job = Job {
            chain,
            sequence: &sequence,
            example: None,
            found: None,
            sink: Sink::Eyes { format, look: &look },
            depth: Some(depth),
            dither: args.dither.kind().filter(|_| !is_float),
            explain: args.chain.explain,
            timings: false,
            aces_container: false,
            memory_bytes: session::render::MEMORY_BYTES,
            follower: &Terminal::new(),
        };
        let report = session::render::render(&job, gpu)?;
        let mut whole = Surveying::default();
        lock(&surveys).drain(..).for_each(|part| whole.merge(part));
        let failed = report.failed.into_iter().map(|failed| (failed.frame, failed.reason)).collect();
        (whole.finish(sequence.name()).ok(), failed, report.nan + report.infinite)
    } else {
        let bar = say::progress(sequence.frames().len(), sequence.name());
        let survey = Survey::of(&sequence, |number, picture: Result<&Picture, &MediaError>| {
            if let Ok(picture) = picture {
                look(number, picture);
            }
            bar.inc(1);
        });
        bar.finish_and_clear();
        let survey = survey?;
        let failed = survey.failed.iter().map(|(number, error)| (*number, error.to_string())).collect();
        (Some(survey), failed, 0)
    };
    let mut measured = seen.into_inner().unwrap_or_else(PoisonError::into_inner);
    measured.sort_by_key(|(number, _)| *number);
    Ok(Shot { sequence, survey, measured, failed, replaced, meaning })
}

fn lock<T>(mutex: &Mutex<T>) -> std::sync::MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// A shot of which no frame can be read.
fn unreadable(sequence: Sequence) -> Result<Shot, Failure> {
    let why = |path: &Path| media::read(path).err().map(|error| error.to_string());
    let failed = sequence.frames().iter().filter_map(|(number, path)| Some((*number, why(path)?))).collect();
    let meaning = Meaning {
        from_chain: false,
        range: Range::Full,
        told_range: None,
        range_is_known: false,
        wanted_encoding: None,
        display: None,
        rendering: None,
        gamut: None,
        black_is_marked: false,
    };
    Ok(Shot { sequence, survey: None, measured: Vec::new(), failed, replaced: 0, meaning })
}

/// The depth of what a chain gives, and a format that holds it.
fn result(depth: Option<Depth>) -> (Depth, Format) {
    let depth = depth.unwrap_or(Depth::Ten);
    let format = match depth {
        Depth::Eight => Format::Png,
        Depth::Ten | Depth::Sixteen => Format::Dpx,
        Depth::Half | Depth::Float => Format::Exr,
    };
    (depth, format)
}

/// What the numbers mean, and what they are measured for.
fn terms(
    args: &Args,
    limits: &Limits,
    chain: &Chain,
    elaborated: &Elaborated,
    first: &Picture,
    from_chain: bool,
    bits: u32,
) -> Result<(Meaning, Terms), Failure> {
    let (told_encoding, told_range) = chain.told();
    let signal = match args.display.filter(|_| !from_chain) {
        // Its peak says nothing of what its code may be.
        Some(display) => display.signal(100.0, 0.0),
        None => elaborated.result_signal.clone(),
    };
    let range = file_range(elaborated.result_range);
    let display = (!signal.is_unknown()).then(|| signal.curve.name.clone());
    let gamut = gamut(args, chain.output_setting(elaborated, "limit").filter(|_| from_chain), &signal)?;
    let weights = if signal.is_unknown() { &primaries::BT709 } else { &signal.primaries };
    let signal_limits = match (limits.of(Name::R103Area), of_signal(limits)) {
        (Some(_), (rgb, luma)) => Some(SignalLimits { rgb, luma, weights: weights.xyz_from_rgb().0[1] }),
        (None, _) => None,
    };
    let codes = elaborated.result_range;
    let meaning = Meaning {
        from_chain,
        range,
        told_range: told_range.filter(|_| !from_chain).map(file_range),
        range_is_known: from_chain || told_range.is_some() || first.about.range.is_some(),
        wanted_encoding: match (from_chain, args.display) {
            (true, _) => None,
            (false, Some(display)) => Some(display.name().to_string()),
            (false, None) => told_encoding.map(|encoding| encoding.name.clone()),
        },
        display,
        rendering: if from_chain { elaborated.rendering() } else { first.about.rendering.clone() },
        gamut: gamut.as_ref().map(|gamut| gamut.name.to_string()),
        black_is_marked: args.black.is_some(),
    };
    let terms = Terms {
        range,
        signal: signal_limits,
        gamut: gamut
            .filter(|_| limits.of(Name::OutsideGamut).is_some())
            .map(|narrow| Gamut::new(&signal.primaries, &signal.curve.transfer, &narrow, bits, codes)),
        black: args.black,
        display_code: matches!(signal.reference, Reference::Display { .. }),
    };
    Ok((meaning, terms))
}

/// Ends that are off lie beyond any code.
fn of_signal(limits: &Limits) -> ([f64; 2], [f64; 2]) {
    let ends = |low, high| [limits.of(low).unwrap_or(-1e3), limits.of(high).unwrap_or(1e3)];
    (ends(Name::RgbLow, Name::RgbHigh), ends(Name::LumaLow, Name::LumaHigh))
}

/// The gamut that colours are held to: the one that is asked for, the one that the chain renders within, or P3-D65 on
/// PQ and HLG, which is what HDR is mastered in today (common practice, no source). None where it is the container's own.
fn gamut(args: &Args, of_chain: Option<String>, signal: &Signal) -> Result<Option<Primaries>, Failure> {
    let by_name = |name: &str| GAMUTS.into_iter().find(|gamut| gamut.name == name);
    let hdr = [Display::Pq, Display::Hlg].map(Display::name).contains(&signal.curve.name.as_str());
    let narrow = match (args.gamut.as_deref(), of_chain) {
        (Some("off"), _) => return Ok(None),
        (Some(name), _) if signal.is_unknown() => {
            let why = "which display the frames are for is not known; say it with --display";
            return Err(Failure::usage(format!("--gamut {name}: {why}")));
        }
        (Some(name), _) => by_name(name),
        (None, Some(name)) if by_name(&name).is_some() => by_name(&name),
        (None, _) => hdr.then_some(primaries::P3_D65),
    };
    let same = |narrow: &Primaries| narrow.name == signal.primaries.name || signal.curve == Curve::linear();
    Ok(narrow.filter(|narrow| !same(narrow)))
}

/// The gamuts that a picture is held to.
const GAMUTS: [Primaries; 3] = [primaries::BT709, primaries::P3_D65, primaries::BT2020];

/// Reads `--gamut`.
pub fn gamut_name(text: &str) -> Result<String, String> {
    let names = GAMUTS.map(|gamut| gamut.name.to_string());
    if text == "off" || names.iter().any(|name| name == text) {
        Ok(text.to_string())
    } else {
        Err(format!("{} or off is wanted", names.join(", ")))
    }
}

/// Reads `--display`.
pub fn display(text: &str) -> Result<Display, String> {
    Display::parse(text)
}

/// Reads `--black`.
pub fn area(text: &str) -> Result<Area, String> {
    let numbers: Vec<u32> = text.split(',').filter_map(|number| number.trim().parse().ok()).collect();
    match numbers[..] {
        [x, y, width, height] if width > 0 && height > 0 && text.split(',').count() == 4 => {
            Ok(Area { x, y, width, height })
        }
        _ => Err("X,Y,WIDTH,HEIGHT in pixels is wanted, for instance 100,200,64,64".to_string()),
    }
}
