//! Texts by number, so that the engine compares numbers.
//!
//! In: texts. Out: a number for each, the same for the same text.
//! Never: forgets one.

use std::collections::HashMap;

/// Texts with their numbers.
#[derive(Clone, Debug, Default)]
pub struct Texts {
    texts: Vec<String>,
    numbers: HashMap<String, u32>,
}

impl Texts {
    /// Returns the number of a text, a new one for a new text.
    pub fn number(&mut self, text: &str) -> f64 {
        if let Some(number) = self.numbers.get(text) {
            return f64::from(*number);
        }
        let number = super::plan::place(self.texts.len());
        self.numbers.insert(text.to_owned(), number);
        self.texts.push(text.to_owned());
        f64::from(number)
    }

    /// Returns the text of a number.
    pub fn text(&self, number: f64) -> &str {
        self.texts.get(number as usize).map_or("", String::as_str)
    }
}
