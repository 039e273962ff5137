//! Working a plan against the same formulas written by hand in Rust: ratios within one run, in this order: a
//! schedule of 1,000 rows by 80 formulas; 100,000 formula lines on their own, also against `evalexpr`.
//!
//! `cargo bench --bench work`. One text is both: the macro gives the formulas to Rust and to the sheet.
#![allow(clippy::print_stdout, reason = "a bench tells")]

mod clock;

use std::hint::black_box;
use std::sync::Arc;
use std::time::{Duration, Instant};

use evalexpr::{ContextWithMutableVariables as _, HashMapContext, Node, Value, build_operator_tree};
use wattle::engine::{Machine, Placed, Plan, Purpose, compile};
use wattle::fault::Page;
use wattle::notebook::Library;
use wattle::sheet::Sheet;

use clock::shortest;

const ROWS: usize = 1_000;
const BLOCKS: usize = 1_250;

/// Formulas of some names, as a function and as a text.
macro_rules! formulas {
    ($($given:ident)* ; $($name:ident = $formula:expr;)*) => {
        const GIVENS: &[&str] = &[$(stringify!($given)),*];
        const FORMULAS: &[(&str, &str)] = &[$((stringify!($name), stringify!($formula))),*];

        #[inline(never)]
        fn by_hand([$($given),*]: [f64; 8]) -> [f64; 80] {
            $(let $name = $formula;)*
            [$($name),*]
        }
    };
}

fn max(a: f64, b: f64) -> f64 {
    a.max(b)
}

fn min(a: f64, b: f64) -> f64 {
    a.min(b)
}

formulas! {
    a b c d e g h k;
    f0 = g * b / (g + b);
    f1 = max(g - a, 0.25) + 0.25 * e;
    f2 = b * d / (b + d);
    f3 = d / (f1 + 1.0) + a;
    f4 = a * f0 / (a + f0);
    f5 = -f1 + e + f1 * 1.5;
    f6 = -f2 + d + f2 * 1.5;
    f7 = (a + 0.9) * 1.25 - f1 * 0.1 + d * 0.05;
    f8 = f6 / (f1 + 1.0) + k;
    f9 = 0.7 * c + 0.2 * f1 + 0.1 * f0;
    f10 = max(c - d, 0.25) + 0.4 * f5;
    f11 = b * (c + f2) / (c + 2.0) * 0.6;
    f12 = f10 / f6 * 0.2 + c * 0.7;
    f13 = 0.7 * c + 0.2 * b + 0.1 * f1;
    f14 = -f4 + f13 + f4 * 1.5;
    f15 = d / (f7 + 1.0) + b;
    f16 = 0.7 * f4 + 0.2 * f7 + 0.1 * c;
    f17 = e / f5 * 0.2 + f9 * 0.7;
    f18 = f4 / k * 0.2 + e * 0.7;
    f19 = (k + a) * 0.5;
    f20 = max(e, f5) - 0.5 * min(e, f5);
    f21 = (f14 + f19) * 0.5;
    f22 = max(f6 - f20, 0.25) + 0.9 * f19;
    f23 = f4 * d / (f4 + d);
    f24 = f5 * f20 / (f5 + f20);
    f25 = a / (f2 + 1.0) + h;
    f26 = f18 * f3 / (f18 + f3);
    f27 = max(k, f26) - 0.5 * min(k, f26);
    f28 = (h + f17) * 0.5;
    f29 = 0.7 * f10 + 0.2 * f20 + 0.1 * f6;
    f30 = min(g, 1.1 * f14) + 0.125;
    f31 = f20 / (f13 + 1.0) + f11;
    f32 = f31 / (f22 + 1.0) + b;
    f33 = f23 * (f29 + f24) / (f29 + 2.0) * 0.6;
    f34 = f14 * (f23 + f15) / (f23 + 2.0) * 0.6;
    f35 = max(f25, g) - 0.5 * min(f25, g);
    f36 = f31 * f25 / (f31 + f25);
    f37 = max(f15, f13) - 0.5 * min(f15, f13);
    f38 = (f36 + f28) * 0.5;
    f39 = h / (f15 + 1.0) + f34;
    f40 = (f26 + f23) * 0.5;
    f41 = min(f31, 0.4 * f38) + 0.125;
    f42 = max(b, f38) - 0.5 * min(b, f38);
    f43 = min(f41, 1.1 * k) + 0.125;
    f44 = f42 * h / (f42 + h);
    f45 = -f41 + b + f41 * 1.5;
    f46 = f26 / (f31 + 1.0) + f42;
    f47 = f31 * (f27 + f43) / (f27 + 2.0) * 0.6;
    f48 = 0.7 * f36 + 0.2 * e + 0.1 * f31;
    f49 = k / (f26 + 1.0) + f40;
    f50 = max(h - f43, 0.25) + 0.4 * f49;
    f51 = (f44 + 0.4) * 0.75 - f40 * 0.1 + f45 * 0.05;
    f52 = (b + 0.9) * 1.25 - f41 * 0.1 + f49 * 0.05;
    f53 = 0.7 * f39 + 0.2 * e + 0.1 * k;
    f54 = max(c - f33, 0.25) + 1.25 * f39;
    f55 = max(f32, f54) - 0.5 * min(f32, f54);
    f56 = f51 * e / (f51 + e);
    f57 = min(f39, 0.75 * e) + 0.125;
    f58 = f52 * f43 / (f52 + f43);
    f59 = 0.7 * f37 + 0.2 * f43 + 0.1 * d;
    f60 = (f41 + 1.1) * 1.25 - f46 * 0.1 + f56 * 0.05;
    f61 = min(b, 1.1 * f45) + 0.125;
    f62 = max(f42 - f60, 0.25) + 1.25 * f45;
    f63 = f62 / (f56 + 1.0) + f50;
    f64 = f40 / f57 * 0.2 + f54 * 0.7;
    f65 = min(f49, 0.9 * f60) + 0.125;
    f66 = f52 * (f49 + c) / (f49 + 2.0) * 0.6;
    f67 = (a + f51) * 0.5;
    f68 = f55 * f49 / (f55 + f49);
    f69 = 0.7 * f67 + 0.2 * f54 + 0.1 * f49;
    f70 = 0.7 * g + 0.2 * f47 + 0.1 * f63;
    f71 = -f58 + f53 + f58 * 1.5;
    f72 = f64 / f60 * 0.2 + f71 * 0.7;
    f73 = min(f50, 0.4 * c) + 0.125;
    f74 = (b + 0.25) * 0.25 - f56 * 0.1 + g * 0.05;
    f75 = h / f67 * 0.2 + f71 * 0.7;
    f76 = min(f59, 1.25 * f75) + 0.125;
    f77 = g / (e + 1.0) + f75;
    f78 = 0.7 * f60 + 0.2 * f75 + 0.1 * f77;
    f79 = c / f59 * 0.2 + e * 0.7;
}

/// What is given in a row or a block.
fn given(n: usize) -> [f64; 8] {
    std::array::from_fn(|k| 1.0 + ((n * 37 + k * 101) % 97) as f64 / 97.0)
}

fn times(long: Duration, short: Duration) -> f64 {
    long.as_secs_f64() / short.as_secs_f64()
}

fn planned(sheet: &Sheet, rows: Vec<usize>) -> Arc<Plan> {
    let placed = Placed::new(sheet, rows);
    Arc::new(compile(&[placed]).expect("no loop"))
}

fn read(text: String) -> Arc<Sheet> {
    Library::new(Vec::new()).read_sheet(&Page::new("bench.sheet", text), None).expect("the sheet loads")
}

/// Returns the shortest time that a machine takes to work everything anew, all that is entered having changed.
fn worked(plan: &Arc<Plan>, entered: &[(u32, f64)], last: u32, expected: f64) -> Duration {
    let mut machine = Machine::<f64>::new(Arc::clone(plan));
    let mut shortest = Duration::MAX;
    for round in 0..41 {
        let off = if round % 2 == 0 { 0.0 } else { 0.25 };
        entered.iter().for_each(|(slot, value)| machine.set(*slot, Some(*value + off)));
        let start = Instant::now();
        black_box(machine.work());
        let time = start.elapsed();
        if off == 0.0 {
            shortest = shortest.min(time);
            let (value, status) = machine.at(last);
            assert!(status.is_worked() && value.to_bits() == expected.to_bits(), "{value} is not {expected}");
        }
    }
    shortest
}

fn schedule() {
    let mut text = "title Rows\nschedule rows \"Rows\"\n".to_owned();
    GIVENS.iter().for_each(|name| text += &format!("  given {name} ? \"Given\"\n"));
    FORMULAS
        .iter()
        .for_each(|(name, formula)| text += &format!("  find {name} \"Found\"\n    = {formula}\n"));
    let sheet = read(text);
    let plan = planned(&sheet, vec![ROWS]);
    let base = |name: &str| {
        let line = sheet.known_column(0, name).expect("a column");
        plan.slot_of(Purpose::Line(0, line)).expect("a line")
    };
    let entered: Vec<(u32, f64)> = (0..ROWS)
        .flat_map(|row| GIVENS.iter().zip(given(row)).map(move |(name, value)| (*name, row as u32, value)))
        .map(|(name, row, value)| (base(name) + row, value))
        .collect();
    let rows: Vec<[f64; 8]> = (0..ROWS).map(given).collect();
    let mut made = vec![[0.0; 80]; ROWS];
    let hand = shortest(101, || {
        for (row, made) in black_box(&rows).iter().zip(&mut made) {
            *made = by_hand(*row);
        }
        black_box(&mut made);
    });
    let ours = worked(&plan, &entered, base(FORMULAS[79].0) + ROWS as u32 - 1, made[ROWS - 1][79]);
    println!("{ROWS} rows by 80 formulas: by hand {hand:?}, engine {ours:?}, {:.1} times", times(ours, hand));
}

/// Returns a formula with its names those of one block.
fn renamed(formula: &str, block: usize) -> String {
    let mut made = String::new();
    let mut word = String::new();
    for c in formula.chars().chain([' ']) {
        if c.is_ascii_alphanumeric() || c == '.' {
            word.push(c);
            continue;
        }
        made += &of_block(&word, block);
        word.clear();
        made.push(c);
    }
    made.trim_end().to_owned()
}

fn of_block(word: &str, block: usize) -> String {
    let own = GIVENS.contains(&word) || FORMULAS.iter().any(|(name, _)| *name == word);
    match (own, word) {
        // The blocks hang together: the first given of one is what the one before came to.
        (true, "a") if block > 0 => of_block(FORMULAS[79].0, block - 1),
        (true, _) => format!("{word}_{block}"),
        (false, _) => word.to_owned(),
    }
}

fn all_by_hand(made: &mut [[f64; 80]], rows: &[[f64; 8]]) {
    let mut before = None;
    for (row, made) in rows.iter().zip(made) {
        let mut row = *row;
        row[0] = before.unwrap_or(row[0]);
        *made = by_hand(row);
        before = Some(made[79]);
    }
}

/// What `evalexpr` takes for the same: each formula read once, then evaluated in turn with its own context.
fn by_evalexpr(lines: &[(String, String)], rows: &[[f64; 8]]) -> Duration {
    let nodes: Vec<(&String, Node)> =
        lines.iter().map(|(name, text)| (name, build_operator_tree(text).expect("a formula"))).collect();
    shortest(3, || {
        let mut context = HashMapContext::new();
        for (block, row) in rows.iter().enumerate() {
            for (name, value) in GIVENS.iter().zip(row) {
                context.set_value(format!("{name}_{block}"), Value::Float(*value)).expect("a value");
            }
        }
        for (name, node) in &nodes {
            let value = node.eval_with_context(&context).expect("a value");
            context.set_value((*name).clone(), value).expect("a value");
        }
        black_box(&context);
    })
}

fn lines() {
    let lines: Vec<(String, String)> = (0..BLOCKS)
        .flat_map(|block| {
            FORMULAS.iter().map(move |(name, text)| (of_block(name, block), renamed(text, block)))
        })
        .collect();
    let mut text = "title Lines\n".to_owned();
    for block in 0..BLOCKS {
        GIVENS.iter().for_each(|name| text += &format!("given {name}_{block} ? \"Given\"\n"));
    }
    lines.iter().for_each(|(name, formula)| text += &format!("find {name} \"Found\"\n  = {formula}\n"));
    let sheet = read(text);
    let plan = planned(&sheet, Vec::new());
    let mut bases = std::collections::HashMap::new();
    for (n, line) in sheet.lines.iter().enumerate() {
        bases.insert(line.name.value.clone(), plan.slot_of(Purpose::Line(0, n)).expect("a line"));
    }
    let rows: Vec<[f64; 8]> = (0..BLOCKS).map(given).collect();
    let mut entered = Vec::new();
    for (block, row) in rows.iter().enumerate() {
        entered
            .extend(GIVENS.iter().zip(row).map(|(name, value)| (bases[&format!("{name}_{block}")], *value)));
    }
    let mut made = vec![[0.0; 80]; BLOCKS];
    let hand = shortest(101, || {
        all_by_hand(black_box(&mut made), black_box(&rows));
    });
    let last = bases[&of_block(FORMULAS[79].0, BLOCKS - 1)];
    let ours = worked(&plan, &entered, last, made[BLOCKS - 1][79]);
    let other = by_evalexpr(&lines, &rows);
    println!(
        "{} formula lines: by hand {hand:?}, engine {ours:?}, {:.1} times; evalexpr {other:?}, {:.0} times the engine",
        lines.len(),
        times(ours, hand),
        times(other, ours)
    );
}

fn main() {
    schedule();
    lines();
}
