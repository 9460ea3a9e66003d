//! A shot's picture, small enough for its row in the table.

/// Rows of pixels: two for each point of the row's height, so that it stays sharp on dense screens.
const DOWN: usize = 32;
/// The widest that is drawn.
const MOST_ACROSS: usize = 60;

/// A small picture in 8-bit codes of its display.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Small {
    /// Width and height in pixels.
    pub size: [usize; 2],
    /// Row by row.
    pub codes: Vec<[u8; 3]>,
}

impl Small {
    /// Shrinks a picture to the mean of what each of its pixels covers. `pixels` are signals, 0 to 1 where they can be shown;
    /// `pixel_aspect` is how wide a pixel is by its height. None where the picture has no pixels.
    pub fn of(pixels: &[[f64; 3]], width: usize, pixel_aspect: f64) -> Option<Self> {
        let height = pixels.len().checked_div(width)?;
        if height == 0 {
            return None;
        }
        let wide = (width as f64 * pixel_aspect / height as f64 * DOWN as f64).round() as usize;
        let size = [wide.clamp(1, MOST_ACROSS), DOWN];
        let part = |at: usize, of: usize, whole: usize| {
            let first = at * whole / of;
            first..((at + 1) * whole / of).max(first + 1).min(whole)
        };
        let mut codes = Vec::with_capacity(size[0] * size[1]);
        for y in 0..size[1] {
            for x in 0..size[0] {
                let columns = part(x, size[0], width);
                let rows = part(y, size[1], height).filter_map(|row| {
                    let row = row * width;
                    pixels.get(row + columns.start..row + columns.end)
                });
                let (mut sum, mut count) = ([0.0; 3], 0.0);
                for pixel in rows.flatten() {
                    sum.iter_mut().zip(pixel).for_each(|(sum, value)| *sum += value.clamp(0.0, 1.0));
                    count += 1.0;
                }
                codes.push(sum.map(|sum| (255.0 * sum / f64::max(count, 1.0)).round() as u8));
            }
        }
        Some(Self { size, codes })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_pixel_is_the_mean_of_what_it_covers() {
        // Left half black, right half white, one pixel far beyond it.
        let mut pixels: Vec<[f64; 3]> = (0..640 * 360).map(|at| [f64::from(u8::from(at % 640 >= 320)); 3]).collect();
        pixels[639] = [40.0; 3];
        let small = Small::of(&pixels, 640, 1.0).unwrap();
        assert_eq!(small.size, [57, 32]);
        assert_eq!((small.codes[0], small.codes[56], small.codes[57 * 31]), ([0; 3], [255; 3], [0; 3]));
        assert!(small.codes[28][0] > 100 && small.codes[28][0] < 155, "{:?}", small.codes[28]);
    }

    #[test]
    fn odd_shapes_have_one_too() {
        assert_eq!(Small::of(&[[0.5; 3]], 1, 1.0).unwrap().size, [32, 32]);
        assert_eq!(Small::of(&vec![[0.5; 3]; 16384], 16384, 1.0).unwrap().size, [60, 32]);
        assert_eq!(Small::of(&vec![[0.5; 3]; 4096], 1, 1.0).unwrap().size, [1, 32]);
        assert_eq!(Small::of(&[], 7, 1.0), None);
        assert_eq!(Small::of(&[], 0, 1.0), None);
    }
}
