//! The fields of a line that the audit reads, borrowed from the line.

use super::{OR, Phases};
use crate::book::effect::Part;
use crate::book::exact::Yards;
use crate::book::line::Snap;
use crate::game::situation::Team;
use crate::wire::case::{PartJson, Who};
use crate::wire::missing;
use crate::wire::record::times;
use crate::wire::situation::Side;
use serde::Deserialize;
use serde::de::{self, Deserializer, MapAccess, SeqAccess, Visitor};
use serde_json::Value;
use std::borrow::Cow;
use std::fmt;

/// The fields of a line that are read.
#[derive(Deserialize)]
pub(super) struct Slim<'a> {
    #[serde(borrow)]
    pub(super) id: Text<'a>,
    #[serde(borrow, default)]
    pub(super) review: Option<Text<'a>>,
    #[serde(borrow)]
    pub(super) edition: Text<'a>,
    #[serde(borrow, default)]
    pub(super) book: Option<Text<'a>>,
    #[serde(borrow, default)]
    pub(super) game: Option<Text<'a>>,
    #[serde(default)]
    pub(super) week: Option<u32>,
    #[serde(borrow, default)]
    pub(super) play: Option<Text<'a>>,
    #[serde(default)]
    pub(super) initiator: Option<Who>,
    #[serde(borrow, default)]
    pub(super) official: Option<Text<'a>>,
    #[serde(default)]
    pub(super) situation: Option<Place>,
    #[serde(borrow)]
    pub(super) tree: Text<'a>,
    #[serde(borrow)]
    pub(super) call: Text<'a>,
    #[serde(borrow, default)]
    pub(super) whistle: Option<Text<'a>>,
    #[serde(borrow)]
    pub(super) answers: Pairs<'a, Given<'a>>,
    #[serde(borrow, default)]
    pub(super) proofs: Option<Pairs<'a, Proof<'a>>>,
    #[serde(borrow, default, deserialize_with = "missing::or_default")]
    pub(super) marks: Vec<Mark<'a>>,
    #[serde(borrow, default, deserialize_with = "missing::or_default")]
    pub(super) fouls: Vec<Flagged<'a>>,
    #[serde(borrow, default)]
    pub(super) finding: Option<Text<'a>>,
    #[serde(default)]
    pub(super) established: Option<bool>,
    #[serde(borrow)]
    pub(super) outcome: Text<'a>,
    #[serde(default, deserialize_with = "missing::or_default")]
    pub(super) moot: bool,
    #[serde(default)]
    pub(super) won: Option<bool>,
    #[serde(borrow)]
    pub(super) called_at: Text<'a>,
    #[serde(default)]
    pub(super) phases_s: Option<Phases>,
    #[serde(deserialize_with = "times::there")]
    pub(super) duration_s: Option<f64>,
    #[serde(default, deserialize_with = "missing::or_default")]
    pub(super) cut_short: bool,
    #[serde(default, deserialize_with = "missing::or_default")]
    pub(super) overrides: Vec<Value>,
    #[serde(default)]
    pub(super) grade: Value,
    #[serde(borrow, default)]
    pub(super) crew_position: Option<Text<'a>>,
    #[serde(default)]
    pub(super) review_grade: Value,
    #[serde(default)]
    pub(super) plain: Value,
    #[serde(borrow, default)]
    pub(super) again_of: Option<Text<'a>>,
}

/// What is read of a situation: what lines depend on.
#[derive(Deserialize)]
pub(super) struct Place {
    #[serde(default)]
    pub(super) down: Option<u8>,
    #[serde(default)]
    pub(super) to_go: Option<Yard>,
    #[serde(default)]
    pub(super) spot: Option<Yard>,
    #[serde(default)]
    pub(super) offense: Option<Side>,
}

#[derive(Deserialize)]
pub(super) struct Flagged<'a> {
    #[serde(borrow)]
    pub(super) name: Text<'a>,
    pub(super) by: PartJson,
}

impl Flagged<'_> {
    /// On whom; a flag on the home team or the visitors needs the offense to be known.
    pub(super) fn on(&self, offense: Option<Side>) -> Option<Part> {
        match self.by {
            PartJson::Offense | PartJson::Defense => Some(self.by.part(Team::Home)),
            PartJson::Home | PartJson::Away => Some(self.by.part(offense?.into())),
        }
    }
}

impl Place {
    pub(super) fn snap(&self) -> Option<Snap> {
        let exact = |yard: Option<Yard>| Yards::from_f64(yard?.0).ok();
        Some(Snap { down: self.down?, to_go: exact(self.to_go)?, spot: exact(self.spot)? })
    }
}

#[derive(Deserialize)]
pub(super) struct Mark<'a> {
    #[serde(borrow, default)]
    pub(super) camera: Option<Text<'a>>,
}

#[derive(Deserialize)]
pub(super) struct Proof<'a> {
    #[serde(borrow, default)]
    pub(super) line: Option<Text<'a>>,
    #[serde(default)]
    pub(super) x: Option<Yard>,
    #[serde(default)]
    pub(super) gap_s: Option<f64>,
    #[serde(default)]
    pub(super) sigma: Option<f64>,
    #[serde(default)]
    pub(super) sigma_s: Option<f64>,
}

/// A text that stays where the line lies, unless it has escapes.
pub(super) struct Text<'a>(pub(super) Cow<'a, str>);

impl<'de: 'a, 'a> Deserialize<'de> for Text<'a> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Text<'a>, D::Error> {
        struct Borrowed;
        impl<'de> Visitor<'de> for Borrowed {
            type Value = Text<'de>;
            fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
                out.write_str("a string")
            }
            fn visit_borrowed_str<E: de::Error>(self, text: &'de str) -> Result<Text<'de>, E> {
                Ok(Text(Cow::Borrowed(text)))
            }
            fn visit_str<E: de::Error>(self, text: &str) -> Result<Text<'de>, E> {
                Ok(Text(Cow::Owned(text.to_owned())))
            }
        }
        from.deserialize_str(Borrowed)
    }
}

/// A length: a number, or a fraction as a string.
#[derive(Clone, Copy)]
pub(super) struct Yard(pub(super) f64);

impl<'de> Deserialize<'de> for Yard {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Yard, D::Error> {
        struct Length;
        impl Visitor<'_> for Length {
            type Value = Yard;
            fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
                out.write_str("a length in yards, such as 38.5 or \"85/3\"")
            }
            fn visit_f64<E: de::Error>(self, value: f64) -> Result<Yard, E> {
                Ok(Yard(value))
            }
            fn visit_i64<E: de::Error>(self, value: i64) -> Result<Yard, E> {
                Ok(Yard(value as f64))
            }
            fn visit_u64<E: de::Error>(self, value: u64) -> Result<Yard, E> {
                Ok(Yard(value as f64))
            }
            fn visit_str<E: de::Error>(self, value: &str) -> Result<Yard, E> {
                value.parse::<Yards>().map(|yards| Yard(yards.as_f64())).map_err(E::custom)
            }
        }
        from.deserialize_any(Length)
    }
}

/// An answer as one text: an option, or the options in order joined by [`OR`].
pub(super) struct Given<'a>(pub(super) Text<'a>);

impl<'de: 'a, 'a> Deserialize<'de> for Given<'a> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Given<'a>, D::Error> {
        struct Answer;
        impl<'de> Visitor<'de> for Answer {
            type Value = Given<'de>;
            fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
                out.write_str("an option or a list of options")
            }
            fn visit_borrowed_str<E: de::Error>(self, text: &'de str) -> Result<Given<'de>, E> {
                Ok(Given(Text(Cow::Borrowed(text))))
            }
            fn visit_str<E: de::Error>(self, text: &str) -> Result<Given<'de>, E> {
                Ok(Given(Text(Cow::Owned(text.to_owned()))))
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut list: A) -> Result<Given<'de>, A::Error> {
                let mut options: Vec<Text<'de>> = Vec::new();
                while let Some(option) = list.next_element()? {
                    options.push(option);
                }
                options.sort_by(|a, b| a.0.cmp(&b.0));
                options.dedup_by(|a, b| a.0 == b.0);
                let joined =
                    options.iter().map(|option| &*option.0).collect::<Vec<_>>().join(&OR.to_string());
                Ok(Given(Text(Cow::Owned(joined))))
            }
        }
        from.deserialize_any(Answer)
    }
}

/// A map as the list of its pairs; a `null` is no pair.
pub(super) struct Pairs<'a, T>(pub(super) Vec<(Text<'a>, T)>);

impl<'de: 'a, 'a, T: Deserialize<'de>> Deserialize<'de> for Pairs<'a, T> {
    fn deserialize<D: Deserializer<'de>>(from: D) -> Result<Pairs<'a, T>, D::Error> {
        struct Map<T>(std::marker::PhantomData<T>);
        impl<'de, T: Deserialize<'de>> Visitor<'de> for Map<T> {
            type Value = Vec<(Text<'de>, T)>;
            fn expecting(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
                out.write_str("a map by step")
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
                let mut pairs = Vec::new();
                while let Some((name, value)) = map.next_entry()? {
                    pairs.extend(Option::map(value, |value| (name, value)));
                }
                Ok(pairs)
            }
        }
        from.deserialize_map(Map(std::marker::PhantomData)).map(Pairs)
    }
}
