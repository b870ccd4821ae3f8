//! The lines of a snap in JSON.

use super::figure::Figure;
use rules::book::line;
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::BTreeMap;

/// Every line that the book defines, by its name there, in the offense frame.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Lines {
    /// The lines.
    pub lines: BTreeMap<String, LineAt>,
}

/// Where a line is.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum LineAt {
    /// Across the field, so far from the offense's own goal line.
    Across {
        /// Yards.
        x: Figure,
    },
    /// Along the field, at these two distances from the right wall.
    Along {
        /// Yards.
        y: [Figure; 2],
    },
    /// Between moments that are marked in the picture, so not known from the situation.
    Between {
        /// Their names.
        between: Vec<String>,
    },
}

impl From<line::Figure> for LineAt {
    fn from(figure: line::Figure) -> LineAt {
        match figure {
            line::Figure::Across(x) => LineAt::Across { x: Figure(x) },
            line::Figure::Along(near, far) => LineAt::Along { y: [Figure(near), Figure(far)] },
            line::Figure::Between(between) => LineAt::Between { between },
        }
    }
}
