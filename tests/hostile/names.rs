//! Letters that look like others, turn the direction of text, or steer a terminal.

use super::run;
use super::site::{hall, put};

#[test]
fn a_letter_that_only_looks_right_is_named_in_the_fault() {
    let folder = hall("alike");
    for (sheet, words) in [
        ("find l\u{43e}ad \"B\"\n  = 1\n", "'\u{43e}' (U+043E) only looks like 'o'"),
        ("find b \"B\"\n  = l\u{43e}ad + 1\n", "'\u{43e}' (U+043E) only looks like 'o'"),
        ("find \u{430} \"B\"\n  = 1\n", "'\u{430}' (U+0430) only looks like 'a'"),
        ("given a ? m\u{410} \"A\"\n", "'\u{410}' (U+0410) only looks like 'A'"),
        ("find b A \"B\"\n  = 3 m\u{391}\n", "'\u{391}' (U+0391) only looks like 'A'"),
    ] {
        put(&folder, "a.sheet", &format!("title A\n{sheet}"));
        run(&folder, &["proof", "a.sheet"], b"").refused(words);
    }
    put(&folder, "hall.toml", &super::site::JOB.replace("given.load", "given.\"l\u{43e}ad\""));
    run(&folder, &["check", "hall.toml"], b"").refused("only looks like 'o'");
}

/// A blank that does not break, as pages have it between a number and its unit, and other kinds of blank.
#[test]
fn a_blank_of_another_kind_is_read_or_refused_and_never_waited_for() {
    let folder = hall("blanks");
    for blank in ["\u{a0}", "\u{b}", "\u{c}", "\u{2007}", "\u{202f}", "\u{3000}", "\u{85}", "\u{2028}"] {
        let typed =
            format!("load = 5{blank}mA measured\nload ={blank}\nload{blank}=6 mA\n{blank}\nwhy{blank}load\n");
        let ended = run(&folder, &["hall.toml", "--carry-on"], typed.as_bytes());
        assert!(ended.code.is_some(), "{blank:?}");
    }
    let ended = run(&folder, &["hall.toml"], "load = 7\u{a0}mA measured\n".as_bytes());
    assert!(ended.out.contains("\u{2192} 7 mA"), "{}", ended.all());
}

/// Characters that steer, hide or turn, in every place that a person may write.
#[test]
fn nothing_that_steers_a_terminal_reaches_it() {
    let folder = hall("steers");
    let bad = "\u{202e}x\u{9b}31m\u{200b}y\u{2066}z\u{7f}";
    put(&folder, "pack.sheet", &super::site::SHEET.replace("\"Load\"", &format!("\"Lo{bad}ad\"")));
    put(&folder, "\u{1b}[31m.sheet", super::site::SHEET);
    std::fs::create_dir_all(folder.join("\u{1b}[31m")).expect("a folder");
    let job = super::site::JOB.replace("Hall", "Ha\\u001b]0;owned\\u0007\\u202ell");
    put(&folder, "hall.toml", &job);
    let typed = "load = 5 mA measured \"remark \u{202e}\u{9b}\"\nload\nlog\nlimits\nhint = \"a\u{1b}[31mb\"\n\
                 hint\nq\u{202e}\u{9b}x\nwhy load\nreport \u{1b}x.html\nagree load \"\u{9b}\"\nlog\n";
    for arguments in [
        &["check", "hall.toml"][..],
        &["check", "hall.toml", "--format", "markdown"],
        &["check", "hall.toml", "--format", "csv"],
        &["audit", "hall.toml"],
        &["hall.toml", "--carry-on"],
        &["audit", "hall.toml"],
        &["compare", "hall.toml", "hall.toml"],
        &["proof", "pack.sheet"],
        &["check", "no\u{1b}[31m\u{202e}.toml"],
        &["sheets", "pack"],
        &["sheets", "\u{1b}[31m"],
        &["sheets"],
        &["report", "hall.toml", "-o", "\u{1b}[31m.odd"],
        &["report", "hall.toml", "-o", "\u{1b}[31m.csv", "--format", "html"],
        &["report", "hall.toml", "-o", "\u{1b}[31m.csv"],
        &["report", "hall.toml", "-o", "no\u{1b}[31m/x.csv"],
        &["check", "hall.toml", "--library", "no\u{1b}[31m"],
        &["check", "hall.toml", "--on", "\u{1b}[31m"],
        &["\u{202e}.toml", "check", "hall.toml"],
        &["new", "\u{1b}[31m.toml", "pack", "--basis", "uk"],
        &["new", "\u{1b}[31m.toml", "pack", "--basis", "uk"],
        &["new", "no\u{1b}[31m/x.toml", "pack", "--basis", "uk"],
        &["new", "new.toml", "\u{1b}[31m", "--basis", "uk"],
        &["new", "new.toml", "pack", "--basis", "\u{1b}[31m"],
        &["extras", "\u{1b}[31m"],
        &["extras", "no\u{1b}[31m"],
    ] {
        let all = run(&folder, arguments, typed.as_bytes()).all();
        let steers =
            |c: char| c.is_control() && !"\n\r".contains(c) || "\u{202e}\u{2066}\u{200b}".contains(c);
        let at = all.find(steers).map(|at| all[..at].lines().last().unwrap_or_default().to_owned());
        assert_eq!(at, None, "{arguments:?} lets something through behind that");
        assert!(!all.is_empty());
    }
}
