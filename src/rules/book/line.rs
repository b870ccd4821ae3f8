//! Lines that rules speak of, as ordered cases over the situation.

use super::text::Span;
use field::Field;
use field::exact::Yards;
use std::fmt;

/// What lines depend on: down, distance and the spot of the snap.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Snap {
    /// The down, from 1.
    pub down: u8,
    /// Yards to the line to gain.
    pub to_go: Yards,
    /// Yards from the offense's own goal line.
    pub spot: Yards,
}

/// A condition on a snap.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Guard {
    Down(u8),
    ToGoAtMost(Yards),
    ToGoOver(Yards),
    /// Nearer than this to the opponents' goal line.
    SnapInside(Yards),
    /// At least this far from the opponents' goal line.
    SnapOutside(Yards),
}

/// Where a line is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Place {
    /// Through the ball at the snap.
    Scrimmage,
    /// Where a first down is won, or the goal line if that is nearer.
    LineToGain,
    /// The opponents' goal line.
    GoalLine,
    BeyondScrimmage {
        yards: Yards,
        never_past_goal: bool,
    },
    /// Both sides of the field: the inner face of the wall, or the sidelines.
    Sides,
    /// Not computed from the situation: it depends on marked players.
    Marked {
        /// The moments whose marks it lies between.
        between: Vec<String>,
    },
}

/// One case of a line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Case {
    /// All of these must hold; a case without guards always does.
    pub guards: Vec<Guard>,
    pub place: Place,
    /// It goes before every later case where both hold.
    pub goes_first: bool,
    pub at: Span,
}

/// A named line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    pub name: String,
    pub cite: String,
    /// In the order of the book: the first that holds decides.
    pub cases: Vec<Case>,
    pub at: Span,
}

/// A line as a figure, in the offense frame.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Figure {
    /// Across the field at this distance from the offense's own goal line.
    Across(Yards),
    /// Along the field at these two distances from the right wall.
    Along(Yards, Yards),
    /// Between marks, so not known before they are set.
    Between(Vec<String>),
}

impl Guard {
    /// Whether it holds for this snap.
    pub fn holds(self, snap: Snap, field: &Field) -> bool {
        let to_goal = field.length - snap.spot;
        match self {
            Guard::Down(down) => snap.down == down,
            Guard::ToGoAtMost(yards) => snap.to_go <= yards,
            Guard::ToGoOver(yards) => snap.to_go > yards,
            Guard::SnapInside(yards) => to_goal < yards,
            Guard::SnapOutside(yards) => to_goal >= yards,
        }
    }
}

impl Case {
    /// Whether all its guards hold for this snap.
    pub fn holds(&self, snap: Snap, field: &Field) -> bool {
        self.guards.iter().all(|guard| guard.holds(snap, field))
    }
}

impl Place {
    /// The figure of this place for this snap.
    pub fn figure(&self, snap: Snap, field: &Field) -> Figure {
        let goal = field.length;
        match self {
            Place::Scrimmage => Figure::Across(snap.spot),
            Place::LineToGain => Figure::Across((snap.spot + snap.to_go).min(goal)),
            Place::GoalLine => Figure::Across(goal),
            Place::BeyondScrimmage { yards, never_past_goal } => {
                let beyond = snap.spot + *yards;
                Figure::Across(if *never_past_goal { beyond.min(goal) } else { beyond })
            }
            Place::Sides => Figure::Along(Yards::ZERO, field.width),
            Place::Marked { between } => Figure::Between(between.clone()),
        }
    }
}

impl Line {
    /// Where the line is for this snap: the first case that holds. `None` only for a book that `check` refuses.
    pub fn figure(&self, snap: Snap, field: &Field) -> Option<Figure> {
        self.cases.iter().find(|case| case.holds(snap, field)).map(|case| case.place.figure(snap, field))
    }
}

impl fmt::Display for Snap {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "down {}, {} to go, snapped at {}", self.down, self.to_go, self.spot)
    }
}
