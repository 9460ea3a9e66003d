//! Carrying the numbers of one shot to others.
//!
//! Light is light in every encoding: stops, mired, factors and the like are carried as they are. What works on camera
//! code is worth something else in every encoding. Printer points and offsets of code are carried by the stops that
//! they make in the logarithmic part: a point of the same size is the same share of a stop everywhere, an offset is
//! scaled by the code per stop of both encodings. Other numbers on camera code have no equal in another encoding.

use std::collections::BTreeSet;

use colour::Encoding;
use ops::{Book, Domain, Field, Op, Unit};

use crate::{Document, Edit, LayerAt, Number, Numbers, ResolveError};

/// The setting that says how many points make a stop. It belongs to the way a shot is counted and is not carried:
/// points are converted to those of the shot that they come to.
const POINTS_A_STOP: &str = "points_a_stop";

/// Why numbers cannot be carried to a shot.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CarryError {
    /// No such member.
    #[error("'{0}' is not in the kit")]
    NoMember(String),
    /// Layers that have no meaning, or no such shot.
    #[error(transparent)]
    Layer(#[from] ResolveError),
    /// Frames of one shot are not those of another.
    #[error(
        "{member} {field}: shot '{shot}' has marks, and its frames are not those of other shots; set a base instead"
    )]
    Marks {
        /// The shot that is carried from.
        shot: String,
        /// The member.
        member: String,
        /// The setting.
        field: String,
    },
    /// No way from one camera code to the other.
    #[error("{member} {field}: cannot be carried from shot '{from}' to shot '{to}': {reason}")]
    Code {
        /// The shot that is carried from.
        from: String,
        /// The shot that is carried to.
        to: String,
        /// The member.
        member: String,
        /// The setting.
        field: String,
        /// Why, and what to do.
        reason: String,
    },
}

/// Two shots, and what their code means or why that is not known.
struct Way<'a> {
    from: &'a str,
    to: &'a str,
    encodings: [Result<Encoding, String>; 2],
}

impl Document {
    /// The edit that gives other shots what a shot's own layer says of some members, or of all; what theirs said of
    /// them is replaced. What scene and set-up say stays where it is.
    ///
    /// # Errors
    /// No such shot or member; marks; numbers on camera code where an encoding is unknown or has no logarithmic part.
    pub fn carry(
        &self,
        from: &str,
        to: &[String],
        members: Option<&[String]>,
        book: &Book,
    ) -> Result<Edit, CarryError> {
        let source = self.shots.get(from).ok_or_else(|| ResolveError::NoShot(from.to_string()))?;
        let mut edits = Vec::new();
        for name in to.iter().filter(|&name| name != from).collect::<BTreeSet<_>>() {
            let target = self.shots.get(name).ok_or_else(|| ResolveError::NoShot(name.clone()))?;
            let encodings = [source, target].map(|shot| {
                let known = shot.encoding(book).map_err(|error| error.to_string())?;
                known.ok_or_else(|| "the encoding of one of them is not known; say it of the shot".to_string())
            });
            let way = Way { from, to: name, encodings };
            let all = || source.layer.members().keys().chain(target.layer.members().keys()).cloned().collect();
            let members: BTreeSet<String> = members.map_or_else(all, |members| members.iter().cloned().collect());
            for member in members {
                let numbers = self.carried(&way, &member)?;
                edits.push(Edit::PutNumbers { layer: LayerAt::Shot(name.clone()), member, numbers });
            }
        }
        Ok(Edit::Many(edits))
    }

    /// What a shot says of a member, as another shot says it.
    fn carried(&self, way: &Way<'_>, member: &str) -> Result<Numbers, CarryError> {
        let op = self.kit.get(member).ok_or_else(|| CarryError::NoMember(member.to_string()))?;
        let own = |shot: &str| self.shots.get(shot).and_then(|shot| shot.layer.members().get(member));
        let mut carried = Numbers::new();
        if let Some(kept) = own(way.to).and_then(|numbers| numbers.get(POINTS_A_STOP)) {
            carried.insert(POINTS_A_STOP.to_string(), kept.clone());
        }
        let fields = op.fields().iter().filter(|field| field.key != POINTS_A_STOP);
        for (field, number) in fields.filter_map(|field| Some((field, own(way.from)?.get(field.key)?))) {
            if !number.marks.is_empty() {
                let (shot, member, field) = (way.from.to_string(), member.to_string(), field.key.to_string());
                return Err(CarryError::Marks { shot, member, field });
            }
            let share = self.share(way, member, op, field)?;
            let [base, trim] = [&number.base, &number.trim].map(|text| text.as_deref().map(|text| scaled(text, share)));
            carried.insert(field.key.to_string(), Number { base, trim, ..Number::default() });
        }
        Ok(carried)
    }

    /// What a number of one shot is multiplied by to mean the same in the other.
    fn share(&self, way: &Way<'_>, member: &str, op: &Op, field: &Field) -> Result<f64, CarryError> {
        let refuse = |reason: String| {
            let (from, to) = (way.from.to_string(), way.to.to_string());
            CarryError::Code { from, to, member: member.to_string(), field: field.key.to_string(), reason }
        };
        let domains = self.domains(member, op);
        // Only what is told to work on whatever comes may meet camera code by that.
        let on_camera =
            |domain: &Domain| *domain == Domain::Camera || (*domain == Domain::AsGiven && op.home() != Domain::AsGiven);
        if !domains.iter().any(on_camera)
            || matches!(way.encodings.each_ref(), [Ok(a), Ok(b)] if a.transfer == b.transfer)
        {
            return self.points_share(way, member, field);
        }
        let of_code = matches!(field.unit, Unit::Points | Unit::Code) && op.home() == Domain::Camera;
        if !of_code {
            return Err(refuse(
                "on camera code it means something else in every encoding; set it there by hand".to_string(),
            ));
        }
        let code_per_stop = |encoding: &Result<Encoding, String>| {
            let encoding = encoding.as_ref().map_err(Clone::clone)?;
            let no_log = || format!("{} has no logarithmic part, so that code has no size in stops", encoding.name);
            encoding.transfer.code_per_stop().ok_or_else(no_log)
        };
        let [from, to] = way.encodings.each_ref().map(code_per_stop);
        let (from, to) = (from.map_err(refuse)?, to.map_err(refuse)?);
        if field.unit == Unit::Points {
            return self.points_share(way, member, field);
        }
        if domains.iter().all(on_camera) {
            return Ok(to / from);
        }
        Err(refuse("some candidates use it on camera code and some elsewhere; detach it in one of them".to_string()))
    }

    /// Points of one shot in points of another of the same stops; 1 for all other units.
    fn points_share(&self, way: &Way<'_>, member: &str, field: &Field) -> Result<f64, CarryError> {
        if field.unit != Unit::Points {
            return Ok(1.0);
        }
        let points_a_stop = |shot: &str| -> Result<Option<f64>, ResolveError> {
            let kit = self.resolve(Some(shot), None)?;
            Ok(kit.get(member).and_then(|op| op.get(POINTS_A_STOP)).and_then(|text| text.parse().ok()))
        };
        match (points_a_stop(way.from)?, points_a_stop(way.to)?) {
            (Some(from), Some(to)) => Ok(to / from),
            _ => Ok(1.0),
        }
    }

    /// Every domain that a member works in; its home where no candidate uses it.
    fn domains(&self, member: &str, op: &Op) -> BTreeSet<Domain> {
        let places = self.candidates.values().flat_map(|wiring| wiring.graph().node_weights());
        let used: BTreeSet<_> =
            places.filter(|place| place.member == member).map(|place| place.domain.unwrap_or(op.home())).collect();
        if used.is_empty() { BTreeSet::from([op.home()]) } else { used }
    }
}

/// Every number of a text times a factor. A factor of 1 leaves it letter for letter.
fn scaled(text: &str, by: f64) -> String {
    if by == 1.0 {
        return text.to_string();
    }
    let parts = text.split(',').map(|part| part.trim().parse::<f64>().map(|number| (number * by).to_string()));
    parts.collect::<Result<Vec<_>, _>>().map_or_else(|_| text.to_string(), |parts| parts.join(","))
}
