//! The words of a fault.
//!
//! In: a title, a label, a cure. Out: a [`Wording`], and what of it fits a page.
//! Never: chooses the words: each stage has those of its own faults.

use super::Page;

/// The words of a fault: the fact, what the place is, what to do.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wording {
    /// What is wrong, with the person's own word.
    pub title: String,
    /// A word or two for under the caret; may be empty.
    pub label: String,
    /// What to do, with the text to type; may be empty.
    pub cure: String,
    /// What to do at the prompt, where that is typed otherwise than in a file.
    pub at_prompt: Option<String>,
}

impl Wording {
    /// Returns the wording with another cure for who is at the prompt.
    pub fn at_prompt(mut self, cure: impl Into<String>) -> Self {
        self.at_prompt = Some(cure.into());
        self
    }

    /// Returns what to do where a page is being written: in its file, or at the prompt.
    pub fn cure_on(&self, page: &Page) -> &str {
        self.at_prompt.as_deref().filter(|_| page.is_typed()).unwrap_or(&self.cure)
    }
}

/// Returns a wording of all three parts: the fact, the place, the cure.
pub fn say(title: impl Into<String>, label: impl Into<String>, cure: impl Into<String>) -> Wording {
    Wording { title: title.into(), label: label.into(), cure: cure.into(), at_prompt: None }
}

/// Returns a wording with nothing to say under the caret.
pub fn told(title: impl Into<String>, cure: impl Into<String>) -> Wording {
    say(title, "", cure)
}

/// Returns a round of names, the first of them where there are too many to read: `a needs b needs a`.
pub fn round_of(names: &[String]) -> String {
    const MOST_NAMED: usize = 20;
    let (named, rest) = names.split_at(names.len().min(MOST_NAMED));
    let more = if rest.is_empty() { String::new() } else { format!(" needs {} more", rest.len()) };
    named.join(" needs ") + &more
}
