//! Stills that stand in a page itself, as data (RFC 2397), so that the page needs nothing else.

use base64ct::{Base64, Encoding};
use evidence::mark::Mark;

/// Longer files are no stills of this program.
const MOST_BYTES: usize = 1 << 20;

/// The address of a JPEG file that is the file itself; none for bytes that are no such file, or too many.
pub(super) fn jpeg(bytes: &[u8]) -> Option<String> {
    // T.81, B.1.1.3: a file begins with the marker SOI, and another marker follows.
    let is_jpeg = bytes.starts_with(&[0xff, 0xd8, 0xff]) && bytes.len() <= MOST_BYTES;
    is_jpeg.then(|| format!("data:image/jpeg;base64,{}", Base64::encode_string(bytes)))
}

pub(super) fn caption(mark: &Mark) -> String {
    format!("{}, {}, {}", mark.moment, mark.camera, mark.timecode)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The test vectors of RFC 4648, section 10.
    #[test]
    fn bytes_are_spelt_as_the_standard_spells_them() {
        for (bytes, text) in [
            ("", ""),
            ("f", "Zg=="),
            ("fo", "Zm8="),
            ("foo", "Zm9v"),
            ("foob", "Zm9vYg=="),
            ("fooba", "Zm9vYmE="),
            ("foobar", "Zm9vYmFy"),
        ] {
            assert_eq!(Base64::encode_string(bytes.as_bytes()), text);
        }
        assert_eq!(Base64::encode_string(&[0xfb, 0xff, 0xbf]), "+/+/");
    }

    #[test]
    fn only_a_picture_is_shown_as_one() {
        assert_eq!(jpeg(&[0xff, 0xd8, 0xff]).as_deref(), Some("data:image/jpeg;base64,/9j/"));
        assert_eq!(jpeg(b"<svg onload=x>"), None);
        assert_eq!(jpeg(&[]), None);
    }
}
