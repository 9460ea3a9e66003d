//! Random candidates: any operation of the registry with any settings, in orders and with sidings that nobody drew.

use colour::Encoding;
use graph::{Document, Elaborated, Original, Place, Spot, Wiring, elaborate};
use ops::{Control, Domain, Op};
use proptest::prelude::*;

use crate::cases;

/// The name of the candidate.
const CANDIDATE: &str = "random";

/// A random candidate with what enters it.
#[derive(Debug, Clone)]
pub struct Candidate {
    /// Kit and wiring.
    pub document: Document,
    /// The original's encoding.
    pub encoding: Encoding,
}

impl Candidate {
    /// What it means.
    ///
    /// # Panics
    /// A candidate without meaning: none is made.
    pub fn elaborated(&self) -> Elaborated {
        let original = Original::Encoded(self.encoding.clone());
        elaborate(self.wiring(), &self.document.kit, &original, None, &cases::book())
            .unwrap_or_else(|error| panic!("{error}\n{self}"))
    }

    fn wiring(&self) -> &Wiring {
        &self.document.candidates[CANDIDATE]
    }
}

impl std::fmt::Display for Candidate {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        writeln!(f, "original {}", self.encoding.name)?;
        self.document.kit.iter().try_for_each(|(member, op)| writeln!(f, "{member}: {op:?}"))?;
        self.wiring().lines().iter().try_for_each(|line| writeln!(f, "  {line}"))
    }
}

/// A correction with where it works.
type Correction = (Op, Option<Domain>, bool);

/// A siding: what is on it, where it leaves and joins (as shares of the way), and the share of its picture.
type Siding = (Correction, f64, f64, f64);

/// Encodings whose published decoder steps at its break: on which side a number next to it lies no single float knows,
/// and a random chain may bring any pixel there. They have tests of their own.
const STEPS: [&str; 3] = ["N-Log", "F-Log", "BT.709"];

/// Random candidates over camera encodings.
pub fn candidates() -> impl Strategy<Value = Candidate> {
    let encodings: Vec<_> = cases::encodings()
        .into_iter()
        .filter(|encoding| {
            encoding.reference == colour::Reference::Scene && !STEPS.iter().any(|name| encoding.is(name))
        })
        .collect();
    let display = proptest::option::of(proptest::sample::select(vec!["BT.1886", "sRGB", "P3-D65", "PQ"]));
    let siding = (correction(), 0.0f64..1.0, 0.0f64..1.0, prop_oneof![Just(0.0), Just(1.0), 0.0f64..1.0]);
    (
        proptest::sample::select(encodings),
        any::<bool>(),
        proptest::collection::vec(correction(), 1..6),
        proptest::collection::vec(siding, 0..3),
        display,
    )
        .prop_map(|(encoding, reads, mut corrections, mut sidings, display)| {
            let sidings_own = sidings.iter_mut().map(|siding| &mut siding.0);
            corrections.iter_mut().chain(sidings_own).for_each(|correction| on_a_logarithm(correction, &encoding));
            let document = document(reads, corrections, &sidings, display);
            Candidate { document, encoding }
        })
}

fn document(reads: bool, corrections: Vec<Correction>, sidings: &[Siding], display: Option<&str>) -> Document {
    let mut document = Document::default();
    let mut member = |op: Op| {
        let name = format!("{}-{}", op.id(), document.kit.len());
        document.kit.insert(name.clone(), op);
        name
    };
    let mut places = Vec::new();
    if reads {
        places.push(Place::of(member(ops::InputTransform::default().into())));
    }
    let mut place = |(op, domain, bypass): Correction| Place { domain, bypass, ..Place::of(member(op)) };
    places.extend(corrections.into_iter().map(&mut place));
    let mut wiring = Wiring::linear(places);
    for (correction, leaves, joins, share) in sidings {
        let order = wiring.in_order().unwrap_or_default();
        let at = |share: f64| ((order.len() - 1) as f64 * share) as usize;
        let (leave, join) = (at(leaves.min(*joins)), at(leaves.max(*joins)));
        let siding = place(correction.clone());
        let mix = place((ops::Mix { share: *share }.into(), None, false));
        wiring.branch(siding, Some(order[leave]), mix, Spot::After(order[join]));
    }
    if let Some(display) = display {
        let mut op = Op::from(ops::OutputTransform::default());
        for (key, text) in [("display", display), ("rendering", "plain")] {
            op.set(key, text).unwrap_or_else(|error| panic!("{error}"));
        }
        let last = wiring.in_order().unwrap_or_default().last().copied();
        let place = Place::of(member(op));
        wiring.insert(place, last.map_or(Spot::First, Spot::After));
    }
    document.candidates.insert(CANDIDATE.to_string(), wiring);
    document
}

/// An operation that leaves the signal as it is, with settings from the middle half of its scales, where its numbers
/// have a meaning: light is multiplied, code is moved.
fn correction() -> impl Strategy<Value = Correction> {
    let all: Vec<Op> = Op::all().into_iter().filter(is_correction).collect();
    let on_light = vec![None, Some(Domain::Scene), Some(Domain::CameraLinear)];
    let on_code = vec![None, Some(Domain::Camera), Some(Domain::Log)];
    (
        proptest::sample::select(all),
        proptest::collection::vec(prop_oneof![2 => 0.25f64..0.75, 1 => Just(0.5)], 8),
        2500.0f64..12_000.0,
        proptest::bool::weighted(0.2),
        proptest::sample::select(on_light),
        proptest::sample::select(on_code),
        proptest::bool::weighted(0.1),
    )
        .prop_map(|(mut op, shares, kelvin, neutral, light, code, bypass)| {
            if !neutral {
                set(&mut op, &shares, kelvin);
            }
            if matches!(op, Op::Lut(_)) {
                look_up(&mut op, shares[0]);
                return (op, None, bypass);
            }
            let works_on_light = matches!(op.home(), Domain::Scene | Domain::CameraLinear);
            (op, if works_on_light { light } else { code }, bypass)
        })
}

/// Printer points have a size in a logarithm alone, which not every camera's code is.
fn on_a_logarithm((op, domain, _): &mut Correction, encoding: &Encoding) {
    if matches!(op, Op::PrinterPoints(_)) && encoding.transfer.code_per_stop().is_none() {
        *domain = Some(Domain::Log);
    }
}

fn is_correction(op: &Op) -> bool {
    let places = [Domain::Scene, Domain::Camera, Domain::CameraLinear, Domain::Log];
    matches!(op, Op::Lut(_))
        || places.contains(&op.home()) && !matches!(op, Op::InputTransform(_) | Op::Encode(_) | Op::OutputTransform(_))
}

/// A LUT on the code of the logarithm that all cameras share, which it gives again; it is never neutral.
fn look_up(op: &mut Op, share: f64) {
    let luts = cases::luts();
    let (name, _) = &luts[(share * luts.len() as f64) as usize];
    let interpolation = if share > 0.5 { "tetrahedral" } else { "trilinear" };
    let settings = [("file", *name), ("from", "ACEScct"), ("to", "ACEScct"), ("interpolation", interpolation)];
    settings.iter().for_each(|(key, text)| op.set(key, text).unwrap_or_else(|error| panic!("{error}")));
}

fn set(op: &mut Op, shares: &[f64], kelvin: f64) {
    for (field, share) in op.fields().iter().zip(shares.iter().cycle()) {
        let text = match (field.control, field.soft) {
            (Control::Scale, Some((low, high))) => (low + share * (high - low)).to_string(),
            (Control::White, _) if field.key == "from" => format!("{kelvin}K"),
            _ => continue,
        };
        op.set(field.key, &text).unwrap_or_else(|error| panic!("{error}"));
    }
}
