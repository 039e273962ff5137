//! Jobs before and after a change, byte for byte.

use std::sync::Arc;

use proptest::prelude::*;

use super::*;
use crate::fault::Page;
use crate::job::{How, Job, Raw, Rows};

const HEAD: &str = "# a job\ntitle = \"A\"   # its title\nbasis = \"uk\"\n\n";

fn text(value: &str) -> NewEntry {
    NewEntry { value: Raw::Text(value.to_owned()), ..NewEntry::default() }
}

fn measured(value: &str) -> NewEntry {
    NewEntry {
        how: Some(How::Measured),
        who: Some("R. Field".to_owned()),
        at: Some(1_795_602_000.0), // 2026-11-25T10:20
        ..text(value)
    }
}

const MEASURED: &str = "how = \"measured\", who = \"R. Field\", at = 2026-11-25T10:20:00";

/// Sets `fitted` of the sheet `battery` to 12 Ah; `before` and `after` are what stands under its head.
#[track_caller]
fn sets(entry: &NewEntry, before: &str, after: &str) {
    let head = format!("{HEAD}[[sheet]]\nuse = \"battery\"\n");
    let made = set_entry(&format!("{head}{before}"), "battery", Part::Given, "fitted", entry);
    assert_eq!(made, Ok(format!("{head}{after}")));
}

#[track_caller]
fn read(text: &str) -> Job {
    let page: Arc<Page> = Page::new("job", text);
    Job::read(&page).unwrap_or_else(|faults| panic!("{faults:?} in\n{text}"))
}

#[test]
fn one_value_changes_and_the_comments_and_blanks_around_it_stay() {
    sets(
        &text("12 Ah"),
        "# above\n  given.fitted   =  \"7 Ah\"\t# on the label\n\n\n# below\ngiven.strings=1\n",
        "# above\n  given.fitted   =  \"12 Ah\"\t# on the label\n\n\n# below\ngiven.strings=1\n",
    );
}

#[test]
fn lines_of_several_parts_among_each_other_keep_their_order() {
    sets(
        &text("12 Ah"),
        "given.a = 1\ntake.b = 2 # c\ngiven.fitted = \"7 Ah\"\nschedule.e = \"f.csv\"\ngiven.z = 3\n",
        "given.a = 1\ntake.b = 2 # c\ngiven.fitted = \"12 Ah\"\nschedule.e = \"f.csv\"\ngiven.z = 3\n",
    );
}

#[test]
fn a_new_entry_goes_below_the_last_of_its_part() {
    sets(
        &text("12 Ah"),
        "given.a = 1 # one\ntake.b = 2\n\n# next\n[[sheet]]\nuse = \"c\"\n",
        "given.a = 1 # one\ngiven.fitted = \"12 Ah\"\ntake.b = 2\n\n# next\n[[sheet]]\nuse = \"c\"\n",
    );
}

#[test]
fn a_sheet_without_givens_gets_its_first_below_its_own_keys() {
    sets(&text("12 Ah"), "", "given.fitted = \"12 Ah\"\n");
    sets(
        &text("12 Ah"),
        "schedule.e = [\n  { a = 1 },\n]  # rows\n\n[[sheet]]\nuse = \"c\"\n",
        "schedule.e = [\n  { a = 1 },\n]  # rows\ngiven.fitted = \"12 Ah\"\n\n[[sheet]]\nuse = \"c\"\n",
    );
}

#[test]
fn a_missing_last_line_end_stays_missing() {
    sets(&text("12 Ah"), "given.fitted = \"7 Ah\" # k", "given.fitted = \"12 Ah\" # k");
    sets(&text("12 Ah"), "given.a = 1", "given.a = 1\ngiven.fitted = \"12 Ah\"");
    sets(
        &text("12 Ah"),
        "given.fitted.value = \"7 Ah\"\ngiven.fitted.how = \"nameplate\"",
        "given.fitted.value = \"12 Ah\"",
    );
}

#[test]
fn line_ends_of_either_kind_and_a_byte_order_mark_stay() {
    let job = format!("\u{feff}{HEAD}[[sheet]]\nuse = \"b\"\ngiven.a = '''x\ny'''\ngiven.fitted = 1\n");
    let windows = job.replace('\n', "\r\n");
    let set = |job: &str, name: &str| set_entry(job, "b", Part::Given, name, &text("2 A"));
    assert_eq!(set(&windows, "fitted"), Ok(windows.replace("= 1", "= \"2 A\"")));
    assert_eq!(set(&windows, "new"), Ok(format!("{windows}given.new = \"2 A\"\r\n")));
    let mixed = job.replace("basis = \"uk\"\n", "basis = \"uk\"\r\n");
    assert_eq!(set(&mixed, "fitted"), Ok(mixed.replace("= 1", "= \"2 A\"")));
}

#[test]
fn what_is_known_of_a_value_stands_in_braces_and_a_bare_value_is_plain() {
    let braces = format!("given.fitted = {{ value = \"12 Ah\", {MEASURED} }} # k\n");
    sets(&measured("12 Ah"), "given.fitted = \"7 Ah\" # k\n", &braces);
    sets(&text("7 Ah"), &braces, "given.fitted = \"7 Ah\" # k\n");
}

#[test]
fn keys_in_braces_are_set_added_and_taken_out_where_they_stand() {
    sets(
        &measured("12 Ah"),
        "given.fitted = {note=\"x\",  value=\"7 Ah\" , by = \"d\",how=\"stated\"} # k\n",
        "given.fitted = {value=\"12 Ah\",how=\"measured\", who = \"R. Field\", at = 2026-11-25T10:20:00} # k\n",
    );
}

#[test]
fn keys_of_an_entry_that_are_not_ours_are_kept() {
    sets(
        &text("12 Ah"),
        "given.fitted = { value = \"7 Ah\", zone = 3, how = \"stated\" } # k\n",
        "given.fitted = { value = \"12 Ah\", zone = 3 } # k\n",
    );
    sets(
        &text("12 Ah"),
        "given.fitted.zone = 3\ngiven.fitted.value = \"7 Ah\"\n",
        "given.fitted.zone = 3\ngiven.fitted.value = \"12 Ah\"\n",
    );
}

#[test]
fn an_entry_on_lines_of_its_own_keeps_them_with_their_comments() {
    sets(
        &text("12 Ah"),
        "given.fitted.value = \"7 Ah\" # v\ntake.q = 1\n# on how\ngiven.fitted.how = \"stated\" # h\n",
        "given.fitted.value = \"12 Ah\" # v\ntake.q = 1\n# on how\n# h\n",
    );
    sets(
        &measured("12 Ah"),
        "given.fitted.value = \"7 Ah\"\ngiven.fitted.how = \"stated\" # h\ngiven.z = 1\n",
        "given.fitted.value = \"12 Ah\"\ngiven.fitted.how = \"measured\" # h\n\
         given.fitted.who = \"R. Field\"\ngiven.fitted.at = 2026-11-25T10:20:00\ngiven.z = 1\n",
    );
}

#[test]
fn an_entry_below_a_heading_of_its_own_keeps_it() {
    sets(
        &measured("12 Ah"),
        "[sheet.given.fitted] # read\nvalue = \"7 Ah\"\n\n[[sheet]]\nuse = \"c\"\n",
        "[sheet.given.fitted] # read\nvalue = \"12 Ah\"\nhow = \"measured\"\nwho = \"R. Field\"\n\
         at = 2026-11-25T10:20:00\n\n[[sheet]]\nuse = \"c\"\n",
    );
}

#[test]
fn givens_below_a_heading_or_in_braces_take_a_new_one_among_them() {
    sets(
        &text("12 Ah"),
        "[sheet.given]\na = 1\n# t\n[[sheet]]\nuse = \"c\"\n",
        "[sheet.given]\na = 1\nfitted = \"12 Ah\"\n# t\n[[sheet]]\nuse = \"c\"\n",
    );
    sets(&text("12 Ah"), "[sheet.given] # none\n", "[sheet.given] # none\nfitted = \"12 Ah\"\n");
    sets(&text("12 Ah"), "given = { a = 1 } # k\n", "given = { a = 1, fitted = \"12 Ah\" } # k\n");
    sets(&text("12 Ah"), "given = {} # k\n", "given = { fitted = \"12 Ah\" } # k\n");
    sets(&text("12 Ah"), "given = { fitted = 7, z=1 }\n", "given = { fitted = \"12 Ah\", z=1 }\n");
    sets(
        &text("12 Ah"),
        "given = { fitted.value = 7, fitted.zone = 3, z=1 }\n",
        "given = { fitted = { value = \"12 Ah\", zone = 3 }, z=1 }\n",
    );
}

#[test]
fn givens_with_headings_each_leave_room_for_a_plain_one() {
    sets(
        &text("12 Ah"),
        "[sheet.given.a]\nvalue = 1\n",
        "given.fitted = \"12 Ah\"\n[sheet.given.a]\nvalue = 1\n",
    );
}

#[test]
fn numbers_flags_and_dates_are_written_bare() {
    let bare = |value| NewEntry { value, ..NewEntry::default() };
    sets(&bare(Raw::Number(2.0)), "given.fitted = \"?\"\n", "given.fitted = 2\n");
    sets(&bare(Raw::Number(-0.25)), "given.fitted = \"?\"\n", "given.fitted = -0.25\n");
    sets(&bare(Raw::Flag(true)), "given.fitted = \"?\"\n", "given.fitted = true\n");
    let day = Raw::Date(1_795_564_800.0);
    sets(&bare(day), "given.fitted = \"?\"\n", "given.fitted = 2026-11-25\n");
    let time = Raw::Date(1_795_602_000.0);
    sets(&bare(time), "given.fitted = \"?\"\n", "given.fitted = 2026-11-25T10:20:00\n");
}

#[test]
fn a_figure_goes_to_take_and_a_sheet_goes_by_its_as() {
    let job = format!("{HEAD}[[sheet]]\nuse = \"battery\"\n\n[[sheet]]\nuse = \"battery\"\nas = \"spare\"\n");
    let entry = NewEntry { by: Some("Fire strategy, 4.2".to_owned()), ..text("72 h") };
    let line = "take.hold = { value = \"72 h\", by = \"Fire strategy, 4.2\" }\n";
    assert_eq!(set_entry(&job, "spare", Part::Take, "hold", &entry), Ok(format!("{job}{line}")));
}

const ROWS: &str = "[[sheet]]\nuse = \"load\"\nschedule.equipment = [\n  # two\n  { item = \"A\", number = 1 }, # a\n  { item = \"B\" },\n]\n";

#[test]
fn a_cell_changes_or_is_added_in_its_row() {
    let job = format!("{HEAD}{ROWS}");
    let set = |row, column| set_cell(&job, "load", "equipment", row, column, &text("2 mA"));
    assert_eq!(set(0, "number"), Ok(job.replace("number = 1", "number = \"2 mA\"")));
    assert_eq!(set(1, "number"), Ok(job.replace("\"B\"", "\"B\", number = \"2 mA\"")));
    assert_eq!(set(2, "number"), Err(NotThere));
}

#[test]
fn a_cell_of_a_row_below_a_heading_changes_or_is_added() {
    let row = "[[sheet.schedule.equipment]]\nitem = \"A\" # a\n";
    let job = format!("{HEAD}[[sheet]]\nuse = \"load\"\n{row}\n{row}");
    let set = |column| set_cell(&job, "load", "equipment", 1, column, &text("2 mA"));
    assert_eq!(set("number"), Ok(format!("{job}number = \"2 mA\"\n")));
    let made = set("item").unwrap_or_default();
    assert!(
        made.ends_with("item = \"A\" # a\n\n[[sheet.schedule.equipment]]\nitem = \"2 mA\" # a\n"),
        "{made}"
    );
}

/// Two rows below headings, with remarks, keys of every form and another sheet behind.
const HEADED: &str = "title = \"A\"\nbasis = \"uk\"\n[[sheet]]\nuse = \"path\"\n\n  [[sheet.schedule.d]]  # the near one\n  device = \"A\"\n  load = { value = \"5 mA\", how = \"datasheet\" }\t# seen\n\n  # the far one\n  [[sheet.schedule.d]]\n  device = \"B\"\n  load.value = \"6 mA\"\n  load.how = \"datasheet\"\n  [sheet.schedule.d.length]\n  value = \"3 m\"\n  # longest\n\n# next\n[[sheet]]\nuse = \"pack\"\n";

#[test]
fn a_row_below_a_heading_is_added_among_them_and_dropped_with_its_remarks_kept() {
    let row = [("device".to_owned(), text("C")), ("load".to_owned(), measured("7 mA"))];
    let new =
        format!("\n  [[sheet.schedule.d]]\n  device = \"C\"\n  load = {{ value = \"7 mA\", {MEASURED} }}\n");
    let more = HEADED.replace("  # longest\n", &format!("  # longest\n{new}"));
    assert_eq!(add_row(HEADED, "path", "d", &row), Ok(more.clone()));
    assert_eq!(drop_row(&more, "path", "d", 2), Ok(HEADED.to_owned()), "as it was");
    let names = |text: &str| read(text).sheets[0].schedules[0].1.clone();
    let Rows::Listed(rows) = names(&more) else { panic!("rows") };
    assert_eq!(rows.len(), 3);
    let less = HEADED
        .replace("\n  [[sheet.schedule.d]]  # the near one\n", "\n  # the near one\n")
        .replace("  device = \"A\"\n", "")
        .replace("  load = { value = \"5 mA\", how = \"datasheet\" }\t# seen", "  # seen");
    assert_eq!(drop_row(HEADED, "path", "d", 0), Ok(less));
    let windows = |text: &str| text.replace('\n', "\r\n");
    assert_eq!(add_row(&windows(HEADED), "path", "d", &row), Ok(windows(&more)));
}

#[test]
fn the_last_row_below_a_heading_is_dropped_and_a_first_one_added() {
    let one = "[[sheet]]\nuse = \"path\"\n\n[[sheet.schedule.d]]\ndevice = \"A\"";
    assert_eq!(drop_row(one, "path", "d", 0), Ok("[[sheet]]\nuse = \"path\"".to_owned()));
    let row = [("item".to_owned(), text("X"))];
    let made = add_row(one, "path", "e", &row);
    assert_eq!(made, Ok(format!("{one}\n\n[[sheet.schedule.e]]\nitem = \"X\"")));
    assert_eq!(drop_row(one, "path", "d", 1), Err(NotThere));
}

#[test]
fn rows_are_listed_in_place_of_a_file() {
    let job = format!("{HEAD}[[sheet]]\nuse = \"load\"\nschedule.equipment = \"e.csv\" # the list\n");
    let rows = [
        vec![("item".to_owned(), text("Call \"point\""))],
        vec![("item".to_owned(), text("B")), ("quiescent".to_owned(), measured("1 mA"))],
    ];
    let list = format!(
        "[\n  {{ item = 'Call \"point\"' }},\n  {{ item = \"B\", quiescent = {{ value = \"1 mA\", {MEASURED} }} }},\n]"
    );
    let made = list_rows(&job, "load", "equipment", &rows);
    assert_eq!(made, Ok(job.replace("\"e.csv\"", &list)));
    let other = list_rows(&job, "load", "other", &[]);
    assert_eq!(other, Ok(format!("{job}schedule.other = []\n")));
    let windows = list_rows(&job.replace('\n', "\r\n"), "load", "equipment", &rows);
    assert_eq!(windows, Ok(job.replace("\"e.csv\"", &list).replace('\n', "\r\n")));
}

#[test]
fn what_is_not_there_is_told_and_what_has_no_place_too() {
    let job = format!("{HEAD}[[sheet]]\nuse = \"battery\"\ngiven = 1\n");
    assert_eq!(set_entry(&job, "charger", Part::Given, "x", &text("1")), Err(NotThere));
    assert_eq!(set_entry(&job, "battery", Part::Given, "x", &text("1")), Err(NotThere));
    assert_eq!(set_entry("not toml [", "battery", Part::Given, "x", &text("1")), Err(NotThere));
    assert_eq!(set_cell(&job, "battery", "rows", 0, "x", &text("1")), Err(NotThere));
    let headed = format!("{HEAD}[[sheet]]\nuse = \"b\"\n[[sheet.schedule.rows]]\na = 1\n");
    assert_eq!(list_rows(&headed, "b", "rows", &[]), Err(NotThere));
}

/// Every entry of a job under its full name, in the order of the file; CSV files and links by name.
fn told(job: &Job) -> Vec<(String, NewEntry)> {
    let mut told = Vec::new();
    for sheet in &job.sheets {
        for (part, entries) in [("given", &sheet.given), ("take", &sheet.take)] {
            let full = |name: &str| format!("{}.{part}.{name}", sheet.name.value);
            told.extend(entries.iter().map(|(name, entry)| (full(&name.value), NewEntry::from(entry))));
        }
        for (schedule, rows) in &sheet.schedules {
            let full = format!("{}.schedule.{}", sheet.name.value, schedule.value);
            match rows {
                Rows::Csv(file) => told.push((full, text(&file.name.value))),
                Rows::Linked(link) => told.push((full, text(&link.value))),
                Rows::Listed(rows) => told.extend(rows.iter().enumerate().flat_map(|(index, row)| {
                    let full = full.clone();
                    let cell = move |name: &str| format!("{full}.{index}.{name}");
                    row.cells.iter().map(move |(name, entry)| (cell(&name.value), NewEntry::from(entry)))
                })),
            }
        }
    }
    told
}

/// Ways in which a job may hold `fitted`, among other lines.
fn lines() -> impl Strategy<Value = Vec<&'static str>> {
    let fitted = prop::sample::select(vec![
        "",
        "given.fitted = \"7 Ah\" # k",
        "given.fitted = { value = '7 Ah', how = \"stated\", note = \"n, }\" }",
        "given.fitted = { note=\"=\" ,value=7 } # {",
        "given.fitted.value = 7 # v\ngiven.fitted.how = \"stated\"",
        "given.fitted.by = '''a\nb'''\ngiven.fitted.value = true",
        "given.\"fitted\" = 2026-11-25",
    ]);
    let others = vec![
        "# a remark",
        "",
        "given.strings = 1",
        "  given.note = \"\"\"x # \\\n  y\"\"\" # z",
        "take.hold = { value = \"72 h\", by = \"plan\" }",
        "schedule.rows = [\n  { item = \"A\" }, # a\n]",
        "schedule.more = \"e.csv\"",
    ];
    let others = prop::sample::subsequence(others, 0..7).prop_shuffle();
    (fitted, others, any::<prop::sample::Index>()).prop_map(|(fitted, mut lines, at)| {
        lines.insert(at.index(lines.len() + 1), fitted);
        lines
    })
}

fn entry() -> impl Strategy<Value = NewEntry> {
    let words = || prop::option::of("[^\\x00-\\x08]{1,9}");
    let value = prop_oneof![
        "[^\\x00-\\x08]{1,12}".prop_map(Raw::Text),
        (-1e12..1e12).prop_map(Raw::Number),
        any::<bool>().prop_map(Raw::Flag),
        (0..4_000_000_000_u32).prop_map(|seconds| Raw::Date(f64::from(seconds))),
    ];
    let how = prop::option::of(prop::sample::select(How::ALL.to_vec()));
    let at = prop::option::of((0..4_000_000_000_u32).prop_map(f64::from));
    (value, how, words(), at, words(), words(), words()).prop_map(
        |(value, how, who, at, anyway, note, by)| NewEntry {
            value,
            how,
            with: None,
            who,
            at,
            anyway,
            note,
            by,
        },
    )
}

proptest! {
    #[test]
    fn a_rewritten_job_reads_back_with_the_new_value_and_all_else_equal(
        lines in lines(),
        entry in entry(),
        windows in any::<bool>(),
        end in any::<bool>(),
    ) {
        let mut job = format!("{HEAD}[[sheet]]\nuse = \"battery\"\n{}", lines.join("\n"));
        if end {
            job += "\n\n[[sheet]]\nuse = \"charger\"\ngiven.fitted = 1\n";
        }
        if windows {
            job = job.replace('\n', "\r\n");
        }
        let made = set_entry(&job, "battery", Part::Given, "fitted", &entry);
        let Ok(made) = made else { return Err(TestCaseError::fail(format!("{made:?}\n{job}"))) };
        let all_but = |text: &str| {
            let mut told = told(&read(text));
            told.retain(|(name, _)| name != "battery.given.fitted");
            told
        };
        prop_assert_eq!(all_but(&job), all_but(&made));
        let told = told(&read(&made));
        let now = told.iter().find(|(name, _)| name == "battery.given.fitted").map(|(_, entry)| entry);
        prop_assert_eq!(now, Some(&entry), "{}", made);
        let remarks = |text: &str| text.matches("# ").count();
        prop_assert!(remarks(&made) >= remarks(&job), "{}", made);
    }

    #[test]
    fn no_text_makes_it_panic(before in "[\\[\\]{}=#.\"'a-c1 \n\r,]{0,40}", name in ".{0,4}") {
        let job = format!("[[sheet]]\nuse = \"b\"\n{before}");
        for part in [Part::Given, Part::Take] {
            let _ = set_entry(&job, "b", part, &name, &measured("1"));
        }
        let _ = set_cell(&job, "b", "a", 0, &name, &text("1"));
        let _ = list_rows(&job, "b", &name, &[]);
        let row = [(name.clone(), text("1"))];
        let _ = (add_row(&job, "b", "a", &row), drop_row(&job, "b", "a", 0));
    }
}

#[test]
fn a_mark_changes_also_where_the_last_line_has_no_end() {
    use crate::fault::Spanned;
    use crate::job::{Mark, Says, Seen};
    let mark = |says, note: Option<&str>| Mark {
        line: Spanned::new("battery.fitted".to_owned(), 0..0),
        says,
        note: note.map(str::to_owned),
        who: Some("R. Field".to_owned()),
        at: None,
        seen: Seen::default(),
    };
    for line_end in ["\n", "\r\n"] {
        let job = set_mark(&format!("{HEAD}# end").replace('\n', line_end), &mark(Says::Agree, None));
        let job = job.unwrap_or_default();
        let asked = mark(Says::Query, Some("why?"));
        let whole = set_mark(&job, &asked).unwrap_or_default();
        assert_eq!((read(&whole).marks.len(), read(&whole).marks[0].note.as_deref()), (1, Some("why?")));
        // The same change, and the last line has no end afterwards either.
        let cut = |text: &str| text.strip_suffix(line_end).map(str::to_owned);
        let made = cut(&job).and_then(|job| set_mark(&job, &asked).ok());
        assert_eq!(made, cut(&whole));
    }
}

#[test]
fn a_raw_value_is_written_as_it_was_read() {
    for raw in [Raw::Text("x".into()), Raw::Number(1.5), Raw::Flag(false), Raw::Date(0.0)] {
        let entry = NewEntry { value: raw.clone(), ..NewEntry::default() };
        let job = format!("{HEAD}[[sheet]]\nuse = \"b\"\n");
        let made = set_entry(&job, "b", Part::Given, "x", &entry).unwrap_or_default();
        let read = read(&made);
        assert_eq!(read.sheets[0].given[0].1.value.value, raw);
    }
}
