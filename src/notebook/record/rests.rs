//! What a verdict rests on.
//!
//! In: nothing. Out: lists of full names, joined without doubles.
//! Never: judges what may be rested on.

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

impl RestsOn {
    /// Adds what another limit rests on.
    pub(in crate::notebook) fn add(&mut self, other: &Self) {
        let join = |all: &mut Vec<String>, more: &[String]| {
            for name in more {
                if !all.contains(name) {
                    all.push(name.clone());
                }
            }
        };
        join(&mut self.assumed, &other.assumed);
        join(&mut self.unconfirmed, &other.unconfirmed);
        join(&mut self.unverified, &other.unverified);
        join(&mut self.no_tolerance, &other.no_tolerance);
        join(&mut self.open, &other.open);
        join(&mut self.other_day, &other.other_day);
        join(&mut self.past_calibration, &other.past_calibration);
    }
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
