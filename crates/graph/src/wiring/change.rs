//! Changes of a wiring: each keeps what flows through the rest.

use petgraph::Direction;
use petgraph::stable_graph::NodeIndex;
use petgraph::visit::EdgeRef as _;

use super::{Input, Place, Wiring};

/// Where a place is put.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Spot {
    /// In front of everything whose main input is the original.
    First,
    /// Behind a place, in front of all that it feeds.
    After(NodeIndex),
    /// On the one edge that leads into an input of a place; where there is none, between the original and it.
    Into(NodeIndex, Input),
}

impl Spot {
    /// The place it is told by, if any.
    pub fn place(self) -> Option<NodeIndex> {
        match self {
            Self::First => None,
            Self::After(at) | Self::Into(at, _) => Some(at),
        }
    }
}

impl Wiring {
    /// Puts a new place at a spot and gives its index.
    pub fn insert(&mut self, place: Place, spot: Spot) -> NodeIndex {
        let at = self.graph.add_node(place);
        self.link(at, spot);
        at
    }

    /// Takes a place out: what fed its main input feeds what it fed. A siding that led to nothing else goes with it.
    pub fn remove(&mut self, at: NodeIndex) {
        let side = self.feeds(at, Input::Side);
        self.unlink(at);
        self.graph.remove_node(at);
        let mut dead = side;
        while let Some(end) = dead.filter(|&end| self.after(end).is_empty()) {
            dead = self.before(end);
            self.graph.remove_node(end);
        }
    }

    /// Moves a place to a spot that it is not itself told by. Its side input stays.
    pub fn move_to(&mut self, at: NodeIndex, spot: Spot) {
        self.unlink(at);
        self.link(at, spot);
    }

    /// Leads a siding through a new place: it takes what `from` gives (the original, if none), and joins by the new
    /// place `mix` at a spot. Gives the indices of both.
    pub fn branch(&mut self, place: Place, from: Option<NodeIndex>, mix: Place, join: Spot) -> (NodeIndex, NodeIndex) {
        let mix = self.insert(mix, join);
        let siding = self.graph.add_node(place);
        if let Some(from) = from {
            self.graph.add_edge(from, siding, Input::Main);
        }
        self.graph.add_edge(siding, mix, Input::Side);
        (siding, mix)
    }

    /// Takes a place out of the flow: what fed its main input feeds what it fed.
    fn unlink(&mut self, at: NodeIndex) {
        let (before, after) = (self.before(at), self.after(at));
        self.graph.retain_edges(|graph, edge| {
            let ends = graph.edge_endpoints(edge);
            let side = graph.edge_weight(edge) == Some(&Input::Side);
            ends.is_none_or(|(from, to)| from != at && (to != at || side))
        });
        for (next, input) in after {
            if let Some(before) = before {
                self.graph.add_edge(before, next, input);
            }
        }
    }

    /// Puts an unlinked place into the flow.
    fn link(&mut self, at: NodeIndex, spot: Spot) {
        let (before, next) = match spot {
            Spot::After(before) => (Some(before), self.after(before)),
            Spot::Into(to, input) => (self.feeds(to, input), vec![(to, input)]),
            Spot::First => {
                let all = self.graph.node_indices().filter(|&first| first != at && self.before(first).is_none());
                (None, all.map(|first| (first, Input::Main)).collect())
            }
        };
        if let Some(before) = before {
            let replaced: Vec<_> = self
                .graph
                .edges_directed(before, Direction::Outgoing)
                .filter(|edge| next.contains(&(edge.target(), *edge.weight())))
                .map(|edge| edge.id())
                .collect();
            for edge in replaced {
                self.graph.remove_edge(edge);
            }
            self.graph.add_edge(before, at, Input::Main);
        }
        for (next, input) in next {
            self.graph.add_edge(at, next, input);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn linear(names: &[&str]) -> Wiring {
        Wiring::linear(names.iter().map(|name| Place::of(*name)))
    }

    fn order(wiring: &Wiring) -> Vec<String> {
        wiring.in_order().unwrap().iter().map(|&at| wiring.graph()[at].member.clone()).collect()
    }

    #[test]
    fn inserted_moved_and_removed() {
        let at = NodeIndex::new;
        let mut wiring = linear(&["a", "b"]);
        wiring.insert(Place::of("first"), Spot::First);
        wiring.insert(Place::of("last"), Spot::After(at(1)));
        assert_eq!(order(&wiring), ["first", "a", "b", "last"]);
        wiring.move_to(at(0), Spot::After(at(3)));
        assert_eq!(order(&wiring), ["first", "b", "last", "a"]);
        wiring.remove(at(1));
        wiring.insert(Place::of("on the edge"), Spot::Into(at(0), Input::Main));
        assert_eq!(order(&wiring), ["first", "last", "on the edge", "a"]);
    }

    #[test]
    fn a_siding_goes_with_the_mix_that_joined_it() {
        let before = linear(&["a", "b"]);
        let mut wiring = before.clone();
        let (siding, mix) = wiring.branch(
            Place::of("siding"),
            Some(NodeIndex::new(0)),
            Place::of("mix"),
            Spot::After(NodeIndex::new(1)),
        );
        wiring.insert(Place::of("more"), Spot::Into(mix, Input::Side));
        assert_eq!(wiring.graph().node_count(), 5);
        assert_eq!(wiring.before(siding), Some(NodeIndex::new(0)));
        assert_eq!(wiring.before(mix), Some(NodeIndex::new(1)));
        wiring.remove(mix);
        assert_eq!(wiring, before);
    }

    #[test]
    fn a_place_on_one_edge_of_a_fork_leaves_the_other_alone() {
        let mut wiring = linear(&["a", "b"]);
        let (siding, _) = wiring.branch(
            Place::of("siding"),
            Some(NodeIndex::new(0)),
            Place::of("mix"),
            Spot::After(NodeIndex::new(1)),
        );
        let on = wiring.insert(Place::of("on"), Spot::Into(siding, Input::Main));
        assert_eq!(wiring.before(NodeIndex::new(1)), Some(NodeIndex::new(0)));
        assert_eq!((wiring.before(on), wiring.before(siding)), (Some(NodeIndex::new(0)), Some(on)));
    }
}
