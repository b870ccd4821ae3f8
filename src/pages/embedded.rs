//! Pictures that stand in a page itself, as data (RFC 2397), so that the page needs nothing else.

/// The signs of base 64 (RFC 4648, section 4).
const SIGNS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

/// More bytes than this are no still of this program.
const MOST: usize = 1 << 20;

/// The address of a JPEG file that is the file itself; none for bytes that are no such file, or too many.
pub(super) fn jpeg(bytes: &[u8]) -> Option<String> {
    // T.81, B.1.1.3: a file begins with the marker SOI, and another marker follows.
    let is_jpeg = bytes.starts_with(&[0xff, 0xd8, 0xff]) && bytes.len() <= MOST;
    is_jpeg.then(|| format!("data:image/jpeg;base64,{}", base64(bytes)))
}

fn base64(bytes: &[u8]) -> String {
    let sign = |six: u32| char::from(SIGNS[(six & 63) as usize]);
    let mut text = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for three in bytes.chunks(3) {
        let bits =
            three.iter().fold(0_u32, |bits, byte| bits << 8 | u32::from(*byte)) << (8 * (3 - three.len()));
        text.push(sign(bits >> 18));
        text.push(sign(bits >> 12));
        text.push(if three.len() > 1 { sign(bits >> 6) } else { '=' });
        text.push(if three.len() > 2 { sign(bits) } else { '=' });
    }
    text
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
            assert_eq!(base64(bytes.as_bytes()), text);
        }
        assert_eq!(base64(&[0xfb, 0xff, 0xbf]), "+/+/");
    }

    #[test]
    fn only_a_picture_is_shown_as_one() {
        assert_eq!(jpeg(&[0xff, 0xd8, 0xff]).as_deref(), Some("data:image/jpeg;base64,/9j/"));
        assert_eq!(jpeg(b"<svg onload=x>"), None);
        assert_eq!(jpeg(&[]), None);
    }
}
