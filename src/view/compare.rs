//! Two jobs side by side, as a reviewer reads what changed: the verdict, what turned and why, then all that differs.
//!
//! In: a comparison. Out: text no wider than the look asks.
//! Never: shows what is alike.

use super::{Look, hanging, indented};
use crate::notebook::compare::{Comparison, Differs, Side, TurnedLimit};
use crate::notebook::record::Verdict;
use crate::unit::date;

/// Returns a comparison.
pub fn comparison(made: &Comparison, look: Look) -> String {
    let (old, new) = (&made.old, &made.new);
    let mut out = indented(&format!("old  {}", side(old)), look, 0)
        + &indented(&format!("new  {}", side(new)), look, 0);
    for remark in &made.remarks {
        out += &indented(remark, look, 2);
    }
    let (was, is) = (word(Some(old.verdict)), word(Some(new.verdict)));
    out += &match was == is {
        true => format!("verdict  {is}, as before\n"),
        false => format!("verdict  {was} \u{2192} {is}\n"),
    };
    if !made.limits.is_empty() {
        out += "\nlimits with another verdict\n";
        out += &made.limits.iter().map(|limit| turned(limit, look)).collect::<String>();
    }
    for (title, list) in [
        ("inputs that differ", &made.inputs),
        ("people, instruments and marks that differ", &made.besides),
        ("files that differ", &made.files),
        ("formulas, ranges and units that differ", &made.formulas),
        ("what was worked out and differs", &made.worked),
    ] {
        if !list.is_empty() {
            out += &format!("\n{title}\n");
            out += &list.iter().map(|one| differs(one, look)).collect::<String>();
        }
    }
    let parts = [&made.inputs, &made.besides, &made.files, &made.formulas, &made.worked];
    if made.limits.is_empty() && parts.iter().all(|part| part.is_empty()) {
        out += match made.texts_differ {
            true => "the job files differ in comments or layout alone\n",
            false => "nothing differs\n",
        };
    }
    out
}

fn side(side: &Side) -> String {
    let day = date::read(&side.on).map_or_else(|_| side.on.clone(), date::in_words);
    format!("{}: {} \u{b7} {day} \u{b7} basis {}", side.job, side.title, side.basis)
}

fn word(verdict: Option<Verdict>) -> String {
    verdict.map_or("not judged".to_owned(), |verdict| verdict.word().to_uppercase())
}

fn turned(limit: &TurnedLimit, look: Look) -> String {
    let mut out =
        indented(&format!("{}  {} \u{2192} {}", limit.name, word(limit.old), word(limit.new)), look, 2);
    let why = match (limit.because.as_slice(), limit.fewest) {
        ([], _) => "no set of changes was found that does it".to_owned(),
        ([one], _) => format!("changed by {one} alone"),
        (several, true) => format!("changed by {} together", joined(several)),
        (several, false) => format!("changed by {} together, none of which can be left out", joined(several)),
    };
    out += &indented(&why, look, 6);
    out
}

/// "a, b and c"
fn joined(names: &[String]) -> String {
    match names.split_last() {
        None => String::new(),
        Some((last, [])) => last.clone(),
        Some((last, rest)) => format!("{} and {last}", rest.join(", ")),
    }
}

fn differs(one: &Differs, look: Look) -> String {
    let words = match (&one.old, &one.new) {
        (Some(old), Some(new)) => format!("{}  {old} \u{2192} {new}", one.name),
        (None, Some(new)) => format!("{}  new: {new}", one.name),
        (Some(old), None) => format!("{}  gone: {old}", one.name),
        (None, None) => one.name.clone(),
    };
    hanging(&words, look, 2)
}
