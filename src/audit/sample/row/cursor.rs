//! A line of JSON, read value by value from its beginning to its end.
//!
//! By hand, because an audit reads a million lines, and most of a line is short texts and fields that it does not need:
//! handing each to serde took two thirds of all reading (`cargo bench --bench auditing`). Numbers, escapes and whatever is
//! rare are left to serde. Skipped values are only searched for their end; `log::exchange::jsonl` says what is wrong with
//! a line.

use serde::Deserialize;
use serde::de::Error as _;
use serde_json::{Deserializer, Error};
use std::borrow::Cow;

pub(super) struct Cursor<'a> {
    line: &'a str,
    at: usize,
}

/// An object or a list that is being read.
pub(super) struct Open {
    /// What closes it.
    end: u8,
    /// An item was read.
    began: bool,
}

fn expected(what: &str) -> Error {
    Error::custom(format_args!("expected {what}"))
}

impl<'a> Cursor<'a> {
    pub(super) fn of(line: &'a str) -> Cursor<'a> {
        Cursor { line, at: 0 }
    }

    /// Opens the object that stands here.
    ///
    /// # Errors
    /// There is no object; the functions below fail likewise.
    pub(super) fn object(&mut self) -> Result<Open, Error> {
        self.take(b'{', "an object")?;
        Ok(Open { end: b'}', began: false })
    }

    pub(super) fn list(&mut self) -> Result<Open, Error> {
        self.take(b'[', "a list")?;
        Ok(Open { end: b']', began: false })
    }

    /// Whether another item is in the list; its value must be taken before the next.
    pub(super) fn item(&mut self, open: &mut Open) -> Result<bool, Error> {
        if self.sign() == Some(open.end) {
            self.at += 1;
            return Ok(false);
        }
        if std::mem::replace(&mut open.began, true) {
            self.take(b',', "`,` or an end")?;
        }
        Ok(true)
    }

    /// The name of the object's next field, if there is another; its value must be taken before the next.
    pub(super) fn field(&mut self, open: &mut Open) -> Result<Option<Cow<'a, str>>, Error> {
        if !self.item(open)? {
            return Ok(None);
        }
        let name = self.text()?;
        self.take(b':', "`:`")?;
        Ok(Some(name))
    }

    pub(super) fn is_text(&mut self) -> bool {
        self.sign() == Some(b'"')
    }

    pub(super) fn text(&mut self) -> Result<Cow<'a, str>, Error> {
        match self.plain() {
            Some(plain) => {
                self.at += plain.len() + 2;
                Ok(Cow::Borrowed(plain))
            }
            None => self.value::<String>().map(Cow::Owned),
        }
    }

    /// The text between the quotes here, if it has no escapes, as most have none.
    fn plain(&mut self) -> Option<&'a str> {
        let start = self.is_text().then_some(self.at + 1)?;
        let end = special(self.line.as_bytes(), start);
        let ends = self.line.as_bytes().get(end) == Some(&b'"');
        ends.then(|| self.line.get(start..end))?
    }

    /// Whether there is a value; a `null` is skipped.
    pub(super) fn there(&mut self) -> Result<bool, Error> {
        let is_null = self.sign() == Some(b'n');
        if is_null {
            self.word("null")?;
        }
        Ok(!is_null)
    }

    pub(super) fn truth(&mut self) -> Result<bool, Error> {
        let truth = self.sign() == Some(b't');
        self.word(if truth { "true" } else { "false" })?;
        Ok(truth)
    }

    fn word(&mut self, word: &str) -> Result<(), Error> {
        let rest = self.line.get(self.at..).unwrap_or("");
        let after = rest.strip_prefix(word).ok_or_else(|| expected(word))?;
        self.at += rest.len() - after.len();
        Ok(())
    }

    /// The value that stands here, as serde reads it.
    pub(super) fn value<T: Deserialize<'a>>(&mut self) -> Result<T, Error> {
        let rest = self.line.get(self.at..).unwrap_or("");
        let mut values = Deserializer::from_str(rest).into_iter();
        let value = values.next().unwrap_or_else(|| Err(expected("a value")))?;
        self.at += values.byte_offset();
        Ok(value)
    }

    pub(super) fn pass_over(&mut self) -> Result<(), Error> {
        self.written().map(|_| ())
    }

    /// The value that stands here, as it is written.
    pub(super) fn written(&mut self) -> Result<&'a str, Error> {
        let (sign, bytes, start) = (self.sign(), self.line.as_bytes(), self.at);
        let end = match sign {
            Some(b'"') => end_of_text(bytes, start + 1).map(|quotes| quotes + 1),
            Some(b'{' | b'[') => end_of(bytes, start),
            Some(_) | None => end_of_word(bytes, start),
        };
        self.at = end.ok_or_else(|| expected("a value"))?;
        Ok(self.line.get(start..self.at).unwrap_or(""))
    }

    /// Checks that only white space follows the line's value.
    pub(super) fn end(&mut self) -> Result<(), Error> {
        match self.sign() {
            None => Ok(()),
            Some(_) => Err(expected("the end of the line")),
        }
    }

    /// The next byte that is not white; none at the end.
    fn sign(&mut self) -> Option<u8> {
        let bytes = self.line.as_bytes();
        while matches!(bytes.get(self.at), Some(b' ' | b'\t' | b'\r' | b'\n')) {
            self.at += 1;
        }
        bytes.get(self.at).copied()
    }

    fn take(&mut self, sign: u8, what: &str) -> Result<(), Error> {
        if self.sign() != Some(sign) {
            return Err(expected(what));
        }
        self.at += 1;
        Ok(())
    }
}

/// Where what opens at a place is closed again.
fn end_of(bytes: &[u8], mut at: usize) -> Option<usize> {
    let mut depth = 0_usize;
    loop {
        match bytes.get(at)? {
            b'{' | b'[' => depth += 1,
            b'}' | b']' => depth -= 1,
            b'"' => at = end_of_text(bytes, at + 1)?,
            _ => {}
        }
        at += 1;
        if depth == 0 {
            return Some(at);
        }
    }
}

/// Where a number or a word that begins at a place ends.
fn end_of_word(bytes: &[u8], start: usize) -> Option<usize> {
    let of_word = |byte: &u8| byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'+' | b'.');
    let len = bytes.get(start..)?.iter().take_while(|byte| of_word(byte)).count();
    (len > 0).then_some(start + len)
}

/// The quotes that end a text, from a place in it.
fn end_of_text(bytes: &[u8], mut at: usize) -> Option<usize> {
    loop {
        at = special(bytes, at);
        match bytes.get(at)? {
            b'"' => return Some(at),
            b'\\' => at += 2,
            _ => return None,
        }
    }
}

/// The place of the first byte from `start` on that is not plain text: quotes, an escape, a control. Eight at a time: a
/// byte `b` of a word has its highest bit set in `(w - n * LOWS) & !w & HIGHS` if it is below `n`, and of those that have
/// it the lowest is one that is (Warren, "Hacker's Delight", 2nd edition, section 6-1).
fn special(bytes: &[u8], start: usize) -> usize {
    const LOWS: u64 = u64::MAX / 0xff;
    const HIGHS: u64 = LOWS << 7;
    let below = |word: u64, limit: u64| word.wrapping_sub(limit * LOWS) & !word & HIGHS;
    let is = |word: u64, byte: u8| below(word ^ (u64::from(byte) * LOWS), 1);
    let rest = bytes.get(start..).unwrap_or(&[]);
    let (words, tail) = rest.as_chunks::<8>();
    for (place, word) in words.iter().enumerate() {
        let word = u64::from_le_bytes(*word);
        let found = is(word, b'"') | is(word, b'\\') | below(word, u64::from(b' '));
        if found != 0 {
            return start + 8 * place + found.trailing_zeros() as usize / 8;
        }
    }
    let in_tail = tail.iter().position(|byte| matches!(byte, b'"' | b'\\' | ..b' '));
    start + rest.len() - tail.len() + in_tail.unwrap_or(tail.len())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use serde_json::{Map, Value};

    /// A line as an object, in all the ways of reading it.
    fn read(line: &str) -> Result<Map<String, Value>, Error> {
        let (mut cursor, mut read) = (Cursor::of(line), Map::new());
        let mut object = cursor.object()?;
        while let Some(name) = cursor.field(&mut object)? {
            let value = match (&*name, cursor.is_text()) {
                (_, true) => Value::from(cursor.text()?),
                ("yes" | "no", false) => Value::from(cursor.truth()?),
                ("list", false) => {
                    let (mut list, mut items) = (cursor.list()?, Vec::new());
                    while cursor.item(&mut list)? {
                        items.push(cursor.value::<Value>()?);
                    }
                    Value::from(items)
                }
                (_, false) if !cursor.there()? => Value::Null,
                (_, false) => serde_json::from_str(cursor.written()?)?,
            };
            read.insert(name.into_owned(), value);
        }
        cursor.end()?;
        Ok(read)
    }

    const LINE: &str = r#" {"id":"r-1" , "é\"t\u00e9" :[1,{"a":"}\"{"}],"x":-1.5e3,"none":null,"yes":true,"no":false,
        "say":"a long text, longer than a word, \\\"b\n","list":[ "a" ,{},[] , 2],"last":{}} "#;

    #[test]
    fn a_line_is_what_serde_reads() {
        let expected: Map<String, Value> = serde_json::from_str(LINE).expect("JSON");
        assert_eq!(read(LINE).expect("JSON"), expected);
        assert_eq!(read(" {\t} ").expect("JSON"), Map::new());
    }

    #[test]
    fn what_is_no_object_is_refused() {
        for line in [
            "",
            "[]",
            "5",
            "{",
            "{}{}",
            "{} x",
            "{,}",
            r#"{"a":1,}"#,
            r#"{"a" 1}"#,
            r#"{"a":}"#,
            r#"{"a":1"#,
            r#"{"a":1 "b":2}"#,
            r#"{a:1}"#,
            r#"{"a":"b}"#,
            r#"{"a":{"b":[1}"#,
            "{\"a\":\"b\tc\"}",
            r#"{"a":nul}"#,
            r#"{"yes":tru}"#,
            r#"{"a":"\x"}"#,
            r#"{"a":01}"#,
            r#"{"list":[1,]}"#,
            r#"{"list":[,1]}"#,
        ] {
            assert!(read(line).is_err(), "{line}");
        }
    }

    proptest! {
        /// Where a line has lost or got a byte it is read as by serde, or refused; it may be refused where serde takes
        /// it, because a field has changed its kind.
        // PROPERTY: the audit's quick reader reads what serde does, and a damaged line as nothing else
        #[test]
        fn a_damaged_line_is_never_read_as_something_else(at in 0..LINE.len(), byte in "[\\x00-\\x7f]?") {
            prop_assume!(LINE.is_char_boundary(at) && LINE.is_char_boundary(at + 1));
            let damaged = format!("{}{byte}{}", &LINE[..at], &LINE[at + 1..]);
            if let Ok(read) = read(&damaged) {
                prop_assert_eq!(Some(read), serde_json::from_str(&damaged).ok(), "{}", damaged);
            }
        }

        #[test]
        fn the_first_special_byte_is_found_wherever_it_stands(text in "[ -~é\\x00-\\x1f]{0,40}", start in 0_usize..10) {
            let bytes = text.as_bytes();
            let plainly = bytes.iter().enumerate().skip(start);
            let plainly = plainly.filter(|(_, byte)| **byte < b' ' || **byte == b'"' || **byte == b'\\');
            let expected = plainly.map(|(at, _)| at).next().unwrap_or(bytes.len().max(start));
            prop_assert_eq!(special(bytes, start), expected);
        }
    }
}
