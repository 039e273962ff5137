//! The files that a job was worked with: sheets, bases, tables, CSV files.
//!
//! In: stamps of two moments. Out: what differs, in words.
//! Never: reads a file.

use serde::{Deserialize, Serialize};

/// A file that a job was worked with.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Stamp {
    /// Its name, without a folder.
    pub file: String,
    /// The revision that it says it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub revision: Option<u32>,
    /// The SHA-256 of its text.
    pub hash: String,
}

/// Returns what differs between the files of two moments, in words.
pub fn differing(before: &[Stamp], now: &[Stamp]) -> Vec<String> {
    let of = |stamps: &[Stamp], file: &str| stamps.iter().find(|stamp| stamp.file == file).cloned();
    let changed = now.iter().filter_map(|now| {
        let file = &now.file;
        let was = match of(before, file) {
            Some(was) if was.hash == now.hash => return None,
            Some(was) => was,
            None => return Some(format!("{file} was not used before")),
        };
        Some(match (was.revision, now.revision) {
            (Some(was), Some(now)) if was != now => {
                format!("{file} is revision {now}, it was revision {was}")
            }
            (Some(_), Some(now)) => format!("{file} reads differently, and is still called revision {now}"),
            (None, _) | (_, None) => format!(
                "{file} reads differently; what it was is not kept, so which figure changed cannot be told"
            ),
        })
    });
    let gone = before.iter().filter(|was| of(now, &was.file).is_none());
    changed.chain(gone.map(|was| format!("{} is not used any more", was.file))).collect()
}

/// Returns the file that words on a file that differs are about.
pub fn file_of(words: &str) -> &str {
    let ends = [" is ", " was ", " went ", " reads ", " stands "].iter().filter_map(|word| words.find(word));
    &words[..ends.min().unwrap_or(words.len())]
}

/// Returns which files that are used at both moments were changed between them, in words.
pub fn changes(before: &[Stamp], now: &[Stamp]) -> Vec<String> {
    let pairs = now.iter().filter_map(|now| Some((before.iter().find(|was| was.file == now.file)?, now)));
    let changed = pairs.filter(|(was, now)| was.hash != now.hash);
    let told = |(was, now): (&Stamp, &Stamp)| match (was.revision, now.revision) {
        (Some(was), Some(is)) if was != is => format!("{} went from revision {was} to {is}", now.file),
        (Some(_), Some(is)) => format!("{} was changed, and is still called revision {is},", now.file),
        (None, _) | (_, None) => format!("{} was changed", now.file),
    };
    changed.map(told).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_differs_is_told_file_by_file() {
        let stamp = |file: &str, revision: Option<u32>, hash: &str| Stamp {
            file: file.to_owned(),
            revision,
            hash: hash.to_owned(),
        };
        let before = [
            stamp("a.sheet", Some(1), "1"),
            stamp("b.sheet", Some(1), "1"),
            stamp("c.csv", None, "1"),
            stamp("d.toml", Some(1), "1"),
            stamp("e.sheet", Some(1), "1"),
        ];
        let now = [
            stamp("a.sheet", Some(2), "2"),
            stamp("b.sheet", Some(1), "2"),
            stamp("c.csv", None, "2"),
            stamp("d.toml", Some(1), "1"),
            stamp("f.sheet", Some(1), "1"),
        ];
        let told = [
            "a.sheet is revision 2, it was revision 1",
            "b.sheet reads differently, and is still called revision 1",
            "c.csv reads differently; what it was is not kept, so which figure changed cannot be told",
            "f.sheet was not used before",
            "e.sheet is not used any more",
        ];
        assert_eq!(differing(&before, &now), told);
        assert!(differing(&now, &now).is_empty());
    }

    #[test]
    fn words_are_about_the_file_that_they_begin_with() {
        for words in
            ["a b.csv was changed between line 1 and line 2", "a b.csv is not the file", "a b.csv reads"]
        {
            assert_eq!(file_of(&format!("{words} otherwise")), "a b.csv");
        }
    }
}
