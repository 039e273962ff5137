//! The charts of a sheet: their points, in the units that people read.
//!
//! In: a worked book. Out: records of charts.
//! Never: draws; hides a point that is not known: it is there without a value.

use serde::Serialize;

use crate::engine::{Purpose, State};
use crate::notebook::book::Book;
use crate::notebook::book::words;
use crate::notebook::record::Value;
use crate::sheet::function::{OfRows, OverRows};
use crate::sheet::model::{Chart, ChartLine, ExprPart, Line};

/// An axis of a chart: a column.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AxisRecord {
    /// The column.
    pub name: String,
    /// Its label.
    pub label: String,
    /// Its unit; empty for a plain number.
    pub unit: String,
}

/// A point of a chart: a row of its schedule.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PointRecord {
    /// The row's name.
    pub row: String,
    /// How far across.
    pub across: Value,
    /// How far up.
    pub up: Value,
}

/// A line drawn across a chart.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ChartLineRecord {
    /// What it is.
    pub label: String,
    /// The formula as written.
    pub formula: String,
    /// How high it lies.
    pub value: Value,
    /// The same as people read it.
    pub shown: String,
}

/// A picture for the report: its points in the shown units, in the order of the rows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ChartRecord {
    /// The name.
    pub name: String,
    /// The label.
    pub label: String,
    /// What goes across.
    pub across: AxisRecord,
    /// What goes up.
    pub up: AxisRecord,
    /// The points.
    pub points: Vec<PointRecord>,
    /// Lines drawn across.
    pub lines: Vec<ChartLineRecord>,
}

/// Tells the charts of a sheet.
pub(in crate::notebook) fn charts(book: &Book, s: usize) -> Vec<ChartRecord> {
    let charts = &book.uses[s].sheet.charts;
    charts.iter().enumerate().map(|(c, chart)| told(book, s, c, chart)).collect()
}

/// Returns whether a chart of a sheet rests on a line that was reached.
pub(in crate::notebook) fn reached(book: &Book, s: usize, reach: &[bool]) -> bool {
    let charts = &book.uses[s].sheet.charts;
    charts.iter().enumerate().any(|(c, chart)| {
        let columns = [chart.across, chart.up].map(|n| Purpose::Line(s, n));
        let lines = (0..chart.lines.len()).map(|k| Purpose::ChartLine(s, c, k));
        let place = |purpose| book.point.plan().place.get(&purpose).copied();
        columns.into_iter().chain(lines).filter_map(place).any(|line| reach[line])
    })
}

fn told(book: &Book, s: usize, c: usize, chart: &Chart) -> ChartRecord {
    let used = &book.uses[s];
    let axis = |n: usize| {
        let line = &used.sheet.lines[n];
        let unit = line.unit.symbol().to_owned();
        AxisRecord { name: line.name.value.clone(), label: line.label.clone(), unit }
    };
    let cell =
        |n: usize, row: usize| words::value(book, &used.sheet.lines[n], book.point.at(book.slot(s, n, row)));
    let rows = used.rows_of(&used.sheet.lines[chart.up]);
    let names = used.sheet.lines[chart.up].schedule.map_or(&[][..], |schedule| &used.row_names[schedule]);
    let point = |row: usize| PointRecord {
        row: names.get(row).cloned().unwrap_or_default(),
        across: cell(chart.across, row),
        up: cell(chart.up, row),
    };
    let up = &used.sheet.lines[chart.up];
    let line = |(k, line): (usize, &ChartLine)| drawn(book, s, (c, k), line, up);
    ChartRecord {
        name: chart.name.value.clone(),
        label: chart.label.clone(),
        across: axis(chart.across),
        up: axis(chart.up),
        points: (0..rows).map(point).collect(),
        lines: chart.lines.iter().enumerate().map(line).collect(),
    }
}

/// A line across is told in the unit that goes up.
fn drawn(book: &Book, s: usize, (c, k): (usize, usize), line: &ChartLine, up: &Line) -> ChartLineRecord {
    let plan = book.point.plan();
    let at = plan.place.get(&Purpose::ChartLine(s, c, k)).map(|line| book.point.at(plan.lines[*line].base));
    let (value, shown) = match at {
        Some((value, status)) if matches!(status.state(), State::Worked) => {
            (words::value(book, up, (value, status)), words::shown(book, up.is, &up.unit, value))
        }
        Some((_, status)) => (Value::None, words::reason(book, status).unwrap_or_default()),
        None => (Value::None, String::new()),
    };
    ChartLineRecord { label: label(book, s, line), formula: line.formula.to_string(), value, shown }
}

/// What a line across is: the label of the line that it names, or the highest or lowest of a column.
fn label(book: &Book, s: usize, line: &ChartLine) -> String {
    let named = |expr: &crate::sheet::model::Expr| match &expr.part {
        ExprPart::Line(line) => {
            book.uses[line.sheet.unwrap_or(s)].sheet.lines.get(line.line).map(|line| line.label.clone())
        }
        _ => None,
    };
    let found = match &line.expr.part {
        ExprPart::OverRows { function: OverRows::One(OfRows::Max), of: Some(of), only: None, .. } => {
            named(of).map(|label| format!("{label}: the highest"))
        }
        ExprPart::OverRows { function: OverRows::One(OfRows::Min), of: Some(of), only: None, .. } => {
            named(of).map(|label| format!("{label}: the lowest"))
        }
        _ => named(&line.expr),
    };
    found.unwrap_or_else(|| line.formula.to_string())
}
