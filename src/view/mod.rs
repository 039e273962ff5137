//! What is shown, one file a form.
//!
//! In: records and refused pages. Out: text, ready to be written.
//! Never: changes anything; decides nothing but looks. Nothing is told by colour alone.

pub mod answers;
pub mod audit;
pub mod between;
pub mod chart;
pub mod faults;
pub mod grammar;
pub mod json;
pub mod proof;
pub mod report;
pub mod sheets;
pub mod table;
pub mod text;
pub mod words;

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
    for (n, word) in text.split(' ').enumerate() {
        let length = word.chars().count();
        if n > 0 && column + 1 + length > width && column > indent {
            out.truncate(out.trim_end_matches(' ').len());
            out.push('\n');
            out.push_str(&" ".repeat(indent));
            column = indent;
        } else if n > 0 {
            out.push(' ');
            column += 1;
        }
        out.push_str(word);
        column += length;
    }
    out
}

/// Returns a text as a line, or several, indented alike.
pub(crate) fn indented(text: &str, look: Look, indent: usize) -> String {
    format!("{}{}\n", " ".repeat(indent), wrapped(&plain(text), look.width, indent, indent))
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
    }

    #[test]
    fn no_escape_reaches_the_terminal() {
        assert_eq!(plain("a\u{1b}[31mb"), "a\\u{1b}[31mb");
        assert_eq!(plain("\u{202e}abc"), "\\u{202e}abc");
    }
}
