//! `tellframe schema KIND`: the JSON Schema of a format.

use super::{Answer, Unable};
use tellframe::wire::schema::{KINDS, schema};

/// Arguments of `schema`.
#[derive(Debug, clap::Args)]
pub(super) struct Schema {
    /// The format
    #[arg(value_name = "KIND", value_parser = clap::builder::PossibleValuesParser::new(KINDS))]
    kind: String,
    /// Accepted for uniformity: a schema is JSON already
    #[arg(long)]
    json: bool,
}

impl Schema {
    pub(super) fn run(&self) -> Result<Answer, Unable> {
        let schema =
            schema(&self.kind).ok_or_else(|| Unable::new(format!("there is no format `{}`", self.kind)))?;
        let text = serde_json::to_string_pretty(&schema).map_err(|error| Unable::new(error.to_string()))?;
        super::print(&text)
    }
}
