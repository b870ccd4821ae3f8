//! The times of a record, in seconds: bounded, so that whatever reads them can keep and show them.

use super::missing;
use serde::{Deserialize, Deserializer, de};
use std::collections::BTreeMap;

/// Longer than any two instants of a review are apart, even where the wall clock was set anew in between: some 30,000
/// years, in seconds. Far below where single precision ends.
pub const MOST_S: f64 = 1e12;

/// A time, if it can be one of a review.
pub fn time<E: de::Error>(seconds: f64) -> Result<f64, E> {
    match seconds.abs() <= MOST_S {
        true => Ok(seconds),
        false => Err(E::custom(format_args!("{seconds:e} s is no time of a review: {MOST_S:e} s at most"))),
    }
}

/// A time that may be `null` but must be there.
pub(crate) fn there<'de, D: Deserializer<'de>>(from: D) -> Result<Option<f64>, D::Error> {
    Option::deserialize(from)?.map(time).transpose()
}

/// The times of phases, each of which may be `null`.
pub(super) fn phases<'de, D: Deserializer<'de>>(from: D) -> Result<BTreeMap<String, Option<f64>>, D::Error> {
    let phases: BTreeMap<String, Option<f64>> = missing::or_default(from)?;
    for (phase, seconds) in &phases {
        let checked: Result<Option<f64>, D::Error> = seconds.map(time).transpose();
        checked.map_err(|fault| de::Error::custom(format_args!("`{phase}`: {fault}")))?;
    }
    Ok(phases)
}
