//! An earlier record of a job, held against the job: its journal's head, and the hash of every file.
//!
//! In: a report as a page, Markdown or JSON, and the files of today. Out: the head that it prints, and what differs.
//! Never: reads more of a record than its hashes: what it says of the job is for the reviewer to read.

use std::path::Path;

use serde::Serialize;

use crate::fault::{Fault, Refused, Span};
use crate::job::disk;
use crate::notebook::Wrong;
use crate::notebook::library::{Found, shown};
use crate::notebook::record::identity::Identity;

/// Digits of a SHA-256.
const DIGITS: usize = 64;

/// An earlier record, held against the job.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Printed {
    /// The record's file.
    pub file: String,
    /// The head of the journal that it prints.
    pub head: Option<String>,
    /// How many files of today are those that it was made from.
    pub same: usize,
    /// Which are not, in words.
    pub differs: Vec<String>,
}

/// Reads an earlier record.
///
/// # Errors
/// It cannot be read, or holds no hash.
pub(super) fn printed(path: &Path, identity: &Identity) -> Found<Printed> {
    let file = shown(path);
    let page = disk::read_page(path, &file).map_err(|refused| vec![refused])?;
    let hashes = hashes(&page.text);
    if hashes.is_empty() {
        let fault = Fault::new(Span::default(), Wrong::NoHashes { file });
        return Err(vec![Refused {
            page: crate::fault::Page::new(page.name.clone(), ""),
            faults: vec![fault],
        }]);
    }
    // A page lets a name break behind its dots.
    let names = page.text.replace("<wbr>", "");
    let mut made = Printed { head: head(&page.text), file, same: 0, differs: Vec::new() };
    let mut known = 0;
    for one in &identity.files {
        let name = one.name.rsplit('/').next().unwrap_or_default();
        if hashes.contains(&one.sha256.as_str()) {
            made.same += 1;
        } else if names.contains(name) {
            known += 1;
            made.differs.push(format!("{name} is not the file that {} was made from", made.file));
        } else {
            made.differs.push(format!("{} was made without {name}", made.file));
        }
    }
    let of_files = hashes.iter().filter(|hash| made.head.as_deref() != Some(**hash)).count();
    if let Some(more) = of_files.checked_sub(made.same + known).filter(|more| *more > 0) {
        let files =
            if more == 1 { "1 file that the job does" } else { &format!("{more} files that the job does") };
        made.differs.push(format!("{} was made from {files} not use now", made.file));
    }
    Ok(made)
}

/// Returns whether a record over another is one more of the very same: of one head and the same files.
pub(in crate::notebook) fn is_same_record(old: &str, new: &str) -> bool {
    head(old).is_none() || (head(old), hashes(old)) == (head(new), hashes(new))
}

/// Every hash of a text, each once.
fn hashes(text: &str) -> Vec<&str> {
    let mut found: Vec<&str> = Vec::new();
    for run in text.split(|c: char| !c.is_ascii_hexdigit()).filter(|run| run.len() == DIGITS) {
        if !found.contains(&run) {
            found.push(run);
        }
    }
    found
}

/// The hash that stands behind the words "Journal head", as every form of a report prints it.
fn head(text: &str) -> Option<String> {
    let at = ["Journal head", "\"journal_head\""].iter().filter_map(|words| text.rfind(words)).max()?;
    let behind = text[at..].split(['\n', '}']).next().unwrap_or_default();
    hashes(behind).first().map(|head| (*head).to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_head_is_found_in_every_form() {
        let hash = "3d97d9506ced8f1d0fbd12ea80c1aeaea2eb8cce74804243e433948966d9a1f2";
        for text in [
            format!("<p>Journal head: <span class=\"hash\">{hash}</span></p>"),
            format!("Journal head: `{hash}`"),
            format!("{{\"journal_head\": \"{hash}\"}}"),
        ] {
            assert_eq!(head(&text).as_deref(), Some(hash), "{text}");
            assert_eq!(hashes(&text), [hash], "{text}");
        }
        assert_eq!(head("Journal head: none recorded."), None);
        assert!(hashes(&hash[1..]).is_empty(), "a digit short");
    }
}
