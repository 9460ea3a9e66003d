//! Run-length encoded pictures.
//!
//! A line is made of runs. Each begins with a flag, a sample of the element's own depth: its lowest bit says
//! whether one pixel follows, to be repeated, or as many pixels as the run is long; the bits above it are the
//! length in pixels. Flags and samples fill words as samples do without runs, and each line begins anew with a
//! 32-bit word. No run reaches beyond its line.
//!
//! # Source
//! SMPTE ST 268-1, image encoding 1; the layout of flags and the ends of lines as in the reference software
//! SMPTE RP 268-3 (element A).

use super::element::Element;
use super::lines::bytes_for;
use super::unpack::{Use, with_code};

/// Bytes of the word that a line begins anew with.
const WORD: usize = 4;

/// The fewest bytes that `element` can take: one run after the other as long as a flag can say.
pub(super) fn least_len(element: &Element) -> u64 {
    let longest = (1_u64 << (element.bits - 1)) - 1;
    let runs = u64::from(element.stored.width).div_ceil(longest);
    bytes_for(element, runs * (1 + element.kind.count() as u64)) * u64::from(element.stored.height)
}

/// The most bytes that `element` can take, each pixel a run of its own, with `padding` bytes behind each line.
pub(super) fn most_len(element: &Element, padding: u64) -> u64 {
    let samples = u64::from(element.stored.width) * (1 + element.kind.count() as u64);
    let line = bytes_for(element, samples).next_multiple_of(WORD as u64) + padding;
    line * u64::from(element.stored.height)
}

/// The element's codes as native 16-bit samples, like those of a picture without runs, and what had to be
/// decided, in words. `bytes` begins with the first flag.
///
/// # Errors
/// What is wrong with the runs, in words.
pub(super) fn codes(element: &Element, padding: usize, bytes: &[u8]) -> Result<(Vec<u8>, Option<String>), String> {
    let runs = |word| with_code(element, Runs { element, bytes, word, padding });
    let failed = match runs(WORD) {
        Ok(codes) => return Ok((codes, None)),
        Err(failed) => failed,
    };
    // Samples of whole bytes need no words; their writers leave the padding out without runs too.
    let why = "its runs make sense only if lines follow one another without padding to 32 bits".to_owned();
    runs(1).map(|codes| (codes, Some(why))).map_err(|_| failed)
}

/// One way to lay out the lines.
struct Runs<'a> {
    element: &'a Element,
    bytes: &'a [u8],
    /// A line begins at a multiple of so many bytes from the end of the one before.
    word: usize,
    /// Bytes behind that.
    padding: usize,
}

impl Use for Runs<'_> {
    type Outcome = Result<Vec<u8>, String>;

    fn with(self, code: impl Fn(&[u8], usize) -> u16 + Sync) -> Self::Outcome {
        let (width, height) = (self.element.stored.width as usize, self.element.stored.height as usize);
        let (count, sources) = (self.element.kind.count(), self.element.kind.sources());
        let pixel_len = 2 * sources.len();
        let mut out = Vec::with_capacity(width * height * pixel_len);
        let mut start = 0;
        for y in 0..height {
            let line = self.bytes.get(start..).unwrap_or_default();
            let samples_to = |end: usize| {
                let is_there = bytes_for(self.element, end as u64) <= line.len() as u64;
                is_there.then_some(()).ok_or_else(|| format!("its runs end in line {} of {height}", y + 1))
            };
            let (mut x, mut at) = (0, 0);
            while x < width {
                samples_to(at + 1)?;
                let flag = code(line, at);
                let (is_same, run) = (flag & 1 == 1, usize::from(flag >> 1));
                if run == 0 || run > width - x {
                    let left = width - x;
                    return Err(format!(
                        "in line {} of {height} a run of {run} pixels is told where {left} are left",
                        y + 1
                    ));
                }
                let stored = if is_same { 1 } else { run };
                samples_to(at + 1 + stored * count)?;
                for pixel in 0..stored {
                    let first = at + 1 + pixel * count;
                    for source in sources {
                        out.extend(code(line, first + source).to_ne_bytes());
                    }
                }
                let last = out.len() - pixel_len;
                for _ in stored..run {
                    out.extend_from_within(last..last + pixel_len);
                }
                (x, at) = (x + run, at + 1 + stored * count);
            }
            start += (bytes_for(self.element, at as u64) as usize).next_multiple_of(self.word) + self.padding;
        }
        Ok(out)
    }
}
