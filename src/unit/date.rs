//! Days and times on the site's clock, without zone.
//!
//! In: `2026-11-25`, `2026-11-25T10:40`. Out: seconds since 1970 on that clock.
//! Never: takes another form; never guesses a day that does not exist.

use jiff::civil::DateTime;

use super::wrong::Wrong;
use crate::fault::Fault;

const EPOCH: DateTime = DateTime::constant(1970, 1, 1, 0, 0, 0, 0);

/// Returns the length of the date that starts a text, if one does.
pub fn extent(text: &str) -> Option<usize> {
    if !fits(text.get(..10)?, "dddd-dd-dd") {
        return None;
    }
    let goes_on = |c: char| c.is_ascii_alphanumeric() || matches!(c, ':' | '-');
    Some(text.find(|c| !goes_on(c)).unwrap_or(text.len()))
}

fn fits(text: &str, form: &str) -> bool {
    text.len() == form.len()
        && text
            .chars()
            .zip(form.chars())
            .all(|(c, form)| if form == 'd' { c.is_ascii_digit() } else { c == form })
}

/// Reads a date, with or without a time; the text is the date and nothing else.
///
/// # Errors
/// Another form, or a day or time that does not exist.
pub fn read(text: &str) -> Result<f64, Fault> {
    const FORMS: [&str; 3] = ["dddd-dd-dd", "dddd-dd-ddTdd:dd", "dddd-dd-ddTdd:dd:dd"];
    if !FORMS.iter().any(|form| fits(text, form)) {
        return Err(Fault::new(0..text.len(), Wrong::NotADate { found: text.to_owned() }));
    }
    let part = |from: usize, to: usize| text.get(from..to).and_then(|t| t.parse::<i16>().ok()).unwrap_or(0);
    let small = |from, to| i8::try_from(part(from, to)).unwrap_or(i8::MAX);
    let (year, month, day) = (part(0, 4), small(5, 7), small(8, 10));
    let made = DateTime::new(year, month, day, small(11, 13), small(14, 16), small(17, 19), 0);
    match made {
        Ok(when) => Ok(seconds(when)),
        Err(_) => Err(Fault::new(
            0..text.len(),
            Wrong::NoSuchDay { found: text.to_owned(), why: why(year, month, day) },
        )),
    }
}

/// Returns seconds since 1970.
pub(crate) fn seconds(when: DateTime) -> f64 {
    when.duration_since(EPOCH).as_secs_f64()
}

/// Says which part of a date does not exist.
fn why(year: i16, month: i8, day: i8) -> String {
    let Ok(first) = jiff::civil::Date::new(year, month, 1) else {
        return "months go from 01 to 12".to_owned();
    };
    let last = first.days_in_month();
    if day < 1 || day > last {
        return format!("{} {year} has {last} days", MONTHS[usize::try_from(month - 1).unwrap_or(0)]);
    }
    "times go from 00:00 to 23:59".to_owned()
}

/// Returns whether a word is a month as [`in_words`] has it.
pub fn is_month(word: &str) -> bool {
    word.len() == 3 && MONTHS.iter().any(|month| month.starts_with(word))
}

const MONTHS: [&str; 12] = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
];

fn civil(si: f64) -> DateTime {
    // Four digits of a year: a date further off is shown as the first or the last that can be written.
    let seconds = si.round().clamp(-62_167_219_200.0, 253_402_300_799.0) as i64;
    EPOCH.checked_add(jiff::SignedDuration::from_secs(seconds)).unwrap_or(EPOCH)
}

/// Returns a date as it is written: the time is left out at midnight, the seconds where there are none.
pub fn show(si: f64) -> String {
    let when = civil(si);
    let day = when.date();
    match (when.hour(), when.minute(), when.second()) {
        (0, 0, 0) => format!("{day}"),
        (h, m, 0) => format!("{day}T{h:02}:{m:02}"),
        (h, m, s) => format!("{day}T{h:02}:{m:02}:{s:02}"),
    }
}

/// Returns a date in words: "25 Nov 2026", "25 Nov 2026 10:40".
pub fn in_words(si: f64) -> String {
    let when = civil(si);
    let month = &MONTHS[usize::try_from(when.month() - 1).unwrap_or(0)][..3];
    let day = format!("{} {month} {}", when.day(), when.year());
    if when.hour() == 0 && when.minute() == 0 {
        day
    } else {
        format!("{day} {:02}:{:02}", when.hour(), when.minute())
    }
}

/// Returns midnight of the day that a time lies in.
pub fn day(si: f64) -> f64 {
    (si / 86_400.0).floor() * 86_400.0
}

/// Returns the day that `26/11/2026` is meant for; nothing where day and month may stand either way.
pub fn day_first(text: &str) -> Option<String> {
    let parts: Vec<&str> = text.split(['/', '.', '-']).collect();
    let [day, month, year] = parts.as_slice() else { return None };
    let number = |part: &str| part.parse::<u8>().ok().filter(|_| part.len() <= 2);
    let (day, month) = (number(day)?, number(month)?);
    let (day, month) = match (day, month) {
        (13.., ..=12) => (day, month),
        (..=12, 13..) => (month, day),
        _ => return None,
    };
    let made = format!("{year}-{month:02}-{day:02}");
    read(&made).is_ok().then_some(made)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_three_forms_are_read_and_shown_again() {
        for (text, seconds) in [
            ("1970-01-01", 0.0),
            ("1970-01-02T00:01", 86_460.0),
            ("2026-11-25", 1_795_564_800.0),
            ("2026-11-25T10:40", 1_795_603_200.0),
            ("2026-11-25T10:40:30", 1_795_603_230.0),
            ("0000-01-01", -62_167_219_200.0),
            ("9999-12-31T23:59:59", 253_402_300_799.0),
        ] {
            assert_eq!(read(text), Ok(seconds), "{text}");
            assert_eq!(show(seconds), text);
        }
    }

    #[test]
    fn any_other_form_is_refused() {
        for text in
            ["20261125", "2026-11-5", "25/11/2026", "2026-11-25 10:40", "2026-11-25T10", "2026-11-25Z", ""]
        {
            let kind = read(text).map_err(|fault| fault.kind);
            assert_eq!(kind, Err(Wrong::NotADate { found: text.to_owned() }.into()), "{text}");
        }
    }

    #[test]
    fn a_day_that_does_not_exist_has_its_own_words() {
        for (text, why) in [
            ("2026-02-29", "February 2026 has 28 days"),
            ("2026-13-01", "months go from 01 to 12"),
            ("2026-11-00", "November 2026 has 30 days"),
            ("2026-11-25T24:00", "times go from 00:00 to 23:59"),
        ] {
            let kind = read(text).map_err(|fault| fault.kind);
            let wrong = Wrong::NoSuchDay { found: text.to_owned(), why: why.to_owned() };
            assert_eq!(kind, Err(wrong.into()), "{text}");
        }
    }

    #[test]
    fn a_date_is_found_at_the_start_of_a_text_and_told_in_words() {
        assert_eq!(extent("2026-11-25T10:40, x"), Some(16));
        assert_eq!(extent("2026-11-25 - on"), Some(10));
        assert_eq!(extent("2026 V"), None);
        assert_eq!(in_words(1_795_564_800.0), "25 Nov 2026");
        assert_eq!(in_words(1_795_603_200.0), "25 Nov 2026 10:40");
    }
}
