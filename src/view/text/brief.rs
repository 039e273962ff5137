//! Limits that pass or wait, a line or two each: a whole job must be read on one's feet.
//!
//! In: limits of one verdict. Out: text no wider than the look asks; a limit's name alone shows all of it.
//! Never: hides that a reading behind a limit is doubtful, or that nobody has verified its clause.

use super::{closeness, word};
use crate::notebook::record::{LimitRecord, Verdict};
use crate::view::{Look, indented, plain, wrapped};

/// A limit with the name of its sheet.
type Named<'l> = (&'l str, &'l LimitRecord);

/// Returns what waits, all that waits for the same together.
pub(super) fn waiting(limits: &[Named<'_>], look: Look) -> String {
    let mut groups: Vec<(String, Vec<String>)> = Vec::new();
    for (sheet, limit) in limits {
        let reason = limit.reason.clone().unwrap_or_else(|| "waits".to_owned());
        let name = limit.full_name(sheet);
        match groups.iter_mut().find(|(known, _)| *known == reason) {
            Some((_, names)) => names.push(name),
            None => groups.push((reason, vec![name])),
        }
    }
    let told = |(reason, names): &(String, Vec<String>)| {
        let under = if look.width < 60 { 4 } else { 11 };
        let reason = wrapped(&plain(reason), look.width, 11, under);
        format!("{} {reason}\n", word(Verdict::Waiting, look))
            + &indented(&names.join(", "), look, indent(look))
    };
    let list: String = groups.iter().map(told).collect();
    if list.is_empty() { list } else { list + "\n" }
}

/// Returns what passes, the closest of each sheet first.
pub(super) fn passing(limits: &[Named<'_>], look: Look) -> String {
    let mut out = String::new();
    let mut sheet = "";
    for (name, limit) in in_order(limits) {
        if name != sheet {
            sheet = name;
            let count = limits.iter().filter(|(own, _)| *own == sheet).count();
            let limits = if count == 1 { "1 limit".to_owned() } else { format!("{count} limits") };
            out += &format!("{} {sheet}, {limits}\n", word(Verdict::Pass, look));
        }
        out += &one(limit, look);
    }
    if out.is_empty() { out } else { out + "\n" }
}

/// Sheets in the job's order, in each the closest limit first.
fn in_order<'l>(limits: &[Named<'l>]) -> Vec<Named<'l>> {
    let mut sheets: Vec<&str> = Vec::new();
    for (sheet, _) in limits {
        if !sheets.contains(sheet) {
            sheets.push(sheet);
        }
    }
    let mut made = limits.to_vec();
    let close = |limit: &LimitRecord| limit.uses.unwrap_or(if limit.left.is_some() { -1.0 } else { -2.0 });
    made.sort_by(|(a, x), (b, y)| {
        let place = |sheet: &str| sheets.iter().position(|known| *known == sheet);
        place(a).cmp(&place(b)).then(close(y).total_cmp(&close(x)))
    });
    made
}

fn one(limit: &LimitRecord, look: Look) -> String {
    let close = closeness(limit, look);
    let close = if close.is_empty() { String::new() } else { format!("{close}: ") };
    let mut marks = String::new();
    if limit.unverified {
        marks += " \u{b7} not verified";
    }
    if !limit.behind.doubts.is_empty() {
        marks += " \u{b7} doubtful reading";
    } else if let Some(rests) = limit.doubts.first() {
        marks += &format!(" \u{b7} {rests}");
    }
    let more = match limit.compared.len().saturating_sub(1) {
        0 => String::new(),
        more => format!("; and {more} more that hold"),
    };
    let first = limit.compared.first().unwrap_or(&limit.shown);
    indented(&format!("{}  {close}{first}{more}{marks}", limit.own_name()), look, indent(look))
}

fn indent(look: Look) -> usize {
    if look.width < 60 { 2 } else { 4 }
}
