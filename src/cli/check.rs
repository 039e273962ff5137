//! `wattle check`: jobs judged, one after another in the order named.
//!
//! In: jobs, and the form of the answer. Out: each answer on the standard output; the graver of their exit codes.
//! Never: stops at a job that cannot be read.

use std::path::{Path, PathBuf};

use super::UNREADABLE;
use super::arguments::Format;
use super::terminal::{look, put, tell_whole};
use crate::notebook::{self, Found, Options, Record};
use crate::view;

/// What is said of one job, on the standard output and on the other, and its exit code.
type Said = (String, String, u8);

pub(super) fn check(jobs: &[PathBuf], format: Format, options: &Options) -> u8 {
    if format == Format::Csv {
        put(&view::table::csv_head());
    }
    let one = jobs.len() == 1;
    let mut code = 0;
    let told = |job: &Path, found: Found<Record>| said(job, found, (format, one));
    notebook::estate::each(jobs, options, told, |(answer, wrong, own)| {
        put(&answer);
        tell_whole(&wrong);
        code = graver(code, own);
    });
    code
}

fn said(job: &Path, found: Found<Record>, (format, one): (Format, bool)) -> Said {
    let in_lines = |value: serde_json::Value| if one { format!("{value:#}\n") } else { format!("{value}\n") };
    match found {
        Err(refused) if format == Format::Json => {
            let job = notebook::library::shown(job);
            (in_lines(view::json::refused(&job, &refused)), String::new(), UNREADABLE)
        }
        Err(refused) => (String::new(), view::faults::faults(&refused, look()), UNREADABLE),
        Ok(record) => {
            let answer = match format {
                Format::Json => view::json::text(&record, !one) + "\n",
                Format::Csv => view::table::csv(&record),
                Format::Markdown => format!("{}\n", view::table::markdown(&record)),
                Format::Text => view::text::check(&record, look()),
            };
            (answer, String::new(), record.verdict.exit_code())
        }
    }
}

/// The graver of two exit codes: 2, 1, 3, 0.
pub(super) fn graver(one: u8, other: u8) -> u8 {
    [2, 1, 3].into_iter().find(|code| [one, other].contains(code)).unwrap_or(0)
}
