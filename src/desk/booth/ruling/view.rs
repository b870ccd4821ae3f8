//! The view of a ruling: outcome and reasons on the left, announcement and situation before and after on the right.

use super::{Act, KEYS, Message, Ruling, Weighed, line_id};
use crate::booth::board::Board;
use crate::booth::context::{CAUTION, Context};
use crate::booth::evidence::{marks_line, pair, plan};
use crate::booth::header::situation_text;
use crate::booth::keyed::button;
use crate::booth::price;
use crate::keys::shown;
use crate::stills;
use crate::theme::{Palette, size};
use crate::widget::key::{Weight, key};
use crate::widget::{answer, card, entry, field, label};
use iced::widget::{Column, Row, column, row, scrollable, space, text};
use iced::{Element, Length, alignment};
use review::announcement::{capital, clock_text};
use review::fold::Phase;
use rules::game::enforce::Done;
use rules::game::situation::{ByTeam, Situation};

pub(crate) fn view<'a>(ruling: &'a Ruling, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let Some(weighed) = &ruling.weighed else { return ended(ruling, context) };
    let left =
        column![outcome(ruling, weighed, context), card::divide(palette), why(ruling, weighed, context)]
            .spacing(12);
    let right = column![spoken(weighed, context)]
        .push(stills::view(&ruling.stills, palette))
        .push(game(ruling, weighed, context))
        .spacing(14);
    column![
        row![
            card::card(palette, left).width(Length::FillPortion(4)).height(Length::Fill),
            scrollable(right).spacing(6).width(Length::FillPortion(6)).height(Length::Fill)
        ]
        .spacing(18)
        .height(Length::Fill),
        foot(ruling, weighed, context),
    ]
    .spacing(14)
    .into()
}

/// A review that ended without a ruling.
fn ended<'a>(ruling: &'a Ruling, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let boards = ruling.boards.iter().fold(Column::new().spacing(2), |parts, board| {
        let words = format!("{} · ruled {}", board.title, board.call);
        parts.push(label::small(words, palette.muted))
    });
    let kept = "There is no ruling, and none is announced. The call stays as the crew made it.";
    let words = Column::new()
        .spacing(14)
        .push(boards)
        .push(label::call(capital(review::text::phase(ruling.phase)), palette.ink))
        .push(label::plain(kept, palette.ink))
        .push(price::of(context).map(|price| label::plain(capital(&price), palette.ink)))
        .push(row![next(palette, "On with the game", Act::On)]);
    card::card(palette, words).width(Length::Fill).height(Length::Fill).into()
}

fn outcome<'a>(ruling: &'a Ruling, weighed: &'a Weighed, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let mut parts = Column::new().spacing(10);
    for (board, (label, finding)) in ruling.boards.iter().zip(&weighed.outcomes) {
        parts = parts.push(
            column![
                label::small(format!("{} · ruled {}", board.title, board.call), palette.muted),
                label::call(capital(label), palette.ink),
                label::plain(finding.as_deref().unwrap_or("no one finding is proven"), palette.ink),
            ]
            .spacing(2),
        );
    }
    parts.into()
}

/// Each step on the path with its answer and marks.
fn why<'a>(ruling: &'a Ruling, weighed: &'a Weighed, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let mut parts = Column::new().spacing(8).push(label::small("Why", palette.muted));
    let lines = ruling.boards.iter().flat_map(|board: &Board| &board.steps);
    for line in lines.filter(|line| line.reached) {
        let given = line.answer.as_deref().unwrap_or("not answered");
        let mut words = column![label::plain(line.ask.as_str(), palette.ink)].spacing(1);
        if !line.marks.is_empty() {
            words = words.push(label::small(marks_line(&line.marks), palette.muted).size(size::LEAST));
        }
        parts = parts.push(
            row![
                answer::answer(palette, line.shape),
                words.width(Length::Fill),
                label::small(given, palette.ink)
            ]
            .spacing(12)
            .align_y(alignment::Vertical::Center),
        );
    }
    for done in &weighed.overrides {
        let words = format!("With a reason: {}: \u{201c}{}\u{201d}", done.what, done.reason);
        parts = parts.push(label::plain(words, palette.accent));
    }
    scrollable(parts).height(Length::Fill).into()
}

/// The situation before and after, in words and on the field, and what became of the fouls.
fn game<'a>(ruling: &'a Ruling, weighed: &'a Weighed, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    // What is not complete is not shown as a result.
    let after = weighed.needs.is_empty().then_some(&weighed.after);
    let drawn = field::field(palette, plan(context, &weighed.before, after), 150.0);
    let mut parts = Column::new()
        .spacing(6)
        .push(pair(context, "before", situation_text(context, &weighed.before)))
        .push(after.map(|after| pair(context, "after", situation_text(context, after))));
    for (what, before, after) in after.map_or_else(Vec::new, |after| accounts(&weighed.before, after)) {
        parts = parts.push(pair(context, what, format!("{before}  \u{2192}  {after}")));
    }
    for foul in &weighed.fouls {
        parts = parts.push(pair(context, "foul", format!("{}: {}", foul.name, became(foul.done))));
    }
    let choices = (!weighed.choices.is_empty() && ruling.phase == Phase::Open).then(|| {
        let word = "accept or decline the fouls";
        button(palette, word, (KEYS, Act::Penalties), Weight::Plain, Message::Act)
    });
    card::card(palette, column![drawn, parts].push(choices).spacing(12)).into()
}

/// What became of a foul.
fn became(done: Done) -> &'static str {
    match done {
        Done::Accepted => "enforced",
        Done::Declined => "declined",
        Done::Offset => "offset",
        Done::ScoreCounts => "dropped, the score counts",
        Done::Carried => "carried to what comes next",
        Done::FellAway => "falls away, the ball was dead",
    }
}

/// What would be signed: outcomes, situation after, and timeouts charged.
fn signed(weighed: &Weighed, context: &Context<'_>) -> String {
    let outcomes: Vec<&str> = weighed.outcomes.iter().map(|(label, _)| label.as_str()).collect();
    let accounts = accounts(&weighed.before, &weighed.after).into_iter();
    let costs = accounts
        .filter(|(what, ..)| *what == "timeouts")
        .map(|(what, before, after)| format!("; {what} {before} \u{2192} {after}"))
        .collect::<String>();
    format!("{}; {}{costs}", outcomes.join(", "), situation_text(context, &weighed.after))
}

/// What the ruling changes: name, before, after.
fn accounts(before: &Situation, after: &Situation) -> Vec<(&'static str, String, String)> {
    let of = |both: &ByTeam<u8>| format!("{}–{}", both.home, both.away);
    let used = |situation: &Situation| {
        let challenges = situation.challenges;
        format!("{}–{}", challenges.home.used, challenges.away.used)
    };
    let score = |situation: &Situation| format!("{}–{}", situation.score.home, situation.score.away);
    [
        ("clock", clock_text(before.clock_ms), clock_text(after.clock_ms)),
        ("score", score(before), score(after)),
        ("timeouts", of(&before.timeouts), of(&after.timeouts)),
        ("challenges used", used(before), used(after)),
    ]
    .into_iter()
    .filter(|(_, before, after)| before != after)
    .collect()
}

/// What the referee announces, and what the clock operator and the chain crew do.
fn spoken<'a>(weighed: &'a Weighed, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    if !weighed.needs.is_empty() {
        let nothing = "Nothing can be announced yet: the restart is not complete.";
        return card::card(palette, label::plain(nothing, palette.ink)).into();
    }
    card::card(
        palette,
        column![
            label::small("Announce", palette.muted),
            text(weighed.words.announcement.as_str()).size(size::ASK).color(palette.ink.color()),
            card::divide(palette),
            pair(context, "crew", weighed.words.crew.clone()),
            pair(context, "clock operator", weighed.words.clock.clone()),
            pair(context, "chain crew", weighed.words.chains.clone()),
        ]
        .spacing(10),
    )
    .into()
}

fn foot<'a>(ruling: &'a Ruling, weighed: &'a Weighed, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let key = next_key(ruling, weighed, palette);
    let mut words = Column::new().spacing(3);
    if let Some((text, wrong)) = &ruling.typing {
        let line = entry::Line { id: line_id(), hint: "the restart ; the reason", text };
        words = words
            .push(label::plain(
                "The restart as it should be, then ; and the reason. The ruling will show it.",
                palette.ink,
            ))
            .push(entry::bare(palette, line, Message::Typed))
            .push(wrong.as_ref().map(|wrong| label::plain(capital(wrong), palette.accent)));
    }
    if !weighed.needs.is_empty() {
        words =
            words.push(label::plain(format!("Still needed: {}", weighed.needs.join("; ")), palette.accent));
        let keys = if weighed.needs_mark {
            format!("{} marks it with the pictures in view", shown(KEYS, Act::Mark))
        } else {
            "flags are typed in the walk".to_owned()
        };
        words = words.push(label::small(keys, palette.muted));
    }
    if let Some((because, instead)) = &ruling.told {
        words = words.push(label::plain(format!("{}; {instead}", capital(because)), palette.accent));
    }
    if ruling.phase == Phase::Open && weighed.needs.is_empty() {
        let signs = format!("{} signs: {}", shown(KEYS, Act::Sign), signed(weighed, context));
        words = words.push(label::plain(signs, palette.ink));
    }
    if weighed.left {
        let words_of = "The book leaves this to the referee. As it stands, every call is kept.";
        words = words.push(label::plain(words_of, palette.accent));
    }
    words = words.push(label::small(CAUTION, palette.muted));
    card::card(
        palette,
        Row::new()
            .push(words.width(Length::Fill))
            .push(space().width(20))
            .push(key)
            .align_y(alignment::Vertical::Center),
    )
    .into()
}

/// The next thing to do: sign, read back, announce, go on.
fn next_key<'a>(ruling: &Ruling, weighed: &Weighed, palette: &'static Palette) -> Element<'a, Message> {
    match ruling.phase {
        Phase::Open if weighed.left => row![
            button(palette, "Sign it as it stands", (KEYS, Act::Sign), Weight::Plain, Message::Act),
            next(palette, "The referee rules", Act::Referee)
        ]
        .spacing(10)
        .into(),
        Phase::Open if weighed.needs.is_empty() => next(palette, "Sign the ruling", Act::Sign),
        Phase::Open if weighed.needs_mark => next(palette, "Mark what is missing", Act::Mark),
        Phase::Open => key(palette, "Sign the ruling", shown(KEYS, Act::Sign), Weight::Plain, None),
        Phase::Ruled => next(palette, "The restart is read back", Act::ReadBack),
        Phase::ReadyToAnnounce => next(palette, "It is announced", Act::Announce),
        Phase::New
        | Phase::Called
        | Phase::Refused
        | Phase::Admitted
        | Phase::Announced
        | Phase::Withdrawn
        | Phase::CutShort => next(palette, "On with the game", Act::On),
    }
}

fn next<'a>(palette: &'a Palette, word: &'static str, act: Act) -> Element<'a, Message> {
    button(palette, word, (KEYS, act), Weight::Next, Message::Act)
}
