//! Signals, the wiring of operations, the kit and its candidates, and what a chain means. No pixels.
//!
//! A [`Document`] holds one kit of operations, any number of candidates, each a wiring of places, and the numbers of
//! the scene, its set-ups and its shots.
//! [`elaborate`](elaborate::elaborate) resolves a wiring for a shot into typed work with every conversion in sight.

mod carry;
pub mod chain;
mod document;
pub mod edit;
pub mod elaborate;
mod elaborated;
mod layers;
pub mod monitor;
mod orders;
mod resolve;
mod shot;
mod wiring;

pub use carry::CarryError;
pub use document::{Document, DocumentError, Kit, SCHEMA_VERSION};
pub use edit::{Edit, EditError};
pub use elaborate::{ElaborateError, Original, elaborate};
pub use elaborated::{Elaborated, Made, Node, Value, Warning, Work};
pub use layers::{Layer, LayerAt, Number, Numbers};
pub use monitor::{Monitor, Monitored, MonitoredError};
pub use orders::{MOST_CORRECTIONS, OrdersError};
pub use resolve::ResolveError;
pub use shot::{MeasuringRegion, SetUp, Shot, State};
pub use wiring::{Input, Place, PlaceError, Spot, Wiring, WiringError};
