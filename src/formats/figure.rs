//! Exact yards in JSON: a number as written, or a fraction as a string.

use field::exact::Yards;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::de::{self, Visitor};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::borrow::Cow;
use std::fmt;

/// A length in yards.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Figure(pub Yards);

impl<'de> Deserialize<'de> for Figure {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        struct AsWritten;
        impl Visitor<'_> for AsWritten {
            type Value = Figure;
            fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
                out.write_str("a length in yards, such as 38.5 or \"85/3\",")
            }
            fn visit_i64<E: de::Error>(self, value: i64) -> Result<Figure, E> {
                self.visit_str(&value.to_string())
            }
            fn visit_u64<E: de::Error>(self, value: u64) -> Result<Figure, E> {
                self.visit_str(&value.to_string())
            }
            fn visit_f32<E: de::Error>(self, value: f32) -> Result<Figure, E> {
                self.visit_str(&value.to_string())
            }
            fn visit_f64<E: de::Error>(self, value: f64) -> Result<Figure, E> {
                Yards::from_f64(value).map(Figure).map_err(E::custom)
            }
            fn visit_str<E: de::Error>(self, value: &str) -> Result<Figure, E> {
                value.parse().map(Figure).map_err(E::custom)
            }
        }
        from.deserialize_any(AsWritten)
    }
}

impl Serialize for Figure {
    /// A number where a decimal says it exactly, else the fraction as a string.
    fn serialize<S: Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        let (over, under) = self.0.parts();
        if under == 1 {
            return to.serialize_i64(over);
        }
        match self.0.decimal().and_then(|decimal| decimal.parse::<f64>().ok()) {
            Some(decimal) if Yards::from_f64(decimal) == Ok(self.0) => to.serialize_f64(decimal),
            _ => to.serialize_str(&self.0.to_string()),
        }
    }
}

impl JsonSchema for Figure {
    fn schema_name() -> Cow<'static, str> {
        "Yards".into()
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "description": "Yards, exact: a decimal as written, or a fraction as a string.",
            "anyOf": [
                {"type": "number"},
                {"type": "string", "pattern": "^-?[0-9]+(/[1-9][0-9]*|(\\.[0-9]+)?)$"},
            ],
        })
    }
}

/// Seconds to whole milliseconds: clocks of the game are kept to the millisecond.
pub fn milliseconds(seconds: f64) -> i64 {
    (seconds * 1000.0).round() as i64
}

/// Milliseconds to seconds.
pub fn seconds(milliseconds: i64) -> f64 {
    milliseconds as f64 / 1000.0
}
