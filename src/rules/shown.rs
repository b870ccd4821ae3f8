//! Text that came from outside, as it may be shown to a person.
//!
//! A name in a file can hold signs that move the cursor, erase what was printed, or turn the direction of a line, so
//! that it reads as something else; or it can be a million letters long.

use std::borrow::Cow;

/// The most letters of a piece of text from outside that are shown.
const MOST: usize = 80;

/// A piece of text from outside, to be set into a message: its hidden signs made visible, and cut if it is long.
pub fn shown(text: &str) -> Cow<'_, str> {
    let Some((end, _)) = text.char_indices().nth(MOST) else { return visible(text) };
    Cow::Owned(format!("{}… ({} letters)", visible(&text[..end]), text.chars().count()))
}

/// A text with its hidden signs made visible, as `\u{202e}`.
pub fn visible(text: &str) -> Cow<'_, str> {
    if !text.contains(is_hidden) {
        return Cow::Borrowed(text);
    }
    let mut all = String::with_capacity(text.len());
    for letter in text.chars() {
        if is_hidden(letter) {
            all.extend(letter.escape_default());
        } else {
            all.push(letter);
        }
    }
    Cow::Owned(all)
}

/// Control signs, marks of direction, and signs without width.
fn is_hidden(letter: char) -> bool {
    letter.is_control() && letter != '\t'
        || matches!(letter,
            '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{e0000}'..='\u{e007f}')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_could_deceive_a_reader_is_spelt_out_and_the_rest_stays() {
        for (text, expected) in [
            ("Wächter über die Linie 確実", "Wächter über die Linie 確実"),
            ("a\u{1b}[2Jb", "a\\u{1b}[2Jb"),
            ("sdrawkcab \u{202e}txt", "sdrawkcab \\u{202e}txt"),
            (
                "zero\u{200b}width, a bell\u{7}, a line\nmore",
                "zero\\u{200b}width, a bell\\u{7}, a line\\nmore",
            ),
        ] {
            assert_eq!(shown(text), expected);
        }
    }

    #[test]
    fn a_long_text_is_cut_and_says_how_long_it_was() {
        let long = shown(&"ü".repeat(5_000)).into_owned();
        assert_eq!(long, format!("{}… (5000 letters)", "ü".repeat(80)));
        assert_eq!(shown(&"x".repeat(80)), "x".repeat(80));
    }
}
