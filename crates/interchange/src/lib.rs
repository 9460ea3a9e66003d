//! Files that carry corrections to other tools and back: text in, text out, no folders.

pub mod cdl;
pub mod clf;
pub mod cube;
mod xml;

pub use xml::XmlError;
