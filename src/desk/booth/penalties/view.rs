//! The view of the penalties: the step at hand on the left, the coming snap and the fouls so far on the right.

use super::{Act, KEYS, Known, Message, Penalties, Stage, line_id};
use crate::booth::between::What;
use crate::booth::context::{CAUTION, Context};
use crate::booth::evidence::{pair, plan};
use crate::booth::header::situation_text;
use crate::booth::keyed::button;
use crate::booth::typed::Ground;
use crate::keys::shown;
use crate::widget::key::{Weight, key, line};
use crate::widget::{card, entry, field, label};
use iced::widget::{Column, Row, column, row, scrollable};
use iced::{Element, Length};
use review::announcement::{capital, disqualified as sentence, spot};
use rules::book::effect::Part;
use rules::book::penalty::{Distance, Penalty};
use rules::game::advance::fouls::{self, Called, Led, Player, text};
use rules::game::play::Choice;
use rules::game::situation::{ClockStart, Situation};

pub(crate) fn view<'a>(penalties: &'a Penalties, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let Some(situation) = context.situation else {
        return card::card(palette, label::plain("The situation is not set yet.", palette.ink)).into();
    };
    let left = Column::new()
        .spacing(12)
        .push(step(penalties, &situation, context))
        .push(penalties.told.as_ref().map(|told| label::plain(capital(told), palette.accent)));
    let right = column![
        card::card(palette, field::field(palette, plan(context, &situation, None), 190.0)),
        card::card(palette, so_far(penalties, &situation, context)).height(Length::Fill)
    ]
    .spacing(14);
    row![
        card::card(palette, scrollable(left)).width(Length::FillPortion(6)).height(Length::Fill),
        right.width(Length::FillPortion(5)).height(Length::Fill)
    ]
    .spacing(18)
    .height(Length::Fill)
    .into()
}

fn step<'a>(penalties: &'a Penalties, situation: &Situation, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let line =
        |hint, text: &'a str| entry::bare(palette, entry::Line { id: line_id(), hint, text }, Message::Typed);
    let asks = |words: String| label::ask(words, palette.ink);
    match penalties.stage {
        Stage::Find => column![
            asks("Which penalty?".to_owned()),
            line("part of its name, or its rule", &penalties.search),
            found(penalties, context),
        ]
        .spacing(10)
        .into(),
        Stage::Side => {
            let sides = [Part::Offense, Part::Defense].map(|by| side(by, situation, context));
            let rows = sides.iter().map(|side| capital(side)).collect();
            choices(format!("{}: on whom?", capital(&penalties.draft.name)), rows, penalties.at, context)
        }
        Stage::When => {
            let moments = penalties.moments(context.book);
            let rows = moments.into_iter().map(|when| capital(text::when(when))).collect();
            choices(format!("{}: when?", capital(&penalties.draft.name)), rows, penalties.at, context)
        }
        Stage::Spot => column![
            asks(format!("{}: where?", capital(&penalties.draft.name))),
            line("the spot of the foul: k24", &penalties.typed),
            label::small("Enter takes it, Esc goes one step back", palette.muted),
        ]
        .spacing(8)
        .into(),
        Stage::Player => column![
            asks("Who did it?".to_owned()),
            line("disqualified: linebacker 54; not: linebacker 54 stays", &penalties.typed),
            label::small("Enter takes it; an empty line takes it back", palette.muted),
        ]
        .spacing(8)
        .into(),
        Stage::More => column![
            asks("Another foul, or on?".to_owned()),
            row![
                button(palette, "On", (KEYS, Act::Go), Weight::Next, Message::Act),
                button(palette, "Another foul", (KEYS, Act::Another), Weight::Plain, Message::Act),
                button(palette, "Take it back", (KEYS, Act::Remove), Weight::Plain, Message::Act),
                button(palette, "Player", (KEYS, Act::Player), Weight::Plain, Message::Act),
            ]
            .spacing(8)
            .wrap(),
        ]
        .spacing(10)
        .into(),
        Stage::Did => did(context),
        Stage::Place => {
            let (asked, hint) = match penalties.what.filter(|_| !penalties.no_play()) {
                Some(what) => (capital(what.text()), "spot and clock: o35 4:38"),
                None => ("No play was run".to_owned(), "the clock, if it ran: 4:38"),
            };
            column![
                asks(asked),
                line(hint, &penalties.place),
                label::small("Enter goes on; a clock that is left out stays", palette.muted),
            ]
            .spacing(8)
            .into()
        }
        Stage::Decide => decide(penalties, situation, context),
        Stage::Review => standing(penalties, context),
    }
}

/// The penalties that the typed words name.
fn found<'a>(penalties: &'a Penalties, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let found = penalties.found(context.book);
    let mut rows = Column::new().spacing(2);
    // The selected row stays in view.
    let first = penalties.at.saturating_sub(SHOWN - 1);
    for (number, penalty) in found.iter().enumerate().skip(first).take(SHOWN) {
        let words = row![
            label::plain(penalty.name.as_str(), palette.ink).width(Length::Fill),
            label::small(costs(penalty), palette.muted)
        ];
        rows = rows.push(line(palette, words, number == penalties.at, Message::Point(number)));
    }
    if found.len() > first + SHOWN {
        rows = rows.push(label::small(format!("{} more", found.len() - first - SHOWN), palette.muted));
    }
    rows.into()
}

/// How many found penalties are shown at once.
const SHOWN: usize = 9;

/// `10 yards, rule 10.1`.
fn costs(penalty: &Penalty) -> String {
    let far = match penalty.distance {
        Distance::Yards(yards) => format!("{yards} yards"),
        Distance::ToSpot { .. } => "to the spot".to_owned(),
    };
    format!("{far}, rule {}", penalty.cite)
}

fn side(by: Part, situation: &Situation, context: &Context<'_>) -> String {
    let word = match by {
        Part::Offense => "offense",
        Part::Defense => "defense",
    };
    format!("{word}, {}", context.names.short.of(situation.team(by)))
}

/// A question with its answers, each with its digit.
fn choices<'a>(asked: String, rows: Vec<String>, at: usize, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let mut all = Column::new().spacing(8).push(label::ask(asked, palette.ink));
    for (number, words) in rows.into_iter().enumerate() {
        all = all.push(numbered(number, words, at, context));
    }
    all.push(label::small("A digit takes it; arrows and Enter do the same", palette.muted)).into()
}

fn numbered<'a>(number: usize, words: String, at: usize, context: &Context<'a>) -> Element<'a, Message> {
    let act = Act::Take(u8::try_from(number).unwrap_or(u8::MAX));
    let weight = if number == at { Weight::Chosen } else { Weight::Plain };
    key(context.palette, words, shown(KEYS, act), weight, Some(Message::Point(number)))
}

fn did<'a>(context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let plays = What::ALL.into_iter().fold(Row::new().spacing(8), |row, what| {
        row.push(button(palette, what.text(), (KEYS, Act::Play(what)), Weight::Plain, Message::Act))
    });
    column![label::ask("How did the play end, fouls left aside?", palette.ink), plays.wrap()]
        .spacing(10)
        .into()
}

/// The choice at hand with its consequences; once nothing is left to choose, what follows.
fn decide<'a>(
    penalties: &'a Penalties,
    situation: &Situation,
    context: &Context<'a>,
) -> Element<'a, Message> {
    let palette = context.palette;
    let ground = Ground { field: &context.book.field, names: context.names, situation };
    let known = Known { book: context.book, day: context.day, ground };
    let (staged, fouled) = match penalties.staged(known) {
        Ok(staged) => staged,
        Err(wrong) => return label::plain(capital(&wrong), palette.accent).into(),
    };
    let mut all = Column::new().spacing(8);
    for decision in &fouled.decided {
        let words = text::decision(*decision, |foul| fouled.says(context.book, foul));
        all = all.push(label::small(capital(&words), palette.muted));
    }
    match staged {
        fouls::Stage::Asks(question) => {
            let chooser = context.names.teams.of(question.chooser);
            all = all.push(label::ask(format!("{chooser} choose"), palette.ink));
            for (number, offer) in question.offers.iter().enumerate() {
                let words = text::decision(offer.decision, |foul| fouled.says(context.book, foul));
                all = all.push(numbered(number, capital(&words), penalties.at, context));
                all = all.push(label::small(follows(&offer.led, situation, context), palette.ink));
            }
            let better = format!("By the plain rule {} is the better one for them.", question.better + 1);
            all.push(label::small(better, palette.muted)).push(label::small(CAUTION, palette.muted)).into()
        }
        fouls::Stage::Led(led) => {
            for by_count in penalties.by_count(known) {
                all = all.push(label::plain(capital(&by_count), palette.accent));
            }
            for (foul, done) in &led.done {
                let words = format!("{}: {}", fouled.says(context.book, *foul), text::done(*done));
                all = all.push(label::plain(capital(&words), palette.ink));
            }
            all.push(label::ask(follows(&led, situation, context), palette.ink))
                .push(button(palette, "Write the play", (KEYS, Act::Go), Weight::Next, Message::Act))
                .push(label::small(CAUTION, palette.muted))
                .into()
        }
    }
}

/// The situation and the clock that follow.
fn follows(led: &Led, situation: &Situation, context: &Context<'_>) -> String {
    let clock = match led.clock_starts {
        Some(ClockStart::Snap) => "the clock starts on the snap",
        Some(ClockStart::Ready) => "the clock starts on the ready signal",
        None => "the clock does not run",
    };
    let place = |offense, from| {
        let begins = Situation { offense, ..*situation };
        spot(&context.book.field, context.names, &begins, from)
    };
    let kick = led
        .free_kick
        .map_or_else(String::new, |from| format!("; the free kick from {}", place(led.after.offense, from)));
    let series = led.next_series.map_or_else(String::new, |from| {
        format!("; the next series from {}", place(led.after.offense.other(), from))
    });
    format!("{}; {clock}{kick}{series}", situation_text(context, &led.after))
}

/// The fouls that stand in a review, each accepted or declined.
fn standing<'a>(penalties: &'a Penalties, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let mut all = Column::new().spacing(8).push(label::ask("Accepted or declined?", palette.ink));
    for (foul, choices) in penalties.standing.iter().enumerate() {
        all = all.push(label::plain(capital(&choices.penalty), palette.ink));
        for (number, word, choice, after) in [
            (2 * foul, "accepted", Choice::Accept, &choices.accepted),
            (2 * foul + 1, "declined", Choice::Decline, &choices.declined),
        ] {
            let stands = if choices.stands == Some(choice) { ", as it stands" } else { "" };
            all = all.push(numbered(number, format!("{word}{stands}"), penalties.at, context));
            all = all.push(label::small(situation_text(context, after), palette.ink));
        }
    }
    all.push(label::small("A digit takes it, Esc goes back to the ruling", palette.muted))
        .push(label::small(CAUTION, palette.muted))
        .into()
}

/// The fouls that were named so far.
fn so_far<'a>(
    penalties: &'a Penalties,
    situation: &Situation,
    context: &Context<'a>,
) -> Element<'a, Message> {
    let palette = context.palette;
    let mut all = Column::new()
        .spacing(6)
        .push(pair(context, "before", situation_text(context, situation)))
        .push(card::divide(palette))
        .push(label::small("Fouls", palette.muted));
    if penalties.fouls.is_empty() && penalties.stage != Stage::Review {
        all = all.push(label::plain("None so far", palette.muted));
    }
    for foul in &penalties.fouls {
        all = all.push(label::plain(capital(&called(foul, situation, context)), palette.ink));
        all = all.push(foul.sent_off.as_ref().map(|player| disqualified(foul, player, situation, context)));
    }
    for choices in &penalties.standing {
        let stands = match choices.stands {
            Some(Choice::Accept) => "accepted",
            Some(Choice::Decline) => "declined",
            None => "open",
        };
        all = all.push(label::plain(format!("{}: {stands}", capital(&choices.penalty)), palette.ink));
    }
    all.into()
}

/// Who is disqualified and for what, and the words for it.
fn disqualified<'a>(
    foul: &Called,
    player: &Player,
    situation: &Situation,
    context: &Context<'a>,
) -> Element<'a, Message> {
    let (palette, team) = (context.palette, situation.team(foul.by));
    let (who, name) = (player.to_string(), context.names.short.of(team));
    column![
        label::plain(format!("Disqualified: {who}, {name}, for {}", foul.penalty), palette.accent),
        label::small("To be announced", palette.muted),
        label::ask(sentence(context.book, context.names, team, &who), palette.ink),
    ]
    .spacing(2)
    .into()
}

fn called(foul: &Called, situation: &Situation, context: &Context<'_>) -> String {
    let at = foul.spot.map_or_else(String::new, |at| {
        format!(", at {}", spot(&context.book.field, context.names, situation, at))
    });
    format!("{}: {}{at}", side(foul.by, situation, context), text::called(foul))
}
