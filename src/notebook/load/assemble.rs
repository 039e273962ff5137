//! A job put together: compiled, its values set, worked.
//!
//! In: checked sheets, and what was entered for each. Out: a [`Book`].
//! Never: reads a text; what cannot be read never comes here.

use std::collections::HashMap;
use std::sync::Arc;

use crate::engine::{Interval, Link, Machine, Number, Placed, Plan, Purpose, literal};
use crate::job::Job;
use crate::notebook::book::{Book, Known, Used};
use crate::notebook::library::Around;
use crate::notebook::library::shelf::SHELF;
use crate::notebook::load::fetch::Fetched;
use crate::notebook::record::{Origin, plain_name};
use crate::sheet::statement::Literal;
use crate::unit::{Tolerance, date};

/// A value to be set in a slot, with its spread.
pub(in crate::notebook) struct Setting {
    pub(in crate::notebook) line: usize,
    pub(in crate::notebook) row: usize,
    pub(in crate::notebook) value: Literal,
    pub(in crate::notebook) tolerance: Option<Tolerance>,
}

/// What was entered for one sheet.
#[derive(Default)]
pub(in crate::notebook) struct Entered {
    pub(in crate::notebook) settings: Vec<Setting>,
    pub(in crate::notebook) links: Vec<Link>,
    pub(in crate::notebook) known: HashMap<(usize, usize), Known>,
    pub(in crate::notebook) without: HashMap<usize, String>,
    pub(in crate::notebook) waiting: Vec<usize>,
}

/// The day that a job is judged on, as the command line says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Day {
    /// `--on DATE`
    Fixed(f64),
    /// None: what depends on the day waits for it.
    Open,
    /// The job's day, and today where the clock is later.
    Clock(f64),
}

/// Compiles and works a job whose entries are all read.
pub(in crate::notebook) fn assemble(
    job: Job,
    Fetched { basis, sheets }: &Fetched,
    mut names: Vec<Vec<Vec<String>>>,
    mut read: Vec<Entered>,
    day: Day,
) -> Result<Book, Vec<String>> {
    let placed: Vec<Placed<'_>> = sheets
        .iter()
        .enumerate()
        .map(|(s, (_, sheet))| Placed {
            sheet,
            rows: names[s].iter().map(Vec::len).collect(),
            links: std::mem::take(&mut read[s].links),
            without: in_order(read[s].without.keys().copied().collect()),
            waiting: read[s].waiting.clone(),
        })
        .collect();
    let plan = SHELF.plans.of(sheets, placed).map_err(|around| {
        let name = |&(s, n): &(usize, usize)| {
            let (sheet, line) = (&sheets[s].1, &sheets[s].1.lines[n]);
            let schedule = line.schedule.map(|schedule| sheet.schedules[schedule].name.value.as_str());
            plain_name(&sheets[s].0, schedule, &line.name.value)
        };
        let mut names: Vec<String> = around.iter().map(name).collect();
        names.extend(names.first().cloned());
        names
    })?;
    let (on, today) = days(day, job.on.as_ref().map(|on| on.value));
    let Machines { point, confirmed, spread, spread_reach } = machines(&plan, &read, on);
    let uses = sheets
        .iter()
        .zip(&job.sheets)
        .zip(read)
        .enumerate()
        .map(|(s, (((name, sheet), used), entered))| Used {
            name: name.clone(),
            sheet_name: used.sheet.value.clone(),
            sheet: Arc::clone(sheet),
            row_names: std::mem::take(&mut names[s]),
            known: entered.known,
            without: entered.without,
            waiting: entered.waiting,
        })
        .collect();
    Ok(Book {
        job,
        basis: Arc::clone(basis),
        uses,
        grids: Vec::new(),
        point,
        confirmed,
        spread,
        slopes: None,
        spread_reach,
        on,
        today,
        remarks: Vec::new(),
        around: Around::default(),
    })
}

fn in_order(mut lines: Vec<usize>) -> Vec<usize> {
    lines.sort_unstable();
    lines
}

/// Returns the day that a job is judged on, and the later one where it is judged on that too.
fn days(day: Day, own: Option<f64>) -> (Option<f64>, Option<f64>) {
    match day {
        Day::Fixed(on) => (Some(date::day(on)), None),
        Day::Open => (own, None),
        Day::Clock(now) => {
            let today = date::day(now);
            let on = own.unwrap_or(today);
            (Some(on), (today > on).then_some(today))
        }
    }
}

/// The figures, the same with unconfirmed defaults open, the spreads where any value has a tolerance, and
/// which lines those reach.
struct Machines {
    point: Machine<f64>,
    confirmed: Option<Machine<f64>>,
    spread: Option<Machine<Interval>>,
    spread_reach: Vec<bool>,
}

/// Sets everything that was entered, and works it.
fn machines(plan: &Arc<Plan>, read: &[Entered], on: Option<f64>) -> Machines {
    let mut point = Machine::<f64>::new(Arc::clone(plan));
    let mut spread = Machine::<Interval>::new(Arc::clone(plan));
    if let Some(on) = on {
        set_day(&mut point, on);
        set_day(&mut spread, on);
    }
    let (mut toleranced, mut defaults) = (Vec::new(), Vec::new());
    for (s, entered) in read.iter().enumerate() {
        for setting in &entered.settings {
            let Some(base) = point.entry_slot(s, setting.line) else { continue };
            let slot = base + u32::try_from(setting.row).unwrap_or(u32::MAX);
            let known = entered.known.get(&(setting.line, setting.row));
            if known.is_some_and(|known| known.origin == Origin::Default) {
                defaults.push(slot);
            }
            let value = Texts(&mut point, &mut spread).value(&setting.value);
            let (low, high) = setting.tolerance.map_or((value, value), |tolerance| tolerance.spread(value));
            if low < high {
                toleranced.push(plan.line_of(slot).0);
            }
            point.set(slot, Some(value));
            spread.set(slot, Some(Interval::between(low, high)));
        }
    }
    point.work();
    let confirmed = (!defaults.is_empty()).then(|| {
        let mut confirmed = point.clone();
        defaults.iter().for_each(|slot| confirmed.set(*slot, None));
        confirmed.work();
        confirmed
    });
    let spread_reach = plan.reach(toleranced.iter().copied());
    let spread = (!toleranced.is_empty()).then(|| {
        spread.work();
        spread
    });
    Machines { point, confirmed, spread, spread_reach }
}

/// Sets the job's day.
pub(in crate::notebook) fn set_day<N: Number>(machine: &mut Machine<N>, on: f64) {
    if let Some(line) = machine.plan().place.get(&Purpose::Today).copied() {
        let slot = machine.plan().lines[line].base;
        machine.set(slot, Some(N::exactly(on)));
    }
}

/// Both machines must know a text by the same number.
struct Texts<'m>(&'m mut Machine<f64>, &'m mut Machine<Interval>);

impl Texts<'_> {
    fn value(&mut self, value: &Literal) -> f64 {
        if let Literal::Text(text) = value {
            let number = self.0.text_number(text);
            self.1.text_number(text);
            return number;
        }
        literal(value, &mut crate::engine::Texts::default())
    }
}
