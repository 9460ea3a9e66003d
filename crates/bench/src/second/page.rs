//! The page by which a monitor is set up: codes of 10 bits, laid out for a window of so many pixels.

use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};

/// 10-bit codes next to black, of the full range.
const NEAR_BLACK: [u16; 16] = [0, 1, 2, 4, 6, 8, 12, 16, 20, 24, 32, 40, 48, 56, 64, 80];
/// Greys, in per cent of the signal.
const GREYS: [u16; 14] = [1, 2, 3, 5, 10, 20, 30, 40, 50, 60, 70, 80, 90, 100];
/// The codes of the ramp whose steps are wide enough to be seen, the last one not among them.
const MIDDLE: [u16; 2] = [480, 544];
/// The highest code.
const TOP: u16 = 1023;

/// What is left at the edges, and the height of a row of words, in points.
const MARGIN: f32 = 24.0;
const WORDS: f32 = 20.0;

/// Where a part lies: left, top, width and height in pixels.
type Place = [u32; 4];

/// A run of codes side by side, each as wide as the next.
#[derive(Debug, Clone, PartialEq)]
struct Strip {
    title: &'static str,
    place: Place,
    codes: Vec<u16>,
    /// What is written under each; empty where nothing is.
    under: Vec<String>,
}

/// The page.
#[derive(Debug, Clone, PartialEq)]
pub struct Page {
    /// The window's pixels.
    pub size: [u32; 2],
    row: f32,
    strips: Vec<Strip>,
}

impl Page {
    /// For a window of so many pixels, of which so many go to a point.
    pub fn new(size: [u32; 2], pixels_per_point: f32) -> Self {
        let size = size.map(|side| side.max(1));
        let (margin, row) = ((MARGIN * pixels_per_point) as u32, WORDS * pixels_per_point);
        let width = size[0].saturating_sub(2 * margin).max(1);
        let wanted: [(&'static str, Vec<u16>, Vec<String>); 4] = [
            ("near black: 10-bit codes of the full range, on code 0", NEAR_BLACK.to_vec(), texts(&NEAR_BLACK)),
            ("codes 0 to 1023", (0..=TOP).collect(), Vec::new()),
            (
                "codes 480 to 543, each as wide: a screen of 8 bits shows them in fours",
                (MIDDLE[0]..MIDDLE[1]).collect(),
                Vec::new(),
            ),
            ("greys, per cent of the signal", GREYS.map(code_of_percent).to_vec(), texts(&GREYS)),
        ];
        // Over each strip a row of words, under each one more or a gap.
        let rows = 2 * wanted.len() as u32;
        let each = size[1].saturating_sub(2 * margin).saturating_sub((rows as f32 * row) as u32) / wanted.len() as u32;
        let step = each + (2.0 * row) as u32;
        let strips = wanted.into_iter().zip(0u32..).map(|((title, codes, under), at)| Strip {
            title,
            place: [margin, margin + at * step + row as u32, width, each.max(1)],
            codes,
            under,
        });
        Self { size, row, strips: strips.collect() }
    }

    /// Its codes as a frame; black where nothing lies.
    pub fn frame(&self) -> Frame {
        let [width, height] = self.size;
        let mut pixels = vec![[0.0, 0.0, 0.0, 1.0]; width as usize * height as usize];
        for strip in &self.strips {
            let [left, top, across, down] = strip.place;
            let row: Vec<[f32; 4]> = (0..across).map(|x| grey(strip.code_at(x))).collect();
            for y in top..(top + down).min(height) {
                let from = (y * width + left.min(width)) as usize;
                let end = ((y + 1) * width) as usize;
                if let Some(line) = pixels.get_mut(from..end) {
                    line.iter_mut().zip(&row).for_each(|(pixel, code)| *pixel = *code);
                }
            }
        }
        let layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Little);
        Frame::from_pixels(&pixels, Size::new(width, height), layout, Range::Full)
    }

    /// What is written on it: where, in pixels; what; and whether that is the middle of the words or their left end.
    pub fn words(&self) -> Vec<([f32; 2], &str, bool)> {
        let mut words = Vec::new();
        for strip in &self.strips {
            let [left, top, across, down] = strip.place.map(|side| side as f32);
            words.push(([left, top - 0.85 * self.row], strip.title, false));
            let each = across / strip.codes.len().max(1) as f32;
            for (at, under) in strip.under.iter().enumerate() {
                words.push(([left + (at as f32 + 0.5) * each, top + down + 0.1 * self.row], under, true));
            }
        }
        words
    }
}

impl Strip {
    /// The code of a column.
    fn code_at(&self, x: u32) -> u16 {
        let at = u64::from(x) * self.codes.len() as u64 / u64::from(self.place[2].max(1));
        self.codes.get(at as usize).copied().unwrap_or_default()
    }
}

fn texts(values: &[u16]) -> Vec<String> {
    values.iter().map(ToString::to_string).collect()
}

fn code_of_percent(percent: u16) -> u16 {
    (f32::from(percent) / 100.0 * f32::from(TOP)).round() as u16
}

fn grey(code: u16) -> [f32; 4] {
    let [red, green, blue] = [f32::from(code) / f32::from(TOP); 3];
    [red, green, blue, 1.0]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn codes(page: &Page) -> Vec<[u16; 3]> {
        page.frame().to_codes().unwrap()
    }

    #[test]
    fn every_code_is_there_in_its_place_and_all_else_is_black() {
        // Wide enough for a column of each code.
        let page = Page::new([1072, 600], 1.0);
        let codes = codes(&page);
        let line = |strip: usize| {
            let [left, top, across, _] = page.strips[strip].place;
            let from = ((top + 3) * 1072 + left) as usize;
            codes[from..from + across as usize].iter().map(|code| code[0]).collect::<Vec<_>>()
        };
        assert_eq!(line(1), (0..=1023).collect::<Vec<_>>());
        assert_eq!(line(2), (480..544).flat_map(|code| [code; 16]).collect::<Vec<_>>());
        assert_eq!((line(0)[0], line(0)[1023], line(3)[0], line(3)[1023]), (0, 80, 10, 1023));
        assert!(codes.iter().all(|[red, green, blue]| red == green && green == blue));
        assert!(codes[..1072 * 20].iter().all(|code| *code == [0; 3]));
    }

    #[test]
    fn words_stand_on_black_within_the_window() {
        for (size, scale) in [([1600, 1000], 1.0), ([1280, 720], 1.0), ([2560, 1440], 2.0)] {
            let page = Page::new(size, scale);
            let row = 12.0 * scale;
            for (at, words, _) in page.words() {
                assert!(at[1] >= 0.0 && at[1] + row <= size[1] as f32, "{words}: {at:?}");
                let overlaps = page.strips.iter().any(|strip| {
                    let [top, bottom] = [strip.place[1] as f32, (strip.place[1] + strip.place[3]) as f32];
                    at[1] < bottom && at[1] + row > top
                });
                assert!(!overlaps, "{words}: {at:?}");
            }
            assert_eq!(page.words().len(), 4 + 16 + 14);
        }
    }

    #[test]
    fn a_tiny_window_has_a_page_too() {
        for size in [[1, 1], [40, 30], [0, 0]] {
            let page = Page::new(size, 2.0);
            assert_eq!(page.frame().size(), Size::new(page.size[0], page.size[1]));
        }
    }
}
