//! Marks over a picture: patterns of light and dark, told apart without hue and seen on any picture.

/// What is marked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Mark {
    /// A channel of the original is at its upper end.
    ClippedInOriginal,
    /// A channel of the original is at its lower end.
    CrushedInOriginal,
    /// A channel of the display is at white or beyond; all three in the view of black and white.
    White,
    /// A channel of the display is at black or beyond; all three in the view of black and white.
    Black,
    /// The colour is outside the gamut.
    OutsideGamut,
    /// As light as what is looked for.
    Zebra,
    /// A number is none.
    NotANumber,
}

/// Light strokes.
const LIGHT: f64 = 0.98;
/// Dark strokes.
const DARK: f64 = 0.02;

impl Mark {
    /// All of them, the gravest first.
    pub const ALL: [Mark; 7] = [
        Mark::NotANumber,
        Mark::ClippedInOriginal,
        Mark::CrushedInOriginal,
        Mark::OutsideGamut,
        Mark::White,
        Mark::Black,
        Mark::Zebra,
    ];

    /// What it is, in words.
    pub fn name(self) -> &'static str {
        match self {
            Mark::ClippedInOriginal => "clipped in the original",
            Mark::CrushedInOriginal => "at the original's lowest code",
            Mark::White => "at white",
            Mark::Black => "at black",
            Mark::OutsideGamut => "outside the gamut",
            Mark::Zebra => "in the range",
            Mark::NotANumber => "not a number",
        }
    }

    /// The grey that is drawn at a place, in sRGB signal; nothing where the picture shows through.
    pub fn ink(self, x: u32, y: u32) -> Option<f64> {
        let rising = (x % 8 + y % 8) % 8;
        // Columns counted from the right would need the width: 7 x is as much as -x.
        let falling = (7 * (x % 8) + y % 8) % 8;
        match self {
            Mark::ClippedInOriginal => Some(if rising < 4 { LIGHT } else { DARK }),
            Mark::CrushedInOriginal => Some(if falling < 2 { 0.45 } else { DARK }),
            Mark::White => match y % 6 {
                0 | 1 => Some(DARK),
                _ => Some(LIGHT),
            },
            Mark::Black => match x % 6 {
                0 | 1 => Some(0.45),
                _ => Some(DARK),
            },
            Mark::OutsideGamut => match (x % 4, y % 4) {
                (0 | 1, 0 | 1) => Some(LIGHT),
                (2 | 3, 2 | 3) => Some(DARK),
                _ => None,
            },
            Mark::Zebra => match falling {
                0 | 1 => Some(DARK),
                2 | 3 => Some(LIGHT),
                _ => None,
            },
            Mark::NotANumber => Some(if (x / 4 + y / 4).is_multiple_of(2) { LIGHT } else { DARK }),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn each_mark_has_a_pattern_of_its_own_with_light_and_dark() {
        let drawn: BTreeSet<Vec<Option<u32>>> = Mark::ALL
            .iter()
            .map(|mark| {
                let inks: Vec<_> =
                    (0..24 * 24).map(|at| mark.ink(at % 24, at / 24).map(|v| (v * 100.0) as u32)).collect();
                let (least, most) = (inks.iter().flatten().min(), inks.iter().flatten().max());
                assert!(most.zip(least).is_some_and(|(most, least)| most - least > 40), "{}", mark.name());
                inks
            })
            .collect();
        assert_eq!(drawn.len(), Mark::ALL.len());
        // Stripes go on from row to row, also where x is large.
        assert_eq!(Mark::Zebra.ink(u32::MAX - 8, 5), Mark::Zebra.ink(u32::MAX - 7, 6));
    }
}
