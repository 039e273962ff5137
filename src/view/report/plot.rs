//! Charts as pictures: labelled axes with their units, points with a line through them, limits dashed.
//!
//! In: a chart of a record. Out: inline SVG.
//! Never: draws a point that is not known; tells anything by colour alone.

use plotters::prelude::*;

use crate::notebook::record::{ChartRecord, Value};
use crate::view::chart::{apart, number, range, short, titled};

/// Drawn so narrow that its letters can still be read on a phone.
const SIZE: (u32, u32) = (480, 270);
const LETTERS: (&str, u32) = ("sans-serif", 13);

/// Returns a chart as SVG; nothing where no point is known.
pub(super) fn svg(chart: &ChartRecord) -> Option<String> {
    // Ends so far apart that their distance is no number leave no scale.
    let up = range(chart).filter(|(low, high)| (high - low).is_finite())?;
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
    let (low, high) = apart(low, high);
    if !(high - low).is_finite() {
        return Err("no scale".into());
    }
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
        false => short(*value),
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
        .y_label_formatter(&|value| short(*value))
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

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::notebook::record::{AxisRecord, ChartLineRecord, PointRecord};
    use crate::view::{Look, chart::text};

    fn chart(points: &[(Option<f64>, Option<f64>)], line: Option<f64>) -> ChartRecord {
        let value = |number: Option<f64>| number.map_or(Value::None, Value::Number);
        let axis = || AxisRecord { name: "a".into(), label: "A".into(), unit: "V".into() };
        let point = |&(x, y): &(Option<f64>, Option<f64>)| PointRecord {
            row: "row".into(),
            across: value(x),
            up: value(y),
        };
        let drawn = line.map(|line| ChartLineRecord {
            label: "L".into(),
            formula: "l".into(),
            value: Value::Number(line),
            shown: String::new(),
        });
        ChartRecord {
            name: "c".into(),
            label: "C".into(),
            across: axis(),
            up: axis(),
            points: points.iter().map(point).collect(),
            lines: drawn.into_iter().collect(),
        }
    }

    #[test]
    fn a_point_that_is_not_known_parts_the_line() {
        let points =
            [(Some(1.0), Some(5.0)), (Some(2.0), Some(4.0)), (Some(3.0), None), (Some(4.0), Some(2.0))];
        let svg = svg(&chart(&points, None)).expect("a picture");
        assert_eq!(svg.matches("<circle").count(), 3);
        let whole = [(Some(1.0), Some(5.0)), (Some(2.0), Some(4.0)), (Some(4.0), Some(2.0))];
        let whole = super::svg(&chart(&whole, None)).expect("a picture");
        let thick = |svg: &str| svg.matches("stroke-width=\"2\"").count();
        assert_eq!(thick(&svg), thick(&whole) + 1, "the run behind the gap is a line of its own");
        assert_eq!(super::svg(&chart(&[(Some(1.0), None)], Some(3.0))), None, "nothing to draw");
    }

    #[test]
    fn axes_are_labelled_with_their_units_and_ink_is_that_of_the_page() {
        let svg =
            svg(&chart(&[(Some(0.0), Some(5.0)), (Some(2.0), Some(4.0))], Some(3.0))).expect("a picture");
        assert_eq!(svg.matches("A, in V").count(), 2);
        assert!(svg.contains("currentColor") && !svg.contains("#000000") && !svg.contains("http"));
    }

    #[test]
    fn values_that_differ_by_noise_alone_are_drawn() {
        let noise = 24.0_f64.next_up();
        assert!(
            svg(&chart(&[(Some(1.0), Some(24.0)), (Some(1.0_f64.next_up()), Some(noise))], None)).is_some()
        );
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]
        #[test]
        fn any_numbers_are_drawn_or_not_and_nothing_hangs(
            points in prop::collection::vec(
                (prop::option::of(prop::num::f64::NORMAL | prop::num::f64::SUBNORMAL | prop::num::f64::ZERO),
                 prop::option::of(prop::num::f64::NORMAL | prop::num::f64::SUBNORMAL | prop::num::f64::ZERO)), 0..6),
            close in prop::collection::vec((0..4_u8, 0..4_u8), 0..4),
            line in prop::option::of(-1e3..1e3_f64),
        ) {
            let near = |n: u8| Some((0..n).fold(7.0_f64, |value, _| value.next_up()));
            for points in [points, close.into_iter().map(|(x, y)| (near(x), near(y))).collect()] {
                let chart = chart(&points, line);
                let _ = svg(&chart);
                let drawn = text("s", &chart, Look { width: 45, colour: false });
                prop_assert!(drawn.lines().all(|line| line.chars().count() <= 45), "{}", drawn);
            }
        }
    }
}
