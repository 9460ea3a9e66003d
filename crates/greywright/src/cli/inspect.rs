//! `inspect`: what sequences hold and what their frames tell, and which adapters there are.

mod adapters;
mod codes_picture;

use std::path::{Path, PathBuf};

use colour::{CodeRange, EncodingError, Primaries};
use frame::Range;
use media::{Address, CodeUse, Note, Shot, ShotSheet, Survey, code_findings, quantile};
use ops::Book;
use serde::Serialize;
use session::tones;

use super::chain::{encodings, find};
use super::failure::Failure;
use super::say;

/// Say what sequences hold, or list the graphics adapters.
///
/// Every frame is read: gaps, repeated frames, changes of size and header, jumps of time code, and what the codes in use tell.
/// Guesses are called likely and give their reason; nothing is changed.
#[derive(clap::Args)]
#[command(after_help = "  greywright inspect --adapters
  greywright inspect 'deck_010.%04d.dpx' --codes --codes-picture codes.png
  greywright inspect --shot-sheet day_3.csv")]
pub struct Args {
    /// Sequences: name.%04d.dpx, name.####.exr, one file, or a folder. With a shot sheet and none, its media.
    #[arg(value_name = "PATH", required_unless_present_any = ["adapters", "shot_sheet"])]
    paths: Vec<PathBuf>,
    /// List the graphics adapters; the first one is used unless GREYWRIGHT_ADAPTER says otherwise.
    #[arg(long, conflicts_with = "paths")]
    adapters: bool,
    /// A table (CSV) that says what originals are: shot, set-up, camera roll, media, encoding, exposure index, camera
    /// kelvin, range. It comes before the files' headers.
    #[arg(long, value_name = "FILE")]
    shot_sheet: Option<PathBuf>,
    /// An encoding file (TOML); a shot sheet may then use its name. May be repeated.
    #[arg(long, value_name = "FILE")]
    encoding_file: Vec<PathBuf>,
    /// Say which codes each channel uses.
    #[arg(long)]
    codes: bool,
    /// Draw how often each code is used, for one sequence.
    #[arg(long, value_name = "FILE.png")]
    codes_picture: Option<PathBuf>,
    /// Write JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Serialize)]
struct Sequence {
    path: String,
    shot: Option<String>,
    set_up: Option<String>,
    camera_roll: Option<String>,
    camera: Option<String>,
    exposure_index: Option<u32>,
    camera_kelvin: Option<f64>,
    frames: usize,
    first: i64,
    last: i64,
    missing: String,
    width: u32,
    height: u32,
    stored: String,
    encoding: Option<String>,
    encoding_reason: Option<String>,
    likely: Option<String>,
    /// How finely the codes tell levels apart.
    tones: Option<String>,
    header_says: Option<String>,
    /// How the file says that it was brought to a display.
    rendering: Option<String>,
    pixel_aspect: Option<f64>,
    chromaticities: Option<String>,
    range: Option<&'static str>,
    rate: Option<f64>,
    timecode: Option<String>,
    codes: Vec<Channel>,
    findings: Vec<Finding>,
    failed: Vec<Failed>,
    warnings: Vec<String>,
}

#[derive(Serialize)]
struct Channel {
    channel: &'static str,
    least: u32,
    greatest: u32,
    used: usize,
    median: u32,
}

#[derive(Serialize)]
struct Finding {
    kind: &'static str,
    words: String,
}

#[derive(Serialize)]
struct Failed {
    frame: i64,
    reason: String,
}

pub fn run(args: &Args) -> Result<(), Failure> {
    if args.adapters {
        return adapters::list(args.json);
    }
    let sheet = args.shot_sheet.as_deref().map(ShotSheet::read).transpose().map_err(Failure::work)?;
    let book = encodings(&args.encoding_file)?;
    if let Some(sheet) = &sheet {
        check(sheet, &book)?;
    }
    // Each with the row that names it, for messages.
    let paths: Vec<(PathBuf, String)> = match &sheet {
        Some(sheet) if args.paths.is_empty() => {
            let at = |line| format!("{}: line {line}, column 'media': ", sheet.path.display());
            sheet.shots.iter().map(|shot| (shot.media.clone(), at(shot.line))).collect()
        }
        _ => args.paths.iter().map(|path| (path.clone(), String::new())).collect(),
    };
    if args.codes_picture.is_some() && paths.len() != 1 {
        return Err(Failure::usage("--codes-picture draws one sequence; name one"));
    }
    let (mut told, mut refused) = (Vec::new(), Vec::new());
    for (path, named_by) in &paths {
        match inspect(path, sheet.as_ref(), &book, args) {
            Ok(sequence) => told.push(sequence),
            // One that cannot be read keeps nothing of the others back.
            Err(failure) => refused.push(format!("{named_by}{}", failure.message)),
        }
    }
    if args.json {
        say::json(&told)?;
    } else {
        for sequence in &told {
            say::result(&text(sequence))?;
            sequence.warnings.iter().for_each(|warning| say::note(warning));
        }
    }
    refused.iter().for_each(|message| say::error(message));
    let failed: Vec<&Failed> = told.iter().flat_map(|sequence| &sequence.failed).collect();
    for failed in &failed {
        say::error(&format!("frame {}: {}", failed.frame, failed.reason));
    }
    if failed.is_empty() && refused.is_empty() { Ok(()) } else { Err(Failure::said()) }
}

/// Encodings of a sheet must be known, and have a curve for the exposure index where they depend on it.
fn check(sheet: &ShotSheet, book: &Book) -> Result<(), Failure> {
    for shot in &sheet.shots {
        let Some(encoding) = &shot.encoding else { continue };
        let (column, error) = match book.find(encoding, shot.exposure_index) {
            // The index is a fact of the shoot, whether or not the encoding depends on it.
            Ok(_) | Err(EncodingError::NoExposureIndex { .. }) => continue,
            Err(error @ EncodingError::ExposureIndex { .. }) => ("exposure index", error),
            Err(error) => ("encoding", error),
        };
        let sheet = sheet.path.display();
        return Err(Failure::work(format!("{sheet}: line {}, column '{column}': {error}", shot.line)));
    }
    Ok(())
}

fn inspect(path: &Path, sheet: Option<&ShotSheet>, book: &Book, args: &Args) -> Result<Sequence, Failure> {
    let sequence = media::Sequence::open(path)?;
    let bar = say::progress(sequence.frames().len(), sequence.name());
    let survey = Survey::of(&sequence, |_, _| bar.inc(1));
    bar.finish_and_clear();
    let survey = survey?;
    let first = survey.frames.first().ok_or_else(|| Failure::work(format!("{}: no frames", path.display())))?;
    let shot = sheet.and_then(|sheet| sheet.shot_of(&sequence));
    let mut about = first.about.clone();
    if let Some(shot) = shot {
        shot.overrule(&mut about);
    }
    if let Some(picture) = &args.codes_picture {
        let floats = || Failure::work(format!("{}: floats have no codes to draw", path.display()));
        codes_picture::write(survey.codes.as_ref().ok_or_else(floats)?, picture)?;
    }
    let span = sequence.span();
    let say = |read: fn(&Shot) -> Option<String>| shot.and_then(read);
    let (encoding, encoding_reason) = about.encoding.clone().unzip();
    let tones = tones_of(&survey, &about, shot.and_then(|shot| shot.exposure_index), book);
    Ok(Sequence {
        tones,
        path: path.display().to_string(),
        shot: say(|shot| Some(shot.shot.clone())),
        set_up: say(|shot| shot.set_up.clone()),
        camera_roll: about.camera_roll.clone(),
        camera: about.notes.get(&Note::Device).cloned(),
        exposure_index: shot.and_then(|shot| shot.exposure_index),
        camera_kelvin: shot.and_then(|shot| shot.camera_kelvin),
        frames: sequence.frames().len(),
        first: *span.start(),
        last: *span.end(),
        missing: sequence.missing_in_words(),
        width: first.size.width,
        height: first.size.height,
        stored: first.layout.name(),
        likely: if encoding.is_some() {
            None
        } else {
            session::likely::guess(&survey, about.range).map(|guess| guess.words)
        },
        encoding,
        encoding_reason,
        header_says: about.header_says,
        rendering: about.rendering,
        pixel_aspect: about.pixel_aspect,
        chromaticities: about.chromaticities.map(chromaticities_in_words),
        range: about.range.map(Range::name),
        rate: about.rate,
        timecode: timecodes(&survey),
        codes: if args.codes { survey.codes.as_ref().map(channels).unwrap_or_default() } else { Vec::new() },
        findings: findings(&survey, about.range),
        failed: survey
            .failed
            .iter()
            .map(|(frame, error)| Failed { frame: *frame, reason: error.to_string() })
            .collect(),
        warnings: about.warnings,
    })
}

/// How many codes an original of a known encoding spends on a stop at mid grey.
fn tones_of(survey: &Survey, about: &media::About, index: Option<u32>, book: &Book) -> Option<String> {
    let (id, _) = about.encoding.as_ref()?;
    let encoding = find(book, id, index).ok()?;
    let codes = survey.codes.as_ref()?;
    let bits = media::fewer_bits_of(codes).unwrap_or(codes.bits());
    let range = code_range(about.range.unwrap_or_default());
    let tap = measure::Tap::new(ops::Signal::code(&encoding));
    let count = tones::codes_above_mid_grey(&tap, bits, range)?;
    Some(format!("{bits} bits of {id}: {} from mid grey to a stop above it", say::count(count as usize, "code")))
}

fn code_range(range: Range) -> CodeRange {
    match range {
        Range::Full => CodeRange::Full,
        Range::Legal => CodeRange::Legal,
    }
}

/// Red, green, blue and white with the name of the primaries that they are, if they have one. Files print four or five
/// decimals.
fn chromaticities_in_words(told: [[f64; 2]; 4]) -> String {
    let name = Primaries::with_chromaticities(told, 1e-4).map_or("of no name".into(), |known| known.name);
    let [red, green, blue, white] = told.map(|[x, y]| format!("{x} {y}"));
    format!("{name}: red {red}, green {green}, blue {blue}, white {white}")
}

/// First and last time code, where the files say any.
fn timecodes(survey: &Survey) -> Option<String> {
    let address = |seen: &media::Seen| -> Option<Address> { seen.about.timecode?.address().ok() };
    let (first, last) = (address(survey.frames.first()?)?, address(survey.frames.last()?)?);
    Some(if first == last { first.to_string() } else { format!("{first} to {last}") })
}

fn channels(codes: &CodeUse) -> Vec<Channel> {
    let names = ["red", "green", "blue"];
    let one = |(counts, channel): (&Vec<u64>, &'static str)| {
        let used = counts.iter().filter(|count| **count > 0).count();
        let [least, median, greatest] = [0.0, 0.5, 1.0].map(|share| quantile(counts, share));
        Some(Channel { channel, least: least?, greatest: greatest?, used, median: median? })
    };
    codes.channels().iter().zip(names).filter_map(one).collect()
}

/// What the frames tell, sequence first.
fn findings(survey: &Survey, range: Option<Range>) -> Vec<Finding> {
    let repeats = survey.repeats().into_iter().map(|numbers| {
        let words = numbers.iter().map(i64::to_string).collect::<Vec<_>>().join(", ");
        Finding { kind: "repeat", words: format!("frames {words} hold the same picture, byte for byte") }
    });
    let changes = survey.changes().into_iter().map(|change| {
        let words = format!("frame {}: {}, the frame before it {}", change.number, change.now, change.before);
        Finding { kind: "change", words }
    });
    let breaks = survey.timecode_breaks().into_iter().map(|jump| {
        let words = format!("frame {}: time code {} where {} would follow", jump.number, jump.found, jump.expected);
        Finding { kind: "timecode", words }
    });
    let floats = survey.floats.iter().filter(|floats| floats.not_finite > 0).map(|floats| {
        let words = format!("{} of {} values are NaN or infinite", floats.not_finite, floats.samples);
        Finding { kind: "not-finite", words }
    });
    let codes = survey.codes.iter().flat_map(|codes| code_findings(codes, range));
    let codes = codes.map(|finding| Finding { kind: finding.fault.id(), words: finding.words });
    repeats.chain(changes).chain(breaks).chain(floats).chain(codes).collect()
}

/// A sequence in words: a line a fact, what nobody says left out.
fn text(told: &Sequence) -> String {
    let mut text = format!("{}\n", told.path);
    let mut line = |name: &str, words: Option<String>| {
        if let Some(words) = words {
            text += &format!("  {name:<9}{words}\n");
        }
    };
    line("shot", told.shot.clone());
    line("set-up", told.set_up.clone());
    line("roll", told.camera_roll.clone());
    line("camera", told.camera.clone());
    line("index", told.exposure_index.map(|index| format!("exposure index {index}")));
    line("kelvin", told.camera_kelvin.map(|kelvin| format!("camera at {kelvin} K")));
    line("frames", Some(format!("{}, {} to {}", told.frames, told.first, told.last)));
    line("missing", Some(if told.missing.is_empty() { "none".to_string() } else { told.missing.clone() }));
    line("size", Some(format!("{}x{}, {}", told.width, told.height, told.stored)));
    line("pixels", told.pixel_aspect.map(|aspect| format!("{} as wide as high", say::significant(aspect, 5))));
    line("rate", told.rate.map(|rate| format!("{} frames a second", say::significant(rate, 5))));
    line("timecode", told.timecode.clone());
    let encoding = match (&told.encoding, &told.encoding_reason) {
        (Some(id), Some(reason)) => format!("{id} ({reason})"),
        _ => "not said by the file".to_string(),
    };
    line("encoding", Some(encoding));
    line("", told.header_says.as_ref().map(|words| format!("the header, often wrong: {words}")));
    line("", told.likely.clone());
    line("tones", told.tones.clone());
    line("made for", told.rendering.clone());
    line("gamut", told.chromaticities.clone());
    line("range", Some(told.range.unwrap_or("not said by the file").to_string()));
    for codes in &told.codes {
        let words = format!("{} to {}, median {}, {} used", codes.least, codes.greatest, codes.median, codes.used);
        line(codes.channel, Some(words));
    }
    for finding in &told.findings {
        line("found", Some(finding.words.clone()));
    }
    text
}
