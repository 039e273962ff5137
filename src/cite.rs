//! Where a figure, a formula or a limit comes from.
//!
//! In: what a sheet, a basis, a table or a job cites. Out: the document and the clause.
//! Never: judges whether the document is right; `unverified` says that nobody here has read it.

/// A document, the clause in it, and whether anyone has read it there.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Cite {
    /// The document's title and edition.
    pub document: String,
    /// The clause, table or page; may be left out.
    pub clause: Option<String>,
    /// Nobody here has read this in the document itself.
    pub unverified: bool,
}

impl Cite {
    /// The word by which common practice of the trade is cited.
    pub const PRACTICE_WORD: &'static str = "practice";

    /// The document that stands for common practice of the trade.
    pub const PRACTICE: &'static str = "common practice, no published source";

    /// Returns whether anyone has read it there, in words; nothing of common practice, which has no document to be
    /// read in.
    pub fn verified(&self) -> Option<&'static str> {
        let words = if self.unverified { "not verified" } else { "verified" };
        (self.document != Self::PRACTICE).then_some(words)
    }

    /// Returns the document and clause, and behind a mark whether anyone has read it there.
    pub fn words(&self, mark: &str) -> String {
        self.verified().map_or_else(|| self.to_string(), |verified| format!("{self}{mark}{verified}"))
    }
}

impl std::fmt::Display for Cite {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match &self.clause {
            Some(clause) => write!(f, "{}, {clause}", self.document),
            None => f.write_str(&self.document),
        }
    }
}
