//! How a limit came out, and a job.
//!
//! In: nothing. Out: the six verdicts, their words and exit codes, the worst of them the greatest.
//! Never: judges (that is `judge`).

use serde::Serialize;

/// How a limit came out, or a job.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Verdict {
    /// It holds.
    Pass,
    /// A missed `should`.
    Advice,
    /// An input is open, or a default is to be confirmed.
    Waiting,
    /// One way on the figures, the other somewhere within their tolerances.
    Unsure,
    /// It does not hold.
    Fail,
    /// It cannot be worked.
    Unworkable,
}

impl Verdict {
    /// Returns the verdict's word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Pass => "pass",
            Self::Advice => "advice",
            Self::Waiting => "waiting",
            Self::Unsure => "unsure",
            Self::Fail => "fail",
            Self::Unworkable => "unworkable",
        }
    }

    /// Returns the program's exit code for a job of this verdict.
    pub fn exit_code(self) -> u8 {
        match self {
            Self::Pass | Self::Advice => 0,
            Self::Fail | Self::Unsure | Self::Unworkable => 1,
            Self::Waiting => 3,
        }
    }

    /// Returns what a sheet or a limit of this verdict does, in words.
    pub fn as_verb(self) -> &'static str {
        match self {
            Self::Pass => "passes",
            Self::Advice => "passes with advice",
            Self::Waiting => "waits",
            Self::Unsure => "is unsure",
            Self::Fail => "fails",
            Self::Unworkable => "cannot be worked out",
        }
    }
}
