//! The lines of a page as blocks: a statement and, indented under it, its details.
//!
//! In: the text of a sheet or a basis. Out: blocks with the characters of each, and every misplaced line.
//! Never: reads what a line says, beyond its first word: `title`, `about` and `caution` are plain text.

use crate::fault::{BYTE_ORDER_MARK, Fault, Span};
use crate::sheet::words::{COLUMNS, begins_statement, opens_detail};
use crate::sheet::wrong::{Limit, Wrong};

/// A line, or several while a bracket is open, and the blocks indented under it.
#[derive(Debug, PartialEq)]
pub(super) struct Block {
    /// From the first character to the last, comments at its end not counted.
    pub at: Span,
    /// The blocks under it.
    pub inner: Vec<Block>,
    /// Its indentation has a fault: what it says here is not what was meant.
    pub is_misplaced: bool,
}

/// The most lines that stand indented under one another; no statement has more than three.
pub(super) const MOST_LEVELS: usize = 16;

/// Statements whose text goes to the end of the line, comments and quotes included.
const PLAIN: &[&str] = &["title", "about", "caution"];

/// One physical line that is not blank.
struct Line {
    indent: usize,
    at: Span,
    has_tab: bool,
}

/// Returns the blocks of a text and the faults of its indentation.
pub(super) fn layout(text: &str) -> (Vec<Block>, Vec<Fault>) {
    let mut faults = Vec::new();
    let mut lines = logical_lines(text, &mut faults);
    once_for_tabs(&mut faults);
    indent_anew(text, &mut lines, &mut faults);
    let mut at = 0;
    let mut blocks = Vec::new();
    while at < lines.len() {
        if lines[at].indent > 0 {
            faults.push(Fault::new(lines[at].at, Wrong::NotInColumnOne));
        }
        blocks.push(block(&lines, &mut at, 1, &mut faults));
    }
    (blocks, faults)
}

/// Tells tabs once, at the first line that has one.
fn once_for_tabs(faults: &mut Vec<Fault>) {
    if let [first, _, ..] = faults.as_slice() {
        *faults = vec![Fault::new(first.at, Wrong::Tabs { lines: faults.len() })];
    }
}

/// Puts a line in column one that can only stand under the one above where it belongs, and tells it once: else
/// all that follows it would be told too.
fn indent_anew(text: &str, lines: &mut [Line], faults: &mut Vec<Fault>) {
    let content = |line: &Line| &text[line.at.range()];
    let word = |line: &Line| content(line).split([' ', '\t']).next().unwrap_or_default();
    let mut top: Option<usize> = None;
    for n in 0..lines.len() {
        if lines[n].indent > 0 {
            continue;
        }
        let Some(head) = top.filter(|_| n > 0) else {
            top = Some(n);
            continue;
        };
        let first = word(&lines[n]);
        let of_example = word(&lines[head]) == "example" && is_setting(content(&lines[n]));
        if of_example || opens_detail(first) && !begins_statement(first) {
            let above = &lines[n - 1];
            let under_column = word(&lines[head]) == "schedule" && COLUMNS.contains(&word(above));
            let under_statement = above.indent == 0 || under_column;
            lines[n].indent = above.indent + if under_statement { 2 } else { 0 };
            faults.push(Fault::new(lines[n].at, Wrong::NotIndented));
        } else if word(&lines[head]) == "schedule" && COLUMNS.contains(&first) {
            let under = lines[n + 1..].iter().take_while(|line| line.indent > 0).count();
            let is_column = |line: &Line| COLUMNS.contains(&word(line));
            let Some(next) = lines[n + 1..=n + under].iter().position(is_column) else {
                top = Some(n);
                continue;
            };
            let column = lines[n + 1 + next].indent;
            let name = content(&lines[head]).split_whitespace().nth(1).unwrap_or_default().to_owned();
            faults.push(Fault::new(lines[n].at, Wrong::LeftSchedule { name }));
            lines[n].indent = column;
            let own = lines[n + 1..=n + next].iter_mut().filter(|line| line.indent <= column);
            own.for_each(|line| line.indent += column);
        } else {
            top = Some(n);
        }
    }
}

/// Returns whether a line gives a value to a name, as those of an example do.
fn is_setting(content: &str) -> bool {
    let mut words = content.split_whitespace();
    matches!(words.next(), Some("given" | "take")) && words.nth(1) == Some("=")
}

/// Takes the line at `at` and all that stands under it.
fn block(lines: &[Line], at: &mut usize, level: usize, faults: &mut Vec<Fault>) -> Block {
    let head = &lines[*at];
    let mut made = Block { at: head.at, inner: Vec::new(), is_misplaced: false };
    *at += 1;
    let mut column = None;
    while let Some(line) = lines.get(*at).filter(|line| line.indent > head.indent) {
        if level == MOST_LEVELS {
            faults.push(Fault::new(line.at, Wrong::TooMuch(Limit::Levels)));
            let deeper = lines[*at..].iter().take_while(|line| line.indent > head.indent);
            *at += deeper.count();
            break;
        }
        let expected = *column.get_or_insert(line.indent);
        let is_misplaced = line.indent != expected;
        // A tab has its own fault, and its width is anyone's guess.
        if is_misplaced && !line.has_tab {
            faults.push(Fault::new(line.at, Wrong::NotUnder));
        }
        made.inner.push(Block {
            is_misplaced: is_misplaced && !line.has_tab,
            ..block(lines, at, level + 1, faults)
        });
    }
    made
}

/// Splits a text into lines without blanks and comments; a line goes on while a bracket is open.
fn logical_lines(text: &str, faults: &mut Vec<Fault>) -> Vec<Line> {
    let mut lines: Vec<Line> = Vec::new();
    let mut start = text.len() - text.trim_start_matches(BYTE_ORDER_MARK).len();
    let mut plain = false;
    let mut depth = 0_usize;
    for raw in text[start..].split_inclusive('\n') {
        let (begin, body) = (start, raw.trim_end_matches(['\n', '\r']));
        start += raw.len();
        let content = body.trim_start_matches([' ', '\t']);
        let lead = body.len() - content.len();
        if content.is_empty() {
            continue;
        }
        let indent = body[..lead].chars().count();
        let first = content.split([' ', '\t']).next().unwrap_or(content);
        let goes_on = depth > 0
            && lines.last().is_some_and(|line| {
                indent > line.indent || indent == line.indent && indent > 0 && !opens_detail(first)
            });
        if indent == 0 {
            plain = PLAIN.contains(&first);
        }
        let length = if plain { content.trim_end().len() } else { code_length(content) };
        if length == 0 {
            continue;
        }
        let at = Span::new(begin + lead, begin + lead + length);
        if let Some(tab) = body[..lead].find('\t') {
            faults.push(Fault::new(Span::new(begin + tab, begin + tab + 1), Wrong::Tab));
        }
        if !goes_on {
            depth = 0;
        }
        if !plain {
            depth = depth_after(&content[..length], depth);
        }
        match lines.last_mut() {
            Some(line) if goes_on => line.at.end = at.end,
            _ => lines.push(Line { indent, at, has_tab: body[..lead].contains('\t') }),
        }
    }
    lines
}

/// Returns the length of a line without its comment and the blanks before that.
fn code_length(content: &str) -> usize {
    let mut quoted = false;
    let end = content.find(|c| {
        quoted ^= c == '"';
        c == '#' && !quoted
    });
    content[..end.unwrap_or(content.len())].trim_end().len()
}

/// Returns how many brackets are open after a line.
fn depth_after(content: &str, mut depth: usize) -> usize {
    let mut quoted = false;
    for c in content.chars() {
        match c {
            '"' => quoted = !quoted,
            '(' if !quoted => depth += 1,
            ')' if !quoted => depth = depth.saturating_sub(1),
            _ => {}
        }
    }
    depth
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(text: &str) -> (Vec<String>, usize) {
        fn walk(text: &str, blocks: &[Block], depth: usize, out: &mut Vec<String>) {
            for block in blocks {
                out.push(format!("{}{}", ">".repeat(depth), &text[block.at.range()]));
                walk(text, &block.inner, depth + 1, out);
            }
        }
        let (blocks, faults) = layout(text);
        let mut out = Vec::new();
        walk(text, &blocks, 0, &mut out);
        (out, faults.len())
    }

    #[test]
    fn details_stand_under_their_statement() {
        let (lines, faults) = shown("a x # note\n  b\n    c\n  d\n\n# all comment\ne\n");
        assert_eq!((lines, faults), (["a x", ">b", ">>c", ">d", "e"].map(str::to_owned).to_vec(), 0));
    }

    #[test]
    fn a_hash_in_quotes_or_in_plain_text_is_no_comment() {
        let (lines, _) = shown("title Panel #1\n  and #2\ngiven x ? text \"no. #\" # rest\n");
        assert_eq!(lines, ["title Panel #1", ">and #2", "given x ? text \"no. #\""]);
    }

    #[test]
    fn a_formula_goes_on_while_a_bracket_is_open() {
        let (lines, _) = shown("find x\n  = max(a, # first\n     b)\n  by practice\n");
        assert_eq!(lines, ["find x", ">= max(a, # first\n     b)", ">by practice"]);
    }

    #[test]
    fn an_open_bracket_does_not_swallow_the_next_statement() {
        let (lines, _) = shown("find x\n  = max(a,\nfind y\n  = 1\n");
        assert_eq!(lines, ["find x", ">= max(a,", "find y", ">= 1"]);
    }

    #[test]
    fn a_tab_and_a_ragged_block_are_told() {
        assert_eq!(shown("a\n\tb\n").1, 1);
        assert_eq!(shown("a\n    b\n  c\n").1, 1);
        assert_eq!(shown("  a\n").1, 1);
    }
}
