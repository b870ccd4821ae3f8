//! The view between plays: the situation, the lines of the coming snap, the keys of a play, the plays so far.

use super::{Act, Between, KEYS, Message, STARTS, Typing, What, line_id};
use crate::booth::context::Context;
use crate::booth::evidence::{pair, plan};
use crate::booth::header::situation_text;
use crate::booth::keyed::button;
use crate::keys::shown;
use crate::theme::size;
use crate::widget::key::Weight;
use crate::widget::{card, entry, field, label};
use iced::widget::{Column, Row, column, row, scrollable, space, text};
use iced::{Element, Length, alignment};
use review::announcement::{capital, spot};
use review::day::fold::{Day, Fate, Service};
use review::day::over::series_words;
use review::day::{Ending, play_words};
use rules::book::line::Figure;
use rules::game::overtime::Overtime;
use rules::game::situation::{End, Next, Situation};
use rules::game::text::ordinal;

pub(crate) fn view<'a>(between: &'a Between, day: &'a Day, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let Some(situation) = &context.situation else {
        let first = column![
            label::call("The situation is not set yet", palette.ink),
            label::plain("E sets it: the opening kick stands in the line, to be typed over.", palette.ink),
            does(between, day, context)
        ];
        return card::card(palette, first.spacing(14)).height(Length::Fill).into();
    };
    let left = Column::new()
        .spacing(12)
        .push(coming(situation, context))
        .push(card::divide(palette))
        .push(does(between, day, context));
    let right = column![
        card::card(palette, field::field(palette, plan(context, situation, None), 230.0)),
        card::card(
            palette,
            column![lines(situation, context), card::divide(palette), plays(day, context)].spacing(10)
        )
        .height(Length::Fill)
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

/// The coming snap, in large type.
fn coming<'a>(situation: &Situation, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let next = match situation.next {
        Next::Scrimmage { down, to_go } if situation.spot + to_go >= context.book.field.length => {
            format!("{} and goal", ordinal(down))
        }
        Next::Scrimmage { down, to_go } => format!("{} and {to_go}", ordinal(down)),
        Next::Try => "Try".to_owned(),
        Next::FreeKick => "Free kick".to_owned(),
    };
    let way = match situation.attacks {
        End::East => "going east",
        End::West => "going west",
    };
    let at = spot(&context.book.field, context.names, situation, situation.spot);
    let runs = if situation.clock_running { "the clock runs" } else { "the clock is stopped" };
    column![
        text(next).size(size::SECONDS).font(label::BOLD).color(palette.ink.color()),
        label::ask(format!("{} ball at {at}, {way}", context.names.short.of(situation.offense)), palette.ink),
        pair(context, "clock", runs.to_owned()),
        pair(context, "timeouts left", both(context, situation.timeouts.home, situation.timeouts.away),),
        pair(
            context,
            "challenges used",
            both(context, situation.challenges.home.used, situation.challenges.away.used),
        ),
    ]
    .spacing(6)
    .into()
}

fn both(context: &Context<'_>, home: u8, away: u8) -> String {
    format!("{} {home}, {} {away}", context.names.short.home, context.names.short.away)
}

/// The keys of a play, or the line that one of them opened.
fn does<'a>(between: &'a Between, day: &'a Day, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let mut parts = Column::new().spacing(12);
    if let Service::Out { reason, words } = &day.service {
        parts = parts
            .push(label::call("Replay is out of service", palette.accent))
            .push(label::plain(format!("Read out to both coaches: {words}"), palette.ink))
            .push(label::small(format!("since: {reason}"), palette.muted));
    }
    let lost: Vec<&str> = day.lost().collect();
    if !lost.is_empty() {
        parts = parts.push(label::plain(format!("Out: {}", lost.join(", ")), palette.accent));
    }
    parts = parts.push(overtime(day, context).map(|words| label::ask(words, palette.ink)));
    parts = parts.push(match &between.typing {
        None => keys(day, context),
        Some(typing) => typing_line(typing, context),
    });
    parts.push(between.told.as_ref().map(|told| label::plain(capital(told), palette.accent))).into()
}

/// How far overtime has come, or that the game is over by the rules.
fn overtime(day: &Day, context: &Context<'_>) -> Option<String> {
    let over = || format!("The game is over: {} ends it", shown(KEYS, Act::EndGame));
    match day.overtime(context.book) {
        Some(Overtime::Series { team, next_score }) => {
            Some(format!("Overtime: {}", series_words(context.names, team, next_score)))
        }
        Some(Overtime::PeriodOver) => Some(format!(
            "Level after a series each: {} begins the next period",
            shown(KEYS, Act::NextPeriod)
        )),
        Some(Overtime::GameOver) => Some(over()),
        Some(Overtime::Unsaid) | None => day.over(context.book).is_ok().then(over),
    }
}

fn keys<'a>(day: &Day, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let one = |act: Act, word: &'static str, weight: Weight| {
        button(palette, word, (KEYS, act), weight, Message::Act)
    };
    let plays = What::ALL
        .into_iter()
        .fold(Row::new().spacing(8), |row, what| row.push(one(Act::Play(what), what.text(), Weight::Plain)));
    let service = match day.service {
        Service::In => "replay out of service",
        Service::Out { .. } => "replay back in service",
    };
    column![
        row![
            one(Act::Looked, "looked, no stop", Weight::Next),
            one(Act::Challenge, "challenge", Weight::Next),
            one(Act::Penalties, "penalties", Weight::Plain)
        ]
        .spacing(10),
        label::small("How did the play end?", palette.muted),
        plays.wrap(),
        row![
            one(Act::Correct, "correct the situation", Weight::Plain),
            one(Act::NextPeriod, "next period", Weight::Plain),
            one(Act::EndGame, "end of the game", Weight::Plain),
            one(Act::Undo, "take back", Weight::Plain),
            one(Act::Service, service, Weight::Plain),
            one(Act::Referee, "the referee's own ruling", Weight::Plain),
        ]
        .spacing(8)
        .wrap(),
    ]
    .spacing(12)
    .into()
}

fn typing_line<'a>(typing: &'a Typing, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let line = |hint, text| entry::bare(palette, entry::Line { id: line_id(), hint, text }, Message::Typed);
    match typing {
        Typing::Play { what, text, follows } => {
            let follows = match follows {
                Ok(after) => label::plain(format!("then: {}", situation_text(context, after)), palette.ink),
                Err(wrong) => label::plain(capital(&wrong.to_string()), palette.accent),
            };
            column![
                label::ask(capital(what.text()), palette.ink),
                line("spot and clock: o35 4:38", text),
                follows,
                label::small("Enter writes it, Esc leaves it; a clock that is left out stays", palette.muted),
            ]
            .spacing(8)
            .into()
        }
        Typing::Correct { text, wrong } => column![
            label::ask("Correct the situation", palette.ink),
            line("p2 4:41 4&1.5 k38", text),
            label::small(
                "period, clock, down & distance, spot, ball and team, direction, score, timeouts, challenges used and won; then ; and why",
                palette.muted
            ),
            wrong.as_ref().map(|wrong| label::plain(capital(wrong), palette.accent)),
        ]
        .spacing(8)
        .into(),
        Typing::OutOfService { text } => column![
            label::ask("Replay out of service", palette.ink),
            line("what failed", text),
            label::small("Enter logs it and shows the words for both coaches", palette.muted),
        ]
        .spacing(8)
        .into(),
        Typing::Start => {
            let begins = STARTS.into_iter().fold(Row::new().spacing(8), |row, (team, end)| {
                let way = if end == End::East { "east" } else { "west" };
                let word = format!("{}, going {way}", context.names.short.of(team));
                row.push(button(palette, word, (KEYS, Act::Start(team, end)), Weight::Plain, Message::Act))
            });
            let ends = format!("{} Who begins the next one?", period_ends(context));
            column![label::ask(ends, palette.ink), begins.wrap()].spacing(8).into()
        }
        Typing::Timeout(team) => {
            let left = context.situation.map_or(0, |situation| *situation.timeouts.of(*team));
            let name = context.names.short.of(*team);
            let costs = match left.checked_sub(1) {
                Some(after) => format!("A timeout of {name}: {after} of their {left} will be left."),
                None => format!("{name} have no timeout left."),
            };
            weighed(costs, "Charge it", context)
        }
        Typing::Period => weighed(period_ends(context), "End it", context),
    }
}

/// What waits for confirmation, with its key.
fn weighed<'a>(costs: String, word: &'static str, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    column![
        label::ask(costs, palette.ink),
        button(palette, word, (KEYS, Act::Confirm), Weight::Plain, Message::Act),
        label::small("Any other key leaves it", palette.muted),
    ]
    .spacing(8)
    .into()
}

fn period_ends(context: &Context<'_>) -> String {
    let period = context.situation.map_or(0, |situation| situation.period);
    format!("The {} period ends.", ordinal(period))
}

/// Where the lines of the coming snap are.
fn lines<'a>(situation: &Situation, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let snap = situation.snap(&context.book.field);
    let mut column = Column::new().spacing(3).push(label::small("Lines of the coming snap", palette.muted));
    for line in &context.book.lines {
        if let Some(Figure::Across(x)) = line.figure(snap, &context.book.field) {
            let at = spot(&context.book.field, context.names, situation, x);
            column = column.push(pair(context, line.name.as_str(), at));
        }
    }
    column.into()
}

/// The plays so far, the newest first, and what became of each.
fn plays<'a>(day: &'a Day, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let mut column = Column::new().spacing(3);
    let run = day.plays.len().saturating_sub(1);
    for (number, play) in day.plays.iter().enumerate().take(run).rev().take(SHOWN) {
        let fate = match play.fate() {
            Fate::Reviewed => match day.unruled(number) {
                None | Some(Ending::Ruled) => "reviewed",
                Some(Ending::Refused) => "challenge refused",
                Some(Ending::Withdrawn) => "challenge withdrawn",
                Some(Ending::CutShort) => "review cut short",
            },
            Fate::Looked => "looked, no stop",
            Fate::NotLooked => "not looked at",
            Fate::NoReplay => "no replay",
        };
        let ink = if play.fate() == Fate::NotLooked { palette.muted } else { palette.ink };
        column = column.push(
            row![
                label::plain(play_words(context.book, &play.at), ink),
                space().width(Length::Fill),
                label::small(fate, ink)
            ]
            .align_y(alignment::Vertical::Center),
        );
    }
    column![label::small("Plays", palette.muted), scrollable(column).height(Length::Fill)].spacing(4).into()
}

/// How many plays are shown; the log has them all.
const SHOWN: usize = 60;
