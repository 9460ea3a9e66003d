//! Playing a sequence: at its rate, dropping rather than drifting.

mod proxy;
mod rate;
mod schedule;
mod share;
mod tally;
mod transport;

pub use proxy::Proxies;
pub use rate::{Rate, RateError};
pub use schedule::{Pace, Purpose, Schedule, Shown, Task};
pub use share::{Share, picked};
pub use tally::{Change, Tally};
pub use transport::{Due, Transport};
