//! `monitor`: what a monitor profile makes of a display's picture; and profiles for the commands that show pictures.

use std::path::{Path, PathBuf};

use colour::{CodeRange, Form, Matrix};
use graph::{Elaborated, Made, Monitored, Value};
use ops::{Display, Rendering, Setting as _, Signal};
use reference::Proof;
use serde::Serialize;

use super::failure::Failure;
use super::say;

/// Highest 10-bit code.
const CODES_10: f64 = 1023.0;

/// 10-bit codes next to black.
const NEAR_BLACK: [u32; 8] = [0, 1, 2, 4, 8, 16, 32, 64];

/// Steps of grey, as shares of the signal.
const GREYS: [f64; 5] = [0.1, 0.25, 0.5, 0.75, 1.0];

/// Colours at the full signal.
const COLOURS: [(&str, [f64; 3]); 6] = [
    ("red", [1.0, 0.0, 0.0]),
    ("green", [0.0, 1.0, 0.0]),
    ("blue", [0.0, 0.0, 1.0]),
    ("cyan", [0.0, 1.0, 1.0]),
    ("magenta", [1.0, 0.0, 1.0]),
    ("yellow", [1.0, 1.0, 0.0]),
];

/// Say what a monitor profile does: the code that shows each tone of a display's picture, and what it cannot show.
///
/// A profile (TOML) says what a monitor makes of its code: name, primaries, white, eotf, peak_nits, black_nits, and a
/// LUT if it needs one. Light is shown as it is, in nits. What is rendered or exported never goes through a monitor;
/// `eval --monitor` says what it shows of a chain.
#[derive(clap::Args)]
#[command(after_help = "  greywright monitor desk.toml
  greywright monitor desk.toml --display PQ --peak 1000")]
pub struct Args {
    /// The profile.
    #[arg(value_name = "FILE")]
    profile: PathBuf,
    /// The display that the picture is made for.
    #[arg(long, value_name = "NAME", default_value = "BT.1886", value_parser = Display::parse)]
    display: Display,
    /// The light of its white, in nits: its usual one unless told.
    #[arg(long, value_name = "NITS")]
    peak: Option<f64>,
    /// Write JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Serialize)]
struct Answer {
    monitor: String,
    /// What its code is.
    signal: String,
    /// What the picture's code is.
    picture: String,
    tones: Vec<Tone>,
    notes: Vec<String>,
}

#[derive(Serialize)]
struct Tone {
    name: String,
    /// The picture's 10-bit code, full range.
    code: [f64; 3],
    /// Luminance that the picture's display has, in nits.
    nits: f64,
    /// The monitor's 10-bit code.
    monitor_code: [f64; 3],
}

/// A picture as it is seen on the monitor of a profile.
pub fn seen(picture: Elaborated, profile: &Path) -> Result<Monitored, Failure> {
    let monitor = session::monitor::load(profile)?;
    Monitored::new(picture, monitor).map_err(|error| Failure::work(format!("{}: {error}", profile.display())))
}

pub fn run(args: &Args) -> Result<(), Failure> {
    let peak_nits = args.peak.unwrap_or_else(|| args.display.usual_peak_nits(Rendering::Aces2));
    // As an output-transform has them.
    if !(1.0..=10_000.0).contains(&peak_nits) {
        return Err(Failure::usage(format!("--peak {peak_nits}: the white of a display has 1 to 10000 nits")));
    }
    let signal = args.display.signal(peak_nits, 0.0);
    let monitored = seen(as_it_is(&signal), &args.profile)?;
    let answer = answer(&monitored);
    if args.json { say::json(&answer) } else { say::result(&table(&answer)) }
}

/// A display's signal that nothing is done to.
fn as_it_is(signal: &Signal) -> Elaborated {
    Elaborated {
        original: signal.clone(),
        original_range: CodeRange::Full,
        nodes: Vec::new(),
        result: Value(0),
        result_signal: signal.clone(),
        result_range: CodeRange::Full,
        made: Made::AsOriginal,
        warnings: Vec::new(),
    }
}

fn answer(monitored: &Monitored) -> Answer {
    let signal = &monitored.picture().result_signal;
    let proof = Proof::for_monitor(monitored);
    let light = Light::of(signal);
    let tone = |name: String, code: [f64; 3]| Tone {
        name,
        code: code.map(|share| share * CODES_10),
        nits: light.nits(code),
        monitor_code: proof.pixel(code).map(|share| share * CODES_10),
    };
    let near_black = NEAR_BLACK.map(|code| tone(format!("code {code}"), [f64::from(code) / CODES_10; 3]));
    let greys = GREYS.map(|share| tone(format!("grey {} %", share * 100.0), [share; 3]));
    let colours = COLOURS.map(|(name, code)| tone(name.to_string(), code));
    Answer {
        monitor: monitored.monitor().name.clone(),
        signal: monitored.monitor().signal().to_string(),
        picture: signal.to_string(),
        tones: near_black.into_iter().chain(greys).chain(colours).collect(),
        notes: monitored.notes().to_vec(),
    }
}

/// What light a display makes of its code.
struct Light {
    signal: Signal,
    xyz: Matrix,
}

impl Light {
    fn of(signal: &Signal) -> Self {
        Self { signal: signal.clone(), xyz: signal.primaries.xyz_from_rgb() }
    }

    /// Luminance in nits of a code, black 0.
    fn nits(&self, code: [f64; 3]) -> f64 {
        let linear = code.map(|code| self.signal.curve.transfer.decode(Form::Exact, code));
        let nits = match (&self.signal.curve.transfer, self.signal.reference) {
            (colour::Transfer::Hlg, ops::Reference::Display { peak_nits, .. }) => {
                colour::hlg_ootf::nits_from_scene(linear, peak_nits, 0.0)
            }
            _ => linear.map(|light| light * self.signal.unit_nits()),
        };
        self.xyz.apply(nits)[1]
    }
}

fn table(answer: &Answer) -> String {
    let mut text = format!("{}\n  {}\n  showing {}\n", answer.monitor, answer.signal, answer.picture);
    text += &format!("  {:<12}{:>20}{:>12}{:>26}\n", "", "10-bit code", "nits", "the monitor's code");
    for tone in &answer.tones {
        let [r, g, b] = tone.code.map(|code| format!("{code:.0}"));
        let [to_r, to_g, to_b] = tone.monitor_code.map(|code| format!("{code:.1}"));
        text += &format!(
            "  {:<12}{:>20}{:>12}{:>26}\n",
            tone.name,
            format!("{r} {g} {b}"),
            say::significant(tone.nits, 4),
            format!("{to_r} {to_g} {to_b}")
        );
    }
    answer.notes.iter().for_each(|note| text += &format!("  note: {note}\n"));
    text
}
