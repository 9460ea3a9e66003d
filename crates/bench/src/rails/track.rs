//! A candidate as a rail: its carriages and gates in the order of work, and the stretch that each stands on.

use graph::{Document, Place, Wiring};
use ops::{Domain, Op, Reference, Signal};
use petgraph::stable_graph::NodeIndex;

/// What the numbers are on a stretch of a rail.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stretch {
    /// Code of the camera.
    Camera,
    /// Light of the scene.
    Scene,
    /// Code of the display.
    Display,
}

impl Stretch {
    /// All of them, from the left.
    pub const ALL: [Self; 3] = [Self::Camera, Self::Scene, Self::Display];

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Camera => "camera code",
            Self::Scene => "scene light",
            Self::Display => "display code",
        }
    }
}

/// What stands on a rail.
#[derive(Debug, Clone, PartialEq)]
pub struct Carriage {
    /// Its place in the wiring.
    pub at: NodeIndex,
    /// The kit member.
    pub place: Place,
    /// Where it stands; a gate stands at the end of its stretch.
    pub stretch: Stretch,
    /// Whether it changes what the numbers are.
    pub gate: bool,
    /// Whether it stands on a siding.
    pub siding: bool,
    /// Where it works, where that is not what comes along the rail.
    pub elsewhere: Option<Domain>,
}

/// The carriages of a candidate, in the order of work, by what reaches each of them where that is known.
pub fn carriages(document: &Document, wiring: &Wiring, takes: &[Signal]) -> Vec<Carriage> {
    let order = wiring.in_order().unwrap_or_default();
    let op = |at: &NodeIndex| document.kit.get(&wiring.graph().node_weight(*at)?.member);
    let first_out = order.iter().position(|at| matches!(op(at), Some(Op::OutputTransform(_))));
    let first_in = order.iter().position(|at| matches!(op(at), Some(Op::InputTransform(_))));
    // Without a gate the camera's code reaches as far as the first place that is given light.
    let code = |signal: &&Signal| !signal.curve.is_linear() && matches!(signal.reference, Reference::Scene);
    let first_light = takes.iter().take_while(code).count();
    let main = main_line(wiring, &order);
    order
        .iter()
        .enumerate()
        .filter_map(|(number, at)| {
            let place = wiring.graph().node_weight(*at)?.clone();
            let op = document.kit.get(&place.member)?;
            let gate = matches!(op, Op::InputTransform(_) | Op::OutputTransform(_) | Op::Encode(_));
            let before_in = first_in.map_or(number < first_light, |first| number <= first);
            let behind_out = first_out.is_some_and(|first| number > first);
            let stretch = match (before_in, behind_out) {
                (true, _) => Stretch::Camera,
                (false, true) => Stretch::Display,
                (false, false) => Stretch::Scene,
            };
            let own = match stretch {
                Stretch::Camera => Domain::Camera,
                Stretch::Scene => Domain::Scene,
                Stretch::Display => Domain::Display,
            };
            let works = place.domain.unwrap_or_else(|| op.home());
            let elsewhere = (!gate && works != own && works != Domain::AsGiven).then_some(works);
            Some(Carriage { at: *at, place, stretch, gate, siding: !main.contains(at), elsewhere })
        })
        .collect()
}

/// The places on the way from the end back to the original by main inputs.
fn main_line(wiring: &Wiring, order: &[NodeIndex]) -> Vec<NodeIndex> {
    let mut line = Vec::new();
    let mut next = order.last().copied();
    while let Some(at) = next {
        line.push(at);
        next = wiring.before(at).filter(|before| !line.contains(before));
    }
    line
}

/// What a carriage says of itself beside its name: its first setting that is not neutral.
pub fn figure_of(op: &Op) -> String {
    let neutral = Op::named(op.id());
    let changed = op.fields().iter().find_map(|field| {
        let value = op.get(field.key)?;
        let same = neutral.as_ref().and_then(|op| op.get(field.key)).as_ref() == Some(&value);
        (!same && !value.is_empty()).then_some((field, value))
    });
    let Some((field, value)) = changed else {
        // Which display a picture is made for is told even where it is the usual one.
        return if matches!(op, Op::OutputTransform(_)) {
            op.get("display").unwrap_or_default()
        } else {
            String::new()
        };
    };
    match crate::numbers::numbers(&value) {
        Some(numbers) if field.control == ops::Control::Scale => match numbers[..] {
            [one] => crate::scales::written(one, field.unit),
            _ => numbers.iter().map(|number| format!("{number:.3}")).collect::<Vec<_>>().join(" "),
        },
        _ if field.control == ops::Control::White => {
            let white = <colour::white::White as ops::Setting>::parse(&value).ok();
            let found = white.and_then(|white| white.cct_duv().ok());
            found.map_or(value, |(kelvin, duv)| format!("{kelvin:.0} K {duv:+.4}"))
        }
        _ => value,
    }
}

/// The setting that typed entries go to when the carriage itself is touched: that of all channels, or its first scale.
pub fn main_field(member: &str, op: &Op) -> Option<crate::state::Touched> {
    let scale = |field: &&ops::Field| matches!(field.control, ops::Control::Scale | ops::Control::White);
    let scales: Vec<_> = op.fields().iter().filter(scale).collect();
    let field = scales.iter().find(|field| field.key == "all").or(scales.first())?.key.to_string();
    Some(crate::state::Touched { member: member.to_string(), field, channel: None })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stretches(chain: &str) -> Vec<(String, Stretch)> {
        let document = graph::chain::parse(chain).unwrap();
        let wiring = &document.candidates[graph::chain::CANDIDATE];
        carriages(&document, wiring, &[]).into_iter().map(|own| (own.place.member, own.stretch)).collect()
    }

    #[test]
    fn gates_part_the_stretches() {
        let found = stretches(
            "printer-points | input-transform encoding=LogC3 | exposure | output-transform | channel-gain domain=display",
        );
        let of = [Stretch::Camera, Stretch::Camera, Stretch::Scene, Stretch::Scene, Stretch::Display];
        assert_eq!(found.iter().map(|(_, stretch)| *stretch).collect::<Vec<_>>(), of);
    }

    #[test]
    fn what_works_elsewhere_says_so() {
        let document =
            graph::chain::parse("input-transform encoding=LogC3 | printer-points | exposure | output-transform")
                .unwrap();
        let found = carriages(&document, &document.candidates[graph::chain::CANDIDATE], &[]);
        assert_eq!(found[1].elsewhere, Some(Domain::Camera));
        assert_eq!(found[2].elsewhere, None);
        assert!(found[0].gate && found[3].gate && !found[1].gate);
    }

    #[test]
    fn a_figure_is_the_first_that_is_not_neutral() {
        let document = graph::chain::parse("exposure stops=0.5 | white-balance from=3200K | saturation").unwrap();
        assert_eq!(figure_of(&document.kit["exposure"]), "+0.50 stops");
        assert_eq!(figure_of(&document.kit["white-balance"]), "3200 K +0.0000");
        assert_eq!(figure_of(&document.kit["saturation"]), "");
    }
}
