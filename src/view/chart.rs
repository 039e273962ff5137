//! Charts: a line a point, plain enough for a terminal of 45 columns.
//!
//! In: a chart of a record. Out: text.
//! Never: draws a point that is not known; tells anything by colour alone.

use super::{Look, indented, plain};
use crate::notebook::record::{AxisRecord, ChartRecord, Value};
use crate::unit::show;

/// Significant digits of a number beside a chart.
pub(super) const DIGITS: usize = 4;
/// The longest number beside a chart that is written in full.
const LONGEST: usize = 9;
/// The fewest columns that a chart is drawn in.
const NARROWEST: usize = 12;

/// Returns a chart as text: what goes across stands on the left, what goes up is drawn to the right.
pub fn text(sheet: &str, chart: &ChartRecord, look: Look) -> String {
    let mut out = indented(&format!("{sheet}.{}  {}", chart.name, chart.label), look, 0);
    out += &indented(&format!("down: {}", titled(&chart.across)), look, 2);
    out += &indented(&format!("to the right: {}", titled(&chart.up)), look, 2);
    for line in &chart.lines {
        out += &indented(&format!("|  {}: {}", line.label, line.shown), look, 2);
    }
    let Some((low, high)) = range(chart) else { return out + &indented("nothing to draw yet", look, 2) };
    let left: Vec<String> = chart.points.iter().map(|point| shown(&point.across)).collect();
    let right: Vec<String> = chart.points.iter().map(|point| shown(&point.up)).collect();
    let longest = |texts: &[String]| texts.iter().map(|text| text.chars().count()).max().unwrap_or(0);
    let (a, b) = (longest(&left).min(look.width / 3), longest(&right));
    let width = look.width.saturating_sub(a + b + 6).clamp(NARROWEST, 60);
    let place = |value: f64| ((value - low) / (high - low) * (width - 1) as f64).round() as usize;
    let lines: Vec<usize> = chart.lines.iter().filter_map(|line| number(&line.value)).map(place).collect();
    for ((point, left), right) in chart.points.iter().zip(&left).zip(&right) {
        let mut cells = vec![' '; width];
        if let Some(up) = number(&point.up) {
            cells[..place(up)].fill('-');
        }
        lines.iter().for_each(|at| cells[*at] = '|');
        if let Some(up) = number(&point.up) {
            cells[place(up)] = 'o';
        }
        let drawn: String = cells.into_iter().collect();
        let left: String = left.chars().take(a).collect();
        out += format!("  {left:>a$}  {right:>b$}  {}", drawn.trim_end()).trim_end();
        out.push('\n');
    }
    let (l, h) = (short(low), short(high));
    let gap = width.checked_sub(l.chars().count() + h.chars().count() + 1);
    let Some(gap) = gap else { return out + &indented(&format!("from {l} to {h}"), look, 2) };
    out + &format!("{}{l}{}{h}\n", " ".repeat(a + b + 6), " ".repeat(gap + 1))
}

/// Returns a number that stands beside a chart, never long.
pub(super) fn short(number: f64) -> String {
    let shown = show::digits(number, DIGITS);
    if shown.chars().count() <= LONGEST { shown } else { format!("{number:.3e}") }
}

/// Returns an axis as people read it: "Volts here, in V".
pub(super) fn titled(axis: &AxisRecord) -> String {
    if axis.unit.is_empty() { axis.label.clone() } else { format!("{}, in {}", axis.label, axis.unit) }
}

/// Returns a value beside the chart.
pub(super) fn shown(value: &Value) -> String {
    match value {
        Value::Number(number) => short(*number),
        Value::Text(text) => plain(text),
        Value::Flag(flag) => if *flag { "yes" } else { "no" }.to_owned(),
        Value::None | Value::Rows(_) => "?".to_owned(),
    }
}

/// Returns the number of a value, if it is one.
pub(super) fn number(value: &Value) -> Option<f64> {
    match value {
        Value::Number(number) => Some(*number),
        Value::None | Value::Flag(_) | Value::Text(_) | Value::Rows(_) => None,
    }
}

/// Returns the lowest and the highest that is drawn upwards, never the same; nothing where no point is known.
pub(super) fn range(chart: &ChartRecord) -> Option<(f64, f64)> {
    chart.points.iter().find_map(|point| number(&point.up))?;
    let points = chart.points.iter().filter_map(|point| number(&point.up));
    let values: Vec<f64> = points.chain(chart.lines.iter().filter_map(|line| number(&line.value))).collect();
    let low = values.iter().copied().fold(f64::INFINITY, f64::min);
    let high = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    Some(apart(low, high))
}

/// Rounding noise is no difference that can be drawn.
const NOISE: f64 = 1e-9;
/// Below this a number is drawn as zero.
const TINY: f64 = 1e-200;

/// Returns two ends that are far enough from each other for an axis between them.
pub(super) fn apart(low: f64, high: f64) -> (f64, f64) {
    let size = low.abs().max(high.abs());
    if size < TINY {
        return (-1.0, 1.0);
    }
    if high - low > size * NOISE { (low, high) } else { (low - size / 2.0, high + size / 2.0) }
}
