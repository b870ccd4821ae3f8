//! What the booth does for the referee's own ruling: begun from the review or the day, written, taken over.

use super::{Fault, Game, Post, Undone};
use log::Error;
use log::chain::label::Actor;
use log::streams::discretions;
use log::streams::discretions::DiscretionSession;
use log::streams::precedents;
use log::streams::precedents::{Precedents, id_of, proposal};
use review::day::Command as DayCommand;
use review::decide::{Command as ReviewCommand, now as ruling_now, questions};
use review::discretion::origin;
use review::discretion::{Command, Opened};
use review::fold::Phase;
use review::precedent::Command as Decision;
use review::precedent::pattern::Pattern;
use review::refusal::Refusal;
use review::stamp::Stamp;
use rules::game::situation::Situation;

impl Game {
    /// The referee's own ruling in hand.
    pub(crate) fn referee(&self) -> Option<&DiscretionSession> {
        self.referee.as_ref()
    }

    /// Goes on with the one in hand, else begins one: about the review that the book leaves open, else about the play
    /// that was run last.
    pub(crate) fn begin_referee(&mut self, post: &mut Post, now: &Stamp) -> Result<(), Undone> {
        if self.referee.is_some() {
            return Ok(());
        }
        let opened = self.left_to_referee()?;
        let actor = self.referees_name()?;
        self.referee = Some(DiscretionSession::start(&post.log, actor)?);
        let begun = self.referee_act(post, Command::Open(Box::new(opened)), now);
        if begun.is_err() {
            self.referee = None;
        }
        begun
    }

    /// What would be left to the referee now.
    fn left_to_referee(&self) -> Result<Opened, Undone> {
        let no = |because: &str, instead: &str| {
            Undone::No(Refusal {
                because: because.to_owned(),
                instead: instead.to_owned(),
                reason_carries: false,
            })
        };
        if let Some(session) = &self.session {
            let opened = origin::of_review(&self.book, session.id(), session.review());
            return opened.ok_or_else(|| {
                no("the book decides this review", "the referee rules only where it leaves it open")
            });
        }
        let day = self.day();
        let opened = day.newest_run().and_then(|play| origin::of_day(&self.book, day, play));
        opened.ok_or_else(|| no("the game has no situation", "set it: period, clock, ball and score"))
    }

    /// The pseudonym of the referee: as the card names them.
    fn referees_name(&self) -> Result<Actor, Error> {
        let card = self.day().opened.as_ref().map(|opened| &opened.card);
        let duty = card.and_then(|card| card.duties.iter().find(|duty| duty.duty == "referee"));
        Ok(Actor::new(duty.map_or("referee", |duty| duty.who.as_str()))?)
    }

    /// Does something to the ruling in hand.
    pub(crate) fn referee_act(
        &mut self,
        post: &mut Post,
        command: Command,
        now: &Stamp,
    ) -> Result<(), Undone> {
        let attempt = post.attempt(now)?;
        let session = self.referee.as_mut().ok_or(Fault::NoRulingHeld)?;
        match session.act(&mut post.log, &self.book, &attempt, command)? {
            discretions::Done::Events(_) => Ok(()),
            discretions::Done::No(no) => Err(Undone::No(no)),
        }
    }

    /// The week of the game.
    pub(crate) fn week(&self) -> Option<u32> {
        self.day().opened.as_ref()?.card.week
    }

    /// The facts of the review in hand, where it is left to the referee as it stands.
    pub(crate) fn case(&self) -> Option<Pattern> {
        let session = self.session.as_ref()?;
        let opened = origin::of_review(&self.book, session.id(), session.review())?;
        Some(Pattern::of_opened(&self.book, &opened))
    }

    /// Hands the signed ruling on as a precedent.
    pub(crate) fn propose(&mut self, post: &mut Post, title: &str, now: &Stamp) -> Result<(), Undone> {
        let attempt = post.attempt(now)?;
        let actor = self.referees_name()?;
        let session = self.referee.as_ref().ok_or(Fault::NoRulingHeld)?;
        let pattern = Pattern::of(&self.book, session.ruling());
        let proposed = pattern.and_then(|pattern| proposal(session.id(), title, session.ruling(), pattern));
        let proposed = proposed.ok_or(Fault::Unsigned)?;
        let id = id_of(session.id());
        match precedents::act(&mut post.log, &actor, &attempt, &id, Decision::Propose(Box::new(proposed)))? {
            precedents::Done::Events(_) => Ok(()),
            precedents::Done::No(no) => Err(Undone::No(no)),
        }
    }

    /// What a signed ruling came to is taken over: by the review as its restart, else by the day. Done twice it is
    /// done once.
    pub(crate) fn take_over(&mut self, post: &mut Post, now: &Stamp) -> Result<(), Undone> {
        let Some(held) = &self.referee else { return Ok(()) };
        let (id, ruling) = (held.id().to_owned(), held.ruling().clone());
        if let (Some(signed), Some(opened)) = (&ruling.signed, &ruling.opened) {
            let reason = format!("the referee's own ruling {id}: {} (rule {})", signed.remedy, signed.rule);
            let situation = signed.after;
            match &opened.review {
                Some(review) => self.amend(post, (review, situation), reason, now)?,
                None if self.day().situation() != Some(situation) => {
                    self.day_act(post, DayCommand::Correct { situation, reason: Some(reason) }, now)?;
                }
                None => {}
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

impl Post {
    /// All precedents of the log.
    pub(crate) fn precedents(&self) -> Result<Precedents, Error> {
        Precedents::read(self.log.reader())
    }
}
