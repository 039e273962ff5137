//! The order of working: no line may rest on itself.
//!
//! In: settled lines. Out: a fault for every loop, named link by link.
//! Never: follows a chain of lines by recursion: a sheet may have a hundred thousand of them.

use std::collections::HashSet;

use super::wrong::Wrong;
use crate::fault::{Fault, Faults};
use crate::sheet::model::{Expr, ExprPart, Line, Role, Sheet};

/// The most links of a loop that are drawn.
const MOST_SHOWN: usize = 20;

/// Tells every loop of a sheet, those not followed that go by a line whose name another has too.
pub(super) fn check(sheet: &Sheet, twice: &HashSet<usize>, faults: &mut Faults) {
    let count = sheet.lines.len();
    let mut needs: Vec<Vec<usize>> = sheet.lines.iter().map(|line| needs_of(line, count)).collect();
    if !twice.is_empty() {
        needs.iter_mut().for_each(|needs| needs.retain(|line| !twice.contains(line)));
    }
    for names in loops(&needs) {
        // The loop is told from its first line in the text, each further link where it is written.
        let first =
            names.iter().enumerate().min_by_key(|(_, n)| sheet.lines[**n].name.at).map_or(0, |(at, _)| at);
        let mut turned: Vec<usize> = names.iter().cycle().skip(first).take(names.len()).copied().collect();
        turned.push(turned[0]);
        let words = turned.iter().map(|&n| sheet.lines[n].name.value.clone()).collect();
        let mut fault = Fault::new(sheet.lines[turned[0]].name.at, Wrong::Loop { names: words });
        for pair in turned.windows(2).skip(1).take(MOST_SHOWN) {
            let next = &sheet.lines[pair[1]].name.value;
            fault = fault.with_also(sheet.lines[pair[0]].name.at, format!("needs {next}"));
        }
        faults.add(fault);
    }
}

/// Returns one loop of each knot of lines, each as the lines in the order in which they need each other.
pub fn loops(needs: &[Vec<usize>]) -> Vec<Vec<usize>> {
    #[derive(Clone, Copy, PartialEq)]
    enum Seen {
        Not,
        OnPath,
        Done,
    }
    let mut seen = vec![Seen::Not; needs.len()];
    let mut told = vec![false; needs.len()];
    let mut found = Vec::new();
    for start in 0..needs.len() {
        if seen[start] != Seen::Not {
            continue;
        }
        let mut path = vec![(start, 0)];
        seen[start] = Seen::OnPath;
        while let Some((line, next)) = path.last_mut() {
            let Some(&need) = needs[*line].get(*next) else {
                seen[*line] = Seen::Done;
                path.pop();
                continue;
            };
            *next += 1;
            match seen[need] {
                Seen::Not => {
                    seen[need] = Seen::OnPath;
                    path.push((need, 0));
                }
                Seen::OnPath => {
                    if told[need] || told[*line] {
                        continue;
                    }
                    let from = path.iter().position(|(line, _)| *line == need).unwrap_or(0);
                    // A loop that shares a line with one that is told is of the same knot: a knot has more
                    // loops than anybody could read.
                    if path[from..].iter().all(|(line, _)| !told[*line]) {
                        found.push(path[from..].iter().map(|(line, _)| *line).collect());
                        path[from..].iter().for_each(|(line, _)| told[*line] = true);
                    }
                }
                Seen::Done => {}
            }
        }
    }
    found
}

/// Returns the lines of the same sheet that a line rests on, each once.
fn needs_of(line: &Line, count: usize) -> Vec<usize> {
    let mut needs = Vec::new();
    let mut visit = |expr: &Expr| each_line(expr, &mut |n| needs.push(n));
    line.when.iter().for_each(&mut visit);
    match &line.role {
        Role::Find(branches) => {
            for branch in branches {
                branch.condition.iter().for_each(&mut visit);
                visit(&branch.expr);
            }
        }
        Role::Limit { that, .. } => visit(that),
        Role::Given { .. } | Role::Take { .. } | Role::Cell { .. } => {}
    }
    needs.retain(|n| *n < count);
    needs.sort_unstable();
    needs.dedup();
    needs
}

/// Calls `visit` with every line of the same sheet that an expression names.
fn each_line(expr: &Expr, visit: &mut dyn FnMut(usize)) {
    match &expr.part {
        ExprPart::Line(line) if line.sheet.is_none() => visit(line.line),
        _ => expr.parts().into_iter().for_each(|part| each_line(part, visit)),
    }
}

#[cfg(test)]
mod tests {
    use super::loops;

    #[test]
    fn a_line_that_needs_itself_is_a_loop_of_one() {
        assert_eq!(loops(&[vec![0]]), [[0]]);
    }

    #[test]
    fn every_loop_is_found_and_a_chain_is_none() {
        assert!(loops(&[vec![1], vec![2], vec![]]).is_empty());
        assert_eq!(loops(&[vec![1], vec![0], vec![3], vec![4], vec![2]]), [vec![0, 1], vec![2, 3, 4]]);
    }

    #[test]
    fn a_chain_of_a_hundred_thousand_lines_does_not_run_out_of_stack() {
        let needs: Vec<Vec<usize>> = (0..100_000).map(|n| vec![(n + 1) % 100_000]).collect();
        assert_eq!(loops(&needs).len(), 1);
    }
}
