//! The project: its file, its steps back, its recovery. All that window and command line share.

mod diff;
pub mod file;
mod lock;
pub mod monitor;
mod names;
pub mod paths;
mod project;
mod steps;
mod store;
pub mod words;

pub use diff::diff;
pub use names::name_of;
pub use project::{ENDING, Project, ProjectError, Recovered, folder_of, read, read_with_notes};
pub use steps::Steps;
pub use store::StoreError;
