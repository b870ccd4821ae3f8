//! One text of a JSON object, with all else passed over unread.

use serde::Deserializer;
use serde::de::{DeserializeSeed, IgnoredAny, MapAccess, Visitor};
use std::fmt;

/// The text under these names, one within the other; none where there is no such name.
///
/// # Errors
/// Where the bytes are no JSON, something on the way is no object, or what is there is no text.
pub(super) fn text_at(bytes: &[u8], path: &[&str]) -> Result<Option<String>, serde_json::Error> {
    let mut json = serde_json::Deserializer::from_slice(bytes);
    let text = At(path).deserialize(&mut json)?;
    json.end()?;
    Ok(text)
}

struct At<'p>(&'p [&'p str]);

impl<'de> DeserializeSeed<'de> for At<'_> {
    type Value = Option<String>;

    fn deserialize<D: Deserializer<'de>>(self, from: D) -> Result<Option<String>, D::Error> {
        match self.0 {
            [] => serde::Deserialize::deserialize(from).map(Some),
            [..] => from.deserialize_map(self),
        }
    }
}

impl<'de> Visitor<'de> for At<'_> {
    type Value = Option<String>;

    fn expecting(&self, to: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(to, "an object with {}", self.0.join("."))
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Option<String>, A::Error> {
        let mut found = None;
        while let Some(name) = map.next_key::<String>()? {
            match self.0.split_first().filter(|(wanted, _)| **wanted == name) {
                Some((_, rest)) => found = map.next_value_seed(At(rest))?,
                None => {
                    map.next_value::<IgnoredAny>()?;
                }
            }
        }
        Ok(found)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_is_found_where_it_stands_and_nowhere_else() {
        let bytes = br#"{"a":[1,{"game":"not this"}],"body":{"clock":{"game":"nor this"},"game":"W03"},"game":"nor"}"#;
        let at = |path: &[&str]| text_at(bytes, path).map_err(|error| error.to_string());
        assert_eq!(at(&["body", "game"]), Ok(Some("W03".to_owned())));
        assert_eq!(at(&["body", "record"]), Ok(None));
        assert!(at(&["body", "clock"]).is_err(), "an object is no text");
        assert!(at(&["game", "body"]).is_err(), "a text is no object");
        assert!(text_at(b"{\"game\":\"W03\"} x", &["game"]).is_err());
    }
}
