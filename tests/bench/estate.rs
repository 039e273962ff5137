//! The program from outside: the demo from start to answer; then 1,000 and 10,000 jobs made from it in one run, in
//! time, in processor time against as many runs of one job each, and in memory at its peak.
//!
//! `cargo bench --bench estate`, on Linux, where the system says what a program took; on a memory disk if there is one.
#![allow(
    clippy::disallowed_methods,
    clippy::print_stdout,
    reason = "a bench writes files of its own and tells"
)]

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const STARTS: u32 = 200;
const PANELS: usize = 50;

/// Returns the processor time of all programs started and ended so far, or nothing where the system does not say.
fn processor_time() -> Option<Duration> {
    let text = std::fs::read_to_string("/proc/self/stat").ok()?;
    let fields: Vec<&str> = text.rsplit(')').next()?.split_whitespace().collect();
    // User and system time of children, in hundredths of a second.
    let ticks = fields.get(13)?.parse::<u64>().ok()? + fields.get(14)?.parse::<u64>().ok()?;
    Some(Duration::from_millis(10 * ticks))
}

fn wattle(folder: &Path, arguments: &[String]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_wattle"));
    command.current_dir(folder).arg("check").args(arguments).stdout(Stdio::null()).stderr(Stdio::null());
    command
}

/// Returns the most memory that a running program has held, in KiB.
fn peak(id: u32) -> Option<u64> {
    let text = std::fs::read_to_string(format!("/proc/{id}/status")).ok()?;
    text.lines().find_map(|line| line.strip_prefix("VmHWM:"))?.trim().strip_suffix(" kB")?.parse().ok()
}

/// Runs one check of many jobs; returns how long it took and the most memory it held.
fn run(folder: &Path, jobs: &[String]) -> (Duration, u64) {
    let mut arguments = vec!["--format".to_owned(), "json".to_owned()];
    arguments.extend_from_slice(jobs);
    let start = Instant::now();
    let mut child = wattle(folder, &arguments).spawn().expect("the program starts");
    let mut most = 0;
    while child.try_wait().expect("it can be waited for").is_none() {
        most = peak(child.id()).unwrap_or(0).max(most);
        std::thread::sleep(Duration::from_millis(5));
    }
    (start.elapsed(), most)
}

/// Makes sites of jobs from the demo.
fn make(folder: &Path, count: usize) -> Vec<String> {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/saltmarsh");
    let read = |name: &str| std::fs::read_to_string(demo.join(name)).expect("a file of the demo");
    let (job, rows) = (read("fp1.toml"), read("equipment.csv"));
    (0..count)
        .map(|n| {
            let site = format!("site-{}", n / PANELS);
            std::fs::create_dir_all(folder.join(&site)).expect("a folder");
            std::fs::write(folder.join(&site).join("equipment.csv"), &rows).expect("the rows");
            let name = format!("{site}/fp-{}.toml", n % PANELS);
            std::fs::write(folder.join(&name), &job).expect("a job");
            name
        })
        .collect()
}

fn main() {
    let memory = PathBuf::from("/dev/shm");
    let root = if memory.is_dir() { memory } else { std::env::temp_dir() };
    let folder = root.join(format!("wattle-estate-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder for the bench");
    let jobs = make(&folder, 10_000);
    let Some(before) = processor_time() else {
        println!("the system does not say what a program took");
        return;
    };
    for _ in 0..STARTS {
        wattle(&folder, &jobs[..1]).status().expect("the program runs");
    }
    let after = processor_time().unwrap_or_default();
    let alone = (after - before) / STARTS;
    println!("start to answer: {alone:?} of processor time, user and system");
    for count in [1_000, jobs.len()] {
        let before = processor_time().unwrap_or_default();
        let (time, most) = run(&folder, &jobs[..count]);
        let used = processor_time().unwrap_or_default() - before;
        let each = used / u32::try_from(count).unwrap_or(1);
        println!(
            "{count} jobs: {time:?}, {used:?} on {:.1} cores, {each:?} a job, {:.1} times less than alone; {} MiB at most",
            used.as_secs_f64() / time.as_secs_f64(),
            alone.as_secs_f64() / each.as_secs_f64(),
            most / 1024
        );
    }
    let _ = std::fs::remove_dir_all(&folder);
}
