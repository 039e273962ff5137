//! Whether a page is well formed, as strictly as XML would have it: every tag closed in order, every attribute in
//! quotes and once, every `<` and `&` of the text escaped.

/// Elements without an end.
const VOID: [&str; 3] = ["meta", "br", "wbr"];

/// Returns whether a character hides, steers or turns text; written down here again on purpose.
pub(crate) fn is_hidden(c: char) -> bool {
    let turns =
        ['\u{61c}', '\u{200e}', '\u{200f}', '\u{202a}', '\u{202b}', '\u{202c}', '\u{202d}', '\u{202e}'];
    let embeds = '\u{2066}'..='\u{2069}';
    c.is_control() || turns.contains(&c) || embeds.contains(&c) || ('\u{200b}'..='\u{200d}').contains(&c)
}

/// Returns the names of all tags, in order.
pub(crate) fn tags(page: &str) -> Vec<String> {
    let starts = page.match_indices('<').map(|(at, _)| &page[at + 1..]);
    starts
        .map(|rest| rest.split(|c: char| c.is_whitespace() || c == '>').next().unwrap_or("").to_owned())
        .collect()
}

/// Says what is wrong with a page.
pub(crate) fn well_formed(page: &str) -> Result<(), String> {
    if let Some(c) = page.chars().find(|c| is_hidden(*c) && *c != '\n') {
        return Err(format!("{c:?} stands in the page"));
    }
    let mut open: Vec<&str> = Vec::new();
    let mut ids = std::collections::HashSet::new();
    let mut rest =
        page.strip_prefix("<!DOCTYPE html>\n<!-- a wattle report -->\n").ok_or("it begins otherwise")?;
    while let Some(at) = rest.find('<') {
        text(&rest[..at])?;
        rest = &rest[at + 1..];
        let end = end_of_tag(rest)?;
        let tag = &rest[..end];
        rest = &rest[end + 1..];
        if let Some(name) = tag.strip_prefix('/') {
            let last = open.pop();
            if last != Some(name) {
                return Err(format!("</{name}> closes {last:?}"));
            }
            continue;
        }
        let tag = tag.trim_end_matches('/').trim_end();
        let closed = rest.len() < page.len() && page[..page.len() - rest.len()].ends_with("/>");
        let (name, id) = start_tag(tag)?;
        if let Some(id) = id
            && !ids.insert(id.clone())
        {
            return Err(format!("two things have the id {id}"));
        }
        if name == "style" {
            let end = rest.find("</style>").ok_or("the style is never closed")?;
            rest = &rest[end + "</style>".len()..];
        } else if !closed && !VOID.contains(&name) {
            open.push(name);
        }
    }
    text(rest)?;
    if open.is_empty() { Ok(()) } else { Err(format!("never closed: {open:?}")) }
}

fn end_of_tag(rest: &str) -> Result<usize, String> {
    let mut quoted = false;
    for (at, c) in rest.char_indices() {
        quoted ^= c == '"';
        match c {
            '>' if !quoted => return Ok(at),
            '<' => return Err(format!("a < in a tag: {}", rest.chars().take(40).collect::<String>())),
            _ => {}
        }
    }
    Err("a tag is never closed".to_owned())
}

/// Reads the name and the attributes of a tag; returns its name and its id.
fn start_tag(tag: &str) -> Result<(&str, Option<String>), String> {
    let wrong = |what: &str| Err(format!("{what}: <{tag}>"));
    let name = tag.split(char::is_whitespace).next().unwrap_or("");
    if name.is_empty() || !name.chars().all(|c| c.is_ascii_alphanumeric()) {
        return wrong("no name");
    }
    let mut rest = tag[name.len()..].trim_start();
    let (mut seen, mut id) = (Vec::new(), None);
    while !rest.is_empty() {
        let Some((attribute, value)) = rest.split_once('=') else { return wrong("no value") };
        let fits = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == ':';
        if attribute.is_empty() || !attribute.chars().all(fits) || seen.contains(&attribute) {
            return wrong("an attribute that is none, or twice");
        }
        if attribute.starts_with("on") || attribute == "style" {
            return wrong("an attribute that acts");
        }
        seen.push(attribute);
        let Some((value, after)) = value.strip_prefix('"').and_then(|value| value.split_once('"')) else {
            return wrong("a value without quotes");
        };
        text(value)?;
        if attribute == "id" {
            id = Some(value.to_owned());
        }
        rest = after.trim_start();
    }
    Ok((name, id))
}

/// A text may hold no mark of its own.
fn text(text: &str) -> Result<(), String> {
    if text.contains('<') || (text.contains('>') && !text.contains("&gt;") && text.contains("->")) {
        return Err(format!("a mark in a text: {text:?}"));
    }
    for (at, _) in text.match_indices('&') {
        let known = ["&amp;", "&lt;", "&gt;", "&quot;", "&apos;"];
        if !known.iter().any(|entity| text[at..].starts_with(entity)) {
            return Err(format!("a lone & in a text: {text:?}"));
        }
    }
    Ok(())
}
