//! The last value that keeps every verdict, upwards and downwards.
//!
//! In: an input and limits. Out: spans, each to the last digit that is shown.
//! Never: looks between two of the points it tries where neither differs: a limit that turns and turns back there
//! is not seen.

use crate::notebook::ask::room::input::{Input, missed};
use crate::notebook::ask::room::{Span, turned};
use crate::notebook::book::Book;
use crate::notebook::judge::days::LimitPlace;
use crate::notebook::record::Verdict;
use crate::sheet::model::Is;
use crate::unit::{date, show};

/// Points tried on the way to the end of a range.
const STEPS: u32 = 48;
/// Doublings tried where there is no range.
const DOUBLINGS: i32 = 60;
/// Halvings that bring a bracket down to the last digit of a number.
const HALVINGS: u32 = 100;
const DAY: f64 = 86_400.0;

impl Input {
    /// Returns how far the input may go either way, and how near the nearest turn is.
    pub(super) fn both_ways(&self, book: &mut Book, limits: &[LimitPlace], now: f64) -> (Vec<Span>, f64) {
        let as_is = self.at(book, limits, now);
        let mut near = f64::INFINITY;
        let mut spans = Vec::new();
        for up in [true, false] {
            let points = self.points(now, up);
            let mut kept = now;
            let mut found = None;
            for point in points {
                if self.at(book, limits, point) != as_is {
                    found = Some(self.bracketed(book, limits, &as_is, (kept, point)));
                    break;
                }
                kept = point;
            }
            spans.push(match (found, self.within) {
                (Some((last, first)), _) => {
                    near = near.min((last - now).abs() / now.abs().max(f64::MIN_POSITIVE));
                    let beyond = self.at(book, limits, first);
                    let then = turned(book, limits, &as_is, &beyond);
                    Span::Turns { up, to: self.last(book, limits, &as_is, (now, last), up), then }
                }
                (None, Some((low, high))) => {
                    Span::Range { up, to: self.shown(book, if up { high } else { low }) }
                }
                (None, None) => Span::Endless { up },
            });
        }
        (spans, near)
    }

    /// Points from a value to the end of its range, closer together near it; without a range further and further.
    fn points(&self, now: f64, up: bool) -> Vec<f64> {
        let way = if up { 1.0 } else { -1.0 };
        let days = |from: f64| if self.is == Is::Date { (from / DAY).round() * DAY } else { from };
        let mut points: Vec<f64> = match self.within {
            Some((low, high)) => {
                let end = if up { high } else { low };
                let share = |step: u32| (f64::from(step) / f64::from(STEPS)).powi(3);
                (1..=STEPS).map(|step| days(now + (end - now) * share(step))).collect()
            }
            None => {
                let first = match self.is {
                    Is::Date => DAY,
                    _ => now.abs().max(self.unit.factor().abs()) * 1e-6,
                };
                let most = if self.is == Is::Date { 15 } else { DOUBLINGS };
                (0..most).map(|n| days(now + way * first * 2.0_f64.powi(n))).collect()
            }
        };
        points.retain(|point| (point - now) * way > 0.0);
        points
    }

    /// Narrows a bracket down: the last value that keeps every verdict, and the first that does not.
    fn bracketed(
        &self,
        book: &mut Book,
        limits: &[LimitPlace],
        as_is: &[Option<Verdict>],
        (mut kept, mut lost): (f64, f64),
    ) -> (f64, f64) {
        for _ in 0..HALVINGS {
            let mut middle = kept + (lost - kept) / 2.0;
            if self.is == Is::Date {
                middle = (middle / DAY).floor() * DAY;
            }
            if middle == kept || middle == lost {
                break;
            }
            if self.at(book, limits, middle) == as_is { kept = middle } else { lost = middle }
        }
        (kept, lost)
    }

    /// Shows the last value that keeps every verdict, rounded so that it still does.
    fn last(
        &self,
        book: &mut Book,
        limits: &[LimitPlace],
        as_is: &[Option<Verdict>],
        (now, last): (f64, f64),
        up: bool,
    ) -> String {
        if self.is == Is::Date {
            return date::show(last);
        }
        for digits in 4..=15 {
            let own = self.unit.from_si(last);
            let power = own.abs().max(f64::MIN_POSITIVE).log10().floor() as i32;
            let step = 10_f64.powi(power + 1 - digits);
            let places = usize::try_from(digits).unwrap_or(0);
            let mut near = own;
            // A short number next to the last value may be just past it: then the next one inwards.
            for _ in 0..2 {
                let shown = show::directed(self.unit.to_si(near), &self.unit, !up, places);
                let Some(short) = shown.split(' ').next().and_then(|number| number.parse::<f64>().ok())
                else {
                    break;
                };
                let value = self.unit.to_si(short);
                let moved = if up { value > now } else { value < now };
                if moved && self.at(book, limits, value) == as_is {
                    return shown;
                }
                near = if up { short - step } else { short + step };
            }
        }
        self.shown(book, now)
    }

    /// Of an open input, what does not pass from where to where in its plausible range.
    pub(super) fn stretches(&self, book: &mut Book, limits: &[LimitPlace]) -> Vec<Span> {
        let Some((low, high)) = self.within else { return Vec::new() };
        let mut spans = Vec::new();
        let (mut from, mut kept) = (low, low);
        let mut verdicts = self.at(book, limits, low);
        // From nothing on in equal steps, and in equal ratios where the range spans powers of ten.
        let ratio = if low > 0.0 { (high / low).powf(1.0 / f64::from(STEPS)) } else { 1.0 };
        let point = |step: u32| match ratio > 1.05 {
            true => low * ratio.powi(i32::try_from(step).unwrap_or(0)),
            false => low + (high - low) * f64::from(step) / f64::from(STEPS),
        };
        for step in 1..=STEPS {
            let next = if step == STEPS { high } else { point(step) };
            let found = self.at(book, limits, next);
            if found != verdicts {
                let (last, first) = self.bracketed(book, limits, &verdicts, (kept, next));
                let misses = missed(book, limits, &verdicts);
                let to = show::directed(last, &self.unit, false, 4);
                spans.push(Span::Stretch { from: show::directed(from, &self.unit, true, 4), to, misses });
                from = first;
                verdicts = self.at(book, limits, first);
                kept = first;
                if verdicts == found {
                    kept = next;
                }
            } else {
                kept = next;
            }
        }
        let misses = missed(book, limits, &verdicts);
        spans.push(Span::Stretch {
            from: show::directed(from, &self.unit, true, 4),
            to: self.shown(book, high),
            misses,
        });
        spans
    }
}
