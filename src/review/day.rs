//! The day of a game as events: everything that the booth does outside a review.
//!
//! Before the game the card and the checklist; then play by play the situation, how it came about, and what became
//! of each play: looked at, reviewed, or neither; replay out of service and back. [`decide`](decide::decide) makes
//! events of commands, [`fold`](fold::fold) makes a [`Day`](fold::Day) of events.
//!
//! How a review hangs in it: [`Day::call`](fold::Day::call) gives the situation that a review begins with,
//! [`Command::Review`] says that it began, and [`Command::EndReview`] takes over what it led to. A desk that is
//! killed between the announcement and that last command finds the review still open in the day, and over in the
//! log; it gives the command then.

pub mod decide;
pub mod fold;
pub mod text;

use super::fold::Review;
use crate::announcement::{Names, clock_text};
use rules::book::Book;
use rules::game::advance::{Advance, Start};
use rules::game::situation::{Next, Situation, Team};

/// What is known of a game before it begins.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GameCard {
    /// The game's id: "W03-QL-HK".
    pub game: String,
    /// The week of the season, where there is one.
    pub week: Option<u32>,
    /// How the teams are called.
    pub names: Names,
    /// Where it is played.
    pub venue: String,
    /// The cameras that the booth has.
    pub cameras: Vec<Camera>,
    /// Who does what.
    pub duties: Vec<Duty>,
}

/// One camera.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Camera {
    /// As marks and looks name it.
    pub name: String,
    /// What it sees: "near side, half the field".
    pub sees: String,
    /// The clock that its timecode comes from. Cameras of one clock are in step; none: its own, or unknown.
    pub timecode: Option<String>,
}

/// A duty and who has it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Duty {
    /// What is to be done.
    pub duty: String,
    /// The pseudonym of who does it: "booth-07"; never a person's name.
    pub who: String,
}

/// The rules that a game is played under, with its card.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Opened {
    /// The card.
    pub card: GameCard,
    /// The book's short name.
    pub book: String,
    /// The edition, as 64 hex digits.
    pub edition: String,
    /// What is made sure of before the game.
    pub checklist: Vec<String>,
}

impl Opened {
    /// A game of this card under this book, with the book's checklist.
    pub fn under(book: &Book, card: GameCard) -> Opened {
        Opened {
            card,
            book: book.id.clone(),
            edition: book.edition.to_string(),
            checklist: book.checklist.clone(),
        }
    }
}

/// What the booth can do outside a review.
#[derive(Debug, Clone, PartialEq)]
pub enum Command {
    /// Open the game with its card.
    Open(GameCard),
    /// Check an item of the checklist off, or uncheck it.
    Check {
        /// The item.
        item: String,
        /// It is done.
        done: bool,
    },
    /// Set the first situation: before the kick, or where the desk comes in.
    Set(Situation),
    /// Say what the play did: the next situation follows.
    Advance(Advance),
    /// Put the situation right before the next snap: a wrong count, the clock, the spot.
    Correct {
        /// As it should be.
        situation: Situation,
        /// Why, where that is not plain.
        reason: Option<String>,
    },
    /// A team takes a timeout.
    Timeout(Team),
    /// The next period begins; with who begins it, where a half or overtime does.
    NextPeriod(Option<Start>),
    /// Take back the newest change of the situation.
    Undo,
    /// The play was looked at, and the game was not stopped.
    Looked {
        /// Which play, from 0.
        play: usize,
    },
    /// A review of a play begins.
    Review {
        /// The review's id.
        review: String,
        /// Which play, from 0.
        play: usize,
    },
    /// The review is over: what it came to is taken over. One that was never called ends as cut short.
    EndReview {
        /// The review's id.
        review: String,
        /// The review as it ended.
        ended: Box<Review>,
    },
    /// Replay cannot be used any more.
    OutOfService {
        /// The reason given.
        reason: String,
    },
    /// It can be used again.
    BackInService,
    /// The game is over.
    Close,
    /// The game goes on after all.
    Reopen {
        /// The reason given.
        reason: String,
    },
}

/// One thing that happened.
#[derive(Debug, Clone, PartialEq)]
pub enum Event {
    /// The game was opened.
    Opened(Box<Opened>),
    /// An item was checked off or unchecked.
    Checked {
        /// The item.
        item: String,
        /// It is done.
        done: bool,
    },
    /// The situation changed.
    Moved {
        /// To this.
        to: Situation,
        /// By what.
        by: By,
    },
    /// A change of the situation was taken back.
    Undone {
        /// Its number among the day's events, from 0.
        act: usize,
    },
    /// A play was looked at without a stop.
    Looked {
        /// Which play, from 0.
        play: usize,
    },
    /// A review began.
    ReviewBegan {
        /// Its id.
        review: String,
        /// Of which play, from 0.
        play: usize,
    },
    /// A review was over.
    ReviewEnded {
        /// Its id.
        review: String,
        /// How.
        how: Ending,
        /// The situation after it, where it changed something.
        to: Option<Situation>,
    },
    /// Replay was out of service.
    OutOfService {
        /// The reason given.
        reason: String,
        /// What both coaches were told.
        words: String,
    },
    /// Replay was back in service.
    BackInService {
        /// What both coaches were told.
        words: String,
    },
    /// The game was over.
    Closed,
    /// The game went on after all.
    Reopened {
        /// The reason given.
        reason: String,
    },
}

/// By what the situation changed, a review aside.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum By {
    /// It was set for the first time.
    Set,
    /// A play was run.
    Play(Advance),
    /// It was put right.
    Correction {
        /// Why, where that was said.
        reason: Option<String>,
    },
    /// A team took a timeout.
    Timeout(Team),
    /// A period began.
    Period,
}

/// How a review ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Ending {
    /// With an announced ruling.
    Ruled,
    /// At the gate.
    Refused,
    /// It was taken back.
    Withdrawn,
    /// Without a ruling.
    CutShort,
}

/// An event with its stamp.
pub type Stamped = crate::stamp::Stamped<Event>;

/// The coming snap in the crew's short words: `Q2 4:41 4&1.5`, `Q3 0:12 1&goal`, `OT1 1&10`, `Q4 2:00 try`.
pub fn play_words(book: &Book, situation: &Situation) -> String {
    let game = &book.game;
    let when = match game.is_overtime(situation.period) {
        true => format!("OT{}", situation.period - game.periods),
        false => format!("Q{} {}", situation.period, clock_text(situation.clock_ms)),
    };
    match situation.next {
        Next::Scrimmage { down, to_go } if situation.spot + to_go >= book.field.length => {
            format!("{when} {down}&goal")
        }
        Next::Scrimmage { down, to_go } => format!("{when} {down}&{to_go}"),
        Next::Try => format!("{when} try"),
        Next::FreeKick => format!("{when} free kick"),
    }
}
