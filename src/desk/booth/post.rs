//! What the booth has open: the log, the rules, the day of the game, its review.
//!
//! Every act goes through here: written first, then shown.

mod referee;

use super::challenge::Candidate;
use super::games::Row;
use super::typed::Ground;
use super::undone::{Fault, Undone};
use ::review::announcement::Names;
use ::review::day::as_run::AsRun;
use ::review::day::fold::{Day, Ended};
use ::review::day::text;
use ::review::day::{Command as DayCommand, GameCard};
use ::review::decide::{Command, Desk};
use ::review::event::Asked;
use ::review::fold::{Phase, Review};
use ::review::gate::{Initiator, Stop};
use ::review::stamp::Stamp;
use host::books;
use host::output;
use host::output::Kept;
use log::Error;
use log::chain::edition::RuleText;
use log::chain::entry::Act;
use log::chain::label::{Actor, CommandId, ReviewId};
use log::chain::sign;
use log::chain::sign::Key;
use log::exchange::{jsonl, records};
use log::store::location::Location;
use log::store::log::Log;
use log::store::stills;
use log::store::stills::Still;
use log::streams::days;
use log::streams::days::DaySession;
use log::streams::discretions::DiscretionSession;
use log::streams::reviews;
use log::streams::reviews::{Held, Pictured, Session};
use log::streams::session;
use log::streams::session::{Attempt, Done};
use pages::review;
use rules::book::Book;
use rules::game::advance::{Start, opening};
use rules::game::situation::{End, Situation, Team};

/// The log that is held at this desk, and who acts at it.
pub(crate) struct Post {
    /// The folder of log and key.
    pub place: Location,
    log: Log,
    actor: Actor,
    /// Counts acts, so that every command id is unique.
    acts: u64,
}

/// An open game.
pub(crate) struct Game {
    pub book: Book,
    pub names: Names,
    pub cameras: Vec<String>,
    rules: RuleText,
    day: DaySession,
    session: Option<Session>,
    referee: Option<DiscretionSession>,
}

/// Who acts until a card names the official.
const OFFICIAL: &str = "booth-07";

impl Post {
    /// Opens the log and the game that was left open. Where there is no log, makes one with a new key.
    pub(crate) fn open(place: &Location, now: &Stamp) -> Result<(Post, Option<Game>), Fault> {
        place.make()?;
        let key = key(place).map_err(Error::from)?;
        let actor = Actor::new(OFFICIAL).map_err(Error::from)?;
        let log = match place.log().exists() {
            true => Log::open(&place.log(), key)?,
            false => {
                Log::create(&place.log(), key, Act { actor: actor.clone(), review: None, at: now.clone() })?
            }
        };
        let mut post = Post { place: place.clone(), log, actor, acts: 0 };
        let Some(left) = days::last_open(post.log.reader())? else { return Ok((post, None)) };
        let game = post.resume(&left)?;
        Ok((post, Some(game)))
    }

    /// The game that was left, with its open review.
    fn resume(&mut self, left: &days::Held) -> Result<Game, Fault> {
        let game = left.id.as_str();
        self.actor = match left.day().official {
            Some(who) => Actor::new(who).map_err(Error::from)?,
            None => left.official.clone(),
        };
        let day = DaySession::resume(&self.log, game, self.actor.clone())?;
        let rules = day.rules().ok_or(Fault::NoRules)?.clone();
        let book = rules.load().map_err(|faults| Fault::FaultyRules(faults.len()))?;
        let session = match day.day().review() {
            Some(on) => Some(self.review_of(&on.review, &rules)?),
            None => None,
        };
        let card = day.day().opened.as_ref().map(|opened| opened.card.clone()).ok_or(Fault::NoCard)?;
        let review = session.as_ref().map(Session::id);
        let referee = DiscretionSession::left(&self.log, game, review, self.actor.clone())?;
        let (names, cameras) = (card.names.clone(), cameras(&card));
        Ok(Game { book, names, cameras, rules, day, session, referee })
    }

    /// The closed games of the log, the newest first.
    pub(crate) fn closed_games(&self) -> Result<Vec<Row>, Fault> {
        let all = days::Held::all(self.log.reader())?;
        Ok(all.iter().rev().filter(|held| held.unread.is_none()).filter_map(closed).collect())
    }

    /// Reopens a closed game, and goes on with it.
    pub(crate) fn reopen(&mut self, game: &str, reason: String, now: &Stamp) -> Result<Game, Undone> {
        let attempt = self.attempt(now)?;
        let held = days::Held::one(self.log.reader(), game)?.ok_or_else(|| Fault::NoGame(game.to_owned()))?;
        let mut game = self.resume(&held)?;
        done(game.day.act(&mut self.log, &game.book, &attempt, DayCommand::Reopen { reason })?)?;
        Ok(game)
    }

    /// The day's review as it was left; a new one if the desk was killed before its first entry.
    fn review_of(&self, id: &str, rules: &RuleText) -> Result<Session, Error> {
        let id = ReviewId::new(id)?;
        match Session::resume(&self.log, id.clone(), self.actor.clone()) {
            Err(Error::Session(session::SessionError::Missing { .. })) => {
                Session::start(&self.log, id, self.actor.clone(), rules.clone())
            }
            resumed => resumed,
        }
    }

    /// Whether the log has a game with this id. If the log cannot be read, the next write reports it.
    pub(crate) fn knows(&self, game: &str) -> bool {
        matches!(days::Held::one(self.log.reader(), game), Ok(Some(_)))
    }

    /// Short id of the desk's key.
    pub(crate) fn key_id(&self) -> &str {
        self.log.key().id().as_str()
    }

    /// Why the newest head beside the log could not be written.
    pub(crate) fn head_fault(&self) -> Option<&str> {
        self.log.head_fault()
    }

    fn attempt(&mut self, now: &Stamp) -> Result<Attempt, Undone> {
        self.acts += 1;
        let name = format!("desk {} {} {}", std::process::id(), now.utc_ms, self.acts);
        let command = CommandId::new(name).map_err(Error::from)?;
        Ok(Attempt { command, at: now.clone() })
    }

    /// Opens a game with its card, under a book.
    pub(crate) fn open_game(&mut self, card: GameCard, book: &str, now: &Stamp) -> Result<Game, Undone> {
        let named = books::read(book).map_err(Fault::from)?;
        let rules = RuleText::of(&named.id, &named.sources);
        let faulty = |count| Fault::FaultyBook { book: book.to_owned(), count };
        let book = rules.load().map_err(|faults| faulty(faults.len()))?;
        let attempt = self.attempt(now)?;
        // The first duty on the card is that of the official at this desk.
        if let Some(duty) = card.duties.first() {
            self.actor = Actor::new(duty.who.clone()).map_err(Error::from)?;
        }
        let (names, cameras) = (card.names.clone(), cameras(&card));
        let mut day = DaySession::start(&self.log, self.actor.clone(), rules.clone())?;
        done(day.act(&mut self.log, &book, &attempt, DayCommand::Open(card))?)?;
        Ok(Game { book, names, cameras, rules, day, session: None, referee: None })
    }

    /// A review of this log, as it ended.
    pub(crate) fn past(&self, id: &str) -> Result<Review, Fault> {
        Ok(self.held(id)?.review())
    }

    fn held(&self, id: &str) -> Result<Held, Fault> {
        let review = ReviewId::new(id).map_err(Error::from)?;
        reviews::Held::one(self.log.reader(), &review)?.ok_or_else(|| Fault::NoReview(id.to_owned()))
    }

    pub(crate) fn stills(&self, review: &Review) -> Result<Vec<Still>, Error> {
        stills::of_review(self.log.reader(), review)
    }

    /// Writes a review as a page to print.
    pub(crate) fn print(&self, id: &str) -> Result<Kept, Fault> {
        let page = review::of_review(self.log.reader(), &self.held(id)?)?;
        Ok(output::keep(self.place.folder(), (id, "html"), page.as_bytes())?)
    }

    /// Writes the records of the log for programs, and counts them.
    pub(crate) fn export(&self) -> Result<(usize, Kept), Fault> {
        let records = records::all(self.log.reader())?;
        let mut lines = Vec::new();
        jsonl::write(&records, &mut lines)?;
        let kept = output::keep(self.place.folder(), ("records", "jsonl"), &lines)?;
        Ok((records.len(), kept))
    }
}

impl Game {
    pub(crate) fn day(&self) -> &Day {
        self.day.day()
    }

    pub(crate) fn review(&self) -> Option<&Review> {
        self.session.as_ref().map(Session::review)
    }

    /// What the decisions of a review need of the game.
    pub(crate) fn desk(&self) -> Desk<'_> {
        Desk { book: &self.book, names: &self.names, day: Some(self.day()) }
    }

    /// The situation of the game; before it is set, one to type over.
    pub(crate) fn situation(&self) -> Situation {
        self.day().situation().unwrap_or_else(|| blank(&self.book))
    }

    /// What typed lines are read against.
    pub(crate) fn ground<'a>(&'a self, situation: &'a Situation) -> Ground<'a> {
        Ground { field: &self.book.field, names: &self.names, situation }
    }

    /// Carries out a command outside the review.
    pub(crate) fn day_act(
        &mut self,
        post: &mut Post,
        command: DayCommand,
        now: &Stamp,
    ) -> Result<(), Undone> {
        let attempt = post.attempt(now)?;
        let hands_over = matches!(command, DayCommand::HandOver { .. });
        done(self.day.act(&mut post.log, &self.book, &attempt, command)?)?;
        if let Some(opened) = &self.day.day().opened {
            (self.names, self.cameras) = (opened.card.names.clone(), cameras(&opened.card));
        }
        if hands_over && let Some(who) = self.day().official.clone() {
            let actor = Actor::new(who).map_err(Error::from)?;
            self.day.handed_to(actor.clone());
            if let Some(session) = &mut self.session {
                session.handed_to(actor.clone());
            }
            post.actor = actor;
        }
        Ok(())
    }

    /// Begins a review of a play with its first question.
    pub(crate) fn begin(&mut self, post: &mut Post, begin: Begin, now: &Stamp) -> Result<(), Undone> {
        let Begin { play, who, stop, asked } = begin;
        if self.review().is_none() {
            let id = Session::new_id()?;
            self.day_act(post, DayCommand::Review { review: id.to_string(), play }, now)?;
            self.session = Some(Session::start(&post.log, id, post.actor.clone(), self.rules.clone())?);
        }
        if self.review().is_some_and(|review| review.phase == Phase::New) {
            let called = self.day().call(&self.book, play, who, stop).ok_or(Fault::NoSituation)?;
            self.act(post, Command::Challenge(called), now)?;
        }
        self.act(post, Command::Ask(asked), now)
    }

    /// Carries out a command of the review.
    pub(crate) fn act(&mut self, post: &mut Post, command: Command, now: &Stamp) -> Result<(), Undone> {
        let attempt = post.attempt(now)?;
        let session = self.session.as_mut().ok_or(Fault::NoReviewHeld)?;
        let desk = Desk { book: &self.book, names: &self.names, day: Some(self.day.day()) };
        done(session.act(&mut post.log, desk, &attempt, command)?)
    }

    /// Marks a frame and keeps its still.
    pub(crate) fn mark(&mut self, post: &mut Post, pictured: Pictured, now: &Stamp) -> Result<(), Undone> {
        let attempt = post.attempt(now)?;
        let session = self.session.as_mut().ok_or(Fault::NoReviewHeld)?;
        let desk = Desk { book: &self.book, names: &self.names, day: Some(self.day.day()) };
        done(session.mark(&mut post.log, desk, &attempt, pictured)?)
    }

    /// Takes the result of a review that is over into the day.
    pub(crate) fn end_review(&mut self, post: &mut Post, now: &Stamp) -> Result<(), Undone> {
        let Some(session) = &self.session else { return Ok(()) };
        let (review, ended) = (session.id().to_string(), Box::new(session.review().clone()));
        self.day_act(post, DayCommand::EndReview { review, ended }, now)?;
        self.session = None;
        Ok(())
    }

    /// The plays that can be challenged: the last one that was run, and the coming one.
    pub(crate) fn plays(&self) -> Vec<Candidate> {
        let day = self.day();
        let last = day.plays.len().checked_sub(1);
        let mut numbers: Vec<usize> = day.newest_run().into_iter().chain(last).collect();
        numbers.dedup();
        let candidate = |number: usize| {
            let called = day.call(&self.book, number, Initiator::Booth, Stop::BeforeNextSnap)?;
            let ran = day.plays.get(number)?.as_run(&self.book);
            Some(Candidate { number, at_snap: called.situation, ran })
        };
        numbers.into_iter().filter_map(candidate).collect()
    }

    /// The play under review as it was entered between plays.
    pub(crate) fn ran(&self) -> AsRun {
        let day = self.day();
        let play = day.review().and_then(|on| day.plays.get(on.play));
        play.map_or_else(AsRun::default, |play| play.as_run(&self.book))
    }
}

#[derive(Debug, Clone)]
pub(crate) struct Begin {
    pub play: usize,
    pub who: Initiator,
    pub stop: Stop,
    pub asked: Asked,
}

/// The game before its first kick, to be typed over while no situation is set.
pub(crate) fn blank(book: &Book) -> Situation {
    opening(book, Start { team: Team::Home, attacks: End::East })
}

/// Turns a refusal into an error.
fn done<E>(done: Done<E>) -> Result<(), Undone> {
    match done {
        Done::Events(_) => Ok(()),
        Done::No(no) => Err(Undone::No(no)),
    }
}

fn key(place: &Location) -> Result<Key, sign::KeyError> {
    match Key::read(&place.key()) {
        Err(_) if !place.key().exists() => Key::create(&place.key()),
        read => read,
    }
}

/// A closed game as a row of the list; `None` for an open one.
fn closed(held: &days::Held) -> Option<Row> {
    let day = held.day();
    let card = &day.opened.as_ref()?.card;
    let score = match (day.end.as_ref()?, day.situation()) {
        (Ended::Early { score, .. }, _) => Some(*score),
        (Ended::Played, now) => now.map(|now| now.score),
    };
    let how = match &day.end {
        Some(Ended::Early { how, reason, .. }) => format!("{}: {reason}", text::early(*how)),
        Some(Ended::Played) | None => "played to its end".to_owned(),
    };
    let score = score.map_or_else(String::new, |score| format!("{} : {}, ", score.home, score.away));
    let teams = format!("{} at {}", card.names.teams.away, card.names.teams.home);
    Some(Row { game: held.id.clone(), teams, ended: format!("{score}{how}") })
}

fn cameras(card: &GameCard) -> Vec<String> {
    card.cameras.iter().map(|camera| camera.name.clone()).collect()
}
