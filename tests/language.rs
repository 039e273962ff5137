//! Properties of the language: what is printed reads back, and the order of working is what the page says.

use proptest::prelude::*;
use wattle::fault::Span;
use wattle::sheet::formula::{Formula, Part};
use wattle::sheet::lex::lex;
use wattle::sheet::scan::Scan;
use wattle::sheet::token::{Op, Token, TokenKind};

fn tokens(text: &str) -> Option<Vec<Token>> {
    let mut scan = Scan::new(text, Span::new(0, text.len()));
    let tokens = lex(&mut scan).ok()?;
    scan.is_done().then_some(tokens)
}

/// Returns the tree of a formula; `None`: it is refused, as a chain is, or a power of a number with a unit.
fn read(text: &str) -> Option<Formula> {
    tokens(text).and_then(|tokens| Formula::of_tokens(&tokens).ok())
}

/// A formula without its places, so that two can be compared.
fn shape(formula: &Formula) -> String {
    match &formula.part {
        Part::Leaf(leaf) => leaf.to_string(),
        Part::Negate(inner) => format!("(- {})", shape(inner)),
        Part::Not(inner) => format!("(not {})", shape(inner)),
        Part::Binary(op, left, right) => format!("({} {} {})", op.word(), shape(left), shape(right)),
        Part::Call(function, values) => {
            let values: Vec<String> = values.iter().map(shape).collect();
            format!("({} {})", function.name(), values.join(" "))
        }
    }
}

/// A precedence climber over the same tokens, written apart from the program's way through a library.
struct Climber<'t> {
    tokens: &'t [Token],
    at: usize,
}

impl Climber<'_> {
    fn kind(&self) -> Option<&TokenKind> {
        self.tokens.get(self.at).map(|token| &token.kind)
    }

    /// Returns the shape and the outermost operator that no bracket hides; `None` for a chain.
    fn formula(&mut self, least: u8) -> Option<(String, Option<Op>)> {
        let (mut left, mut top) = self.operand()?;
        while let Some(TokenKind::Binary(op)) = self.kind().cloned() {
            if op.binds() < least {
                break;
            }
            self.at += 1;
            let (right, under) = self.formula(op.binds() + 1)?;
            let chains = |other: Option<Op>| {
                other.is_some_and(|other| {
                    (op.compares() && other.compares()) || (op == Op::Power && other == Op::Power)
                })
            };
            if chains(top) || chains(under) {
                return None;
            }
            left = format!("({} {left} {right})", op.word());
            top = Some(op);
        }
        Some((left, top))
    }

    fn operand(&mut self) -> Option<(String, Option<Op>)> {
        let kind = self.kind()?.clone();
        self.at += 1;
        match kind {
            TokenKind::Leaf(leaf) => Some((leaf.to_string(), None)),
            TokenKind::Minus => {
                let (inner, top) = self.formula(7)?;
                Some((format!("(- {inner})"), top))
            }
            TokenKind::Not => {
                let (inner, _) = self.formula(3)?;
                Some((format!("(not {inner})"), None))
            }
            TokenKind::Open => {
                let (inner, _) = self.formula(0)?;
                self.at += 1;
                Some((inner, None))
            }
            TokenKind::Call(function) => {
                self.at += 1;
                let mut values = Vec::new();
                while self.kind() != Some(&TokenKind::Close) {
                    if self.kind() == Some(&TokenKind::Comma) {
                        self.at += 1;
                    }
                    values.push(self.formula(0)?.0);
                }
                self.at += 1;
                Some((format!("({} {})", function.name(), values.join(" ")), None))
            }
            TokenKind::Close | TokenKind::Comma | TokenKind::Binary(_) => None,
        }
    }
}

/// Formulas that are well formed, but for chains.
fn formula() -> impl Strategy<Value = String> {
    let leaf = prop_oneof![
        Just("a".to_owned()),
        Just("b_2".to_owned()),
        Just("12 mA".to_owned()),
        Just("3".to_owned()),
        Just("0.5 ohm/km".to_owned()),
        Just("-5 degC".to_owned()),
        Just("20 degC".to_owned()),
        Just("2026-11-25".to_owned()),
        Just("yes".to_owned()),
        Just("\"a {b_2} {{x\"".to_owned()),
    ];
    leaf.prop_recursive(5, 40, 3, |inner| {
        let op = prop::sample::select(vec![
            "+", "-", "*", "/", "^", "<", "<=", ">", ">=", "==", "!=", "and", "or", "\u{d7}", "\u{2264}",
            "\u{2212}",
        ]);
        prop_oneof![
            4 => (inner.clone(), op, inner.clone()).prop_map(|(l, op, r)| format!("{l} {op} {r}")),
            2 => inner.clone().prop_map(|x| format!("({x})")),
            1 => inner.clone().prop_map(|x| format!("-{x}")),
            1 => inner.clone().prop_map(|x| format!("not {x}")),
            1 => (inner.clone(), inner.clone()).prop_map(|(x, y)| format!("max({x}, {y})")),
            1 => inner.prop_map(|x| format!("sum({x})")),
        ]
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 4000, max_global_rejects: 40_000, ..ProptestConfig::default() })]

    #[test]
    fn the_order_of_working_is_that_of_an_independent_climber(text in formula()) {
        let tokens = tokens(&text);
        prop_assume!(tokens.is_some());
        let tokens = tokens.unwrap_or_default();
        let mut climber = Climber { tokens: &tokens, at: 0 };
        let climbed = climber.formula(0).filter(|_| climber.at == tokens.len()).map(|(shape, _)| shape);
        let read = Formula::of_tokens(&tokens).ok().map(|formula| shape(&formula));
        prop_assert_eq!(read, climbed, "{}", text);
    }

    #[test]
    fn a_formula_printed_from_its_tree_reads_back_as_the_same_tree(text in formula()) {
        let first = read(&text);
        prop_assume!(first.is_some());
        let first = first.expect("it was read");
        let printed = first.to_string();
        let again = read(&printed);
        prop_assert_eq!(again.as_ref().map(shape), Some(shape(&first)), "{} printed as {}", text, printed);
    }

    #[test]
    fn every_part_of_a_formula_has_its_own_characters(text in formula()) {
        let formula = read(&text);
        prop_assume!(formula.is_some());
        let formula = formula.expect("it was read");
        let mut parts = vec![&formula];
        while let Some(part) = parts.pop() {
            match &part.part {
                Part::Binary(op, left, right) => {
                    prop_assert!(left.at.end <= part.word.start && part.word.end <= right.at.start);
                    let word = &text[part.word.range()];
                    prop_assert!(word == op.word() || !word.is_ascii(), "{word}");
                    parts.extend([&**left, &**right]);
                }
                Part::Negate(inner) | Part::Not(inner) => parts.push(inner),
                Part::Call(function, values) => {
                    prop_assert_eq!(&text[part.word.range()], function.name());
                    parts.extend(values);
                }
                Part::Leaf(_) => {}
            }
        }
    }
}

#[test]
fn a_chart_whose_columns_no_table_is_there_for_is_left_out() {
    use wattle::fault::Page;
    use wattle::notebook::Library;
    let page = Page::new(
        "sizes.sheet",
        "title Sizes\ntable sizes from basis\nschedule size \"Sizes\" from sizes\n\
         chart drops \"Drops\"\n  across size.area\n  up size.drop\n",
    );
    let sheet = Library::new(Vec::new()).read_sheet(&page, None).expect("a sheet without a fault");
    assert!(sheet.charts.is_empty(), "{:?}", sheet.charts);
}

#[test]
fn the_deepest_and_the_longest_formula_are_read_and_one_more_is_refused() {
    let deep = |n: usize| format!("{}a{}", "(".repeat(n), ")".repeat(n));
    assert!(tokens(&deep(64)).is_some_and(|tokens| Formula::of_tokens(&tokens).is_ok()));
    assert!(tokens(&deep(65)).is_none());
    let flat = |n: usize| vec!["a"; n].join(" + ");
    assert!(tokens(&flat(200)).is_some_and(|tokens| Formula::of_tokens(&tokens).is_ok()));
    assert!(tokens(&flat(201)).is_none());
    assert!(tokens(&format!("{}a", "- ".repeat(8))).is_some());
    assert!(tokens(&format!("{}a", "- ".repeat(9))).is_none());
}

#[test]
fn every_function_s_example_gives_what_its_row_says() {
    use wattle::fault::Page;
    use wattle::notebook::{Library, proof};
    use wattle::sheet::function::{FUNCTIONS, Takes};
    for entry in FUNCTIONS {
        let (formula, gives) = entry.example;
        let unit = match gives.split(", ").next().and_then(|first| first.split_once(' ')) {
            Some((_, unit)) => unit,
            None if matches!(gives, "yes" | "no") => "flag",
            None => "",
        };
        let made = format!("find made {unit} \"Made\"\n  = {formula}\n");
        let (on_rows, expected) = match entry.takes {
            Takes::EachRow(_) => {
                let each = gives.split(", ").enumerate();
                let expected = each.map(|(n, gives)| format!("  expect load.{}.made = {gives}\n", n + 1));
                (made.lines().map(|line| format!("  {line}\n")).collect(), expected.collect())
            }
            Takes::Rows { .. } | Takes::ValuesOrRows(..) | Takes::Values(..) | Takes::Table(_) => {
                (String::new(), format!("  expect made = {gives}\n"))
            }
        };
        let of_sheet = if on_rows.is_empty() { made.as_str() } else { "" };
        let sheet = format!(
            "title Example\ntable air \"ambient_bs7671.toml\"\ntable rating \"breaker_ratings_iec60898.toml\"\n\
             schedule load \"Loads\"\n  given each ? A \"Current\"\n    within 0 A .. 9 A\n  given live ? flag \"Live\"\n\
             {on_rows}{of_sheet}example \"of {}\"\n  by hand\n  row load each = 1 A, live = yes\n  \
             row load each = 2 A, live = no\n  row load each = 4 A, live = yes\n{expected}",
            entry.name
        );
        let proof =
            proof::sheet_proof(&Library::new(Vec::new()), "example", &Page::new("example.sheet", sheet));
        assert!(proof.holds() && proof.examples.len() == 1, "{}: {proof:?}", entry.name);
    }
}

#[test]
fn the_longest_formula_goes_the_whole_way_without_running_out_of_stack() {
    use wattle::fault::Page;
    use wattle::notebook::{Library, proof};
    let flat = vec!["a"; 200].join(" + ");
    let deep = format!("{}a{}", "max(a, ".repeat(64), ")".repeat(64));
    let sheet = format!(
        "title Long\ngiven a ? A \"One\"\n  within 0 A .. 9 A\nfind b A \"Sum\"\n  = {flat}\nfind c A \"Deep\"\n  = {deep}\n\
         must ok \"It holds\"\n  that b > c\n  by practice\n\
         example \"long\"\n  by hand\n  given a = 2 A\n  expect b = 400 A\n  expect c = 2 A\n  expect ok = pass\n"
    );
    let proof = proof::sheet_proof(&Library::new(Vec::new()), "long", &Page::new("long.sheet", sheet));
    assert!(proof.holds() && proof.examples.len() == 1, "{proof:?}");
}
