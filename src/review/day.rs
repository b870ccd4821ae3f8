//! The day of a game as events: everything that the booth does outside a review.
//!
//! It holds the card and the checklist, the situation before each play and how it came about, whether each play was
//! looked at or reviewed, and when replay was out of service. [`decide`](decide::decide) makes events of commands,
//! [`fold`](fold::fold) makes a [`Day`](fold::Day) of events.
//!
//! How a review fits in: [`Day::call`](fold::Day::call) gives the situation that a review begins with,
//! [`Command::Review`] records that it began, and [`Command::EndReview`] takes over its result. A desk that is killed
//! between the announcement and that last command finds the review open in the day and over in the log; it sends the
//! command then.

pub mod as_run;
pub mod decide;
pub mod desk;
pub mod fold;
pub mod over;
pub mod players;
mod taken_over;
pub mod text;

use super::fold::Review;
use crate::announcement::{Names, clock_text};
use rules::book::Book;
use rules::game::advance::fouls::Fouled;
use rules::game::advance::{Advance, Start};
use rules::game::situation::{ByTeam, Next, Situation, Team};

/// What is known of a game before it begins.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GameCard {
    /// "W03-QL-HK".
    pub game: String,
    pub week: Option<u32>,
    pub names: Names,
    pub venue: String,
    pub cameras: Vec<Camera>,
    pub duties: Vec<Duty>,
}

/// A camera at the booth's disposal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Camera {
    /// As marks and looks refer to it.
    pub name: String,
    /// "near side, half the field".
    pub sees: String,
    /// The clock of its timecode; cameras that share one are in step. `None`: its own, or unknown.
    pub timecode: Option<String>,
}

/// A duty in the booth, and the official who has it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Duty {
    pub duty: String,
    /// A pseudonym: "booth-07"; never a person's name.
    pub who: String,
}

/// The rules that a game is played under, with its card.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Opened {
    pub card: GameCard,
    /// The book's short name.
    pub book: String,
    /// 64 hex digits.
    pub edition: String,
    pub checklist: Vec<String>,
}

impl Opened {
    /// The game of this card, played under this book and with its checklist.
    pub fn under(book: &Book, card: GameCard) -> Opened {
        Opened {
            card,
            book: book.id.clone(),
            edition: book.edition.to_string(),
            checklist: book.checklist.clone(),
        }
    }
}

/// What the booth can do outside a review. Plays count from 0. `Set` gives the first situation: before the kickoff,
/// or when the desk joins. `Advance` enters what a play did, and the next situation follows from it; `Fouls` enters
/// one with the fouls that were called, and all that was decided about them. `Correct` puts
/// a wrong count, clock or spot right before the next snap. `NextPeriod` has a `Start` where a half or overtime
/// begins. `Looked` means that the game was not stopped. `EndReview` takes over what the review came to; one that
/// was never called ends as cut short. `Close` ends a game that is over by the rules, `EndEarly` any other.
#[derive(Debug, Clone, PartialEq)]
pub enum Command {
    Open(GameCard),
    Check {
        item: String,
        done: bool,
    },
    Set(Situation),
    Advance(Advance),
    Fouls(Box<Fouled>),
    Correct {
        situation: Situation,
        reason: Option<String>,
    },
    Timeout(Team),
    NextPeriod(Option<Start>),
    Undo,
    Looked {
        play: usize,
    },
    Review {
        review: String,
        play: usize,
    },
    EndReview {
        review: String,
        ended: Box<Review>,
    },
    OutOfService {
        reason: String,
    },
    BackInService,
    Close,
    EndEarly {
        how: Early,
        reason: String,
    },
    Reopen {
        reason: String,
    },
    /// The whole card as it should have been; its game id stays.
    CorrectCard {
        card: Box<GameCard>,
        reason: Option<String>,
    },
    /// Another official sits at the desk from now on.
    HandOver {
        who: String,
    },
    CameraLost {
        camera: String,
        reason: String,
    },
    CameraBack {
        camera: String,
    },
}

/// How a game ends that is not over by the rules.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Early {
    /// By this team.
    Forfeit(Team),
    /// It may go on later: it is reopened then.
    Suspended,
    /// The score stands.
    Called,
}

/// One thing that happened. Plays count from 0; `act` is the number of a change among the day's events, from 0.
/// `to` is `None` where a review changed nothing. `words` is what both coaches were told.
#[derive(Debug, Clone, PartialEq)]
pub enum Event {
    Opened(Box<Opened>),
    Checked {
        item: String,
        done: bool,
    },
    Moved {
        to: Situation,
        by: By,
    },
    Undone {
        act: usize,
    },
    Looked {
        play: usize,
    },
    ReviewBegan {
        review: String,
        play: usize,
    },
    ReviewEnded {
        review: String,
        how: Ending,
        to: Option<Situation>,
    },
    OutOfService {
        reason: String,
        words: String,
    },
    BackInService {
        words: String,
    },
    Closed,
    /// With the score that counts.
    EndedEarly {
        how: Early,
        score: ByTeam<u16>,
        reason: String,
        words: String,
    },
    Reopened {
        reason: String,
    },
    CardCorrected {
        from: Box<GameCard>,
        to: Box<GameCard>,
        reason: Option<String>,
    },
    /// `None` where the card named nobody.
    HandedOver {
        from: Option<String>,
        to: String,
    },
    CameraLost {
        camera: String,
        reason: String,
    },
    CameraBack {
        camera: String,
    },
}

/// What changed the situation, other than a review.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum By {
    Set,
    Play(Advance),
    /// With fouls, at least one.
    Fouls(Box<Fouled>),
    Correction {
        reason: Option<String>,
    },
    Timeout(Team),
    Period,
}

/// How a review ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Ending {
    /// With an announced ruling.
    Ruled,
    Refused,
    Withdrawn,
    CutShort,
}

/// An event with its stamp.
pub type Stamped = crate::stamp::Stamped<Event>;

/// The coming snap in the crew's short words: `Q2 4:41 4&1.5`, `Q3 0:12 1&goal`, `OT1 1&10`, `Q4 2:00 try`.
pub fn play_words(book: &Book, situation: &Situation) -> String {
    let when = when(book, situation);
    match situation.next {
        Next::Scrimmage { down, to_go } if situation.spot + to_go >= book.field.length => {
            format!("{when} {down}&goal")
        }
        Next::Scrimmage { down, to_go } => format!("{when} {down}&{to_go}"),
        Next::Try => format!("{when} try"),
        Next::FreeKick => format!("{when} free kick"),
    }
}

/// The period and its clock in the crew's short words: `Q2 4:41`, `OT1`.
pub fn when(book: &Book, situation: &Situation) -> String {
    let game = &book.game;
    match game.is_overtime(situation.period) {
        true => format!("OT{}", situation.period - game.periods),
        false => format!("Q{} {}", situation.period, clock_text(situation.clock_ms)),
    }
}
