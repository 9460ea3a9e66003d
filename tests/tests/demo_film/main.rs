//! The film as a user gets it, against its truth.

mod kept;
mod maps;
mod truth;
mod writing;
mod written;
