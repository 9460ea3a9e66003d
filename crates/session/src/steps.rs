//! Steps back and forth: what was done, in words, with the edit that takes it back.

use graph::{Document, Edit, EditError};

/// How many steps back are kept.
const MOST: usize = 10_000;

/// A change that can be taken back.
#[derive(Debug, Clone)]
struct Step {
    name: String,
    /// What leads to the other side of it.
    edit: Edit,
}

/// The changes of a session, those made and those taken back.
#[derive(Debug, Clone, Default)]
pub struct Steps {
    back: Vec<Step>,
    forth: Vec<Step>,
}

impl Steps {
    /// Applies an edit under a name. What had been taken back can then not be brought again.
    ///
    /// # Errors
    /// The edit is refused; nothing has changed.
    pub fn apply(&mut self, document: &mut Document, edit: &Edit, name: String) -> Result<(), EditError> {
        let undo = document.apply(edit)?;
        self.forth.clear();
        if self.back.len() == MOST {
            self.back.remove(0);
        }
        self.back.push(Step { name, edit: undo });
        Ok(())
    }

    /// Takes the last change back and gives its name; none where there is none.
    ///
    /// # Errors
    /// None that a document of this session's own causes.
    pub fn back(&mut self, document: &mut Document) -> Result<Option<String>, EditError> {
        turn(&mut self.back, &mut self.forth, document)
    }

    /// Brings again what was taken back last, and gives its name.
    ///
    /// # Errors
    /// As [`Steps::back`].
    pub fn forth(&mut self, document: &mut Document) -> Result<Option<String>, EditError> {
        turn(&mut self.forth, &mut self.back, document)
    }

    /// What can be taken back, the last change first.
    pub fn names_back(&self) -> impl Iterator<Item = &str> {
        self.back.iter().rev().map(|step| step.name.as_str())
    }

    /// What can be brought again, the next one first.
    pub fn names_forth(&self) -> impl Iterator<Item = &str> {
        self.forth.iter().rev().map(|step| step.name.as_str())
    }
}

fn turn(from: &mut Vec<Step>, to: &mut Vec<Step>, document: &mut Document) -> Result<Option<String>, EditError> {
    let Some(step) = from.pop() else { return Ok(None) };
    match document.apply(&step.edit) {
        Ok(edit) => {
            to.push(Step { name: step.name.clone(), edit });
            Ok(Some(step.name))
        }
        Err(error) => {
            from.push(step);
            Err(error)
        }
    }
}
