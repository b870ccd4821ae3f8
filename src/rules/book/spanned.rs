//! Values that know their place in the text.
//!
//! serde has no notion of place. A [`RawValue`] of `ron` borrows its very slice of the source, so the slice's
//! address tells the place; an error found inside such a slice is carried out through serde's text-only errors
//! as a marked message and taken apart again in [`parse`].

use super::defect::{Defect, Kind, nearest};
use super::text::{Span, offset_of};
use ron::value::RawValue;
use serde::de::{DeserializeOwned, Error as _, MapAccess, Visitor};
use serde::{Deserialize, Deserializer};
use std::borrow::Cow;
use std::fmt;
use std::marker::PhantomData;

/// A value together with the slice of the source that it was read from.
#[derive(Debug, Clone)]
pub(super) struct Spanned<'a, T> {
    pub value: T,
    pub text: &'a str,
}

/// A value that is read later, so that it can have a defect of its own.
#[derive(Debug, Clone, Copy)]
pub(super) struct Later<'a>(pub &'a str);

impl<'de: 'a, 'a> Deserialize<'de> for Later<'a> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        <&'de RawValue>::deserialize(from).map(|raw| Later(trimmed(raw)))
    }
}

/// One entry of a map whose value is read later, so that each entry can have a defect of its own.
#[derive(Debug)]
pub(super) struct Entry<'a> {
    pub key: Spanned<'a, String>,
    pub value: &'a str,
}

/// A map in the order of the text, doubles kept.
#[derive(Debug, Default)]
pub(super) struct Entries<'a>(pub Vec<Entry<'a>>);

impl<'de: 'a, 'a, T: DeserializeOwned> Deserialize<'de> for Spanned<'a, T> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let text = trimmed(<&'de RawValue>::deserialize(from)?);
        let value = read(text).map_err(|problem| D::Error::custom(problem.marked()))?;
        Ok(Spanned { value, text })
    }
}

impl<'de: 'a, 'a> Deserialize<'de> for Entries<'a> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct InOrder<'a>(PhantomData<&'a ()>);
        impl<'de: 'a, 'a> Visitor<'de> for InOrder<'a> {
            type Value = Entries<'a>;
            fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
                out.write_str("a map such as {\"name\": …}")
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Entries<'a>, A::Error> {
                let mut entries = Vec::new();
                while let Some(key) = map.next_key::<Spanned<'a, String>>()? {
                    let value = trimmed(map.next_value::<&'de RawValue>()?);
                    entries.push(Entry { key, value });
                }
                Ok(Entries(entries))
            }
        }
        from.deserialize_map(InOrder(PhantomData))
    }
}

/// A value with its place has the schema of the value.
impl<T: schemars::JsonSchema> schemars::JsonSchema for Spanned<'_, T> {
    fn inline_schema() -> bool {
        T::inline_schema()
    }

    fn schema_name() -> Cow<'static, str> {
        T::schema_name()
    }

    fn schema_id() -> Cow<'static, str> {
        T::schema_id()
    }

    fn json_schema(all: &mut schemars::SchemaGenerator) -> schemars::Schema {
        T::json_schema(all)
    }
}

fn trimmed(raw: &RawValue) -> &str {
    raw.trim().get_ron()
}

/// A defect inside a slice, by the address of its first byte.
struct Problem {
    address: usize,
    length: usize,
    message: String,
    help: Option<String>,
}

/// Stands before and between the parts of a marked message; no text file contains it.
const MARK: char = '\u{1}';

impl Problem {
    fn marked(&self) -> String {
        let help = self.help.as_deref().unwrap_or("");
        format!("{MARK}{}{MARK}{}{MARK}{}{MARK}{help}", self.address, self.length, self.message)
    }

    fn unmarked(text: &str) -> Option<Problem> {
        let mut parts = text.strip_prefix(MARK)?.splitn(4, MARK);
        let (address, length) = (parts.next()?.parse().ok()?, parts.next()?.parse().ok()?);
        let message = parts.next()?.to_owned();
        let help = parts.next().filter(|help| !help.is_empty()).map(str::to_owned);
        Some(Problem { address, length, message, help })
    }
}

fn options() -> ron::Options {
    ron::Options::default().with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME)
}

fn read<'a, T: Deserialize<'a>>(text: &'a str) -> Result<T, Problem> {
    options().from_str(text).map_err(|error| problem(text, &error))
}

fn problem(text: &str, error: &ron::error::SpannedError) -> Problem {
    if let ron::Error::Message(message) = &error.code
        && let Some(inner) = Problem::unmarked(message)
    {
        return inner;
    }
    let mut start = offset_of(text, error.span.start.line, error.span.start.col);
    let mut end = offset_of(text, error.span.end.line, error.span.end.col).max(start);
    if matches!(error.code, ron::Error::MissingStructField { .. }) {
        // The library notices at the closing bracket; a person looks where the thing begins.
        (start, end) = opening(text, start);
    }
    let pointed = text.get(start..).is_some_and(|rest| rest.starts_with('.'));
    let (message, help) = match &error.code {
        ron::Error::ExpectedComma if pointed => in_words(&ron::Error::ExpectedInteger),
        code => in_words(code),
    };
    Problem { address: text.as_ptr() as usize + start, length: (end - start).max(1), message, help }
}

/// The word before the bracket that the bracket at `close` closes, and the opening bracket.
fn opening(text: &str, close: usize) -> (usize, usize) {
    let mut open = Vec::new();
    let mut letters = text.char_indices().peekable();
    while let Some((at, letter)) = letters.next() {
        match letter {
            '"' => {
                let mut escaped = false;
                letters.by_ref().find(|(_, letter)| {
                    let ends = *letter == '"' && !escaped;
                    escaped = *letter == '\\' && !escaped;
                    ends
                });
            }
            '/' if letters.peek().is_some_and(|(_, next)| *next == '/') => {
                letters.by_ref().find(|(_, letter)| *letter == '\n');
            }
            '(' | '[' | '{' => open.push(at),
            ')' | ']' | '}' => {
                let opened = open.pop().unwrap_or(close);
                if at >= close {
                    let before = text.get(..opened).unwrap_or("");
                    let word = before.trim_end_matches(|letter: char| letter.is_alphanumeric()).len();
                    return (word, opened + 1);
                }
            }
            _ => {}
        }
    }
    (close, close + 1)
}

/// The library's defect in our words, with the nearest known name where a name is wrong.
fn in_words(error: &ron::Error) -> (String, Option<String>) {
    use ron::Error as E;
    let place = |outer: &Option<String>| match outer {
        Some(name) => format!(" in `{name}`"),
        None => String::new(),
    };
    match error {
        E::NoSuchStructField { expected, found, outer } => (
            format!("there is no field `{found}`{}", place(outer)),
            Some(nearest(found, expected.iter().copied())),
        ),
        E::NoSuchEnumVariant { expected, found, .. } => (
            format!("`{found}` is not a word that can stand here"),
            Some(nearest(found, expected.iter().copied())),
        ),
        E::MissingStructField { field, outer } => {
            (format!("the field `{field}` is missing{}", place(outer)), Some(format!("add `{field}: …`")))
        }
        E::DuplicateStructField { field, outer } => (
            format!("the field `{field}` stands twice{}", place(outer)),
            Some("keep one of the two".to_owned()),
        ),
        E::ExpectedDifferentStructName { expected, found } => (
            format!("`{found}` stands where `{expected}` is expected"),
            Some(format!("write `{expected}(…)`")),
        ),
        E::Message(message) => (message.clone(), None),
        E::InvalidValueForType { found, .. } => (
            format!("{} cannot stand here", plain(found)),
            Some("look at the same place in another question for what can".to_owned()),
        ),
        other => {
            let (message, help) = expected(other);
            (message.to_owned(), help.map(str::to_owned))
        }
    }
}

/// What the library found, without Rust's words for it.
fn plain(found: &str) -> String {
    match found.strip_prefix("the ").unwrap_or(found) {
        "unit value" | "a unit value" => "`()`".to_owned(),
        other => other.to_owned(),
    }
}

/// What should stand here instead. Brackets and commas were mended before.
fn expected(error: &ron::Error) -> (&'static str, Option<&'static str>) {
    use ron::Error as E;
    match error {
        E::ExpectedBoolean => ("`true` or `false` must stand here", None),
        E::ExpectedInteger
        | E::InvalidIntegerDigit { .. }
        | E::UnderscoreAtBeginning
        | E::ExpectedByteLiteral => ("a whole number must stand here", None),
        E::IntegerOutOfBounds => ("this number is too large or too small", None),
        E::ExpectedFloat | E::FloatUnderscore => ("a figure must stand here", Some("write one such as 0.5")),
        E::ExpectedString | E::ExpectedChar | E::ExpectedStringEnd => {
            ("a text in double quotes must stand here", None)
        }
        E::ExpectedArray => ("a list must stand here", Some("write `[…]`, even around a single one")),
        E::ExpectedMap => ("a map must stand here", Some("write `{\"name\": …}`")),
        E::ExpectedStructLikeEnd | E::ExpectedArrayEnd | E::ExpectedMapEnd | E::ExpectedOptionEnd => {
            ("too many values in these brackets", Some("delete what is too many"))
        }
        E::ExpectedMapColon => ("a colon is missing here", None),
        E::ExpectedComma => ("this does not belong here", Some("delete it, or put quotes around a name")),
        E::ExpectedStructLike | E::ExpectedNamedStructLike(_) | E::ExpectedStructName(_) => {
            ("brackets must stand here, with what belongs to this word", Some("write `(…)`"))
        }
        E::ExpectedIdentifier | E::InvalidIdentifier(_) | E::SuggestRawIdentifier(_) => {
            ("the name of a field must stand here", Some("write `name: …`, the name without quotes"))
        }
        E::TrailingCharacters => ("there is text after the end", Some("delete it")),
        E::InvalidEscape(_) => ("`\\` has no meaning here", Some("write `\\\\` for the sign itself")),
        E::Eof | E::UnexpectedChar(_) => ("something is missing here", None),
        _ => ("this cannot stand here", Some("look at the same place in another question for what can")),
    }
}

/// Where values of one file are parsed from, and where their defects are reported.
#[derive(Clone, Copy)]
pub(super) struct InFile<'a> {
    pub file: usize,
    /// Its mended text.
    pub text: &'a str,
}

impl<'a> InFile<'a> {
    /// The span of a slice of this file's text.
    pub fn span(self, slice: &str) -> Span {
        let start = self.offset(slice.as_ptr() as usize);
        Span { file: self.file, start, end: start + slice.len() }
    }

    fn offset(self, address: usize) -> usize {
        address.saturating_sub(self.text.as_ptr() as usize).min(self.text.len())
    }

    /// Reads one slice of this file; a defect is placed in the file.
    pub fn parse<T: Deserialize<'a>>(self, slice: &'a str, defects: &mut Vec<Defect>) -> Option<T> {
        match read(slice) {
            Ok(value) => Some(value),
            Err(problem) => {
                let start = self.offset(problem.address);
                let end = (start + problem.length).min(self.text.len()).max(start);
                let defect =
                    Defect::new(Kind::Syntax, Span { file: self.file, start, end }, problem.message.clone());
                defects.push(match problem.help {
                    Some(help) => defect.help(help),
                    None => defect,
                });
                None
            }
        }
    }
}
