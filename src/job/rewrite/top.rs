//! What stands at the top of a job, and its instruments, written into its text.
//!
//! In: the text, keys and values. Out: the new text; a sheet or an instrument that is new stands at the end.
//! Never: touches a key that is not named.

use toml_edit::{Item, Table, Value};

use super::splice::line_break;
use super::{NotThere, edit_document};

/// Returns the text with a text at the top set: a new one stands below the title.
///
/// # Errors
/// [`NotThere`] where the text is no job, or has no place for it.
pub fn set_top(text: &str, key: &str, value: &str) -> Result<String, NotThere> {
    edit_document(text, |text, document, splice| {
        let span = |key: &str| document.as_table().get(key).and_then(Item::as_value).and_then(Value::span);
        match (span(key), span("title")) {
            (Some(at), _) => splice.put(at, Value::from(value).to_string()),
            (None, Some(title)) => {
                splice.put_below(text, title.end, &format!("{key} = {}", Value::from(value)));
            }
            (None, None) => return Err(NotThere),
        }
        Ok(())
    })
}

/// Returns the text with the keys of an instrument set; one that is not there yet stands at the end.
///
/// # Errors
/// As [`set_top`].
pub fn set_instrument(text: &str, name: &str, keys: &[(&str, Value)]) -> Result<String, NotThere> {
    edit_document(text, |text, document, splice| {
        let known = document.as_table().get("instrument").and_then(Item::as_array_of_tables);
        let is = |table: &&Table| table.get("name").and_then(Item::as_str) == Some(name);
        let Some(old) = known.and_then(|known| known.iter().find(is)) else {
            let (own, end) = (("name", Value::from(name)), line_break(text));
            let lines = std::iter::once(&own).chain(keys);
            let lines: String = lines.map(|(key, value)| format!("{key} = {value}{end}")).collect();
            splice.put_at_end(text, &format!("[[instrument]]{end}{lines}"));
            return Ok(());
        };
        let span = |key: &str| old.get(key).and_then(Item::as_value).and_then(Value::span);
        let named = span("name").ok_or(NotThere)?;
        for (key, value) in keys {
            match span(key) {
                Some(at) => splice.put(at, value.to_string()),
                None => splice.put_below(text, named.end, &format!("{key} = {value}")),
            }
        }
        Ok(())
    })
}

/// Returns the text with a part at its end, behind an empty line.
///
/// # Errors
/// As [`set_top`].
pub fn at_end(text: &str, part: &str) -> Result<String, NotThere> {
    edit_document(text, |text, _, splice| {
        splice.put_at_end(text, &part.replace('\n', line_break(text)));
        Ok(())
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const JOB: &str = "# ours\ntitle = \"Hall\" # so\nbasis = \"uk\"\n\n[[instrument]]\nname = \"clamp\" # old\ntolerance = \"2 %\"\n\n[[sheet]]\nuse = \"battery\"\n";

    #[test]
    fn the_top_is_set_where_it_stands_or_below_the_title() {
        assert_eq!(set_top(JOB, "title", "A \"store\""), Ok(JOB.replace("\"Hall\"", "'A \"store\"'")));
        let made = set_top(JOB, "prepared_by", "R. Field");
        assert_eq!(made, Ok(JOB.replace("# so\n", "# so\nprepared_by = \"R. Field\"\n")));
    }

    #[test]
    fn an_instrument_keeps_its_place_and_a_new_one_stands_at_the_end() {
        let keys = [("kind", Value::from("clamp meter")), ("tolerance", Value::from("3 %"))];
        let made = set_instrument(JOB, "clamp", &keys);
        let want = JOB.replace("# old\n", "# old\nkind = \"clamp meter\"\n").replace("2 %", "3 %");
        assert_eq!(made, Ok(want));
        let made = set_instrument(JOB, "meter", &keys[..1]);
        let want = format!("{JOB}\n[[instrument]]\nname = \"meter\"\nkind = \"clamp meter\"\n");
        assert_eq!(made, Ok(want));
    }

    #[test]
    fn a_last_line_without_an_end_has_none_afterwards_and_a_mark_before_the_text_stays() {
        let changed = |text: &str| {
            let keys = [("kind", Value::from("clamp meter"))];
            [
                set_top(text, "prepared_by", "R. Field"),
                set_instrument(text, "clamp", &keys),
                set_instrument(text, "meter", &keys),
                at_end(text, "[[sheet]]\nuse = \"charger\"\n"),
            ]
        };
        for job in ["title = \"Hall\"\n", JOB, "title = \"Hall\"\n[[instrument]]\nname = \"clamp\"\n"] {
            let cut = |text: &str| text.strip_suffix('\n').ok_or(NotThere).map(str::to_owned);
            let whole = changed(job);
            let each_cut = whole.clone().map(|made| made.and_then(|made| cut(&made)));
            assert_eq!(changed(&cut(job).unwrap_or_default()), each_cut, "{job}");
            let marked = whole.map(|made| made.map(|made| format!("\u{feff}{made}")));
            assert_eq!(changed(&format!("\u{feff}{job}")), marked, "{job}");
        }
    }
}
