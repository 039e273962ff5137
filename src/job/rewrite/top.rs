//! What stands at the top of a job, and its instruments, written into its text.
//!
//! In: the text, keys and values. Out: the new text; a sheet or an instrument that is new stands at the end.
//! Never: touches a key that is not named.

use toml_edit::{Document, Item, Table, Value};

use super::NotThere;
use super::splice::{Splice, line_break};

/// Returns the text with a text at the top set: a new one stands below the title.
///
/// # Errors
/// [`NotThere`] where the text is no job, or has no place for it.
pub fn set_top(text: &str, key: &str, value: &str) -> Result<String, NotThere> {
    let document = Document::parse(text).map_err(|_| NotThere)?;
    let table = document.as_table();
    let span = |key: &str| table.get(key).and_then(Item::as_value).and_then(Value::span);
    let mut splice = Splice::default();
    match (span(key), span("title")) {
        (Some(at), _) => splice.put(at, Value::from(value).to_string()),
        (None, Some(title)) => {
            splice.put_below(text, title.end, &format!("{key} = {}", Value::from(value)));
        }
        (None, None) => return Err(NotThere),
    }
    let made = splice.made(text);
    Document::parse(made.as_str()).map_err(|_| NotThere)?;
    Ok(made)
}

/// Returns the text with the keys of an instrument set; one that is not there yet stands at the end.
///
/// # Errors
/// As [`set_top`].
pub fn set_instrument(text: &str, name: &str, keys: &[(&str, Value)]) -> Result<String, NotThere> {
    let document = Document::parse(text).map_err(|_| NotThere)?;
    let known = document.as_table().get("instrument").and_then(Item::as_array_of_tables);
    let is = |table: &&Table| table.get("name").and_then(Item::as_str) == Some(name);
    let Some(old) = known.and_then(|known| known.iter().find(is)) else {
        let own = ("name", Value::from(name));
        let lines = std::iter::once(&own).chain(keys);
        let lines: String = lines.map(|(key, value)| format!("{key} = {value}\n")).collect();
        return at_end(text, &format!("[[instrument]]\n{lines}"));
    };
    let mut splice = Splice::default();
    let span = |key: &str| old.get(key).and_then(Item::as_value).and_then(Value::span);
    let named = span("name").ok_or(NotThere)?;
    for (key, value) in keys {
        match span(key) {
            Some(at) => splice.put(at, value.to_string()),
            None => splice.put_below(text, named.end, &format!("{key} = {value}")),
        }
    }
    let made = splice.made(text);
    Document::parse(made.as_str()).map_err(|_| NotThere)?;
    Ok(made)
}

/// Returns the text with a part at its end, behind an empty line.
///
/// # Errors
/// As [`set_top`].
pub fn at_end(text: &str, part: &str) -> Result<String, NotThere> {
    let end = line_break(text);
    let body = text.trim_end_matches(['\n', '\r']);
    let made = format!("{body}{end}{end}{}", part.replace('\n', end));
    Document::parse(made.as_str()).map_err(|_| NotThere)?;
    Ok(made)
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
}
