//! Steps that are not asked, because the situation or the play as it was read back answers them.

use super::effect::Part;
use super::line::Guard;
use super::tree::Set;

/// What is known of a step when all of these hold. Of several, the first that holds counts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Known {
    /// The answers that are possible then; one alone is the answer.
    pub answers: Set,
    pub when: Vec<Fact>,
    /// Why, in words that end a sentence about the situation: "the line is shortened".
    pub because: String,
}

/// Something that the desk knows without a picture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Fact {
    /// Down, distance and the spot of the snap.
    Snap(Guard),
    Scrimmage,
    Try,
    FreeKick,
    Period(u8),
    /// At most this many seconds are left in a period that ends a half.
    LastSeconds(u32),
    /// This team had the ball at the end of the play as it was read back.
    HadBall(Part),
    /// The call on the field is this one.
    Call(String),
}
