//! What a verdict rests on.
//!
//! In: nothing. Out: lists of full names, joined without doubles.
//! Never: judges what may be rested on.

use std::collections::HashSet;

use serde::Serialize;

/// What a verdict rests on, as full names.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct RestsOn {
    /// Assumed, or entered without saying how.
    pub assumed: Vec<String>,
    /// Defaults nobody has confirmed.
    pub unconfirmed: Vec<String>,
    /// Figures nobody here has read in their document.
    pub unverified: Vec<String>,
    /// Measured, with no tolerance known.
    pub no_tolerance: Vec<String>,
    /// Not known yet, and waited for: an addition to the keys of the contract.
    pub open: Vec<String>,
    /// Measured on another day than the job's.
    pub other_day: Vec<String>,
    /// Measured with an instrument past its calibration.
    pub past_calibration: Vec<String>,
}

/// One kind of what a verdict rests on, with its words.
#[derive(Clone, Copy, Debug)]
pub struct Ground<'r> {
    /// What stands above the names.
    pub heading: &'static str,
    /// What one of them is called.
    pub one: &'static str,
    /// What several are called.
    pub several: &'static str,
    /// The full names.
    pub names: &'r [String],
}

impl RestsOn {
    /// Returns all that is doubtful, kind by kind; what is open is not there yet to be rested on.
    pub fn grounds(&self) -> [Ground<'_>; 6] {
        let ground = |heading, one, several, names| Ground { heading, one, several, names };
        [
            ground("Assumed, or entered without saying how", "assumption", "assumptions", &self.assumed),
            ground(
                "Defaults that nobody has confirmed",
                "default to confirm",
                "defaults to confirm",
                &self.unconfirmed,
            ),
            ground(
                "Figures that nobody here has read in their document",
                "unverified figure",
                "unverified figures",
                &self.unverified,
            ),
            ground(
                "Measured, with no tolerance known",
                "reading without tolerance",
                "readings without tolerance",
                &self.no_tolerance,
            ),
            ground(
                "Measured on another day than the job's",
                "reading of another day",
                "readings of another day",
                &self.other_day,
            ),
            ground(
                "Measured with an instrument past its calibration",
                "reading past calibration",
                "readings past calibration",
                &self.past_calibration,
            ),
        ]
    }

    /// Returns what several limits rest on together, each name once.
    pub(in crate::notebook) fn joined<'r>(parts: impl Iterator<Item = &'r Self>) -> Self {
        let mut made = Self::default();
        let mut seen: [HashSet<&str>; 7] = Default::default();
        for part in parts {
            for ((all, more), seen) in made.lists().into_iter().zip(part.each()).zip(&mut seen) {
                all.extend(more.iter().filter(|name| seen.insert(name)).cloned());
            }
        }
        made
    }

    /// Keeps each name once.
    pub(in crate::notebook) fn keep_first(&mut self) {
        self.lists().into_iter().for_each(keep_first);
    }

    fn each(&self) -> [&[String]; 7] {
        [
            &self.assumed,
            &self.unconfirmed,
            &self.unverified,
            &self.no_tolerance,
            &self.open,
            &self.other_day,
            &self.past_calibration,
        ]
    }

    fn lists(&mut self) -> [&mut Vec<String>; 7] {
        [
            &mut self.assumed,
            &mut self.unconfirmed,
            &mut self.unverified,
            &mut self.no_tolerance,
            &mut self.open,
            &mut self.other_day,
            &mut self.past_calibration,
        ]
    }
}

/// Keeps the first of equal texts, in their order: of a hundred thousand rows too.
pub(in crate::notebook) fn keep_first(texts: &mut Vec<String>) {
    let mut seen = HashSet::new();
    let first: Vec<bool> = texts.iter().map(|text| seen.insert(text.as_str())).collect();
    let mut first = first.into_iter();
    texts.retain(|_| first.next().unwrap_or(true));
}

/// What stands behind a limit.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Behind {
    /// What it rests on.
    pub rests: RestsOn,
    /// The places of the other sheets that it rests on.
    pub sheets: Vec<usize>,
    /// Its doubts, those of other sheets left out.
    pub doubts: Vec<String>,
}
