//! A sheet told as a part of a new job.
//!
//! In: a checked sheet and its basis. Out: its givens in words.
//! Never: writes a text (that is `job`).

use crate::job::skeleton::{SkeletonLine, SkeletonSchedule, SkeletonSheet};
use crate::notebook::load::enter::{choice_words, words_of};
use crate::sheet::model::{Is, Line, Role};
use crate::sheet::{Basis, Sheet};

/// Returns a sheet as a new job lists it.
pub fn skeleton_of(name: &str, sheet: &Sheet, basis: &Basis) -> SkeletonSheet {
    let given = |line: &&Line| matches!(line.role, Role::Given { .. });
    let open = |line: &&Line| {
        matches!(line.role, Role::Take { value: None })
            && basis.figure(&line.name.value).is_some_and(|figure| figure.value.is_none())
    };
    let outside = || sheet.lines.iter().filter(|line| line.schedule.is_none());
    SkeletonSheet {
        sheet: name.to_owned(),
        name: name.to_owned(),
        title: sheet.title.clone(),
        cautions: sheet.cautions.clone(),
        lines: outside().filter(given).map(|line| told(sheet, line)).collect(),
        figures: outside().filter(open).map(|line| told(sheet, line)).collect(),
        schedules: sheet
            .schedules
            .iter()
            .filter(|schedule| schedule.from.is_none())
            .map(|schedule| SkeletonSchedule {
                name: schedule.name.value.clone(),
                label: schedule.label.clone(),
                columns: schedule
                    .columns
                    .iter()
                    .map(|n| &sheet.lines[*n])
                    .filter(given)
                    .map(|line| told(sheet, line))
                    .collect(),
            })
            .collect(),
    }
}

fn told(sheet: &Sheet, line: &Line) -> SkeletonLine {
    let unit = match line.is {
        Is::Flag => "yes or no".to_owned(),
        Is::Date => "a date".to_owned(),
        Is::Text => "text".to_owned(),
        Is::Quantity(_) | Is::Point | Is::Unknown => line.unit.symbol().to_owned(),
    };
    let (range, default) = match &line.role {
        Role::Given { default, within, one_of, .. } => {
            let within = within.as_ref().map(|(low, high)| format!("{low} .. {high}"));
            let choices =
                one_of.as_ref().map(|one_of| format!("one of {}", choice_words(sheet, one_of, &line.unit)));
            let default = default.as_ref().map(|default| words_of(default, &line.unit));
            (within.or(choices).unwrap_or_default(), default.unwrap_or_default())
        }
        Role::Take { .. } | Role::Cell { .. } | Role::Find(_) | Role::Limit { .. } => Default::default(),
    };
    SkeletonLine {
        name: line.name.value.clone(),
        label: line.label.clone(),
        unit,
        range,
        default,
        when: line.when_formula.as_ref().map(ToString::to_string).unwrap_or_default(),
    }
}
