//! What the booth has open: the log, the rules, the day of the game, the review in hand.
//!
//! Everything that is done goes through here: written first, then shown.

mod referee;

use ::review::announcement::Names;
use ::review::day::fold::Day;
use ::review::day::{Command as DayCommand, GameCard};
use ::review::decide::{Command, Desk, Refusal};
use ::review::event::{Asked, Called, Marked};
use ::review::fold::{Phase, Review};
use ::review::gate::{Initiator, Stop};
use ::review::stamp::Stamp;
use host::books;
use host::output;
use log::Error;
use log::chain::entry::Act;
use log::chain::label::{Actor, CommandId, ReviewId};
use log::chain::sign;
use log::chain::sign::Key;
use log::exchange::{jsonl, records};
use log::store::edition::RuleText;
use log::store::location::Location;
use log::store::log::Log;
use log::store::stills;
use log::store::stills::Still;
use log::streams::days;
use log::streams::days::DaySession;
use log::streams::discretions::DiscretionSession;
use log::streams::reviews;
use log::streams::reviews::{Pictured, Session};
use log::streams::session;
use log::streams::session::Attempt;
use pages::review;
use rules::book::Book;
use rules::game::advance::{Start, opening};
use rules::game::situation::{End, Situation, Team};

/// The booth's post.
pub(crate) struct Post {
    /// Where log and key lie.
    pub place: Location,
    log: Log,
    actor: Actor,
    /// The game that is open, with its rules.
    pub game: Option<Game>,
    /// Counts what is done, so that every act has a name of its own.
    acts: u64,
}

/// An open game.
pub(crate) struct Game {
    /// The rules.
    pub book: Book,
    /// How the teams are called.
    pub names: Names,
    /// The cameras, in the order of their letters.
    pub cameras: Vec<String>,
    rules: RuleText,
    day: DaySession,
    session: Option<Session>,
    referee: Option<DiscretionSession>,
}

/// Why something was not done.
#[derive(Debug)]
pub(crate) enum Undone {
    /// It does not fit.
    No(Refusal),
    /// It could not be written, or read.
    Fault(String),
}

impl From<Error> for Undone {
    fn from(error: Error) -> Undone {
        Undone::Fault(match error.help() {
            Some(help) => format!("{}; {help}", chain(&error)),
            None => chain(&error),
        })
    }
}

/// An error with what it comes from.
fn chain(error: &dyn std::error::Error) -> String {
    let mut text = error.to_string();
    let mut source = error.source();
    while let Some(inner) = source {
        text = format!("{text}: {inner}");
        source = inner.source();
    }
    text
}

/// Why the log cannot be held, with what to do about it.
fn told(error: Error) -> String {
    match error.help() {
        Some(help) => format!("{}\n{help}", chain(&error)),
        None => chain(&error),
    }
}

/// Who acts where nobody has said so yet.
const OFFICIAL: &str = "booth-07";

impl Post {
    /// Opens the log of a place, made with a key of its own where there is none, and the game that was left open.
    pub(crate) fn open(place: &Location, now: &Stamp) -> Result<Post, String> {
        place.make().map_err(told)?;
        let key = key(place).map_err(|fault| chain(&fault))?;
        let actor = Actor::new(OFFICIAL).map_err(|fault| chain(&fault))?;
        let log = match place.log().exists() {
            true => Log::open(&place.log(), key),
            false => {
                Log::create(&place.log(), key, Act { actor: actor.clone(), review: None, at: now.clone() })
            }
        };
        let mut post = Post { place: place.clone(), log: log.map_err(told)?, actor, game: None, acts: 0 };
        if let Some(left) = days::last_open(post.log.reader()).map_err(told)? {
            post.actor = left.official.clone();
            post.game = Some(post.resume(&left.id)?);
        }
        Ok(post)
    }

    /// The game that was left, with the review that was on.
    fn resume(&self, game: &str) -> Result<Game, String> {
        let day = DaySession::resume(&self.log, game, self.actor.clone()).map_err(|error| chain(&error))?;
        let rules = day.rules().ok_or("the game has no rules")?.clone();
        let book =
            rules.load().map_err(|faults| format!("the game's rules have {} faults here", faults.len()))?;
        let session = match day.day().review() {
            Some(on) => Some(self.review_of(&on.review, &rules)?),
            None => None,
        };
        let card =
            day.day().opened.as_ref().map(|opened| opened.card.clone()).ok_or("the game has no card")?;
        let review = session.as_ref().map(Session::id);
        let referee = DiscretionSession::left(&self.log, game, review, self.actor.clone());
        let referee = referee.map_err(|error| chain(&error))?;
        Ok(Game { book, names: card.names.clone(), cameras: cameras(&card), rules, day, session, referee })
    }

    /// A review of the day: as it was left, or not begun yet if the desk was killed between the two.
    fn review_of(&self, id: &str, rules: &RuleText) -> Result<Session, String> {
        let id = ReviewId::new(id).map_err(|fault| chain(&fault))?;
        match Session::resume(&self.log, id.clone(), self.actor.clone()) {
            Ok(session) => Ok(session),
            Err(Error::Session(session::Fault::Missing { .. })) => {
                Session::start(&self.log, id, self.actor.clone(), rules.clone())
                    .map_err(|error| chain(&error))
            }
            Err(other) => Err(chain(&other)),
        }
    }

    /// Whether the log has a game of this id. A log that cannot be read says so when something is written.
    pub(crate) fn knows(&self, game: &str) -> bool {
        matches!(days::one(self.log.reader(), game), Ok(Some(_)))
    }

    /// The desk's key, by its short name.
    pub(crate) fn key_id(&self) -> &str {
        self.log.key().id().as_str()
    }

    /// Why the head beside the log is not the newest, where it could not be written.
    pub(crate) fn head_fault(&self) -> Option<&str> {
        self.log.head_fault()
    }

    /// The day of the open game.
    pub(crate) fn day(&self) -> Option<&Day> {
        self.game.as_ref().map(|game| game.day.day())
    }

    /// The review in hand.
    pub(crate) fn review(&self) -> Option<&Review> {
        self.game.as_ref()?.session.as_ref().map(Session::review)
    }

    /// A review of this log, as it ended.
    pub(crate) fn past(&self, id: &str) -> Result<Review, String> {
        let id = ReviewId::new(id).map_err(|fault| chain(&fault))?;
        match reviews::one(self.log.reader(), &id) {
            Ok(Some(held)) => Ok(held.review()),
            Ok(None) => Err(format!("there is no review {id} in the log")),
            Err(error) => Err(chain(&error)),
        }
    }

    fn attempt(&mut self, now: &Stamp) -> Result<Attempt, Undone> {
        self.acts += 1;
        let name = format!("desk {} {} {}", std::process::id(), now.utc_ms, self.acts);
        let command = CommandId::new(name).map_err(Error::from)?;
        Ok(Attempt { command, at: now.clone() })
    }

    /// Opens a game with its card, under a book.
    pub(crate) fn open_game(&mut self, card: GameCard, book: &str, now: &Stamp) -> Result<(), Undone> {
        let named = books::read(book).map_err(|error| Undone::Fault(error.to_string()))?;
        let rules = RuleText::of(&named.id, &named.sources);
        let book = rules.load().map_err(|faults| {
            Undone::Fault(format!(
                "the book `{book}` has {} faults: tellframe check {book} shows them",
                faults.len()
            ))
        })?;
        let attempt = self.attempt(now)?;
        // Who sits at the desk acts; the card names him first.
        if let Some(duty) = card.duties.first() {
            self.actor = Actor::new(duty.who.clone()).map_err(Error::from)?;
        }
        let (names, cameras) = (card.names.clone(), cameras(&card));
        let mut day = DaySession::start(&self.log, self.actor.clone(), rules.clone())?;
        match day.act(&mut self.log, &book, &attempt, DayCommand::Open(card))? {
            days::Done::No(no) => Err(Undone::No(no)),
            days::Done::Events(_) => {
                self.game = Some(Game { book, names, cameras, rules, day, session: None, referee: None });
                Ok(())
            }
        }
    }

    /// Does something outside a review.
    pub(crate) fn day_act(&mut self, command: DayCommand, now: &Stamp) -> Result<(), Undone> {
        let attempt = self.attempt(now)?;
        let Some(game) = &mut self.game else { return Err(Undone::Fault("no game is open".to_owned())) };
        match game.day.act(&mut self.log, &game.book, &attempt, command)? {
            days::Done::Events(_) => Ok(()),
            days::Done::No(no) => Err(Undone::No(no)),
        }
    }

    /// Begins a review of a play with its first question.
    pub(crate) fn begin(&mut self, begin: Begin, now: &Stamp) -> Result<(), Undone> {
        let Begin { play, who, stop, asked } = begin;
        if self.review().is_none() {
            let id = Session::new_id()?;
            self.day_act(DayCommand::Review { review: id.to_string(), play }, now)?;
            let (log, actor) = (&self.log, self.actor.clone());
            if let Some(game) = &mut self.game {
                game.session = Some(Session::start(log, id, actor, game.rules.clone())?);
            }
        }
        if self.review().is_some_and(|review| review.phase == Phase::New) {
            let called = self.called(play, who, stop);
            let called = called.ok_or_else(|| Undone::Fault("the game has no situation".to_owned()))?;
            self.act(Command::Challenge(called), now)?;
        }
        self.act(Command::Ask(asked), now)
    }

    fn called(&self, play: usize, who: Initiator, stop: Stop) -> Option<Called> {
        let game = self.game.as_ref()?;
        game.day.day().call(&game.book, play, who, stop)
    }

    /// Does something to the review in hand.
    pub(crate) fn act(&mut self, command: Command, now: &Stamp) -> Result<(), Undone> {
        let attempt = self.attempt(now)?;
        let Some(game) = &mut self.game else { return Err(Undone::Fault("no game is open".to_owned())) };
        let Some(session) = &mut game.session else {
            return Err(Undone::Fault("no review is held".to_owned()));
        };
        let desk = Desk { book: &game.book, names: &game.names };
        match session.act(&mut self.log, desk, &attempt, command)? {
            session::Done::Events(_) => Ok(()),
            session::Done::No(no) => Err(Undone::No(no)),
        }
    }

    /// Marks a frame in the review in hand, and keeps its still where there is one.
    pub(crate) fn mark(&mut self, marked: Marked, still: Option<Vec<u8>>, now: &Stamp) -> Result<(), Undone> {
        let Some(still) = still else { return self.act(Command::Mark(marked), now) };
        let attempt = self.attempt(now)?;
        let Some(game) = &mut self.game else { return Err(Undone::Fault("no game is open".to_owned())) };
        let Some(session) = &mut game.session else {
            return Err(Undone::Fault("no review is held".to_owned()));
        };
        let desk = Desk { book: &game.book, names: &game.names };
        match session.mark(&mut self.log, desk, &attempt, Pictured { marked, still })? {
            session::Done::Events(_) => Ok(()),
            session::Done::No(no) => Err(Undone::No(no)),
        }
    }

    /// The stills of a review's marks, or why they cannot be shown.
    pub(crate) fn stills(&self, review: &Review) -> Result<Vec<Still>, String> {
        stills::of_review(self.log.reader(), review).map_err(|error| chain(&error))
    }

    /// Takes over what a review that is over came to.
    pub(crate) fn end_review(&mut self, now: &Stamp) -> Result<(), Undone> {
        let held = self.game.as_ref().and_then(|game| game.session.as_ref());
        let Some((id, review)) = held.map(|session| (session.id().to_string(), session.review().clone()))
        else {
            return Ok(());
        };
        self.day_act(DayCommand::EndReview { review: id, ended: Box::new(review) }, now)?;
        if let Some(game) = &mut self.game {
            game.session = None;
        }
        Ok(())
    }

    /// The plays that a challenge can be about: the one that was run last, and the coming one.
    pub(crate) fn plays(&self) -> Vec<(usize, Situation)> {
        let Some(day) = self.day() else { return Vec::new() };
        let last = day.plays.len().checked_sub(1);
        let mut numbers: Vec<usize> = day.newest_run().into_iter().chain(last).collect();
        numbers.dedup();
        let at =
            |play: usize| day.call(&self.game.as_ref()?.book, play, Initiator::Booth, Stop::BeforeNextSnap);
        numbers.into_iter().filter_map(|play| Some((play, at(play)?.situation))).collect()
    }
}

impl Post {
    /// Writes a review as a page to print; says where.
    pub(crate) fn print(&self, id: &str) -> Result<String, String> {
        let id = ReviewId::new(id).map_err(|fault| chain(&fault))?;
        let held = reviews::one(self.log.reader(), &id).map_err(|error| chain(&error))?;
        let held = held.ok_or_else(|| format!("there is no review {id} in the log"))?;
        let page = review::of_review(self.log.reader(), &held).map_err(|error| chain(&error))?;
        let kept = output::keep(self.place.folder(), (id.as_str(), "html"), page.as_bytes());
        Ok(format!("the page is {}", kept.map_err(|refused| refused.to_string())?))
    }

    /// Writes the records of the log for programs; says where.
    pub(crate) fn export(&self) -> Result<String, String> {
        let records = records::all(self.log.reader()).map_err(|error| chain(&error))?;
        let mut lines = Vec::new();
        jsonl::write(&records, &mut lines).map_err(|error| error.to_string())?;
        let kept = output::keep(self.place.folder(), ("records", "jsonl"), &lines);
        Ok(format!("{} records written to {}", records.len(), kept.map_err(|refused| refused.to_string())?))
    }
}

/// A review as it begins.
#[derive(Debug, Clone)]
pub(crate) struct Begin {
    /// Of which play, from 0.
    pub play: usize,
    /// Who asks.
    pub who: Initiator,
    /// When the stop signal came.
    pub stop: Stop,
    /// The first question.
    pub asked: Asked,
}

/// The game before its first kick: what a line to type over starts from where nothing is set yet.
pub(crate) fn blank(book: &Book) -> Situation {
    opening(book, Start { team: Team::Home, attacks: End::East })
}

fn key(place: &Location) -> Result<Key, sign::Fault> {
    match Key::read(&place.key()) {
        Err(_) if !place.key().exists() => Key::create(&place.key()),
        read => read,
    }
}

fn cameras(card: &GameCard) -> Vec<String> {
    card.cameras.iter().map(|camera| camera.name.clone()).collect()
}
