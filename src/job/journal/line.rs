//! One line of a journal: what was changed, by whom, and the seal that chains it to the line before.
//!
//! In: bytes of a journal. Out: its lines, and where the chain is broken.
//! Never: writes.

use serde::{Deserialize, Serialize};

use super::stamp::Stamp;
use crate::job::disk::hash;

/// A line of the journal. The seal is the hash of all that stands before it.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Line {
    /// When, on the site's clock.
    pub time: String,
    /// Who.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub who: Option<String>,
    /// What was changed: the full name of a line, or a word for another act.
    pub line: String,
    /// What it was.
    #[serde(default)]
    pub old: Option<String>,
    /// What it is.
    #[serde(default)]
    pub new: Option<String>,
    /// The number of the line that is undone or done again.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub of: Option<usize>,
    /// The files that the job was worked with, where they are not those of the lines before.
    #[serde(default, rename = "with", skip_serializing_if = "Option::is_none")]
    pub stamps: Option<Vec<Stamp>>,
    /// What stood behind the last whole line.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub torn: Option<String>,
    /// The whole job file, in the first line and after an edit from outside.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub text: Option<String>,
    /// How the job file differs from the one before.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub patch: Option<Patch>,
    /// The seal of the line before.
    pub prev: String,
    /// The hash of the job file that it leaves.
    pub job: String,
    /// The seal: the hash of the line without it.
    #[serde(default, skip_serializing)]
    pub sha: String,
}

/// A piece of a text put in the place of another.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Patch(usize, usize, String);

impl Patch {
    /// Returns what makes one text of another.
    pub fn between(before: &str, after: &str) -> Self {
        let same = |a: &[u8], b: &[u8]| a.iter().zip(b).take_while(|(a, b)| a == b).count();
        let mut start = same(before.as_bytes(), after.as_bytes());
        while !before.is_char_boundary(start) || !after.is_char_boundary(start) {
            start -= 1;
        }
        let (rest, new) = (&before[start..], &after[start..]);
        let mut end = rest.bytes().rev().zip(new.bytes().rev()).take_while(|(a, b)| a == b).count();
        while !rest.is_char_boundary(rest.len() - end) || !new.is_char_boundary(new.len() - end) {
            end -= 1;
        }
        Self(start, rest.len() - end, new[..new.len() - end].to_owned())
    }

    /// Returns the piece for a text that another piece has been put into since; nothing where the two meet.
    pub fn after(&self, since: &Self) -> Option<Self> {
        let (end, since_end) = (self.0.checked_add(self.1)?, since.0.checked_add(since.1)?);
        if end <= since.0 {
            return Some(self.clone());
        }
        let start = self.0.checked_sub(since_end)? + since.0 + since.2.len();
        Some(Self(start, self.1, self.2.clone()))
    }

    /// Returns a text with the piece put in; nothing where it has no such place.
    pub fn applied(&self, text: &str) -> Option<String> {
        let end = self.0.checked_add(self.1)?;
        Some(format!("{}{}{}", text.get(..self.0)?, self.2, text.get(end..)?))
    }
}

/// What a line is called that is not as it was written.
pub const UNREAD: &str = "unread";

/// What stands between a line and its seal.
const SEAL: &str = ",\"sha\":\"";

impl Line {
    /// Returns the line with its seal, and as it is written.
    pub(super) fn sealed(mut self) -> (Self, String) {
        // A struct of texts and numbers is always JSON.
        let bare = serde_json::to_string(&self).unwrap_or_default();
        self.sha = hash(bare.as_bytes());
        let written = format!("{}{SEAL}{}\"}}\n", bare.trim_end_matches('}'), self.sha);
        (self, written)
    }

    /// Reads a line; nothing where it is none, or its seal is not its own.
    fn read(text: &str) -> Option<Self> {
        let (bare, seal) = text.rsplit_once(SEAL)?;
        let line: Self = serde_json::from_str(text).ok()?;
        let bare = format!("{bare}}}");
        (seal.trim_end_matches("\"}") == line.sha && hash(bare.as_bytes()) == line.sha).then_some(line)
    }
}

/// Returns how many bytes of a journal are whole lines.
pub(super) fn whole(bytes: &[u8]) -> usize {
    bytes.iter().rposition(|byte| *byte == b'\n').map_or(0, |at| at + 1)
}

/// Returns the lines of a journal, what stands behind the last whole one, and where the chain is broken.
pub(super) fn read(bytes: &[u8]) -> (Vec<Line>, Option<String>, Vec<String>) {
    let end = whole(bytes);
    let torn = (end < bytes.len()).then(|| String::from_utf8_lossy(&bytes[end..]).into_owned());
    let (mut lines, mut breaks): (Vec<Line>, Vec<String>) = (Vec::new(), Vec::new());
    let text = String::from_utf8_lossy(&bytes[..end]);
    for (n, written) in text.lines().enumerate() {
        match Line::read(written) {
            Some(line) => {
                let before = lines.last().map_or("", |before| before.sha.as_str());
                // Behind a line that cannot be read, the chain begins anew.
                if line.prev != before && !lines.last().is_some_and(|before| before.sha.is_empty()) {
                    breaks.push(format!("line {} of the journal does not follow the line before", n + 1));
                }
                lines.push(line);
            }
            None => {
                breaks.push(format!("line {} of the journal is not as it was written", n + 1));
                lines.push(Line { line: UNREAD.to_owned(), ..Line::default() });
            }
        }
    }
    (lines, torn, breaks)
}
