//! The content hash that names an edition of a book.

use super::text::{Source, Sources};
use sha2::{Digest, Sha256};
use std::fmt;

/// SHA-256 over the sorted files of a book, case plays left out.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Edition([u8; 32]);

/// The folder of a book that holds its case plays: examples, not rules.
pub const CASES: &str = "cases/";

impl Edition {
    /// The edition of these files: for each file, in the order of their paths, the length of the path, the
    /// path, the length of the text with LF line ends and no byte-order mark before it, and that text. Lengths are 8 bytes, big-endian, so that
    /// no two different sets of files give the same bytes.
    pub fn of(sources: &Sources) -> Edition {
        let mut hash = Sha256::new();
        for file in sources.files().iter().filter(|file| is_rule(file)) {
            let text = file.text.strip_prefix('\u{feff}').unwrap_or(&file.text).replace("\r\n", "\n");
            hash.update((file.path.len() as u64).to_be_bytes());
            hash.update(&file.path);
            hash.update((text.len() as u64).to_be_bytes());
            hash.update(&text);
        }
        Edition(hash.finalize().into())
    }

    /// The 32 bytes.
    pub fn as_bytes(&self) -> &[u8; 32] {
        &self.0
    }
}

/// Whether a file belongs to the rules rather than to their examples.
pub fn is_rule(file: &Source) -> bool {
    file.path.ends_with(".ron") && !file.path.starts_with(CASES)
}

impl fmt::Display for Edition {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(out, "{byte:02x}"))
    }
}

impl fmt::Debug for Edition {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "Edition({self})")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn edition(files: &[(&str, &str)]) -> String {
        let source =
            |(path, text): &(&str, &str)| Source { path: (*path).to_owned(), text: (*text).to_owned() };
        Edition::of(&Sources::new(files.iter().map(source).collect())).to_string()
    }

    // PROPERTY: line ends and case plays make no edition, every letter does
    #[test]
    fn line_ends_marks_order_and_case_plays_make_no_edition_but_every_letter_does() {
        let base = edition(&[("a.ron", "x\ny"), ("book.ron", "z")]);
        assert_eq!(base, edition(&[("book.ron", "z"), ("a.ron", "x\r\ny"), ("cases/one.ron", "anything")]));
        assert_eq!(base, edition(&[("a.ron", "\u{feff}x\ny"), ("book.ron", "\u{feff}z")]));
        for other in [
            edition(&[("a.ron", "x\ny "), ("book.ron", "z")]),
            edition(&[("b.ron", "x\ny"), ("book.ron", "z")]),
            edition(&[("a.ron", "x"), ("book.ron", "\nyz")]),
        ] {
            assert_ne!(base, other);
        }
    }

    #[test]
    fn the_hash_is_sha256_of_the_bytes_described() {
        // Worked out with `printf '\0\0\0\0\0\0\0\5a.ron\0\0\0\0\0\0\0\1x' | sha256sum`.
        assert_eq!(edition(&[("a.ron", "x")]), EXPECTED);
    }

    const EXPECTED: &str = "b3d5467f03923d92ff2c2973fc7ac25d122cddc086bf05576833b1ae04c47c35";
}
