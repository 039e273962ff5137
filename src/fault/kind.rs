//! One fault: its place and its kind, by the stage that met it.
//!
//! In: a place and what a stage found wrong there. Out: a [`Fault`], and its words.
//! Never: has words of its own.

use super::{Span, Wording};

/// Something wrong in a text that a person wrote.
#[derive(Clone, Debug, PartialEq)]
pub struct Fault {
    /// The characters under the caret.
    pub at: Span,
    /// What is wrong with them.
    pub kind: Kind,
    /// Places of the same page that explain: "first given here".
    pub also: Vec<(Span, String)>,
}

impl Fault {
    /// Returns a fault at a place.
    pub fn new(at: impl Into<Span>, kind: impl Into<Kind>) -> Self {
        Self { at: at.into(), kind: kind.into(), also: Vec::new() }
    }

    /// Returns the fault with one more place that explains it.
    pub fn with_also(mut self, at: Span, words: impl Into<String>) -> Self {
        self.also.push((at, words.into()));
        self
    }

    /// Returns the fault moved into a text that begins `offset` bytes earlier.
    pub fn shifted(mut self, offset: usize) -> Self {
        self.at = self.at.shifted(offset);
        for (at, _) in &mut self.also {
            *at = at.shifted(offset);
        }
        self
    }

    /// Returns the fault's words.
    pub fn wording(&self) -> Wording {
        self.kind.wording()
    }
}

/// Gives each stage its place in [`Kind`]: its own list of faults, with the words beside it.
macro_rules! kinds {
    ($($(#[$doc:meta])* $name:ident($wrong:path),)*) => {
        /// What is wrong, by the stage that met it.
        #[derive(Clone, Debug, PartialEq)]
        pub enum Kind { $($(#[$doc])* $name($wrong),)* }

        impl Kind {
            /// Returns what is wrong, what the place is, what to do.
            pub fn wording(&self) -> Wording {
                match self { $(Self::$name(wrong) => wrong.wording(),)* }
            }
        }

        $(impl From<$wrong> for Kind {
            fn from(wrong: $wrong) -> Self {
                Self::$name(wrong)
            }
        })*
    };
}

kinds! {
    /// A number, a unit or a date.
    Unit(crate::unit::Wrong),
    /// The text of a sheet or a basis.
    Text(crate::sheet::Wrong),
    /// A formula.
    Formula(crate::sheet::formula::Wrong),
    /// A name, a kind, or the order of working.
    Check(crate::sheet::check::Wrong),
    /// A published table.
    Table(crate::table::Wrong),
    /// A job seen against its sheets.
    Book(crate::notebook::Wrong),
    /// A job file, or the rows of a CSV file.
    Job(crate::job::Wrong),
}
