//! From values with their places to a type: serde's side of reading, in words for people.

use super::Fault;
use super::node::{Key, Node, Value};
use super::text::fault;
use crate::error::Step;
use rules::book::defect::nearest;
use rules::shown::shown;
use serde::de::value::StrDeserializer;
use serde::de::{self, DeserializeOwned, DeserializeSeed, Deserializer, Expected, Unexpected, Visitor};
use std::fmt;

/// The value of a type that was written.
pub(super) fn read<T: DeserializeOwned>(root: &Node) -> Result<T, Fault> {
    T::deserialize(Written(root)).map_err(|fault| fault.at(root.at))
}

/// What stands there, in words.
fn found(value: &Value) -> String {
    match value {
        Value::Nothing => "`null`".to_owned(),
        Value::Truth(truth) => format!("`{truth}`"),
        Value::Number(number) => format!("the number {}", shown(number)),
        Value::Text(text) => format!("the text `{}`", shown(text)),
        Value::Word(word) => format!("`{}`", shown(word)),
        Value::List(_) => "a list".to_owned(),
        Value::Fields(_) => "fields in brackets".to_owned(),
        Value::Named(name, _) => format!("`{}(…)`", shown(name)),
    }
}

fn unfit(node: &Node, wanted: &str) -> Fault {
    fault(node.at, format!("{wanted} must stand here, not {}", found(&node.value)))
}

/// A name before brackets that have none.
fn no_name(node: &Node, name: &str) -> Fault {
    fault(node.at, format!("`{}` has no meaning here", shown(name)))
        .help("write the brackets without a word before them")
}

impl Fault {
    /// With this place, unless it has one already.
    fn at(self, at: usize) -> Fault {
        Fault { at: self.at.or(Some(at)), ..self }
    }

    /// The same one step farther out.
    fn within(mut self, step: Step, at: usize) -> Fault {
        self.path.insert(0, step);
        self.at(at)
    }

    fn said(message: String, help: Option<String>) -> Fault {
        Fault { at: None, path: Vec::new(), message, help }
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(&self.message)
    }
}

impl std::error::Error for Fault {}

impl de::Error for Fault {
    fn custom<T: fmt::Display>(message: T) -> Fault {
        Fault::said(message.to_string(), None)
    }

    fn invalid_type(unexpected: Unexpected<'_>, expected: &dyn Expected) -> Fault {
        let found = match unexpected {
            Unexpected::Bool(truth) => format!("`{truth}`"),
            Unexpected::Unsigned(number) => format!("the number {number}"),
            Unexpected::Signed(number) => format!("the number {number}"),
            Unexpected::Float(number) => format!("the number {number}"),
            Unexpected::Str(text) => format!("the text `{}`", shown(text)),
            Unexpected::Unit | Unexpected::Option => "`null`".to_owned(),
            Unexpected::Seq => "a list".to_owned(),
            Unexpected::Map => "fields in brackets".to_owned(),
            _ => "this".to_owned(),
        };
        Fault::said(format!("{} must stand here, not {found}", plain(&expected.to_string())), None)
    }

    fn invalid_value(unexpected: Unexpected<'_>, expected: &dyn Expected) -> Fault {
        Fault::invalid_type(unexpected, expected)
    }

    fn missing_field(field: &'static str) -> Fault {
        Fault::said(format!("the field `{field}` is missing"), Some(format!("add `{field}`")))
    }

    fn unknown_field(field: &str, expected: &'static [&'static str]) -> Fault {
        let message = format!("there is no field `{}`", shown(field));
        Fault::said(message, Some(nearest(field, expected.iter().copied())))
    }

    fn unknown_variant(word: &str, expected: &'static [&'static str]) -> Fault {
        let message = format!("`{}` is not a word that can stand here", shown(word));
        Fault::said(message, Some(nearest(word, expected.iter().copied())))
    }

    fn duplicate_field(field: &'static str) -> Fault {
        Fault::said(format!("`{field}` stands twice"), Some("keep one of the two".to_owned()))
    }
}

/// What serde expects, without its words for types.
fn plain(expected: &str) -> &str {
    match expected {
        "u8" | "u16" | "u32" | "u64" | "i8" | "i16" | "i32" | "i64" | "usize" => "a whole number",
        "f32" | "f64" => "a number",
        "a string" | "string" | "str" => "a text",
        "a boolean" => "`true` or `false`",
        "a sequence" => "a list",
        "a map" => "fields in brackets",
        other if other.starts_with("struct ") => "fields in brackets",
        other if other.starts_with("enum ") => "a word",
        other => other,
    }
}

/// A value as it was written.
#[derive(Clone, Copy)]
struct Written<'n>(&'n Node);

impl<'n> Written<'n> {
    fn number(self, wanted: &str) -> Result<&'n str, Fault> {
        match &self.0.value {
            Value::Number(number) => Ok(number),
            Value::Text(text) if text.parse::<f64>().is_ok() => {
                Err(unfit(self.0, wanted).help("write it without quotes"))
            }
            _ => Err(unfit(self.0, wanted)),
        }
    }

    /// A whole number within these bounds.
    fn whole(self, least: i128, most: i128) -> Result<i128, Fault> {
        let number = self.number("a whole number")?;
        let whole = number.parse::<i128>().ok().or_else(|| {
            let figure =
                number.parse::<f64>().ok().filter(|figure| figure.fract() == 0.0 && figure.abs() < 1e18);
            figure.map(|figure| figure as i128)
        });
        match whole {
            None => Err(unfit(self.0, "a whole number")),
            Some(whole) if whole < least => Err(unfit(self.0, &format!("a whole number from {least} on"))),
            Some(whole) if whole > most => {
                Err(fault(self.0.at, format!("the number {} is too large here", shown(number))))
            }
            Some(whole) => Ok(whole),
        }
    }

    fn figure(self) -> Result<f64, Fault> {
        let number = self.number("a number")?;
        number.parse().map_err(|_| unfit(self.0, "a number"))
    }

    fn text(self) -> Result<&'n str, Fault> {
        match &self.0.value {
            Value::Text(text) => Ok(text),
            Value::Word(word) => {
                Err(unfit(self.0, "a text").help(format!("put it in double quotes: `\"{}\"`", shown(word))))
            }
            _ => Err(unfit(self.0, "a text in double quotes")),
        }
    }

    fn items(self) -> Result<&'n [Node], Fault> {
        match &self.0.value {
            Value::List(items) => Ok(items),
            _ => Err(unfit(self.0, "a list").help("write `[…]`, even around a single one")),
        }
    }

    fn fields(self, known: &[&str]) -> Result<&'n [(Key, Node)], Fault> {
        match &self.0.inner().value {
            Value::Fields(fields) => Ok(fields),
            _ if known.is_empty() => Err(unfit(self.0, "fields in brackets").help("write `{\"name\": …}`")),
            _ => Err(unfit(self.0, "fields in brackets").help(format!("there is: {}", known.join(", ")))),
        }
    }

    fn map<'de, V: Visitor<'de>>(self, known: &[&str], visitor: V) -> Result<V::Value, Fault> {
        let mut fields = Fields { left: self.fields(known)?.iter(), value: None };
        visitor.visit_map(&mut fields).map_err(|fault| fault.at(self.0.at))
    }

    fn list<'de, V: Visitor<'de>>(self, items: &'n [Node], visitor: V) -> Result<V::Value, Fault> {
        visitor.visit_seq(Items { left: items.iter().enumerate() }).map_err(|fault| fault.at(self.0.at))
    }
}

/// Reads whole numbers of one type each.
macro_rules! whole {
    ($($read:ident $visit:ident $type:ty,)+) => {$(
        fn $read<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
            let whole = self.whole(i128::from(<$type>::MIN), i128::from(<$type>::MAX))?;
            // INVARIANT: it lies within the bounds of its type.
            visitor.$visit(whole as $type)
        }
    )+};
}

impl<'de> Deserializer<'de> for Written<'_> {
    type Error = Fault;

    whole! {
        deserialize_u8 visit_u8 u8,
        deserialize_u16 visit_u16 u16,
        deserialize_u32 visit_u32 u32,
        deserialize_u64 visit_u64 u64,
        deserialize_i8 visit_i8 i8,
        deserialize_i16 visit_i16 i16,
        deserialize_i32 visit_i32 i32,
        deserialize_i64 visit_i64 i64,
    }

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        match &self.0.value {
            Value::Nothing => visitor.visit_unit(),
            Value::Truth(truth) => visitor.visit_bool(*truth),
            Value::Number(number) => match (number.parse::<i64>(), number.parse::<u64>()) {
                (Ok(number), _) => visitor.visit_i64(number),
                (_, Ok(number)) => visitor.visit_u64(number),
                _ => visitor.visit_f64(self.figure()?),
            },
            Value::Text(text) => visitor.visit_str(text),
            Value::Word(word) if word == "None" => visitor.visit_unit(),
            Value::Word(_) => self.text().and_then(|text| visitor.visit_str(text)),
            Value::List(items) => self.list(items, visitor),
            Value::Fields(_) => self.map(&[], visitor),
            Value::Named(name, _) if name == "Some" => Written(self.0.inner()).deserialize_any(visitor),
            Value::Named(name, _) => Err(no_name(self.0, name)),
        }
    }

    fn deserialize_bool<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        match self.0.value {
            Value::Truth(truth) => visitor.visit_bool(truth),
            _ => Err(unfit(self.0, "`true` or `false`")),
        }
    }

    fn deserialize_f32<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        visitor.visit_f64(self.figure()?)
    }

    fn deserialize_f64<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        visitor.visit_f64(self.figure()?)
    }

    fn deserialize_str<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        visitor.visit_str(self.text()?)
    }

    fn deserialize_string<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        self.deserialize_str(visitor)
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        match &self.0.value {
            Value::Nothing => visitor.visit_none(),
            Value::Word(word) if word == "None" => visitor.visit_none(),
            Value::Named(name, _) if name == "Some" => visitor.visit_some(Written(self.0.inner())),
            _ => visitor.visit_some(self),
        }
    }

    fn deserialize_seq<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        self.list(self.items()?, visitor)
    }

    fn deserialize_tuple<V: Visitor<'de>>(self, length: usize, visitor: V) -> Result<V::Value, Fault> {
        let items = self.items().map_err(|_| unfit(self.0, &format!("a list of {length}")))?;
        match items.len() == length {
            true => self.list(items, visitor),
            false => {
                Err(fault(self.0.at, format!("a list of {length} must stand here, not of {}", items.len())))
            }
        }
    }

    fn deserialize_map<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        self.map(&[], visitor)
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        name: &'static str,
        known: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Fault> {
        match &self.0.value {
            Value::Named(other, _) if other != name && other != "Some" => Err(no_name(self.0, other)),
            _ => self.map(known, visitor),
        }
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        _: &'static str,
        known: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Fault> {
        let one = match &self.0.value {
            Value::Text(name) | Value::Word(name) => Some(OneOf { name, content: None }),
            Value::Named(name, inner) => {
                let alone = match &inner.value {
                    Value::List(items) if items.len() == 1 => &items[0],
                    _ => inner,
                };
                Some(OneOf { name, content: Some(Content { all: inner, alone }) })
            }
            Value::Fields(fields) => match fields.as_slice() {
                [(key, value)] => {
                    Some(OneOf { name: &key.name, content: Some(Content { all: value, alone: value }) })
                }
                _ => None,
            },
            Value::Nothing | Value::Truth(_) | Value::Number(_) | Value::List(_) => None,
        };
        let one =
            one.ok_or_else(|| unfit(self.0, "a word").help(format!("there is: {}", known.join(", "))))?;
        visitor.visit_enum(one).map_err(|fault| fault.at(self.0.at))
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        visitor: V,
    ) -> Result<V::Value, Fault> {
        visitor.visit_newtype_struct(self)
    }

    fn deserialize_ignored_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Fault> {
        visitor.visit_unit()
    }

    serde::forward_to_deserialize_any! { char bytes byte_buf unit unit_struct tuple_struct identifier }
}

struct Items<'n> {
    left: std::iter::Enumerate<std::slice::Iter<'n, Node>>,
}

impl<'de> de::SeqAccess<'de> for Items<'_> {
    type Error = Fault;

    fn next_element_seed<T: DeserializeSeed<'de>>(&mut self, seed: T) -> Result<Option<T::Value>, Fault> {
        let Some((index, node)) = self.left.next() else { return Ok(None) };
        seed.deserialize(Written(node)).map(Some).map_err(|fault| fault.within(Step::Item(index), node.at))
    }

    fn size_hint(&self) -> Option<usize> {
        Some(self.left.len())
    }
}

struct Fields<'n> {
    left: std::slice::Iter<'n, (Key, Node)>,
    /// The field whose name was read last.
    value: Option<&'n (Key, Node)>,
}

impl<'de> de::MapAccess<'de> for &mut Fields<'_> {
    type Error = Fault;

    fn next_key_seed<K: DeserializeSeed<'de>>(&mut self, seed: K) -> Result<Option<K::Value>, Fault> {
        self.value = self.left.next();
        let Some((key, _)) = self.value else { return Ok(None) };
        let name: StrDeserializer<'_, Fault> = de::IntoDeserializer::into_deserializer(key.name.as_str());
        seed.deserialize(name).map(Some).map_err(|fault| fault.at(key.at))
    }

    fn next_value_seed<V: DeserializeSeed<'de>>(&mut self, seed: V) -> Result<V::Value, Fault> {
        // INVARIANT: serde asks for a value only behind its name.
        let Some((key, node)) = self.value.take() else { return Err(Fault::said(String::new(), None)) };
        seed.deserialize(Written(node)).map_err(|fault| fault.within(Step::Field(key.name.clone()), node.at))
    }
}

/// One word of a closed set, with what belongs to it.
struct OneOf<'n> {
    name: &'n str,
    content: Option<Content<'n>>,
}

/// What belongs to a word; where a single value stands in round brackets, that one.
struct Content<'n> {
    all: &'n Node,
    alone: &'n Node,
}

impl<'de, 'n> de::EnumAccess<'de> for OneOf<'n> {
    type Error = Fault;
    type Variant = OneOf<'n>;

    fn variant_seed<V: DeserializeSeed<'de>>(self, seed: V) -> Result<(V::Value, OneOf<'n>), Fault> {
        let name: StrDeserializer<'_, Fault> = de::IntoDeserializer::into_deserializer(self.name);
        Ok((seed.deserialize(name)?, self))
    }
}

impl<'n> OneOf<'n> {
    fn content(self) -> Result<Content<'n>, Fault> {
        let OneOf { name, content } = self;
        let missing = || {
            Fault::said(
                format!("what belongs to `{name}` is missing"),
                Some(format!("write `{name}(…)`, in JSON `{{\"{name}\": …}}`")),
            )
        };
        content.ok_or_else(missing)
    }
}

impl<'de> de::VariantAccess<'de> for OneOf<'_> {
    type Error = Fault;

    fn unit_variant(self) -> Result<(), Fault> {
        match self.content {
            None => Ok(()),
            Some(content) => Err(fault(content.all.at, format!("nothing belongs to `{}`", self.name))
                .help(format!("write `{}` alone", self.name))),
        }
    }

    fn newtype_variant_seed<T: DeserializeSeed<'de>>(self, seed: T) -> Result<T::Value, Fault> {
        let content = self.content()?;
        seed.deserialize(Written(content.alone)).map_err(|fault| fault.at(content.alone.at))
    }

    fn tuple_variant<V: Visitor<'de>>(self, length: usize, visitor: V) -> Result<V::Value, Fault> {
        Written(self.content()?.all).deserialize_tuple(length, visitor)
    }

    fn struct_variant<V: Visitor<'de>>(
        self,
        known: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Fault> {
        Written(self.content()?.all).map(known, visitor)
    }
}
