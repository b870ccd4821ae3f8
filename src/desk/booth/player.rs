//! A player as typed: a position of the book, and a number where it is known. People are never named.

use std::str::FromStr;

/// The position and the number that these words give: `linebacker 54`.
///
/// # Errors
/// The words in place of a position, where they name none of them or several.
pub(super) fn position<N: FromStr>(
    words: &[&str],
    positions: &[String],
) -> Result<(String, Option<N>), String> {
    let (sought, number) = numbered(words);
    match one_of(positions, &sought, String::as_str) {
        Some(position) => Ok((position.clone(), number)),
        None => Err(sought),
    }
}

/// The words before the number in small letters, and the number, if the last word is one.
pub(super) fn numbered<N: FromStr>(words: &[&str]) -> (String, Option<N>) {
    let number: Option<N> = words.last().and_then(|last| last.parse().ok());
    let words = &words[..words.len() - usize::from(number.is_some())];
    (words.join(" ").to_lowercase(), number)
}

/// The one whose word is this, or the only one whose word contains it.
pub(super) fn one_of<'a, T>(all: &'a [T], sought: &str, word: impl Fn(&'a T) -> &'a str) -> Option<&'a T> {
    let exact = all.iter().find(|one| word(one).to_lowercase() == sought);
    let mut near = all.iter().filter(|one| !sought.is_empty() && word(one).to_lowercase().contains(sought));
    exact.or_else(|| near.next().filter(|_| near.next().is_none()))
}
