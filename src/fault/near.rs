//! The word that was probably meant.
//!
//! In: a word and those that would fit. Out: the nearest, only if it is near.
//! Never: guesses; a short word must be nearer than a long one.

/// The longest word, in characters, that another is sought for.
const LONGEST: usize = 100;

/// Returns the word of `known` that `found` was probably meant to be.
///
/// Another letter case comes first, then at most one edit for words up to four letters, two beyond; then the one
/// name of which it is a part: `hold_time` of `door_hold_time`.
pub fn near<'a>(found: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let known: Vec<&str> = known.into_iter().collect();
    by_edits(found, known.iter().copied()).or_else(|| by_part(found, &known))
}

/// The shortest part, in characters, that another name is known by.
const SHORTEST_PART: usize = 5;

fn by_part<'a>(found: &str, known: &[&'a str]) -> Option<&'a str> {
    if !(SHORTEST_PART..=LONGEST).contains(&found.len()) || !found.contains('_') {
        return None;
    }
    let has = |word: &&&str| {
        let rest = word.strip_suffix(found).and_then(|rest| rest.strip_suffix('_'));
        rest.or_else(|| word.strip_prefix(found)?.strip_prefix('_')).is_some()
    };
    let mut fits = known.iter().filter(has);
    fits.next().copied().filter(|first| fits.all(|other| other == first))
}

fn by_edits<'a>(found: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let length = found.chars().count();
    let allowed = match length {
        0 => return None,
        1..=4 => 1,
        _ => 2,
    };
    known
        .into_iter()
        // No word of another length can be near; comparing long ones would take time without end.
        .filter(|word| length <= LONGEST && word.len() <= 4 * LONGEST && *word != found)
        .filter(|word| word.chars().count().abs_diff(length) <= allowed)
        .filter_map(|word| {
            let edits = if word.eq_ignore_ascii_case(found) { 0 } else { strsim::osa_distance(found, word) };
            (edits <= allowed && edits < length).then_some((edits, word))
        })
        .min_by_key(|(edits, _)| *edits)
        .map(|(_, word)| word)
}

#[cfg(test)]
mod tests {
    use super::near;

    #[test]
    fn letter_case_comes_first_and_far_words_are_not_guessed() {
        assert_eq!(near("MA", ["A", "mA", "m"]), Some("mA"));
        assert_eq!(near("Ahr", ["A", "Ah", "V"]), Some("Ah"));
        assert_eq!(near("quiescnet", ["quiescent"]), Some("quiescent"));
        assert_eq!(near("x", ["y", "z"]), None);
        assert_eq!(near("volts", ["amperes"]), None);
    }
}
