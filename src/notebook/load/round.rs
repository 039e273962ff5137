//! Links that go round, told at a link where a person can break them.
//!
//! In: what a job links, whole schedules and single lines. Out: faults with what needs what.
//! Never: tells a line that is not in the round.

use std::sync::Arc;

use crate::fault::{Fault, Refused, Span, Spanned};
use crate::job::{Entry, Job, Rows, Use};
use crate::notebook::Wrong;
use crate::notebook::load::rows::{RowSource, chain};
use crate::notebook::record::plain_name;
use crate::sheet::Sheet;

/// Returns the schedules of a round of links that a schedule is in, itself first, if it is in one.
fn round(sources: &[Vec<RowSource>], start: (usize, usize)) -> Option<Vec<(usize, usize)>> {
    let mut met = vec![start];
    let linked = chain(sources, start.0, start.1).skip(1);
    met.extend(linked.take_while(|place| *place != start));
    let RowSource::Linked(s, n, _) = met.last().map(|(s, n)| &sources[*s][*n])? else { return None };
    ((*s, *n) == start).then_some(met)
}

/// Tells each round of links once, at the link of the first schedule in it.
pub(super) fn of_schedules(sheets: &[(String, Arc<Sheet>)], sources: &[Vec<RowSource>]) -> Vec<Fault> {
    let name =
        |&(s, n): &(usize, usize)| plain_name(&sheets[s].0, None, &sheets[s].1.schedules[n].name.value);
    let mut faults = Vec::new();
    for (s, of_sheet) in sources.iter().enumerate() {
        for (n, source) in of_sheet.iter().enumerate() {
            let RowSource::Linked(.., at) = source else { continue };
            match round(sources, (s, n)).as_deref() {
                Some([_]) => {
                    let name = sheets[s].1.schedules[n].name.value.clone();
                    faults.push(Fault::new(*at, Wrong::LinkedToItself { name }));
                }
                Some(met @ [first, ..]) if met.iter().min() == Some(first) => {
                    let names = met.iter().chain([first]).map(name).collect();
                    faults.push(Fault::new(*at, Wrong::Loop { names }));
                }
                Some(_) | None => {}
            }
        }
    }
    faults
}

/// Tells a round of lines, by their full names, at the first link of the job that is in it.
pub(super) fn of_lines(job: &Job, names: Vec<String>) -> Refused {
    let at = job.sheets.iter().flat_map(|used| links(used, &names)).next().unwrap_or_default();
    Refused { page: Arc::clone(&job.page), faults: vec![Fault::new(at, Wrong::Loop { names })] }
}

/// Returns where a sheet of the job links one of some lines.
fn links(used: &Use, names: &[String]) -> Vec<Span> {
    let sheet = &used.name.value;
    let among = |schedule: Option<&str>, (name, entry): &(Spanned<String>, Entry)| {
        (entry.is_link() && names.contains(&plain_name(sheet, schedule, &name.value))).then_some(name.at)
    };
    let mut found: Vec<Span> = used.given.iter().filter_map(|given| among(None, given)).collect();
    for (schedule, rows) in &used.schedules {
        let columns = plain_name(sheet, Some(&schedule.value), "");
        match rows {
            Rows::Linked(link) => {
                found.extend(names.iter().any(|name| name.starts_with(&columns)).then_some(link.at));
            }
            Rows::Listed(rows) => {
                let cells = rows.iter().flat_map(|row| &row.cells);
                found.extend(cells.filter_map(|cell| among(Some(&schedule.value), cell)));
            }
            // A cell of a file does not link.
            Rows::Csv(_) => {}
        }
    }
    found
}
