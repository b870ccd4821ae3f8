//! The referee's own ruling: begun from the review or the day, written, taken over.

use super::{Fault, Game, Post, Undone, done};
use log::Error;
use log::chain::label::Actor;
use log::streams::discretions::DiscretionSession;
use log::streams::precedents;
use log::streams::precedents::{Precedents, id_of, proposal};
use review::day::Command as DayCommand;
use review::decide::{Command as ReviewCommand, now as ruling_now, questions};
use review::discretion::{Command, Opened, origin, text};
use review::fold::Phase;
use review::precedent::Command as Decision;
use review::precedent::pattern::Pattern;
use review::refusal::Refusal;
use review::stamp::Stamp;
use rules::game::situation::Situation;

impl Game {
    pub(crate) fn referee(&self) -> Option<&DiscretionSession> {
        self.referee.as_ref()
    }

    /// The play of the day that would be brought to the referee, in words. `None` where its question is known: a ruling
    /// is open, or a review is on.
    pub(crate) fn brings(&self, play: Option<usize>) -> Result<Option<String>, Undone> {
        match (&self.referee, &self.session) {
            (None, None) => Ok(Some(self.left_to_referee(play)?.play)),
            (Some(_), _) | (_, Some(_)) => Ok(None),
        }
    }

    /// Begins a ruling if none is open: about this play of the day, with the question and the call that it is brought
    /// with; without a play about the review that the book leaves open, otherwise about the last play.
    pub(crate) fn begin_referee(
        &mut self,
        post: &mut Post,
        (play, asked): (Option<usize>, Option<(&str, &str)>),
        now: &Stamp,
    ) -> Result<(), Undone> {
        if let Some(held) = &self.referee {
            let about = |opened: &Opened| opened.ground.since.map(|since| since.play);
            return match (play, held.ruling().opened.as_ref().and_then(about)) {
                (Some(play), about) if about != Some(play) => {
                    no("the referee's own ruling on another matter is open", "finish it first")
                }
                (Some(_) | None, _) => Ok(()),
            };
        }
        let mut opened = self.left_to_referee(play)?;
        if let Some((question, call)) = asked {
            opened = origin::asked(&self.book, opened, question, Some(call)).map_err(Undone::No)?;
        }
        let actor = self.referees_name()?;
        self.referee = Some(DiscretionSession::start(&post.log, actor)?);
        let begun = self.referee_act(post, Command::Open(Box::new(opened)), now);
        if begun.is_err() {
            self.referee = None;
        }
        begun
    }

    /// What would be left to the referee now.
    fn left_to_referee(&self, play: Option<usize>) -> Result<Opened, Undone> {
        let day = self.day();
        match (&self.session, play.or_else(|| day.newest_run())) {
            (Some(_), _) if play.is_some() => no("a review is on", "end it first"),
            (Some(session), _) => origin::of_review(&self.book, session.id(), session.review()).map_or_else(
                || no("the book decides this review", "the referee rules only where it leaves it open"),
                Ok,
            ),
            (None, play) => play
                .and_then(|play| origin::of_day(&self.book, day, play))
                .map_or_else(|| no("the game has no situation", "set it: period, clock, ball and score"), Ok),
        }
    }

    /// The referee's pseudonym, as the card has it.
    fn referees_name(&self) -> Result<Actor, Error> {
        let card = self.day().opened.as_ref().map(|opened| &opened.card);
        let duty = card.and_then(|card| card.duties.iter().find(|duty| duty.duty == "referee"));
        Ok(Actor::new(duty.map_or("referee", |duty| duty.who.as_str()))?)
    }

    pub(crate) fn referee_act(
        &mut self,
        post: &mut Post,
        command: Command,
        now: &Stamp,
    ) -> Result<(), Undone> {
        let attempt = post.attempt(now)?;
        let session = self.referee.as_mut().ok_or(Fault::NoRulingHeld)?;
        done(session.act(&mut post.log, &self.book, &attempt, command)?)
    }

    pub(crate) fn week(&self) -> Option<u32> {
        self.day().opened.as_ref()?.card.week
    }

    /// The facts of the review, if the book leaves it to the referee as it stands.
    pub(crate) fn case(&self) -> Option<Pattern> {
        let session = self.session.as_ref()?;
        let opened = origin::of_review(&self.book, session.id(), session.review())?;
        Some(Pattern::of_opened(&self.book, &opened))
    }

    /// Proposes the signed ruling as a precedent.
    pub(crate) fn propose(&mut self, post: &mut Post, title: &str, now: &Stamp) -> Result<(), Undone> {
        let attempt = post.attempt(now)?;
        let actor = self.referees_name()?;
        let session = self.referee.as_ref().ok_or(Fault::NoRulingHeld)?;
        let pattern = Pattern::of(&self.book, session.ruling());
        let proposed = pattern.and_then(|pattern| proposal(session.id(), title, session.ruling(), pattern));
        let proposed = proposed.ok_or(Fault::Unsigned)?;
        let id = id_of(session.id());
        done(precedents::act(&mut post.log, &actor, &attempt, &id, Decision::Propose(Box::new(proposed)))?)
    }

    /// Applies the signed ruling as the restart of its review, or to the day if it has none. Repeating it changes
    /// nothing.
    pub(crate) fn take_over(&mut self, post: &mut Post, now: &Stamp) -> Result<(), Undone> {
        let Some(held) = &self.referee else { return Ok(()) };
        let (id, ruling) = (held.id().to_owned(), held.ruling().clone());
        if let (Some(signed), Some(opened)) = (&ruling.signed, &ruling.opened) {
            let remedy = text::remedy(signed);
            let reason = format!("the referee's own ruling {id}: {remedy} (rule {})", signed.rule);
            match (&opened.review, origin::taken_over(self.day(), &ruling)) {
                (Some(review), _) => self.amend(post, (review, signed.after), reason, now)?,
                (None, Some(situation)) => {
                    self.day_act(post, DayCommand::Correct { situation, reason: Some(reason) }, now)?;
                }
                // The play stands, or another one was snapped since: the game goes on as it is.
                (None, None) => {}
            }
        }
        self.referee = None;
        Ok(())
    }

    fn amend(
        &mut self,
        post: &mut Post,
        (review, mut after): (&str, Situation),
        reason: String,
        now: &Stamp,
    ) -> Result<(), Undone> {
        let Some(session) = &self.session else { return Ok(()) };
        let held = session.review();
        if session.id() != review || held.phase != Phase::Open {
            return Ok(());
        }
        // What the challenge costs is for the review to decide.
        if let Ok(price) = ruling_now(&self.book, held, &questions(&self.book, held)) {
            after.timeouts = price.restart.after.timeouts;
            after.challenges = price.restart.after.challenges;
        }
        if held.amended().is_some_and(|(amended, _)| amended == after) {
            return Ok(());
        }
        self.act(post, ReviewCommand::Amend { after, reason }, now)
    }
}

fn no<T>(because: &str, instead: &str) -> Result<T, Undone> {
    let (because, instead) = (because.to_owned(), instead.to_owned());
    Err(Undone::No(Refusal { because, instead, reason_carries: false }))
}

impl Post {
    pub(crate) fn precedents(&self) -> Result<Precedents, Error> {
        Precedents::read(self.log.reader())
    }
}
