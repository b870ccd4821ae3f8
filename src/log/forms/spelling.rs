//! How single values are spelt in a body; each type here is named by a field's `with`.

use evidence::time::timecode::Timecode;
use field::exact::Yards;
use serde::de::Error;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// Yards as text: the shortest exact decimal, or a fraction. A number would go through a float somewhere.
pub(super) struct Exact;

impl Exact {
    pub(super) fn serialize<S: Serializer>(yards: &Yards, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(yards)
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Yards, D::Error> {
        Exact::parse(&String::deserialize(from)?)
    }

    /// Reads finer fractions than a person may write: half of a half distance is kept exactly.
    fn parse<E: Error>(text: &str) -> Result<Yards, E> {
        let fraction = text.split_once('/').and_then(|(over, under)| {
            let over = over.parse::<i64>().ok().filter(|over| *over != i64::MIN)?;
            let under = under.parse::<i64>().ok().filter(|under| *under > 0)?;
            Some(Yards::fraction(over, under))
        });
        match fraction {
            Some(yards) => Ok(yards),
            None => text.parse().map_err(E::custom),
        }
    }
}

pub(super) struct ExactOrNone;

impl ExactOrNone {
    pub(super) fn serialize<S: Serializer>(yards: &Option<Yards>, to: S) -> Result<S::Ok, S::Error> {
        yards.map(|yards| yards.to_string()).serialize(to)
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Option<Yards>, D::Error> {
        Option::<String>::deserialize(from)?.map(|text| Exact::parse(&text)).transpose()
    }
}

/// A timecode as it stands in the picture.
pub(super) struct AsInPicture;

impl AsInPicture {
    pub(super) fn serialize<S: Serializer>(code: &Timecode, to: S) -> Result<S::Ok, S::Error> {
        to.collect_str(code)
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Timecode, D::Error> {
        String::deserialize(from)?.parse().map_err(D::Error::custom)
    }
}

/// A probability as a number, the shortest decimal that reads back as the same float. NaN is `null`.
pub(super) struct Probability;

impl Probability {
    pub(super) fn serialize<S: Serializer>(number: &f64, to: S) -> Result<S::Ok, S::Error> {
        number.is_finite().then_some(*number).serialize(to)
    }

    pub(super) fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<f64, D::Error> {
        Ok(Option::<f64>::deserialize(from)?.unwrap_or(f64::NAN))
    }
}

/// serde's `with` applies to a field, not to the items of a list in it: this makes a type for such a list.
macro_rules! list {
    ($name:ident, $of:ty, $form:literal) => {
        #[derive(Serialize, Deserialize)]
        pub(in crate::forms) struct $name(#[serde(with = $form)] $of);

        impl $name {
            pub(in crate::forms) fn serialize<S: Serializer>(all: &[$of], to: S) -> Result<S::Ok, S::Error> {
                to.collect_seq(all.iter().cloned().map($name))
            }

            pub(in crate::forms) fn deserialize<'de, D: Deserializer<'de>>(
                from: D,
            ) -> Result<Vec<$of>, D::Error> {
                let all: Vec<$name> = Deserialize::deserialize(from)?;
                Ok(all.into_iter().map(|$name(one)| one).collect())
            }
        }
    };
}

/// The same for a value that may be missing.
macro_rules! or_none {
    ($name:ident, $of:ty, $form:literal) => {
        #[derive(Serialize, Deserialize)]
        pub(in crate::forms) struct $name(#[serde(with = $form)] $of);

        impl $name {
            pub(in crate::forms) fn serialize<S: Serializer>(
                one: &Option<$of>,
                to: S,
            ) -> Result<S::Ok, S::Error> {
                Serialize::serialize(&one.as_ref().cloned().map($name), to)
            }

            pub(in crate::forms) fn deserialize<'de, D: Deserializer<'de>>(
                from: D,
            ) -> Result<Option<$of>, D::Error> {
                let one: Option<$name> = Deserialize::deserialize(from)?;
                Ok(one.map(|$name(one)| one))
            }
        }
    };
}

/// The same for a boxed value.
macro_rules! boxed {
    ($name:ident, $of:ty, $form:ident) => {
        struct $name;

        impl $name {
            fn serialize<S: Serializer>(of: &$of, to: S) -> Result<S::Ok, S::Error> {
                $form::serialize(of, to)
            }

            fn deserialize<'de, D: Deserializer<'de>>(from: D) -> Result<Box<$of>, D::Error> {
                $form::deserialize(from).map(Box::new)
            }
        }
    };
}

/// Writes and reads an event's body by its mirror.
macro_rules! mirrored {
    ($form:ident) => {
        fn to_body(&self) -> Result<serde_json::Value, serde_json::Error> {
            $form::serialize(self, serde_json::value::Serializer)
        }

        fn from_body(body: serde_json::Value) -> Result<Self, serde_json::Error> {
            $form::deserialize(body)
        }
    };
}

pub(super) use {boxed, list, mirrored, or_none};
