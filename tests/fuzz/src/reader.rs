//! The readers, each under its name.

use std::path::{Path, PathBuf};
use std::sync::{Arc, LazyLock};

use wattle::fault::{Fault, Page, Refused, Span};
use wattle::job::journal::{Act, Journal};
use wattle::job::{Csv, Job};
use wattle::notebook::library::Found;
use wattle::notebook::proof::sheet_proof;
use wattle::notebook::{self, Day, Library, Notebook, Options};
use wattle::repl::{Session, offers};
use wattle::sheet::Basis;
use wattle::table::Table;
use wattle::unit::{Quantity, Reading, Tolerance, Unit, date, show};
use wattle::view::{Look, audit, faults, json, text};

type Reader = fn(&[u8]);

const READERS: [(&str, Reader); 9] = [
    ("sheet", sheet),
    ("basis", basis),
    ("formula", formula),
    ("quantity", quantity),
    ("job", job),
    ("table", table),
    ("csv", csv),
    ("journal", journal),
    ("lines", lines),
];

/// Returns the reader that the environment names.
pub fn chosen() -> Reader {
    static CHOSEN: LazyLock<Reader> = LazyLock::new(|| {
        let name = std::env::var("WATTLE_FUZZ").unwrap_or_default();
        let known: Vec<_> = READERS.iter().map(|(name, _)| *name).collect();
        let found = READERS.iter().find(|(known, _)| *known == name);
        found.unwrap_or_else(|| panic!("WATTLE_FUZZ is one of {}", known.join(", "))).1
    });
    *CHOSEN
}

const NARROW: Look = Look { width: 45, colour: false };

/// Shows what was refused, as a person would see it; nothing that steers a terminal may be in it.
fn tell(refused: &[Refused]) {
    let shown = faults::faults(refused, NARROW);
    let steers = |c: char| c.is_control() && c != '\n';
    assert!(!shown.contains(steers), "a control character is shown: {shown:?}");
    for Refused { page, faults } in refused {
        assert!(!faults.is_empty(), "refused without a fault");
        for Fault { at, .. } in faults {
            let Span { start, end } = *at;
            assert!(start <= end && end <= page.text.len(), "{at:?} of {} bytes", page.text.len());
        }
    }
}

fn told<T>(page: &Arc<Page>, read: Result<T, Vec<Fault>>) -> Option<T> {
    read.map_err(|faults| tell(&[Refused { page: Arc::clone(page), faults }])).ok()
}

fn one<T>(page: &Arc<Page>, read: Result<T, Fault>) -> Option<T> {
    told(page, read.map_err(|fault| vec![fault]))
}

fn found<T>(found: Found<T>) -> Option<T> {
    found.map_err(|refused| tell(&refused)).ok()
}

/// Returns a page of a text; bytes that are no text are refused before any reader sees them.
fn page(name: &str, bytes: &[u8]) -> Option<Arc<Page>> {
    Some(Page::new(name, std::str::from_utf8(bytes).ok()?))
}

fn uk() -> Arc<Basis> {
    let library = Library::new(Vec::new());
    library.basis("uk").ok().flatten().expect("the built-in basis loads")
}

fn options() -> Options {
    Options { libraries: Vec::new(), day: Day::Fixed(1_795_564_800.0) }
}

fn sheet(bytes: &[u8]) {
    let Some(page) = page("a.sheet", bytes) else { return };
    let library = Library::new(Vec::new());
    if found(library.read_sheet(&page, None)).is_some() {
        let proof = sheet_proof(&library, "a", &page);
        tell(&proof.refused);
    }
    found(library.read_sheet(&page, Some(&uk())));
}

fn basis(bytes: &[u8]) {
    let Some(page) = page("a.basis", bytes) else { return };
    found(Library::new(Vec::new()).read_basis("a", &page, &mut Vec::new()));
}

/// A formula, worked as a line of a sheet with one line of each kind, in an example that asks for its value.
fn formula(bytes: &[u8]) {
    let Ok(formula) = std::str::from_utf8(bytes) else { return };
    let lines = "title A\ngiven a 2 mA \"A\"\n  tolerance 1 %\ngiven b 3 V \"B\"\ngiven c yes flag \"C\"\n\
                 given d ? date \"D\"\ngiven e \"x\" \"E\"\n  one of \"x\", \"y\"\ngiven t 20 degC \"T\"\n\
                 schedule s \"S\"\n  given n ? text \"N\"\n  given v ? A \"V\"\n";
    let example = "example \"One\"\n  by hand\n  given a = 1 mA\n  given d = 2026-11-25\n  \
                   row s n = \"one\", v = 1 A\n  row s n = \"two\", v = 2 A\n";
    let library = Library::new(Vec::new());
    for (unit, value) in [
        ("", "1"),
        ("A ", "1 A"),
        ("ohm ", "1 ohm"),
        ("flag ", "yes"),
        ("text ", "\"x\""),
        ("date ", "2026-11-25"),
    ] {
        let sheet = format!("{lines}find z {unit}\"Z\"\n  = {formula}\n{example}  expect z = {value}\n");
        let page = Page::new("a.sheet", sheet);
        if found(library.read_sheet(&page, None)).is_some() {
            tell(&sheet_proof(&library, "a", &page).refused);
            return;
        }
    }
}

/// Quantities, units, dates and tolerances; what is shown in full is read again as the same number.
fn quantity(bytes: &[u8]) {
    let Some(page) = page("typed", bytes) else { return };
    let text = page.text.as_str();
    one(&page, Reading::read(text));
    one(&page, Tolerance::check(text));
    one(&page, Tolerance::read(text, &Unit::plain())).map(|read| read.show(&Unit::plain()));
    if let Some(unit) = one(&page, Unit::read(text)) {
        let again = Unit::read(unit.symbol()).expect("a unit is read as it is shown");
        assert_eq!((again.dimension(), again.factor()), (unit.dimension(), unit.factor()));
    }
    if let Some(si) = one(&page, date::read(text)) {
        assert_eq!(date::read(&date::show(si)), Ok(si));
        let _ = date::in_words(si);
    }
    if let Some(quantity) = one(&page, Quantity::read(text)) {
        let si = quantity.si();
        let shown = show::exact(si, &quantity.unit);
        let again = Quantity::read(&shown).unwrap_or_else(|fault| panic!("'{shown}': {fault:?}"));
        let close = (again.si() - si).abs() <= 1e-9 * si.abs();
        assert!(close, "{text:?} is {si:e}, shown as {shown}, which is {:e}", again.si());
        let _ = show::short(si, &quantity.unit);
    }
}

fn table(bytes: &[u8]) {
    let Some(page) = page("a.toml", bytes) else { return };
    if let Some(table) = told(&page, Table::read(&page)) {
        for row in 0..table.rows {
            let _ = table.row_name(row);
        }
    }
}

fn csv(bytes: &[u8]) {
    let Some(page) = page("a.csv", bytes) else { return };
    told(&page, Csv::read(&page));
    told(&page, Csv::read_ignoring(&page, &["price"]));
}

/// Returns a folder of this process, and goes there: whatever a text names is looked for in it.
fn folder() -> &'static Path {
    static FOLDER: LazyLock<PathBuf> = LazyLock::new(|| {
        let path = std::env::temp_dir().join(format!("wattle-fuzz-{}", std::process::id()));
        std::fs::create_dir_all(&path).expect("a folder");
        std::fs::write(path.join("pack.sheet"), include_str!("pack.sheet")).expect("a sheet");
        std::fs::write(path.join("rows.csv"), "name,draws mA\nLamp,3\nHorn,40\n").expect("rows");
        path
    });
    &FOLDER
}

fn job(bytes: &[u8]) {
    let Some(page) = page("a.toml", bytes) else { return };
    told(&page, Job::read(&page));
    let path = folder().join("a.toml");
    std::fs::write(&path, bytes).expect("the job");
    if let Some(record) = found(notebook::check(&path, &options())) {
        let _ = text::check(&record, NARROW);
        let _ = json::record(&record);
    }
}

const JOB: &str = include_str!("hall.toml");

/// A journal beside a job: it is opened, and what it says is told; a change after that is kept.
fn journal(bytes: &[u8]) {
    let (job, journal) = (folder().join("hall.toml"), folder().join("hall.journal"));
    std::fs::write(&job, JOB).expect("the job");
    std::fs::write(&journal, bytes).expect("the journal");
    if let Some(looked) =
        found(notebook::audit::audit(&job, &options(), &notebook::audit::Earlier::default()))
    {
        let _ = audit::audit(&looked, audit::Part::Whole, NARROW);
    }
    let opened = Journal::open(&job, &Act::default()).expect("the journal opens whatever stands in it");
    let mut kept = opened.journal;
    let text = format!("{}# one more\n", kept.text());
    kept.keep(&Act { line: "x".to_owned(), ..Act::default() }, &text).expect("a change is kept");
    let _ = kept.texts();
    drop(kept);
    let again = Journal::open(&job, &Act::default()).expect("it opens again");
    assert_eq!(again.journal.text(), text, "what was answered is there");
}

/// Lines typed at the prompt of a job, each answered or refused; the job can be opened again after them.
fn lines(bytes: &[u8]) {
    let Ok(text) = std::str::from_utf8(bytes) else { return };
    let job = folder().join("hall.toml");
    std::fs::write(&job, JOB).expect("the job");
    let _ = std::fs::remove_file(folder().join("hall.journal"));
    let mut notebook = Notebook::open(&job, &options(), None).unwrap_or_else(|_| panic!("the job opens"));
    let mut session = Session::default();
    // A report is written where the line says: not here.
    for line in text.lines().take(12).filter(|line| !line.trim_start().starts_with("report")) {
        let _ = offers::complete(&notebook, line, line.len());
        match session.answer(&mut notebook, line, NARROW) {
            Ok(Some(_)) => {}
            Ok(None) => break,
            Err(refused) => tell(&refused),
        }
    }
    let left = std::fs::read_to_string(&job).expect("the job");
    drop(notebook);
    assert!(Notebook::open(&job, &options(), None).is_ok(), "a job that was left does not open:\n{left}");
}
