//! Quotes, brackets, commas and colons of one file: every defect of them at once.
//!
//! Where it is plain what was meant, the text is put right at the same length, so that reading goes on behind
//! the defect and every place stays what it was. Where it is not, the file is not read further. Quotes pair up
//! within a line, so that a missing one does not invert the rest of the file.

use super::defect::{Defect, Kind};
use super::text::Span;

/// The most bytes that a file of a book may have; the longest of the books inside the program has 12,000.
pub(super) const LARGEST: usize = 1_000_000;

/// Deepest nesting of brackets; a question has six.
const DEEPEST: usize = 40;

/// A file with this many faults is probably not a book.
const MOST_FAULTS: usize = 25;

/// The mended text, or `None` if its structure is lost. Faults go to `defects`.
pub(super) fn mend(file: usize, text: &str, defects: &mut Vec<Defect>) -> Option<String> {
    if let Some(defect) = no_book(file, text) {
        defects.push(defect);
        return None;
    }
    let mut reader = Reader {
        file,
        text,
        mended: text.as_bytes().to_vec(),
        at: 0,
        open: Vec::new(),
        top: Inside::default(),
        defects: Vec::new(),
    };
    let whole = reader.read();
    defects.append(&mut reader.defects);
    // INVARIANT: only whole characters are overwritten, by ASCII.
    whole.then(|| String::from_utf8(reader.mended).expect("still UTF-8"))
}

/// A defect if the file is too long or not text.
fn no_book(file: usize, text: &str) -> Option<Defect> {
    let at = |start: usize, length: usize| Span { file, start, end: (start + length).min(text.len()) };
    if text.len() > LARGEST {
        let message =
            format!("the file has {} bytes, and a file of a book has at most {LARGEST}", text.len());
        let defect = Defect::new(Kind::TooMany, at(0, 0), message);
        return Some(defect.help("split the question, or move what is not a rule out of the folder"));
    }
    let strange = |letter: char| letter == '\u{fffd}' || letter.is_control() && !"\t\r\n".contains(letter);
    if let Some((start, letter)) = text.char_indices().find(|(_, letter)| strange(*letter)) {
        let defect = Defect::new(Kind::Syntax, at(start, letter.len_utf8()), "this is not readable text");
        return Some(defect.help("save the file as plain text, in UTF-8"));
    }
    None
}

fn empty(at: Span) -> Defect {
    Defect::new(Kind::Syntax, at, "the file is empty")
        .help("write `Book(…)` in book.ron and `Tree(…)` in the file of a question")
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Form {
    Text,
    Word,
    Figure,
    Open(u8),
    Close(u8),
    Comma,
    Colon,
}

#[derive(Debug, Clone, Copy)]
struct Token {
    form: Form,
    start: usize,
    end: usize,
}

/// What was seen so far between one pair of brackets.
#[derive(Debug, Clone, Copy, Default)]
struct Inside {
    last: Option<Token>,
    /// Whether there was a colon since the last comma.
    colon: bool,
    /// Whether there was one at all: a map or struct, not a list.
    named: bool,
}

struct Reader<'a> {
    file: usize,
    text: &'a str,
    mended: Vec<u8>,
    at: usize,
    /// The brackets that are open, with what stood around each.
    open: Vec<(Token, Inside)>,
    top: Inside,
    defects: Vec<Defect>,
}

impl Reader<'_> {
    /// Whether the text can be read further.
    fn read(&mut self) -> bool {
        while let Some(token) = self.next() {
            let Some(token) = token.filter(|token| self.fits(*token)) else { return false };
            match token.form {
                Form::Open(_) if self.open.len() == DEEPEST => {
                    self.defect(token, "brackets are nested too deep", "no rule needs so many");
                    return false;
                }
                Form::Open(_) => {
                    self.open.push((token, self.top));
                    self.top = Inside::default();
                }
                Form::Close(_) => match self.close(token) {
                    Some(true) => self.top.last = Some(token),
                    Some(false) => {}
                    None => return false,
                },
                Form::Text | Form::Word | Form::Figure => self.top.last = Some(token),
                Form::Comma => self.top = Inside { last: Some(token), colon: false, ..self.top },
                Form::Colon => self.top = Inside { last: Some(token), colon: true, named: true },
            }
            if self.defects.len() >= MOST_FAULTS {
                return false;
            }
        }
        if self.top.last.is_none() && self.open.is_empty() && self.defects.is_empty() {
            self.defects.push(empty(self.span(0, 0)));
            return false;
        }
        if let Some((open, _)) = self.open.last().copied() {
            self.defect(open, "this bracket is never closed", "close it where its content ends");
            return false;
        }
        true
    }

    fn span(&self, start: usize, end: usize) -> Span {
        Span { file: self.file, start, end }
    }

    fn defect(&mut self, at: Token, message: impl Into<String>, help: &str) {
        let span = self.span(at.start, at.end);
        self.defects.push(Defect::new(Kind::Syntax, span, message).help(help));
    }

    fn overwrite(&mut self, start: usize, end: usize, with: u8) {
        if let Some(bytes) = self.mended.get_mut(start..end) {
            bytes.fill(b' ');
        }
        if let Some(byte) = self.mended.get_mut(start) {
            *byte = with;
        }
    }

    /// The next token. `None` at the end; `Some(None)` if the rest cannot be split into tokens.
    fn next(&mut self) -> Option<Option<Token>> {
        loop {
            let start = self.at;
            let rest = self.text.get(start..)?;
            let letter = rest.chars().next()?;
            let (form, length) = match letter {
                '\u{feff}' => {
                    // A byte order mark at the start of a file is ignored.
                    self.overwrite(start, start + letter.len_utf8(), b' ');
                    self.at += letter.len_utf8();
                    continue;
                }
                _ if letter.is_whitespace() => {
                    self.at += letter.len_utf8();
                    continue;
                }
                '/' if rest.starts_with("//") => {
                    self.at += rest.find('\n').unwrap_or(rest.len());
                    continue;
                }
                '/' if rest.starts_with("/*") => {
                    let Some(end) = rest.find("*/") else {
                        let token = Token { form: Form::Text, start, end: start + 2 };
                        self.defect(token, "this remark is never closed", "end it with `*/`");
                        self.at = self.text.len();
                        return Some(None);
                    };
                    self.at += end + 2;
                    continue;
                }
                '"' => return Some(self.quoted(start, '"')),
                '\u{201c}' | '\u{201d}' | '\u{201e}' => return Some(self.quoted(start, letter)),
                '(' | '[' | '{' => (Form::Open(letter as u8), 1),
                ')' | ']' | '}' => (Form::Close(letter as u8), 1),
                ',' => (Form::Comma, 1),
                ':' => (Form::Colon, 1),
                _ if letter.is_alphabetic() || letter == '_' => (Form::Word, word(rest)),
                _ if letter.is_ascii_digit() || "+-.".contains(letter) => (Form::Figure, word(rest)),
                _ => {
                    let token = Token { form: Form::Comma, start, end: start + letter.len_utf8() };
                    self.at = token.end;
                    match self.stray(token, letter) {
                        Some(form) => return Some(Some(Token { form, ..token })),
                        None => continue,
                    }
                }
            };
            self.at += length;
            return Some(Some(Token { form, start, end: start + length }));
        }
    }

    /// Reports a character that no book uses. Returns the token that was meant, if that is clear.
    fn stray(&mut self, token: Token, letter: char) -> Option<Form> {
        let (form, with, help) = match letter {
            '=' => (Some(Form::Colon), b':', "write `:` between a name and what it is"),
            ';' => (Some(Form::Comma), b',', "write `,` between two things"),
            _ => (None, b' ', "texts stand in double quotes; delete it if it is no part of one"),
        };
        self.defect(token, format!("`{letter}` cannot stand here"), help);
        self.overwrite(token.start, token.end, with);
        form
    }

    /// A text in quotes that ends on its line.
    fn quoted(&mut self, start: usize, quote: char) -> Option<Token> {
        let inner = start + quote.len_utf8();
        let line = self.text.get(inner..)?.split('\n').next().unwrap_or("");
        let mut escaped = false;
        let closing = line.char_indices().find(|(_, letter)| {
            let closes = !escaped && (*letter == '"' || quote != '"' && "\u{201c}\u{201d}".contains(*letter));
            escaped = !escaped && *letter == '\\';
            closes
        });
        let Some((at, letter)) = closing else {
            self.unpaired(start, inner + line.trim_end().len());
            return None;
        };
        let token = Token { form: Form::Text, start, end: inner + at + letter.len_utf8() };
        if quote != '"' || letter != '"' {
            self.defect(token, "this text stands in curved quotes", "write straight ones: \"…\"");
            self.overwrite(start, inner, b' ');
            self.overwrite(inner - 1, inner, b'"');
            self.overwrite(inner + at, token.end, b'"');
        }
        self.at = token.end;
        Some(token)
    }

    /// Reports a quote without its partner, and drops the other defects of the line, which follow from it.
    fn unpaired(&mut self, start: usize, end: usize) {
        let line = self.text.get(..start).and_then(|before| before.rfind('\n')).map_or(0, |at| at + 1);
        self.defects.retain(|defect| defect.at.start < line);
        let first = self.text.get(line..).and_then(|text| text.find('"')).map_or(start, |at| line + at);
        let at = self.span(first.min(start), end);
        let message = "a quote is missing on this line";
        self.defects.push(
            Defect::new(Kind::Syntax, at, message)
                .help("a text begins and ends with `\"` on one line; inside it, write `\\\"`"),
        );
    }

    /// Reports what is missing or superfluous before this token; returns whether the text can be read further.
    fn fits(&mut self, token: Token) -> bool {
        let Some(last) = self.top.last else {
            if token.form == Form::Comma && !self.open.is_empty() {
                self.extra_comma(token);
            }
            return true;
        };
        let ends = matches!(last.form, Form::Text | Form::Word | Form::Figure | Form::Close(_));
        let begins = matches!(token.form, Form::Text | Form::Word | Form::Figure | Form::Open(_));
        if token.form == Form::Comma && last.form == Form::Comma {
            self.extra_comma(token);
        }
        let named = last.form == Form::Word && token.form == Form::Open(b'(');
        if self.open.is_empty() || !ends || !begins || named {
            return true;
        }
        if self.plain_name(last) && self.plain_name(token) {
            // Not mended: the reader reports the same place again, which counts as one defect.
            let text = self.text.get(last.start..token.end).unwrap_or("").to_owned();
            let both = Token { end: token.end, ..last };
            self.defect(both, "a name must stand in double quotes", &format!("write `\"{text}\"`"));
            return true;
        }
        // A name without a colon behind it, where names stand.
        let list = self.open.last().is_some_and(|(open, _)| open.form == Form::Open(b'['));
        let colon = !self.top.colon
            && !list
            && match last.form {
                Form::Word => true,
                Form::Text => self.open.last().is_some_and(|(open, _)| open.form == Form::Open(b'{')),
                Form::Figure | Form::Open(_) | Form::Close(_) | Form::Comma | Form::Colon => false,
            };
        let (sign, message, help) = if colon {
            (b':', "a colon is missing after this", "put a `:` between the name and what it is")
        } else {
            (b',', "a comma is missing after this", "put a `,` between the two")
        };
        if last.form == Form::Text && token.form != Form::Text && last.end == token.start {
            // A text that ends directly before another token: a quote is missing.
            let line = self.text.get(token.start..).and_then(|rest| rest.split('\n').next()).unwrap_or("");
            self.unpaired(last.start, token.start + line.trim_end().len());
            return false;
        }
        self.defect(last, message, help);
        self.top.colon = colon;
        let room = self.text.as_bytes().get(last.end).is_some_and(u8::is_ascii_whitespace);
        if room {
            self.overwrite(last.end, last.end + 1, sign);
        }
        room
    }

    /// A lower-case word other than `true` and `false`: words of the language begin with a capital.
    fn plain_name(&self, token: Token) -> bool {
        let word = self.text.get(token.start..token.end).unwrap_or("");
        token.form == Form::Word && word.starts_with(char::is_lowercase) && !["true", "false"].contains(&word)
    }

    fn extra_comma(&mut self, token: Token) {
        self.defect(token, "there is a comma too many", "delete it");
        self.overwrite(token.start, token.end, b' ');
    }

    /// Closes a bracket; returns whether it did, or `None` if the structure is lost.
    fn close(&mut self, token: Token) -> Option<bool> {
        let Form::Close(found) = token.form else { return Some(false) };
        let Some((open, around)) = self.open.last().copied() else {
            self.defect(
                token,
                "this bracket closes nothing",
                "delete it, or look for a missing one before it",
            );
            self.overwrite(token.start, token.end, b' ');
            return Some(false);
        };
        let (opening, wanted) = match self.text.as_bytes().get(open.start) {
            Some(b'(') => (b'(', b')'),
            Some(b'[') => (b'[', b']'),
            Some(_) | None => (b'{', b'}'),
        };
        if found != wanted {
            let (inner, outer) = (self.indent(token.start), self.indent(open.start));
            let one_line = !self.text.get(open.start..token.start).unwrap_or("").contains('\n');
            let help = format!("write `{}`", wanted as char);
            if inner == outer && opening == b'[' && self.top.named {
                let right = if found == b'}' { b'{' } else { b'(' };
                let message = "a list cannot hold named values";
                self.defect(open, message, &format!("write `{}`", right as char));
                self.overwrite(open.start, open.end, right);
            } else if one_line || inner == outer {
                let message = format!("`{}` is closed by `{}`", opening as char, found as char);
                self.defects.push(
                    Defect::new(Kind::Syntax, self.span(token.start, token.end), message)
                        .beside(self.span(open.start, open.end), "opened here")
                        .help(help),
                );
                self.overwrite(token.start, token.end, wanted);
            } else if inner < outer {
                self.defects.push(
                    Defect::new(
                        Kind::Syntax,
                        self.span(open.start, open.end),
                        "this bracket is never closed",
                    )
                    .beside(self.span(token.start, token.end), "not closed before this")
                    .help(help + " where what it holds ends"),
                );
                return None;
            } else {
                self.defect(
                    token,
                    "this bracket closes nothing",
                    "delete it, or look for a missing one before it",
                );
                self.overwrite(token.start, token.end, b' ');
                return Some(false);
            }
        }
        self.open.pop();
        self.top = around;
        Some(true)
    }

    /// The indentation of this byte's line: matching brackets usually have the same.
    fn indent(&self, at: usize) -> usize {
        let before = self.text.get(..at).unwrap_or("");
        let line = before.rfind('\n').map_or(0, |newline| newline + 1);
        let rest = self.text.get(line..).unwrap_or("");
        rest.len() - rest.trim_start_matches([' ', '\t']).len()
    }
}

/// The length of a word or figure.
fn word(rest: &str) -> usize {
    let part = |letter: char| letter.is_alphanumeric() || "_+-.#".contains(letter);
    rest.find(|letter: char| !part(letter)).unwrap_or(rest.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mended(text: &str) -> (Option<String>, Vec<String>) {
        let mut defects = Vec::new();
        let whole = mend(0, text, &mut defects);
        (whole, defects.into_iter().map(|defect| format!("{} {}", defect.at.start, defect.message)).collect())
    }

    #[test]
    fn what_is_plain_is_put_right_at_the_same_length_and_reported() {
        for (text, right, said) in [
            ("T(a: 1 b: 2)", "T(a: 1,b: 2)", "5 a comma is missing after this"),
            ("T(a: [1] b: 2)", "T(a: [1],b: 2)", "7 a comma is missing after this"),
            ("T(a 1)", "T(a:1)", "2 a colon is missing after this"),
            ("T(a {\"x\": 1})", "T(a:{\"x\": 1})", "2 a colon is missing after this"),
            ("{\"x\" T(a: 1)}", "{\"x\":T(a: 1)}", "1 a colon is missing after this"),
            ("T(a = 1; b: 2)", "T(a : 1, b: 2)", "4 `=` cannot stand here"),
            ("T(a: 1,, b: 2)", "T(a: 1,  b: 2)", "7 there is a comma too many"),
            ("T(a: [1))", "T(a: [1])", "7 `[` is closed by `)`"),
            ("T(a: 1))", "T(a: 1) ", "7 this bracket closes nothing"),
            ("T(a: \u{201c}b\u{201d})", "T(a:   \"b\"  )", "5 this text stands in curved quotes"),
            ("\u{feff}T(a: 1,)", "   T(a: 1,)", ""),
            ("T(a: \"1 \\\" 2\", /* b c */ b: f(1.5)) // \"", "", ""),
        ] {
            let (whole, defects) = mended(text);
            assert_eq!(whole.as_deref(), Some(if right.is_empty() { text } else { right }), "{text}");
            assert_eq!(defects.first().map_or("", String::as_str), said, "{text}");
        }
    }

    #[test]
    fn what_is_not_plain_is_reported_once_and_not_read_further() {
        for (text, said) in [
            ("T(\n  a: [\n    1,\n  b: 2,\n)", "8 this bracket is never closed"),
            ("T(a: 1", "1 this bracket is never closed"),
            ("T(a: \"b, c: \"d\")", "5 a quote is missing on this line"),
            ("", "0 the file is empty"),
            ("\u{fffd}PNG", "0 this is not readable text"),
            ("T(/* a", "2 this remark is never closed"),
        ] {
            assert_eq!(mended(text), (None, vec![said.to_owned()]), "{text}");
        }
    }
}
