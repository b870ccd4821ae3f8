//! `tellframe schema KIND`: the JSON Schema of a format.

use super::{Answer, Unable};
use formats::schema::{KINDS, schema};
use scene::truth::Truth;

/// Arguments of `schema`.
#[derive(Debug, clap::Args)]
pub(super) struct Schema {
    /// The format
    #[arg(value_name = "KIND", value_parser = kinds())]
    kind: String,
    /// Accepted for uniformity: a schema is JSON already
    #[arg(long)]
    json: bool,
}

/// The truth beside made footage is a form of `scene`, not one that outsiders exchange.
const TRUTH: &str = "truth";

fn kinds() -> clap::builder::PossibleValuesParser {
    clap::builder::PossibleValuesParser::new(KINDS.iter().copied().chain([TRUTH]))
}

impl Schema {
    pub(super) fn run(&self) -> Result<Answer, Unable> {
        let schema = if self.kind == TRUTH { Some(schemars::schema_for!(Truth)) } else { schema(&self.kind) };
        let schema = schema.ok_or_else(|| Unable::new(format!("there is no format `{}`", self.kind)))?;
        let text = serde_json::to_string_pretty(&schema).map_err(|error| Unable::new(error.to_string()))?;
        super::put(&text)
    }
}
