//! `tellframe demo`: challenges of the invented league, each from its script to the signed entry.
//!
//! The demo has a log and a key of its own, in a folder beside the user's, and never touches the user's log.
//! Stopped at any moment, it goes on where it stopped when it is started again.

mod acts;
mod filmed;
mod footage;
mod precedents;
mod scripted;
mod season;
mod text;

use self::acts::Performance;
use self::scripted::Scripted;
use super::{Answer, Unable, books};
use formats::script::Script;
use host::clock;
use host::data;
use log::Error;
use log::chain::edition::RuleText;
use log::chain::entry::Act;
use log::chain::label::Actor;
use log::chain::sign::Key;
use log::store::location::Location;
use log::store::log::Log;
use log::streams::reviews;
use log::streams::reviews::Session;
use serde_json::json;

/// Arguments of `demo`.
#[derive(Debug, clap::Args)]
pub(super) struct Demo {
    /// Walk the challenges here, without a window
    #[arg(long)]
    no_window: bool,
    /// Wait between the acts: their own times, multiplied by this
    #[arg(long, value_name = "FACTOR", default_value_t = 0.0)]
    pace: f64,
    /// Print the rulings as JSON
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    footage: footage::Footage,
}

impl Demo {
    pub(super) fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        if self.footage.footage_only {
            return self.footage.run(folder, self.json);
        }
        let scripted = scripted::about(self.footage.play.as_deref())?;
        if let (false, Some(first)) = (self.no_window, scripted.first()) {
            match window(folder, first)? {
                None => return Ok(Answer::Yes),
                Some(because) => eprintln!("note: {because}, so the challenge is walked here"),
            }
        }
        season::make(folder)?;
        let place = folder.demo()?;
        let (mut rulings, mut answer) = (Vec::new(), Answer::Yes);
        for scripted in left(&place, scripted)? {
            let mut log = opened(&place, begins(&scripted.script)?)?;
            let session = self.walk(folder, &mut log, &scripted)?;
            precedents::make(&mut log)?;
            if self.json {
                rulings.push(text::json(&session));
            } else if let Answer::No = text::ruling(&log, &session, &scripted.script, &place)? {
                answer = Answer::No;
            }
        }
        if self.json {
            return super::print_json(&json!({"reviews": rulings}));
        }
        Ok(answer)
    }

    /// One challenge, from its script to the signed entry.
    fn walk(&self, folder: &data::Folder, log: &mut Log, scripted: &Scripted) -> Result<Session, Unable> {
        let script = &scripted.script;
        let named = books::read(&script.book)?;
        let book = books::load(&script.book)?;
        let session = session(log, script, RuleText::of(&named.id, &named.sources))?;
        let (names, started) = (script.game.names(), clock::now());
        let film = acts::film(folder, scripted)?;
        let performance = Performance { script, book: &book, names: &names, started, film, quiet: self.json };
        performance.run(log, session, self.pace)
    }
}

/// The challenges from the one on that was left unfinished; all of them where none was.
fn left(place: &Location, mut scripted: Vec<Scripted>) -> Result<Vec<Scripted>, Unable> {
    let Some(first) = scripted.first().filter(|_| place.log().exists()) else { return Ok(scripted) };
    let log = opened(place, begins(&first.script)?)?;
    let unfinished = reviews::unfinished(log.reader())?;
    let begun = |scripted: &Scripted| unfinished.iter().any(|held| is_of(&scripted.script, held));
    let from = scripted.iter().position(begun).unwrap_or(0);
    Ok(scripted.split_off(from))
}

/// The act with which a log of the demo begins.
fn begins(script: &Script) -> Result<Act, Unable> {
    let actor = Actor::new(&script.official).map_err(Error::from)?;
    Ok(Act { actor, review: None, at: clock::now() })
}

/// Opens the window on the challenge; returns why there is none. The footage of its play is filmed meanwhile:
/// the desk opens each clip as it is finished.
#[cfg(feature = "desk")]
fn window(folder: &data::Folder, scripted: &Scripted) -> Result<Option<String>, Unable> {
    let (play, script) = (scripted.play, &scripted.script);
    let opening = desk::Opening {
        folder: folder.clone(),
        place: folder.demo()?,
        rehearsal: Some(script.clone()),
        clips: Some(footage::clips(folder, play)?),
    };
    let begins = begins(script)?;
    // The window itself reports a log that cannot be opened.
    if let Ok(mut log) = opened(&folder.demo()?, begins) {
        precedents::make(&mut log)?;
    }
    let filming = folder.clone();
    std::thread::spawn(move || {
        if let Err(unable) = season::make(&filming) {
            eprintln!("note: the season cannot be made: {unable}");
        }
        if let Err(unable) = footage::Footage::of(play).make(&filming) {
            eprintln!("note: the footage cannot be made: {unable}; marks are typed");
        }
    });
    Ok(desk::open(desk::Window::Booth(Box::new(opening))).err().map(|error| error.to_string()))
}

#[cfg(not(feature = "desk"))]
fn window(_folder: &data::Folder, _scripted: &Scripted) -> Result<Option<String>, Unable> {
    Ok(Some("this build has no window".to_owned()))
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
    let same_rules = |held: &reviews::Held| {
        held.begun.as_ref().is_some_and(|begun| begun.edition == rules.edition().to_string())
    };
    let left = unfinished.iter().find(|held| same_rules(held) && may_be_of(script, held));
    let left = left.map(|held| held.id.clone());
    Ok(match left {
        Some(id) => Session::resume(log, id, actor)?,
        None => Session::start(log, Session::new_id()?, actor, rules)?,
    })
}

/// Whether a review is of this script's challenge; none is before its first act.
fn is_of(script: &Script, held: &reviews::Held) -> bool {
    held.review().called.is_some_and(|called| called.play == script.game.play)
}

/// Whether a review is of this script's challenge, or of none yet.
fn may_be_of(script: &Script, held: &reviews::Held) -> bool {
    held.review().called.is_none_or(|called| called.play == script.game.play)
}
