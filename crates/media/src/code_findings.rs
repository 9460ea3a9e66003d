//! What the use of codes tells of a picture's past, each with its reason in figures.
//!
//! The limits below are ours (common practice, no source): they are set so that a sound camera original brings none
//! of these findings, and each finding says the figures it rests on, so that a user can judge it.

use frame::Range;

use crate::codes::{CodeUse, quantile, used};

/// What was found. Nothing is changed because of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CodeFinding {
    /// What it is.
    pub fault: CodeFault,
    /// The finding and its reason, in figures.
    pub words: String,
}

/// Kinds of findings.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CodeFault {
    /// The values had fewer bits before.
    FewerBits,
    /// Codes are left out amid codes that occur: stretched after it was quantised.
    Gaps,
    /// Codes at regular distances hold twice as much as those beside them: compressed after it was quantised.
    Doubled,
    /// Believed full range, yet the codes span legal range.
    LegalInFull,
    /// Believed legal range, yet the codes go well beyond it.
    FullInLegal,
    /// Pixels pile up at the greatest code.
    ClippedHead,
    /// Pixels pile up at the least code.
    ClippedToe,
}

impl CodeFault {
    /// A word for programs.
    pub const fn id(self) -> &'static str {
        match self {
            CodeFault::FewerBits => "fewer-bits",
            CodeFault::Gaps => "gaps",
            CodeFault::Doubled => "doubled",
            CodeFault::LegalInFull => "legal-in-full",
            CodeFault::FullInLegal => "full-in-legal",
            CodeFault::ClippedHead => "clipped-head",
            CodeFault::ClippedToe => "clipped-toe",
        }
    }
}

/// Fewest different codes from which anything is said of their spacing.
const FEWEST_CODES: usize = 16;
/// A code that does not occur is a gap if the used codes on both sides have so many samples: chance then leaves it
/// empty once in a thousand million times (Poisson, e^-20).
const SURE: u64 = 20;
/// Farthest that the used codes on both sides of a gap lie apart: a stretch of up to 8 times.
const WIDEST_GAP: u32 = 8;
/// Share of the span that must be gaps, and their least number.
const GAP_SHARE: f64 = 0.01;
const FEWEST_GAPS: u32 = 8;
/// How much more than the mean of its neighbours a code must hold to count as two codes in one, and how many samples
/// the neighbours must hold for that: chance then reaches it once in thousands (Poisson, four standard deviations).
const DOUBLE_TIMES: f64 = 1.5;
const DOUBLE_SURE: u64 = 100;
/// Fewest doubled codes, and the share of their distances that must be regular: equal or one apart, as those of a
/// straight line are when it is rounded.
const FEWEST_DOUBLED: usize = 8;
const REGULAR_SHARE: f64 = 0.9;
/// Share of samples that the ends of the range leave aside as strays.
const STRAYS: f64 = 0.0005;
/// Share of a channel's pixels at one end that counts as clipped, and how many times its neighbours it must hold.
const PILE_SHARE: f64 = 0.0005;
const PILE_TIMES: f64 = 8.0;
/// Codes beside the end that it is held against.
const NEIGHBOURS: usize = 8;

/// Everything that the use of codes tells. `range` is what the file or the user says of the range, if anything.
pub fn code_findings(codes: &CodeUse, range: Option<Range>) -> Vec<CodeFinding> {
    let mut findings = Vec::new();
    let mut add = |fault, words: Option<String>| findings.extend(words.map(|words| CodeFinding { fault, words }));
    let fewer = fewer_bits(codes);
    // Codes that 8 bits become leave gaps too; one finding says it.
    let gaps = if fewer.is_some() { None } else { gaps(codes) };
    add(CodeFault::FewerBits, fewer);
    add(CodeFault::Gaps, gaps);
    add(CodeFault::Doubled, doubled(codes));
    match range {
        Some(Range::Legal) => add(CodeFault::FullInLegal, full_in_legal(codes)),
        Some(Range::Full) | None => add(CodeFault::LegalInFull, legal_in_full(codes, range.is_some())),
    }
    add(CodeFault::ClippedHead, clipped(codes, End::Head));
    add(CodeFault::ClippedToe, clipped(codes, End::Toe));
    findings
}

/// How values of fewer bits were put into more.
#[derive(Clone, Copy)]
enum Widening {
    Shifted,
    Repeated,
    Scaled,
}

impl Widening {
    fn wide(self, value: u32, from: u32, to: u32) -> u32 {
        let by = to - from;
        match self {
            Widening::Shifted => value << by,
            Widening::Repeated => value << by | value >> from.saturating_sub(by),
            Widening::Scaled => {
                let (least, most) = ((1 << from) - 1, (1 << to) - 1);
                (2 * value * most + least) / (2 * least)
            }
        }
    }

    fn reason(self, from: u32, to: u32) -> String {
        match self {
            Widening::Shifted => format!("only codes divisible by {}", 1 << (to - from)),
            Widening::Repeated => format!("only codes that {from}-bit values become when their high bits are repeated"),
            Widening::Scaled => {
                let (least, most) = ((1_u32 << from) - 1, (1_u32 << to) - 1);
                format!("only codes that {from}-bit values become when scaled by {most}/{least}")
            }
        }
    }
}

/// The depth that the values had before they were put into words of more bits; none where they use their words.
pub fn fewer_bits_of(codes: &CodeUse) -> Option<u32> {
    widened(codes).map(|(from, _)| from)
}

fn fewer_bits(codes: &CodeUse) -> Option<String> {
    let (from, widening) = widened(codes)?;
    let (bits, used) = (codes.bits(), used(&codes.together()).len());
    let reason = widening.reason(from, bits);
    Some(format!("{reason} ({used} used): likely {from}-bit values in {bits}-bit words"))
}

fn widened(codes: &CodeUse) -> Option<(u32, Widening)> {
    let bits = codes.bits();
    let counts = codes.together();
    let used = used(&counts);
    if used.len() < FEWEST_CODES {
        return None;
    }
    for from in 8..bits {
        for widening in [Widening::Shifted, Widening::Repeated, Widening::Scaled] {
            let mut possible = vec![false; counts.len()];
            for value in 0..1_u32 << from {
                if let Some(code) = possible.get_mut(widening.wide(value, from, bits) as usize) {
                    *code = true;
                }
            }
            if used.iter().all(|(code, _)| possible[*code as usize]) {
                return Some((from, widening));
            }
        }
    }
    None
}

fn gaps(codes: &CodeUse) -> Option<String> {
    let worst = codes.channels().iter().zip(NAMES).filter_map(|(counts, name)| {
        let (low, high) = (quantile(counts, 0.005)?, quantile(counts, 0.995)?);
        let used = used(counts);
        let missing: u32 = used
            .windows(2)
            .filter(|pair| pair[0].0 >= low && pair[1].0 <= high)
            .filter(|pair| pair[0].1 >= SURE && pair[1].1 >= SURE)
            .map(|pair| pair[1].0 - pair[0].0 - 1)
            .filter(|missing| *missing < WIDEST_GAP)
            .sum();
        Some((missing, high - low + 1, low, high, name, used.len()))
    });
    let (missing, span, low, high, name, used) = worst.max_by_key(|worst| worst.0)?;
    if missing < FEWEST_GAPS || f64::from(missing) < GAP_SHARE * f64::from(span) || used < FEWEST_CODES {
        return None;
    }
    let stretch = f64::from(span) / f64::from(span - missing);
    Some(format!(
        "{name}: {missing} of the {span} codes from {low} to {high} never occur though those beside them do: likely \
         stretched about {stretch:.2} times after it was quantised"
    ))
}

fn doubled(codes: &CodeUse) -> Option<String> {
    let found = codes.channels().iter().zip(NAMES).filter_map(|(counts, name)| {
        let (low, high) = (quantile(counts, 0.005)?, quantile(counts, 0.995)?);
        let doubled: Vec<u32> = (low + 1..high).filter(|code| holds_two(counts, *code as usize)).collect();
        let apart: Vec<u32> = doubled.windows(2).map(|pair| pair[1] - pair[0]).collect();
        let usual = *apart.iter().max_by_key(|usual| regular(&apart, **usual).count())?;
        let share = regular(&apart, usual).count() as f64 / apart.len() as f64;
        // Distances that are not regular are those over a code that was missed.
        let mean = f64::from(regular(&apart, usual).sum::<u32>()) / regular(&apart, usual).count() as f64;
        (doubled.len() >= FEWEST_DOUBLED && share >= REGULAR_SHARE).then_some((doubled.len(), mean, low, high, name))
    });
    let (doubled, mean, low, high, name) = found.max_by_key(|found| found.0)?;
    // Of every `mean` codes one holds two, so `mean + 1` codes became `mean`.
    let scale = mean / (mean + 1.0);
    Some(format!(
        "{name}: {doubled} of the codes from {low} to {high}, one in {mean:.1}, hold about twice as much as those beside \
         them: likely compressed to {scale:.2} of its contrast after it was quantised"
    ))
}

/// Whether a code holds what two codes should.
fn holds_two(counts: &[u64], code: usize) -> bool {
    let (Some(&before), Some(&count), Some(&after)) = (counts.get(code - 1), counts.get(code), counts.get(code + 1))
    else {
        return false;
    };
    let sure = before >= DOUBLE_SURE && after >= DOUBLE_SURE;
    sure && count as f64 >= DOUBLE_TIMES * before.max(after) as f64
}

/// The distances that are the usual one or one more.
fn regular(apart: &[u32], usual: u32) -> impl Iterator<Item = u32> + '_ {
    apart.iter().copied().filter(move |apart| (usual..=usual + 1).contains(apart))
}

const NAMES: [&str; 3] = ["red", "green", "blue"];

/// Legal black, legal white and the size of an 8-bit code, in codes.
///
/// # Source
/// Rec. ITU-R BT.709-6, item 4.6: 16 and 235 in 8 bits, times 2^(n-8).
fn legal(bits: u32) -> (u32, u32, u32) {
    let step = 1 << (bits - 8);
    (16 * step, 235 * step, step)
}

fn legal_in_full(codes: &CodeUse, told: bool) -> Option<String> {
    let (black, white, step) = legal(codes.bits());
    let counts = codes.together();
    let (low, high) = (quantile(&counts, STRAYS)?, quantile(&counts, 1.0 - STRAYS)?);
    if low.abs_diff(black) > step || high.abs_diff(white) > step {
        return None;
    }
    let says = if told { "the range is said to be full" } else { "no range is said" };
    Some(format!(
        "{says}, yet 99.9 % of the codes run from {low} to {high}, as legal black and white do ({black} and {white} in \
         {} bits): likely legal range",
        codes.bits()
    ))
}

fn full_in_legal(codes: &CodeUse) -> Option<String> {
    let (black, white, step) = legal(codes.bits());
    let counts = codes.together();
    let total: u64 = counts.iter().sum();
    let share = |codes: &[u64]| codes.iter().sum::<u64>() as f64 / total.max(1) as f64;
    let below = share(&counts[..black as usize]);
    let above = share(&counts[white as usize + 1..]);
    // On a serial interface the lowest and highest step are timing references and hold no picture: BT.709-6, item 4.8.
    let reserved = share(&counts[..step as usize]) + share(&counts[counts.len() - step as usize..]);
    // EBU R 103 v3.0 lets 1 % of the picture exceed its limits, which are wider than these.
    if below + above <= 0.01 && reserved <= 2.0 * STRAYS {
        return None;
    }
    Some(format!(
        "the range is said to be legal, yet {} of the codes lie below {black}, {} above {white} and {} where a serial \
         interface keeps its timing references: likely full range",
        percent(below),
        percent(above),
        percent(reserved)
    ))
}

#[derive(Clone, Copy, PartialEq)]
enum End {
    Head,
    Toe,
}

fn clipped(codes: &CodeUse, end: End) -> Option<String> {
    let parts: Vec<String> = codes
        .channels()
        .iter()
        .zip(NAMES)
        .filter_map(|(counts, name)| {
            let mut used = used(counts);
            if end == End::Head {
                used.reverse();
            }
            let (&(code, pile), rest) = used.split_first()?;
            // A pile far from all other codes was painted, as a border or a slate is.
            let step = legal(codes.bits()).2;
            let beside = rest
                .get(..NEIGHBOURS)
                .filter(|beside| beside.iter().all(|(other, _)| other.abs_diff(code) <= NEIGHBOURS as u32 * step))?;
            let mean = beside.iter().map(|(_, count)| *count).sum::<u64>() as f64 / NEIGHBOURS as f64;
            let share = pile as f64 / codes.pixels().max(1) as f64;
            let times = pile as f64 / mean;
            let piled = share >= PILE_SHARE && times >= PILE_TIMES;
            piled.then(|| {
                format!("{name} {} of the pixels at {code}, {times:.0} times the codes beside it", percent(share))
            })
        })
        .collect();
    let (name, word) = if end == End::Head { ("head", "greatest") } else { ("toe", "least") };
    (!parts.is_empty()).then(|| format!("{}; the {word} code used: likely a clipped {name}", parts.join("; ")))
}

/// A share in percent with two digits that say something.
fn percent(share: f64) -> String {
    let percent = share * 100.0;
    if percent == 0.0 || percent >= 0.1 { format!("{percent:.1} %") } else { format!("{percent:.3} %") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use frame::{ByteOrder, Channels, Frame, Layout, Samples, Size};

    /// A picture whose codes are `code` of a noise that is smooth over 200 to 800 of 1024, in 10 bits.
    fn picture(code: impl Fn(u32) -> u32) -> CodeUse {
        let mut state = 7_u64;
        let mut next = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 33) as u32 % 301
        };
        let size = Size::new(320, 400);
        let words = (0..size.pixels()).flat_map(|_| {
            let [red, green, blue] = [(); 3].map(|()| code(200 + next() + next()));
            (red << 22 | green << 12 | blue << 2).to_be_bytes()
        });
        let layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);
        let mut codes = CodeUse::new(10);
        codes.add(&Frame::new(size, layout, words.collect(), 0).unwrap());
        codes
    }

    fn faults(codes: &CodeUse, range: Option<Range>) -> Vec<CodeFault> {
        code_findings(codes, range).into_iter().map(|finding| finding.fault).collect()
    }

    #[test]
    fn a_sound_picture_brings_nothing() {
        assert_eq!(faults(&picture(|code| code), None), []);
        assert_eq!(fewer_bits_of(&picture(|code| code)), None);
        assert_eq!(faults(&picture(|code| code), Some(Range::Legal)), []);
    }

    #[test]
    fn eight_bits_in_ten_are_found_however_they_came_there() {
        for widen in [|v: u32| v << 2, |v: u32| v << 2 | v >> 6, |v: u32| (2 * v * 1023 + 255) / 510] {
            let codes = picture(|code| widen(code / 4));
            assert_eq!((faults(&codes, None), fewer_bits_of(&codes)), (vec![CodeFault::FewerBits], Some(8)));
        }
        let words = &code_findings(&picture(|code| code & !3), None)[0].words;
        assert!(
            words.starts_with("only codes divisible by 4 (") && words.ends_with("likely 8-bit values in 10-bit words")
        );
        let nine = &code_findings(&picture(|code| code & !1), None)[0].words;
        assert!(nine.contains("9-bit values"), "{nine}");
    }

    #[test]
    fn a_stretch_after_quantising_leaves_gaps() {
        for gain in [1.05, 1.2] {
            let codes = picture(|code| (f64::from(code) * gain + 0.5) as u32);
            assert_eq!(faults(&codes, None), [CodeFault::Gaps], "gain {gain}");
            let words = &code_findings(&codes, None)[0].words;
            assert!(words.contains(&format!("about {gain:.2} times")), "{words}");
        }
    }

    #[test]
    fn a_compression_after_quantising_doubles_codes() {
        for (scale, one_in) in [(0.95, "19"), (0.9, "9."), (0.8, "4.0"), (0.75, "3.0")] {
            let codes = picture(|code| (f64::from(code) * scale + 0.5) as u32);
            let found = code_findings(&codes, None);
            assert_eq!(faults(&codes, None), [CodeFault::Doubled], "scale {scale}: {found:?}");
            let words = &found[0].words;
            assert!(words.contains(&format!("to {scale:.2} of its contrast")), "{words}");
            assert!(words.contains(&format!("one in {one_in}")), "{words}");
        }
        // Piles at odd places are a picture's own.
        let piles = picture(|code| if matches!(code % 97, 0 | 1 | 30 | 55) { code / 97 * 97 } else { code });
        assert!(!faults(&piles, None).contains(&CodeFault::Doubled), "{:?}", code_findings(&piles, None));
    }

    #[test]
    fn ranges_are_held_against_what_is_said() {
        let stretched = |low: f64, high: f64| {
            // A ramp that uses every code from low to high.
            let mut codes = CodeUse::new(10);
            let layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Little);
            let ramp = (0..8192_u32).flat_map(|at| {
                let code = (low + f64::from(at) / 8191.0 * (high - low) + 0.5) as u32;
                (code << 22 | code << 12 | code << 2).to_le_bytes()
            });
            codes.add(&Frame::new(Size::new(8192, 1), layout, ramp.collect(), 0).unwrap());
            codes
        };
        assert_eq!(faults(&stretched(64.0, 940.0), Some(Range::Full)), [CodeFault::LegalInFull]);
        assert_eq!(faults(&stretched(64.0, 940.0), None), [CodeFault::LegalInFull]);
        assert_eq!(faults(&stretched(64.0, 940.0), Some(Range::Legal)), []);
        assert_eq!(faults(&stretched(0.0, 1023.0), Some(Range::Legal)), [CodeFault::FullInLegal]);
        assert_eq!(faults(&stretched(0.0, 1023.0), Some(Range::Full)), []);
        assert_eq!(faults(&stretched(95.0, 900.0), None), []);
    }

    #[test]
    fn piles_at_the_ends_are_clipping() {
        assert_eq!(faults(&picture(|code| code.max(330)), None), [CodeFault::ClippedToe]);
        assert_eq!(faults(&picture(|code| code.min(690)), None), [CodeFault::ClippedHead]);
        let words = &code_findings(&picture(|code| code.min(690)), None)[0].words;
        assert!(words.contains("red ") && words.contains("at 690"), "{words}");
        assert_eq!(faults(&picture(|code| if code < 330 { 0 } else { code }), None), [], "a painted border");
    }
}
