//! Every distinct order of the corrections of a candidate.

use ops::{Domain, Op};
use petgraph::stable_graph::NodeIndex;

use crate::elaborate::changes_signal;
use crate::{Document, Place, Wiring, WiringError};

/// The most corrections of which all orders are made: 120 orders.
pub const MOST_CORRECTIONS: usize = 5;

/// Why the orders of a candidate cannot be listed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum OrdersError {
    /// No such candidate.
    #[error("there is no candidate '{0}'")]
    NoCandidate(String),
    /// A place names a member that the kit lacks.
    #[error("'{0}' is not in the kit")]
    NoMember(String),
    /// A wiring without an order of work.
    #[error(transparent)]
    Wiring(#[from] WiringError),
    /// Sidings have no one order.
    #[error("candidate '{0}' has sidings; orders are listed of a candidate whose places follow one another")]
    NotLinear(String),
    /// Too many.
    #[error(
        "candidate '{candidate}' has {corrections} corrections; orders are listed of {MOST_CORRECTIONS} at most, bypass the others"
    )]
    TooMany {
        /// The candidate.
        candidate: String,
        /// How many it has.
        corrections: usize,
    },
}

impl Document {
    /// Every distinct order of the corrections of a linear candidate, its own first, each under a name that spells it.
    ///
    /// Places that change what the signal is keep where they stand, and so do bypassed ones. Places of equal operation,
    /// settings and domain are not told apart. Whether an order has a meaning is for elaboration to say.
    ///
    /// # Errors
    /// No such candidate, sidings, more corrections than [`MOST_CORRECTIONS`].
    pub fn orders(&self, candidate: &str) -> Result<Vec<(String, Wiring)>, OrdersError> {
        let wiring = self.candidates.get(candidate).ok_or_else(|| OrdersError::NoCandidate(candidate.to_string()))?;
        let order = wiring.in_order()?;
        if !wiring.is_linear() {
            return Err(OrdersError::NotLinear(candidate.to_string()));
        }
        let mut slots: Vec<(NodeIndex, &Place, Kind<'_>)> = Vec::new();
        for at in order {
            let place = &wiring.graph()[at];
            let op = self.kit.get(&place.member).ok_or_else(|| OrdersError::NoMember(place.member.clone()))?;
            if !place.bypass && !changes_signal(op) {
                slots.push((at, place, Kind { op, domain: place.domain.unwrap_or(op.home()) }));
            }
        }
        if slots.len() > MOST_CORRECTIONS {
            return Err(OrdersError::TooMany { candidate: candidate.to_string(), corrections: slots.len() });
        }
        let kinds: Vec<_> = slots.iter().map(|(_, _, kind)| kind).collect();
        let orders = distinct_orders(&kinds).into_iter().map(|order| {
            let mut made = wiring.clone();
            for (&(slot, ..), &from) in slots.iter().zip(&order) {
                made.graph_mut()[slot] = slots[from].1.clone();
            }
            (name(candidate, order.iter().map(|&from| slots[from].1)), made)
        });
        Ok(orders.collect())
    }
}

/// What a place does, whatever its member is called.
#[derive(PartialEq)]
struct Kind<'a> {
    op: &'a Op,
    domain: Domain,
}

/// `CANDIDATE: first, second in log, third`. Places of different kinds have different members or domains, so that
/// different orders have different names.
fn name<'a>(candidate: &str, places: impl Iterator<Item = &'a Place>) -> String {
    let places = places.map(|place| match place.domain {
        Some(domain) => format!("{} in {domain}", place.member),
        None => place.member.clone(),
    });
    format!("{candidate}: {}", places.collect::<Vec<_>>().join(", "))
}

/// Every order of the indices of some things, in lexicographic order, where equal things are not told apart.
fn distinct_orders<T: PartialEq>(things: &[T]) -> Vec<Vec<usize>> {
    fn extend<T: PartialEq>(things: &[T], so_far: &mut Vec<usize>, orders: &mut Vec<Vec<usize>>) {
        if so_far.len() == things.len() {
            orders.push(so_far.clone());
            return;
        }
        let mut tried: Vec<&T> = Vec::new();
        for (index, thing) in things.iter().enumerate() {
            if !so_far.contains(&index) && !tried.contains(&thing) {
                tried.push(thing);
                so_far.push(index);
                extend(things, so_far, orders);
                so_far.pop();
            }
        }
    }
    let mut orders = Vec::new();
    extend(things, &mut Vec::new(), &mut orders);
    orders
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chain;

    #[test]
    fn orders_are_counted_as_a_multiset() {
        // n! over the product of m! for m equal things.
        for (things, count) in
            [("", 1), ("a", 1), ("ab", 2), ("abc", 6), ("abcde", 120), ("aab", 3), ("aabbc", 30), ("aaaaa", 1)]
        {
            let things: Vec<_> = things.chars().collect();
            let orders = distinct_orders(&things);
            let spelt: std::collections::BTreeSet<String> =
                orders.iter().map(|order| order.iter().map(|&i| things[i]).collect()).collect();
            assert_eq!((orders.len(), spelt.len()), (count, count), "{things:?}");
            assert_eq!(orders[0], (0..things.len()).collect::<Vec<_>>());
        }
    }

    #[test]
    fn what_changes_the_signal_keeps_its_slot() {
        let chain = "exposure stops=1 domain=camera | input-transform encoding=LogC3 | white-balance from=3200K | \
                     exposure stops=2 bypass=true | output-transform rendering=plain";
        let document = chain::parse(chain).unwrap();
        let orders = document.orders(chain::CANDIDATE).unwrap();
        let lines: Vec<_> = orders.iter().map(|(name, wiring)| (name.as_str(), wiring.lines())).collect();
        let line = |a: &str, b: &str| {
            [a, "input-transform", b, "exposure-2 bypass=true", "output-transform"].map(String::from).to_vec()
        };
        let exposure = "exposure domain=camera";
        assert_eq!(
            lines,
            [
                ("chain: exposure in camera, white-balance", line(exposure, "white-balance")),
                ("chain: white-balance, exposure in camera", line("white-balance", exposure)),
            ]
        );
    }

    #[test]
    fn equal_places_are_not_told_apart_and_names_are_distinct() {
        let document = chain::parse(
            "exposure stops=1 | exposure stops=1 domain=scene | exposure stops=1 domain=log | exposure stops=2",
        )
        .unwrap();
        let orders = document.orders(chain::CANDIDATE).unwrap();
        assert_eq!(orders.len(), 12);
        assert_eq!(orders.iter().map(|(name, _)| name).collect::<std::collections::BTreeSet<_>>().len(), 12);
    }

    #[test]
    fn what_has_no_orders_says_why() {
        let error = |chain: &str| chain::parse(chain).unwrap().orders(chain::CANDIDATE).unwrap_err().to_string();
        let six = (1..=6).map(|stops| format!("exposure stops={stops}")).collect::<Vec<_>>().join(" | ");
        assert!(error(&six).contains("has 6 corrections"), "{}", error(&six));
        let mut document = chain::parse("exposure | white-balance").unwrap();
        assert_eq!(document.orders("none"), Err(OrdersError::NoCandidate("none".to_string())));
        document.kit.insert("mix".to_string(), Op::named("mix").unwrap());
        let wiring = document.candidates.get_mut(chain::CANDIDATE).unwrap();
        wiring.branch(Place::of("exposure"), None, Place::of("mix"), crate::Spot::After(NodeIndex::new(1)));
        assert_eq!(document.orders(chain::CANDIDATE), Err(OrdersError::NotLinear("chain".to_string())));
    }
}
