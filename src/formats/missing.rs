//! `null` counts as missing: a program that keeps records in columns writes it for every field that a record lacks.

use serde::{Deserialize, Deserializer};
use std::collections::BTreeMap;

/// A value; of what is missing, its default.
pub fn or_default<'de, D: Deserializer<'de>, T: Deserialize<'de> + Default>(from: D) -> Result<T, D::Error> {
    Ok(Option::deserialize(from)?.unwrap_or_else(T::default))
}

/// A map without the names whose value is missing.
pub fn present<'de, D: Deserializer<'de>, T: Deserialize<'de>>(
    from: D,
) -> Result<BTreeMap<String, T>, D::Error> {
    let all: BTreeMap<String, Option<T>> = BTreeMap::deserialize(from)?;
    Ok(all.into_iter().filter_map(|(name, value)| Some((name, value?))).collect())
}

/// The same, of a map that may be missing itself.
pub fn present_or_none<'de, D: Deserializer<'de>, T: Deserialize<'de>>(
    from: D,
) -> Result<BTreeMap<String, T>, D::Error> {
    let all: BTreeMap<String, Option<T>> = or_default(from)?;
    Ok(all.into_iter().filter_map(|(name, value)| Some((name, value?))).collect())
}
