//! The lines of a plan put in the order in which they are worked.
//!
//! In: lines in any order. Out: the plan, each line after all that it needs, and who uses whom.
//! Never: changes a slot.

use super::plan::{Code, Instruction, Operand, Part, Plan, Purpose, Work, place};
use super::tape::Tape;
use crate::sheet::check::loops;

/// Orders the lines.
///
/// # Errors
/// The lines of a loop, each as its sheet's place and its own.
pub(super) fn in_order(mut plan: Plan) -> Result<Plan, Vec<(usize, usize)>> {
    let needs: Vec<Vec<usize>> = (0..plan.lines.len()).map(|line| needs_of(&plan, line)).collect();
    let Some(order) = order(&needs) else { return Err(first_loop(&plan, &needs)) };
    let mut rank = vec![0; order.len()];
    for (at, line) in order.iter().enumerate() {
        rank[*line] = at;
    }
    let mut lines: Vec<_> = plan.lines.drain(..).map(Some).collect();
    plan.lines = order.iter().filter_map(|line| lines[*line].take()).collect();
    for line in plan.place.values_mut() {
        *line = rank[*line];
    }
    for (_, line) in &mut plan.by_slot {
        *line = place(rank[*line as usize]);
    }
    let mut users: Vec<Vec<u32>> = vec![Vec::new(); order.len()];
    for (line, needs) in needs.iter().enumerate() {
        for need in needs {
            users[rank[*need]].push(place(rank[line]));
        }
    }
    plan.needs_at = vec![0];
    for line in &order {
        plan.needs.extend(needs[*line].iter().map(|need| place(rank[*need])));
        plan.needs_at.push(place(plan.needs.len()));
    }
    plan.users_at = vec![0];
    for mut users in users {
        users.sort_unstable();
        plan.users.extend(users);
        plan.users_at.push(place(plan.users.len()));
    }
    plan.tape = Tape::new(&plan);
    Ok(plan)
}

/// Returns the lines, each after those it needs, else as they stand: what is written together is worked together.
/// Nothing where they form a loop.
fn order(needs: &[Vec<usize>]) -> Option<Vec<usize>> {
    let mut order = Vec::with_capacity(needs.len());
    let mut met = vec![false; needs.len()];
    let mut done = vec![false; needs.len()];
    let mut path: Vec<(usize, usize)> = Vec::new();
    for start in 0..needs.len() {
        if !std::mem::replace(&mut met[start], true) {
            path.push((start, 0));
        }
        while let Some((line, next)) = path.last_mut() {
            let Some(&need) = needs[*line].get(*next) else {
                done[*line] = true;
                order.push(*line);
                path.pop();
                continue;
            };
            *next += 1;
            if !std::mem::replace(&mut met[need], true) {
                path.push((need, 0));
            } else if !done[need] {
                return None;
            }
        }
    }
    Some(order)
}

fn first_loop(plan: &Plan, needs: &[Vec<usize>]) -> Vec<(usize, usize)> {
    let found = loops(needs).into_iter().next().unwrap_or_default();
    let line = |line: usize| match plan.lines[line].purpose {
        Purpose::Line(sheet, line) | Purpose::Entry(sheet, line) => Some((sheet, line)),
        Purpose::TableColumn(..)
        | Purpose::RowsOf(..)
        | Purpose::TableRows(..)
        | Purpose::ChartLine(..)
        | Purpose::Part
        | Purpose::Today => None,
    };
    found.into_iter().filter_map(line).collect()
}

/// Returns the lines that a line needs, each once.
fn needs_of(plan: &Plan, line: usize) -> Vec<usize> {
    let mut needs = Vec::new();
    each_slot(plan, line, &mut |slot| needs.push(plan.line_of(slot).0));
    needs.sort_unstable();
    needs.dedup();
    needs
}

/// Calls `visit` with a slot of every line that a line needs.
fn each_slot(plan: &Plan, line: usize, visit: &mut dyn FnMut(u32)) {
    match &plan.lines[line].work {
        Work::Entered => {}
        Work::Coded { first, count, result } => {
            of_operand(*result, visit);
            for instruction in &plan.code[*first as usize..(*first + *count) as usize] {
                of_instruction(plan, instruction, visit);
            }
        }
        Work::Folded(fold) => [fold.of, fold.only, Some(fold.counted)].into_iter().flatten().for_each(visit),
        Work::Scanned { of, .. } => visit(*of),
        Work::Gathered(operands) => operands.iter().for_each(|operand| of_operand(*operand, visit)),
    }
}

fn of_instruction(plan: &Plan, instruction: &Instruction, visit: &mut dyn FnMut(u32)) {
    instruction.operands.iter().for_each(|operand| of_operand(*operand, visit));
    match instruction.code {
        Code::InTable(n) => {
            let search = &plan.searches[n as usize];
            visit(search.column);
            for (key, value) in &search.keys {
                visit(*key);
                of_operand(*value, visit);
            }
        }
        Code::Compose(n) => {
            for part in &plan.texts[n as usize] {
                if let Part::Value(operand, _) = part {
                    of_operand(*operand, visit);
                }
            }
        }
        Code::Negate
        | Code::Not
        | Code::And
        | Code::Or
        | Code::Arithmetic(_)
        | Code::Compare(..)
        | Code::Apply(_)
        | Code::Choose
        | Code::Gate
        | Code::Within
        | Code::OneOf(_) => {}
    }
}

fn of_operand(operand: Operand, visit: &mut dyn FnMut(u32)) {
    if let Operand::Slot(slot) | Operand::Column(slot) = operand {
        visit(slot);
    }
}
