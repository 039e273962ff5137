//! `wattle report`: a job as a page to print and sign, or as Markdown, CSV or JSON.
//!
//! In: a job, and the file that the report goes to. Out: that file, or the standard output.
//! Never: writes over anything but an earlier report, which is known by how it begins.

use std::path::Path;

use super::UNREADABLE;
use super::arguments::ReportFormat;
use super::terminal::{patiently, put, tell, tell_refused};
use crate::notebook::{self, Options};
use crate::view::plain;
use crate::view::report::{ENDINGS, Form, report as text};

pub(super) fn report(
    job: &Path,
    output: Option<&Path>,
    format: Option<ReportFormat>,
    over: bool,
    options: &Options,
) -> u8 {
    let form = match form(output, format) {
        Ok(form) => form,
        Err(words) => {
            tell(&format!("{words}\n"));
            return UNREADABLE;
        }
    };
    let told = match patiently("working the job and its journal", || notebook::report(job, options)) {
        Ok(told) => told,
        Err(refused) => {
            tell_refused(&refused);
            return UNREADABLE;
        }
    };
    let made = text(&told, form);
    let Some(output) = output else {
        put(&made);
        return 0;
    };
    match notebook::report::write(output, &made, form.opening(), over) {
        Ok(()) => {
            let name = plain(&output.display().to_string());
            put(&format!("{name} is written: {}\n", told.record.verdict.word()));
            0
        }
        Err(wrong) => {
            let words = wrong.wording();
            tell(&format!("{}: {}\n", words.title, words.cure));
            UNREADABLE
        }
    }
}

/// The ending of the file says the form; a form that is asked for besides must be the same.
fn form(output: Option<&Path>, format: Option<ReportFormat>) -> Result<Form, String> {
    let asked = format.map(|format| match format {
        ReportFormat::Html => Form::Html,
        ReportFormat::Markdown => Form::Markdown,
        ReportFormat::Csv => Form::Csv,
        ReportFormat::Json => Form::Json,
    });
    let Some(output) = output else { return Ok(asked.unwrap_or(Form::Html)) };
    let ending = output.extension().and_then(|ending| ending.to_str()).unwrap_or_default();
    match (Form::of_ending(ending), asked) {
        (Some(form), None) => Ok(form),
        (Some(form), Some(asked)) if form == asked => Ok(form),
        (Some(_), Some(_)) => Err(format!(
            "-o {}: the ending and --format say two things; leave --format out",
            output.display()
        )),
        (None, _) => Err(format!("-o {}: no such form of a report; {ENDINGS}", output.display())),
    }
}
