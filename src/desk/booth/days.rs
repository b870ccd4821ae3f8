//! What the acts of the checklist, of the plays, of the ruling and of the log lead to.

use super::after::{self, After};
use super::before::{self, Before};
use super::between::{self, Between};
use super::card::{self, Card};
use super::challenge::Challenge;
use super::end::{self, Ending};
use super::hands::{Hands, Next};
use super::left;
use super::penalties::{self, Penalties};
use super::post::blank;
use super::ruling::{self, Ruling};
use super::screen::{self, Screen};
use super::station::{self, Station};
use super::walk::{self, Walk};
use iced::Task;
use iced::widget::operation::{focus, focus_next};
use review::day::Command;

impl Hands<'_> {
    pub(super) fn before(&mut self, before: &mut Before, message: before::Message) -> Next {
        match before.update(message, self.game.day()) {
            before::Action::None => Next::Stay,
            before::Action::Do(command) => {
                if let Err(undone) = self.game.day_act(self.post, command, self.now) {
                    before.refused(&undone);
                }
                Next::Stay
            }
            before::Action::On => Next::Open(Screen::Between(Between::default()), Task::none()),
            before::Action::After => self.log_of_game(),
        }
    }

    pub(super) fn between(&mut self, between: &mut Between, message: between::Message) -> Next {
        let situation = self.game.situation();
        let known = between::Known {
            book: &self.game.book,
            day: self.game.day(),
            ground: self.game.ground(&situation),
        };
        match between.update(message, known) {
            between::Action::None => Next::Stay,
            between::Action::Focus(id) => Next::Run(focus(id)),
            between::Action::Do(command) => {
                match self.game.day_act(self.post, command, self.now) {
                    Ok(()) => between.done(),
                    Err(undone) => between.refused(undone),
                }
                Next::Stay
            }
            between::Action::Challenge => {
                let challenge = Challenge::new(self.game.plays());
                Next::Open(Screen::Challenge(Box::new(challenge)), Task::none())
            }
            between::Action::Penalties => {
                let screen = Screen::Penalties(Box::new(Penalties::new()));
                Next::Open(screen, focus(penalties::line_id()))
            }
            between::Action::EndGame => Next::Open(Screen::End(Ending::default()), Task::none()),
            between::Action::Before => Next::Open(Screen::Before(Before::default()), Task::none()),
            between::Action::After => self.log_of_game(),
            between::Action::Referee => match self.open_referee(None) {
                Ok(screen) => Next::opens(screen),
                Err(undone) => {
                    between.refused_referee(&undone);
                    Next::Stay
                }
            },
        }
    }

    pub(super) fn at_the_desk(&mut self, station: &mut Station, message: station::Message) -> Next {
        match station.update(message, self.game.day()) {
            station::Action::None => {}
            station::Action::Focus(id) => return Next::Run(focus(id)),
            station::Action::Back => return Next::Back,
            station::Action::Card => {
                let Some(opened) = &self.game.day().opened else { return Next::Settle };
                let card = Card::of(&opened.card);
                return Next::Open(Screen::Card(Box::new(card)), focus(card::line_id(1)));
            }
            station::Action::Do(command) => match self.game.day_act(self.post, command, self.now) {
                Ok(()) => station.done(),
                Err(undone) => station.refused(&undone),
            },
        }
        Next::Stay
    }

    pub(super) fn end(&mut self, ending: &mut Ending, message: end::Message) -> Next {
        match ending.update(message) {
            end::Action::None => {}
            end::Action::Focus(id) => return Next::Run(focus(id)),
            end::Action::Back => return Next::Settle,
            end::Action::Do(command) => {
                if let Err(undone) = self.game.day_act(self.post, command, self.now) {
                    ending.refused(&undone);
                }
            }
        }
        Next::Stay
    }

    /// The card of the open game, to be corrected.
    pub(super) fn card(&mut self, card: &mut Card, message: card::Message) -> Next {
        match card.update(message) {
            card::Action::None | card::Action::Games => {}
            card::Action::NextLine => return Next::Run(focus_next()),
            card::Action::Back => return Next::Back,
            // The last line of a card that is corrected says why.
            card::Action::Open(corrected, why) => {
                let reason = Some(why).filter(|why| !why.is_empty());
                let command = Command::CorrectCard { card: corrected, reason };
                match self.game.day_act(self.post, command, self.now) {
                    Ok(()) => return Next::Settle,
                    Err(undone) => card.refuse(undone.to_string()),
                }
            }
        }
        Next::Stay
    }

    pub(super) fn ruling(&mut self, ruling: &mut Ruling, message: ruling::Message) -> Next {
        let situation = self.review().map_or_else(|| blank(&self.game.book), |(_, situation)| situation);
        match ruling.update(message, self.game.ground(&situation)) {
            ruling::Action::None => {}
            ruling::Action::Focus(id) => return Next::Run(focus(id)),
            ruling::Action::Walk => return Next::Settle,
            ruling::Action::Penalties(standing) => {
                let screen = Screen::Penalties(Box::new(Penalties::standing(standing)));
                return Next::Open(screen, Task::none());
            }
            ruling::Action::Mark => {
                let Some(review) = self.game.review() else { return Next::Settle };
                let mut walk = Walk::new(self.game.desk(), review, self.now);
                walk.mark_missing();
                left::recall(&mut walk, self.post, self.game);
                return Next::Open(Screen::Walk(Box::new(walk)), focus(walk::line_id()));
            }
            ruling::Action::Referee => match self.open_referee(None) {
                Ok(screen) => return Next::opens(screen),
                Err(undone) => ruling.refused(undone.to_string(), "go back to the steps"),
            },
            ruling::Action::Over => match self.end_review() {
                Ok(()) => return Next::Settle,
                Err(undone) => ruling.refused(undone.to_string(), "try again"),
            },
            ruling::Action::Do(command) => match self.game.act(self.post, command, self.now) {
                Ok(()) => self.refresh(ruling),
                Err(undone) => ruling.undone(undone),
            },
        }
        Next::Stay
    }

    pub(super) fn penalties(&mut self, penalties: &mut Penalties, message: penalties::Message) -> Next {
        let review = self.review().map(|(_, situation)| situation);
        let situation = review.unwrap_or_else(|| self.game.situation());
        let known = penalties::Known {
            book: &self.game.book,
            day: self.game.day(),
            ground: self.game.ground(&situation),
        };
        match penalties.update(message, known) {
            penalties::Action::None => Next::Stay,
            penalties::Action::Focus(id) => Next::Run(focus(id)),
            penalties::Action::Leave => self.left_penalties(),
            penalties::Action::Do(command) => match self.game.day_act(self.post, command, self.now) {
                Ok(()) => Next::Settle,
                Err(undone) => {
                    penalties.refused(&undone);
                    Next::Stay
                }
            },
            penalties::Action::Choose(command) => {
                if let Err(undone) = self.game.act(self.post, command, self.now) {
                    penalties.refused(&undone);
                    return Next::Stay;
                }
                let standing = self
                    .game
                    .review()
                    .map_or_else(Vec::new, |review| ruling::standing(self.game.desk(), review, self.now));
                if penalties.chosen(standing) { Next::Stay } else { self.left_penalties() }
            }
        }
    }

    /// Back to the ruling, or between plays.
    fn left_penalties(&self) -> Next {
        match self.game.review() {
            Some(review) => {
                let ruling = screen::ruling(self.post, self.game, review, self.now);
                Next::Open(Screen::Ruling(ruling), Task::none())
            }
            None => Next::Settle,
        }
    }

    pub(super) fn refresh(&self, ruling: &mut Ruling) {
        if let Some(review) = self.game.review() {
            ruling.refresh(self.game.desk(), review, self.now);
        }
    }

    /// A past review: nothing is written, and both ways on lead back to the log.
    pub(super) fn past(&mut self, ruling: &mut Ruling, message: ruling::Message) -> Next {
        let back = matches!(message, ruling::Message::Act(ruling::Act::On | ruling::Act::Back));
        let situation = blank(&self.game.book);
        ruling.update(message, self.game.ground(&situation));
        if back { self.log_of_game() } else { Next::Stay }
    }

    fn log_of_game(&self) -> Next {
        Next::Open(Screen::After(After::new(self.game.day(), &self.game.names)), Task::none())
    }

    pub(super) fn after(&mut self, after: &mut After, message: after::Message) -> Next {
        match after.update(message) {
            after::Action::None => {}
            after::Action::Back => return Next::Settle,
            after::Action::Referee(play) => match self.open_referee(Some(play)) {
                Ok(screen) => return Next::opens(screen),
                Err(undone) => after.tell(undone.to_string()),
            },
            after::Action::Open(id) => match self.post.past(&id) {
                Ok(review) => {
                    let past = screen::ruling(self.post, self.game, &review, self.now);
                    return Next::Open(Screen::Past(past), Task::none());
                }
                Err(fault) => after.tell(fault.line()),
            },
            after::Action::Print(id) => after.tell(match self.post.print(&id) {
                Ok(kept) => format!("the page is {kept}"),
                Err(fault) => fault.line(),
            }),
            after::Action::Export => after.tell(match self.post.export() {
                Ok((records, kept)) => format!("{records} records written to {kept}"),
                Err(fault) => fault.line(),
            }),
        }
        Next::Stay
    }
}
