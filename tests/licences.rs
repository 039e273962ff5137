//! Every crate that is built into the program may be passed on under a permissive licence.

use std::collections::BTreeSet;
use std::process::Command;

use serde_json::Value;

const PERMISSIVE: [&str; 7] = [
    "MIT",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "Zlib",
    "Unicode-3.0",
];

/// Returns whether a licence lets the crate be passed on: of `A OR B` one must, of `A AND B` both.
fn is_permissive(licence: &str) -> bool {
    let licence = licence.replace('/', " OR ");
    let bare = licence.replace(['(', ')'], "");
    let all = |part: &str| part.split(" AND ").all(|one| PERMISSIVE.contains(&one.trim()));
    match (licence.contains(" OR "), licence.contains(" AND ")) {
        // `(A OR B) AND C` is looked at by its factors.
        (true, true) => licence.split(" AND ").all(|part| {
            part.replace(['(', ')'], "").split(" OR ").any(|one| PERMISSIVE.contains(&one.trim()))
        }),
        (true, false) => bare.split(" OR ").any(all),
        (false, _) => all(&bare),
    }
}

fn output(program: &str, arguments: &[&str]) -> String {
    let output = Command::new(program)
        .args(arguments)
        .current_dir(env!("CARGO_MANIFEST_DIR"))
        .output()
        .unwrap_or_else(|error| panic!("{program}: {error}"));
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("its output is text")
}

/// The packages that the program is built from on this machine: normal dependencies, from ours on.
fn built_in(metadata: &Value) -> BTreeSet<String> {
    let nodes = metadata["resolve"]["nodes"].as_array().expect("what depends on what");
    let root = metadata["resolve"]["root"].as_str().expect("our own package");
    let mut found = BTreeSet::new();
    let mut next = vec![root.to_owned()];
    while let Some(id) = next.pop() {
        if !found.insert(id.clone()) {
            continue;
        }
        let node = nodes.iter().find(|node| node["id"] == id.as_str()).expect("a node for each package");
        for dependency in node["deps"].as_array().into_iter().flatten() {
            let normal = |kind: &Value| kind["kind"].is_null();
            if dependency["dep_kinds"].as_array().is_some_and(|kinds| kinds.iter().any(normal)) {
                next.push(dependency["pkg"].as_str().expect("a package").to_owned());
            }
        }
    }
    found
}

#[test]
fn every_crate_in_the_program_has_a_permissive_licence() {
    let host = output("rustc", &["-vV"]);
    let host = host.lines().find_map(|line| line.strip_prefix("host: ")).expect("the host");
    let cargo = env!("CARGO");
    let metadata = output(cargo, &["metadata", "--format-version=1", "--locked", "--filter-platform", host]);
    let metadata: Value = serde_json::from_str(&metadata).expect("cargo's own JSON");
    let built_in = built_in(&metadata);
    assert!(built_in.len() > 20, "only {} packages were found", built_in.len());
    let refused: Vec<String> = metadata["packages"]
        .as_array()
        .expect("packages")
        .iter()
        .filter(|package| package["id"].as_str().is_some_and(|id| built_in.contains(id)))
        .filter(|package| !package["license"].as_str().is_some_and(is_permissive))
        .map(|package| format!("{} {}: {}", package["name"], package["version"], package["license"]))
        .collect();
    assert!(refused.is_empty(), "not permissive:\n{}", refused.join("\n"));
}

/// Crates that are there in two versions, tests and what only runs while building counted in, and why.
const TWICE: [(&str, &str); 4] = [
    ("cfg_aliases", "portable-pty, for tests only, still asks for nix 0.28"),
    ("nix", "portable-pty, for tests only, still asks for nix 0.28"),
    ("getrandom", "boon, for tests only, still asks for ahash with getrandom 0.3"),
    ("syn", "maud and a few others still build with syn 2; it runs while building only"),
];

#[test]
fn no_crate_comes_in_two_versions_without_a_reason() {
    let host = output("rustc", &["-vV"]);
    let host = host.lines().find_map(|line| line.strip_prefix("host: ")).expect("the host");
    let metadata =
        output(env!("CARGO"), &["metadata", "--format-version=1", "--locked", "--filter-platform", host]);
    let metadata: Value = serde_json::from_str(&metadata).expect("cargo's own JSON");
    let nodes = metadata["resolve"]["nodes"].as_array().expect("what depends on what");
    let used: BTreeSet<&str> = nodes.iter().filter_map(|node| node["id"].as_str()).collect();
    let packages = metadata["packages"].as_array().expect("packages").iter();
    let mut names: Vec<&str> = packages
        .filter(|package| package["id"].as_str().is_some_and(|id| used.contains(id)))
        .filter_map(|package| package["name"].as_str())
        .collect();
    names.sort_unstable();
    let twice: BTreeSet<&str> =
        names.windows(2).filter(|pair| pair[0] == pair[1]).map(|pair| pair[0]).collect();
    let known: BTreeSet<&str> = TWICE.iter().map(|(name, _)| *name).collect();
    assert_eq!(twice, known, "in two versions, and known to be");
}

#[test]
fn a_licence_that_is_not_permissive_is_refused() {
    for (licence, fits) in [
        ("MIT", true),
        ("MIT OR Apache-2.0", true),
        ("MIT/Apache-2.0", true),
        ("GPL-3.0 OR MIT", true),
        ("(MIT OR Apache-2.0) AND Unicode-3.0", true),
        ("AGPL-3.0", false),
        ("MIT AND GPL-3.0", false),
        ("(MIT OR Apache-2.0) AND MPL-2.0", false),
        ("", false),
    ] {
        assert_eq!(is_permissive(licence), fits, "{licence}");
    }
}
