//! What is shown, one file a form.
//!
//! In: records and refused pages. Out: text, ready to be written.
//! Never: changes anything; decides nothing but looks. Nothing is told by colour alone.

pub mod answers;
pub mod audit;
pub mod chart;
pub mod compare;
pub mod faults;
pub mod grammar;
pub mod json;
pub mod proof;
pub mod report;
pub mod sheets;
pub mod table;
pub mod text;

/// How wide the text is, and whether it may have colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Look {
    /// Columns.
    pub width: usize,
    /// Whether colour may underline meaning.
    pub colour: bool,
}

/// Breaks a text into lines, the first after `lead` columns, all others indented by `indent`.
pub(crate) fn wrapped(text: &str, width: usize, lead: usize, indent: usize) -> String {
    let mut out = String::new();
    let mut column = lead;
    // Behind a break no blank is left of several that stood there.
    let mut broken = false;
    for (n, word) in words(text, width / 2).into_iter().enumerate() {
        let length = word.chars().count();
        if n > 0 && column + 1 + length > width && column > indent {
            out.truncate(out.trim_end_matches(' ').len());
            out.push('\n');
            out.push_str(&" ".repeat(indent));
            column = indent;
            broken = true;
        } else if n > 0 && !broken {
            out.push(' ');
            column += 1;
        }
        broken &= word.is_empty();
        out.push_str(word);
        column += length;
    }
    out
}

/// Returns the words of a text; the name of a row, in quotes behind a dot, is one where it is no longer than asked.
fn words(text: &str, most: usize) -> Vec<&str> {
    let mut found = Vec::new();
    let mut rest = text;
    loop {
        let end = rest.find(' ').unwrap_or(rest.len());
        let closes = rest[..end].find(".\"").and_then(|open| {
            let close = open + 2 + rest[open + 2..].find('"')?;
            let end = rest[close..].find(' ').map_or(rest.len(), |blank| close + blank);
            (close - open <= most && end <= text.len()).then_some(end)
        });
        let end = closes.map_or(end, |closes| closes.max(end));
        found.push(&rest[..end]);
        match rest.get(end + 1..) {
            Some(more) => rest = more,
            None => return found,
        }
    }
}

/// Returns a text as a line, or several, indented alike.
pub(crate) fn indented(text: &str, look: Look, indent: usize) -> String {
    format!("{}{}\n", " ".repeat(indent), wrapped(&plain(text), look.width, indent, indent))
}

/// Returns a text as a line whose later lines stand behind its first.
pub fn item(text: &str, look: Look) -> String {
    format!("{}\n", wrapped(&plain(text), look.width, 0, 4))
}

/// Returns whether a character steers a terminal, turns the direction of text, cannot be seen, or stands for nothing.
pub(crate) fn hidden(c: char) -> bool {
    let nothing = u32::from(c) & 0xfffe == 0xfffe;
    c.is_control()
        || nothing
        || matches!(
            c,
            '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}'
                | '\u{feff}' | '\u{fdd0}'..='\u{fdef}' | '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e007f}'
        )
}

/// Returns a text in which control characters are shown as what they are, so that none reaches a terminal.
pub(crate) fn plain(text: &str) -> String {
    text.chars().map(|c| if hidden(c) { c.escape_unicode().to_string() } else { c.to_string() }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_break_at_blanks_and_stand_under_each_other() {
        assert_eq!(wrapped("one two three four", 12, 2, 2), "one two\n  three four");
        assert_eq!(wrapped("one two three  four", 13, 0, 0), "one two three\nfour");
        assert_eq!(wrapped("see a.b.\"C D\".e now", 14, 0, 2), "see\n  a.b.\"C D\".e\n  now");
        assert_eq!(wrapped("a.\"one two three\" so", 8, 0, 2), "a.\"one\n  two\n  three\"\n  so");
    }

    #[test]
    fn no_escape_reaches_the_terminal() {
        assert_eq!(plain("a\u{1b}[31mb"), "a\\u{1b}[31mb");
        assert_eq!(plain("\u{202e}abc"), "\\u{202e}abc");
    }
}
