//! Nothing entered is lost: the program is killed, its disk is full, its journal is cut, its files change under it.
#![cfg(unix)]
#![allow(clippy::disallowed_methods, reason = "a test writes files of its own")]

mod disk;
mod journal;
mod killed;
mod outside;
#[path = "../site/mod.rs"]
mod site;

use std::path::Path;

use wattle::notebook::{self, record::Value};

/// The load that the job gives, in mA, and the verdict that it loads at all.
fn load(job: &Path) -> f64 {
    let record = notebook::check(job, &site::options()).expect("the job loads");
    match record.sheets[0].lines.iter().find(|line| line.name == "load").expect("the load").value {
        Value::Number(load) => load,
        ref other => panic!("{other:?}"),
    }
}

/// How many changes of the load were answered.
fn answered(out: &str) -> usize {
    out.lines().filter(|line| line.starts_with("pack.load")).count()
}
