//! One value a team. In RON it may be written as a map, `{"home": 20, "away": 14}`, as in JSON, or as a struct.

use schemars::JsonSchema;
use serde::de::{Error as _, MapAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize};
use std::fmt;
use std::marker::PhantomData;

/// One value a team.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct ByTeam<T> {
    /// The home team's.
    pub home: T,
    /// The visitors'.
    pub away: T,
}

/// A value for one team or both.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, JsonSchema)]
#[schemars(deny_unknown_fields)]
pub struct SomeOf<T> {
    /// The home team's.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub home: Option<T>,
    /// The visitors'.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub away: Option<T>,
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for SomeOf<T> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        from.deserialize_any(Teams(PhantomData))
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for ByTeam<T> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Self, D::Error> {
        let teams = SomeOf::deserialize(from)?;
        Ok(ByTeam {
            home: teams.home.ok_or_else(|| D::Error::missing_field("home"))?,
            away: teams.away.ok_or_else(|| D::Error::missing_field("away"))?,
        })
    }
}

#[derive(Deserialize)]
#[serde(field_identifier, rename_all = "lowercase")]
enum Of {
    Home,
    Away,
}

struct Teams<T>(PhantomData<T>);

impl<'de, T: Deserialize<'de>> Visitor<'de> for Teams<T> {
    type Value = SomeOf<T>;

    fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str("one value a team, such as {\"home\": 3, \"away\": 2},")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<SomeOf<T>, A::Error> {
        let mut teams = SomeOf { home: None, away: None };
        while let Some(of) = map.next_key()? {
            let (place, known) = match of {
                Of::Home => (&mut teams.home, "home"),
                Of::Away => (&mut teams.away, "away"),
            };
            if place.replace(map.next_value()?).is_some() {
                return Err(A::Error::duplicate_field(known));
            }
        }
        Ok(teams)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::{Form, read};

    #[test]
    fn maps_and_structs_are_read_alike_and_nothing_else_is() {
        let wanted = Ok(ByTeam { home: 20, away: 14 });
        for (text, form) in [
            ("{\"home\": 20, \"away\": 14}", Form::Json),
            ("{\"home\": 20, \"away\": 14}", Form::Ron),
            ("(home: 20, away: 14)", Form::Ron),
        ] {
            assert_eq!(read::<ByTeam<u8>>(text, form), wanted, "{text}");
        }
        for text in
            ["{\"home\": 20}", "{\"home\": 20, \"aways\": 1}", "{\"home\": 1, \"home\": 2, \"away\": 1}", "3"]
        {
            assert!(read::<ByTeam<u8>>(text, Form::Json).is_err(), "{text}");
        }
    }
}
