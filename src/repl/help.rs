//! `help`: what may be typed.
//!
//! In: the words of the prompt. Out: a text as wide as the look asks.
//! Never: names a form that `command` does not read.

use super::command::WORDS;
use crate::view::{Look, wrapped};

/// Returns what may be typed.
pub fn help(look: Look) -> String {
    let mut out = String::new();
    let indent = if look.width < 60 { 4 } else { 34 };
    let mut line = |form: &str, about: &str| {
        let about = wrapped(about, look.width, indent, indent);
        out +=
            &if look.width < 60 { format!("{form}\n    {about}\n") } else { format!("{form:<34}{about}\n") };
    };
    line("NAME", "shows a line; a sheet's name shows the sheet, and is looked in first from then on");
    line(
        "NAME = VALUE",
        "sets a given: fitted = 12 Ah. A number alone takes the line's unit; a formula links",
    );
    line(
        "  behind the value",
        "measured, nameplate, datasheet, drawing, stated or assumed; with INSTRUMENT; anyway \"reason\"; \"a remark\"",
    );
    line(
        "NAME = VALUE by \"document\"",
        "gives a figure of the basis, or overrides it; NAME = ? lets that of the basis hold again",
    );
    line("SCHEDULE.ROW.COLUMN = VALUE", "sets a row's value; a row goes by its number or its \"name\"");
    line(
        "how big must it be?",
        "room NAME, of an input that is open or given, tells from where to where every limit holds",
    );
    line("185 mA * 24 h in Ah", "any other formula is worked, and not kept");
    line("on", "shows the job's day");
    line("Tab", "offers what may stand at the cursor");
    for entry in WORDS {
        line(format!("{} {}", entry.name, entry.after).trim_end(), entry.about);
    }
    out
}
