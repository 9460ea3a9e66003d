//! The project: its file, its steps back, its recovery. All that window and command line share.

pub mod aside;
pub mod beside;
pub mod chain;
mod diff;
pub mod engine;
mod fault;
pub mod file;
pub mod likely;
mod lock;
pub mod monitor;
mod names;
pub mod originals;
pub mod paths;
pub mod playback;
mod project;
pub mod queue;
pub mod readings;
pub mod render;
mod steps;
mod store;
pub mod tones;
pub mod trust;
pub mod verdict;
pub mod words;
pub mod written;

pub use diff::diff;
pub use fault::{Fault, Follower, Tell};
pub use names::name_of;
pub use project::{ENDING, Project, ProjectError, Recovered, folder_of, read, read_with_notes};
pub use steps::Steps;
pub use store::StoreError;
