//! What a proof costs: of one limit by how many readings are behind it, and of all limits of the whole demo job;
//! each as a ratio to one plain working of the same plan, within one run.
//!
//! `cargo bench --bench proof`
#![allow(clippy::print_stdout, reason = "a bench tells")]

mod clock;

use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use wattle::engine::prove::{Machines, Proof, Trial};
use wattle::engine::{Interval, Machine, Placed, Purpose, Sloped, compile};
use wattle::fault::Page;
use wattle::notebook::{Day, Library, Notebook, Options};

use clock::shortest;

const ROUNDS: usize = 15;

/// A limit on the share that a sum of readings has of itself and what is fitted: the plain enclosure takes the sum for
/// two sums that have nothing to do with each other, and is too wide. What bends is highest in the middle.
fn sheet(readings: usize, bends: bool) -> String {
    let mut text = "title Readings\ngiven fitted ? A \"Fitted\"\n".to_owned();
    let mut terms = Vec::new();
    for n in 0..readings {
        text += &format!("given r{n} ? A \"Reading\"\n");
        terms.push(if bends { format!("r{n} * (2 A - r{n}) / 1 A") } else { format!("r{n}") });
    }
    text += &format!("find all_of_them A \"Sum\"\n  = {}\n", terms.join(" + "));
    text += "find share \"Share\"\n  = all_of_them / (all_of_them + fitted)\n";
    text + "must enough \"Enough\"\n  that share <= 0.5\n  by practice\n"
}

struct Bench {
    point: Machine<f64>,
    spread: Machine<Interval>,
    reached: Vec<bool>,
    limit: usize,
    inputs: Vec<(u32, f64)>,
}

/// Readings of about 1 A with 5 %; `fitted` leaves what is asked of it, and a little or nothing more.
fn bench(readings: usize, bends: bool, margin: f64) -> Bench {
    let page = Page::new("readings.sheet", sheet(readings, bends));
    let sheet = Library::new(Vec::new()).read_sheet(&page, None).expect("the sheet loads");
    let placed = Placed::new(&sheet, Vec::new());
    let plan = Arc::new(compile(&[placed]).expect("no loop"));
    let (mut point, mut spread) =
        (Machine::<f64>::new(Arc::clone(&plan)), Machine::<Interval>::new(Arc::clone(&plan)));
    let line = |name: &str| plan.place[&Purpose::Line(0, sheet.known_line(name).expect("a line"))];
    let worst = if bends { readings as f64 } else { readings as f64 * 1.05 };
    let mut inputs = vec![(plan.lines[line("fitted")].base, worst * margin)];
    inputs.extend((0..readings).map(|n| (plan.lines[line(&format!("r{n}"))].base, 1.0)));
    for (n, (slot, value)) in inputs.iter().enumerate() {
        let off = if n == 0 { 0.0 } else { 0.05 };
        point.set(*slot, Some(*value));
        spread.set(*slot, Some(Interval::between(value - off, value + off)));
    }
    point.work();
    spread.work();
    let reached = plan.reach(inputs[1..].iter().map(|(slot, _)| plan.line_of(*slot).0));
    Bench { point, spread, reached, limit: line("enough"), inputs }
}

fn told(bench: &mut Bench) -> (Duration, &'static str) {
    let mut slopes: Option<Machine<Sloped>> = None;
    let mut word = "";
    let time = shortest(ROUNDS, || {
        let (point, spread) = (&mut bench.point, &mut bench.spread);
        let machines = Machines { point, spread, slopes: &mut slopes, reached: &bench.reached };
        let mut trial = Trial::new(machines, bench.limit, 0).expect("readings are behind it");
        word = match trial.prove() {
            Proof::Proved => "proved",
            Proof::Turned(_) => "turned",
            Proof::NotSettled(_) => "not settled",
        };
    });
    (time, word)
}

fn by_readings() {
    println!("readings  plain working  monotone, proved  monotone, turned  bent, proved");
    for readings in [1, 2, 4, 8, 16, 32] {
        let mut plain = bench(readings, false, 1.001);
        let mut value = 1.0;
        let working = shortest(ROUNDS, || {
            value += 1e-9;
            plain.inputs[1..].iter().for_each(|(slot, _)| plain.point.set(*slot, Some(value)));
            plain.point.work();
        });
        let ratio = |(time, word): (Duration, &str)| {
            format!("{:.0} times ({word})", time.as_secs_f64() / working.as_secs_f64())
        };
        let proved = ratio(told(&mut bench(readings, false, 1.001)));
        let turned = ratio(told(&mut bench(readings, false, 0.999)));
        let bent = ratio(told(&mut bench(readings, true, 1.01)));
        println!("{readings:>8}  {working:>13?}  {proved}  {turned}  {bent}");
    }
}

fn whole_demo() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/saltmarsh/leave.toml");
    let options = Options { libraries: Vec::new(), day: Day::Fixed(1_795_564_800.0) };
    let mut notebook = Notebook::look(&path, &options).expect("the demo loads");
    let working = shortest(ROUNDS, || notebook.work_anew());
    let judging = shortest(ROUNDS, || notebook.judge_anew());
    let (limits, tried) = notebook.proofs();
    println!(
        "{}: one plain working {working:?}; {limits} limits with readings behind them, {tried} left open by the plain \
         enclosure; proofs {judging:?}, {:.0} times",
        path.file_name().unwrap_or_default().to_string_lossy(),
        judging.as_secs_f64() / working.as_secs_f64()
    );
}

fn main() {
    by_readings();
    whole_demo();
}
