//! What is to be said of a page beside its faults.
//!
//! In: a sheet or a basis that loads. Out: remarks.
//! Never: refuses anything.

use std::sync::Arc;

use crate::fault::Page;
use crate::notebook::library::Library;
use crate::notebook::library::builtin;
use crate::sheet::model::{Line, Role};
use crate::sheet::statement::Literal;

/// Returns a remark where the examples of a sheet that is not built in give what lies outside its range.
pub(super) fn outside(library: &Library, name: &str, page: &Arc<Page>) -> Option<String> {
    if builtin::known(builtin::SHEETS, name) == Some(page.text.as_str()) {
        return None;
    }
    let sheet = library.read_sheet(page, None).ok()?;
    let mut names: Vec<&str> = Vec::new();
    for (line, value) in sheet.examples.iter().flat_map(|(example, _)| example.all_given()) {
        let known = |n: &&Line| n.name.value == line.value;
        let Some(Role::Given { within: Some((low, high)), .. }) =
            sheet.lines.iter().find(known).map(|line| &line.role)
        else {
            continue;
        };
        let Literal::Quantity(value) = &value.value else { continue };
        if !(low.si()..=high.si()).contains(&value.si()) && !names.contains(&line.value.as_str()) {
            names.push(&line.value);
        }
    }
    let told = || {
        let names = names.join(", ");
        format!("{name}: an example gives {names} outside the range, which a job takes only with a reason")
    };
    (!names.is_empty()).then(told)
}

/// Returns a remark for each plain text of a page that stands in quotes.
pub(super) fn quoted(name: &str, title: &str, cautions: &[String]) -> Vec<String> {
    let is_quoted = |text: &str| text.len() > 1 && text.starts_with('"') && text.ends_with('"');
    let told = |what| format!("{name}: the {what} stands in quotes, and lists show them: take them out");
    let title = is_quoted(title).then(|| told("title"));
    let caution = cautions.iter().any(|caution| is_quoted(caution)).then(|| told("caution"));
    title.into_iter().chain(caution).collect()
}
