//! Many jobs checked on all cores, each told as soon as it is ready, in their order.
//!
//! In: the paths of jobs. Out: for each what is made of its record, one after another.
//! Never: gathers them: a core that is ahead waits; one job's faults stop no other.

use std::path::{Path, PathBuf};
use std::sync::mpsc::sync_channel;

use crate::notebook::{Found, Options, Record, check};

/// How many results a core may be ahead of what is told.
const AHEAD: usize = 16;

/// Checks jobs; `told` makes of each what `put` is handed, on the core that checked it.
pub fn each<T: Send>(
    jobs: &[PathBuf],
    options: &Options,
    told: impl Fn(&Path, Found<Record>) -> T + Sync,
    mut put: impl FnMut(T),
) {
    let cores = std::thread::available_parallelism().map_or(1, usize::from).min(jobs.len());
    if cores <= 1 {
        return jobs.iter().for_each(|job| put(told(job, check(job, options))));
    }
    std::thread::scope(|scope| {
        let told = &told;
        // Of four cores each takes every fourth job, so that their results in turn are those of the jobs in order.
        let ready: Vec<_> = (0..cores)
            .map(|core| {
                let (send, ready) = sync_channel(AHEAD);
                scope.spawn(move || {
                    for job in jobs.iter().skip(core).step_by(cores) {
                        if send.send(told(job, check(job, options))).is_err() {
                            return;
                        }
                    }
                });
                ready
            })
            .collect();
        ready.iter().cycle().take(jobs.len()).filter_map(|ready| ready.recv().ok()).for_each(&mut put);
    });
}
