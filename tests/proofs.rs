//! What is proved of a limit holds for every combination of its readings within tolerance: held against samples.

#![expect(clippy::print_stdout, reason = "how the limits came out is told")]

#[path = "site/random.rs"]
mod random;

use std::sync::Arc;

use proptest::prelude::*;
use wattle::engine::prove::{Came, Machines, Proof, Trial};
use wattle::engine::{Interval, Machine, Placed, Plan, Purpose, Sloped, Status, compile};
use wattle::fault::Page;
use wattle::notebook::Library;
use wattle::sheet::Sheet;

use random::next;

const TABLE: &str = "title = \"Sizes\"\nrevision = 1\n[source.own]\ndocument = \"Own\"\n\
[columns.size]\nunit = \"A\"\nsource = \"own\"\n[columns.load]\nunit = \"A\"\nsource = \"own\"\n\
[[row]]\nsize = 1\nload = 3\n[[row]]\nsize = 2.5\nload = 1\n[[row]]\nsize = 4\nload = 6\n[[row]]\nsize = 9\nload = 7\n";

/// A find is made of two lines above it; the limit of the last two.
type Find = (u8, usize, usize, f64);

fn sheet(finds: &[Find], limit: u8, bound: f64) -> Arc<Sheet> {
    let mut text = "title Random\ntable sizes \"sizes.toml\"\n".to_owned();
    for n in 0..4 {
        text += &format!("given g{n} ? A \"Given\"\n");
    }
    text +=
        "schedule rows \"Rows\"\n  given load ? A \"Load\"\n  find part A \"Part\"\n    = load * g0 / 1 A\n";
    for (n, (kind, left, right, number)) in finds.iter().enumerate() {
        let name = |at: usize| {
            if at % (n + 4) < 4 { format!("g{}", at % (n + 4)) } else { format!("f{}", at % (n + 4) - 4) }
        };
        let (l, r) = (name(*left), name(*right));
        let formula = match kind % 16 {
            0 => format!("= {l} + {r}"),
            1 => format!("= {l} - {r}"),
            2 => format!("= {l} * {r} / 1 A"),
            3 => format!("= {l} * 1 A / (abs({r}) + 0.5 A)"),
            4 => format!("= max({l}, {r}, {number:.3} A)"),
            5 => format!("= min({l}, {r})"),
            6 => format!("= {l} where {r} > {number:.3} A\n  = {r} otherwise"),
            7 => format!("= round_up({l}, 0.5 A) + {r}"),
            8 => format!("= next_size(sizes.size, {l}, sizes.load) + {r}"),
            9 => format!("= interpolate(sizes.size, {l}, sizes.load) - {r}"),
            10 => format!("= sum(rows.part, rows.load < {l}) + {r}"),
            11 => format!("= max(rows.load) - {l} * ({r} / 1 A)"),
            12 => format!("= sqrt(abs({l}) * {r})"),
            13 => format!("= {l} - {l} * ({l} / 1 A) + {r}"),
            14 => format!("= first(rows.load, rows.load > {l}) + {r}"),
            _ => format!("= {l} / ({r} / 1 A)"),
        };
        text += &format!("find f{n} A \"Find\"\n  {formula}\n");
    }
    let last = format!("f{}", finds.len() - 1);
    let other = finds.len().checked_sub(2).map_or("g2".to_owned(), |n| format!("f{n}"));
    let condition = match limit % 7 {
        0 => format!("{last} >= {bound} A"),
        1 => format!("{last} < {bound} A and {other} <= g1 + {bound} A"),
        2 => format!("not ({last} > {bound} A) or g0 > {other}"),
        3 => format!("{last} <= {other}"),
        4 => format!("any(rows.load > {last}) and all(rows.part < {other})"),
        5 => format!("{last} != {bound} A"),
        _ => format!("{last} > {bound} A"),
    };
    text += &format!("must holds \"Holds\"\n  that {condition}\n  by practice\n");
    let folder = std::path::PathBuf::from(env!("CARGO_TARGET_TMPDIR"));
    Library::new(vec![folder]).read_sheet(&Page::new("random.sheet", text), None).expect("the sheet loads")
}

fn base(plan: &Plan, sheet: &Sheet, name: &str) -> u32 {
    let line = sheet.lines.iter().position(|line| line.name.value == name).expect("a line");
    plan.slot_of(Purpose::Line(0, line)).expect("a line")
}

/// A sheet at work, with four givens and three rows, each read with a tolerance or known exactly.
struct Bench {
    plan: Arc<Plan>,
    point: Machine<f64>,
    spread: Machine<Interval>,
    reached: Vec<bool>,
    limit: usize,
    slots: Vec<u32>,
    readings: Vec<(f64, f64)>,
}

fn bench(sheet: &Sheet, readings: &[(f64, f64)]) -> Bench {
    let placed = Placed::new(sheet, vec![3]);
    let plan = Arc::new(compile(&[placed]).expect("no loop"));
    let loads = base(&plan, sheet, "load");
    let mut slots: Vec<u32> = (0..4).map(|n| base(&plan, sheet, &format!("g{n}"))).collect();
    slots.extend(loads..loads + 3);
    let mut point = Machine::<f64>::new(Arc::clone(&plan));
    let mut spread = Machine::<Interval>::new(Arc::clone(&plan));
    for (slot, (at, off)) in slots.iter().zip(readings) {
        point.set(*slot, Some(*at));
        spread.set(*slot, Some(Interval::between(at - off, at + off)));
    }
    point.work();
    spread.work();
    let uncertain = slots.iter().zip(readings).filter(|(_, (_, off))| *off > 0.0);
    let reached = plan.reach(uncertain.map(|(slot, _)| plan.line_of(*slot).0));
    let line = sheet.lines.iter().position(|line| line.name.value == "holds").expect("the limit");
    let limit = plan.place[&Purpose::Line(0, line)];
    Bench { plan, point, spread, reached, limit, slots, readings: readings.to_vec() }
}

impl Bench {
    /// How the limit comes out for values of all readings, worked in a machine of its own.
    fn came(&self, values: &[(u32, f64)]) -> (f64, bool) {
        let mut fresh = self.point.clone();
        for (slot, value) in values {
            fresh.set(*slot, Some(*value));
        }
        fresh.work();
        let (value, status) = fresh.at(self.plan.lines[self.limit].base);
        (value, status == Status::WORKED)
    }

    fn sampled(&self, seed: &mut u64, n: usize) -> Vec<(u32, f64)> {
        self.slots
            .iter()
            .zip(&self.readings)
            .map(|(slot, (at, off))| {
                let share = match (n % 3, next(seed)) {
                    (0, random) => {
                        if random % 2 == 0 {
                            -1.0
                        } else {
                            1.0
                        }
                    }
                    (1, random) => [-1.0, 0.0, 1.0][(random % 3) as usize],
                    (_, random) => (random % 2_000_001) as f64 / 1e6 - 1.0,
                };
                (*slot, (at + off * share).clamp(at - off, at + off))
            })
            .collect()
    }
}

#[derive(Debug, Default)]
struct Counts {
    proved: usize,
    turned: usize,
    open: usize,
    exact: usize,
}

/// Proves a limit and holds what is said of it against samples.
fn held_against_samples(bench: &mut Bench, samples: usize, counts: &mut Counts) -> Result<(), TestCaseError> {
    let read: Vec<(u32, f64)> =
        bench.slots.iter().zip(&bench.readings).map(|(s, (at, _))| (*s, *at)).collect();
    let as_read = bench.came(&read);
    if !as_read.1 {
        return Ok(());
    }
    let before = (bench.point.clone(), bench.spread.clone());
    let (proof, readings, came) = {
        let mut slopes: Option<Machine<Sloped>> = None;
        let machines = Machines {
            point: &mut bench.point,
            spread: &mut bench.spread,
            slopes: &mut slopes,
            reached: &bench.reached,
        };
        let Some(mut trial) = Trial::new(machines, bench.limit, 0) else {
            counts.exact += 1;
            return Ok(());
        };
        let proof = trial.prove();
        let readings = trial.readings().to_vec();
        let came = match &proof {
            Proof::Turned(values) => trial.try_values(values),
            Proof::Proved | Proof::NotSettled(_) => Came::NotJudged,
        };
        (proof, readings, came)
    };
    for slot in 0..bench.plan.slots {
        prop_assert_eq!(bench.point.at(slot), before.0.at(slot), "left as it was found");
        prop_assert_eq!(bench.spread.at(slot), before.1.at(slot), "left as it was found");
    }
    match proof {
        Proof::Proved => {
            counts.proved += 1;
            let mut seed = 0x2545_f491_4f6c_dd1d_u64;
            for n in 0..samples {
                let values = bench.sampled(&mut seed, n);
                prop_assert_eq!(bench.came(&values), as_read, "{:?}", values);
            }
        }
        Proof::Turned(values) => {
            counts.turned += 1;
            let slots: Vec<(u32, f64)> = readings.iter().zip(&values).map(|(r, v)| (r.slot, *v)).collect();
            for (reading, value) in readings.iter().zip(&values) {
                prop_assert!((reading.low..=reading.high).contains(value), "within tolerance");
            }
            prop_assert_ne!(bench.came(&slots), as_read, "a witness turns it: {:?}", slots);
            prop_assert_ne!(came, Came::NotJudged);
        }
        Proof::NotSettled(_) => counts.open += 1,
    }
    Ok(())
}

fn table() {
    static WRITTEN: std::sync::Once = std::sync::Once::new();
    let path = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("sizes.toml");
    #[allow(clippy::disallowed_methods, reason = "a test writes files of its own")]
    WRITTEN.call_once(|| std::fs::write(path, TABLE).expect("a table"));
}

#[test]
fn no_sample_breaks_what_is_proved_of_ten_thousand_limits() {
    table();
    let limits = std::env::var("WATTLE_LIMITS").ok().and_then(|n| n.parse().ok()).unwrap_or(10_000);
    let mut runner = proptest::test_runner::TestRunner::new(ProptestConfig {
        cases: limits,
        failure_persistence: None,
        ..ProptestConfig::default()
    });
    let counts = std::cell::RefCell::new(Counts::default());
    let reading = (-2.0..9.0_f64, prop_oneof![Just(0.0), 0.0..0.02_f64, 0.0..0.6_f64]);
    let find = (any::<u8>(), any::<usize>(), any::<usize>(), -2.0..6.0_f64);
    let strategy = (
        prop::collection::vec(find, 1..7),
        any::<u8>(),
        prop_oneof![Just(0.0), Just(2.0), -4.0..12.0_f64],
        prop::collection::vec(reading, 7),
    );
    let done = runner.run(&strategy, |(finds, limit, bound, readings)| {
        let sheet = sheet(&finds, limit, bound);
        held_against_samples(&mut bench(&sheet, &readings), 300, &mut counts.borrow_mut())
    });
    let counts = counts.into_inner();
    if let Err(error) = done {
        panic!("{error}\n{counts:?}");
    }
    assert!(counts.proved > 0 && counts.turned > 0, "{counts:?}");
    println!("{counts:?}");
    let judged = counts.proved + counts.turned + counts.open;
    assert!(counts.open * 20 < judged, "more than one in twenty is not settled: {counts:?}");
}

#[test]
fn at_the_edge_of_rounding_what_is_said_is_said_of_every_combination() {
    table();
    let mut counts = Counts::default();
    for find in [(0, 0, 1, 0.0), (1, 0, 1, 0.0), (2, 0, 1, 0.0), (3, 0, 1, 0.0), (15, 0, 1, 0.0)] {
        let readings = [(3.7, 0.1), (1.1, 0.3), (1.0, 0.0), (1.0, 0.0), (1.0, 0.0), (1.0, 0.0), (1.0, 0.0)];
        let worst = match find.0 {
            0 => 3.6 + 0.8,
            1 => 3.6 - 1.4,
            2 => 3.6 * 0.8,
            3 => 3.6 / (1.4 + 0.5),
            _ => 3.6 / 1.4,
        };
        let shares = [0.0, 1e-16, -1e-16, 4e-16, -4e-16, 4e-10, -4e-10, 9e-10, 1.1e-9, -1.1e-9, 3e-9, -3e-9];
        for (limit, share) in [0, 6, 0].into_iter().flat_map(|limit| shares.map(|share| (limit, share))) {
            let sheet = sheet(&[find], limit, worst * (1.0 + share));
            held_against_samples(&mut bench(&sheet, &readings), 2_000, &mut counts)
                .expect("no sample breaks it");
        }
    }
    assert!(counts.proved > 60 && counts.turned > 20, "{counts:?}");
}
