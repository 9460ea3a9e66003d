//! The anchor shot that a shot is matched to, and how far each candidate's picture is from it.

use std::path::Path;
use std::sync::Arc;

use gpu::device::Gpu;
use measure::scopes::Region;
use measure::verdict::distance::Divisors;
use session::verdict::anchor::{Anchor, Places};
use session::verdict::evidence::{Evidence, refuse_clip, region_of};
use session::verdict::{Figure, Gathered, Marked};

use super::subjects::{chain_args, is_project};
use super::{Args, Sort};
use crate::cli::chain::{Chain, ChainArgs, file_range};
use crate::cli::failure::Failure;
use crate::cli::named_numbers;
use crate::cli::say;
use crate::cli::scopes::{frame_of, measuring_region};

/// Reads `stops=.1,mired=5,duv=.001,black=4`, each of which may be left out.
pub fn divisors(text: &str) -> Result<Divisors, String> {
    let mut of = Divisors::default();
    let Divisors { stops, mired, duv, black } = &mut of;
    named_numbers::read(text, &mut [("stops", stops), ("mired", mired), ("duv", duv), ("black", black)], false)?;
    Ok(of)
}

/// Reads the anchor's frame and puts it through its candidates. None where no anchor is named.
pub fn gather(
    args: &Args,
    gathered: &Gathered,
    evidence: &Evidence,
    gpu: Option<&Arc<Gpu>>,
) -> Result<Option<Anchor>, Failure> {
    let Some(name) = &args.anchor else {
        let needs = [
            ("--anchor-grey", args.anchor_grey.is_some()),
            ("--anchor-surface", !args.anchor_surface.is_empty()),
            ("--anchor-frame", args.anchor_frame.is_some()),
            ("--anchor-candidate", args.anchor_candidate.is_some()),
            ("--sort distance", args.sort == Some(Sort(Figure::Distance))),
        ];
        return match needs.iter().find(|(_, given)| *given) {
            Some((option, _)) => Err(Failure::usage(format!("{option} is of an anchor shot; name it with --anchor"))),
            None => Ok(None),
        };
    };
    for (surface, _) in &args.anchor_surface {
        if !evidence.surfaces.iter().any(|(own, _)| own == surface) {
            return Err(Failure::usage(format!(
                "--anchor-surface {surface}: the shot has no surface of this name; mark it there with --surface {surface}=X,Y,W,H"
            )));
        }
    }
    let chains = if is_project(&args.what) { of_project(args, gathered, name)? } else { typed(args, gathered)? };
    let Some(first) = chains.first() else { return Ok(None) };
    let original = (!is_project(&args.what)).then(|| Path::new(name));
    let (number, path) = frame_of(original, &first.1, args.anchor_frame)?;
    let media::Picture { mut frame, about } = media::read(&path)?;
    frame.replace_non_finite();
    let size = frame.size();
    let region = match measuring_region(&first.1) {
        Some(place) => region_of(&Marked::new("the anchor's measuring region", place), size)?,
        None => Region::whole(size).ok_or_else(|| Failure::work("the anchor's picture has no pixels"))?,
    };
    let card = args.anchor_grey.map(|place| region_of(&Marked::new("--anchor-grey", place), size)).transpose()?;
    let surfaces = args.anchor_surface.iter();
    let marked = |place: &[u32; 4]| Marked::new("--anchor-surface", *place);
    let surfaces = surfaces.map(|(name, place)| Ok((name.clone(), region_of(&marked(place), size)?)));
    let surfaces = surfaces.collect::<Result<Vec<_>, Failure>>()?;
    let through = match (&chains[..], gathered.subjects.len()) {
        ([(candidate, _)], _) => format!("through {candidate}"),
        _ => "each through its own candidate".to_string(),
    };
    let file = path.file_name().map_or_else(|| say::path(&path), |name| name.to_string_lossy().into_owned());
    let shot = if is_project(&args.what) { format!(", shot {name}") } else { String::new() };
    let mut anchor = Anchor::new(format!("{file}{shot}, {through}"), args.distance_divisors.unwrap_or_default());
    anchor.remedy = Some("choose another with --anchor-candidate, or show both on one display");
    let places = Places { region, card, surfaces };
    for (candidate, chain) in &chains {
        let elaborated = chain.for_frame(&about, number).map_err(Failure::from);
        let elaborated = elaborated.map_err(|error| Failure {
            message: format!("the anchor through {candidate}: {}", error.message),
            ..error
        })?;
        if let (Some(card), true) = (card, anchor.is_empty()) {
            let pixels = frame.to_pixels(file_range(elaborated.original_range));
            refuse_clip("--anchor-grey", card, &pixels, &frame)?;
        }
        if elaborated.original.is_unknown() {
            return Err(Failure::usage(format!(
                "{}: the anchor's encoding is not known; say it with --input NAME",
                say::path(&path)
            )));
        }
        anchor.add(&elaborated, &frame, &places, gpu)?;
    }
    Ok(Some(anchor))
}

/// A shot of the project through the candidate that is named, else the one that it has chosen, else each of those compared.
fn of_project(args: &Args, gathered: &Gathered, shot: &str) -> Result<Vec<(String, Chain)>, Failure> {
    let (written, _) = session::read_with_notes(&args.what).map_err(Failure::work)?;
    let shots = &written.document.shots;
    let chosen = shots.get(shot).ok_or_else(|| {
        let names = shots.keys().cloned().collect::<Vec<_>>().join(", ");
        Failure::usage(format!("--anchor {shot}: the project has no such shot; there are {names}"))
    })?;
    let one = args.anchor_candidate.as_ref().or(chosen.candidate.as_ref()).or(args.orders.as_ref());
    let names: Vec<String> = match one {
        Some(one) => vec![one.clone()],
        None => gathered.subjects.iter().map(|subject| subject.name.clone()).collect(),
    };
    let read = |name: String| {
        let of = ChainArgs {
            project: Some(args.what.clone()),
            candidate: Some(name.clone()),
            shot: Some(shot.to_string()),
            frame: args.anchor_frame,
            ..chain_args(args)
        };
        Ok((name, of.read_of_frame()?))
    };
    names.into_iter().map(read).collect()
}

/// Other frames through the chains that were typed.
fn typed(args: &Args, gathered: &Gathered) -> Result<Vec<(String, Chain)>, Failure> {
    if args.anchor_candidate.is_some() {
        return Err(Failure::usage("--anchor-candidate is one of a project; the anchor goes through the same chains"));
    }
    let names = gathered.subjects.iter().map(|subject| subject.name.clone());
    let read = |(name, text): (String, &String)| {
        let of = ChainArgs { chain: Some(text.clone()), frame: args.anchor_frame, ..chain_args(args) };
        Ok((name, of.read_of_frame()?))
    };
    names.zip(&args.chain).map(read).collect()
}
