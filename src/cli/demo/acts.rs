//! A scripted challenge held act by act over the demo's log.

use super::scripted::Scripted;
use super::{filmed, footage};
use crate::cli::Unable;
use crate::cli::demo::text;
use formats::script::{Act, Script, Timed};
use host::data;
use log::Error;
use log::chain::label::CommandId;
use log::store::log::Log;
use log::streams::reviews::{Done, Pictured, Session};
use log::streams::session::Attempt;
use review::announcement::Names;
use review::decide::{Command, Desk};
use review::event::Marked;
use review::placing::Placing;
use review::stamp::Stamp;
use rules::book::Book;
use std::collections::BTreeSet;
use std::time::Duration;

/// The film of the challenge; without it, a note on stderr that marks are typed.
pub(super) fn film(folder: &data::Folder, scripted: &Scripted) -> Result<Option<filmed::Film>, Unable> {
    let Scripted { play, script } = scripted;
    match filmed::Film::open(&footage::clips(folder, play)?, &cameras(script)) {
        Ok(film) => Ok(Some(film)),
        Err(why) => {
            eprintln!(
                "note: {why}, so marks are typed; `tellframe demo --footage-only --play {play}` films it"
            );
            Ok(None)
        }
    }
}

/// The cameras whose pictures the script marks, or clicks in.
fn cameras(script: &Script) -> BTreeSet<&str> {
    let mut cameras = BTreeSet::new();
    for timed in &script.acts {
        if let Act::Mark { camera, .. } = &timed.act {
            cameras.insert(camera.as_str());
        }
        if let Act::Place { seen, .. } = &timed.act {
            cameras.extend(seen.iter().map(|seen| seen.calibration.camera.as_str()));
        }
    }
    cameras
}

/// What every act of the script needs.
pub(super) struct Performance<'a> {
    pub script: &'a Script,
    pub book: &'a Book,
    pub names: &'a Names,
    /// When the script began, for a review that begins with it.
    pub started: Stamp,
    pub film: Option<filmed::Film>,
    /// Nothing is printed.
    pub quiet: bool,
}

impl Performance<'_> {
    /// Does every act of the script that is not in the log yet. Acts are stamped from the first one on with the
    /// times of the script, however long the machine takes.
    pub(super) fn run(&self, log: &mut Log, mut session: Session, pace: f64) -> Result<Session, Unable> {
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
        let command = self
            .script
            .command(self.book, session.review(), &timed.act)
            .map_err(|error| Unable::new(format!("the script at {} s: {error}", timed.at_s)))?;
        let desk = Desk { book: self.book, names: self.names, day: None };
        let done = match command {
            Command::Mark(marked) => self.mark(log, session, attempt, marked)?,
            Command::Place(placing) => {
                session.act(log, desk, attempt, Command::Place(self.proven(placing)))?
            }
            other => session.act(log, desk, attempt, other)?,
        };
        match done {
            Done::Events(events) if !self.quiet => {
                let entries = log.reader().tip()?.entries;
                text::act(self.book, timed, &events, session.review(), entries);
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
        let desk = Desk { book: self.book, names: self.names, day: None };
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

    /// The clicks with the proof of their pictures, where the film has them.
    fn proven(&self, mut placing: Placing) -> Placing {
        for seen in &mut placing.seen {
            match self.film.as_ref().map(|film| film.shot(seen)) {
                Some(Ok(shot)) => seen.shot = Some(shot),
                Some(Err(why)) => eprintln!("note: {why}, so its picture is not proven"),
                None => {}
            }
        }
        placing
    }
}

/// The stamp some seconds later, by both its clocks.
fn later(stamp: &Stamp, seconds: f64) -> Stamp {
    let ms = (seconds * 1000.0).round().max(0.0);
    Stamp {
        utc_ms: stamp.utc_ms.saturating_add(ms as i64),
        boot_ms: stamp.boot_ms.saturating_add(ms as u64),
        boot: stamp.boot.clone(),
    }
}
