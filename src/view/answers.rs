//! What the prompt answers: a line, a sheet, why a line is what it is, what is open, what was assumed.
//!
//! In: answers of the notebook. Out: text no wider than the look asks.
//! Never: tells anything by colour alone.

use super::{Look, chart, indented, plain, text, wrapped};
use crate::notebook::record::{
    LineKind, LineRecord, MarkKind, MarkRecord, Origin, Record, SheetRecord, Verdict, row_name,
};
use crate::notebook::{Matter, Past, Room, RoomSpan, Row, Shown, Why};
use crate::unit::show;

/// Returns what a name alone shows.
pub fn shown(answer: &Shown, record: &Record, look: Look) -> String {
    match answer {
        Shown::Line(why) => line(why, look) + &marked(&why.name, record, look),
        Shown::Sheet(s) => record.sheets.get(*s).map_or_else(String::new, |one| sheet(one, look)),
        Shown::Schedule(s, name) => {
            record.sheets.get(*s).map_or_else(String::new, |one| schedule(one, name, look))
        }
        Shown::Chart(s, c) => {
            let found = record.sheets.get(*s).and_then(|one| Some((one, one.charts.get(*c)?)));
            found.map_or_else(String::new, |(one, found)| chart::text(&one.name, found, look))
        }
        Shown::Limit(s, name) => record.sheets.get(*s).map_or_else(String::new, |one| {
            match one.limits.iter().find(|limit| limit.full_name(&one.name) == *name) {
                Some(limit) => {
                    let told = text::one(&one.name, limit, look);
                    format!("{}\n{}\n", told.trim_end(), marked(name, record, look))
                }
                None => {
                    let skipped = one.not_needed.iter().find(|skipped| skipped.full_name(&one.name) == *name);
                    let reason = skipped.map_or("", |skipped| skipped.reason.as_str());
                    indented(&format!("{name} is not needed: {reason}"), look, 0)
                }
            }
        }),
    }
}

/// Returns what was said of a line by those who reviewed it.
pub fn marked(name: &str, record: &Record, look: Look) -> String {
    let of_line = record.marks.iter().filter(|mark| mark.name == name);
    of_line.map(|mark| indented(&mark_words(mark), look, 2)).collect()
}

/// Returns a mark in words: "agreed by A. Reader, 26 Nov 2026; stale: value".
pub fn mark_words(mark: &MarkRecord) -> String {
    let says = if mark.kind == MarkKind::Agree { "agreed" } else { "asked" };
    let by = mark.who.as_ref().map_or(String::new(), |who| format!(" by {who}"));
    let at = mark.at.as_ref().map_or(String::new(), |at| format!(", {}", at.replace('T', " ")));
    let note = mark.note.as_ref().map_or(String::new(), |note| format!(": {note}"));
    let stale = mark.stale_words();
    let stale = if stale.is_empty() { stale } else { format!("; stale: {stale}") };
    format!("{says}{by}{at}{note}{stale}")
}

/// Returns a value without its unit where it stands beside one of the same unit.
fn beside<'l>(low: &'l str, high: &str) -> &'l str {
    let unit = high.find(' ').map_or("", |at| &high[at..]);
    low.strip_suffix(unit).unwrap_or(low)
}

/// Returns the day that the job is judged on.
pub fn day(record: &Record, look: Look) -> String {
    indented(&format!("on  {}", record.on), look, 0) + &indented("The job's day", look, 2)
}

/// "1 row", "3 rows"
pub fn rows_words(rows: usize) -> String {
    if rows == 1 { "1 row".to_owned() } else { format!("{rows} rows") }
}

fn head(why: &Why) -> String {
    if !why.rows.is_empty() {
        return format!("{}  {}", why.name, rows_words(why.rows.len() + why.more_rows));
    }
    match &why.spread {
        Some((low, high)) => format!("{}  {}, {} to {high}", why.name, why.shown, beside(low, high)),
        None => format!("{}  {}", why.name, why.shown),
    }
}

fn line(why: &Why, look: Look) -> String {
    let mut out = indented(&head(why), look, 0) + &indented(&why.label, look, 2);
    if let Some((written, _)) = &why.formula {
        out += &indented(&format!("= {written}"), look, 2);
    }
    out += &rows(why, look, 2);
    for known in &why.known {
        out += &indented(known, look, 2);
    }
    if let Some(takes) = &why.takes {
        out += &indented(&format!("takes: {takes}"), look, 2);
    }
    if let Some(when) = &why.when {
        out += &indented(&format!("needed when {when}"), look, 2);
    }
    out + &why.note.as_ref().map_or_else(String::new, |note| indented(note, look, 2))
}

/// Returns the readings that matter most to a limit.
pub fn matters(matters: &[Matter], look: Look) -> String {
    let percent = |share: f64| show::digits(share * 100.0, 2);
    let told = |matter: &Matter| {
        let margin = matter
            .of_margin
            .map_or("there is no margin".to_owned(), |share| format!("{} % of the margin", percent(share)));
        indented(
            &format!(
                "{}, {}: {} % of the uncertainty, {margin}",
                matter.name,
                matter.within,
                percent(matter.of_doubt)
            ),
            look,
            4,
        )
    };
    let list: String = matters.iter().map(told).collect();
    if list.is_empty() { list } else { indented("readings that matter most", look, 2) + &list }
}

/// Returns a line looked through: its value, its formula in numbers, where it comes from.
pub fn looked_through(why: &Why, look: Look) -> String {
    let mut out = indented(&head(why), look, 0) + &indented(&why.label, look, 2);
    out += &worked(why, look, 2);
    out += &rows(why, look, 2);
    for known in &why.known {
        out += &indented(known, look, 2);
    }
    out + &why.note.as_ref().map_or_else(String::new, |note| indented(note, look, 2))
}

/// Returns why a line is what it is.
pub fn why(why: &Why, look: Look) -> String {
    let mut out = indented(&head(why), look, 0) + &indented(&why.label, look, 2);
    out += &worked(why, look, 2);
    out += &rows(why, look, 2);
    out += &matters(&why.matters, look);
    if why.formula.is_none() {
        for known in &why.known {
            out += &indented(known, look, 2);
        }
    }
    for input in &why.inputs {
        out += &behind(input, look, 0);
    }
    out
}

/// The formula as written and with its numbers, and why this branch.
fn worked(why: &Why, look: Look, indent: usize) -> String {
    let mut out = String::new();
    if let Some((written, numbers)) = &why.formula {
        out += &indented(&format!("= {written}"), look, indent);
        if !numbers.is_empty() && numbers != written {
            out += &indented(&format!("= {numbers}"), look, indent);
        }
    }
    out + &branch(why, look, indent)
}

/// Why this branch: its condition, or the conditions before it that do not hold.
fn branch(why: &Why, look: Look, indent: usize) -> String {
    let mut out = String::new();
    let mut told = |words: String, (written, numbers): &(String, String)| {
        out += &indented(&words, look, indent);
        if numbers != written && !numbers.is_empty() {
            out += &indented(numbers, look, indent + 3);
        }
    };
    match &why.condition {
        Some(condition) => told(format!("as {}", condition.0), condition),
        None => why
            .otherwise
            .iter()
            .for_each(|condition| told(format!("otherwise: {} does not hold", condition.0), condition)),
    }
    out
}

/// What was worked in each row of a column.
fn rows(why: &Why, look: Look, indent: usize) -> String {
    let mut out = String::new();
    for (name, told) in &why.rows {
        let words = if told.is_empty() { name.clone() } else { format!("{name}: {told}") };
        out += &indented(&words, look, indent);
    }
    if why.more_rows > 0 {
        let column = why.name.rsplit_once('.').map_or(("", why.name.as_str()), |parts| parts);
        let how = format!("and {} more: why {}.ROW.{}", why.more_rows, column.0, column.1);
        out += &indented(&how, look, indent);
    }
    out
}

fn behind(why: &Why, look: Look, indent: usize) -> String {
    let mut out = String::from("\n") + &indented(&head(why), look, indent);
    if why.inputs.is_empty() {
        if let Some((_, numbers)) = &why.condition {
            out += &indented(&format!("as {numbers}"), look, indent + 4);
        }
    } else {
        out += &worked(why, look, indent + 4);
    }
    out += &rows(why, look, indent + 4);
    for known in &why.known {
        out += &indented(known, look, indent + 4);
    }
    for input in &why.inputs {
        out += &behind(input, look, (indent + 4).min(look.width / 3));
    }
    out
}

/// Returns a sheet: its lines with their values, then its limits.
fn sheet(sheet: &SheetRecord, look: Look) -> String {
    let mut out = indented(&format!("{}: {}", sheet.name, sheet.title), look, 0);
    let mut schedules: Vec<&str> = Vec::new();
    for line in &sheet.lines {
        match &line.schedule {
            None => out += &entry(line, look),
            Some(name) if schedules.contains(&name.as_str()) => {}
            Some(name) => {
                schedules.push(name);
                let rows =
                    sheet.schedules.iter().find(|known| known.name == *name).map_or(0, |s| s.rows.len());
                out += &indented(&format!("{name}  {}", rows_words(rows)), look, 2);
            }
        }
    }
    for limit in &sheet.limits {
        let verdict = limit.verdict.word().to_uppercase();
        out += &indented(&format!("{verdict}  {}: {}", limit.own_name(), limit.label), look, 2);
    }
    for skipped in &sheet.not_needed {
        out += &indented(&format!("not needed  {}: {}", skipped.name, skipped.reason), look, 2);
    }
    out
}

fn entry(line: &LineRecord, look: Look) -> String {
    let mark = match line.origin {
        Origin::Open | Origin::Worked => "",
        origin => origin.words(),
    };
    let value = if line.shown == "?" { line.reason.as_deref().unwrap_or("?") } else { &line.shown };
    let value = if line.origin == Origin::Open { "?" } else { value };
    indented(format!("{}  {value}  {mark}", line.name).trim_end(), look, 2)
}

/// Returns the rows of a schedule, each column with its value.
fn schedule(sheet: &SheetRecord, name: &str, look: Look) -> String {
    let Some(found) = sheet.schedules.iter().find(|known| known.name == name) else { return String::new() };
    let mut out = indented(&format!("{}.{name}  {}", sheet.name, rows_words(found.rows.len())), look, 0);
    let columns: Vec<&LineRecord> =
        sheet.lines.iter().filter(|line| line.schedule.as_deref() == Some(name)).collect();
    for (row, title) in found.rows.iter().enumerate() {
        let cell = |line: &&LineRecord| {
            let shown = line.shown_rows.get(row)?;
            (shown != title).then(|| format!("{} {shown}", line.name))
        };
        let cells: Vec<String> = columns.iter().filter_map(cell).collect();
        out += &indented(&format!("{}  {title}: {}", row + 1, cells.join(", ")), look, 2);
    }
    if found.rows.is_empty() {
        let given = columns.iter().filter(|line| line.kind == LineKind::Given).map(|line| line.name.as_str());
        out += &indented(&format!("columns: {}", given.collect::<Vec<_>>().join(", ")), look, 2);
    }
    out
}

/// Returns one row of a schedule, a column a line.
pub fn row(asked: &Row, record: &Record, look: Look) -> String {
    let Some(sheet) = record.sheets.get(asked.sheet) else { return String::new() };
    let rows = sheet.schedules.iter().find(|known| known.name == asked.schedule).map(|known| &known.rows);
    let Some(name) = rows.and_then(|rows| rows.get(asked.row)) else { return String::new() };
    let of = rows.map_or(0, Vec::len);
    let name = row_name(&sheet.name, &asked.schedule, name);
    let mut out = indented(&format!("{name}  row {} of {of}", asked.row + 1), look, 0);
    for line in sheet.lines.iter().filter(|line| line.schedule.as_ref() == Some(&asked.schedule)) {
        let shown = line.shown_rows.get(asked.row).map_or("", String::as_str);
        out += &indented(&format!("{}  {shown}: {}", line.name, line.label), look, 2);
    }
    out
}

/// Returns what is open, and what is to be confirmed; of one sheet, or of all.
pub fn waiting(record: &Record, sheet: Option<&str>, look: Look) -> String {
    let (open, unconfirmed) = (of(&record.rests_on.open, sheet), of(&record.rests_on.unconfirmed, sheet));
    if open.is_empty() && unconfirmed.is_empty() {
        return "nothing waits\n".to_owned();
    }
    list("open", &open, record, look) + &list("to confirm", &unconfirmed, record, look)
}

/// Returns the names of one sheet, or all of them.
fn of(names: &[String], sheet: Option<&str>) -> Vec<String> {
    let own = |name: &&String| sheet.is_none_or(|sheet| name.split('.').next() == Some(sheet));
    names.iter().filter(own).cloned().collect()
}

/// Returns where a job stands, in a line: how it comes out, and what is to be answered.
pub fn standing(record: &Record, to_ask: &[String], look: Look) -> String {
    let count = |verdict: Verdict, word: &str| {
        let all = record.limits().filter(|(_, limit)| limit.verdict == verdict).count();
        (all > 0).then(|| format!("{all} {word}"))
    };
    let (fail, unsure) = (count(Verdict::Fail, "fail"), count(Verdict::Unsure, "unsure"));
    let parts = [
        count(Verdict::Unworkable, "unworkable"),
        fail,
        unsure,
        (!to_ask.is_empty()).then(|| format!("{} to answer", to_ask.len())),
    ];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    let parts = if parts.is_empty() { String::new() } else { format!(": {}", parts.join(", ")) };
    let first = to_ask.first().and_then(|name| name.split('.').next());
    let goes_on = first.map_or(String::new(), |sheet| format!("; 'fill' goes on at {sheet}"));
    let on = match record.rests_on.assumed.len() {
        0 => String::new(),
        1 => ", on 1 assumption".to_owned(),
        several => format!(", on {several} assumptions"),
    };
    indented(&format!("{}{on}{parts}{goes_on}", record.verdict.word().to_uppercase()), look, 0)
}

/// Returns what is still open when no question is left.
pub fn left_open(record: &Record, look: Look) -> String {
    let open = &record.rests_on.open;
    if open.is_empty() {
        return format!("nothing more is open\n{}", indented(&text::outcome(record), look, 0));
    }
    list("left open", open, record, look)
}

/// Returns what was assumed, or entered without saying how, sheet by sheet; of one sheet, or of all.
pub fn assumed(record: &Record, sheet: Option<&str>, look: Look) -> String {
    let on = &record.rests_on;
    let mut out = String::new();
    let sheets = record.sheets.iter().map(|known| known.name.as_str());
    for own in sheets.filter(|own| sheet.is_none_or(|sheet| sheet == *own)) {
        let (assumed, defaults) = (of(&on.assumed, Some(own)), of(&on.unconfirmed, Some(own)));
        let title = format!("{own}: {} assumed, or not said how", assumed.len());
        out += &list(&title, &assumed, record, look);
        let title = format!("{own}: {} by default, which nobody has confirmed", defaults.len());
        out += &list(&title, &defaults, record, look);
    }
    if out.is_empty() {
        return "nothing is assumed\n".to_owned();
    }
    let how = "'how NAME measured with INSTRUMENT' says it of a value, a column, a schedule or a sheet";
    if of(&on.assumed, sheet).is_empty() { out } else { out + &indented(how, look, 0) }
}

fn list(title: &str, names: &[String], record: &Record, look: Look) -> String {
    if names.is_empty() {
        return String::new();
    }
    let mut out = indented(&format!("{title}:"), look, 0);
    for name in names {
        let words = match record.line(name) {
            Some(line) if line.shown == "?" && line.kind == LineKind::Take => {
                format!("{name}: {}, a figure: {name} = VALUE by \"document\"", line.label)
            }
            Some(line) if line.shown == "?" && line.unit.is_empty() => format!("{name}: {}", line.label),
            Some(line) if line.shown == "?" => format!("{name}: {}, in {}", line.label, line.unit),
            Some(line) => format!("{name}  {}: {}", line.shown, line.label),
            None => match record.schedule(name) {
                Some((_, rows)) if rows.rows.is_empty() => {
                    format!("{name}: {}, no rows yet: add {name} COLUMN = VALUE, …", rows.label)
                }
                Some((_, rows)) => format!("{name}: {}", rows.label),
                None => name.clone(),
            },
        };
        out += &indented(&words, look, 2);
    }
    out
}

/// Returns how far inputs may move before a limit turns.
pub fn room(rooms: &[Room], look: Look) -> String {
    if rooms.is_empty() {
        return "it depends on no input\n".to_owned();
    }
    let mut out = String::new();
    for one in rooms {
        let now = one.now.as_ref().map_or("open".to_owned(), |now| format!("{now} now"));
        out += &indented(&format!("{}  {now}", one.name), look, 0);
        for span in &one.spans {
            out += &indented(&span_words(span), look, 2);
        }
        out += &choices(one, look);
    }
    out
}

/// Choices that turn the same stand together; first those that turn nothing.
fn choices(room: &Room, look: Look) -> String {
    let mut groups: Vec<(&[String], Vec<&str>)> = Vec::new();
    for (choice, then) in room.choices.iter().filter(|(choice, _)| Some(choice) != room.now.as_ref()) {
        match groups.iter_mut().find(|(known, _)| *known == then.as_slice()) {
            Some((_, choices)) => choices.push(choice),
            None => groups.push((then, vec![choice])),
        }
    }
    groups.sort_by_key(|(then, _)| !then.is_empty());
    let holds = if room.now.is_some() { "nothing turns" } else { "every limit that depends on it holds" };
    let told = |(then, choices): (&[String], Vec<&str>)| {
        let then = if then.is_empty() { holds.to_owned() } else { then.join(", ") };
        indented(&format!("{}: {then}", choices.join(", ")), look, 2)
    };
    groups.into_iter().map(told).collect()
}

fn span_words(span: &RoomSpan) -> String {
    let way = |up: &bool| if *up { "up" } else { "down" };
    match span {
        RoomSpan::Turns { up, to, then } => format!("{} to {to}  then: {}", way(up), then.join(", ")),
        RoomSpan::Range { up, to } => format!("{} to {to}  nothing turns", way(up)),
        RoomSpan::Endless { up } => format!("{}, without end  nothing turns", way(up)),
        RoomSpan::Stretch { from, to, misses } if misses.is_empty() => {
            format!("from {from} to {to}  every limit that depends on it holds")
        }
        RoomSpan::Stretch { from, to, misses } => format!("from {from} to {to}  {}", misses.join(", ")),
    }
}

/// How many lines of the history are shown, where nobody says.
const MOST_PAST: usize = 30;

/// Returns what was done, the last of it.
pub fn log(past: &[Past], most: Option<usize>, look: Look) -> String {
    let from = past.len().saturating_sub(most.unwrap_or(MOST_PAST));
    let earlier = format!("{from} earlier: log {} shows all", past.len());
    let mut out = if from > 0 { indented(&earlier, look, 0) } else { String::new() };
    for one in &past[from..] {
        let who = one.who.as_ref().map_or(String::new(), |who| format!(" {who}"));
        let text = format!("{}  {}{who}  {}", one.number, one.time.replace('T', " "), one.what);
        out += &format!("{}\n", wrapped(&plain(&text), look.width, 0, 4));
    }
    out
}
