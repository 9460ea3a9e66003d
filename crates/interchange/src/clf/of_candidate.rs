//! A candidate as a list of nodes, from what it means.
//!
//! Matrices and sums stay what they are and merge; curves are laws or fine tables; a colour decision list is one. From the first
//! step that mixes channels otherwise (a taper, a shoulder, a rendering, a mix of two pictures) to the last one there is one 3D
//! table. Where that would give a display's light it goes on to its code, on which a table is even to the eye.

use std::ops::Range;

use colour::Affine;
use colour::transfer::Form;
use graph::{Elaborated, Node as Place, Value, Work};
use ops::{Eval, Operation as _, Point, Pointwise as _, Reference, Signal, Step};
use reference::Proof;

use super::{Node, ProcessList, grid, pieces};

/// Entries an edge of the 3D table of a candidate: the larger of the two sizes in use (common practice, no source).
pub const GRID: usize = 65;
/// Levels of each channel of the original that are tried for what reaches a table.
const LEVELS: usize = 17;

/// Why a candidate is no CLF.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum CandidateError {
    /// It makes numbers of codes that no table holds.
    #[error("{0} comes to numbers that no table of a CLF holds; take it out or hand on frames")]
    NoNumbers(String),
}

/// Something that a pixel goes through.
struct Piece {
    name: String,
    eval: Eval,
    /// What leaves.
    gives: Signal,
    /// None where only a 3D table holds it.
    nodes: Option<Vec<Node>>,
}

/// A candidate as a list; `id` is its name. Enters: the original's signal. Leaves: the candidate's, unclamped. `grid` is the
/// size of its 3D table, [`GRID`] unless there is a reason.
///
/// # Errors
/// A candidate that comes to numbers that no table holds.
pub fn of_candidate(candidate: &Elaborated, id: &str, grid: usize) -> Result<ProcessList, CandidateError> {
    let pieces = pieces_of(candidate);
    let mut nodes = Vec::new();
    let mixes = |piece: &Piece| piece.nodes.is_none();
    match (pieces.iter().position(mixes), pieces.iter().rposition(mixes)) {
        (Some(first), Some(last)) => {
            let (before, rest) = pieces.split_at(first);
            let end = end_of_run(&pieces, last) - first;
            let (run, after) = rest.split_at(end);
            push(&mut nodes, before);
            let takes = before.last().map_or(&candidate.original, |piece| &piece.gives);
            nodes.extend(table(run, before, takes, &candidate.original, grid)?);
            push(&mut nodes, after);
        }
        _ => push(&mut nodes, &pieces),
    }
    if nodes.is_empty() {
        nodes.push(Node::Matrix(Affine::IDENTITY));
    }
    Ok(ProcessList {
        id: id.to_string(),
        descriptions: Vec::new(),
        input: Some(candidate.original.to_string()),
        output: Some(candidate.rendering_in_words()),
        nodes,
    })
}

/// Where the run that ends with a mixing piece ends: there, unless it gives the light of a display, whose code comes later.
fn end_of_run(pieces: &[Piece], last: usize) -> usize {
    let is_display_light =
        |piece: &Piece| piece.gives.curve.is_linear() && matches!(piece.gives.reference, Reference::Display { .. });
    let code = pieces.iter().skip(last).position(|piece| !is_display_light(piece));
    code.map_or(pieces.len(), |further| last + further + 1)
}

/// Adds the nodes of pieces, merging matrices.
fn push(nodes: &mut Vec<Node>, pieces: &[Piece]) {
    for node in pieces.iter().filter_map(|piece| piece.nodes.as_ref()).flatten() {
        match (nodes.last_mut(), node) {
            (Some(Node::Matrix(before)), Node::Matrix(next)) => *before = next.after(before),
            _ => nodes.push(node.clone()),
        }
    }
    nodes.retain(|node| *node != Node::Matrix(Affine::IDENTITY));
}

/// The nodes of a run of pieces, the table sized for what the codes of the original come to before it.
fn table(
    run: &[Piece],
    before: &[Piece],
    takes: &Signal,
    original: &Signal,
    grid: usize,
) -> Result<Vec<Node>, CandidateError> {
    let through = |pieces: &[Piece], rgb| pieces.iter().fold(rgb, |rgb, piece| (piece.eval)(rgb));
    // Light has no largest code; that of the log working space stands for it.
    let log = Signal::log().curve.transfer;
    let level = |index: usize| {
        let code = index as f64 / (LEVELS - 1) as f64;
        if original.curve.is_linear() { log.decode(Form::Exact, code) } else { code }
    };
    let codes = (0..LEVELS.pow(3)).map(|at| [at % LEVELS, at / LEVELS % LEVELS, at / (LEVELS * LEVELS)].map(level));
    let reach: Vec<[f64; 3]> = codes.map(|rgb| through(before, rgb)).collect();
    let pixel = |rgb| through(run, rgb);
    let to_light = run.last().is_some_and(|piece| piece.gives.curve.is_linear());
    let run_of = grid::Run { pixel: &pixel, reach: &reach, from_light: takes.curve.is_linear(), to_light };
    let names = || run.iter().map(|piece| piece.name.as_str()).collect::<Vec<_>>().join(" and ");
    grid::nodes(&run_of, grid.max(2)).ok_or_else(|| CandidateError::NoNumbers(names()))
}

/// The candidate in pieces, one after the other. What a step does and the next one exactly undoes, such as the way back to camera
/// code between two corrections, is left out.
fn pieces_of(candidate: &Elaborated) -> Vec<Piece> {
    enum Part<'a> {
        Step(&'a str, &'a Step),
        Fork(Box<Piece>),
    }
    let used = used(candidate);
    let mut parts = Vec::new();
    let mut from = 0;
    while from < candidate.result.0 {
        let to = next_cut(candidate, &used, from);
        let places = candidate.nodes.get(from..to).unwrap_or_default();
        let kept: Vec<&Place> =
            (from..to).zip(places).filter(|(at, _)| used.contains(&(at + 1))).map(|(_, of)| of).collect();
        match kept[..] {
            [only] if plain_steps(only).is_some() => {
                for step in plain_steps(only).unwrap_or_default() {
                    match parts.last() {
                        Some(Part::Step(_, last)) if undoes(&last.point, &step.point) => drop(parts.pop()),
                        _ => parts.push(Part::Step(&only.member, step)),
                    }
                }
            }
            _ => parts.push(Part::Fork(Box::new(fork(candidate, from..to)))),
        }
        from = to;
    }
    let piece = |part| match part {
        Part::Step(member, step) => Piece {
            name: member.to_string(),
            eval: step.point.eval(&step.takes),
            gives: step.gives.clone(),
            nodes: pieces::nodes(step),
        },
        Part::Fork(piece) => *piece,
    };
    parts.into_iter().map(piece).collect()
}

/// Whether the second point undoes the first one. A curve whose published decoder steps at its break has no code for the light in
/// between, a hundredth of a code of it or less; without the way to code and back that light stays what it is.
fn undoes(first: &Point, second: &Point) -> bool {
    let to_code_and_back = matches!((first, second), (Point::LightToCode(to), Point::CodeToLight(back))
        if to.curve == back.curve && to.form == Form::Exact && back.form == Form::Exact);
    to_code_and_back || first.is_undone_by(second)
}

/// The pictures that the result is made of; a mix that is neutral needs its main one alone.
fn used(candidate: &Elaborated) -> Vec<usize> {
    let mut used = vec![candidate.result.0];
    let mut next = 0;
    while let Some(&picture) = used.get(next) {
        if let Some(place) = picture.checked_sub(1).and_then(|at| candidate.nodes.get(at)) {
            let side = place.side.filter(|_| plain_steps(place).is_none());
            for of in [Some(place.input), side].into_iter().flatten() {
                if !used.contains(&of.0) {
                    used.push(of.0);
                }
            }
        }
        next += 1;
    }
    used
}

/// The next picture that everything after it is made of.
fn next_cut(candidate: &Elaborated, used: &[usize], from: usize) -> usize {
    let whole = candidate.result.0;
    let is_cut = |cut: usize| {
        used.contains(&cut)
            && (cut + 1..=whole).filter(|picture| used.contains(picture)).all(|picture| {
                let place = candidate.nodes.get(picture - 1);
                let side = place.and_then(|place| place.side.filter(|_| plain_steps(place).is_none()));
                place.is_none_or(|place| place.input.0 >= cut) && side.is_none_or(|side| side.0 >= cut)
            })
    };
    (from + 1..whole).find(|&cut| is_cut(cut)).unwrap_or(whole)
}

/// The steps of a place with one picture; none where it joins two.
fn plain_steps(place: &Place) -> Option<Vec<&Step>> {
    match &place.work {
        Work::Bypassed | Work::Scope { neutral: true, .. } => Some(Vec::new()),
        Work::Steps(steps) => Some(steps.iter().collect()),
        Work::Scope { enter, steps, leave, .. } => Some(enter.iter().chain(steps).chain(leave).collect()),
        Work::Mix { mix, .. } if mix.is_neutral() => Some(Vec::new()),
        Work::Mix { .. } => None,
    }
}

/// Places that fork and join again, as one function of the picture before them.
fn fork(candidate: &Elaborated, of: Range<usize>) -> Piece {
    let shift = |value: Value| Value(value.0.saturating_sub(of.start));
    let places = candidate.nodes.get(of.clone()).unwrap_or_default();
    let nodes = places
        .iter()
        .map(|place| Place { input: shift(place.input), side: place.side.map(shift), ..place.clone() })
        .collect();
    let gives = places.last().map_or(&candidate.original, |place| &place.gives).clone();
    let name = places.last().map_or(String::new(), |place| place.member.clone());
    let alone = Elaborated { nodes, result: Value(of.len()), ..candidate.clone() };
    let proof = Proof::new(&alone);
    Piece { name, eval: Box::new(move |rgb| proof.pixel(rgb)), gives, nodes: None }
}
