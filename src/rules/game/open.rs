//! What a restart still needs before it is complete.

/// Something that the restart still needs.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, thiserror::Error)]
pub enum Open {
    #[error("the mark `{0}` needs a spot")]
    Spot(String),
    #[error("the mark `{0}` needs the clock")]
    Clock(String),
    #[error("the mark `{0}` does not lie between the goal lines")]
    OffField(String),
    #[error("the mark `{0}` has a clock that a period cannot show")]
    OffClock(String),
    #[error("no flag `{0}` names the team that fouled")]
    Flag(String),
    #[error("where: the foul `{0}` has no spot between the goal lines")]
    FoulSpot(String),
}

impl Open {
    /// The moment whose mark is missing, or lacks its spot or its clock; `None` where a flag is what is missing.
    pub fn moment(&self) -> Option<&str> {
        match self {
            Open::Spot(moment) | Open::Clock(moment) | Open::OffField(moment) | Open::OffClock(moment) => {
                Some(moment)
            }
            Open::Flag(_) | Open::FoulSpot(_) => None,
        }
    }
}
