//! The prompt on a real terminal, 80 and 45 columns wide: what is typed is edited, and the screen is read.
#![cfg(unix)]

mod site;

use std::io::{Read, Write};
use std::num::NonZero;
use std::path::Path;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, native_pty_system};

const ROWS: u16 = 60;

/// The program on a terminal of its own.
struct Terminal {
    columns: u16,
    child: Box<dyn Child + Send + Sync>,
    keys: Box<dyn Write + Send>,
    screen: Arc<Mutex<vt100::Parser>>,
    _master: Box<dyn MasterPty + Send>,
}

impl Terminal {
    fn open(folder: &Path, job: &str, columns: u16) -> Self {
        let size = PtySize { rows: ROWS, cols: columns, pixel_width: 0, pixel_height: 0 };
        let pair = native_pty_system().openpty(size).expect("a terminal");
        let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_wattle"));
        command.arg(job);
        command.args(["--on", "2026-11-25"]);
        command.cwd(folder);
        command.env("TERM", "xterm");
        command.env_remove("COLUMNS");
        command.env("WATTLE_CLOCK", "2026-11-25T10:40:00");
        let child = pair.slave.spawn_command(command).expect("the program starts");
        let mut output = pair.master.try_clone_reader().expect("its output");
        let keys = pair.master.take_writer().expect("its keys");
        let side = |n: u16| NonZero::new(n).expect("a side");
        let screen = Arc::new(Mutex::new(vt100::Parser::new(side(ROWS), side(columns), 500)));
        let seen = Arc::clone(&screen);
        std::thread::spawn(move || {
            let mut bytes = [0; 4096];
            while let Ok(n) = output.read(&mut bytes) {
                if n == 0 {
                    break;
                }
                seen.lock().expect("the screen").process(&bytes[..n]);
            }
        });
        Self { columns, child, keys, screen, _master: pair.master }
    }

    fn keys(&mut self, keys: &str) {
        self.keys.write_all(keys.as_bytes()).expect("it takes keys");
        self.keys.flush().expect("it takes keys");
    }

    fn rows(&self) -> Vec<String> {
        let screen = self.screen.lock().expect("the screen");
        screen.screen().rows(0, self.columns).map(|row| row.trim_end().to_owned()).collect()
    }

    /// Waits until a row of the screen begins with a text; gives up after ten seconds.
    fn sees(&self, text: &str) -> Vec<String> {
        let until = Instant::now() + Duration::from_secs(10);
        loop {
            let rows = self.rows();
            if rows.iter().any(|row| row.starts_with(text)) {
                return rows;
            }
            assert!(Instant::now() < until, "no row begins with '{text}':\n{}", rows.join("\n"));
            std::thread::sleep(Duration::from_millis(20));
        }
    }

    /// Waits until the last row that is not empty says how many lines are left, and not as many as before.
    fn pauses(&self, before: &str) -> String {
        let until = Instant::now() + Duration::from_secs(10);
        loop {
            let rows = self.rows();
            let last = rows.iter().rev().find(|row| !row.is_empty()).cloned().unwrap_or_default();
            if last.starts_with("-- ") && last != before {
                return last;
            }
            assert!(Instant::now() < until, "no pause:\n{}", rows.join("\n"));
            std::thread::sleep(Duration::from_millis(20));
        }
    }

    /// Waits until the last row that is not empty is this one.
    fn stands(&self, text: &str) {
        let until = Instant::now() + Duration::from_secs(10);
        while self.rows().iter().rev().find(|row| !row.is_empty()).is_none_or(|row| row != text) {
            assert!(Instant::now() < until, "not '{text}' at the end:\n{}", self.rows().join("\n"));
            std::thread::sleep(Duration::from_millis(20));
        }
    }

    /// Waits until the prompt stands on a row of its own again.
    fn ready(&self) {
        self.stands(">");
    }

    /// Clears the screen.
    fn clear(&mut self) {
        self.keys("\u{c}");
        let until = Instant::now() + Duration::from_secs(10);
        while self.rows().first().is_none_or(|row| row != ">") {
            assert!(Instant::now() < until, "not cleared:\n{}", self.rows().join("\n"));
            std::thread::sleep(Duration::from_millis(20));
        }
    }

    /// Types a line and asks what may follow; gives the line up, and returns what was listed.
    fn listed(&mut self, line: &str) -> Vec<String> {
        self.clear();
        self.keys(&format!("{line}\t\t"));
        let typed = format!("> {line}");
        let until = Instant::now() + Duration::from_secs(10);
        let found = loop {
            let rows = self.rows();
            let at: Vec<usize> =
                (0..rows.len()).filter(|row| rows[*row].starts_with(typed.trim_end())).collect();
            // The line stands above the list, and once more below it.
            if let [.., above, below] = at.as_slice()
                && below > &(above + 1)
            {
                break rows[above + 1..*below].to_vec();
            }
            assert!(Instant::now() < until, "no list behind '{line}':\n{}", rows.join("\n"));
            std::thread::sleep(Duration::from_millis(20));
        };
        self.keys("\u{3}");
        self.ready();
        let words = found.iter().flat_map(|row| row.split("  ")).map(|word| word.trim().to_owned());
        let mut words: Vec<String> = words.filter(|word| !word.is_empty()).collect();
        words.sort();
        words
    }

    /// Types a line and asks what may follow: there is one way on, or none.
    fn becomes(&mut self, line: &str, whole: &str) {
        self.clear();
        self.keys(&format!("{line}\t\t"));
        self.sees(whole);
        std::thread::sleep(Duration::from_millis(100));
        let rows = self.rows();
        let last = rows.iter().rev().find(|row| !row.is_empty()).cloned().unwrap_or_default();
        assert!(last.starts_with(whole), "'{last}' is not '{whole}'");
        self.keys("\u{3}");
        self.ready();
    }

    fn ends(mut self) -> u32 {
        let until = Instant::now() + Duration::from_secs(10);
        loop {
            if let Some(status) = self.child.try_wait().expect("it is waited for") {
                return status.exit_code();
            }
            assert!(Instant::now() < until, "it does not end:\n{}", self.rows().join("\n"));
            std::thread::sleep(Duration::from_millis(20));
        }
    }
}

#[test]
fn at_80_columns_a_line_is_completed_hinted_set_and_given_up() {
    let folder = site::demo("80");
    let mut terminal = Terminal::open(&folder, "fp1.toml", 80);
    terminal.ready();
    terminal.keys("battery.fit\t");
    terminal.sees("> battery.fitted");
    terminal.keys(" = ");
    terminal.stands("> battery.fitted =   in Ah, 1 Ah .. 300 Ah: Capacity of one battery block, at\u{2026}");
    terminal.keys("12");
    terminal.stands("> battery.fitted = 12 Ah  1 Ah .. 300 Ah: Capacity of one battery block, at it\u{2026}");
    terminal.keys(" Ah");
    terminal.stands("> battery.fitted = 12 Ah  in Ah, 1 Ah .. 300 Ah: Capacity of one battery block\u{2026}");
    terminal.keys(" namep\t\r");
    terminal.sees("battery.fitted  7 Ah \u{2192} 12 Ah  nameplate");
    terminal.ready();
    // Ctrl-C gives the line up; what was typed in it is not answered.
    terminal.keys("battery.fitted = 99");
    terminal.sees("> battery.fitted = 99 Ah");
    terminal.keys("\u{3}");
    terminal.ready();
    terminal.keys("battery.fitted\r");
    let rows = terminal.sees("  Capacity of one battery block");
    assert!(rows.iter().any(|row| row.starts_with("battery.fitted  12 Ah")), "{rows:#?}");
    terminal.ready();
    // The arrow brings the last line back.
    terminal.keys("undo\r");
    terminal.sees("battery.fitted  12 Ah \u{2192} 7 Ah");
    terminal.ready();
    terminal.keys("\u{1b}[A");
    terminal.stands("> undo");
    terminal.keys("\u{3}");
    terminal.ready();
    // Ctrl-D asks nothing and loses nothing.
    terminal.keys("\u{4}");
    assert_eq!(terminal.ends(), 0);
    let text = std::fs::read_to_string(folder.join("fp1.toml")).expect("the job");
    assert!(text.contains("given.fitted = { value = \"7 Ah\", how = \"nameplate\" }"), "{text}");
}

#[test]
fn at_45_columns_lines_typed_ahead_are_all_answered_and_nothing_runs_over() {
    let folder = site::demo("45");
    let mut terminal = Terminal::open(&folder, "fp1.toml", 45);
    terminal.ready();
    terminal.keys("battery.strings = 2 nameplate\rbattery.required\rbattery.fitted = 12 Ahr\r");
    let rows = terminal.sees("1 fault; nothing was changed");
    let begins = |text: &str| rows.iter().any(|row| row.starts_with(text));
    assert!(begins("battery.strings  1 \u{2192} 2  nameplate"), "{rows:#?}");
    assert!(begins("battery.required  6"), "{rows:#?}");
    assert!(begins("fault: no unit 'Ahr'"), "{rows:#?}");
    assert!(rows.iter().any(|row| row.ends_with("^^^ not a unit")), "{rows:#?}");
    terminal.ready();
    terminal.keys("\u{4}");
    assert_eq!(terminal.ends(), 0);
}

#[test]
fn what_is_offered_fits_the_place_and_the_hint_leaves_its_list_alone() {
    let folder = site::demo("offers");
    for columns in [80, 45] {
        let mut terminal = Terminal::open(&folder, "fp1.toml", columns);
        terminal.ready();
        assert_eq!(terminal.listed("add "), ["alarm.equipment", "sounders.devices", "standby.equipment"]);
        assert_eq!(
            terminal.listed("add sounders.devices "),
            ["device =", "length =", "load =", "lowest =", "stated_at ="]
        );
        assert_eq!(terminal.listed("add sounders.devices device = \"X\", lo"), ["load =", "lowest ="]);
        let rows = terminal.listed("drop sounders.");
        assert_eq!(rows, [1, 2, 3, 4, 5, 6].map(|row| format!("sounders.devices.{row}")));
        assert_eq!(terminal.listed("try "), ["alarm.", "battery.", "feed.", "sounders.", "standby."]);
        let columns_of_row = terminal.listed("standby.equipment.3.");
        assert!(columns_of_row.contains(&"standby.equipment.3.quiescent".to_owned()), "{columns_of_row:?}");
        terminal.becomes("standby.equipment.3.qui", "> standby.equipment.3.quiescent");
        assert_eq!(terminal.listed("185 mA * 24 h in "), ["Ah", "C", "kAh", "mAh"]);
        let units = terminal.listed("185 m");
        assert!(units.contains(&"mA".to_owned()), "{units:?}");
        // What may still follow, and not what has been said, or what would be refused.
        let behind = terminal.listed("battery.fitted = 12 Ah ");
        assert_eq!(behind, ["anyway \"", "assumed", "datasheet", "drawing", "measured", "nameplate", "with"]);
        terminal.becomes("battery.fitted = 12 Ah nameplate ", "> battery.fitted = 12 Ah nameplate anyway \"");
        terminal.becomes("hold = 72 h b", "> hold = 72 h by \"");
        terminal.becomes("undo", "> undo");
        // The list of choices stands in rows of its own.
        let sizes = terminal.listed("feed.size = ");
        assert!(sizes.contains(&"1.5 mm2".to_owned()) && sizes.contains(&"4 mm2".to_owned()), "{sizes:?}");
        assert_eq!(terminal.listed("feed.surrounded = "), ["no", "yes"]);
        terminal.keys("feed.air = 3");
        terminal.sees(if columns == 80 { "> feed.air = 3 degC  " } else { "> feed.air = 3 degC" });
        terminal.keys("\u{3}");
        terminal.ready();
        terminal.keys("\u{4}");
        assert_eq!(terminal.ends(), 0);
    }
}

#[test]
fn fill_offers_what_the_line_that_is_asked_takes() {
    let folder = site::demo("fill-offers");
    let mut terminal = Terminal::open(&folder, "fp1-arrival.toml", 80);
    terminal.ready();
    let defaults = ["battery.strings", "feed.air", "feed.circuits", "feed.clears_in"];
    assert_eq!(terminal.listed("confirm "), defaults);
    terminal.becomes("confirm battery.strings nam", "> confirm battery.strings nameplate");
    terminal.becomes("log ", "> log");
    terminal.keys("fill\r");
    terminal.sees("standby.measured:");
    // The prompt names what is asked: no answer goes to another line.
    terminal.stands("measured>");
    terminal.keys("178 mA measured with cl\t");
    terminal.sees("measured> 178 mA measured with clamp");
    // Ctrl-C stops the questions, and says so.
    terminal.keys("\u{3}");
    terminal.sees("fill stopped; 'fill' goes on");
    terminal.ready();
    terminal.keys("fill\r");
    terminal.stands("measured>");
    terminal.keys("178");
    terminal.sees("measured> 178 mA  ");
    terminal.keys("\u{3}");
    terminal.ready();
    terminal.keys("\u{4}");
    assert_eq!(terminal.ends(), 3);
}

/// What a new user who has read no more than `help` would type, to bring the waiting demo to a verdict.
#[test]
fn fill_takes_the_waiting_demo_to_a_verdict() {
    let folder = site::demo("fill");
    let mut terminal = Terminal::open(&folder, "fp1-arrival.toml", 80);
    terminal.ready();
    terminal.keys("fill\r");
    terminal.sees("- leaves one open");
    terminal.stands("measured>");
    let answers = [
        ("standby.measured:", "178 measured"),
        ("alarm.measured:", "1.14 measured"),
        ("sounders.lowest_output:", "21 datasheet"),
        ("feed.fault_current:", "1.1 measured"),
        ("feed.surrounded:", "no stated"),
        ("feed.loop:", "0.62 measured"),
        ("feed.let_through:", "4000 datasheet"),
        ("feed.clears_in:", "0.1 s datasheet"),
    ];
    let mut typed = Vec::new();
    for _ in 0..20 {
        let rows = terminal.rows();
        let question = rows.iter().rev().find(|row| row.contains(": ") && !row.starts_with(' '));
        let question = question.cloned().unwrap_or_default();
        if rows.iter().any(|row| row == "nothing more is open") {
            break;
        }
        let answer = answers.iter().find(|(name, _)| question.starts_with(name));
        let default = rows.iter().rev().find_map(|row| row.trim().strip_prefix("default "));
        let answer = match (answer, default) {
            (Some((_, answer)), _) => (*answer).to_owned(),
            (None, Some(default)) => format!("{} nameplate", default.split(':').next().unwrap_or_default()),
            (None, None) => panic!("no answer to {question}:\n{}", rows.join("\n")),
        };
        typed.push(format!("{question} {answer}"));
        terminal.keys(&format!("{answer}\r"));
        let before = rows;
        let until = Instant::now() + Duration::from_secs(10);
        while terminal.rows() == before
            || terminal.rows().iter().rev().find(|row| !row.is_empty()).is_none_or(|row| !row.ends_with('>'))
        {
            assert!(Instant::now() < until, "no answer to {typed:#?}:\n{}", terminal.rows().join("\n"));
            std::thread::sleep(Duration::from_millis(20));
        }
    }
    terminal.keys("limits\r");
    terminal.sees("-- ");
    terminal.keys("\r");
    let rows = terminal.sees("Saltmarsh ferry hall, panel FP-1 \u{b7}");
    assert!(rows.iter().any(|row| row.starts_with("  PASS (")), "{rows:#?}");
    assert!(!rows.iter().any(|row| row.contains("still open")), "{rows:#?}");
    terminal.keys("quit\r");
    assert_eq!(terminal.ends(), 0);
}

#[test]
fn a_long_answer_comes_by_the_screen_and_what_is_typed_in_between_is_kept() {
    let folder = site::demo("pages");
    let mut terminal = Terminal::open(&folder, "leave.toml", 45);
    terminal.sees("PASS");
    terminal.ready();
    terminal.keys("limits\r");
    let first = terminal.pauses("");
    terminal.keys("\r");
    terminal.pauses(&first);
    // A line that is no answer to it is the next line of the prompt.
    terminal.keys("on\r");
    terminal.sees("on  2026-11-25");
    terminal.ready();
    terminal.keys("limits\r");
    terminal.pauses("");
    terminal.keys("q\r");
    terminal.ready();
    terminal.keys("\u{4}");
    terminal.sees("goodbye; every change is on disk");
    assert_eq!(terminal.ends(), 0);
}

/// A job that was handed on may bring a link where the lines typed before are kept.
#[test]
fn nothing_is_written_through_a_link_that_stands_in_the_historys_place() {
    let (folder, away) = (site::hall("history-link"), site::empty("history-away"));
    let mine = site::put(&away, "mine", "precious\n");
    std::os::unix::fs::symlink(&mine, folder.join(".hall.history")).expect("a link");
    let types = || {
        let mut terminal = Terminal::open(&folder, "hall.toml", 80);
        terminal.ready();
        terminal.keys("load = 3 mA measured\r");
        terminal.sees("pack.load");
        terminal.ready();
        terminal.keys("quit\r");
        assert_eq!(terminal.ends(), 0);
    };
    types();
    assert_eq!(site::text(&mine), "precious\n");
    std::fs::remove_file(folder.join(".hall.history")).expect("the link is taken away");
    types();
    assert!(
        site::text(folder.join(".hall.history")).contains("load = 3 mA measured"),
        "without it, it is kept there"
    );
}

#[test]
fn the_first_line_tells_the_assumptions_that_the_verdict_rests_on() {
    let folder = site::demo("standing");
    let mut terminal = Terminal::open(&folder, "fp1-far-sounder.toml", 45);
    terminal.sees("FAIL, on 1 assumption: 1 fail");
    terminal.ready();
    terminal.keys("quit\r");
    assert_eq!(terminal.ends(), 1);
}
