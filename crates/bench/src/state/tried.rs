//! An edit that is tried: seen at once, kept or returned from as one step.

use graph::{Document, Edit, EditError};
use serde::{Deserialize, Serialize};

/// The scale that was touched last.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Touched {
    /// The kit member.
    pub member: String,
    /// The setting's key.
    pub field: String,
    /// Which number of three, where the setting has three.
    pub channel: Option<usize>,
}

/// A carriage by its rail and its place there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Opened {
    /// The candidate.
    pub candidate: String,
    /// The place in its wiring.
    pub at: usize,
}

/// A document with an edit that is not yet kept.
pub(super) struct Tried {
    edit: Edit,
    document: Document,
}

impl Tried {
    /// Tries an edit on a document.
    pub fn new(document: &Document, edit: Edit) -> Result<Self, EditError> {
        let mut document = document.clone();
        document.apply(&edit)?;
        Ok(Self { edit, document })
    }

    pub fn document(&self) -> &Document {
        &self.document
    }

    pub fn edit(self) -> Edit {
        self.edit
    }
}
