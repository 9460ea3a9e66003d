//! What the commands of trust ask for.

use crate::state::{Action, Bench, OnTrust};

/// The active picture by the proof, or as the device makes it again.
pub fn by_proof(bench: &Bench) -> Option<Action> {
    let number = bench.tile()?.number;
    let is_on = bench.trust.by_proof.is_some();
    Some(Action::Trust(OnTrust::ByProof((!is_on).then_some(number))))
}
