//! The frame of a mark and what was measured, as JSON: parts of answers, marks, placed points and ties.

use super::spelling::{Probability, or_none};
use evidence::mark::{Measurement, Quantity, Shot};
use evidence::verdict::Verdict;
use serde::{Deserialize, Deserializer, Serialize, Serializer};

#[derive(Serialize, Deserialize)]
#[serde(remote = "Shot", deny_unknown_fields)]
struct ShotForm {
    clip_sha256: String,
    frame: u64,
    pts: i64,
    time_base: (u32, u32),
    sha256: String,
    exact: bool,
    // Left out where no still was kept, so that the mark keeps to form 2.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    still: Option<String>,
}

or_none!(ShotOrNone, Shot, "ShotForm");

#[derive(Serialize, Deserialize)]
#[serde(remote = "Measurement", deny_unknown_fields)]
pub(super) struct MeasurementForm {
    #[serde(with = "VerdictForm")]
    verdict: Verdict,
    #[serde(with = "QuantityOrNone")]
    of: Option<Quantity>,
}

#[derive(Serialize, Deserialize)]
#[serde(remote = "Quantity", rename_all = "kebab-case", deny_unknown_fields)]
enum QuantityForm {
    Order { first: String, then: String, gap_s: f64, sigma_s: f64 },
    Gap { first: String, then: String, at_least_s: f64, gap_s: f64, sigma_s: f64 },
    Position { line: String, x: f64, sigma: f64 },
}

or_none!(QuantityOrNone, Quantity, "QuantityForm");

#[derive(Serialize, Deserialize)]
#[serde(remote = "Verdict", rename_all = "kebab-case", deny_unknown_fields)]
enum VerdictForm {
    Established {
        #[serde(with = "Probability")]
        probability: f64,
    },
    Refuted {
        #[serde(with = "Probability")]
        probability: f64,
    },
    Inconclusive {
        #[serde(with = "Probability")]
        probability: f64,
    },
    Contradiction,
}
