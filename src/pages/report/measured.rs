//! The places that were measured in the pictures of the logs' reviews: line, band and figures, the newest reviews first,
//! bounded in number and size, so that the page can be sent.

use super::Source;
use crate::placed::shown;
use log::Error;
use log::store::reader::Reader;
use log::store::stills;
use log::store::stills::Still;
use log::streams::reviews;
use log::streams::reviews::Held;
use maud::{Markup, html};
use review::event::{Event, Placed};
use review::fold::Review;

const REVIEWS: usize = 12;
/// Most bytes of all their stills, before they are spelt as text.
const ALL_BYTES: usize = 4 << 20;

/// What is shown of the logs' reviews.
#[derive(Debug, Default)]
pub(super) struct Places {
    shown: Vec<Place>,
    /// How many reviews with a measured place are not shown.
    more: usize,
}

/// What was measured for one step of a review.
#[derive(Debug)]
struct Place {
    review: String,
    at: String,
    tree: String,
    step: String,
    answer: Option<String>,
    pictures: Markup,
}

impl Places {
    pub(super) fn of(logs: &[Reader]) -> Result<Places, Error> {
        let mut found: Vec<(&Reader, Held, Review)> = Vec::new();
        for log in logs {
            let of_log = reviews::Held::all(log)?.into_iter().filter(has_placed);
            found.extend(of_log.map(|held| {
                let review = held.review();
                (log, held, review)
            }));
        }
        found.retain(|(.., review)| review.placed().next().is_some());
        let called = |review: &Review| review.times.called.as_ref().map(|stamp| stamp.utc_ms);
        found.sort_by_key(|(.., review)| std::cmp::Reverse(called(review)));
        let (mut places, mut bytes) = (Places::default(), 0);
        places.more = found.len().saturating_sub(REVIEWS);
        for (number, (log, held, review)) in found.iter().take(REVIEWS).enumerate() {
            let mut stills = stills::of_review(log, review)?;
            // Stills that would make the page too large are left out as if they had been erased: line and figures stay.
            stills.retain(|still| {
                let more = size(still);
                let fits = bytes + more <= ALL_BYTES;
                bytes += if fits { more } else { 0 };
                fits
            });
            places.shown.extend(of_review(held, review, &stills, number));
        }
        Ok(places)
    }
}

fn has_placed(held: &Held) -> bool {
    held.events.iter().any(|(_, stamped)| matches!(stamped.event, Event::Placed(_)))
}

fn size(still: &Still) -> usize {
    still.bytes.as_ref().map_or(0, Vec::len)
}

fn of_review(held: &Held, review: &Review, stills: &[Still], number: usize) -> Vec<Place> {
    let called = review.called.as_ref();
    let week = called.and_then(|called| called.week).map(|week| format!("week {week}"));
    let parts = [week, called.map(|called| called.game.clone()), called.map(|called| called.play.clone())];
    let at = parts.into_iter().flatten().collect::<Vec<_>>().join(" · ");
    let answers = review.answers();
    let place = |(point, placed): (usize, &Placed)| {
        let answered = answers.get(&(placed.question, placed.step.as_str()));
        Some(Place {
            review: held.id.to_string(),
            at: at.clone(),
            tree: review.questions.get(placed.question)?.tree.clone(),
            step: placed.step.clone(),
            answer: answered.map(|answered| answered.options.join(" or ")),
            pictures: shown(placed, stills, &format!("point-{number}-{point}")),
        })
    };
    review.placed().enumerate().filter_map(place).collect()
}

/// The section; nothing where no place was measured.
pub(super) fn places(source: &Source) -> Markup {
    let Places { shown, more } = &source.measured;
    html! {
        @if !shown.is_empty() {
            section {
                h2 { "Where was it, as measured in the picture?" }
                p { "Points that officials clicked against a line of the rules, worked out again from the clicks in the log. "
                    "The official decides: an answer against a measurement needs a reason, and it is shown." }
                @for place in shown { (one(place, source)) }
                @if *more > 0 {
                    p.muted { "And " (more) " earlier reviews; " code { "tellframe log show REVIEW --html FILE" } " shows each." }
                }
            }
        }
    }
}

fn one(place: &Place, source: &Source) -> Markup {
    html! {
        h3 { (source.title(&place.tree)) ", " (place.step) @if let Some(answer) = &place.answer { ": " (answer) } }
        p.muted { (place.at) " · " (place.review) }
        (place.pictures)
    }
}
