//! From a text in JSON or RON to its values with their places.

use super::node::{Key, Node, Value};
use super::{Fault, Form};
use rules::shown::shown;
use std::ops::Range;

/// How deep brackets may be nested.
const DEEPEST: usize = 60;

/// The values of a text.
pub(super) fn parse(text: &str, form: Form) -> Result<Node, Fault> {
    let mut reader = Reader { text, at: 0, form, open: 0 };
    reader.header();
    reader.skip();
    if reader.peek().is_none() {
        return Err(fault(0, "the file is empty"));
    }
    let node = reader.value()?;
    reader.skip();
    match reader.peek() {
        None => Ok(node),
        Some(sign @ (')' | ']' | '}')) => {
            Err(fault(reader.at, format!("`{sign}` closes nothing here")).help("delete it"))
        }
        Some(_) => Err(fault(reader.at, "there is more behind the end")
            .help("delete it; several stand in a list: `[ … , … ]`")),
    }
}

pub(super) fn fault(at: usize, message: impl Into<String>) -> Fault {
    Fault { at: Some(at), path: Vec::new(), message: message.into(), help: None }
}

fn no_comments(at: usize) -> Fault {
    fault(at, "JSON has no comments").help("delete it, or write RON into a file whose name ends in `.ron`")
}

fn unclosed(open: usize) -> Fault {
    fault(open, "the quotation mark here is never closed")
        .help("add `\"` at the end of the text, in the same line")
}

impl Fault {
    pub(super) fn help(self, help: impl Into<String>) -> Fault {
        Fault { help: Some(help.into()), ..self }
    }
}

struct Reader<'t> {
    text: &'t str,
    at: usize,
    form: Form,
    /// How many brackets are open.
    open: usize,
}

impl<'t> Reader<'t> {
    fn rest(&self) -> &'t str {
        &self.text[self.at..]
    }

    fn peek(&self) -> Option<char> {
        self.rest().chars().next()
    }

    fn take(&mut self, sign: char) -> bool {
        let is = self.peek() == Some(sign);
        if is {
            self.at += sign.len_utf8();
        }
        is
    }

    /// Takes signs as long as they are of this kind.
    fn take_while(&mut self, is: impl Fn(char) -> bool) -> &'t str {
        let rest = self.rest();
        let end = rest.find(|sign| !is(sign)).unwrap_or(rest.len());
        self.at += end;
        &rest[..end]
    }

    /// White space, and in RON comments.
    fn skip(&mut self) {
        loop {
            self.take_while(char::is_whitespace);
            let rest = self.rest();
            if self.form == Form::Ron && rest.starts_with("//") {
                self.take_while(|sign| sign != '\n');
            } else if self.form == Form::Ron && rest.starts_with("/*") {
                self.at += rest.find("*/").map_or(rest.len(), |end| end + 2);
            } else {
                return;
            }
        }
    }

    /// RON: `#![enable(…)]` at the top, which changes nothing here.
    fn header(&mut self) {
        self.skip();
        while self.form == Form::Ron && self.rest().starts_with("#![") {
            self.take_while(|sign| sign != ']');
            self.take(']');
            self.skip();
        }
    }

    fn value(&mut self) -> Result<Node, Fault> {
        self.skip();
        let at = self.at;
        let ron = self.form == Form::Ron;
        let value = match self.peek() {
            None => return Err(fault(at, "the text ends here, and a value is missing")),
            Some('{') => self.fields()?,
            Some('[') => self.list(']')?,
            Some('(') if ron => self.round()?,
            Some('"') => Value::Text(self.quoted()?),
            Some('r') if ron && (self.rest().starts_with("r\"") || self.rest().starts_with("r#")) => {
                Value::Text(self.raw()?)
            }
            Some(sign) if sign.is_ascii_digit() || matches!(sign, '-' | '+' | '.') => self.number()?,
            Some(sign) if sign.is_alphabetic() || sign == '_' => self.word()?,
            Some(sign @ (',' | ':' | ')' | ']' | '}')) => {
                return Err(fault(at, format!("a value is missing before `{sign}`")));
            }
            Some('\u{2018}'..='\u{201f}' | '\'') => {
                return Err(fault(at, "this is not the quotation mark that is meant here")
                    .help("write texts and names in straight double quotes: `\"…\"`"));
            }
            Some('/') => return Err(no_comments(at)),
            Some('(') => {
                return Err(fault(at, "round brackets cannot stand here: this is JSON")
                    .help("write `{\"name\": …}`, or RON into a file whose name ends in `.ron`"));
            }
            Some(sign) => return Err(fault(at, format!("`{}` cannot stand here", shown(&sign.to_string())))),
        };
        Ok(Node { at, value })
    }

    fn enter(&mut self) -> Result<(), Fault> {
        self.open += 1;
        match self.open > DEEPEST {
            true => Err(fault(self.at, "brackets are nested too deep")),
            false => Ok(()),
        }
    }

    /// Whether a list or map goes on behind an item; `open`: where it began.
    fn goes_on(&mut self, open: usize, item: Range<usize>, close: char) -> Result<bool, Fault> {
        self.skip();
        let comma = self.at;
        let went_on = self.take(',');
        self.skip();
        if self.take(close) {
            return match went_on && self.form == Form::Json {
                true => Err(fault(comma, format!("a comma too many before `{close}`")).help("delete it")),
                false => {
                    self.open -= 1;
                    Ok(false)
                }
            };
        }
        match self.peek() {
            None => Err(self.never_closed(open, close)),
            Some(other @ (')' | ']' | '}')) => {
                Err(fault(self.at, format!("`{other}` stands where `{close}` is expected"))
                    .help(format!("write `{close}`")))
            }
            Some(',') => Err(fault(self.at, "a comma too many").help("delete it")),
            Some(_) if went_on => Ok(true),
            Some(':') => Err(fault(self.at, "`:` cannot stand here").help(
                "a time is a number of seconds: 4:41 is 281; a name before `:` stands in double quotes",
            )),
            Some(_) if self.text[item.clone()].starts_with('"') && self.text[item.clone()].contains('\n') => {
                Err(unclosed(item.start))
            }
            Some('/') if self.form == Form::Json => Err(no_comments(self.at)),
            Some(_) if self.text[item.clone()].starts_with('"') => {
                Err(fault(item.end, "a comma is missing here")
                    .help("write `,` between two values, or close the quotation mark before"))
            }
            Some(_) => Err(fault(item.end, "a comma is missing here").help("write `,` between two values")),
        }
    }

    fn never_closed(&self, open: usize, close: char) -> Fault {
        let sign = self.text[open..].chars().next().unwrap_or(close);
        fault(open, format!("`{sign}` is never closed")).help(format!("add `{close}`"))
    }

    fn list(&mut self, close: char) -> Result<Value, Fault> {
        let open = self.at;
        self.enter()?;
        self.at += 1;
        let mut items = Vec::new();
        self.skip();
        if self.take(close) {
            self.open -= 1;
            return Ok(Value::List(items));
        }
        loop {
            self.skip();
            if self.peek().is_none() {
                return Err(self.never_closed(open, close));
            }
            let start = self.at;
            items.push(self.value()?);
            if !self.goes_on(open, start..self.at, close)? {
                return Ok(Value::List(items));
            }
        }
    }

    /// `{"name": …}`, and in RON `(name: …)`.
    fn fields(&mut self) -> Result<Value, Fault> {
        let open = self.at;
        let close = if self.peek() == Some('{') { '}' } else { ')' };
        self.enter()?;
        self.at += 1;
        let mut fields: Vec<(Key, Node)> = Vec::new();
        self.skip();
        if self.take(close) {
            self.open -= 1;
            return Ok(Value::Fields(fields));
        }
        loop {
            self.skip();
            if self.peek().is_none() {
                return Err(self.never_closed(open, close));
            }
            let key = self.key(close)?;
            if let Some((first, _)) = fields.iter().find(|(other, _)| other.name == key.name) {
                let line = super::place(self.text, first.at).line;
                return Err(fault(key.at, format!("`{}` stands twice", shown(&key.name)))
                    .help(format!("keep one of the two; the other is in line {line}")));
            }
            let end = self.at;
            self.skip();
            if !self.take(':') {
                let name = shown(&key.name);
                return Err(match self.peek() {
                    None => self.never_closed(open, close),
                    Some('=') => fault(self.at, "`=` cannot stand here").help(format!("write `{name}: …`")),
                    Some(_) => fault(end, format!("a colon is missing behind `{name}`")),
                });
            }
            let value = self.value()?;
            let item = value.at..self.at;
            fields.push((key, value));
            if !self.goes_on(open, item, close)? {
                return Ok(Value::Fields(fields));
            }
        }
    }

    fn key(&mut self, close: char) -> Result<Key, Fault> {
        let at = self.at;
        match self.peek() {
            Some('"') => Ok(Key { at, name: self.quoted()? }),
            Some(sign) if close == ')' && (sign.is_alphabetic() || sign == '_') => {
                Ok(Key { at, name: self.letters().to_owned() })
            }
            Some(other @ (')' | ']' | '}')) if other != close => {
                Err(fault(at, format!("`{other}` stands where `{close}` is expected"))
                    .help(format!("write `{close}`")))
            }
            _ => {
                let help = match close {
                    _ if self.peek().is_some_and(|sign| sign.is_ascii_digit()) => {
                        "a decimal has a point, as in 8.5; a name stands in straight double quotes"
                    }
                    ')' => "write `name: …`, the name without quotes",
                    _ => "write `\"name\": …`, the name in straight double quotes",
                };
                Err(fault(at, "a name must stand here").help(help))
            }
        }
    }

    /// RON: `(name: …)`, or `(…, …)` without names.
    fn round(&mut self) -> Result<Value, Fault> {
        let mut ahead = Reader { text: self.text, at: self.at + 1, form: self.form, open: 0 };
        ahead.skip();
        let name = ahead.letters();
        ahead.skip();
        let named = !name.is_empty() && matches!(ahead.peek(), Some(':' | '='));
        let empty = name.is_empty() && ahead.peek() == Some(')');
        if named || empty { self.fields() } else { self.list(')') }
    }

    fn letters(&mut self) -> &'t str {
        self.take_while(|sign| sign.is_alphanumeric() || sign == '_')
    }

    fn word(&mut self) -> Result<Value, Fault> {
        let at = self.at;
        let word = self.letters();
        match word {
            "true" => return Ok(Value::Truth(true)),
            "false" => return Ok(Value::Truth(false)),
            "null" => return Ok(Value::Nothing),
            _ => {}
        }
        if self.form == Form::Json {
            let help = match word.to_lowercase().as_str() {
                lower @ ("true" | "false" | "null") => format!("write `{lower}`"),
                "none" => "write `null`".to_owned(),
                _ => format!("write `\"{}\"`, if it is a text", shown(word)),
            };
            return Err(fault(at, format!("`{}` cannot stand here without quotes", shown(word))).help(help));
        }
        let end = self.at;
        self.skip();
        if self.peek() == Some('(') {
            let inner = Node { at: self.at, value: self.round()? };
            return Ok(Value::Named(word.to_owned(), Box::new(inner)));
        }
        self.at = end;
        Ok(Value::Word(word.to_owned()))
    }

    fn number(&mut self) -> Result<Value, Fault> {
        let at = self.at;
        let written =
            self.take_while(|sign| sign.is_alphanumeric() || matches!(sign, '.' | '-' | '+' | '_' | '/'));
        let wrong = |message: String| Err(fault(at, message));
        let digits = match self.form {
            Form::Json => written.to_owned(),
            Form::Ron => written.replace('_', ""),
        };
        if digits.contains('/') {
            return Err(fault(at, format!("a fraction stands in double quotes: `\"{}\"`", shown(written)))
                .help("write `\"85/3\"`, or a decimal such as 38.5"));
        }
        let plain = digits.strip_prefix('-').unwrap_or(&digits);
        let starts = plain.starts_with(|sign: char| sign.is_ascii_digit());
        let zeros =
            plain.len() > 1 && plain.starts_with('0') && plain[1..].starts_with(|s: char| s.is_ascii_digit());
        let json = starts && !zeros && !plain.ends_with('.');
        let number =
            digits.parse::<f64>().ok().filter(|_| plain.contains(|sign: char| sign.is_ascii_digit()));
        match number {
            None => wrong(format!("`{}` is not a number", shown(written))),
            Some(_) if self.form == Form::Json && !json => {
                Err(fault(at, format!("JSON has no number that is written `{}`", shown(written)))
                    .help("write digits before and behind the point, and no 0 or + in front: 0.5, 7"))
            }
            Some(number) if !number.is_finite() => {
                wrong(format!("the number `{}` is too large", shown(written)))
            }
            Some(_) => Ok(Value::Number(digits)),
        }
    }

    /// RON: `r#"…"#`, in which `\` has no meaning.
    fn raw(&mut self) -> Result<String, Fault> {
        let at = self.at;
        self.at += 1;
        let signs = self.take_while(|sign| sign == '#');
        let close = format!("\"{signs}");
        self.take('"');
        let rest = self.rest();
        let Some(end) = rest.find(&close) else {
            return Err(unclosed(at));
        };
        self.at += end + close.len();
        Ok(rest[..end].to_owned())
    }

    fn quoted(&mut self) -> Result<String, Fault> {
        let open = self.at;
        self.at += 1;
        let mut text = String::new();
        loop {
            text.push_str(self.take_while(|sign| !matches!(sign, '"' | '\\' | '\n')));
            match self.peek() {
                Some('"') => {
                    self.at += 1;
                    return Ok(text);
                }
                Some('\\') => text.push(self.escaped()?),
                Some('\n') if self.form == Form::Ron => {
                    text.push('\n');
                    self.at += 1;
                }
                Some(_) | None => {
                    return Err(unclosed(open));
                }
            }
        }
    }

    fn escaped(&mut self) -> Result<char, Fault> {
        let at = self.at;
        self.at += 1;
        let sign = self.peek();
        self.at += sign.map_or(0, char::len_utf8);
        let unknown = || fault(at, "`\\` has no meaning here").help("write `\\\\` for the sign itself");
        match sign {
            Some(sign @ ('"' | '\\' | '/' | '\'')) => Ok(sign),
            Some('n') => Ok('\n'),
            Some('t') => Ok('\t'),
            Some('r') => Ok('\r'),
            Some('b') => Ok('\u{8}'),
            Some('f') => Ok('\u{c}'),
            Some('u') => self.unicode().ok_or_else(unknown),
            _ => Err(unknown()),
        }
    }

    /// The sign of `\u0041`, of a pair of such halves, or of RON's `\u{41}`.
    fn unicode(&mut self) -> Option<char> {
        if self.take('{') {
            let digits = self.take_while(|sign| sign.is_ascii_hexdigit());
            return char::from_u32(u32::from_str_radix(digits, 16).ok()?).filter(|_| self.take('}'));
        }
        let first = self.four_digits()?;
        if !(0xd800..0xdc00).contains(&first) {
            return char::from_u32(first);
        }
        let second = (self.take('\\') && self.take('u')).then(|| self.four_digits()).flatten()?;
        let low = second.checked_sub(0xdc00).filter(|low| *low < 0x400)?;
        char::from_u32(0x10000 + ((first - 0xd800) << 10) + low)
    }

    fn four_digits(&mut self) -> Option<u32> {
        let digits = self.rest().get(..4).filter(|four| four.chars().all(|sign| sign.is_ascii_hexdigit()))?;
        self.at += 4;
        u32::from_str_radix(digits, 16).ok()
    }
}
