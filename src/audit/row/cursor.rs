//! A place in a line of JSON, for the plain form that programs write: strings without escapes, numbers of at most
//! fifteen digits and without an exponent. Whatever it does not read it answers with `None`; nothing is refused here.

use std::str;

/// More digits may not fit a double exactly; a decimal of fewer is one division of two exact numbers, which rounds
/// correctly (W. D. Clinger, "How to read floating point numbers accurately", PLDI 1990).
const DIGITS: usize = 15;
/// Powers of ten, which a double holds exactly up to 10^22.
const TENS: [f64; DIGITS + 1] =
    [1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15];
/// Objects and lists in each other; a record has four.
const DEEPEST: usize = 16;

/// How far a line is read.
pub(super) struct Cursor<'a> {
    text: &'a str,
    at: usize,
}

impl<'a> Cursor<'a> {
    pub(super) fn new(text: &'a str) -> Cursor<'a> {
        Cursor { text, at: 0 }
    }

    fn byte(&self) -> Option<u8> {
        self.text.as_bytes().get(self.at).copied()
    }

    /// The next byte that is no white space.
    pub(super) fn peek(&mut self) -> Option<u8> {
        loop {
            let byte = self.byte()?;
            if !matches!(byte, b' ' | b'\t' | b'\r' | b'\n') {
                return Some(byte);
            }
            self.at += 1;
        }
    }

    fn ate(&mut self, byte: u8) -> bool {
        let found = self.peek() == Some(byte);
        self.at += usize::from(found);
        found
    }

    fn eat(&mut self, byte: u8) -> Option<()> {
        self.ate(byte).then_some(())
    }

    fn word(&mut self, word: &str) -> Option<()> {
        self.peek()?;
        self.text.get(self.at..)?.starts_with(word).then(|| self.at += word.len())
    }

    pub(super) fn string(&mut self) -> Option<&'a str> {
        self.eat(b'"')?;
        let (start, bytes) = (self.at, self.text.as_bytes());
        let mut end = start;
        while let Some(eight) = bytes.get(end..).and_then(|rest| rest.first_chunk::<8>()) {
            let special = special(u64::from_le_bytes(*eight));
            end += (special.trailing_zeros() / 8) as usize;
            if special != 0 {
                break;
            }
        }
        while !matches!(bytes.get(end)?, b'"' | b'\\' | 0..0x20) {
            end += 1;
        }
        self.at = end + 1;
        (bytes.get(end) == Some(&b'"')).then(|| self.text.get(start..end))?
    }

    fn digits(&mut self, value: &mut u64) -> usize {
        let start = self.at;
        while let Some(digit) = self.byte().map(|byte| byte.wrapping_sub(b'0')).filter(|digit| *digit < 10) {
            *value = value.wrapping_mul(10).wrapping_add(u64::from(digit));
            self.at += 1;
        }
        self.at - start
    }

    /// The digits before the point, without an idle zero in front.
    fn whole_digits(&mut self, value: &mut u64) -> Option<usize> {
        let first = self.peek()?;
        let count = self.digits(value);
        (count == 1 || count > 1 && first != b'0').then_some(count)
    }

    fn has_exponent(&self) -> bool {
        matches!(self.byte(), Some(b'e' | b'E'))
    }

    pub(super) fn number(&mut self) -> Option<f64> {
        let negative = self.ate(b'-');
        let (value, places, short) = self.decimal(negative)?;
        let size = value as f64 / TENS.get(places)?;
        (short && !self.has_exponent()).then_some(if negative { -size } else { size })
    }

    /// Digits as one whole number, how many of them are behind the point, and whether all of them count.
    fn decimal(&mut self, negative: bool) -> Option<(u64, usize, bool)> {
        // A sign and its digits are one word.
        if negative && !self.byte()?.is_ascii_digit() {
            return None;
        }
        let mut value = 0;
        let whole = self.whole_digits(&mut value)?;
        let mut places = 0;
        if self.byte() == Some(b'.') {
            self.at += 1;
            places = self.digits(&mut value);
            if places == 0 {
                return None;
            }
        }
        Some((value, places, whole + places <= DIGITS))
    }

    pub(super) fn whole(&mut self) -> Option<u64> {
        let mut value = 0;
        let count = self.whole_digits(&mut value)?;
        (count <= DIGITS && self.byte() != Some(b'.') && !self.has_exponent()).then_some(value)
    }

    pub(super) fn boolean(&mut self) -> Option<bool> {
        let value = self.peek()? == b't';
        self.word(if value { "true" } else { "false" })?;
        Some(value)
    }

    pub(super) fn null(&mut self) -> Option<()> {
        self.word("null")
    }

    pub(super) fn or_null<T>(
        &mut self,
        read: impl FnOnce(&mut Cursor<'a>) -> Option<T>,
    ) -> Option<Option<T>> {
        if self.peek()? == b'n' { self.null().map(|()| None) } else { read(self).map(Some) }
    }

    /// Calls `field` with each key; it reads the value.
    pub(super) fn object(
        &mut self,
        mut field: impl FnMut(&mut Cursor<'a>, &'a str) -> Option<()>,
    ) -> Option<()> {
        self.eat(b'{')?;
        if self.ate(b'}') {
            return Some(());
        }
        loop {
            let key = self.string()?;
            self.eat(b':')?;
            field(self, key)?;
            if !self.ate(b',') {
                return self.eat(b'}');
            }
        }
    }

    pub(super) fn list<T>(&mut self, mut each: impl FnMut(&mut Cursor<'a>) -> Option<T>) -> Option<Vec<T>> {
        self.eat(b'[')?;
        let mut values = Vec::new();
        if self.ate(b']') {
            return Some(values);
        }
        loop {
            values.push(each(self)?);
            if !self.ate(b',') {
                return self.eat(b']').map(|()| values);
            }
        }
    }

    /// The text of the next value, whatever it is.
    pub(super) fn raw(&mut self) -> Option<&'a str> {
        self.peek()?;
        let start = self.at;
        self.skip()?;
        self.text.get(start..self.at)
    }

    pub(super) fn skip(&mut self) -> Option<()> {
        self.skip_in(0)
    }

    fn skip_in(&mut self, depth: usize) -> Option<()> {
        match self.peek()? {
            b'"' => self.string().map(|_| ()),
            b'{' if depth < DEEPEST => self.object(|cursor, _| cursor.skip_in(depth + 1)),
            b'[' if depth < DEEPEST => self.list(|cursor| cursor.skip_in(depth + 1)).map(|_| ()),
            b't' | b'f' => self.boolean().map(|_| ()),
            b'n' => self.null(),
            _ => {
                let negative = self.ate(b'-');
                self.decimal(negative)?;
                (!self.has_exponent()).then_some(())
            }
        }
    }
}

/// The high bit of each of eight bytes that ends a plain string: a quotation mark, a backslash, a control. The lowest
/// one set is right; a carry may set others above it (Warren, "Hacker's Delight", 2nd edition, section 6-1).
fn special(eight: u64) -> u64 {
    const ONES: u64 = 0x0101_0101_0101_0101;
    const HIGH: u64 = 0x8080_8080_8080_8080;
    let equal = |byte: u8| {
        let zero = eight ^ (ONES * u64::from(byte));
        zero.wrapping_sub(ONES) & !zero
    };
    let control = eight.wrapping_sub(ONES * 0x20) & !eight;
    (equal(b'"') | equal(b'\\') | control) & HIGH
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_is_the_double_nearest_to_it_or_left_alone() {
        for (text, expected) in [
            ("0", Some(0.0)),
            ("-0.5", Some(-0.5)),
            ("27.53", Some(27.53)),
            (" 123456789012.345", Some(123_456_789_012.345)),
            ("0.000000000000001", None),
            ("1234567890123456", None),
            ("1e3", None),
            ("01", None),
            ("1.", None),
            (".5", None),
            ("- 1", None),
            ("--1", None),
            ("", None),
        ] {
            assert_eq!(Cursor::new(text).number(), expected, "{text}");
        }
    }

    #[test]
    fn a_string_ends_at_its_quotation_mark_wherever_that_stands() {
        for length in 0..20 {
            for letter in ["a", "é", "日"] {
                let inner = letter.repeat(length);
                let text = format!("\"{inner}\",\"other\"");
                assert_eq!(Cursor::new(&text).string(), Some(&*inner));
                for not_plain in ["\\n", "\u{1f}", "\n"] {
                    let text = format!("\"{inner}{not_plain}\"");
                    assert_eq!(Cursor::new(&text).string(), None, "{text:?}");
                }
                assert_eq!(Cursor::new(&format!("\"{inner}")).string(), None);
            }
        }
    }

    #[test]
    fn what_is_passed_over_is_whole() {
        for (text, whole) in [
            (r#"{"a":[1,{"b":null}],"c":"d"} "#, true),
            ("[]", true),
            ("[1,]", false),
            (r#"{"a" 1}"#, false),
            ("[1", false),
            ("nul", false),
        ] {
            assert_eq!(Cursor::new(text).raw().map(str::trim), whole.then(|| text.trim()), "{text}");
        }
        assert_eq!(Cursor::new(&"[".repeat(1_000_000)).raw(), None);
    }
}
