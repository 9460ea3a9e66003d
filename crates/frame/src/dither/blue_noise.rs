//! Blue noise: a square of ranks in which every share of the lowest ones lies as evenly as it can.
//!
//! The square is made when it is first needed, in a few milliseconds, out of whole numbers alone: the same one
//! everywhere. It repeats across the picture and is moved from frame to frame and from channel to channel.
//!
//! # Source
//! R. A. Ulichney, "The void-and-cluster method for dither array generation", Proc. SPIE 1913, 1993, with its Gaussian of
//! 1.5 pixels. The moves are the additive sequence of the plastic number, 1.32472, in two dimensions (common practice, no
//! source).

use std::sync::OnceLock;

use super::Noise;

/// Edge of the square in pixels.
const EDGE: usize = 64;
/// Places of the square, and so many ranks.
const PLACES: usize = EDGE * EDGE;
/// How far the Gaussian reaches: beyond, it is less than the unit it is counted in.
const REACH: i32 = 10;
const SIGMA: f64 = 1.5;
/// One, in the unit that energies are counted in.
const UNIT: f64 = 4_294_967_296.0;
/// The inverse of the plastic number and of its square, in 2^-32.
const MOVES: [u32; 2] = [0xc13f_a9a9, 0x91e1_0da5];

/// Noise of red, green and blue.
pub(super) fn noise(x: u32, y: u32, number: u32) -> [Noise; 3] {
    [0, 1, 2].map(|channel| {
        let step = number.wrapping_mul(3).wrapping_add(channel);
        let [right, down] = MOVES.map(|by| step.wrapping_mul(by) >> 26);
        let (x, y) = (x.wrapping_add(right) as usize % EDGE, y.wrapping_add(down) as usize % EDGE);
        square().get(y * EDGE + x).map_or(Noise { flat: 0.0, triangular: 0.0 }, |&rank| noise_of(rank))
    })
}

/// The two noises of every place, row after row, in one whole number that single float holds: the rank, and 4096 times
/// the place of the triangular noise among the odd 4096ths.
pub(super) fn table() -> Vec<f32> {
    square().iter().map(|&rank| (u32::from(rank) + 4096 * place_among_odd(rank)) as f32).collect()
}

/// The noise that has this rank among as many as there are places.
fn noise_of(rank: u16) -> Noise {
    let flat = (f64::from(rank) + 0.5) / PLACES as f64 - 0.5;
    Noise { flat, triangular: (f64::from(2 * place_among_odd(rank)) - 4095.0) / 4096.0 }
}

/// The inverse of the triangle's distribution at a rank, as the nearest of the odd 4096ths between -1 and 1, counted from
/// below.
fn place_among_odd(rank: u16) -> u32 {
    let share = (f64::from(rank) + 0.5) / PLACES as f64;
    let below = (2.0 * share.min(1.0 - share)).sqrt() * 2048.0;
    if share < 0.5 { below as u32 } else { 4095 - below as u32 }
}

fn square() -> &'static [u16] {
    static SQUARE: OnceLock<Vec<u16>> = OnceLock::new();
    SQUARE.get_or_init(ranks)
}

/// The rank of every place.
fn ranks() -> Vec<u16> {
    let start = Points::spread();
    let mut ranks = vec![0; PLACES];
    let ones = start.count();
    let mut points = start.clone();
    for rank in (0..ones).rev() {
        let at = points.tightest();
        points.toggle(at);
        ranks[at] = rank as u16;
    }
    // Past half of the places the method looks for the tightest cluster of empty ones, which is the largest void again:
    // the Gaussians of all places add up to the same everywhere.
    let mut points = start;
    for rank in ones..PLACES {
        let at = points.emptiest();
        points.toggle(at);
        ranks[at] = rank as u16;
    }
    ranks
}

/// Points on the square, whose left and right, top and bottom meet.
#[derive(Clone)]
struct Points {
    taken: Vec<bool>,
    /// How crowded each place is: the Gaussians of all points.
    crowd: Vec<i64>,
    gaussian: Vec<((i32, i32), i64)>,
}

impl Points {
    /// A tenth of all places, scattered and then moved from crowds into voids until none is better.
    fn spread() -> Points {
        let across = || (-REACH..=REACH).flat_map(|y| (-REACH..=REACH).map(move |x| (x, y)));
        let height = |(x, y): (i32, i32)| (-f64::from(x * x + y * y) / (2.0 * SIGMA * SIGMA)).exp();
        let gaussian = across().map(|at| (at, (height(at) * UNIT).round() as i64)).collect();
        let mut points = Points { taken: vec![false; PLACES], crowd: vec![0; PLACES], gaussian };
        let mut state = 1_u32;
        while points.count() < PLACES / 10 {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            let at = state as usize >> 20;
            if !points.taken[at] {
                points.toggle(at);
            }
        }
        loop {
            let from = points.tightest();
            points.toggle(from);
            let to = points.emptiest();
            points.toggle(to);
            if from == to {
                return points;
            }
        }
    }

    fn count(&self) -> usize {
        self.taken.iter().filter(|taken| **taken).count()
    }

    /// Puts a point there, or takes it away.
    fn toggle(&mut self, at: usize) {
        self.taken[at] = !self.taken[at];
        let sign = if self.taken[at] { 1 } else { -1 };
        let (x, y) = ((at % EDGE) as i32, (at / EDGE) as i32);
        for ((across, down), height) in &self.gaussian {
            let wrapped = |place: i32| place.rem_euclid(EDGE as i32) as usize;
            self.crowd[wrapped(y + down) * EDGE + wrapped(x + across)] += sign * height;
        }
    }

    /// The point in the tightest cluster.
    fn tightest(&self) -> usize {
        self.first(true, |crowd| -crowd)
    }

    /// The empty place in the largest void.
    fn emptiest(&self) -> usize {
        self.first(false, |crowd| crowd)
    }

    /// The first place, taken or not, at which `least` is least.
    fn first(&self, taken: bool, least: impl Fn(i64) -> i64) -> usize {
        let places = self.taken.iter().zip(&self.crowd).enumerate().filter(|(_, (is, _))| **is == taken);
        places.min_by_key(|(_, (_, crowd))| least(**crowd)).map_or(0, |(at, _)| at)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_rank_once_and_the_same_square_everywhere() {
        let mut sorted = ranks();
        // FNV-1a, so that a file dithered today is dithered alike by every later version.
        let sum = sorted.iter().fold(0x811c_9dc5_u32, |sum, rank| (sum ^ u32::from(*rank)).wrapping_mul(0x0100_0193));
        sorted.sort_unstable();
        assert!(sorted.iter().copied().eq(0..PLACES as u16));
        assert_eq!(sum, 0xf70d_48bd, "{sum:#x}");
    }

    /// The lowest ranks, however many of them, are spread evenly: no two are nearer than six tenths of what a hexagonal
    /// grid of so many points has. Points scattered by chance touch.
    #[test]
    fn the_lowest_ranks_keep_their_distance() {
        let ranks = ranks();
        for few in [16, 64, 256] {
            let points: Vec<usize> = (0..PLACES).filter(|at| ranks[*at] < few).collect();
            let across = |a: usize, b: usize| (a.abs_diff(b)).min(EDGE - a.abs_diff(b)) as f64;
            let apart = |a: usize, b: usize| across(a % EDGE, b % EDGE).hypot(across(a / EDGE, b / EDGE));
            let pairs = points.iter().flat_map(|a| points.iter().filter(move |b| *b != a).map(move |b| (*a, *b)));
            let nearest = pairs.map(|(a, b)| apart(a, b)).fold(f64::INFINITY, f64::min);
            let hexagonal = (2.0 / 3.0_f64.sqrt() * PLACES as f64 / f64::from(few)).sqrt();
            assert!(nearest > 0.6 * hexagonal, "{few} points: {nearest} of {hexagonal}");
        }
    }
}
