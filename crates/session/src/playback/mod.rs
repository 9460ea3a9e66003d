//! Playing a sequence: at its rate, dropping rather than drifting.
//!
//! What is due when, what is computed next and how large, is decided without threads and clocks, by [`Transport`],
//! [`Proxies`] and [`Schedule`]; a [`Player`] has the threads. It reads ahead, computes by a [`Work`], of which
//! [`Computing`] is the one with a chain, and hands pictures to a [`Screen`].

mod costs;
mod player;
mod proxy;
mod rate;
mod schedule;
mod share;
mod tally;
mod transport;
mod work;

pub use costs::{Costs, Played, Row, Stage};
pub use player::{Player, Screen, Settings};
pub use proxy::Proxies;
pub use rate::{Rate, RateError};
pub use schedule::{Pace, Purpose, Schedule, Shown, Task};
pub use share::{Share, picked};
pub use tally::{Change, Tally};
pub use transport::{Due, Transport};
pub use work::{Computing, Means, Picture, Work, frames_until, says_the_same, screen_edges};
