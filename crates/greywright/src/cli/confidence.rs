//! How sure the reading of a grey card is: what is declared of it, in words, and as data.

use measure::confidence::{Confidence, Declared, Spread, Tolerance};
use serde::Serialize;

pub use session::readings::{code_of, mean_xyz};

use super::{named_numbers, say};

/// What is declared of a grey card.
#[derive(clap::Args, Debug, Clone, Default)]
pub struct DeclaredArgs {
    /// How far the grey card itself may be off, one standard deviation of each.
    #[arg(long, value_name = "stops=.05,mired=2,duv=.0005", value_parser = tolerance)]
    card_tolerance: Option<Tolerance>,
    /// A veil over the card that may be there, in % of the card's light; 1 unless told.
    #[arg(long, value_name = "PERCENT", value_parser = percent)]
    card_flare: Option<f64>,
}

impl DeclaredArgs {
    /// What holds; the usual where nothing is told.
    pub fn declared(&self) -> Declared {
        let usual = Declared::default();
        Declared {
            card: self.card_tolerance.unwrap_or(usual.card),
            flare: self.card_flare.map_or(usual.flare, |percent| percent / 100.0),
        }
    }
}

fn tolerance(text: &str) -> Result<Tolerance, String> {
    let mut of = Tolerance::default();
    let places = &mut [("stops", &mut of.stops), ("mired", &mut of.mired), ("duv", &mut of.duv)];
    named_numbers::read(text, places, true)?;
    Ok(of)
}

fn percent(text: &str) -> Result<f64, String> {
    let number = text.trim().parse().ok().filter(|v| (0.0..100.0).contains(v));
    number.ok_or_else(|| "a share in % is wanted, 0 or more and below 100".to_string())
}

/// `3108 K ± 4.0 mired, ± 0.0006 Duv, ± 0.06 stop, mostly gradient`.
pub fn in_words(of: &Confidence) -> String {
    let Spread { mired, duv, stops } = of.total;
    let (part, mostly) = of.largest();
    let most = if mostly { "mostly" } else { "most of it" };
    format!(
        "{:.0} K ± {:.1} mired, ± {:.4} Duv, ± {:.2} stop, {most} {}",
        of.kelvin,
        say::rounded(mired, 1),
        say::rounded(duv, 4),
        say::rounded(stops, 2),
        part.name()
    )
}

/// The same as data; each spread is one standard deviation.
#[derive(Debug, Clone, Serialize)]
pub struct Data {
    kelvin: f64,
    mired: f64,
    duv: f64,
    stops: f64,
    /// The largest part, and whether it is more than half of the whole.
    largest: &'static str,
    mostly: bool,
    parts: Vec<PartData>,
    pixels: usize,
    /// What the pixels are worth as independent samples.
    samples: f64,
    words: String,
}

#[derive(Debug, Clone, Serialize)]
struct PartData {
    part: &'static str,
    mired: f64,
    duv: f64,
    stops: f64,
}

impl From<&Confidence> for Data {
    fn from(of: &Confidence) -> Data {
        let (largest, mostly) = of.largest();
        let part = |(part, Spread { mired, duv, stops }): &(measure::confidence::Part, Spread)| PartData {
            part: part.name(),
            mired: *mired,
            duv: *duv,
            stops: *stops,
        };
        Data {
            kelvin: of.kelvin,
            mired: of.total.mired,
            duv: of.total.duv,
            stops: of.total.stops,
            largest: largest.name(),
            mostly,
            parts: of.parts.iter().map(part).collect(),
            pixels: of.pixels,
            samples: of.samples,
            words: in_words(of),
        }
    }
}

impl Data {
    /// In words.
    pub fn words(&self) -> &str {
        &self.words
    }
}
