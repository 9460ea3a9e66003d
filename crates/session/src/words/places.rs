//! Edits of candidates in words.

use graph::{Edit, Input, Place, Spot, Wiring};
use ops::{Domain, Op};
use petgraph::stable_graph::NodeIndex;

use super::Reader;
use super::phrase::Phrase;

/// Where: `first=true`, `after=N`, or `into=N` with `input=side` for the second picture of a mix.
fn spot(phrase: &mut Phrase) -> Result<Option<Spot>, String> {
    let first = phrase.flag("first", false)?.then_some(Spot::First);
    let after = phrase.place("after")?.map(Spot::After);
    let input = match phrase.take("input").as_deref() {
        None | Some("main") => Input::Main,
        Some("side") => Input::Side,
        Some(other) => return Err(format!("input={other}: main or side is wanted")),
    };
    let into = phrase.place("into")?.map(|at| Spot::Into(at, input));
    if into.is_none() && input == Input::Side {
        return Err("input=side goes with into=".to_string());
    }
    let mut given = [first, after, into].into_iter().flatten();
    let spot = given.next();
    if given.next().is_some() {
        return Err("only one of first=, after= and into= can be meant".to_string());
    }
    Ok(spot)
}

fn at(phrase: &mut Phrase) -> Result<(String, NodeIndex), String> {
    let candidate = phrase.need("candidate")?;
    let at = phrase.place("at")?.ok_or("at= is missing; `greywright project` shows the numbers of the places")?;
    Ok((candidate, at))
}

impl Reader<'_> {
    /// Where a place goes whose spot is not said: before the first output-transform, since most corrections work on what
    /// it is given; behind all that is there where there is none, or where the place works on a display's signal.
    fn end_of(&self, candidate: &str, domain: Option<Domain>) -> Spot {
        let Some(wiring) = self.document.candidates.get(candidate) else { return Spot::First };
        let order = wiring.in_order().unwrap_or_default();
        let is_output = |at: &&NodeIndex| {
            let place = wiring.graph().node_weight(**at);
            place.is_some_and(|place| matches!(self.document.kit.get(&place.member), Some(Op::OutputTransform(_))))
        };
        let output = order.iter().find(is_output).filter(|_| domain != Some(Domain::Display));
        match (output, order.last()) {
            (Some(output), _) => Spot::Into(*output, Input::Main),
            (None, Some(last)) => Spot::After(*last),
            (None, None) => Spot::First,
        }
    }

    pub(super) fn insert(&self, phrase: &mut Phrase) -> Result<Edit, String> {
        let member = phrase.name("a kit member")?;
        let candidate = phrase.need("candidate")?;
        let place = Place { member, domain: phrase.domain("domain")?, bypass: phrase.flag("bypass", false)? };
        let domain = place.domain.or_else(|| self.document.kit.get(&place.member).map(Op::home));
        let spot = spot(phrase)?.unwrap_or_else(|| self.end_of(&candidate, domain));
        Ok(Edit::Insert { candidate, place, spot })
    }

    pub(super) fn move_place(&self, phrase: &mut Phrase) -> Result<Edit, String> {
        let (candidate, at) = at(phrase)?;
        let spot = spot(phrase)?.ok_or("say where: first=true, after=N or into=N")?;
        Ok(Edit::Move { candidate, at, spot })
    }

    pub(super) fn branch(&self, phrase: &mut Phrase) -> Result<Edit, String> {
        let member = phrase.name("the kit member on the siding")?;
        let candidate = phrase.need("candidate")?;
        let mix = Place::of(phrase.need("mix")?);
        let place = Place { domain: phrase.domain("domain")?, ..Place::of(member) };
        let from = phrase.place("from")?;
        let join = spot(phrase)?.unwrap_or_else(|| self.end_of(&candidate, mix.domain));
        Ok(Edit::Branch { candidate, place, from, mix, join })
    }
}

pub(super) fn remove(phrase: &mut Phrase) -> Result<Edit, String> {
    let (candidate, at) = at(phrase)?;
    Ok(Edit::Remove { candidate, at })
}

pub(super) fn bypass(phrase: &mut Phrase) -> Result<Edit, String> {
    let (candidate, at) = at(phrase)?;
    Ok(Edit::Bypass { candidate, at, bypass: phrase.flag("on", true)? })
}

pub(super) fn domain(phrase: &mut Phrase) -> Result<Edit, String> {
    let (candidate, at) = at(phrase)?;
    let domain = phrase.need("in")?;
    let domain = if domain == "home" { None } else { Some(Domain::parse(&domain)?) };
    Ok(Edit::SetDomain { candidate, at, domain })
}

pub(super) fn detach(phrase: &mut Phrase) -> Result<Edit, String> {
    let (candidate, at) = at(phrase)?;
    Ok(Edit::Detach { candidate, at })
}

pub(super) fn candidate(phrase: &mut Phrase) -> Result<Edit, String> {
    let name = phrase.name("the new candidate")?;
    if let Some(candidate) = phrase.take("like") {
        return Ok(Edit::CopyCandidate { candidate, to: name });
    }
    let places = phrase.take("places").unwrap_or_default();
    let lines: Vec<_> = places.split('|').map(str::trim).filter(|line| !line.is_empty()).collect();
    let wiring = Wiring::from_lines(&lines).map_err(|error| error.to_string())?;
    Ok(Edit::AddCandidate { candidate: name, wiring })
}
