//! Words of other languages, and how each is said in this one.
//!
//! In: a word or a sign that means nothing here. Out: what to write.
//! Never: takes one for ours.

/// A word or a sign with what is written here.
type Said = (&'static str, &'static str);

/// Signs, the longest first.
const SIGNS: &[Said] = &[
    ("===", "write =="),
    ("!==", "write !="),
    ("=<", "write <="),
    ("=>", "write >="),
    ("<>", "write !="),
    ("**", "write ^"),
    ("//", "write round_down(a / b, 1); a remark begins with #"),
    ("&&", "write and"),
    ("||", "write or"),
    ("&", "write and"),
    ("|", "write or"),
    ("?", "write: = a where condition, and below it = b otherwise"),
    (";", "a formula stands on one line, without a mark at its end: take it out"),
];

/// Signs before a value.
const BEFORE: &[Said] = &[
    ("=", "take it out: one = stands before a formula"),
    ("!", "write not"),
    ("\u{ac}", "write not"),
    ("\u{221a}", "write sqrt(x)"),
    ("$", "a name stands alone: take it out"),
    ("@", "a name stands alone: take it out"),
    ("{", "a name stands alone in a formula: take the braces out"),
];

/// Words between values.
const WORDS: &[Said] = &[
    ("else", "'otherwise' begins the last branch: = b otherwise"),
    ("otherwise", "'otherwise' begins the last branch, outside brackets: = b otherwise"),
    ("if", "'where' stands before a condition: = a where condition"),
    ("when", "'where' stands before a condition: = a where condition"),
    ("then", "write: = a where condition, and below it = b otherwise"),
    ("x", "write * between"),
    ("times", "write * between"),
    ("mod", "write a - b * round_down(a / b, 1)"),
    ("div", "write round_down(a / b, 1)"),
    ("is", "write =="),
    ("equals", "write =="),
    ("xor", "write !="),
];

/// Functions.
const FUNCTIONS: &[Said] = &[
    ("if", "write: = b where a, and below it = c otherwise"),
    ("round", "write round_up(x, step) or round_down(x, step)"),
    ("ceil", "write round_up(x, 1)"),
    ("ceiling", "write round_up(x, 1)"),
    ("floor", "write round_down(x, 1)"),
    ("int", "write round_down(x, 1)"),
    ("average", "write sum(x) / count(schedule)"),
    ("mean", "write sum(x) / count(schedule)"),
    ("avg", "write sum(x) / count(schedule)"),
    ("total", "write sum(x)"),
    ("log", "write ln(x) or log10(x)"),
    ("tan", "write sin(x) / cos(x)"),
    ("pow", "write x ^ y"),
    ("power", "write x ^ y"),
    ("not", "write not x"),
    ("and", "write a and b"),
    ("or", "write a or b"),
    ("today", "write on: the job's day"),
    ("now", "write on: the job's day"),
];

fn said(list: &'static [Said], found: &str) -> Option<&'static str> {
    list.iter().find(|(word, _)| *word == found).map(|(_, said)| *said)
}

/// Returns the sign of another language that starts a text, and what to write.
pub(super) fn sign(text: &str) -> Option<Said> {
    SIGNS.iter().find(|(sign, _)| text.starts_with(sign)).copied()
}

/// Returns the sign of another language that stands before a value, and what to write.
pub(super) fn before(text: &str) -> Option<Said> {
    BEFORE.iter().find(|(sign, _)| text.starts_with(sign)).copied()
}

/// Returns what to write for a word between values.
pub(super) fn word(found: &str) -> Option<&'static str> {
    said(WORDS, found)
}

/// Returns what to write for a function.
pub(super) fn function(found: &str) -> Option<&'static str> {
    said(FUNCTIONS, found)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_longer_sign_comes_before_those_that_begin_it() {
        for (n, (sign, _)) in SIGNS.iter().enumerate() {
            assert!(
                !SIGNS[..n].iter().any(|(before, _)| sign.starts_with(before)),
                "{sign} is never reached"
            );
        }
    }

    #[test]
    fn none_is_a_function_of_ours() {
        assert!(FUNCTIONS.iter().all(|(word, _)| crate::sheet::function::Function::known(word).is_none()));
    }
}
