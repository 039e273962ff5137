//! Formulas as a person writes them: fractions, roots, powers, subscripts.
//!
//! In: the tree of a formula. Out: MathML in pieces, between which a line may break.
//! Never: works anything out; lets a text of a sheet stand unescaped.

use maud::{Markup, html};

use crate::sheet::formula::{Formula, Part};
use crate::sheet::function::{Function, OfTable, Takes};
use crate::sheet::token::{Leaf, Op, Path, Piece};
use crate::unit::{Unit, date};

/// A formula of fewer characters than this is never broken.
const SHORT: usize = 26;

/// Returns a formula, with its plain text for those who listen.
pub(super) fn formula(formula: &Formula) -> Markup {
    let mut parts = Vec::new();
    conditions(formula, None, &mut parts);
    let several = parts.len() > 1;
    html! {
        span.formula role="math" aria-label=(formula) {
            @for (before, one) in parts {
                span.part[several] { @for piece in pieces(before, one) { math displaystyle="true" { (piece) } } }
            }
        }
    }
}

/// Splits a condition at its outermost `and` and `or`: a line breaks there first.
fn conditions<'f>(formula: &'f Formula, before: Option<Op>, parts: &mut Vec<(Option<Op>, &'f Formula)>) {
    match &formula.part {
        Part::Binary(op @ (Op::And | Op::Or), left, right) => {
            let (left_open, right_open) = sides(*op, &left.part, &right.part);
            if left_open || right_open {
                return parts.push((before, formula));
            }
            conditions(left, before, parts);
            conditions(right, Some(*op), parts);
        }
        _ => parts.push((before, formula)),
    }
}

fn pieces(before: Option<Op>, formula: &Formula) -> Vec<Markup> {
    let mut made = Pieces { before: before.map(operator).into_iter().collect(), ..Pieces::default() };
    if formula.to_string().chars().count() < SHORT || is_atom(&formula.part) {
        made.put(part(formula, None));
    } else {
        made.flat(formula);
    }
    made.done
}

/// Returns the symbol of a line: `alarm_load` is alarm with the subscript load.
pub(super) fn symbol(name: &str) -> Markup {
    html! { math { (identifier(name)) } }
}

fn identifier(name: &str) -> Markup {
    match name.split_once('_') {
        Some((base, below)) if !base.is_empty() && !below.is_empty() => {
            html! { msub { mi { (base) } mtext { (below.replace('_', "\u{a0}")) } } }
        }
        _ => html! { mi { (name) } },
    }
}

/// How tightly a part binds once it is set: a fraction needs no brackets.
fn binds(part: &Part) -> u8 {
    match part {
        // What follows a sum would be read as summed with it.
        Part::Call(Function::Sum | Function::Running | Function::Onward, _) => Op::Add.binds(),
        Part::Binary(Op::Divide, ..) | Part::Call(..) => 9,
        Part::Binary(op, ..) => op.binds(),
        Part::Not(_) => 3,
        Part::Negate(_) => 7,
        Part::Leaf(Leaf::Quantity(quantity)) if quantity.number.is_sign_negative() => 7,
        Part::Leaf(_) => 9,
    }
}

fn is_atom(part: &Part) -> bool {
    matches!(part, Part::Leaf(_) | Part::Binary(Op::Divide | Op::Power, ..))
}

/// Returns whether something higher than a line stands in it, so that its brackets must grow with it.
fn is_tall(formula: &Formula) -> bool {
    match &formula.part {
        Part::Binary(Op::Divide, ..) => true,
        Part::Binary(_, left, right) => is_tall(left) || is_tall(right),
        Part::Negate(inner) | Part::Not(inner) => is_tall(inner),
        Part::Call(_, values) => values.iter().any(is_tall),
        Part::Leaf(_) => false,
    }
}

fn sign(op: Op) -> &'static str {
    match op {
        Op::Or => "\u{a0}or\u{a0}",
        Op::And => "\u{a0}and\u{a0}",
        Op::Less => "<",
        Op::AtMost => "\u{2264}",
        Op::More => ">",
        Op::AtLeast => "\u{2265}",
        Op::Equal => "=",
        Op::Differs => "\u{2260}",
        Op::Add => "+",
        Op::Subtract => "\u{2212}",
        Op::Multiply => "\u{d7}",
        Op::Divide | Op::Power => "",
    }
}

fn operator(op: Op) -> Markup {
    html! {
        @if matches!(op, Op::And | Op::Or) { mtext { (sign(op)) } }
        @else { mo form="infix" { (sign(op)) } }
    }
}

/// Pieces of a formula on one line; a new one begins before an operator.
#[derive(Default)]
struct Pieces {
    done: Vec<Markup>,
    /// What stands before the next part: operators, opening brackets.
    before: Vec<Markup>,
}

impl Pieces {
    fn put(&mut self, part: Markup) {
        let before = std::mem::take(&mut self.before);
        self.done.push(html! { mrow { @for one in before { (one) } (part) } });
    }

    fn close(&mut self) {
        if let Some(last) = self.done.pop() {
            self.done.push(html! { mrow { (last) mo form="postfix" stretchy="false" { ")" } } });
        }
    }

    fn flat(&mut self, formula: &Formula) {
        match &formula.part {
            Part::Binary(op, left, right) if !matches!(op, Op::Divide | Op::Power) => {
                let (left_open, right_open) = sides(*op, &left.part, &right.part);
                self.side(left, left_open);
                self.before.push(operator(*op));
                self.side(right, right_open);
            }
            Part::Not(inner) => {
                self.before.push(html! { mtext { "not\u{a0}" } });
                self.side(inner, binds(&inner.part) < 3);
            }
            Part::Negate(inner) => {
                self.before.push(html! { mo form="prefix" { "\u{2212}" } });
                self.side(inner, binds(&inner.part) < 7);
            }
            Part::Call(function, values) => match function.entry().takes {
                Takes::Table(of) => self.look_up(of, values),
                Takes::Rows { .. } | Takes::EachRow(_) | Takes::ValuesOrRows(..) | Takes::Values(..) => {
                    self.put(part(formula, None));
                }
            },
            Part::Leaf(_) | Part::Binary(..) => self.put(part(formula, None)),
        }
    }

    /// A look-up: the column wanted, then in square brackets each value sought.
    fn look_up(&mut self, function: OfTable, values: &[Formula]) {
        let Some((column, keys)) = sought(function, values) else { return };
        self.put(part(column, None));
        self.before.push(html! { mo form="prefix" { "[" } });
        for (n, (key, value)) in keys.iter().enumerate() {
            self.put(html! { mrow {
                (key_of(key)) mo form="infix" { (sought_sign(function)) } (part(value, None))
                @if n + 1 < keys.len() { mo separator="true" { "," } } @else { mo form="postfix" { "]" } }
            } });
        }
    }

    fn side(&mut self, formula: &Formula, bracketed: bool) {
        match (bracketed, is_tall(formula)) {
            (false, _) => self.flat(formula),
            (true, true) => self.put(in_brackets(formula, None)),
            (true, false) => {
                self.before.push(html! { mo form="prefix" stretchy="false" { "(" } });
                self.flat(formula);
                self.close();
            }
        }
    }
}

/// Returns whether the sides of an operator on one line need brackets.
fn sides(op: Op, left: &Part, right: &Part) -> (bool, bool) {
    let own = op.binds();
    let open_left = binds(left) < own || (op.compares() && binds(left) == own);
    // Addition and multiplication may be read in any order: what binds alike needs no brackets on their right.
    let any_order = matches!(op, Op::Add | Op::Multiply | Op::And | Op::Or);
    let sum = op == Op::Subtract && matches!(right, Part::Call(..));
    let signed = binds(right) == 7 && !op.compares();
    let open_right = if any_order { binds(right) < own } else { binds(right) <= own };
    (open_left, signed || (open_right && !sum))
}

fn in_brackets(formula: &Formula, within: Option<&str>) -> Markup {
    html! { mrow { mo form="prefix" { "(" } (part(formula, within)) mo form="postfix" { ")" } } }
}

fn side(formula: &Formula, bracketed: bool, within: Option<&str>) -> Markup {
    if bracketed { in_brackets(formula, within) } else { part(formula, within) }
}

/// Returns a part; `within` is the schedule whose columns stand by their own names.
fn part(formula: &Formula, within: Option<&str>) -> Markup {
    match &formula.part {
        Part::Leaf(leaf) => self::leaf(leaf, within),
        Part::Negate(inner) => html! {
            mrow { mo form="prefix" { "\u{2212}" } (side(inner, binds(&inner.part) < 7, within)) }
        },
        Part::Not(inner) => html! {
            mrow { mtext { "not\u{a0}" } (side(inner, binds(&inner.part) < 3, within)) }
        },
        Part::Binary(Op::Divide, left, right) => {
            html! { mfrac { mrow { (part(left, within)) } mrow { (part(right, within)) } } }
        }
        Part::Binary(Op::Power, left, right) => {
            let has_unit = matches!(&left.part, Part::Leaf(Leaf::Quantity(q)) if !q.unit.is_plain());
            let fraction = matches!(&left.part, Part::Binary(..) | Part::Negate(_));
            let bracketed = has_unit || fraction || binds(&left.part) < 9;
            html! { msup { mrow { (side(left, bracketed, within)) } mrow { (part(right, within)) } } }
        }
        Part::Binary(op, left, right) => {
            let (left_open, right_open) = sides(*op, &left.part, &right.part);
            html! {
                mrow { (side(left, left_open, within)) (operator(*op)) (side(right, right_open, within)) }
            }
        }
        Part::Call(function, values) => call(*function, values, within),
    }
}

fn call(function: Function, values: &[Formula], within: Option<&str>) -> Markup {
    match (function, values) {
        (Function::Sqrt, [inner]) => html! { msqrt { (part(inner, within)) } },
        (Function::Abs, [inner]) => {
            html! { mrow { mo form="prefix" { "|" } (part(inner, within)) mo form="postfix" { "|" } } }
        }
        (Function::Exp, [inner]) => html! { msup { mi { "e" } mrow { (part(inner, within)) } } },
        (Function::Log10, [inner]) => applied(html! { msub { mi { "log" } mn { "10" } } }, &[inner], within),
        (Function::Running, [inner]) => total("up to here", inner, within),
        (Function::Onward, [inner]) => total("from here on", inner, within),
        (Function::Sum, [inner]) => match rows_of(inner) {
            Some(rows) => total(&rows, inner, Some(rows.as_str())),
            None => total("all rows", inner, within),
        },
        (function, _) => {
            if let Takes::Table(of) = function.entry().takes {
                return table(of, values, within);
            }
            let rows = values.first().filter(|_| is_over_rows(function, values)).and_then(rows_of);
            let word = html! { mi { (function.name().replace('_', "\u{a0}")) } };
            let over = match &rows {
                Some(rows) => html! { munder { (word) mtext { (rows) } } },
                None => word,
            };
            let values: Vec<&Formula> = values.iter().collect();
            applied(over, &values, rows.as_deref().or(within))
        }
    }
}

fn is_over_rows(function: Function, values: &[Formula]) -> bool {
    match function.entry().takes {
        Takes::Rows { .. } => true,
        Takes::ValuesOrRows(..) => values.len() == 1,
        Takes::EachRow(_) | Takes::Values(..) | Takes::Table(_) => false,
    }
}

fn applied(word: Markup, values: &[&Formula], within: Option<&str>) -> Markup {
    html! {
        mrow {
            (word) mo form="prefix" { "(" }
            @for (n, value) in values.iter().enumerate() {
                @if n > 0 { mo separator="true" { "," } mspace width="0.3em" {} }
                (part(value, within))
            }
            mo form="postfix" { ")" }
        }
    }
}

fn total(under: &str, inner: &Formula, within: Option<&str>) -> Markup {
    let bracketed = binds(&inner.part) < Op::Multiply.binds();
    html! { mrow { munder { mo movablelimits="false" { "\u{2211}" } mtext { (under) } } (side(inner, bracketed, within)) } }
}

/// What a look-up takes: the column wanted, and each key column with the value sought in it.
type Sought<'f> = (&'f Formula, Vec<(&'f Formula, &'f Formula)>);

fn sought(function: OfTable, values: &[Formula]) -> Option<Sought<'_>> {
    match (function, values) {
        (OfTable::NextSize, [key, value]) => Some((key, vec![(key, value)])),
        (_, [keys @ .., column]) => {
            Some((column, keys.chunks(2).filter_map(|pair| Some((pair.first()?, pair.get(1)?))).collect()))
        }
        (_, []) => None,
    }
}

fn sought_sign(function: OfTable) -> &'static str {
    match function {
        OfTable::NextSize => "\u{2265}",
        OfTable::Interpolate => "\u{2248}",
        OfTable::Lookup => "=",
    }
}

fn table(function: OfTable, values: &[Formula], within: Option<&str>) -> Markup {
    let Some((column, keys)) = sought(function, values) else { return html! {} };
    html! {
        mrow {
            (part(column, within)) mo form="prefix" { "[" }
            @for (n, (key, value)) in keys.into_iter().enumerate() {
                @if n > 0 { mo separator="true" { "," } mspace width="0.3em" {} }
                (key_of(key)) mo form="infix" { (sought_sign(function)) } (part(value, within))
            }
            mo form="postfix" { "]" }
        }
    }
}

/// The key column of a look-up stands by its own name: the table is told once.
fn key_of(key: &Formula) -> Markup {
    match &key.part {
        Part::Leaf(Leaf::Name(Path(parts))) => identifier(parts.last().map_or("", String::as_str)),
        _ => part(key, None),
    }
}

/// Returns the schedule or table that the names of a formula of rows have before them.
fn rows_of(formula: &Formula) -> Option<String> {
    let mut found = None;
    formula.each_name(&mut |Path(parts)| {
        if let [rows, _] = parts.as_slice() {
            found.get_or_insert_with(|| rows.clone());
        }
    });
    found
}

fn leaf(leaf: &Leaf, within: Option<&str>) -> Markup {
    match leaf {
        Leaf::Name(Path(parts)) => match parts.as_slice() {
            [rows, name] if Some(rows.as_str()) == within => identifier(name),
            [rows, name] => html! { msub { (identifier(name)) mtext { (rows) } } },
            [name] => identifier(name),
            _ => html! { mi { (parts.join(".")) } },
        },
        Leaf::Quantity(quantity) => quantity_shown(&quantity.to_string(), &quantity.unit),
        Leaf::Date(seconds) => html! { mtext { (date::in_words(*seconds)) } },
        Leaf::Flag(flag) => html! { mi { @if *flag { "yes" } @else { "no" } } },
        Leaf::Text(pieces) => {
            let text: String = pieces
                .iter()
                .map(|piece| match piece {
                    Piece::Plain(text) => text.clone(),
                    Piece::Value(path, _) => format!("{{{path}}}"),
                })
                .collect();
            html! { mi { "\u{201c}" (text) "\u{201d}" } }
        }
    }
}

fn quantity_shown(text: &str, unit: &Unit) -> Markup {
    let number = text.split(' ').next().unwrap_or_default();
    html! {
        mrow {
            @match number.split_once('e') {
                Some((mantissa, power)) => {
                    mn { (minus(mantissa)) } mo form="infix" { "\u{d7}" } msup { mn { "10" } mn { (minus(power)) } }
                }
                None => { mn { (minus(number)) } }
            }
            @if !unit.is_plain() { mtext { "\u{a0}" (super::units::set(unit.symbol())) } }
        }
    }
}

fn minus(number: &str) -> String {
    number.replace('-', "\u{2212}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fault::Span;
    use crate::sheet::scan::Scan;

    /// Returns what stands on the page, without its tags; fractions, roots, powers and subscripts marked.
    fn set(text: &str) -> String {
        let read = Formula::read(&mut Scan::new(text, Span::new(0, text.len()))).expect("a formula");
        let mut page = formula(&read).into_string();
        for (tag, mark) in [("<mfrac>", "frac{"), ("<msqrt>", "root{"), ("<msup>", "^{"), ("<msub>", "_{")] {
            page = page.replace(tag, mark);
        }
        for tag in ["</mfrac>", "</msqrt>", "</msup>", "</msub>"] {
            page = page.replace(tag, "}");
        }
        let mut out = String::new();
        let mut inside = false;
        for c in page.chars() {
            match c {
                '<' => inside = true,
                '>' => inside = false,
                c if !inside => out.push(c),
                _ => {}
            }
        }
        out.replace('\u{a0}', " ").replace("&lt;", "<").replace("&gt;", ">")
    }

    #[test]
    fn brackets_stand_where_the_meaning_needs_them_and_nowhere_else() {
        for (written, shown) in [
            ("a - (b - c)", "a\u{2212}(b\u{2212}c)"),
            ("a + (b + c)", "a+b+c"),
            ("(a - b) / (c * d)", "frac{a\u{2212}bc\u{d7}d}"),
            ("a / b / c", "frac{frac{ab}c}"),
            ("(a / b)^2", "^{(frac{ab})2}"),
            ("(2 m)^2", "^{(2 m)2}"),
            ("-a^2", "\u{2212}^{a2}"),
            ("(-a)^2", "^{(\u{2212}a)2}"),
            ("a * -3", "a\u{d7}(\u{2212}3)"),
            ("a - -3 V", "a\u{2212}(\u{2212}3 V)"),
            ("sqrt(a^2 + b^2)", "root{^{a2}+^{b2}}"),
            ("not (a and b)", "not (a and b)"),
            ("a and (b or c)", "a and (b or c)"),
            ("alarm_load >= 20 h * room_to_grow", "_{alarmload}\u{2265}20 h\u{d7}_{roomto grow}"),
            ("1.5e20 W", "1.5\u{d7}^{1020} W"),
        ] {
            assert_eq!(set(written), shown, "{written}");
        }
    }

    #[test]
    fn what_is_summed_is_told_from_what_follows() {
        for (written, shown) in [
            ("sum(s.x) * a", "(\u{2211}sx)\u{d7}a"),
            ("sum(s.x * a)", "\u{2211}sx\u{d7}a"),
            ("sum(s.x + s.y)", "\u{2211}s(x+y)"),
            ("a - running(x)", "a\u{2212}\u{2211}up to herex"),
            ("onward(x)^2", "^{(\u{2211}from here onx)2}"),
            ("max(s.x)", "maxs(x)"),
            ("max(a, b)", "max(a,b)"),
            ("first(s.x, s.y == a)", "firsts(x,y=a)"),
            ("lookup(t.key, a, t.value)", "_{valuet}[key=a]"),
            ("next_size(t.key, a * 2)", "_{keyt}[key\u{2265}a\u{d7}2]"),
            ("interpolate(t.key, a, t.value)", "_{valuet}[key\u{2248}a]"),
        ] {
            assert_eq!(set(written), shown, "{written}");
        }
    }

    #[test]
    fn a_long_formula_breaks_before_its_operators_and_reads_the_same() {
        let long =
            "first_long_name * (second_long_name + third_long_name) - lookup(t.key, fourth_name, t.value)";
        let shown = "_{firstlong name}\u{d7}(_{secondlong name}+_{thirdlong name})\u{2212}_{valuet}[key=_{fourthname}]";
        assert_eq!(set(long), shown);
        let read = Formula::read(&mut Scan::new(long, Span::new(0, long.len()))).expect("a formula");
        assert!(formula(&read).into_string().matches("<math").count() >= 4);
    }
}
