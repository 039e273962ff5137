//! How a value came to be known.
//!
//! In: a word. Out: one of seven ways, or the word that was probably meant.
//! Never: guesses: what is not said stays not said.

use crate::fault::near;

/// How a value came to be known; left out, it is *not said*.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum How {
    /// Read from an instrument.
    Measured,
    /// Read from the nameplate.
    Nameplate,
    /// Taken from the maker's datasheet.
    Datasheet,
    /// Taken from a drawing.
    Drawing,
    /// Stated by a person; for flags.
    Stated,
    /// Assumed, to be confirmed.
    Assumed,
    /// Worked out in another sheet of the job.
    Linked,
}

impl How {
    /// Every way, in the order in which they are listed to people.
    pub const ALL: [Self; 7] = [
        Self::Measured,
        Self::Nameplate,
        Self::Datasheet,
        Self::Drawing,
        Self::Stated,
        Self::Assumed,
        Self::Linked,
    ];

    /// Returns the word for it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Measured => "measured",
            Self::Nameplate => "nameplate",
            Self::Datasheet => "datasheet",
            Self::Drawing => "drawing",
            Self::Stated => "stated",
            Self::Assumed => "assumed",
            Self::Linked => "linked",
        }
    }

    /// Returns the way that a word names.
    pub fn known(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|how| how.word() == word)
    }

    /// Returns the way that a word which names none was probably meant to name.
    pub fn near(word: &str) -> Option<Self> {
        near(word, Self::ALL.map(Self::word)).and_then(Self::known)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_way_is_known_by_its_word_and_a_slip_is_met_with_it() {
        for how in How::ALL {
            assert_eq!(How::known(how.word()), Some(how));
        }
        assert_eq!(How::known("Measured"), None);
        assert_eq!(How::near("mesured"), Some(How::Measured));
        assert_eq!(How::near("guessed"), None);
    }
}
