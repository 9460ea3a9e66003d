//! A candidate's wiring: places of kit members, and the edges between them.

use ops::Domain;
use petgraph::Direction;
use petgraph::algo::toposort;
use petgraph::stable_graph::{NodeIndex, StableDiGraph};
use petgraph::visit::{EdgeRef as _, IntoEdgeReferences as _};
use serde::{Deserialize, Serialize};

/// Where a kit member stands in a candidate.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Place {
    /// The kit member's name.
    pub member: String,
    /// Where it works, if not at home.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub domain: Option<Domain>,
    /// Whether the picture goes past it untouched.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub bypass: bool,
}

impl Place {
    /// A member at home.
    pub fn of(member: impl Into<String>) -> Self {
        Self { member: member.into(), domain: None, bypass: false }
    }
}

/// Why a wiring has no order of work.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum WiringError {
    /// The edges run in a circle.
    #[error("the wiring runs in a circle through '{member}'; take away one edge of the circle")]
    Cycle {
        /// A member on the circle.
        member: String,
    },
    /// A place is fed twice.
    #[error("'{member}' is fed by more than one place; only one picture can enter it")]
    FedTwice {
        /// The member that is fed twice.
        member: String,
    },
    /// The original goes into several places, or several results come out.
    #[error("the wiring has {ends} {what} ('{first}' and '{second}'); join them into one")]
    Several {
        /// `beginnings` or `ends`.
        what: &'static str,
        /// How many.
        ends: usize,
        /// One of them.
        first: String,
        /// Another one.
        second: String,
    },
}

/// A directed acyclic graph of places. The original enters where no edge does; the result leaves where no edge does.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wiring {
    graph: StableDiGraph<Place, ()>,
}

impl Wiring {
    /// The linear wiring of some places in order.
    pub fn linear(places: impl IntoIterator<Item = Place>) -> Self {
        let mut wiring = Self::default();
        let mut last = None;
        for place in places {
            let next = wiring.graph.add_node(place);
            if let Some(last) = last {
                wiring.graph.add_edge(last, next, ());
            }
            last = Some(next);
        }
        wiring
    }

    /// The places and edges.
    pub fn graph(&self) -> &StableDiGraph<Place, ()> {
        &self.graph
    }

    /// The places and edges, to be edited.
    pub fn graph_mut(&mut self) -> &mut StableDiGraph<Place, ()> {
        &mut self.graph
    }

    /// The place that feeds `at`.
    pub fn before(&self, at: NodeIndex) -> Option<NodeIndex> {
        self.graph.neighbors_directed(at, Direction::Incoming).next()
    }

    /// The places that `at` feeds.
    pub fn after(&self, at: NodeIndex) -> Vec<NodeIndex> {
        let mut after: Vec<_> = self.graph.neighbors_directed(at, Direction::Outgoing).collect();
        after.sort();
        after
    }

    /// The places in the order of work.
    ///
    /// # Errors
    /// A circle, a place fed twice, several beginnings or ends.
    pub fn in_order(&self) -> Result<Vec<NodeIndex>, WiringError> {
        let name = |at: NodeIndex| self.graph.node_weight(at).map_or_else(String::new, |place| place.member.clone());
        let order =
            toposort(&self.graph, None).map_err(|cycle| WiringError::Cycle { member: name(cycle.node_id()) })?;
        for &at in &order {
            if self.graph.edges_directed(at, Direction::Incoming).count() > 1 {
                return Err(WiringError::FedTwice { member: name(at) });
            }
        }
        for (what, direction) in [("beginnings", Direction::Incoming), ("ends", Direction::Outgoing)] {
            let ends: Vec<_> = self.graph.externals(direction).collect();
            if let [first, second, ..] = ends[..] {
                return Err(WiringError::Several { what, ends: ends.len(), first: name(first), second: name(second) });
            }
        }
        Ok(order)
    }
}

/// Two wirings are equal when the same places stand under the same indices with the same edges.
impl PartialEq for Wiring {
    fn eq(&self, other: &Self) -> bool {
        let places = |wiring: &Self| -> Vec<_> {
            wiring.graph.node_indices().map(|at| (at, wiring.graph.node_weight(at).cloned())).collect()
        };
        let edges = |wiring: &Self| -> Vec<_> {
            let mut edges: Vec<_> = wiring.graph.edge_references().map(|edge| (edge.source(), edge.target())).collect();
            edges.sort();
            edges
        };
        places(self) == places(other) && edges(self) == edges(other)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_order_of_work_follows_the_edges_and_not_the_indices() {
        let mut wiring = Wiring::default();
        let [c, a, b] = ["c", "a", "b"].map(|member| wiring.graph_mut().add_node(Place::of(member)));
        wiring.graph_mut().add_edge(a, b, ());
        wiring.graph_mut().add_edge(b, c, ());
        assert_eq!(wiring.in_order(), Ok(vec![a, b, c]));
        assert_eq!((wiring.before(a), wiring.before(c)), (None, Some(b)));
        assert_eq!(wiring.after(a), [b]);
    }

    #[test]
    fn equal_wirings_have_equal_indices_and_edges() {
        let linear = |names: &[&str]| Wiring::linear(names.iter().map(|name| Place::of(*name)));
        assert_eq!(linear(&["a", "b"]), linear(&["a", "b"]));
        assert_ne!(linear(&["a", "b"]), linear(&["b", "a"]));
        let mut holed = linear(&["x", "a", "b"]);
        holed.graph_mut().remove_node(NodeIndex::new(0));
        assert_ne!(holed, linear(&["a", "b"]), "an edit that names place 1 would mean another one");
    }

    #[test]
    fn what_has_no_order_says_why() {
        let mut split = Wiring::linear([Place::of("a"), Place::of("b")]);
        let c = split.graph_mut().add_node(Place::of("c"));
        split.graph_mut().add_edge(NodeIndex::new(0), c, ());
        let ends = split.in_order().unwrap_err().to_string();
        assert!(ends.starts_with("the wiring has 2 ends ('b' and 'c')"), "{ends}");
        split.graph_mut().add_edge(c, NodeIndex::new(1), ());
        assert_eq!(split.in_order(), Err(WiringError::FedTwice { member: "b".to_string() }));
        assert_eq!(Wiring::default().in_order(), Ok(Vec::new()));
    }
}
