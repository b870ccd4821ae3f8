//! The field of play and its measures.

pub mod exact;

use crate::exact::Yards;

/// The field of play. Lengths along and across in yards, heights in feet as rule books print them.
#[derive(Debug, Clone, PartialEq)]
pub struct Field {
    /// Goal line to goal line.
    pub length: Yards,
    pub width: Yards,
    /// Depth of each end zone.
    pub end_zone: Yards,
    /// Height of the wall around the field; none outdoors.
    pub wall_ft: Option<Yards>,
    /// Inside distance between the goal posts.
    pub posts_ft: Yards,
    /// Height of the crossbar.
    pub crossbar_ft: Yards,
}
