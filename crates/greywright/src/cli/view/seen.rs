//! What a view makes of every pixel, and how many are of which class.

use std::fmt::Write as _;

use measure::view::{BANDS, Class, Kind, Mark, Pixel, View};

use crate::cli::scopes::{Tapped, thumbnail};
use crate::draw::Ink;

/// What stands for a class in a key.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Swatch {
    /// A band of false colour.
    Band(usize),
    /// A mark over mid grey.
    Mark(Mark),
    /// From one grey to another, in sRGB signal.
    Grey(f64, f64),
}

/// A class with the pixels that are of it.
#[derive(Debug, Clone, PartialEq)]
pub struct OfClass {
    pub name: String,
    pub swatch: Swatch,
    pub pixels: u64,
}

/// A picture as a view has it.
pub struct Seen {
    /// Columns and rows, and how many pixels wide each of the picture's is drawn.
    pub size: [u32; 2],
    /// The picture's pixels, or several of each, from the upper left.
    pub inks: Vec<Ink>,
    /// The classes, from light to dark, then the marks.
    pub classes: Vec<OfClass>,
    total: u64,
}

/// A small picture is drawn several pixels to one, up to about so wide.
const LEAST_WIDTH: u32 = 480;

impl Seen {
    /// Looks at every pixel.
    pub fn of(view: &View, original: &Tapped, tapped: &Tapped) -> Seen {
        let (width, height) = (tapped.size.width.max(1), tapped.size.height.max(1));
        let scale = (LEAST_WIDTH / width).max(1);
        let shows_picture = matches!(view.kind(), Kind::Zebra(_) | Kind::Warnings);
        let under = shows_picture.then(|| thumbnail(tapped, [width, height]));
        let mut classes = classes(view);
        let mut inks = Vec::with_capacity(width as usize * height as usize * (scale * scale) as usize);
        for y in 0..height {
            let row: Vec<(Class, [f64; 3])> = (0..width)
                .map(|x| {
                    let at = y as usize * width as usize + x as usize;
                    let rgb = |of: &Tapped| {
                        let [red, green, blue, _] = of.pixels.get(at).copied().unwrap_or_default().map(f64::from);
                        [red, green, blue]
                    };
                    let class = view.class(Pixel { original: rgb(original), signal: rgb(tapped) });
                    let picture = under.as_ref().and_then(|under| under.pixels.get(at)).copied().unwrap_or(Ink::BLACK);
                    if let Some(of) = classes.iter_mut().find(|of| is_of(class, of.swatch)) {
                        of.pixels += 1;
                    }
                    let picture = picture.0.map(|code| f64::from(code) / 255.0);
                    (class, if *view.kind() == Kind::Warnings { quiet(picture) } else { picture })
                })
                .collect();
            for line in y * scale..(y + 1) * scale {
                for (x, (class, picture)) in (0..).zip(&row) {
                    let ink = |column| Ink(class.ink(column, line, *picture).map(code));
                    inks.extend((x * scale..(x + 1) * scale).map(ink));
                }
            }
        }
        // A rare class that is not there is not spoken of.
        classes.retain(|of| of.pixels > 0 || of.swatch != Swatch::Mark(Mark::NotANumber));
        Seen { size: [width * scale, height * scale], inks, classes, total: u64::from(width) * u64::from(height) }
    }

    /// Pixels as a share of the picture.
    pub fn percent(&self, pixels: u64) -> f64 {
        100.0 * pixels as f64 / self.total.max(1) as f64
    }

    /// The same, for people: a single pixel is told from none.
    pub fn percent_in_words(&self, pixels: u64) -> String {
        match self.percent(pixels) {
            _ if pixels == 0 => "none".to_string(),
            percent if percent < 0.01 => "< 0.01 %".to_string(),
            percent => format!("{percent:.2} %"),
        }
    }

    /// Every class with its share.
    pub fn table(&self) -> String {
        let widest = self.classes.iter().map(|of| of.name.chars().count()).max().unwrap_or_default();
        self.classes.iter().fold(String::new(), |mut text, of| {
            // Writing to a string cannot fail.
            let _ = writeln!(text, "  {:widest$}  {:>8}", of.name, self.percent_in_words(of.pixels));
            text
        })
    }
}

/// The picture under warnings: grey and not bright, so that marks stand out.
fn quiet(rgb: [f64; 3]) -> [f64; 3] {
    let [red, green, blue] = rgb;
    [0.08 + 0.6 * (0.2126 * red + 0.7152 * green + 0.0722 * blue); 3]
}

fn code(signal: f64) -> u8 {
    (signal.clamp(0.0, 1.0) * 255.0).round() as u8
}

/// The classes that a view can have.
fn classes(view: &View) -> Vec<OfClass> {
    let of = |name: &str, swatch| OfClass { name: name.to_string(), swatch, pixels: 0 };
    let mark = |mark: Mark| of(mark.name(), Swatch::Mark(mark));
    let bands = || {
        let name = |numeral: &str| match numeral.strip_prefix(['<', '>']) {
            Some(rest) if numeral.starts_with('<') => format!("darker than {rest}.5"),
            Some(rest) => format!("lighter than {rest}.5"),
            None if numeral == "0" => "mid grey".to_string(),
            None if numeral.ends_with('1') => format!("{numeral} stop"),
            None => format!("{numeral} stops"),
        };
        BANDS.iter().enumerate().rev().map(move |(at, band)| of(&name(band.numeral), Swatch::Band(at)))
    };
    let mut classes: Vec<OfClass> = match view.kind() {
        Kind::FalseColour => bands().chain([mark(Mark::ClippedInOriginal), mark(Mark::CrushedInOriginal)]).collect(),
        Kind::Zebra(_) => vec![mark(Mark::Zebra)],
        Kind::Warnings => {
            let of_display = [Mark::White, Mark::Black].into_iter().filter(|_| view.is_of_display());
            let all = [Mark::ClippedInOriginal, Mark::CrushedInOriginal, Mark::OutsideGamut];
            all.into_iter().chain(of_display).map(mark).collect()
        }
        Kind::BlackWhite { near } => vec![
            mark(Mark::White),
            of(&format!("{:.0} % and more", 100.0 * (1.0 - near)), Swatch::Grey(0.56, 1.0)),
            of("in between", Swatch::Grey(0.5, 0.5)),
            of(&format!("{:.0} % and less", 100.0 * near), Swatch::Grey(0.0, 0.44)),
            mark(Mark::Black),
        ],
    };
    classes.push(mark(Mark::NotANumber));
    classes
}

fn is_of(class: Class, swatch: Swatch) -> bool {
    match (class, swatch) {
        (Class::Band(band), Swatch::Band(at)) => band == at,
        (Class::Mark(mark), Swatch::Mark(of)) => mark == of,
        (Class::Shown(signal), Swatch::Grey(low, high)) => signal.iter().all(|v| (low..=high).contains(v)),
        _ => false,
    }
}
