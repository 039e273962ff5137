//! What `wattle proof` found.
//!
//! In: a proof. Out: text.
//! Never: hides an example that missed.

use super::{Look, faults, plain, wrapped};
use crate::notebook::proof::Proof;

/// Returns a proof as a person reads it.
pub fn proof(proof: &Proof, look: Look) -> String {
    let mut out = String::new();
    if !proof.refused.is_empty() {
        out += &faults::faults(&proof.refused, look);
    }
    for ran in &proof.examples {
        for missed in &ran.missed {
            let text = format!("MISSED {}: {}: {missed}", ran.sheet, ran.example);
            out += &format!("{}\n", wrapped(&plain(&text), look.width, 0, 7));
        }
    }
    for text in fallen(proof).iter().chain(&proof.remarks) {
        out += &format!("{}\n", wrapped(&plain(text), look.width, 0, 2));
    }
    let values: usize = proof.examples.iter().map(|ran| ran.expected).sum();
    let held = proof.examples.iter().filter(|ran| ran.missed.is_empty()).count();
    let count = |n: usize, one: &str, many: &str| format!("{n} {}", if n == 1 { one } else { many });
    let read = [
        (proof.sheets, count(proof.sheets, "sheet", "sheets")),
        (proof.bases, count(proof.bases, "basis", "bases")),
        (proof.tables, count(proof.tables, "table", "tables")),
    ];
    let read: Vec<String> = read.into_iter().filter(|(n, _)| *n > 0).map(|(_, words)| words).collect();
    if !proof.refused.is_empty() || read.is_empty() {
        return out;
    }
    let examples = count(proof.examples.len(), "example holds", "examples hold");
    let foot = format!(
        "{}; {held} of {examples}, {}",
        read.join(", "),
        count(values, "value expected", "values expected")
    );
    out + &format!("{}\n", wrapped(&foot, look.width, 0, 2))
}

/// The limits that fall away: each with its reason, or, where they are many, those of a basis in one.
fn fallen(proof: &Proof) -> Vec<String> {
    const MOST: usize = 8;
    if proof.fall_away.len() <= MOST {
        let one = |[sheet, basis, limit, reason]: &[String; 4]| {
            format!("not needed on {basis}: {sheet}.{limit}: {reason}")
        };
        return proof.fall_away.iter().map(one).collect();
    }
    let mut bases: Vec<(&str, Vec<String>)> = Vec::new();
    for [sheet, basis, limit, _] in &proof.fall_away {
        let limit = format!("{sheet}.{limit}");
        match bases.iter_mut().find(|(known, _)| known == basis) {
            Some((_, limits)) => limits.push(limit),
            None => bases.push((basis, vec![limit])),
        }
    }
    let one = |(basis, limits): (&str, Vec<String>)| {
        format!("not needed on {basis} ('wattle sheets {basis}' says why): {}", limits.join(", "))
    };
    bases.into_iter().map(one).collect()
}
