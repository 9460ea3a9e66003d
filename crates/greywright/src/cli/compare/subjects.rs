//! What is compared: candidates with what each means for the frame, and the frame.

use std::path::Path;

use graph::Elaborated;
use measure::scopes::Region;
use session::verdict::evidence::region_of;
use session::verdict::{Gathered, Marked, Subject};

use super::Args;
use crate::cli::chain::{Chain, ChainArgs};
use crate::cli::failure::Failure;
use crate::cli::say;
use crate::cli::scopes::{frame_of, measuring_region};

/// A chain to be compared, before the frame is read.
struct Told {
    name: String,
    order: String,
    chain: Chain,
}

/// Reads the project or the chains, and the frame.
pub fn gather(args: &Args) -> Result<Gathered, Failure> {
    let chains = if is_project(&args.what) { of_project(args)? } else { typed(args)? };
    let Some(Told { chain: first, .. }) = chains.first() else {
        return Err(Failure::usage("there is nothing to compare; give --chain at least once, or a project"));
    };
    let original = (!is_project(&args.what)).then_some(args.what.as_path());
    let (number, path) = frame_of(original, first, args.frame)?;
    let media::Picture { mut frame, about } = media::read(&path)?;
    let found = frame.replace_non_finite();
    if found.nan + found.infinite > 0 {
        say::note(&format!("{} numbers were not finite and were replaced", found.nan + found.infinite));
    }
    let mut subjects = Vec::new();
    for Told { name, order, chain } in &chains {
        let elaborated = chain.for_frame(&about, number);
        let elaborated = elaborated.map_err(|fault| fault.of(name))?;
        subjects.push(Subject { name: name.clone(), order: order.clone(), elaborated });
    }
    if let Some(candidate) = &args.orders {
        subjects = orders(candidate, first, &about, number)?;
    }
    let wanted = args.region.or_else(|| measuring_region(first));
    let region = match wanted {
        Some(place) => region_of(&Marked::new("--region", place), frame.size())?,
        None => Region::whole(frame.size()).ok_or_else(|| Failure::work("the picture has no pixels"))?,
    };
    let Some(first) = subjects.first().map(|subject| &subject.elaborated) else {
        return Err(Failure::work(
            "no order of the candidate has a meaning for this shot; look at `greywright orders`",
        ));
    };
    if first.original.is_unknown() {
        return Err(Failure::usage(format!(
            "{}: the encoding of the original is not known; say it with --input NAME, or begin a chain with \
             input-transform encoding=NAME",
            say::path(&path)
        )));
    }
    Ok(Gathered::new((path, number, args.shot.as_deref()), frame, region, subjects)?)
}

/// Whether a project is named, and not frames.
pub fn is_project(path: &Path) -> bool {
    path.extension().is_some_and(|ending| ending == "greywright")
}

/// What holds for every chain.
pub fn chain_args(args: &Args) -> ChainArgs {
    ChainArgs {
        frame: args.frame,
        input: args.input.clone(),
        ei: args.ei,
        range: args.range,
        encoding_file: args.encoding_file.clone(),
        ..ChainArgs::default()
    }
}

/// The chains that were typed; each goes by its number.
fn typed(args: &Args) -> Result<Vec<Told>, Failure> {
    if !args.candidates.is_empty() || args.shot.is_some() || args.orders.is_some() {
        let message =
            "--candidates, --orders and --shot are those of a project (NAME.greywright); give one in place of IN";
        return Err(Failure::usage(message));
    }
    if !args.names.is_empty() && args.names.len() != args.chain.len() {
        let (names, chains) = (say::count(args.names.len(), "name"), say::count(args.chain.len(), "chain"));
        return Err(Failure::usage(format!("--names has {names} for {chains}; give as many")));
    }
    let read = |(number, text): (usize, &String)| {
        let name = args.names.get(number - 1).cloned().unwrap_or_else(|| format!("chain {number}"));
        let chain = ChainArgs { chain: Some(text.clone()), ..chain_args(args) }.read_of_frame();
        let chain = chain.map_err(|error| Failure { message: format!("{name}: {}", error.message), ..error })?;
        Ok(Told { name, order: text.trim().to_string(), chain })
    };
    (1..).zip(&args.chain).map(read).collect()
}

/// The project's candidates that are asked for, with the numbers of the shot.
fn of_project(args: &Args) -> Result<Vec<Told>, Failure> {
    if !args.chain.is_empty() {
        return Err(Failure::usage("--chain compares chains on an original; give IN in place of the project"));
    }
    let (written, _) = session::read_with_notes(&args.what).map_err(Failure::work)?;
    let shots: Vec<_> = written.document.shots.keys().cloned().collect();
    let shot = match (&args.shot, &shots[..]) {
        (Some(shot), _) => shot.clone(),
        (None, [only]) => only.clone(),
        (None, _) => return Err(Failure::usage(format!("say which shot with --shot: {}", shots.join(", ")))),
    };
    let all = || written.document.candidates.keys().cloned().collect();
    let names: Vec<String> = match &args.orders {
        Some(candidate) => vec![candidate.clone()],
        None if args.candidates.is_empty() => all(),
        None => args.candidates.clone(),
    };
    let read = |name: String| {
        let of = ChainArgs {
            project: Some(args.what.clone()),
            candidate: Some(name.clone()),
            shot: Some(shot.clone()),
            ..chain_args(args)
        };
        let chain = of.read_of_frame()?;
        Ok(Told { name, order: chain.order(), chain })
    };
    names.into_iter().map(read).collect()
}

/// One order of each group that makes the same picture.
fn orders(candidate: &str, chain: &Chain, about: &media::About, number: i64) -> Result<Vec<Subject>, Failure> {
    let mut meant = Vec::new();
    for (name, chain) in chain.orders(candidate)? {
        match chain.for_frame(about, number) {
            Ok(elaborated) => meant.push((chain.order(), elaborated)),
            Err(fault) => say::note(&format!("{name} is left out: {fault}")),
        }
    }
    let graphs: Vec<Elaborated> = meant.iter().map(|(_, elaborated)| elaborated.clone()).collect();
    let groups = reference::orders::group(&graphs);
    let one = |group: &Vec<usize>| {
        let (order, elaborated) = meant.get(*group.first()?)?;
        let others = match group.len() {
            1 => String::new(),
            count => format!(", and {} alike", say::count(count - 1, "order")),
        };
        Some((order.clone() + &others, elaborated.clone()))
    };
    let numbered = (1..).zip(groups.iter().filter_map(one));
    Ok(numbered
        .map(|(number, (order, elaborated))| Subject { name: format!("order {number}"), order, elaborated })
        .collect())
}
