//! The header: the seconds left, the game, who challenged and what it costs to lose.

use crate::booth::context::Context;
use crate::booth::{Message, station};
use crate::keys::shown;
use crate::theme::size;
use crate::widget::edge;
use crate::widget::edge::Edge;
use crate::widget::key::bare;
use crate::widget::label;
use iced::widget::{column, container, row, space, text};
use iced::{Element, Length, alignment};
use review::announcement::{clock_text, spot};
use review::fold::Review;
use review::gate::Initiator;
use review::stamp::Stamp;
use rules::game::situation::{Next, Situation, Team};
use rules::game::text::ordinal;

/// A time limit that runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Limit {
    /// Since it began; none before.
    pub gone_ms: Option<u64>,
    pub of_s: u32,
    pub until: &'static str,
}

/// From the first look to the ruling, the limit to the ruling; otherwise the limit to the announcement.
pub(crate) fn limit(context: &Context<'_>, now: &Stamp) -> Option<Limit> {
    let (review, limits) = (context.review?, &context.book.replay.limits);
    let gone =
        |from: &Option<Stamp>| from.as_ref().and_then(|from| now.since(from)).map(|elapsed| elapsed.ms());
    if review.times.ruled.is_none()
        && review.times.first_look.is_some()
        && let Some(of_s) = limits.to_ruling_s
    {
        return Some(Limit { gone_ms: gone(&review.times.first_look), of_s, until: "to the ruling" });
    }
    let of_s = limits.to_announcement_s.or(limits.guide_s)?;
    Some(Limit { gone_ms: gone(&review.times.called), of_s, until: "to the announcement" })
}

/// The bar along the top that shows how much of the limit is gone.
pub(crate) fn edge<'a, M: 'a>(context: &Context<'_>, now: &Stamp) -> Element<'a, M> {
    let drawn = limit(context, now).map_or(Edge::default(), |limit| {
        let whole = limit.of_s as f32 * 1000.0;
        Edge {
            gone: limit.gone_ms.unwrap_or(0) as f32 / whole,
            ticks: context.review.map_or(Vec::new(), |review| ticks(review, &limit, whole)),
        }
    });
    edge::edge(context.palette, drawn)
}

fn ticks(review: &Review, limit: &Limit, whole: f32) -> Vec<f32> {
    let from = match limit.until {
        "to the ruling" => review.times.first_look.as_ref(),
        _ => review.times.called.as_ref(),
    };
    let fell = review.times.named().into_iter().filter_map(|(_, stamp)| stamp?.since(from?));
    fell.map(|elapsed| elapsed.ms() as f32 / whole).filter(|share| *share > 0.0).collect()
}

/// The row of seconds, situation and challenge, and who sits at the desk, which a click opens.
pub(crate) fn view<'a>(context: &Context<'a>, now: &Stamp) -> Element<'a, Message> {
    let palette = context.palette;
    let seconds: Element<'a, Message> = match limit(context, now) {
        Some(limit) => {
            let left = left(&limit);
            row![
                text(left_text(left)).size(size::SECONDS).font(label::BOLD).color(palette.ink.color()),
                label::small(beside(&limit), palette.muted)
            ]
            .spacing(10)
            .align_y(alignment::Vertical::Center)
            .into()
        }
        None => label::call("tellframe", palette.ink).into(),
    };
    let game =
        context.situation.as_ref().map_or(String::new(), |situation| situation_text(context, situation));
    if context.tight {
        let seconds = limit(context, now).map_or(String::new(), |limit| left_text(left(&limit)));
        return row![
            label::plain(seconds, palette.ink).font(label::BOLD),
            container(label::small(game, palette.ink).wrapping(text::Wrapping::None))
                .width(Length::Fill)
                .clip(true),
            label::small("F1 keys", palette.muted).wrapping(text::Wrapping::None),
        ]
        .spacing(10)
        .align_y(alignment::Vertical::Center)
        .into();
    }
    row![
        seconds,
        space().width(if context.narrow { 0 } else { 30 }),
        column![label::plain(game, palette.ink), label::small(who(context), palette.muted)]
            .spacing(2)
            .width(Length::Fill),
        desk(context),
        label::small("F1 keys", palette.muted).wrapping(text::Wrapping::None),
    ]
    .spacing(10)
    .align_y(alignment::Vertical::Center)
    .into()
}

/// Who sits at the desk, and the key that opens it.
fn desk<'a>(context: &Context<'a>) -> Element<'a, Message> {
    let (palette, official) = (context.palette, context.day.official.as_deref().unwrap_or("at the desk"));
    let words = format!("{official} {}", shown(station::OPENS, station::Opens));
    bare(palette, label::small(words, palette.muted).wrapping(text::Wrapping::None), Message::AtTheDesk)
}

/// "left of 1:30 to the ruling", "past the 1:30 limit to the ruling".
fn beside(limit: &Limit) -> String {
    let of = left_text(i64::from(limit.of_s) * 1000);
    match left(limit) < 0 {
        true => format!("past the {of} limit {}", limit.until),
        false => format!("left of {of} {}", limit.until),
    }
}

/// What is left of a limit, in milliseconds; negative past it.
fn left(limit: &Limit) -> i64 {
    i64::from(limit.of_s) * 1000 - i64::try_from(limit.gone_ms.unwrap_or(0)).unwrap_or(i64::MAX)
}

/// `0:37`; past the limit `+0:04`.
pub(crate) fn left_text(ms: i64) -> String {
    // The last second counts until it is over.
    let seconds = if ms >= 0 { (ms + 999) / 1000 } else { -ms / 1000 };
    format!("{}{}:{:02}", if ms < 0 { "+" } else { "" }, seconds / 60, seconds % 60)
}

/// "2nd period 4:41 · 4th and 1.5 at Kites 12 · Kites' ball · 20–14".
pub(crate) fn situation_text(context: &Context<'_>, situation: &Situation) -> String {
    let offense = context.names.short.of(situation.offense);
    let period = match situation.period {
        period if period > context.book.game.periods => "overtime".to_owned(),
        period => format!("{} period", ordinal(period)),
    };
    let next = next_text(context, situation);
    format!(
        "{period} {} · {next} · {offense} ball · {} {}, {} {}",
        clock_text(situation.clock_ms),
        context.names.short.home,
        situation.score.home,
        context.names.short.away,
        situation.score.away
    )
}

/// "4th and 1.5 at Kites 12", "1st and goal at Otters 5", "try from Otters 2".
pub(crate) fn next_text(context: &Context<'_>, situation: &Situation) -> String {
    let at = spot(&context.book.field, context.names, situation, situation.spot);
    match situation.next {
        Next::Scrimmage { down, to_go } if situation.spot + to_go >= context.book.field.length => {
            format!("{} and goal at {at}", ordinal(down))
        }
        Next::Scrimmage { down, to_go } => format!("{} and {to_go} at {at}", ordinal(down)),
        Next::Try => format!("try from {at}"),
        Next::FreeKick => format!("free kick from {at}"),
    }
}

fn who(context: &Context<'_>) -> String {
    let Some(called) = context.review.and_then(|review| review.called.as_ref()) else { return String::new() };
    let challenge = |team: Team| {
        let count = called.situation.challenges.of(team).used.saturating_add(1);
        let price = context.book.replay.coach.lost;
        let costs =
            if price.timeout { "a lost one costs the timeout" } else { "a lost one costs no timeout" };
        format!("{} challenge, their {}; {costs}", context.names.teams.of(team), ordinal(count))
    };
    match called.initiator {
        Initiator::Coach(team) => challenge(team),
        Initiator::Booth => "the booth stopped the game".to_owned(),
        Initiator::Referee => "the referee asked for the review".to_owned(),
    }
}
