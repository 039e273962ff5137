//! The names that a link may use: lines of the other sheets of the job, written in full.
//!
//! In: the sheets by their names in the job. Out: what a name stands for.
//! Never: finds a name that is not written in full.

use std::sync::Arc;

use crate::fault::near;
use crate::sheet::Sheet;
use crate::sheet::check::{Found, Scope, Wrong};
use crate::sheet::model::{Is, LineRef, Role, Rows};
use crate::sheet::token::Path;

/// The sheets of a job by name.
pub(in crate::notebook) struct JobScope<'a> {
    /// Names and sheets, in the job's order.
    pub sheets: &'a [(String, Arc<Sheet>)],
}

impl JobScope<'_> {
    fn sheet(&self, name: &str) -> Option<usize> {
        self.sheets.iter().position(|(known, _)| known == name)
    }

    /// Returns the column that the rows of a schedule go by.
    fn named_by(&self, sheet: &str, schedule: &str) -> Option<String> {
        let sheet = &self.sheets[self.sheet(sheet)?].1;
        let columns = &sheet.schedules[sheet.known_schedule(schedule)?].columns;
        let text = columns.iter().map(|n| &sheet.lines[*n]).find(|line| line.is == Is::Text)?;
        Some(text.name.value.clone())
    }

    fn unknown(&self, path: &Path) -> Wrong {
        let own = |(_, sheet): &&(String, Arc<Sheet>)| sheet.known_line(&path.0[0]).is_some();
        if let ([name], Some((sheet, _))) = (path.0.as_slice(), self.sheets.iter().find(own)) {
            let near = Some(format!("{sheet}.{name}"));
            return Wrong::UnknownName { found: path.to_string(), near, unit: false };
        }
        let near = near(&path.0[0], self.sheets.iter().map(|(name, _)| name.as_str())).map(str::to_owned);
        Wrong::UnknownName { found: path.to_string(), near, unit: false }
    }

    fn line(&self, s: usize, name: &str) -> Result<Found, Wrong> {
        let (sheet_name, sheet) = &self.sheets[s];
        if let Some(schedule) = sheet.known_schedule(name) {
            return Ok(Found::Rows(Rows::Schedule(Some(s), schedule)));
        }
        match sheet.known_line(name) {
            Some(line) if matches!(sheet.lines[line].role, Role::Limit { .. }) => Ok(Found::Limit),
            Some(line) => Ok(Found::Line(LineRef { sheet: Some(s), line }, sheet.lines[line].is)),
            None => {
                let known =
                    sheet.lines.iter().filter(|line| line.schedule.is_none()).map(|l| l.name.value.as_str());
                let near = near(name, known).map(|near| format!("{sheet_name}.{near}"));
                Err(Wrong::UnknownName { found: format!("{sheet_name}.{name}"), near, unit: false })
            }
        }
    }
}

impl Scope for JobScope<'_> {
    fn find(&self, path: &Path) -> Result<Found, Wrong> {
        match path.0.as_slice() {
            [name] if name == "on" => Ok(Found::Today),
            [sheet, name] => match self.sheet(sheet) {
                Some(s) => self.line(s, name),
                None => Err(self.unknown(path)),
            },
            [sheet, schedule, column] => {
                let s = self.sheet(sheet).ok_or_else(|| self.unknown(path))?;
                let sheet = &self.sheets[s].1;
                let place = sheet.known_schedule(schedule).ok_or_else(|| self.unknown(path))?;
                match sheet.known_column(place, column) {
                    Some(line) if matches!(sheet.lines[line].role, Role::Limit { .. }) => Ok(Found::Limit),
                    Some(line) => Ok(Found::Column {
                        rows: Rows::Schedule(Some(s), place),
                        line: LineRef { sheet: Some(s), line },
                        is: sheet.lines[line].is,
                    }),
                    None => {
                        let known = sheet.schedules[place]
                            .columns
                            .iter()
                            .map(|n| sheet.lines[*n].name.value.as_str());
                        let near = near(column, known).map(str::to_owned);
                        Err(Wrong::UnknownColumn { of: schedule.clone(), found: column.clone(), near })
                    }
                }
            }
            [sheet, schedule, row, column] if self.sheet(sheet).is_some() => {
                let named_by = self.named_by(sheet, schedule).unwrap_or_else(|| "NAME".to_owned());
                let row = if row.parse::<usize>().is_ok() { "…".to_owned() } else { row.clone() };
                let schedule = format!("{sheet}.{schedule}");
                Err(Wrong::RowInLink { schedule, column: column.clone(), named_by, row })
            }
            _ => Err(self.unknown(path)),
        }
    }

    fn inside(&self) -> Option<Rows> {
        None
    }

    fn rows_name(&self, rows: Rows) -> String {
        match rows {
            Rows::Schedule(Some(s), n) => {
                let (name, sheet) = &self.sheets[s];
                format!("{name}.{}", sheet.schedules[n].name.value)
            }
            Rows::Schedule(None, _) | Rows::Table(_) => String::new(),
        }
    }

    fn choices(&self, _: LineRef) -> Option<Vec<String>> {
        None
    }

    fn does_not_rise(&self, _: usize, _: usize) -> Option<bool> {
        None
    }
}
