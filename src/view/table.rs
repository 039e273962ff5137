//! Limits as CSV and as Markdown.
//!
//! In: records. Out: a row a limit.
//! Never: lets a cell be taken for a formula by a spreadsheet, or break out of its cell.

use super::plain;
use crate::notebook::Record;
use crate::notebook::record::{LimitRecord, RowRecord};

const HEAD: [&str; 10] =
    ["job", "sheet", "limit", "label", "strength", "verdict", "compared", "source", "remedy", "doubts"];

fn cells(record: &Record, sheet: &str, limit: &LimitRecord) -> [String; 10] {
    let verified = if limit.unverified { " (not verified)" } else { "" };
    [
        record.job.clone(),
        sheet.to_owned(),
        limit.own_name(),
        limit.label.clone(),
        limit.strength.word().to_owned(),
        limit.verdict.word().to_owned(),
        compared(limit),
        limit.cite().map_or_else(String::new, |cite| format!("{cite}{verified}")),
        limit.remedy.clone().unwrap_or_default(),
        limit.doubts.join("; "),
    ]
}

/// What was compared, or why not; of a limit on rows, each row that does not pass.
fn compared(limit: &LimitRecord) -> String {
    let words = |shown: &str, reason: &Option<String>| match reason {
        Some(reason) if shown.is_empty() => reason.clone(),
        Some(_) | None => shown.to_owned(),
    };
    if limit.rows.is_empty() {
        return words(&limit.shown, &limit.reason);
    }
    let row =
        |row: &RowRecord| format!("{}: {}, {}", row.name, row.verdict.word(), words(&row.shown, &row.reason));
    limit.rows.iter().map(row).collect::<Vec<_>>().join("; ")
}

/// A cell that a spreadsheet would take for a formula begins with a quote; a number stays one, its sign too.
pub(super) fn safe(cell: &str) -> String {
    const STARTS: [char; 10] =
        ['=', '+', '-', '@', '\t', '\r', '\u{ff1d}', '\u{ff0b}', '\u{ff0d}', '\u{ff20}'];
    let is_number = cell.starts_with(|c: char| c == '-' || c.is_ascii_digit())
        && cell.ends_with(|c: char| c.is_ascii_digit())
        && cell.parse::<f64>().is_ok();
    let starts = cell.trim_start_matches(' ').starts_with(STARTS);
    if starts && !is_number { plain(&format!("'{cell}")) } else { plain(cell) }
}

/// Returns the heading of a CSV of limits.
pub fn csv_head() -> String {
    written(&[HEAD.map(str::to_owned)])
}

/// Returns the limits of a job as CSV, without the heading.
pub fn csv(record: &Record) -> String {
    let mut rows: Vec<_> =
        record.limits().map(|(sheet, limit)| cells(record, sheet, limit).map(|cell| safe(&cell))).collect();
    // The last row of a job is the job itself.
    let mut whole = [const { String::new() }; 10];
    (whole[0], whole[3]) = (record.job.clone(), record.title.clone());
    whole[5] = format!("{}{}", record.verdict.word(), super::text::rests(record));
    whole[9] = record.remarks.join("; ");
    rows.push(whole.map(|cell| safe(&cell)));
    written(&rows)
}

fn written(rows: &[[String; 10]]) -> String {
    let mut out = csv::Writer::from_writer(Vec::new());
    // Nothing can go wrong: it is written into memory, and every row is as long as the others.
    let whole = rows.iter().all(|row| out.write_record(row).is_ok());
    let bytes = out.into_inner().ok().filter(|_| whole).unwrap_or_default();
    String::from_utf8(bytes).unwrap_or_default()
}

/// Returns a text that says in Markdown what it says plainly.
pub(super) fn escaped(text: &str) -> String {
    let mut out = String::new();
    for c in plain(text).chars() {
        if matches!(c, '|' | '\\' | '`' | '*' | '_' | '<' | '>' | '[' | ']' | '#' | '&' | '~' | '$' | '!') {
            out.push('\\');
        }
        out.push(c);
    }
    out
}

/// Returns a job's limits as a Markdown table under its title.
pub fn markdown(record: &Record) -> String {
    let mut out = format!(
        "# {}\n\n{} on {}, basis {}: **{}**{}\n\n",
        escaped(&record.title),
        escaped(&record.job),
        record.on,
        record.basis,
        record.verdict.word(),
        super::text::rests(record)
    );
    for remark in &record.remarks {
        out += &format!("{}\n\n", escaped(remark));
    }
    out += "| sheet | limit | verdict | compared | source | remedy | doubts |\n| --- | --- | --- | --- | --- | --- | --- |\n";
    for (sheet, limit) in record.limits() {
        let [_, sheet, _, label, _, verdict, compared, source, remedy, doubts] = cells(record, sheet, limit);
        let row = [sheet, label, verdict, compared, source, remedy, doubts].map(|cell| escaped(&cell));
        out += &format!("| {} |\n", row.join(" | "));
    }
    out
}

#[cfg(test)]
mod tests {
    use super::safe;

    #[test]
    fn no_cell_is_a_formula_and_a_number_stays_one() {
        for (cell, written) in [
            ("=cmd|' /C calc'!A0", "'=cmd|' /C calc'!A0"),
            ("+44", "'+44"),
            ("@SUM(1)", "'@SUM(1)"),
            ("-1+cmd", "'-1+cmd"),
            (" =1+1", "' =1+1"),
            ("\tx", "'\\u{9}x"),
            ("\rx", "'\\u{d}x"),
            ("-4.11", "-4.11"),
            ("-1e-7", "-1e-7"),
            ("-inf", "'-inf"),
            ("-4.11 %", "'-4.11 %"),
            ("", ""),
            ("plain", "plain"),
        ] {
            assert_eq!(safe(cell), written, "{cell:?}");
        }
    }
}
