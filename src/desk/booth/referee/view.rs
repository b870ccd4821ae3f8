//! The view of the referee's own ruling: what is known on the left, remedies and precedents on the right. Until the
//! referee says that nobody is at risk, it shows only that question and the facts.

use super::{Act, Beside, KEYS, Message, Referee, What, line_id};
use crate::booth::context::Context;
use crate::booth::evidence::pair;
use crate::booth::header::next_text;
use crate::booth::keyed;
use crate::keys::shown;
use crate::widget::key::{Weight, line as clickable};
use crate::widget::{card, entry, label};
use iced::widget::{Column, Row, column, row, scrollable, space};
use iced::{Element, Length, alignment};
use review::announcement::{capital, clock_text};
use review::discretion::fold::Phase;
use review::discretion::options::{Met, Offer};
use review::discretion::{Started, text};

pub(crate) fn view<'a>(referee: &'a Referee, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let sheet = &referee.sheet;
    let body: Element<'a, Message> = match sheet.phase {
        Phase::New | Phase::Safety | Phase::AtRisk => {
            let all = column![about(referee, context), safety(referee, context), facts(referee, context)];
            card::card(palette, scrollable(all.spacing(16))).height(Length::Fill).into()
        }
        Phase::Weighing | Phase::ReadBack | Phase::Signed | Phase::Abandoned => {
            let left = column![
                about(referee, context),
                card::divide(palette),
                facts(referee, context),
                card::divide(palette),
                weighed(referee, context)
            ];
            let right = column![remedies(referee, context), precedents(referee, context)].spacing(14);
            row![
                card::card(palette, scrollable(left.spacing(10)).spacing(6))
                    .width(Length::FillPortion(4))
                    .height(Length::Fill),
                scrollable(right).spacing(6).width(Length::FillPortion(6)).height(Length::Fill)
            ]
            .spacing(18)
            .height(Length::Fill)
            .into()
        }
    };
    column![body, foot(referee, context)].spacing(14).into()
}

fn button<'a>(
    context: &Context<'a>,
    word: impl Into<String>,
    act: Act,
    weight: Weight,
) -> Element<'a, Message> {
    keyed::button(context.palette, word.into(), (KEYS, act), weight, Message::Act)
}

fn about<'a>(referee: &'a Referee, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    column![
        label::small("Left to the referee", palette.muted),
        label::ask(referee.sheet.about.as_str(), palette.ink),
        referee.sheet.found.as_ref().map(|found| label::plain(capital(found), palette.ink)),
    ]
    .spacing(3)
    .into()
}

/// Safety comes before anything else.
fn safety<'a>(referee: &'a Referee, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let mut parts = Column::new().spacing(10).push(label::call("Is anyone at risk now?", palette.ink));
    if referee.sheet.phase == Phase::AtRisk {
        let who = referee.sheet.at_risk.last().map_or("someone", String::as_str);
        parts = parts.push(label::plain(format!("At risk: {who}. See to that first."), palette.accent));
    }
    parts = parts.push(
        row![
            button(context, "nobody is at risk", Act::No, Weight::Plain),
            button(context, "yes, someone is", Act::Yes, Weight::Plain)
        ]
        .spacing(10),
    );
    let note = "Nothing else is decided until then. Called fouls stand meanwhile.";
    card::raised(palette, parts.push(label::small(note, palette.muted)))
}

fn facts<'a>(referee: &'a Referee, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let mut parts = Column::new().spacing(4).push(label::small("Facts", palette.muted));
    if !referee.sheet.at_risk.is_empty() {
        parts = parts.push(pair(context, "was at risk", referee.sheet.at_risk.join("; ")));
    }
    for fact in &referee.sheet.facts {
        parts = parts.push(label::plain(text::fact(fact), palette.ink));
    }
    if referee.sheet.phase == Phase::Weighing || referee.sheet.phase == Phase::ReadBack {
        parts = parts.push(
            row![
                button(context, "state a fact", Act::Fact, Weight::Plain),
                button(context, "at risk now", Act::Risk, Weight::Plain)
            ]
            .spacing(8),
        );
    }
    parts.into()
}

/// Why the book does not cover it, profit, rule, words.
fn weighed<'a>(referee: &'a Referee, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let sheet = &referee.sheet;
    let part = |label: &'static str, text: Option<&'a String>, word: &'static str, act: Act| {
        let mut head = Row::new().push(label::small(label, palette.muted).width(Length::Fill));
        if !sheet.over() {
            head = head.push(button(context, word, act, Weight::Plain));
        }
        Column::new()
            .spacing(2)
            .push(head.align_y(alignment::Vertical::Center))
            .push(text.map(|text| label::plain(text.as_str(), palette.ink)))
    };
    column![
        part("Why the book does not cover it", sheet.because.as_ref(), "say why", Act::Because),
        profit(referee, context),
        part("The rule it is based on", sheet.rule.as_ref(), "name the rule", Act::Rule),
        part("Words", sheet.words.as_ref(), "write the words", Act::Words),
    ]
    .spacing(10)
    .into()
}

fn profit<'a>(referee: &'a Referee, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let sheet = &referee.sheet;
    let started = referee.started.or(sheet.profit.map(|profit| profit.started));
    let rewards = sheet.profit.filter(|_| referee.started.is_none()).map(|profit| profit.rewards);
    let chosen = |is: bool| if is { Weight::Chosen } else { Weight::Plain };
    let sides = [Started::Offense, Started::Defense, Started::Neither].into_iter();
    let sides = sides.fold(Row::new().spacing(6), |row, side| {
        row.push(button(context, text::started(side), Act::Started(side), chosen(started == Some(side))))
    });
    let mut parts =
        Column::new().spacing(5).push(label::small("Who started it?", palette.muted)).push(sides.wrap());
    if started.is_some_and(|side| side != Started::Neither) {
        parts = parts.push(label::small("Would a foul reward that side?", palette.muted)).push(
            row![
                button(context, "yes", Act::Yes, chosen(rewards == Some(true))),
                button(context, "no", Act::No, chosen(rewards == Some(false)))
            ]
            .spacing(6),
        );
    }
    parts.into()
}

/// Each remedy beside what it makes of the game.
fn remedies<'a>(referee: &'a Referee, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let mut head = Row::new()
        .push(label::small("What can be done, and what follows", palette.muted).width(Length::Fill));
    if !referee.sheet.over() {
        head = head.push(button(context, "choose the selected remedy", Act::On, Weight::Plain));
    }
    let mut parts = Column::new().spacing(2).push(head.align_y(alignment::Vertical::Center));
    for (number, offer) in referee.sheet.offers.iter().enumerate() {
        let pointed = referee.remedy == Some(number);
        parts =
            parts.push(clickable(palette, remedy(referee, offer, context), pointed, Message::Remedy(number)));
    }
    if let Some(limits) = &referee.sheet.limits {
        let players = match limits.players() {
            [] => "nobody is disqualified".to_owned(),
            players => format!("disqualified: {}", text::disqualified(players)),
        };
        parts = parts.push(
            row![
                label::plain(capital(&players), palette.ink).width(Length::Fill),
                button(context, "disqualify", Act::Disqualify, Weight::Plain)
            ]
            .align_y(alignment::Vertical::Center),
        );
    }
    parts = parts.push(label::small(referee.sheet.bounds.as_str(), palette.muted));
    card::card(palette, parts).into()
}

fn remedy<'a>(referee: &'a Referee, offer: &'a Offer, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let chosen = referee.sheet.chosen.as_ref().filter(|(name, _)| *name == offer.name);
    let reason = chosen.and_then(|(_, reason)| reason.as_ref());
    let name = column![
        label::plain(capital(&offer.name), palette.ink),
        chosen.map(|_| label::plain("chosen", palette.accent)),
        reason.map(|reason| label::small(format!("because: {reason}"), palette.ink)),
    ]
    .spacing(2);
    let mut follows = Column::new().spacing(2);
    if offer.needs.is_empty() {
        follows = follows.push(label::plain(goes_on(offer, context), palette.ink));
    } else {
        follows =
            follows.push(label::small(format!("still needed: {}", offer.needs.join("; ")), palette.accent));
    }
    for met in &offer.meets {
        let words = match met {
            Met::Score => "it would create a score: not to be chosen".to_owned(),
            Met::Creates(foul) => {
                format!("it creates \u{201c}{foul}\u{201d}, which nobody called: not to be chosen")
            }
            Met::Shortens(foul) => {
                format!("it shortens \u{201c}{foul}\u{201d}, a safety foul: needs a reason")
            }
        };
        follows = follows.push(label::small(words, palette.accent));
    }
    row![name.width(Length::FillPortion(2)), follows.width(Length::FillPortion(4))]
        .spacing(14)
        .align_y(alignment::Vertical::Center)
        .into()
}

/// How the game would go on, as far as remedies differ.
fn goes_on(offer: &Offer, context: &Context<'_>) -> String {
    let after = &offer.after;
    let next = next_text(context, after);
    let (score, offense) = (after.score, context.names.short.of(after.offense));
    format!("{next}, {offense} ball, {}, {}–{}", clock_text(after.clock_ms), score.home, score.away)
}

/// The precedents, the nearest first.
fn precedents<'a>(referee: &'a Referee, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let head = row![
        label::small("Precedents, the nearest first: no rules, and none is chosen for you", palette.muted)
            .width(Length::Fill),
        button(context, "read it", Act::Read, Weight::Plain),
        button(context, "the next", Act::PrecedentOn, Weight::Plain)
    ];
    let mut parts = Column::new().spacing(2).push(head.spacing(8).align_y(alignment::Vertical::Center));
    if referee.sheet.near.is_empty() {
        parts = parts.push(label::plain("There are none yet.", palette.ink));
    }
    for (number, near) in referee.sheet.near.iter().take(SHOWN.max(referee.precedent + 1)).enumerate() {
        let pointed = referee.precedent == number;
        parts = parts.push(clickable(
            palette,
            precedent(near, pointed, context),
            pointed,
            Message::Precedent(number),
        ));
    }
    card::card(palette, parts).into()
}

/// Precedents shown, unless the selected one is further down.
const SHOWN: usize = 4;

fn precedent<'a>(near: &'a Beside, pointed: bool, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let ink = if near.rests { palette.muted } else { palette.ink };
    let mark = if near.recurs { "its facts recur here · " } else { "" };
    let mut parts = column![
        row![
            label::plain(near.title.as_str(), ink),
            space().width(Length::Fill),
            label::small(
                format!("{mark}{}", near.status),
                if near.recurs { palette.accent } else { palette.muted }
            )
        ]
        .align_y(alignment::Vertical::Center),
        label::small(near.did.as_str(), ink),
    ]
    .spacing(2);
    if pointed {
        for (label, text) in [("near", &near.why), ("differs", &near.differs)] {
            if !text.is_empty() {
                parts = parts.push(label::small(format!("{label}: {text}"), palette.muted));
            }
        }
    }
    if pointed && near.read {
        for line in &near.story {
            parts = parts.push(label::plain(capital(line), palette.ink));
        }
    }
    parts.into()
}

fn foot<'a>(referee: &'a Referee, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let sheet = &referee.sheet;
    let mut words = Column::new().spacing(4);
    if let Some(typing) = &referee.typing {
        let (label, hint) = asks(&typing.what);
        let line = entry::Line { id: line_id(), hint, text: &typing.text };
        words = words.push(label::plain(label, palette.ink)).push(entry::bare(palette, line, Message::Typed));
    }
    words = words.push(referee.told.as_ref().map(|told| label::plain(capital(told), palette.accent)));
    if sheet.phase == Phase::Weighing && !sheet.missing.is_empty() {
        let missing: Vec<&str> = sheet.missing.iter().map(|missing| missing.text()).collect();
        words =
            words.push(label::plain(format!("Before it is read back: {}", missing.join("; ")), palette.ink));
    }
    if let (Phase::ReadBack, Some((remedy, _)), Some(rule)) = (sheet.phase, &sheet.chosen, &sheet.rule) {
        let signs = format!("{} signs: {remedy} (rule {rule})", shown(KEYS, Act::Sign));
        words = words.push(label::plain(signs, palette.ink));
    }
    words = words.push(label::small(
        "The league's published rules prevail, and the referee decides. This desk advises and records.",
        palette.muted,
    ));
    let keys: Element<'a, Message> = match sheet.phase {
        Phase::New | Phase::Safety | Phase::AtRisk => button(context, "back", Act::Back, Weight::Plain),
        Phase::Weighing if sheet.missing.is_empty() => {
            button(context, "Read back to the crew", Act::ReadBack, Weight::Next)
        }
        Phase::Weighing => button(context, "back", Act::Back, Weight::Plain),
        Phase::ReadBack => button(context, "Sign the ruling", Act::Sign, Weight::Next),
        Phase::Signed if !sheet.proposed => row![
            button(context, "propose it as a precedent", Act::Title, Weight::Plain),
            button(context, "On with the game", Act::On, Weight::Next)
        ]
        .spacing(10)
        .into(),
        Phase::Signed | Phase::Abandoned => button(context, "On with the game", Act::On, Weight::Next),
    };
    let foot = row![words.width(Length::Fill), space().width(20), keys];
    card::card(palette, foot.align_y(alignment::Vertical::Center)).into()
}

/// What a line asks, and the hint in it while it is empty.
fn asks(what: &What) -> (&'static str, &'static str) {
    match what {
        What::Risk => ("Who is at risk?", "role and number, and where"),
        What::Fact => ("A fact: what it is about, a colon, what it says", "bench: nobody left it"),
        What::Because => ("Why does the book not cover it?", "what its rules leave open"),
        What::Reason(_) => {
            ("Why is a foul that protects a player shortened? It stands in the record.", "the reason")
        }
        What::Disqualified => (
            "Who is disqualified? Team, position, number, a comma, what for; empty: nobody",
            "kites linebacker 54, blow",
        ),
        What::Rule => ("Which rule is it based on, as printed?", "4.22"),
        What::Words => ("What will be announced?", "in two sentences"),
        What::Title => ("Title of the precedent, in one line", "two punches of one exchange"),
        What::End => ("Why does it end without a ruling?", "the reason"),
    }
}
