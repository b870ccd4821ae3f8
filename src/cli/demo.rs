//! `tellframe demo`: one challenge of the invented league, from its script to the signed entry.
//!
//! The demo has a log and a key of its own, in a folder beside the user's, and never touches the user's log.
//! Stopped at any moment, it goes on where it stopped when it is started again.

mod filmed;
mod footage;
mod precedents;
mod season;
mod told;

use super::{Answer, Unable, books, input};
use crate::clock;
use crate::data;
use std::collections::BTreeSet;
use std::time::Duration;
use tellframe::book::Book;
use tellframe::log::Error;
use tellframe::log::edition::RuleText;
use tellframe::log::entry::Act;
use tellframe::log::label::{Actor, CommandId};
use tellframe::log::location::Location;
use tellframe::log::reviews;
use tellframe::log::session::{Done, Pictured, Session};
use tellframe::log::sign::Key;
use tellframe::log::store::Log;
use tellframe::log::tail::Attempt;
use tellframe::review::decide::{Command, Desk};
use tellframe::review::event::Marked;
use tellframe::review::stamp::Stamp;
use tellframe::review::words::Names;
use tellframe::wire::read::Form;
use tellframe::wire::script::{self, Script, Timed};

/// Arguments of `demo`.
#[derive(Debug, clap::Args)]
pub(super) struct Demo {
    /// Walk the challenge here, without a window
    #[arg(long)]
    no_window: bool,
    /// Wait between the acts: their own times, multiplied by this
    #[arg(long, value_name = "FACTOR", default_value_t = 0.0)]
    pace: f64,
    /// Print the ruling as JSON
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    footage: footage::Footage,
}

const SCRIPT: &str = include_str!("../../demo/challenge.ron");

impl Demo {
    pub(super) fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        if self.footage.footage_only {
            return self.footage.run(folder, self.json);
        }
        let script: Script = input::parse(SCRIPT, "demo/challenge.ron", Form::Ron)?;
        if !self.no_window {
            match window(folder, &script)? {
                None => return Ok(Answer::Yes),
                Some(because) => eprintln!("note: {because}, so the challenge is walked here"),
            }
        }
        season::make(folder)?;
        let named = books::read(&script.book)?;
        let book = books::load(&script.book)?;
        let place = folder.demo()?;
        let actor = Actor::new(&script.official).map_err(Error::from)?;
        let mut log = opened(&place, Act { actor, review: None, at: clock::now() })?;
        let rules = RuleText::of(&named.id, &named.sources);
        let session = session(&log, &script, rules)?;
        let (names, started) = (script.game.names(), clock::now());
        let film = film(folder, &script)?;
        let walk = Walk { script: &script, book: &book, names: &names, started, film, quiet: self.json };
        let session = walk.walk(&mut log, session, self.pace)?;
        precedents::make(&mut log)?;
        if self.json {
            return super::print_json(&told::json(&session));
        }
        told::ruling(&log, &session, &script, &place)
    }
}

/// Opens the window on the challenge; why not, where there is none. The footage of its play is filmed meanwhile:
/// the desk opens each clip as it is finished.
#[cfg(feature = "desk")]
fn window(folder: &data::Folder, script: &Script) -> Result<Option<String>, Unable> {
    let opening = crate::desk::Opening {
        folder: folder.clone(),
        place: folder.demo()?,
        rehearsal: Some(script.clone()),
        clips: Some(footage::clips(folder, PLAY)?),
    };
    let actor = Actor::new(&script.official).map_err(Error::from)?;
    let place = folder.demo()?;
    // A log that cannot be opened is shown as such by the window itself.
    if let Ok(mut log) = opened(&place, Act { actor, review: None, at: clock::now() }) {
        precedents::make(&mut log)?;
    }
    let filming = folder.clone();
    std::thread::spawn(move || {
        if let Err(unable) = season::make(&filming) {
            eprintln!("note: the season cannot be made: {unable}");
        }
        if let Err(unable) = footage::Footage::of(PLAY).make(&filming) {
            eprintln!("note: the footage cannot be made: {unable}; marks are typed");
        }
    });
    Ok(crate::desk::open(crate::desk::Window::Booth(Box::new(opening))).err().map(|error| error.to_string()))
}

/// The play that the script's challenge is about, among those of `demo/plays`.
const PLAY: &str = "catch-beyond-wall";

#[cfg(not(feature = "desk"))]
fn window(_folder: &data::Folder, _script: &Script) -> Result<Option<String>, Unable> {
    Ok(Some("this build has no window".to_owned()))
}

/// The film of the challenge, where it was made; else it is said that marks are typed.
fn film(folder: &data::Folder, script: &Script) -> Result<Option<filmed::Film>, Unable> {
    let cameras: BTreeSet<&str> = script
        .acts
        .iter()
        .filter_map(|timed| {
            let script::Act::Mark { camera, .. } = &timed.act else { return None };
            Some(camera.as_str())
        })
        .collect();
    let cameras: Vec<&str> = cameras.into_iter().collect();
    match filmed::Film::open(&footage::clips(folder, PLAY)?, &cameras) {
        Ok(film) => Ok(Some(film)),
        Err(why) => {
            eprintln!(
                "note: {why}, so marks are typed; `tellframe demo --footage-only --play {PLAY}` films it"
            );
            Ok(None)
        }
    }
}

/// A log of the demo's, made with a key of its own where there is none.
fn opened(place: &Location, act: Act) -> Result<Log, Unable> {
    place.make()?;
    let key = match Key::read(&place.key()) {
        Ok(key) => key,
        Err(_) if !place.key().exists() => Key::create(&place.key()).map_err(Error::from)?,
        Err(fault) => return Err(Error::from(fault).into()),
    };
    if place.log().exists() {
        return Ok(Log::open(&place.log(), key)?);
    }
    Ok(Log::create(&place.log(), key, act)?)
}

/// The review that was left unfinished, else a new one.
fn session(log: &Log, script: &Script, rules: RuleText) -> Result<Session, Unable> {
    let actor = Actor::new(&script.official).map_err(Error::from)?;
    let unfinished = reviews::unfinished(log.reader())?;
    let same_rules = |held: &&reviews::Held| {
        held.begun.as_ref().is_some_and(|begun| begun.edition == rules.edition().to_string())
    };
    let left = unfinished.iter().find(same_rules).map(|held| held.id.clone());
    Ok(match left {
        Some(id) => Session::resume(log, id, actor)?,
        None => Session::start(log, Session::new_id()?, actor, rules)?,
    })
}

/// What every act of the walk needs.
struct Walk<'a> {
    script: &'a Script,
    book: &'a Book,
    names: &'a Names,
    started: Stamp,
    film: Option<filmed::Film>,
    quiet: bool,
}

impl Walk<'_> {
    /// Does every act of the script that is not in the log yet. An act counts from the first one's stamp, so
    /// that the times are the script's, whatever the machine needs.
    fn walk(&self, log: &mut Log, mut session: Session, pace: f64) -> Result<Session, Unable> {
        let first = session.review().times.called.clone();
        let began = first.unwrap_or_else(|| self.started.clone());
        if !session.review().events().is_empty() && !self.quiet {
            println!("resuming {} after {} events", session.id(), session.review().events().len());
        }
        let mut before = 0.0;
        for (number, timed) in self.script.acts.iter().enumerate() {
            let wait = (timed.at_s - before) * pace;
            before = timed.at_s;
            let id = CommandId::new(format!("{} act {number}", session.id())).map_err(Error::from)?;
            if !log.written(&id)?.is_empty() {
                continue;
            }
            if wait > 0.0 {
                std::thread::sleep(Duration::from_secs_f64(wait.min(60.0)));
            }
            let attempt = Attempt { command: id, at: later(&began, timed.at_s) };
            self.act(log, &mut session, &attempt, timed)?;
        }
        Ok(session)
    }

    fn act(
        &self,
        log: &mut Log,
        session: &mut Session,
        attempt: &Attempt,
        timed: &Timed,
    ) -> Result<(), Unable> {
        let asked: Vec<String> =
            session.review().questions.iter().map(|question| question.tree.clone()).collect();
        let command = self
            .script
            .command(self.book, &asked, &timed.act)
            .map_err(|error| Unable::new(format!("the script at {} s: {error}", timed.at_s)))?;
        let desk = Desk { book: self.book, names: self.names };
        let done = match command {
            Command::Mark(marked) => self.mark(log, session, attempt, marked)?,
            other => session.act(log, desk, attempt, other)?,
        };
        match done {
            Done::Events(events) if !self.quiet => {
                let entries = log.reader().tip()?.entries;
                told::act(self.book, timed, &events, session.review(), entries);
            }
            Done::Events(_) => {}
            Done::No(no) => {
                return Err(Unable::new(format!("the script at {} s: {no}", timed.at_s)).help(no.instead));
            }
        }
        Ok(())
    }

    /// Marks on the film, with a still; typed where there is none.
    fn mark(
        &self,
        log: &mut Log,
        session: &mut Session,
        attempt: &Attempt,
        mut marked: Marked,
    ) -> Result<Done, Unable> {
        let desk = Desk { book: self.book, names: self.names };
        match self.film.as_ref().map(|film| film.taken(&marked)) {
            Some(Ok(filmed::Taken { shot, still })) => {
                marked.shot = Some(shot);
                return Ok(session.mark(log, desk, attempt, Pictured { marked, still })?);
            }
            Some(Err(why)) => eprintln!("note: {why}, so this mark is typed"),
            None => {}
        }
        Ok(session.act(log, desk, attempt, Command::Mark(marked))?)
    }
}

/// So many seconds after a stamp, by both its clocks.
fn later(stamp: &Stamp, seconds: f64) -> Stamp {
    let ms = (seconds * 1000.0).round().max(0.0);
    Stamp {
        utc_ms: stamp.utc_ms.saturating_add(ms as i64),
        boot_ms: stamp.boot_ms.saturating_add(ms as u64),
        boot: stamp.boot.clone(),
    }
}
