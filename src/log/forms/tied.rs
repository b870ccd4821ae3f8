//! A tie of two cameras, as JSON, form 1: times in units of each clip's time base, so that nothing is rounded.

use super::measured::ShotOrNone;
use super::spelling::AsInPicture;
use evidence::mark::Shot;
use evidence::time::timecode::Timecode;
use review::event::{SameMoment, Tied};
use serde::{Deserialize, Serialize};

#[derive(Serialize, Deserialize)]
#[serde(remote = "Tied", deny_unknown_fields)]
pub(super) struct TiedForm {
    #[serde(with = "SameMomentForm")]
    one: SameMoment,
    #[serde(with = "SameMomentForm")]
    other: SameMoment,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "SameMoment", deny_unknown_fields)]
struct SameMomentForm {
    camera: String,
    #[serde(with = "AsInPicture")]
    timecode: Timecode,
    time_base: (u32, u32),
    since: i64,
    at: i64,
    #[serde(default, skip_serializing_if = "Option::is_none", with = "ShotOrNone")]
    shot: Option<Shot>,
}
