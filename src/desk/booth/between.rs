//! Between plays: keeps the situation current, and shows the lines of the coming snap and what became of each play.
//!
//! A key names what the play did, a typed line where and when. What follows is shown before it is written.

mod keys;
mod view;

pub(crate) use keys::{Act, KEYS};
pub(crate) use view::view;

use super::situation_line;
use super::typed::{self, Ground, Unread};
use super::undone::Undone;
use field::exact::Yards;
use iced::widget::Id;
use review::day::Command;
use review::day::fold::{Day, Service};
use rules::book::Book;
use rules::book::effect::Part;
use rules::game::advance;
use rules::game::advance::{Advance, Did, Start, Tried, advance, needs_start};
use rules::game::situation::{End, Next, Situation, Team};

#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Between {
    typing: Option<Typing>,
    told: Option<String>,
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Typing {
    /// Where and when a play ended.
    Play {
        what: What,
        text: String,
        follows: Result<Box<Situation>, NotAPlay>,
    },
    Correct {
        text: String,
        wrong: Option<String>,
    },
    OutOfService {
        text: String,
    },
    /// Who begins the next period, and toward which end.
    Start,
    /// To be confirmed; its cost is shown.
    Timeout(Team),
    /// The end of the period, to be confirmed.
    Period,
}

/// What a play did, before where and when are known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum What {
    Down,
    OutOfBounds,
    Incomplete,
    /// During a try: the try by run or pass.
    Touchdown,
    /// During a try: the try by kick.
    Good,
    /// During a try: a failed try.
    NoGood,
    Safety,
    /// The other team was stopped here.
    Turnover,
    /// The other team scored a touchdown.
    Returned,
    /// The receivers were stopped here.
    Kicked,
    Touchback,
    /// The kickers recovered their kick here.
    KickKept,
    Regained,
    /// The down is replayed.
    Again,
}

/// Why a typed play leads to no situation.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub(crate) enum NotAPlay {
    #[error(transparent)]
    Unread(#[from] Unread),
    #[error("spot missing: type the spot and the clock")]
    NoSpot,
    #[error(transparent)]
    Unfit(#[from] advance::Error),
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Message {
    Act(Act),
    Typed(String),
    Submit,
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Action {
    None,
    Focus(Id),
    Do(Command),
    Challenge,
    Penalties,
    Referee,
    /// The log of the game.
    After,
    /// The card of the game.
    Before,
    EndGame,
}

/// What typed lines are read against.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Known<'a> {
    pub book: &'a Book,
    pub day: &'a Day,
    pub ground: Ground<'a>,
}

pub(crate) fn line_id() -> Id {
    Id::new("between line")
}

impl What {
    /// In the order in which they are offered.
    pub(crate) const ALL: [What; 14] = [
        What::Down,
        What::OutOfBounds,
        What::Incomplete,
        What::Touchdown,
        What::Good,
        What::NoGood,
        What::Kicked,
        What::Touchback,
        What::KickKept,
        What::Turnover,
        What::Returned,
        What::Regained,
        What::Safety,
        What::Again,
    ];

    pub(crate) fn text(self) -> &'static str {
        match self {
            What::Down => "stopped at",
            What::OutOfBounds => "out of bounds at",
            What::Incomplete => "incomplete pass",
            What::Touchdown => "touchdown",
            What::Good => "kick good",
            What::NoGood => "kick no good",
            What::Safety => "safety",
            What::Turnover => "turnover, stopped at",
            What::Returned => "turnover, and a touchdown",
            What::Kicked => "kicked, stopped at",
            What::Touchback => "touchback",
            What::Regained => "lost and won back, stopped at",
            What::KickKept => "kick recovered by the kickers at",
            What::Again => "replay the down",
        }
    }

    /// The play that ended at this spot; none if it needs a spot and has none.
    fn play(self, next: Next, at: Option<Yards>) -> Option<Did> {
        let tries = next == Next::Try;
        Some(match self {
            What::Down => Did::Down { at: at? },
            What::OutOfBounds => Did::OutOfBounds { at: at? },
            What::Incomplete if tries => Did::Tried(Tried::Failed),
            What::Incomplete => Did::Incomplete,
            What::Touchdown if tries => Did::Tried(Tried::Run),
            What::Touchdown => Did::Touchdown { by: Part::Offense },
            What::Good if tries => Did::Tried(Tried::Kick),
            What::Good => Did::FieldGoal { good: true },
            What::NoGood if tries => Did::Tried(Tried::Failed),
            What::NoGood => Did::FieldGoal { good: false },
            What::Safety => Did::Safety,
            What::Turnover => Did::Turnover { at: at? },
            What::Returned if tries => Did::Tried(Tried::Returned),
            What::Returned => Did::Touchdown { by: Part::Defense },
            What::Kicked => Did::Kicked { to: at? },
            What::Touchback => Did::Touchback,
            What::Regained => Did::Regained { at: at? },
            What::KickKept => Did::KickKept { at: at? },
            What::Again => Did::Again,
        })
    }
}

impl Between {
    pub(crate) fn line(&self) -> Option<&str> {
        match self.typing.as_ref()? {
            Typing::Play { text, .. } | Typing::Correct { text, .. } | Typing::OutOfService { text } => {
                Some(text)
            }
            Typing::Start | Typing::Timeout(_) | Typing::Period => None,
        }
    }

    pub(crate) fn done(&mut self) {
        *self = Between::default();
    }

    pub(crate) fn refused(&mut self, undone: Undone) {
        let (because, instead) = undone.parts("nothing was written");
        self.told = Some(format!("{because}; {instead}"));
    }

    /// Shows why the referee has nothing to rule on.
    pub(crate) fn refused_referee(&mut self, undone: &Undone) {
        self.told = Some(undone.to_string());
    }

    pub(crate) fn update(&mut self, message: Message, known: Known<'_>) -> Action {
        match message {
            Message::Act(act) => self.act(act, known),
            Message::Submit => self.submit(known),
            Message::Typed(typed) => {
                match &mut self.typing {
                    Some(Typing::Play { what, text, follows }) => {
                        *follows = follow(*what, &typed, known);
                        *text = typed;
                    }
                    Some(Typing::Correct { text, wrong }) => (*text, *wrong) = (typed, None),
                    Some(Typing::OutOfService { text }) => *text = typed,
                    Some(Typing::Start | Typing::Timeout(_) | Typing::Period) | None => {}
                }
                Action::None
            }
        }
    }

    fn act(&mut self, act: Act, known: Known<'_>) -> Action {
        self.told = None;
        // What waits for confirmation is dropped by every other key.
        let weighed = self
            .typing
            .take_if(|typing| matches!(typing, Typing::Start | Typing::Timeout(_) | Typing::Period));
        match act {
            Act::Confirm => match weighed {
                Some(Typing::Timeout(team)) => Action::Do(Command::Timeout(team)),
                Some(Typing::Period) => Action::Do(Command::NextPeriod(None)),
                Some(_) | None => Action::None,
            },
            Act::Play(what) => {
                let follows = follow(what, "", known);
                self.begin(Typing::Play { what, text: String::new(), follows })
            }
            Act::Looked => match known.day.newest_run() {
                Some(play) => Action::Do(Command::Looked { play }),
                None => {
                    self.told = Some("no play was run yet".to_owned());
                    Action::None
                }
            },
            Act::Challenge => Action::Challenge,
            Act::Penalties => Action::Penalties,
            Act::Timeout(team) => self.weigh(Typing::Timeout(team)),
            Act::Correct => {
                let text = situation_line::write(known.ground);
                self.begin(Typing::Correct { text, wrong: None })
            }
            Act::NextPeriod if needs_start(known.book, known.ground.situation) => self.weigh(Typing::Start),
            Act::NextPeriod => self.weigh(Typing::Period),
            Act::EndGame => Action::EndGame,
            Act::Start(team, attacks) => match weighed {
                Some(Typing::Start) => Action::Do(Command::NextPeriod(Some(Start { team, attacks }))),
                Some(_) | None => Action::None,
            },
            Act::Undo => Action::Do(Command::Undo),
            Act::Service => match known.day.service {
                Service::In => self.begin(Typing::OutOfService { text: String::new() }),
                Service::Out { .. } => Action::Do(Command::BackInService),
            },
            Act::Referee => Action::Referee,
            Act::After => Action::After,
            Act::Before => Action::Before,
            Act::Leave => {
                self.typing = None;
                Action::None
            }
        }
    }

    /// Shows what would be done, to be confirmed.
    fn weigh(&mut self, typing: Typing) -> Action {
        self.typing = Some(typing);
        Action::None
    }

    fn begin(&mut self, typing: Typing) -> Action {
        self.typing = Some(typing);
        Action::Focus(line_id())
    }

    fn submit(&mut self, known: Known<'_>) -> Action {
        match &mut self.typing {
            Some(Typing::Play { what, text, follows }) => match play(*what, text, known.ground) {
                Ok(play) => Action::Do(Command::Advance(play)),
                Err(wrong) => {
                    *follows = Err(wrong);
                    Action::None
                }
            },
            Some(Typing::Correct { text, wrong }) => match situation_line::read(text, known.ground) {
                // The first situation of a game is set, later ones are corrected.
                Ok((situation, _)) if known.day.situation().is_none() => Action::Do(Command::Set(situation)),
                Ok((situation, reason)) => Action::Do(Command::Correct { situation, reason }),
                Err(unread) => {
                    *wrong = Some(unread.to_string());
                    Action::None
                }
            },
            Some(Typing::OutOfService { text }) => Action::Do(Command::OutOfService { reason: text.clone() }),
            Some(Typing::Start | Typing::Timeout(_) | Typing::Period) | None => Action::None,
        }
    }
}

/// The play as typed. If no clock was typed, the clock stays as it is.
pub(crate) fn play(what: What, text: &str, ground: Ground<'_>) -> Result<Advance, NotAPlay> {
    let situation = ground.situation;
    let (at, clock_ms) = typed::place(text, ground)?;
    let did = what.play(situation.next, at).ok_or(NotAPlay::NoSpot)?;
    Ok(Advance { did, clock_ms: clock_ms.unwrap_or(situation.clock_ms) })
}

/// The situation after the play as typed.
fn follow(what: What, text: &str, known: Known<'_>) -> Result<Box<Situation>, NotAPlay> {
    let play = play(what, text, known.ground)?;
    Ok(Box::new(advance(known.book, known.ground.situation, play)?.after))
}

/// Which team can begin a period, and toward which end.
pub(crate) const STARTS: [(Team, End); 4] =
    [(Team::Home, End::East), (Team::Home, End::West), (Team::Away, End::East), (Team::Away, End::West)];
