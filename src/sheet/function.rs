//! The functions of the language: one row each.
//!
//! In: a word of a formula. Out: the function, what it is for, an example.
//! Never: works one out (that is `engine`), or checks what it is given (that is `check`).

/// A function of the language.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Function {
    /// The smallest of two or more values, or of rows.
    Min,
    /// The largest of two or more values, or of rows.
    Max,
    /// The total of rows.
    Sum,
    /// How many rows, or how many for which a flag holds.
    Count,
    /// The first row's value, or the first for which a flag holds.
    First,
    /// The last row's value, or the last for which a flag holds.
    Last,
    /// Whether a flag holds on any row.
    Any,
    /// Whether a flag holds on every row.
    All,
    /// The total so far, this row counted.
    Running,
    /// The total of this row and all after it.
    Onward,
    /// The value without its sign.
    Abs,
    /// The square root.
    Sqrt,
    /// e to a power.
    Exp,
    /// The natural logarithm.
    Ln,
    /// The logarithm to base ten.
    Log10,
    /// The sine of an angle in radians.
    Sin,
    /// The cosine of an angle in radians.
    Cos,
    /// The angle, in radians, of a cosine.
    Acos,
    /// The next whole number of steps at or above a value.
    RoundUp,
    /// The last whole number of steps at or below a value.
    RoundDown,
    /// The cell of the one row whose keys equal the values.
    Lookup,
    /// The first key at or above a value, or that row's cell.
    NextSize,
    /// Between two rows, in proportion.
    Interpolate,
}

/// What a function takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Takes {
    /// A formula worked for every row, and perhaps a flag that picks rows.
    Rows {
        /// Whether a flag formula may stand second.
        picked: bool,
    },
    /// Two or more values; with one value, rows.
    ValuesOrRows,
    /// A fixed number of values.
    Values(usize),
    /// Columns of a table, and values to find in them.
    Table,
}

/// One row of [`FUNCTIONS`].
#[derive(Debug)]
pub struct Entry {
    /// The word.
    pub name: &'static str,
    /// The function.
    pub function: Function,
    /// What it takes.
    pub takes: Takes,
    /// How it is written.
    pub form: &'static str,
    /// What it gives, in a few words.
    pub about: &'static str,
}

const fn entry(
    name: &'static str,
    function: Function,
    takes: Takes,
    form: &'static str,
    about: &'static str,
) -> Entry {
    Entry { name, function, takes, form, about }
}

const PICKED: Takes = Takes::Rows { picked: true };
const PLAIN_ROWS: Takes = Takes::Rows { picked: false };

/// Every function, in the order of the reference.
pub const FUNCTIONS: &[Entry] = &[
    entry("min", Function::Min, Takes::ValuesOrRows, "min(a, b)", "the smallest"),
    entry("max", Function::Max, Takes::ValuesOrRows, "max(a, b)", "the largest"),
    entry("sum", Function::Sum, PICKED, "sum(schedule.name)", "the total of rows"),
    entry("count", Function::Count, PLAIN_ROWS, "count(schedule)", "how many rows, or how many hold"),
    entry(
        "first",
        Function::First,
        PICKED,
        "first(schedule.name, flag)",
        "the first row's, or the first that holds",
    ),
    entry(
        "last",
        Function::Last,
        PICKED,
        "last(schedule.name, flag)",
        "the last row's, or the last that holds",
    ),
    entry("any", Function::Any, PLAIN_ROWS, "any(flag)", "whether any row holds"),
    entry("all", Function::All, PLAIN_ROWS, "all(flag)", "whether every row holds"),
    entry("running", Function::Running, PLAIN_ROWS, "running(x)", "the total so far"),
    entry("onward", Function::Onward, PLAIN_ROWS, "onward(x)", "the total of this row and all after it"),
    entry("abs", Function::Abs, Takes::Values(1), "abs(x)", "without its sign"),
    entry("sqrt", Function::Sqrt, Takes::Values(1), "sqrt(x)", "the square root"),
    entry("exp", Function::Exp, Takes::Values(1), "exp(x)", "e to a power"),
    entry("ln", Function::Ln, Takes::Values(1), "ln(x)", "the natural logarithm"),
    entry("log10", Function::Log10, Takes::Values(1), "log10(x)", "the logarithm to base ten"),
    entry("sin", Function::Sin, Takes::Values(1), "sin(x)", "the sine, of radians"),
    entry("cos", Function::Cos, Takes::Values(1), "cos(x)", "the cosine, of radians"),
    entry("acos", Function::Acos, Takes::Values(1), "acos(x)", "the angle of a cosine, in radians"),
    entry(
        "round_up",
        Function::RoundUp,
        Takes::Values(2),
        "round_up(x, step)",
        "up to a whole number of steps",
    ),
    entry(
        "round_down",
        Function::RoundDown,
        Takes::Values(2),
        "round_down(x, step)",
        "down to a whole number of steps",
    ),
    entry(
        "lookup",
        Function::Lookup,
        Takes::Table,
        "lookup(t.key, value, t.column)",
        "the cell of the row that fits",
    ),
    entry(
        "next_size",
        Function::NextSize,
        Takes::Table,
        "next_size(t.key, value)",
        "the first key at or above",
    ),
    entry(
        "interpolate",
        Function::Interpolate,
        Takes::Table,
        "interpolate(t.key, value, t.column)",
        "between two rows, in proportion",
    ),
];

impl Function {
    /// Returns the function that a word names.
    pub fn known(word: &str) -> Option<&'static Entry> {
        FUNCTIONS.iter().find(|entry| entry.name == word)
    }

    /// Returns the function's row.
    pub fn entry(self) -> &'static Entry {
        FUNCTIONS.iter().find(|entry| entry.function == self).unwrap_or(&FUNCTIONS[0])
    }

    /// Returns the function's word.
    pub fn name(self) -> &'static str {
        self.entry().name
    }
}

/// Words of the language that may not be a line's name.
pub const KEYWORDS: &[&str] = &[
    "title",
    "revision",
    "about",
    "caution",
    "source",
    "given",
    "take",
    "find",
    "must",
    "should",
    "schedule",
    "table",
    "chart",
    "example",
    "by",
    "when",
    "note",
    "within",
    "tolerance",
    "one",
    "of",
    "that",
    "remedy",
    "across",
    "up",
    "line",
    "row",
    "expect",
    "basis",
    "from",
    "may",
    "be",
    "empty",
    "where",
    "otherwise",
    "and",
    "or",
    "not",
    "in",
    "yes",
    "no",
    "flag",
    "date",
    "text",
    "on",
    "unverified",
    "extends",
    "cite",
    "without",
];

/// Returns whether a word is taken by the language: a keyword or a function.
pub fn is_taken(word: &str) -> bool {
    KEYWORDS.contains(&word) || Function::known(word).is_some()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_function_has_its_own_row() {
        for entry in FUNCTIONS {
            assert_eq!(entry.function.name(), entry.name);
            assert!(entry.form.starts_with(entry.name), "{}", entry.name);
        }
    }
}
