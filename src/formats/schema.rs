//! The JSON Schema of each format.

use super::{
    audit, calibration, case, enforce, grade, line, measure, order, precedent, probe, record, rejudge,
    script, settle, situation,
};
use crate::second_look;
use schemars::{Schema, schema_for};

/// The formats that have a schema, by the name that `schema` takes: what a command reads has the command's name,
/// what it answers has `-result` behind it.
pub const KINDS: &[&str] = &[
    "again",
    "book",
    "tree",
    "situation",
    "line",
    "line-result",
    "settle",
    "settle-result",
    "case",
    "case-result",
    "enforce",
    "enforce-result",
    "measure",
    "measure-result",
    "calibration",
    "grade-result",
    "order",
    "order-result",
    "near",
    "near-result",
    "precedent-result",
    "probe-result",
    "probe-frame-result",
    "record",
    "rejudge-result",
    "script",
    "audit-result",
];

/// The schema of a format; `None` for a name that is not among [`KINDS`].
pub fn schema(kind: &str) -> Option<Schema> {
    Some(match kind {
        "again" => schema_for!(second_look::Sheet),
        "book" => rules::book::schema::book(),
        "tree" => rules::book::schema::tree(),
        "situation" | "line" => schema_for!(situation::Situation),
        "line-result" => schema_for!(line::Lines),
        "settle" => schema_for!(settle::Asked),
        "settle-result" => schema_for!(settle::Found),
        "case" => schema_for!(case::CasePlay),
        "case-result" => schema_for!(case::result::Result),
        "enforce" => schema_for!(enforce::Asked),
        "enforce-result" => schema_for!(enforce::result::Result),
        "measure" => schema_for!(measure::Asked),
        "measure-result" => schema_for!(measure::Found),
        "calibration" => schema_for!(calibration::CalibrationJson),
        "grade-result" => schema_for!(grade::GradedJson),
        "order" => schema_for!(order::Asked),
        "order-result" => schema_for!(order::Found),
        "near" => schema_for!(precedent::Case),
        "near-result" => schema_for!(precedent::NearResult),
        "precedent-result" => schema_for!(precedent::PrecedentJson),
        "probe-result" => schema_for!(probe::Clip),
        "probe-frame-result" => schema_for!(probe::Frame),
        "record" => schema_for!(record::Record),
        "rejudge-result" => schema_for!(rejudge::Rejudged),
        "script" => schema_for!(script::Script),
        "audit-result" => schema_for!(audit::Audit),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_has_a_schema_and_nothing_else_has() {
        for kind in KINDS {
            assert!(schema(kind).is_some(), "{kind}");
        }
        assert!(schema("cases").is_none());
    }
}
