//! The bodies that recur in all three set-ups, each standing, hanging or held at a [`Place`](crate::space::Place).

#[cfg(test)]
mod bodies_test;
mod card;
mod chart;
mod chest;
mod cloth;
#[cfg(test)]
mod cloth_test;
mod cord;
mod enamel;
mod gauge;
mod head;
mod herbs;
mod jug;
mod lathe;
mod linen;
mod mug;
mod pan;
mod panels;
mod roll;
mod rope;
mod slab;
mod slate;
mod torso;
mod trap;
mod vest;
mod wood;

pub use card::Card;
pub use chart::Chart;
pub use chest::Chest;
pub use cord::Cord;
pub use gauge::Gauge;
pub use head::{Crew, Head, Pose};
pub use herbs::Herbs;
pub use jug::Jug;
pub use linen::Towel;
pub use mug::Mug;
pub use pan::Pan;
pub use roll::Roll;
pub use rope::Rope;
pub use slab::{Boards, Planks, Plates, Slab};
pub use torso::{Garment, Grip, Torso};
pub use trap::Trap;
pub use vest::Vest;
pub use wood::{OAK_WOOD, PINE_WOOD, WARM_WOOD};
