//! The report as CSV: a row a line, a cell of a schedule, or a limit.
//!
//! In: a job told for a reviewer. Out: text with a heading.
//! Never: lets a cell be taken for a formula by a spreadsheet; a plain number stays one.

use crate::notebook::Report;
use crate::notebook::record::{LimitRecord, LineRecord, RowRecord, Value};
use crate::view::table::safe;

/// What every report of this form begins with: its heading.
pub(super) const OPENING: &str = "sheet,schedule,row,name,kind,label,value,unit,low,high,verdict,compared,reason,how,who,at,source,clause,unverified,remedy\n";

const CELLS: usize = 20;

/// A row, filled by the place of its heading.
struct Row([String; CELLS]);

impl Row {
    fn new(cells: [(&str, String); CELLS]) -> Self {
        debug_assert!(OPENING.trim_end().split(',').eq(cells.iter().map(|(name, _)| *name)));
        Self(cells.map(|(_, cell)| cell))
    }
}

/// Returns the report.
pub(super) fn csv(report: &Report) -> String {
    let mut out = csv::Writer::from_writer(OPENING.as_bytes().to_vec());
    let mut write = |row: Row| out.write_record(row.0.iter().map(|cell| safe(cell))).is_ok();
    for sheet in &report.record.sheets {
        for line in &sheet.lines {
            let rows =
                line.schedule.as_ref().and_then(|name| sheet.schedules.iter().find(|s| s.name == *name));
            match rows {
                None => {
                    write(of_line(&sheet.name, line, ("", &line.value, &line.low, &line.high)));
                }
                Some(schedule) => {
                    for (n, row) in schedule.rows.iter().enumerate() {
                        let cell = (row.as_str(), at(&line.value, n), at(&line.low, n), at(&line.high, n));
                        write(of_line(&sheet.name, line, cell));
                    }
                }
            }
        }
        for limit in &sheet.limits {
            write(of_limit(&sheet.name, limit, None));
            for row in &limit.rows {
                write(of_limit(&sheet.name, limit, Some(row)));
            }
        }
    }
    write(whole(report));
    out.into_inner().ok().and_then(|bytes| String::from_utf8(bytes).ok()).unwrap_or_default()
}

fn at(value: &Value, row: usize) -> &Value {
    match value {
        Value::Rows(rows) => rows.get(row).unwrap_or(&Value::None),
        other => other,
    }
}

fn cell(value: &Value) -> String {
    match value {
        Value::None | Value::Rows(_) => String::new(),
        Value::Number(number) => number.to_string(),
        Value::Flag(flag) => if *flag { "yes" } else { "no" }.to_owned(),
        Value::Text(text) => text.clone(),
    }
}

fn of_line(sheet: &str, line: &LineRecord, (row, value, low, high): (&str, &Value, &Value, &Value)) -> Row {
    let told = |text: &Option<String>| text.clone().unwrap_or_default();
    Row::new([
        ("sheet", sheet.to_owned()),
        ("schedule", told(&line.schedule)),
        ("row", row.to_owned()),
        ("name", line.name.clone()),
        ("kind", line.kind.word().to_owned()),
        ("label", line.label.clone()),
        ("value", cell(value)),
        ("unit", line.unit.clone()),
        ("low", cell(low)),
        ("high", cell(high)),
        ("verdict", String::new()),
        ("compared", String::new()),
        ("reason", if *value == Value::None { told(&line.reason) } else { String::new() }),
        ("how", line.origin.words().to_owned()),
        ("who", told(&line.who)),
        ("at", told(&line.at)),
        ("source", told(&line.source)),
        ("clause", told(&line.clause)),
        ("unverified", unverified(line.unverified)),
        ("remedy", String::new()),
    ])
}

fn unverified(unverified: bool) -> String {
    if unverified { "not verified".to_owned() } else { String::new() }
}

fn of_limit(sheet: &str, limit: &LimitRecord, row: Option<&RowRecord>) -> Row {
    let told = |text: Option<&String>| text.cloned().unwrap_or_default();
    let verdict = row.map_or(limit.verdict, |row| row.verdict);
    let compared = row.map_or(&limit.shown, |row| &row.shown);
    let reason = row.map_or(limit.reason.as_ref(), |row| row.reason.as_ref());
    let remedy = row.map_or(limit.remedy.as_ref(), |row| row.remedy.as_ref());
    Row::new([
        ("sheet", sheet.to_owned()),
        ("schedule", told(limit.schedule.as_ref())),
        ("row", row.map_or_else(String::new, |row| row.name.clone())),
        ("name", limit.name.clone()),
        ("kind", limit.strength.word().to_owned()),
        ("label", limit.label.clone()),
        ("value", limit.uses.filter(|_| row.is_none()).map_or_else(String::new, |uses| uses.to_string())),
        ("unit", limit.uses.filter(|_| row.is_none()).map_or("", |_| limit.measure().1).to_owned()),
        ("low", String::new()),
        ("high", String::new()),
        ("verdict", verdict.word().to_owned()),
        ("compared", compared.clone()),
        ("reason", told(reason)),
        ("how", String::new()),
        ("who", String::new()),
        ("at", String::new()),
        ("source", told(limit.source.as_ref())),
        ("clause", told(limit.clause.as_ref())),
        ("unverified", unverified(limit.unverified)),
        ("remedy", told(remedy)),
    ])
}

/// The last row is the job itself.
fn whole(report: &Report) -> Row {
    let record = &report.record;
    let mut row = Row([const { String::new() }; CELLS]);
    let mut put = |name: &str, cell: String| {
        if let Some(at) = OPENING.trim_end().split(',').position(|known| known == name) {
            row.0[at] = cell;
        }
    };
    put("name", record.job.clone());
    put("kind", "job".to_owned());
    put("label", record.title.clone());
    put("verdict", record.verdict.word().to_owned());
    put("compared", crate::view::text::rests(record).trim_start_matches([',', ';', ' ']).to_owned());
    put("reason", record.remarks.join("; "));
    put("who", report.prepared_by.clone().unwrap_or_default());
    put("at", record.on.clone());
    put("source", report.basis.0.clone());
    row
}
