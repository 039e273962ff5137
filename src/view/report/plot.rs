//! Charts as pictures: labelled axes with their units, points with a line through them, limits dashed.
//!
//! In: a chart of a record. Out: inline SVG.
//! Never: draws a point that is not known; tells anything by colour alone.

use plotters::prelude::*;

use crate::notebook::record::{ChartRecord, Value};
use crate::unit::show;
use crate::view::chart::{DIGITS, number, range, titled};

/// Drawn so narrow that its letters can still be read on a phone.
const SIZE: (u32, u32) = (480, 270);
const LETTERS: (&str, u32) = ("sans-serif", 13);

/// Returns a chart as SVG; nothing where no point is known.
pub(super) fn svg(chart: &ChartRecord) -> Option<String> {
    let up = range(chart)?;
    let mut out = String::new();
    draw(chart, padded(up), &mut out).ok()?;
    // Ink is that of the page, which is dark on some screens; inside a page the name of the language is known.
    Some(out.replace("#000000", "currentColor").replacen(" xmlns=\"http://www.w3.org/2000/svg\"", "", 1))
}

fn padded((low, high): (f64, f64)) -> (f64, f64) {
    let pad = (high - low) * 0.06;
    (low - pad, high + pad)
}

/// Returns how far across each point lies; one that is no number lies at its place in the list.
fn across(chart: &ChartRecord) -> (Vec<Option<f64>>, bool) {
    let texts = chart.points.iter().any(|point| matches!(point.across, Value::Text(_) | Value::Flag(_)));
    let place = |n: usize| Some((n + 1) as f64);
    let each = chart.points.iter().enumerate();
    (each.map(|(n, point)| if texts { place(n) } else { number(&point.across) }).collect(), texts)
}

fn draw(
    chart: &ChartRecord,
    (bottom, top): (f64, f64),
    out: &mut String,
) -> Result<(), Box<dyn std::error::Error>> {
    let (across, texts) = across(chart);
    let known = || across.iter().copied().flatten();
    let high = known().fold(f64::NEG_INFINITY, f64::max);
    let low = known().fold(f64::INFINITY, f64::min);
    // A distance begins at nothing.
    let low = if low > 0.0 && low <= high / 2.0 { 0.0 } else { low };
    let (low, high) = if low < high { (low, high) } else { (low - 1.0, low + 1.0) };
    let root = SVGBackend::with_string(out, SIZE).into_drawing_area();
    let mut plot = ChartBuilder::on(&root)
        .margin(8)
        .margin_right(18)
        .x_label_area_size(44)
        .y_label_area_size(62)
        .build_cartesian_2d(low..high + (high - low) * 0.02, bottom..top)?;
    let word = |value: &f64| match texts {
        true => chart
            .points
            .get((value.round() as usize).wrapping_sub(1))
            .map_or_else(String::new, |p| p.row.clone()),
        false => show::digits(*value, DIGITS),
    };
    plot.configure_mesh()
        .x_desc(titled(&chart.across))
        .y_desc(titled(&chart.up))
        .label_style(LETTERS.with_color(BLACK))
        .axis_desc_style(LETTERS.with_color(BLACK))
        .axis_style(BLACK)
        .bold_line_style(BLACK.mix(0.18))
        .max_light_lines(0)
        .x_labels(if texts { chart.points.len().min(8) } else { 7 })
        .y_labels(6)
        .x_label_formatter(&word)
        .y_label_formatter(&|value| show::digits(*value, DIGITS))
        .draw()?;
    for value in chart.lines.iter().filter_map(|line| number(&line.value)) {
        let ends = [(low, value), (high, value)];
        plot.draw_series(DashedLineSeries::new(ends, 6, 4, BLACK.stroke_width(2)))?;
    }
    let points: Vec<Option<(f64, f64)>> =
        across.iter().zip(&chart.points).map(|(x, point)| Some(((*x)?, number(&point.up)?))).collect();
    for run in points.split(Option::is_none) {
        let run: Vec<(f64, f64)> = run.iter().copied().flatten().collect();
        plot.draw_series(LineSeries::new(run.iter().copied(), BLACK.stroke_width(2)))?;
        plot.draw_series(run.into_iter().map(|point| Circle::new(point, 4, BLACK.filled())))?;
    }
    root.present()?;
    Ok(())
}
