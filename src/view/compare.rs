//! Two jobs side by side, as a reviewer reads what changed: the verdict, what turned and why, then all that differs.
//!
//! In: a comparison. Out: text no wider than the look asks.
//! Never: shows what is alike.

use super::{Look, indented};
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
        out += "\nlimits that came out otherwise\n";
        out += &made.limits.iter().map(|limit| turned(limit, look)).collect::<String>();
    }
    for (title, list) in [
        ("inputs that differ", &made.inputs),
        ("formulas, ranges and units that differ", &made.formulas),
        ("what was worked out and differs", &made.worked),
    ] {
        if !list.is_empty() {
            out += &format!("\n{title}\n");
            out += &list.iter().map(|one| differs(one, look)).collect::<String>();
        }
    }
    if made.limits.is_empty() && made.inputs.is_empty() && made.formulas.is_empty() && made.worked.is_empty()
    {
        out += "nothing differs\n";
    }
    out
}

fn side(side: &Side) -> String {
    let day = date::read(&side.on).map_or_else(|_| side.on.clone(), date::in_words);
    format!("{}: {} \u{b7} {day} \u{b7} basis {}", side.job, side.title, side.basis)
}

fn word(verdict: Option<Verdict>) -> String {
    verdict.map_or("not there, or not needed".to_owned(), |verdict| verdict.word().to_uppercase())
}

fn turned(limit: &TurnedLimit, look: Look) -> String {
    let mut out =
        indented(&format!("{}  {} \u{2192} {}", limit.name, word(limit.old), word(limit.new)), look, 2);
    let why = match (limit.because.as_slice(), limit.fewest) {
        ([], _) => "no set of changes was found that turns it".to_owned(),
        ([one], _) => format!("turned by {one} alone"),
        (several, true) => format!("turned by {}, together, and by no fewer", several.join(", ")),
        (several, false) => format!("turned by {}, none of which can be left out", several.join(", ")),
    };
    out += &indented(&why, look, 6);
    out
}

fn differs(one: &Differs, look: Look) -> String {
    let words = match (&one.old, &one.new) {
        (Some(old), Some(new)) => format!("{}  {old} \u{2192} {new}", one.name),
        (None, Some(new)) => format!("{}  new: {new}", one.name),
        (Some(old), None) => format!("{}  gone: {old}", one.name),
        (None, None) => one.name.clone(),
    };
    indented(&words, look, 2)
}
