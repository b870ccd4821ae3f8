//! A record as a card: outcome, where, who, what was found, the facts, the stills.

use super::see::See;
use crate::stills;
use crate::stills::Kept;
use crate::theme::{Palette, size};
use crate::widget::answer::{Shape, answer};
use crate::widget::label;
use iced::widget::{Column, column, row};
use iced::{Element, Length};
use log::Error;
use log::chain::label::ReviewId;
use log::store::reader::Reader;
use log::store::stills as kept;
use log::store::stills::Still;
use log::streams::reviews;
use pages::text;

#[derive(Debug, Clone)]
pub(crate) struct Card {
    pub id: String,
    /// With the finding.
    pub outcome: String,
    /// Week, game, play.
    pub place: String,
    pub official: Option<String>,
    /// The question of each step, and its answer.
    pub facts: Vec<(String, String)>,
    /// What broke the rules of proof or time, and why.
    pub reasons: Vec<String>,
    /// The last marks.
    pub stills: Vec<Kept>,
}

/// Number of stills on a card.
const STILLS: usize = 2;

impl Card {
    pub(super) fn of(see: &See<'_>, id: &str) -> Option<Card> {
        let held = see.held;
        let at = held.row(id)?;
        let row = &held.sample.rows[at];
        let told = text::record(&held.sample, &held.facts, at, &held.shown);
        let outcome = held.sample.text(row.outcome);
        let facts = told.facts.into_iter();
        Some(Card {
            id: id.to_owned(),
            outcome: told.finding.map_or(outcome.to_owned(), |finding| format!("{outcome}: {finding}")),
            place: told.place,
            official: told.official,
            facts: facts.map(|(step, answer)| (held.asked(row, &step).to_owned(), answer)).collect(),
            reasons: told.reasons,
            stills: held
                .home(id)
                .map_or(Vec::new(), |log| stills::kept(&last_of(&log.path, row.review().unwrap_or(id)))),
        })
    }
}

/// The last stills of a review. Empty if the log has no such review, as for a record of another log.
fn last_of(log: &std::path::Path, review: &str) -> Result<Vec<Still>, Error> {
    let log = Reader::open(log)?;
    let Some(held) = reviews::Held::one(&log, &ReviewId::new(review)?)? else { return Ok(Vec::new()) };
    let mut all = kept::of_review(&log, &held.review())?;
    Ok(all.split_off(all.len().saturating_sub(STILLS)))
}

/// The upper part of a card: outcome, official, place, reasons, stills.
pub(super) fn head<'a, M: Clone + 'a>(
    card: &'a Card,
    palette: &'static Palette,
    named: bool,
) -> Element<'a, M> {
    let who = match (&card.official, named) {
        (Some(official), true) => official.as_str(),
        (Some(_), false) => "who decided is hidden",
        (None, _) => "",
    };
    let mut parts = Column::new().spacing(6);
    parts = parts.push(stills::beside(&card.stills, palette));
    parts = parts.push(label::ask(card.outcome.as_str(), palette.ink));
    // In a narrow window the place wraps to two lines and leaves room for the official.
    let place = label::small(card.place.as_str(), palette.muted).width(Length::Fill);
    parts = parts.push(row![place, label::small(who, palette.muted)].spacing(12));
    for reason in &card.reasons {
        parts = parts.push(label::small(reason.as_str(), palette.accent));
    }
    parts.push(label::small(card.id.as_str(), palette.muted).size(size::LEAST)).width(Length::Fill).into()
}

/// Facts, with the shapes of their answers.
pub(super) fn facts<'a, M: Clone + 'a>(
    facts: &'a [(String, String)],
    palette: &'static Palette,
) -> Element<'a, M> {
    let mut lines = Column::new().spacing(6);
    for (asks, says) in facts {
        let shape = match says.split(',').next() {
            Some("yes") => Shape::Filled,
            Some("no") => Shape::Ring,
            Some(other) if other.contains(" or ") => Shape::Half,
            Some(_) | None => Shape::Bars(2),
        };
        let words =
            column![label::small(asks.as_str(), palette.ink), label::small(says.as_str(), palette.muted)];
        lines = lines.push(row![answer(palette, shape), words].spacing(8));
    }
    lines.into()
}
