//! One change that reaches 51 lines, in jobs of 1,000, 10,000 and 100,000 lines, against working all of it: ratios
//! within one run, in this order: the engine alone; the notebook with reading, judging and telling; what a line at
//! the prompt costs before that, looking whether the files around were changed.
//!
//! `cargo bench --bench change`; the job lies on a memory disk where there is one, to leave the disk out.
#![allow(
    clippy::disallowed_methods,
    clippy::print_stdout,
    reason = "a bench writes files of its own and tells"
)]

mod clock;

use std::path::PathBuf;
use std::sync::Arc;
use std::time::Duration;

use wattle::engine::{Machine, Placed, Purpose, compile};
use wattle::fault::Page;
use wattle::notebook::{self, Day, Library, Notebook, Options};

use clock::shortest;

/// How many chains there are in each job.
const SIZES: [usize; 3] = [20, 200, 2_000];
const LENGTH: usize = 50;

/// Chains of lines, each on a given of its own, and a limit at the end of each.
fn sheet(chains: usize) -> String {
    let mut text = "title Chains\n".to_owned();
    for chain in 0..chains {
        text += &format!("given g{chain} ? A \"Given\"\n  within 0 A .. 900 A\n");
        for link in 0..LENGTH {
            let before = if link == 0 { format!("g{chain}") } else { format!("c{chain}_{}", link - 1) };
            text += &format!("find c{chain}_{link} A \"Link\"\n  = 1.01 * {before} + 1 mA\n");
        }
        text += &format!("must m{chain} \"Limit\"\n  that c{chain}_{} < 1000 A\n  by practice\n", LENGTH - 1);
    }
    text
}

fn ratio(chains: usize, name: &str, whole: Duration, one: Duration) {
    println!(
        "{} lines, {name}: all {whole:?}, one change {one:?}, {:.0} times",
        chains * LENGTH,
        whole.as_secs_f64() / one.as_secs_f64()
    );
}

fn engine(chains: usize) {
    let page = Page::new("chains.sheet", sheet(chains));
    let sheet = Library::new(Vec::new()).read_sheet(&page, None).expect("the sheet loads");
    let placed = Placed::new(&sheet, Vec::new());
    let plan = Arc::new(compile(&[placed]).expect("no loop"));
    let slots: Vec<u32> = (0..chains)
        .map(|chain| sheet.known_line(&format!("g{chain}")).expect("a given"))
        .map(|line| plan.slot_of(Purpose::Line(0, line)).expect("a line"))
        .collect();
    let filled = || {
        let mut machine = Machine::<f64>::new(Arc::clone(&plan));
        slots.iter().for_each(|slot| machine.set(*slot, Some(1.0)));
        machine
    };
    let whole = shortest(15, || {
        filled().work();
    });
    let mut machine = filled();
    machine.work();
    let mut value = 1.0;
    let one = shortest(101, || {
        value += 1.0;
        machine.set(slots[7], Some(value));
        machine.work();
    });
    ratio(chains, "engine", whole, one);
}

fn notebook(chains: usize) {
    let memory = PathBuf::from("/dev/shm");
    let root = if memory.is_dir() { memory } else { std::env::temp_dir() };
    let folder = root.join(format!("wattle-bench-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder for the bench");
    let mut job =
        "title = \"Chains\"\nbasis = \"uk\"\non = 2026-11-25\n[[sheet]]\nuse = \"chains\"\n".to_owned();
    for chain in 0..chains {
        job += &format!("given.g{chain} = {{ value = \"1 A\", how = \"nameplate\" }}\n");
    }
    let path = folder.join("chains.toml");
    std::fs::write(folder.join("chains.sheet"), sheet(chains)).expect("the sheet");
    std::fs::write(&path, job).expect("the job");
    let options = Options { libraries: Vec::new(), day: Day::Fixed(1_795_564_800.0) };
    let whole = shortest(5, || {
        notebook::check(&path, &options).expect("the job loads");
    });
    let mut notebook = Notebook::open(&path, &options, None).expect("the job opens");
    let mut value = 1;
    let one = shortest(31, || {
        value = value % 800 + 1;
        notebook.set(&format!("g7 = {value} nameplate"), 0).expect("it is set");
    });
    ratio(chains, "notebook", whole, one);
    let around = shortest(31, || {
        assert!(!notebook.look_around().expect("the job is read"), "nothing changed");
    });
    ratio(chains, "looking around", whole, around);
    let _ = std::fs::remove_dir_all(&folder);
}

fn main() {
    SIZES.into_iter().for_each(engine);
    SIZES.into_iter().for_each(notebook);
}
