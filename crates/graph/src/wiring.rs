//! A candidate's wiring: places of kit members, and the edges between them.

mod change;
mod text;

pub use change::Spot;
pub use text::PlaceError;

use std::collections::BTreeMap;

use ops::Domain;
use petgraph::Direction;
use petgraph::algo::toposort;
use petgraph::stable_graph::{NodeIndex, StableDiGraph};
use petgraph::visit::{EdgeRef as _, IntoEdgeReferences as _};

/// Where a kit member stands in a candidate.
#[derive(Debug, Clone, PartialEq)]
pub struct Place {
    /// The kit member's name.
    pub member: String,
    /// Where it works, if not at home.
    pub domain: Option<Domain>,
    /// Whether the picture goes past it untouched.
    pub bypass: bool,
}

impl Place {
    /// A member at home.
    pub fn of(member: impl Into<String>) -> Self {
        Self { member: member.into(), domain: None, bypass: false }
    }
}

/// Which input of a place an edge leads into. All but `mix` have the main input alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Input {
    /// What the operation works on.
    Main,
    /// What a `mix` lets show through.
    Side,
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
    /// An input is fed twice.
    #[error("'{member}' is fed by more than one place; only one picture can enter it, join them by a mix before it")]
    FedTwice {
        /// The member that is fed twice.
        member: String,
    },
    /// Several results come out.
    #[error("the wiring has {ends} ends ('{first}' and '{second}'); join them by a mix")]
    Several {
        /// How many.
        ends: usize,
        /// One of them.
        first: String,
        /// Another one.
        second: String,
    },
}

/// A directed acyclic graph of places. The original enters every input that no edge leads into; the result leaves
/// where no edge does.
#[derive(Debug, Clone, Default)]
pub struct Wiring {
    graph: StableDiGraph<Place, Input>,
}

impl Wiring {
    /// The linear wiring of some places in order.
    pub fn linear(places: impl IntoIterator<Item = Place>) -> Self {
        let mut wiring = Self::default();
        let mut last = None;
        for place in places {
            let next = wiring.graph.add_node(place);
            if let Some(last) = last {
                wiring.graph.add_edge(last, next, Input::Main);
            }
            last = Some(next);
        }
        wiring
    }

    /// The places and edges.
    pub fn graph(&self) -> &StableDiGraph<Place, Input> {
        &self.graph
    }

    /// The places and edges, to be edited.
    pub fn graph_mut(&mut self) -> &mut StableDiGraph<Place, Input> {
        &mut self.graph
    }

    /// The place that feeds an input of `at`; none where the original does.
    pub fn feeds(&self, at: NodeIndex, input: Input) -> Option<NodeIndex> {
        let mut edges = self.graph.edges_directed(at, Direction::Incoming);
        edges.find(|edge| *edge.weight() == input).map(|edge| edge.source())
    }

    /// The place that feeds the main input of `at`.
    pub fn before(&self, at: NodeIndex) -> Option<NodeIndex> {
        self.feeds(at, Input::Main)
    }

    /// The inputs that `at` feeds.
    pub fn after(&self, at: NodeIndex) -> Vec<(NodeIndex, Input)> {
        let edges = self.graph.edges_directed(at, Direction::Outgoing);
        let mut after: Vec<_> = edges.map(|edge| (edge.target(), *edge.weight())).collect();
        after.sort();
        after
    }

    /// The places in the order of work. Where two may come in either order, the lower index comes first.
    ///
    /// # Errors
    /// A circle, an input fed twice, several ends.
    pub fn in_order(&self) -> Result<Vec<NodeIndex>, WiringError> {
        let name = |at: NodeIndex| self.graph.node_weight(at).map_or_else(String::new, |place| place.member.clone());
        toposort(&self.graph, None).map_err(|cycle| WiringError::Cycle { member: name(cycle.node_id()) })?;
        let order = self.by_index();
        for &at in &order {
            let count = |input| {
                let edges = self.graph.edges_directed(at, Direction::Incoming);
                edges.filter(|edge| *edge.weight() == input).count()
            };
            if count(Input::Main) > 1 || count(Input::Side) > 1 {
                return Err(WiringError::FedTwice { member: name(at) });
            }
        }
        let ends: Vec<_> = self.graph.externals(Direction::Outgoing).collect();
        if let [first, second, ..] = ends[..] {
            return Err(WiringError::Several { ends: ends.len(), first: name(first), second: name(second) });
        }
        Ok(order)
    }

    /// The places, each after all that feed it, the lower index first. Complete where there is no circle.
    fn by_index(&self) -> Vec<NodeIndex> {
        let sources = |at| self.graph.neighbors_directed(at, Direction::Incoming).count();
        let mut waits_for: BTreeMap<_, _> = self.graph.node_indices().map(|at| (at, sources(at))).collect();
        let mut order = Vec::with_capacity(waits_for.len());
        while let Some((&next, _)) = waits_for.iter().find(|(_, count)| **count == 0) {
            waits_for.remove(&next);
            order.push(next);
            for fed in self.graph.neighbors(next) {
                waits_for.entry(fed).and_modify(|count| *count -= 1);
            }
        }
        order
    }

    /// Whether every place feeds the next one's main input and nothing else.
    pub fn is_linear(&self) -> bool {
        self.graph.externals(Direction::Incoming).count() <= 1
            && self.graph.node_indices().all(|at| self.after(at).len() <= 1 && self.feeds(at, Input::Side).is_none())
    }
}

/// Two wirings are equal when the same places stand under the same indices with the same edges.
impl PartialEq for Wiring {
    fn eq(&self, other: &Self) -> bool {
        let places = |wiring: &Self| -> Vec<_> {
            wiring.graph.node_indices().map(|at| (at, wiring.graph.node_weight(at).cloned())).collect()
        };
        let edges = |wiring: &Self| -> Vec<_> {
            let all = wiring.graph.edge_references();
            let mut edges: Vec<_> = all.map(|edge| (edge.source(), edge.target(), *edge.weight())).collect();
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
        wiring.graph_mut().add_edge(a, b, Input::Main);
        wiring.graph_mut().add_edge(b, c, Input::Main);
        assert_eq!(wiring.in_order(), Ok(vec![a, b, c]));
        assert_eq!((wiring.before(a), wiring.before(c)), (None, Some(b)));
        assert_eq!(wiring.after(a), [(b, Input::Main)]);
        assert!(wiring.is_linear());
    }

    #[test]
    fn where_either_may_come_first_the_lower_index_does() {
        let lines = ["a", "b", "c from=0", "mix from=1 side=2"];
        let wiring = Wiring::from_lines(&lines).unwrap();
        assert_eq!(wiring.in_order().map(|order| order.iter().map(|at| at.index()).collect()), Ok(vec![0, 1, 2, 3]));
        assert_eq!(wiring.lines(), lines);
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
        split.graph_mut().add_edge(NodeIndex::new(0), c, Input::Main);
        let ends = split.in_order().unwrap_err().to_string();
        assert!(ends.starts_with("the wiring has 2 ends ('b' and 'c')"), "{ends}");
        split.graph_mut().add_edge(c, NodeIndex::new(1), Input::Main);
        assert_eq!(split.in_order(), Err(WiringError::FedTwice { member: "b".to_string() }));
        assert_eq!(Wiring::default().in_order(), Ok(Vec::new()));
    }

    #[test]
    fn a_siding_leaves_and_joins_again() {
        let mut wiring = Wiring::linear(["a", "b", "mix"].map(Place::of));
        let c = wiring.graph_mut().add_node(Place::of("c"));
        wiring.graph_mut().add_edge(NodeIndex::new(0), c, Input::Main);
        wiring.graph_mut().add_edge(c, NodeIndex::new(2), Input::Side);
        assert_eq!(wiring.in_order().map(|order| order.len()), Ok(4));
        assert_eq!(wiring.feeds(NodeIndex::new(2), Input::Side), Some(c));
        assert!(!wiring.is_linear());
    }
}
