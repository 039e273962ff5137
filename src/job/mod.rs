//! Stub of job.

use crate::fault::Wording;

/// What can be wrong.
#[derive(Clone, Debug, PartialEq)]
pub enum Wrong {}

impl Wrong {
    /// Returns the words.
    pub fn wording(&self) -> Wording {
        match *self {}
    }
}
