//! The functions of the language: one row each.
//!
//! In: a word of a formula. Out: the function, what it is for, an example.
//! Never: works one out (that is `engine`), or checks what it is given (that is `check`).

/// What a function takes, and what is worked with it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Takes {
    /// A formula worked for every row, and perhaps a flag that picks rows.
    Rows {
        /// What it makes of them.
        of: OfRows,
        /// Whether a flag formula may stand second.
        picked: bool,
    },
    /// A formula worked for every row, with a value on every row.
    EachRow(Along),
    /// Two or more values; with one value, rows.
    ValuesOrRows(OfValues, OfRows),
    /// A fixed number of values.
    Values(OfValues, usize),
    /// Columns of a table, and values to find in them.
    Table(OfTable),
}

/// What is worked with values.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs, reason = "each is told in the row of its function")]
pub enum OfValues {
    Min,
    Max,
    Abs,
    Sqrt,
    Exp,
    Ln,
    Log10,
    Sin,
    Cos,
    Acos,
    RoundUp,
    RoundDown,
}

/// What is worked over rows, with one value for all of them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs, reason = "each is told in the row of its function")]
pub enum OfRows {
    Min,
    Max,
    Sum,
    Count,
    First,
    Last,
    Any,
    All,
}

/// What is worked along rows, with a value on every row.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs, reason = "each is told in the row of its function")]
pub enum Along {
    Running,
    Onward,
}

/// What is worked over rows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum OverRows {
    /// One value for all of them.
    One(OfRows),
    /// A value on every row.
    Each(Along),
}

/// What is looked up in a table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[allow(missing_docs, reason = "each is told in the row of its function")]
pub enum OfTable {
    Lookup,
    NextSize,
    Interpolate,
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
    /// A formula with it, and what that gives. `load` has the rows 1 A, 2 A and 4 A, the second not live.
    pub example: (&'static str, &'static str),
}

/// Makes the functions and their table of the same rows, so that none is in one and not in the other.
macro_rules! functions {
    ($($function:ident: $name:literal, $takes:expr, $form:literal, $about:literal, $example:literal = $gives:literal;)*) => {
        /// A function of the language.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
        pub enum Function { $(#[doc = $about] $function,)* }

        /// Every function, in the order of the reference.
        pub const FUNCTIONS: &[Entry] = &[$(Entry {
            name: $name,
            function: Function::$function,
            takes: $takes,
            form: $form,
            about: $about,
            example: ($example, $gives),
        },)*];
    };
}

const fn picked(of: OfRows) -> Takes {
    Takes::Rows { of, picked: true }
}

const fn all_rows(of: OfRows) -> Takes {
    Takes::Rows { of, picked: false }
}

const fn of_one(of: OfValues) -> Takes {
    Takes::Values(of, 1)
}

functions! {
    Min: "min", Takes::ValuesOrRows(OfValues::Min, OfRows::Min),
        "min(a, b)", "the smallest", "min(3 A, 1 A)" = "1 A";
    Max: "max", Takes::ValuesOrRows(OfValues::Max, OfRows::Max),
        "max(a, b)", "the largest", "max(load.each)" = "4 A";
    Sum: "sum", picked(OfRows::Sum),
        "sum(schedule.name)", "the total of rows", "sum(load.each)" = "7 A";
    Count: "count", all_rows(OfRows::Count),
        "count(schedule)", "how many rows, or how many hold", "count(load)" = "3";
    First: "first", picked(OfRows::First),
        "first(schedule.name, flag)", "the first row's, or the first that holds", "first(load.each, not load.live)" = "2 A";
    Last: "last", picked(OfRows::Last),
        "last(schedule.name, flag)", "the last row's, or the last that holds", "last(load.each)" = "4 A";
    Any: "any", all_rows(OfRows::Any),
        "any(flag)", "whether any row holds", "any(load.live)" = "yes";
    All: "all", all_rows(OfRows::All),
        "all(flag)", "whether every row holds", "all(load.live)" = "no";
    Running: "running", Takes::EachRow(Along::Running),
        "running(x)", "the total so far", "running(each)" = "1 A, 3 A, 7 A";
    Onward: "onward", Takes::EachRow(Along::Onward),
        "onward(x)", "the total of this row and all after it", "onward(each)" = "7 A, 6 A, 4 A";
    Abs: "abs", of_one(OfValues::Abs),
        "abs(x)", "without its sign", "abs(1 A - 3 A)" = "2 A";
    Sqrt: "sqrt", of_one(OfValues::Sqrt),
        "sqrt(x)", "the square root", "sqrt(16 A^2)" = "4 A";
    Exp: "exp", of_one(OfValues::Exp),
        "exp(x)", "e to a power", "exp(0)" = "1";
    Ln: "ln", of_one(OfValues::Ln),
        "ln(x)", "the natural logarithm", "ln(exp(2))" = "2";
    Log10: "log10", of_one(OfValues::Log10),
        "log10(x)", "the logarithm to base ten", "log10(1000)" = "3";
    Sin: "sin", of_one(OfValues::Sin),
        "sin(x)", "the sine, of radians", "sin(0)" = "0";
    Cos: "cos", of_one(OfValues::Cos),
        "cos(x)", "the cosine, of radians", "cos(0)" = "1";
    Acos: "acos", of_one(OfValues::Acos),
        "acos(x)", "the angle of a cosine, in radians", "acos(1)" = "0";
    RoundUp: "round_up", Takes::Values(OfValues::RoundUp, 2),
        "round_up(x, step)", "up to a whole number of steps", "round_up(7.2 Ah, 1 Ah)" = "8 Ah";
    RoundDown: "round_down", Takes::Values(OfValues::RoundDown, 2),
        "round_down(x, step)", "down to a whole number of steps", "round_down(7.2 Ah, 1 Ah)" = "7 Ah";
    Lookup: "lookup", Takes::Table(OfTable::Lookup),
        "lookup(t.key, value, t.column)", "the cell of the row that fits", "lookup(air.air, 35 degC, air.factor)" = "0.94";
    NextSize: "next_size", Takes::Table(OfTable::NextSize),
        "next_size(t.key, value)", "the first key at or above", "next_size(rating.rating, 7 A)" = "8 A";
    Interpolate: "interpolate", Takes::Table(OfTable::Interpolate),
        "interpolate(t.key, value, t.column)", "between two rows, in proportion", "interpolate(air.air, 27.5 degC, air.factor)" = "1.015";
}

impl Function {
    /// Returns the function that a word names.
    pub fn known(word: &str) -> Option<&'static Entry> {
        FUNCTIONS.iter().find(|entry| entry.name == word)
    }

    /// Returns the function's row.
    pub fn entry(self) -> &'static Entry {
        // The rows stand in the order of the variants: the same macro makes both.
        &FUNCTIONS[self as usize]
    }

    /// Returns the function's word.
    pub fn name(self) -> &'static str {
        self.entry().name
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_function_has_its_own_row() {
        for entry in FUNCTIONS {
            assert_eq!(entry.function.name(), entry.name);
            assert!(entry.example.0.contains(entry.name), "{}", entry.name);
            assert!(entry.form.starts_with(entry.name), "{}", entry.name);
        }
    }
}
