//! Orders of corrections, grouped by what they make of the picture.

use colour::CodeRange;
use graph::{ElaborateError, Elaborated, Kit, Original, Wiring, elaborate};
use ops::Book;

use crate::Proof;

/// Results within this share of the larger of 1 and their own size are equal: a thousand times what rounding in f64
/// leaves of a long chain, a thousandth of what shows.
const EQUAL: f64 = 1e-9;

/// Values of each channel of the lattice of probes, in the original's numbers: below black, above white, and between.
const LATTICE: [f64; 7] = [-0.05, 0.0, 0.2, 0.4, 0.6, 0.8, 1.05];

/// Greys among the probes, from below black to above white.
const GREYS: usize = 41;

/// What became of some orders; each is told by its position in the list.
#[derive(Debug, Clone, PartialEq)]
pub struct Grouped {
    /// Orders that make the same picture, to rounding.
    pub groups: Vec<Vec<usize>>,
    /// Orders without a meaning, with the reason.
    pub meaningless: Vec<(usize, ElaborateError)>,
}

/// Elaborates orders of one kit for an original and groups those that have a meaning; see [`group`].
pub fn elaborate_and_group<'a>(
    orders: impl IntoIterator<Item = &'a Wiring>,
    kit: &Kit,
    original: &Original,
    range: Option<CodeRange>,
    book: &Book,
) -> Grouped {
    let mut meaningless = Vec::new();
    let (mut places, mut meant) = (Vec::new(), Vec::new());
    for (index, wiring) in orders.into_iter().enumerate() {
        match elaborate(wiring, kit, original, range, book) {
            Ok(elaborated) => {
                places.push(index);
                meant.push(elaborated);
            }
            Err(error) => meaningless.push((index, error)),
        }
    }
    let told = |group: Vec<usize>| group.into_iter().filter_map(|index| places.get(index).copied()).collect();
    Grouped { groups: group(&meant).into_iter().map(told).collect(), meaningless }
}

/// Groups elaborated graphs of one original that give the same result for every probe: a lattice over the original's
/// numbers, and greys. Groups and what is in them come in the order of the list.
pub fn group(elaborated: &[Elaborated]) -> Vec<Vec<usize>> {
    let probes = probes();
    let mut groups: Vec<(Vec<[f64; 3]>, Vec<usize>)> = Vec::new();
    for (index, one) in elaborated.iter().enumerate() {
        let proof = Proof::new(one);
        let results: Vec<_> = probes.iter().map(|&probe| proof.pixel(probe)).collect();
        match groups.iter_mut().find(|(first, _)| same(first, &results)) {
            Some((_, members)) => members.push(index),
            None => groups.push((results, vec![index])),
        }
    }
    groups.into_iter().map(|(_, members)| members).collect()
}

fn probes() -> Vec<[f64; 3]> {
    let lattice = LATTICE.iter().flat_map(|&r| LATTICE.iter().flat_map(move |&g| LATTICE.map(|b| [r, g, b])));
    let (low, high) = (LATTICE[0], LATTICE[LATTICE.len() - 1]);
    let greys = (0..GREYS).map(|step| [low + (high - low) * step as f64 / (GREYS - 1) as f64; 3]);
    lattice.chain(greys).collect()
}

fn same(a: &[[f64; 3]], b: &[[f64; 3]]) -> bool {
    let near = |(x, y): (&f64, &f64)| x == y || (x - y).abs() <= EQUAL * x.abs().max(y.abs()).max(1.0);
    a.as_flattened().iter().zip(b.as_flattened()).all(near)
}
