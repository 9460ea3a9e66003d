//! Bars of the standards: published regions, published 10-bit codes.
//!
//! Regions are those of 1920 x 1080 and scale with the picture. Edges are sharp: the rise times that the standards ask of a
//! generator belong to an interface.

use colour::{CodeRange, range};

use super::BARS;

/// Depth of the published codes.
const BITS: u32 = 10;
/// The picture that regions are given for.
const ACROSS: f64 = 1920.0;
const DOWN: f64 = 1080.0;
/// Columns of the grey flanks.
const FLANK: u32 = 240;
/// The column from which BT.2111's ramp holds its highest code; before it lies a code less a column.
const RAMP_TOP: f64 = 1813.0;

/// What a region shows.
#[derive(Debug, Clone, Copy)]
enum Fill {
    /// One colour.
    Codes([u32; 3]),
    /// A grey ramp from a code in the first column to another one in the last.
    Between(u32, u32),
    /// A grey ramp of a code a column that holds `first` until it begins, and `top` after it.
    CodeAColumn { first: u32, top: u32 },
}

/// Regions from left to right, so many columns each.
type Row = Vec<(u32, Fill)>;

/// A published chart.
#[derive(Debug, Clone)]
pub(super) struct Chart {
    range: CodeRange,
    /// Rows from the top, so many lines each.
    rows: Vec<(u32, Row)>,
}

impl Chart {
    /// The signal of a place, given as shares of the picture: 0 at black and 1 at white of the chart's range.
    pub(super) fn signal(&self, across: f64, down: f64) -> [f64; 3] {
        let (x, y) = (across * ACROSS, down * DOWN);
        let found = at(&self.rows, y).and_then(|(_, row)| at(row, x));
        let codes = found.map_or([0; 3], |(left, fill)| fill.codes(x, left));
        codes.map(|code| range::signal_from_code(BITS, self.range, code))
    }
}

/// What lies at a distance among things one after the other, and where it begins.
fn at<T>(all: &[(u32, T)], distance: f64) -> Option<((f64, f64), &T)> {
    let mut first = 0.0;
    for (length, thing) in all {
        let length = f64::from(*length);
        if distance < first + length {
            return Some(((first, length), thing));
        }
        first += length;
    }
    None
}

impl Fill {
    fn codes(self, x: f64, (left, width): (f64, f64)) -> [u32; 3] {
        match self {
            Fill::Codes(codes) => codes,
            Fill::Between(first, last) => {
                // The middle of the first column has the first code, that of the last the last.
                let share = ((x - left - 0.5) / (width - 1.0)).clamp(0.0, 1.0);
                [(f64::from(first) + share * (f64::from(last) - f64::from(first))).round() as u32; 3]
            }
            Fill::CodeAColumn { first, top } => {
                let below = (RAMP_TOP - x.floor()).max(0.0);
                [(f64::from(top) - below).max(f64::from(first)) as u32; 3]
            }
        }
    }
}

fn grey(width: u32, code: u32) -> (u32, Fill) {
    (width, Fill::Codes([code; 3]))
}

fn flat(width: u32, codes: [u32; 3]) -> (u32, Fill) {
    (width, Fill::Codes(codes))
}

/// Seven bars without black, between flanks.
fn bars(widths: [u32; 7], flank: u32, high: u32, low: u32) -> Row {
    let bar = |(width, on): (u32, [bool; 3])| flat(width, on.map(|on| if on { high } else { low }));
    let seven = widths.into_iter().zip(BARS).map(bar);
    std::iter::once(grey(FLANK, flank)).chain(seven).chain([grey(FLANK, flank)]).collect()
}

/// # Source
/// SMPTE RP 219-1 / ARIB STD-B28, 1920 x 1080, with 75 % white in the second row and black at the left of the ramp; codes and
/// regions by a public generator's acceptance test of them (secondary source).
pub(super) fn rp219() -> Chart {
    let (black, white, held) = (64, 940, 721);
    let second = vec![flat(FLANK, [black, white, white]), grey(1440, held), flat(FLANK, [black, black, white])];
    let third = vec![
        flat(FLANK, [white, white, black]),
        grey(205, black),
        (1030, Fill::Between(black, white)),
        grey(205, white),
        flat(FLANK, [white, black, black]),
    ];
    let fourth = [
        (FLANK, 195),
        (309, black),
        (411, white),
        (171, black),
        // 2 % below black, and 2 and 4 % above it.
        (69, 46),
        (68, black),
        (69, 82),
        (68, black),
        (69, 99),
        (206, black),
        (FLANK, 195),
    ];
    let fourth = fourth.map(|(width, code)| grey(width, code)).to_vec();
    let first = bars([205, 206, 206, 206, 206, 206, 205], 414, held, black);
    Chart { range: CodeRange::Legal, rows: vec![(630, first), (90, second), (90, third), (270, fourth)] }
}

/// The codes in which the three charts of BT.2111 differ.
pub(super) struct Hdr {
    range: CodeRange,
    black: u32,
    white: u32,
    /// 75 % of HLG or 58 % of PQ: reference white.
    held: u32,
    /// 40 %.
    flank: u32,
    /// From below black to above white, in tenths of signal.
    stairs: [u32; 13],
    near_black: [u32; 5],
    /// Colours of BT.709 at reference white: yellow, cyan, green; magenta, red, blue.
    left: [[u32; 3]; 3],
    right: [[u32; 3]; 3],
}

const NARROW_STAIRS: [u32; 13] = [4, 64, 152, 239, 327, 414, 502, 590, 677, 765, 852, 940, 1019];
const NARROW_NEAR_BLACK: [u32; 5] = [48, 64, 80, 64, 99];

pub(super) const HLG: Hdr = Hdr {
    range: CodeRange::Legal,
    black: 64,
    white: 940,
    held: 721,
    flank: 414,
    stairs: NARROW_STAIRS,
    near_black: NARROW_NEAR_BLACK,
    left: [[713, 719, 316], [538, 709, 718], [512, 706, 296]],
    right: [[651, 286, 705], [639, 269, 164], [227, 147, 702]],
};

pub(super) const PQ: Hdr = Hdr {
    held: 572,
    left: [[568, 571, 381], [484, 566, 571], [474, 564, 368]],
    right: [[536, 361, 564], [530, 350, 256], [317, 236, 562]],
    ..HLG
};

pub(super) const PQ_FULL: Hdr = Hdr {
    range: CodeRange::Full,
    black: 0,
    white: 1023,
    held: 593,
    flank: 409,
    stairs: [0, 0, 102, 205, 307, 409, 512, 614, 716, 818, 921, 1023, 1023],
    near_black: [0, 0, 20, 0, 41],
    left: [[589, 592, 370], [491, 586, 592], [478, 584, 355]],
    right: [[551, 347, 584], [544, 334, 225], [296, 201, 582]],
};

/// # Source
/// Rec. ITU-R BT.2111-2, 1920 x 1080; codes and regions by a public generator's acceptance test of them (secondary source).
pub(super) fn bt2111(hdr: &Hdr) -> Chart {
    let widths = [206, 206, 206, 204, 206, 206, 206];
    let stair_widths = [206, 103, 103, 103, 103, 102, 102, 103, 103, 103, 103, 103, 103];
    let stairs = stair_widths.into_iter().zip(hdr.stairs).map(|(width, code)| grey(width, code));
    let stairs = std::iter::once(grey(FLANK, hdr.held)).chain(stairs).chain([grey(FLANK, hdr.held)]);
    let (first, top) = (hdr.stairs[0], hdr.stairs[12]);
    let ramp = vec![grey(FLANK, hdr.black), (1680, Fill::CodeAColumn { first, top })];
    let near_black = [70, 68, 70, 68, 70].into_iter().zip(hdr.near_black).map(|(width, code)| grey(width, code));
    let mut last: Row = hdr.left.map(|codes| flat(80, codes)).to_vec();
    last.push(grey(136, hdr.black));
    last.extend(near_black);
    last.extend([grey(238, hdr.black), grey(438, hdr.held), grey(282, hdr.black)]);
    last.extend(hdr.right.map(|codes| flat(80, codes)));
    Chart {
        range: hdr.range,
        rows: vec![
            (90, bars(widths, hdr.flank, hdr.white, hdr.black)),
            (540, bars(widths, hdr.flank, hdr.held, hdr.black)),
            (90, stairs.collect()),
            (90, ramp),
            (270, last),
        ],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn regions_fill_the_picture() {
        for chart in [rp219(), bt2111(&HLG), bt2111(&PQ), bt2111(&PQ_FULL)] {
            assert_eq!(chart.rows.iter().map(|row| row.0).sum::<u32>(), 1080);
            for (_, row) in &chart.rows {
                assert_eq!(row.iter().map(|region| region.0).sum::<u32>(), 1920);
            }
        }
    }

    #[test]
    fn a_ramp_of_codes_has_each_code_once() {
        // Rec. ITU-R BT.2111-2: 4 up to column 799, then a code a column, 1019 from column 1813 on.
        let chart = bt2111(&HLG);
        let code = |x: u32| {
            let signal = chart.signal((f64::from(x) + 0.5) / ACROSS, 0.7)[1];
            range::code_from_signal(BITS, CodeRange::Legal, signal)
        };
        assert_eq!([239, 240, 798, 799, 1812, 1813, 1919].map(code), [64, 4, 4, 5, 1018, 1019, 1019]);
    }
}
