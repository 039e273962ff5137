//! Letters that look like those of a name or a unit, and are others.
//!
//! In: a word. Out: the first letter that only looks right, in words.
//! Never: takes one for the other.

/// Letters with the plain one that they are drawn like.
const ALIKE: [(&str, &str); 3] = [
    // Cyrillic, then Greek, then full-width ones, which have their own run.
    ("\u{430}\u{435}\u{43e}\u{440}\u{441}\u{443}\u{445}\u{456}\u{458}\u{455}\u{4bb}\u{501}", "aeopcyxijshd"),
    ("\u{410}\u{412}\u{415}\u{41a}\u{41c}\u{41d}\u{41e}\u{420}\u{421}\u{422}\u{425}\u{405}", "ABEKMHOPCTXS"),
    ("\u{3b1}\u{3b9}\u{3bd}\u{3bf}\u{3c1}\u{3c5}\u{391}\u{392}\u{395}\u{39a}\u{39c}\u{397}", "aivopuABEKMH"),
];

/// Returns what to say of the first letter that looks like a plain one and is another: `'а' (U+0430) only looks
/// like 'a'`.
pub fn only_looks_like(word: &str) -> Option<String> {
    word.chars().find_map(|c| {
        let plain = plain_of(c)?;
        Some(format!("'{c}' (U+{:04X}) only looks like '{plain}'", u32::from(c)))
    })
}

/// Returns a title, and behind it what of the word in it only looks like a plain letter.
pub fn with_look_alike(title: String, word: &str) -> String {
    match only_looks_like(word) {
        Some(letter) => format!("{title}: {letter}"),
        None => title,
    }
}

/// Returns a text with the plain letter in place of each that only looks like it: what a reader takes it for.
pub fn as_it_looks(text: &str) -> String {
    text.chars().map(|c| plain_of(c).unwrap_or(c)).collect()
}

/// Characters that word processors put in place of those that are typed: what it is, what to type.
const TYPED_OTHERWISE: [(&str, &str, &str); 6] = [
    (
        "\u{201c}\u{201d}\u{201e}\u{2018}\u{2019}\u{201a}\u{ab}\u{bb}\u{2033}'`",
        "",
        "write straight quotes: \"",
    ),
    ("\u{2013}\u{2014}\u{2012}\u{2010}\u{2011}", "", "write the minus as -"),
    ("\u{a0}\u{202f}\u{2007}\u{2009}\u{3000}", "a no-break space", "type a plain space"),
    ("\u{200b}\u{200c}\u{200d}\u{2060}\u{ad}", "a character that is not seen", "take it out"),
    ("\u{2026}", "", "write two points: .."),
    ("\u{b1}", "", "take it out"),
];

/// Returns what a text begins with where a word processor put it there: how it is called, and what to type.
pub fn typed_otherwise(text: &str) -> Option<(String, &'static str)> {
    let c = text.chars().next()?;
    let (_, name, cure) = TYPED_OTHERWISE.iter().find(|(characters, ..)| characters.contains(c))?;
    let shown =
        if name.is_empty() { format!("'{c}'") } else { format!("{name} (\\u{{{:x}}})", u32::from(c)) };
    Some((shown, cure))
}

fn plain_of(c: char) -> Option<char> {
    // Full-width forms stand in the order of the plain ones.
    if ('\u{ff01}'..='\u{ff5e}').contains(&c) {
        return char::from_u32(u32::from(c) - 0xfee0);
    }
    let (at, plain) =
        ALIKE.iter().find_map(|(other, plain)| Some((other.chars().position(|other| other == c)?, plain)))?;
    plain.chars().nth(at)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_letter_of_another_script_is_named_and_plain_ones_pass() {
        assert_eq!(only_looks_like("l\u{43e}ad").as_deref(), Some("'\u{43e}' (U+043E) only looks like 'o'"));
        assert_eq!(only_looks_like("\u{ff41}").as_deref(), Some("'\u{ff41}' (U+FF41) only looks like 'a'"));
        assert_eq!(only_looks_like("load_1"), None);
        assert_eq!(as_it_looks("l\u{43e}ad"), "load");
        assert_eq!(only_looks_like("\u{b5}\u{3a9}"), None, "a sign of a unit is no look-alike");
    }

    #[test]
    fn each_letter_has_the_one_that_it_looks_like() {
        for (other, plain) in ALIKE {
            assert_eq!(other.chars().count(), plain.chars().count());
            assert!(other.chars().all(|c| !c.is_ascii()) && plain.is_ascii());
        }
    }
}
