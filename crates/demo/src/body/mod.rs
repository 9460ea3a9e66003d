//! The bodies that recur in all three set-ups, each standing, hanging or held at a [`Place`](crate::space::Place).

mod card;
mod chart;
mod cloth;
#[cfg(test)]
mod cloth_test;
mod head;
mod herbs;
mod linen;
mod mug;
mod oilskin;
mod pan;
mod panels;
mod rope;
mod slab;
mod torso;
mod trap;
mod vest;

pub use card::Card;
pub use chart::Chart;
pub use head::{Crew, Head, Pose};
pub use herbs::Herbs;
pub use linen::{Cloth, Towel};
pub use mug::Mug;
pub use oilskin::Oilskin;
pub use pan::Pan;
pub use rope::Rope;
pub use slab::{Planks, Slab};
pub use torso::{Garment, Grip, Torso};
pub use trap::Trap;
pub use vest::Vest;
