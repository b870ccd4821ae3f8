//! How single values are spelt in a body.

use crate::book::exact::Yards;
use crate::proof::timecode::Timecode;
use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// Yards as text: the shortest exact decimal, or a fraction. A number would go through a float somewhere.
pub(super) mod exact {
    use super::*;

    pub(in crate::log::record) fn serialize<S: Serializer>(yards: &Yards, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(yards)
    }

    pub(in crate::log::record) fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Yards, D::Error> {
        parse(&String::deserialize(from)?)
    }

    /// A fraction may be finer here than a person may write it: halves of halves are kept.
    pub(super) fn parse<E: serde::de::Error>(text: &str) -> Result<Yards, E> {
        let fraction = text.split_once('/').and_then(|(over, under)| {
            let under = under.parse::<i64>().ok().filter(|under| *under > 0)?;
            Some(Yards::fraction(over.parse().ok().filter(|over| *over != i64::MIN)?, under))
        });
        match fraction {
            Some(yards) => Ok(yards),
            None => text.parse().map_err(E::custom),
        }
    }
}

pub(super) mod exact_or_none {
    use super::*;

    pub(in crate::log::record) fn serialize<S: Serializer>(
        yards: &Option<Yards>,
        to: S,
    ) -> Result<S::Ok, S::Error> {
        yards.map(|yards| yards.to_string()).serialize(to)
    }

    pub(in crate::log::record) fn deserialize<'de, D: Deserializer<'de>>(
        from: D,
    ) -> Result<Option<Yards>, D::Error> {
        Option::<String>::deserialize(from)?.map(|text| exact::parse(&text)).transpose()
    }
}

/// A timecode as it stands in the picture.
pub(super) mod timecode {
    use super::*;

    pub(in crate::log::record) fn serialize<S: Serializer>(
        code: &Timecode,
        to: S,
    ) -> Result<S::Ok, S::Error> {
        to.collect_str(code)
    }

    pub(in crate::log::record) fn deserialize<'de, D: Deserializer<'de>>(
        from: D,
    ) -> Result<Timecode, D::Error> {
        String::deserialize(from)?.parse().map_err(D::Error::custom)
    }
}

/// A probability that may be no number at all, which JSON spells `null`.
pub(super) mod or_nothing {
    use super::*;

    pub(in crate::log::record) fn serialize<S: Serializer>(number: &f64, to: S) -> Result<S::Ok, S::Error> {
        number.is_finite().then_some(*number).serialize(to)
    }

    pub(in crate::log::record) fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<f64, D::Error> {
        Ok(Option::<f64>::deserialize(from)?.unwrap_or(f64::NAN))
    }
}
