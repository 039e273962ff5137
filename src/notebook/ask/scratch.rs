//! A formula typed to be worked at once: `185 mA * 24 h in Ah`.
//!
//! In: a formula over numbers and lines of the job. Out: its value in words.
//! Never: keeps it.

use crate::fault::{Fault, Faults, Kind, Page, Refused, Span, Spanned};
use crate::job::{Entry, Raw, Use};
use crate::notebook::Wrong;
use crate::notebook::book::names::{LinePlace, Named, named, near_name};
use crate::notebook::book::words;
use crate::notebook::book::{Book, Used};
use crate::notebook::library::Found;
use crate::notebook::load;
use crate::notebook::open::Notebook;
use crate::sheet::check::{self, Found as Known, Scope, Wrong as CheckWrong};
use crate::sheet::formula::Formula;
use crate::sheet::model::{Expr, Is, LineRef, Role, Rows};
use crate::sheet::scan::Scan;
use crate::sheet::token::{Leaf, Path, Piece};
use crate::unit::{Quantity, Unit};

/// No sheet of a person has a name with a blank in it.
const TYPED: &str = "as typed";

impl Notebook {
    /// Works a formula, from a byte of the line on; `in UNIT` behind it says what it is shown in.
    ///
    /// # Errors
    /// What is wrong with it, at its characters.
    pub fn scratch(&self, line: &str, from: usize) -> Found<String> {
        let mut scan = Scan::new(line, Span::new(from, line.len()));
        let (formula, unit) = read(&mut scan).map_err(self.refuse_near(line))?;
        let mut faults = Faults::default();
        formula.each_place(&mut |path, at| {
            // That several lines have a name, or a row is not there, is said as of any name typed.
            let found = named(&self.book, self.first, &Spanned::new(path.clone(), at)).err();
            let told =
                |fault: &Fault| !matches!(fault.kind, Kind::Book(Wrong::NoWord { .. } | Wrong::DayOfJob));
            faults.extend(found.filter(told));
        });
        if let Err(faults) = std::mem::take(&mut faults).or(()) {
            return Err(Refused::typed(line, faults));
        }
        let expr = check::settle(&formula, &TypedScope { notebook: self }, &mut faults);
        let asked = unit.is_some();
        let unit = match unit {
            Some((unit, at)) if !Is::of(&unit).agrees(expr.is) => {
                faults.add(Fault::new(at, CheckWrong::ShownIn { unit: unit.clone(), found: expr.is }));
                unit
            }
            Some((unit, _)) => unit,
            None => self.usual_unit(&expr),
        };
        if let Err(faults) = faults.or(()) {
            return Err(Refused::typed(line, faults));
        }
        self.work(&formula, expr.is, &unit, asked || own_unit(&self.book, &expr).is_some())
    }

    /// Returns the kind of what a formula gives, if it can be worked.
    pub(in crate::notebook) fn kind_of(&self, formula: &str) -> Option<Is> {
        let mut scan = Scan::new(formula, Span::new(0, formula.len()));
        let formula = Formula::read(&mut scan).ok().filter(|_| scan.is_done())?;
        let mut faults = Faults::default();
        let expr = check::settle(&formula, &TypedScope { notebook: self }, &mut faults);
        faults.is_empty().then_some(expr.is)
    }

    /// The unit of the first part of the formula that is of its kind, else the usual one.
    fn usual_unit(&self, expr: &Expr) -> Unit {
        own_unit(&self.book, expr).unwrap_or_else(|| match expr.is {
            Is::Quantity(dimension) => Unit::usual(dimension),
            Is::Point | Is::Flag | Is::Date | Is::Text | Is::Unknown => Unit::plain(),
        })
    }

    /// Works the formula as the one line of a sheet beside the job's own: linked to them where it names one of their
    /// lines, else worked there.
    fn work(&self, formula: &Formula, is: Is, unit: &Unit, settled: bool) -> Found<String> {
        let formula = match self.with_rows(formula) {
            Ok(formula) => formula,
            Err(reason) => return Ok(reason),
        };
        let kind = match is {
            Is::Flag => "flag",
            Is::Date => "date",
            Is::Text => "text",
            Is::Quantity(_) | Is::Point | Is::Unknown => unit.symbol(),
        };
        let mut given = Vec::new();
        let line = if formula.names_something() {
            let full = |path: &Path| self.full_path(path).map(Leaf::Name);
            let link = Raw::Text(format!("= {}", formula.put_in(&full)));
            let entry = Entry::bare(Spanned::new(link, Span::default()));
            given.push((Spanned::new("typed".to_owned(), Span::default()), entry));
            format!("given typed ? {kind} \"As typed\"\n")
        } else {
            format!("find typed {kind} \"As typed\"\n  = {formula}\n")
        };
        let page = Page::new("typed", format!("title Typed\n{line}"));
        let library = self.library();
        let sheet = library.read_sheet(&page, Some(&self.book.basis))?;
        library.remember(TYPED, &self.book.basis, sheet);
        let name = Spanned::new(TYPED.to_owned(), Span::default());
        let (take, schedules) = (Vec::new(), Vec::new());
        let mut job = self.book.job.clone();
        job.sheets.push(Use { sheet: name.clone(), name, given, take, schedules, at: Span::default() });
        let book = load::load_job(job, Vec::new(), &library, self.day())?;
        let (value, status) = book.point.at(book.slot(book.uses.len() - 1, 0, 0));
        // What was typed has no name that a person knows.
        let own = format!("{TYPED}.typed: ");
        let reason = words::reason(&book, status)
            .map(|reason| reason.strip_prefix(&own).map(str::to_owned).unwrap_or(reason));
        let fitting = (!settled && unit.symbol() == "s").then(|| unit_of_time(value)).flatten();
        Ok(reason.unwrap_or_else(|| words::shown(&book, is, fitting.as_ref().unwrap_or(unit), value)))
    }

    /// Puts the values of single rows in, which no link can name.
    ///
    /// # Errors
    /// Why one of them has no value.
    fn with_rows(&self, formula: &Formula) -> Result<Formula, String> {
        let mut reason = None;
        formula.each_name(&mut |path| {
            if let Some(place) = self.cell(path) {
                let (_, status) =
                    self.book.point.at(self.book.slot(place.s, place.n, place.row.unwrap_or(0)));
                reason = reason.take().or_else(|| words::reason(&self.book, status));
            }
        });
        let value = |path: &Path| {
            let place = self.cell(path)?;
            let line = &self.book.uses[place.s].sheet.lines[place.n];
            let (value, _) = self.book.point.at(self.book.slot(place.s, place.n, place.row?));
            Some(match line.is {
                Is::Flag => Leaf::Flag(value != 0.0),
                Is::Date => Leaf::Date(value),
                Is::Text => Leaf::Text(vec![Piece::Plain(self.book.point.text(value).to_owned())]),
                Is::Quantity(_) | Is::Point | Is::Unknown => {
                    Leaf::Quantity(Quantity::from_si(value, &line.unit))
                }
            })
        };
        match reason {
            Some(reason) => Err(reason),
            None => Ok(formula.put_in(&value)),
        }
    }

    /// Returns the line and row that a name stands for, if it is the value of one row.
    fn cell(&self, path: &Path) -> Option<LinePlace> {
        match named(&self.book, self.first, &Spanned::new(path.clone(), Span::default())) {
            Ok(Named::Line(place)) if place.row.is_some() => Some(place),
            Ok(_) | Err(_) => None,
        }
    }

    /// Returns a name in full, as links write it.
    fn full_path(&self, path: &Path) -> Option<Path> {
        let at = Spanned::new(path.clone(), Span::default());
        let (s, rest) = match named(&self.book, self.first, &at).ok()? {
            Named::Line(place) => {
                let line = &self.book.uses[place.s].sheet.lines[place.n];
                let schedule =
                    line.schedule.map(|n| self.book.uses[place.s].sheet.schedules[n].name.value.clone());
                (place.s, schedule.into_iter().chain([line.name.value.clone()]).collect::<Vec<_>>())
            }
            Named::Schedule(s, n) => (s, vec![self.book.uses[s].sheet.schedules[n].name.value.clone()]),
            Named::Sheet(_) | Named::Row(..) | Named::Chart(..) => return None,
        };
        Some(Path(std::iter::once(self.book.uses[s].name.clone()).chain(rest).collect()))
    }
}

/// The unit of the first part of a formula that is of its kind.
fn own_unit(book: &Book, expr: &Expr) -> Option<Unit> {
    words::unit_of(book, 0, expr).filter(|unit| Is::of(unit).agrees(expr.is))
}

/// Returns the largest unit of time that a value is at least two of.
fn unit_of_time(seconds: f64) -> Option<Unit> {
    let mut units = ["year", "d", "h", "min"].into_iter().filter_map(|symbol| Unit::read(symbol).ok());
    units.find(|unit| unit.from_si(seconds.abs()) >= 2.0)
}

fn read(scan: &mut Scan<'_>) -> Result<(Formula, Option<(Unit, Span)>), Fault> {
    let formula = Formula::read(scan)?;
    let mut unit = None;
    if scan.skip_word("in").is_some() {
        scan.skip_blank();
        let at = scan.next_piece();
        unit = Some((scan.expect_unit()?, Span::new(at.start, scan.at())));
    }
    scan.expect_end().map(|()| (formula, unit))
}

/// The names that may be typed in a formula: lines alone or in full, columns in functions of rows.
struct TypedScope<'a> {
    notebook: &'a Notebook,
}

impl Scope for TypedScope<'_> {
    fn find(&self, path: &Path) -> Result<Known, CheckWrong> {
        if path.0 == ["on"] {
            return Ok(Known::Today);
        }
        let book = &self.notebook.book;
        let at = Spanned::new(path.clone(), Span::default());
        let unknown = || {
            let table = |used: &Used| used.sheet.tables.iter().any(|table| table.name.value == path.0[0]);
            if book.uses.iter().any(table) {
                return CheckWrong::TableAtPrompt { table: path.0[0].clone() };
            }
            CheckWrong::UnknownName {
                found: path.to_string(),
                near: near_name(book, &path.to_string()),
                unit: Unit::read(&path.to_string()).is_ok(),
            }
        };
        match named(book, self.notebook.first, &at).map_err(|_| unknown())? {
            Named::Sheet(_) | Named::Row(..) | Named::Chart(..) => Err(unknown()),
            Named::Schedule(s, n) => Ok(Known::Rows(Rows::Schedule(Some(s), n))),
            Named::Line(place) => {
                let line = &book.uses[place.s].sheet.lines[place.n];
                let to = LineRef { sheet: Some(place.s), line: place.n };
                match (&line.role, line.schedule) {
                    (Role::Limit { .. }, _) => Ok(Known::Limit),
                    (_, None) => Ok(Known::Line(to, line.is)),
                    (_, Some(n)) if place.row.is_none() => {
                        Ok(Known::Column { rows: Rows::Schedule(Some(place.s), n), line: to, is: line.is })
                    }
                    (_, Some(_)) => Ok(Known::Line(to, line.is)),
                }
            }
        }
    }

    fn inside(&self) -> Option<Rows> {
        None
    }

    fn rows_name(&self, rows: Rows) -> String {
        match rows {
            Rows::Schedule(Some(s), n) => self.notebook.book.uses[s].sheet.schedules[n].name.value.clone(),
            Rows::Schedule(None, _) | Rows::Table(_) => String::new(),
        }
    }

    fn choices(&self, _: LineRef) -> Option<Vec<String>> {
        None
    }

    fn does_not_rise(&self, _: usize, _: usize) -> Option<bool> {
        None
    }
}
