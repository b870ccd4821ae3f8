//! What the booth does for the referee's own ruling: begun from the review or the day, written, taken over.

use super::{Game, Post, Undone};
use log::Error;
use log::chain::label::Actor;
use log::streams::discretions;
use log::streams::discretions::DiscretionSession;
use log::streams::precedents;
use log::streams::precedents::{Precedents, id_of, proposal};
use review::day::Command as DayCommand;
use review::decide::{Command as ReviewCommand, Refusal, now as ruling_now, questions};
use review::discretion::fold::Discretion;
use review::discretion::origin;
use review::discretion::{Command, Opened};
use review::fold::Phase;
use review::precedent::Command as Decision;
use review::precedent::pattern::Pattern;
use review::stamp::Stamp;

impl Post {
    /// The referee's own ruling in hand.
    pub(crate) fn referee(&self) -> Option<&DiscretionSession> {
        self.game.as_ref()?.referee.as_ref()
    }

    /// Goes on with the one in hand, else begins one: about the review that left it to him, else about the play that
    /// was run last.
    pub(crate) fn begin_referee(&mut self, now: &Stamp) -> Result<(), Undone> {
        if self.referee().is_some() {
            return Ok(());
        }
        let opened = self.left_to_referee()?;
        let actor = self.referees_name()?;
        let session = DiscretionSession::start(&self.log, actor)?;
        if let Some(game) = &mut self.game {
            game.referee = Some(session);
        }
        let begun = self.referee_act(Command::Open(Box::new(opened)), now);
        if begun.is_err()
            && let Some(game) = &mut self.game
        {
            game.referee = None;
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
        let Some(game) = &self.game else { return Err(no("no game is open", "open it with its card")) };
        if let Some(session) = &game.session {
            let opened = origin::of_review(&game.book, session.id(), session.review());
            return opened.ok_or_else(|| {
                no("the book decides this review", "the referee rules only where it leaves it open")
            });
        }
        let day = game.day.day();
        let opened = day.newest_run().and_then(|play| origin::of_day(&game.book, day, play));
        opened.ok_or_else(|| no("the game has no situation", "set it: period, clock, ball and score"))
    }

    /// The pseudonym of the referee: as the card names him.
    fn referees_name(&self) -> Result<Actor, Undone> {
        let card = self.day().and_then(|day| day.opened.as_ref()).map(|opened| &opened.card);
        let duty = card.and_then(|card| card.duties.iter().find(|duty| duty.duty == "referee"));
        Ok(Actor::new(duty.map_or("referee", |duty| duty.who.as_str())).map_err(Error::from)?)
    }

    /// Does something to the ruling in hand.
    pub(crate) fn referee_act(&mut self, command: Command, now: &Stamp) -> Result<(), Undone> {
        let attempt = self.attempt(now)?;
        let Some(Game { book, referee: Some(session), .. }) = &mut self.game else {
            return Err(Undone::Fault("no ruling of the referee's own is held".to_owned()));
        };
        match session.act(&mut self.log, book, &attempt, command)? {
            discretions::Done::Events(_) => Ok(()),
            discretions::Done::No(no) => Err(Undone::No(no)),
        }
    }

    /// All precedents of the log.
    pub(crate) fn precedents(&self) -> Result<Precedents, Undone> {
        Ok(Precedents::read(self.log.reader())?)
    }

    /// The week of the game.
    pub(crate) fn week(&self) -> Option<u32> {
        self.day()?.opened.as_ref()?.card.week
    }

    /// The facts of the review in hand, where it is left to the referee as it stands.
    pub(crate) fn case(&self) -> Option<Pattern> {
        let game = self.game.as_ref()?;
        let session = game.session.as_ref()?;
        let opened = origin::of_review(&game.book, session.id(), session.review())?;
        Some(Pattern::of_opened(&game.book, &opened))
    }

    /// Hands the signed ruling on as a precedent.
    pub(crate) fn propose(&mut self, title: &str, now: &Stamp) -> Result<(), Undone> {
        let attempt = self.attempt(now)?;
        let actor = self.referees_name()?;
        let Some(Game { book, referee: Some(session), .. }) = &self.game else {
            return Err(Undone::Fault("no ruling of the referee's own is held".to_owned()));
        };
        let pattern = Pattern::of(book, session.ruling());
        let proposed = pattern.and_then(|pattern| proposal(session.id(), title, session.ruling(), pattern));
        let proposed = proposed.ok_or_else(|| Undone::Fault("the ruling is not signed yet".to_owned()))?;
        let id = id_of(session.id());
        match precedents::act(&mut self.log, &actor, &attempt, &id, Decision::Propose(Box::new(proposed)))? {
            precedents::Done::Events(_) => Ok(()),
            precedents::Done::No(no) => Err(Undone::No(no)),
        }
    }

    /// What a signed ruling came to is taken over: by the review as its restart, else by the day. Done twice it is
    /// done once.
    pub(crate) fn take_over(&mut self, now: &Stamp) -> Result<(), Undone> {
        let Some((id, ruling)) = self.referee().map(|held| (held.id().to_owned(), held.ruling().clone()))
        else {
            return Ok(());
        };
        if let (Some(signed), Some(opened)) = (&ruling.signed, &ruling.opened) {
            let reason = format!("the referee's own ruling {id}: {} (rule {})", signed.remedy, signed.rule);
            match &opened.review {
                Some(review) => self.amend(review, &ruling, reason, now)?,
                None => {
                    let situation = signed.after;
                    if self.day().and_then(|day| day.situation()) != Some(situation) {
                        self.day_act(DayCommand::Correct { situation, reason: Some(reason) }, now)?;
                    }
                }
            }
        }
        if let Some(game) = &mut self.game {
            game.referee = None;
        }
        Ok(())
    }

    fn amend(
        &mut self,
        review: &str,
        ruling: &Discretion,
        reason: String,
        now: &Stamp,
    ) -> Result<(), Undone> {
        let Some(Game { book, session: Some(session), .. }) = &self.game else { return Ok(()) };
        let held = session.review();
        if session.id() != review || held.phase != Phase::Open {
            return Ok(());
        }
        let Some(mut after) = ruling.signed.as_ref().map(|signed| signed.after) else { return Ok(()) };
        // What the challenge costs is the review's to say.
        if let Ok(price) = ruling_now(book, held, &questions(book, held)) {
            after.timeouts = price.restart.after.timeouts;
            after.challenges = price.restart.after.challenges;
        }
        if held.amended().is_some_and(|(amended, _)| amended == after) {
            return Ok(());
        }
        self.act(ReviewCommand::Amend { after, reason }, now)
    }
}
