//! What computes, as the commands ask for it.

use std::sync::Arc;

use clap::ValueEnum;
use gpu::device::Gpu;

pub use session::engine::{Engine, name, open_gpu, tile};

use super::failure::Failure;
use super::say;

/// What computes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Executor {
    /// The graphics adapter, in single float.
    Gpu,
    /// The proof, in double float.
    Proof,
}

impl Executor {
    /// The same for a session.
    pub fn kind(self) -> session::engine::Executor {
        match self {
            Self::Gpu => session::engine::Executor::Gpu,
            Self::Proof => session::engine::Executor::Proof,
        }
    }
}

/// Opens the adapter that `GREYWRIGHT_ADAPTER` chooses, unless the proof is asked for.
pub fn open(executor: Option<Executor>) -> Result<Option<Arc<Gpu>>, Failure> {
    Ok(session::engine::open(executor.map(Executor::kind), say::note)?)
}
