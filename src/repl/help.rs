//! `help`: what may be typed.
//!
//! In: the words of the prompt. Out: a text as wide as the look asks.
//! Never: names a form that `command` does not read.

use super::command::WORDS;
use crate::view::{Look, wrapped};

/// Returns what may be typed.
pub fn help(look: Look) -> String {
    let mut out = String::new();
    let narrow = look.width < 60;
    let indent = if narrow { 4 } else { 34 };
    let mut line = |form: &str, about: &str| {
        let about = wrapped(about, look.width, indent, indent);
        out += &if narrow || form.chars().count() >= indent {
            let form = wrapped(form, look.width, 0, 4);
            format!("{form}\n{}{about}\n", " ".repeat(indent))
        } else {
            format!("{form:<34}{about}\n")
        };
    };
    line("NAME", "shows a line; a sheet's name shows the sheet, and is looked in first from then on");
    line(
        "NAME = VALUE",
        "sets a given: fitted = 12 Ah. A number alone takes the line's unit; y and n will do for yes and no, the beginning of a choice for the choice, today and now for a date",
    );
    line(
        "NAME = SHEET.LINE",
        "links: the value comes from another sheet, and moves with it; a text in quotes is only a text",
    );
    line(
        "  after the value",
        "measured, nameplate, datasheet, drawing or assumed, or stated (yes/no, texts, dates); with INSTRUMENT; anyway \"reason\"; \"a remark\"",
    );
    line(
        "NAME = VALUE by \"document\"",
        "gives a figure of the basis, or overrides it; NAME = ? goes back to the basis figure",
    );
    line("SCHEDULE.ROW.COLUMN = VALUE", "sets a row's value; a row goes by its number or its \"name\"");
    line(
        "how big must it be?",
        "room NAME, of an input that is open or given, shows the range in which every limit holds",
    );
    line("185 mA * 24 h in Ah", "any other formula is worked, and not kept");
    line("title = \"…\"", "sets the job's title; prepared_by = \"…\" who prepares it");
    line("on", "shows the job's day");
    line("Tab", "offers what may stand at the cursor");
    for entry in WORDS {
        line(format!("{} {}", entry.name, entry.after).trim_end(), entry.about);
    }
    out
}
