//! A change works only what it reaches, and gives what working everything anew would give.

use std::sync::Arc;

use proptest::prelude::*;
use wattle::engine::{Machine, Placed, Plan, Purpose, Work, compile};
use wattle::fault::Page;
use wattle::notebook::Library;
use wattle::sheet::Sheet;

/// A sheet of four givens and a schedule, and finds each made of what stands above it.
fn sheet(finds: &[(u8, usize, usize, u8)]) -> Arc<Sheet> {
    let mut text = "title Random\n".to_owned();
    for n in 0..4 {
        text += &format!("given g{n} ? A \"Given\"\n  within -9 A .. 9 A\n");
    }
    text += "schedule rows \"Rows\"\n  given load ? A \"Load\"\n    within -9 A .. 9 A\n";
    text += "  find part A \"Part\"\n    = load + g0\n  find total A \"Total\"\n    = running(part * 2) - onward(load)\n";
    for (n, (kind, left, right, when)) in finds.iter().enumerate() {
        let name = |at: usize| {
            if at % (n + 4) < 4 { format!("g{}", at % (n + 4)) } else { format!("f{}", at % (n + 4) - 4) }
        };
        let (l, r) = (name(*left), name(*right));
        let formula = match kind % 8 {
            0 => format!("= {l} + {r}"),
            1 => format!("= {l} - 2 * {r}"),
            2 => format!("= max({l}, {r})"),
            3 => format!("= {l} where {r} > 1 A\n  = {r} otherwise"),
            4 => format!("= {l} / ({r} / 1 A)"),
            5 => format!("= sum(rows.part) + {l}"),
            6 => format!("= first(rows.load, rows.load > {l}) + {r}"),
            _ => format!("= min(rows.total, rows.load < {l}) - {r}"),
        };
        let when = if when % 5 == 0 { format!("  when {l} < {r}\n") } else { String::new() };
        text += &format!("find f{n} A \"Find\"\n  {formula}\n{when}");
    }
    Library::new(Vec::new()).read_sheet(&Page::new("random.sheet", text), None).expect("the sheet loads")
}

/// Slots by number: the givens outside, then the rows' loads.
fn slots(plan: &Plan, sheet: &Sheet) -> Vec<u32> {
    let base = |name: &str| {
        let line = sheet.lines.iter().position(|line| line.name.value == name).expect("a line");
        plan.slot_of(Purpose::Line(0, line)).expect("a line")
    };
    let outside = (0..4).map(|n| base(&format!("g{n}")));
    outside.chain(base("load")..base("load") + 3).collect()
}

/// A value to the last bit; of zero the sign is left out, which nothing that can be worked out depends on.
fn bits(value: f64) -> u64 {
    (value + 0.0).to_bits()
}

fn all(machine: &Machine<f64>) -> Vec<(u64, wattle::engine::Status)> {
    (0..machine.plan().slots)
        .map(|slot| machine.at(slot))
        .map(|(value, status)| (bits(value), status))
        .collect()
}

/// What a line came to is what its instructions give, one after another, for each row.
fn is_as_instructed(machine: &mut Machine<f64>) -> Result<(), TestCaseError> {
    let plan = Arc::clone(machine.plan());
    for (n, line) in plan.lines.iter().enumerate() {
        let Work::Coded { result, .. } = line.work else { continue };
        for row in 0..line.rows {
            let results = machine.results(n, row as usize);
            let (value, status) = machine.operand(result, row as usize, &results);
            let (kept, kept_status) = machine.at(line.base + row);
            prop_assert_eq!(kept_status.is_worked(), status.is_worked(), "line {} row {}", n, row);
            if status.is_worked() {
                prop_assert_eq!(bits(kept), bits(value), "line {} row {}", n, row);
            }
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn rows_worked_together_come_to_what_each_comes_to_alone(
        columns in prop::collection::vec((0..9_u8, any::<usize>(), any::<usize>()), 1..12),
        rows in 1..700_usize,
        open in prop::collection::vec((0..2_usize, 0..700_usize), 0..4),
        from in -3..4_i32,
    ) {
        let mut text = "title Rows\nschedule rows \"Rows\"\n  given a ? \"One\"\n  given b ? \"Other\"\n".to_owned();
        for (n, (kind, left, right)) in columns.iter().enumerate() {
            let name = |at: usize| match at % (n + 2) { 0 => "a".to_owned(), 1 => "b".to_owned(), at => format!("c{}", at - 2) };
            let (l, r) = (name(*left), name(*right));
            let formula = match kind {
                0 => format!("= {l} + {r}"),
                1 => format!("= 0.5 - {l}"),
                2 => format!("= {l} * {r}"),
                3 => format!("= {l} / ({r} - 2)"),
                4 => format!("= max(min({l}, 3), -{r})"),
                5 => format!("= {l} where {r} > 1 and not {l} < 0\n    = {r} / 2 otherwise"),
                6 => format!("= sqrt({l}) + abs({r})"),
                7 => format!("= {l} ^ 2 - {r} * {l}"),
                _ => format!("= {l}\n    when {r} >= 0 or {l} == 1"),
            };
            text += &format!("  find c{n} \"Column\"\n    {formula}\n");
        }
        let sheet = Library::new(Vec::new()).read_sheet(&Page::new("rows.sheet", text), None).expect("the sheet loads");
        let placed = Placed::new(&sheet, vec![rows]);
        let mut machine = Machine::<f64>::new(Arc::new(compile(&[placed]).expect("no loop")));
        for (column, line) in [0, 1].into_iter().enumerate() {
            let base = machine.entry_slot(0, line).expect("a given");
            for row in 0..rows {
                let value = f64::from(from) + (row * (column + 3) % 64) as f64 / 8.0;
                machine.set(base + row as u32, Some(value).filter(|_| !open.contains(&(column, row))));
            }
        }
        machine.work();
        is_as_instructed(&mut machine)?;
    }
}

proptest! {
    #[test]
    fn a_partial_working_equals_a_full_one(
        finds in prop::collection::vec((any::<u8>(), any::<usize>(), any::<usize>(), any::<u8>()), 1..20),
        changes in prop::collection::vec((0..7_usize, prop::option::of(-4..5_i32)), 1..20),
    ) {
        let sheet = sheet(&finds);
        let placed = Placed::new(&sheet, vec![3]);
        let plan = Arc::new(compile(&[placed]).expect("no loop"));
        let slots = slots(&plan, &sheet);
        let mut machine = Machine::<f64>::new(Arc::clone(&plan));
        machine.work();
        let mut values = [None; 7];
        for (n, value) in changes {
            values[n] = value.map(f64::from);
            machine.set(slots[n], values[n]);
            machine.work();
            let mut fresh = Machine::<f64>::new(Arc::clone(&plan));
            for (slot, value) in slots.iter().zip(values) {
                fresh.set(*slot, value);
            }
            fresh.work();
            prop_assert_eq!(all(&machine), all(&fresh));
            is_as_instructed(&mut machine)?;
        }
    }
}

#[test]
fn a_change_works_what_it_reaches_and_stops_where_nothing_changed() {
    let text = "title Reach\ngiven a ? A \"One\"\n  within 0 A .. 9 A\ngiven b ? A \"Other\"\n  within 0 A .. 9 A\n\
                find most A \"Larger\"\n  = max(a, b)\nfind twice A \"Twice\"\n  = 2 * most\nfind apart A \"Apart\"\n  = 3 * b\n";
    let sheet =
        Library::new(Vec::new()).read_sheet(&Page::new("reach.sheet", text), None).expect("the sheet loads");
    let placed = Placed::new(&sheet, Vec::new());
    let plan = Arc::new(compile(&[placed]).expect("no loop"));
    let mut machine = Machine::<f64>::new(Arc::clone(&plan));
    let slot = |machine: &Machine<f64>, line| machine.entry_slot(0, line).expect("a given");
    let (a, b) = (slot(&machine, 0), slot(&machine, 1));
    machine.set(a, Some(1.0));
    machine.set(b, Some(5.0));
    machine.work();
    let mut worked = |slot, value| {
        machine.set(slot, Some(value));
        let names: Vec<&str> = machine
            .work()
            .into_iter()
            .filter_map(|line| match plan.lines[line].purpose {
                Purpose::Line(_, n) => Some(sheet.lines[n].name.value.as_str()),
                _ => None,
            })
            .collect();
        names.join(" ")
    };
    assert_eq!(worked(a, 2.0), "a", "the larger stays 5 A, so nothing after it is worked");
    assert_eq!(worked(a, 6.0), "a most twice");
    assert_eq!(worked(a, 6.0), "", "the same value again works nothing");
}
