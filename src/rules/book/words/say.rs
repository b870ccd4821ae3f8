//! The sentences that a book has in each language, and what each may speak of.

/// One sentence of a language, or a part of one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Say {
    /// Before what becomes of the first call of a review.
    Opening,
    Confirmed,
    Stands,
    Reversed,
    /// The referee rules on it.
    Left,
    /// Why a call stands: the picture does not prove it wrong.
    NotClear,
    /// Why a call stands: the rules forbid the change.
    MayNotChange,
    /// A call of which the file says nothing.
    Call,
    /// Points that the review gives.
    Touchdown,
    FieldGoal,
    Safety,
    TryGood,
    /// Points that the review takes away.
    NoTouchdown,
    NoFieldGoal,
    NoSafety,
    NoTry,
    /// A penalty with what it costs.
    Foul,
    Declined,
    /// Fouls of both teams, listed.
    Offset,
    /// One foul of that list.
    OffsetFoul,
    /// Where the jersey number is put.
    Number,
    Offense,
    Defense,
    Kickers,
    Receivers,
    Yard,
    Yards,
    HalfTheDistance,
    FirstDown,
    LossOfDown,
    OnTry,
    OnFreeKick,
    /// How play resumes: the down, the try, the free kick.
    NextDown,
    NextTry,
    NextFreeKick,
    Goal,
    Inches,
    HalfYard,
    AtSpot,
    InsideOne,
    Midfield,
    NewTime,
    RunOff,
    /// The price of a lost challenge.
    Charged,
    NotCharged,
    /// A player is disqualified.
    Disqualified,
    /// For the clock operator.
    SetClock,
    LeaveClock,
    OnSnap,
    OnReady,
    /// The clock does not start: a try.
    Untimed,
    Chains,
    /// For the chain crew before a try or a free kick.
    NoChains,
    GoalLine,
    /// For the crew: one question, what became of the call, and why.
    ToCrew,
    /// It is about what came after a dead ball.
    Moot,
    /// The call stands since the picture does not prove it wrong.
    NotProven,
    /// The call is wrong and what replaces it is not proven.
    NotShared,
    /// The call is wrong, and the rules forbid the change.
    Barred,
    /// The rules leave it to the referee.
    LeftToReferee,
    /// For the scoreboard operator, where the play scored.
    Score,
    /// For the log: one question with the rule that it is asked under.
    ToLog,
    /// For the log: exactly how the game resumes.
    LogNext,
    /// For both coaches, when replay cannot be used.
    OutOfService,
    BackInService,
    /// A team forfeits the game.
    Forfeited,
    /// The game stops, and may go on on another day.
    Suspended,
    /// The game ends before its time.
    CalledEarly,
}

/// A sentence, its name in the file, and the places that it may have.
pub(super) struct Spoken {
    pub say: Say,
    pub name: &'static str,
    pub places: &'static [&'static str],
}

const fn spoken(say: Say, name: &'static str, places: &'static [&'static str]) -> Spoken {
    Spoken { say, name, places }
}

/// Every sentence, in the order of the enumeration.
pub(super) const ALL: [Spoken; 68] = [
    spoken(Say::Opening, "opening", &["ruling"]),
    spoken(Say::Confirmed, "confirmed", &["call"]),
    spoken(Say::Stands, "stands", &["call"]),
    spoken(Say::Reversed, "reversed", &["call"]),
    spoken(Say::Left, "left", &["call"]),
    spoken(Say::NotClear, "not clear", &[]),
    spoken(Say::MayNotChange, "may not change", &[]),
    spoken(Say::Call, "call", &["call"]),
    spoken(Say::Touchdown, "touchdown", &["team"]),
    spoken(Say::FieldGoal, "field goal", &["team"]),
    spoken(Say::Safety, "safety", &["team"]),
    spoken(Say::TryGood, "try good", &["team"]),
    spoken(Say::NoTouchdown, "no touchdown", &["team"]),
    spoken(Say::NoFieldGoal, "no field goal", &["team"]),
    spoken(Say::NoSafety, "no safety", &["team"]),
    spoken(Say::NoTry, "no try", &["team"]),
    spoken(Say::Foul, "foul", &["foul", "side", "team", "number", "costs"]),
    spoken(Say::Declined, "declined", &["foul", "side", "team", "number"]),
    spoken(Say::Offset, "offset", &["fouls"]),
    spoken(Say::OffsetFoul, "offset foul", &["foul", "side", "team", "number"]),
    spoken(Say::Number, "number", &[]),
    spoken(Say::Offense, "offense", &[]),
    spoken(Say::Defense, "defense", &[]),
    spoken(Say::Kickers, "kickers", &[]),
    spoken(Say::Receivers, "receivers", &[]),
    spoken(Say::Yard, "yard", &[]),
    spoken(Say::Yards, "yards", &["yards"]),
    spoken(Say::HalfTheDistance, "half the distance", &[]),
    spoken(Say::FirstDown, "first down", &[]),
    spoken(Say::LossOfDown, "loss of down", &[]),
    spoken(Say::OnTry, "on the try", &[]),
    spoken(Say::OnFreeKick, "on the free kick", &[]),
    spoken(Say::NextDown, "next down", &["team", "down", "distance", "spot"]),
    spoken(Say::NextTry, "next try", &["team"]),
    spoken(Say::NextFreeKick, "next free kick", &["team"]),
    spoken(Say::Goal, "goal", &[]),
    spoken(Say::Inches, "inches", &[]),
    spoken(Say::HalfYard, "half a yard", &[]),
    spoken(Say::AtSpot, "at a spot", &["team", "yards"]),
    spoken(Say::InsideOne, "inside the one", &["team"]),
    spoken(Say::Midfield, "midfield", &[]),
    spoken(Say::NewTime, "new time", &["clock"]),
    spoken(Say::RunOff, "run-off", &["seconds"]),
    spoken(Say::Charged, "charged", &["team"]),
    spoken(Say::NotCharged, "not charged", &["team"]),
    spoken(Say::Disqualified, "disqualified", &["player", "team"]),
    spoken(Say::SetClock, "set the clock", &["clock", "starts"]),
    spoken(Say::LeaveClock, "leave the clock", &["starts"]),
    spoken(Say::OnSnap, "on the snap", &[]),
    spoken(Say::OnReady, "on the ready signal", &[]),
    spoken(Say::Untimed, "untimed", &[]),
    spoken(Say::Chains, "chains", &["down", "distance", "spot", "line"]),
    spoken(Say::NoChains, "no chains", &[]),
    spoken(Say::GoalLine, "goal line", &[]),
    spoken(Say::ToCrew, "to the crew", &["question", "call", "label", "reason"]),
    spoken(Say::Moot, "moot", &["question"]),
    spoken(Say::NotProven, "not proven", &[]),
    spoken(Say::NotShared, "not shared", &[]),
    spoken(Say::Barred, "barred", &["finding", "because"]),
    spoken(Say::LeftToReferee, "left to the referee", &["finding"]),
    spoken(Say::Score, "score", &["home", "home_score", "away", "away_score"]),
    spoken(Say::ToLog, "to the log", &["rule", "question", "call", "label", "reason"]),
    spoken(Say::LogNext, "log next", &["next", "clock", "starts"]),
    spoken(Say::OutOfService, "out of service", &[]),
    spoken(Say::BackInService, "back in service", &[]),
    spoken(Say::Forfeited, "forfeited", &["team", "other", "score"]),
    spoken(Say::Suspended, "suspended", &["score"]),
    spoken(Say::CalledEarly, "called early", &["score"]),
];
