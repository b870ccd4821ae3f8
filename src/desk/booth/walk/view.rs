//! The view of the walk: the steps on the left, the evidence on the right, what a ruling now would be at the foot.

use super::{Act, KEYS, Message, Told, Typing, Walk, line_id};
use crate::booth::board::{Board, IfNow, Line, Settled};
use crate::booth::context::Context;
use crate::booth::evidence;
use crate::booth::evidence::marks_line;
use crate::booth::keyed::button;
use crate::booth::pictures;
use crate::booth::pictures::Pictures;
use crate::booth::price;
use crate::keys::shown;
use crate::theme::{Palette, size};
use crate::widget::key::{Weight, line as clickable};
use crate::widget::{answer, card, entry, label, map};
use iced::widget::{Column, Container, Row, column, container, row, scrollable, space, text};
use iced::{Element, Length, alignment};
use review::announcement::capital;
use review::decide::Command;
use rules::book::tree::Looks;

pub(crate) fn view<'a>(
    walk: &'a Walk,
    pictures: &'a Pictures,
    context: &Context<'a>,
) -> Element<'a, Message> {
    let palette = context.palette;
    let left = framed(context, review_card(walk, context)).height(Length::Fill);
    let spacing = if context.tight { 6 } else { 14 };
    // While something is being clicked no key answers a step, so in a small window the picture gets all the room.
    if context.tight && pictures.places() {
        return right(walk, pictures, context);
    }
    let body: Element<'a, Message> = match (context.narrow, pictures.is_empty()) {
        (true, true) => left.into(),
        (is_narrow, _) => {
            let (steps, evidence) = if is_narrow { (5, 5) } else { (4, 6) };
            row![
                left.width(Length::FillPortion(steps)),
                container(right(walk, pictures, context)).width(Length::FillPortion(evidence))
            ]
            .spacing(if context.tight { 6 } else { 18 })
            .height(Length::Fill)
            .into()
        }
    };
    // An open line takes the foot, so that it is visible wherever the open step is.
    let foot = match &walk.typing {
        Some(typing) => framed(context, typing_line(walk, typing, context)).into(),
        None => foot(walk, context),
    };
    let precedents = if context.tight { None } else { precedents(walk, palette) };
    Column::new().spacing(spacing).push(body).push(precedents).push(foot).into()
}

/// A card, with a thinner edge in a small window.
fn framed<'a>(context: &Context<'a>, content: impl Into<Element<'a, Message>>) -> Container<'a, Message> {
    let card = card::card(context.palette, content);
    if context.tight { card.padding([6, 10]) } else { card }
}

/// One line if the facts of a precedent recur, with the key that reads it.
fn precedents<'a>(walk: &'a Walk, palette: &'static Palette) -> Option<Element<'a, Message>> {
    let first = walk.recurring.first()?;
    let others = match walk.recurring.len() {
        1 => String::new(),
        count => format!(", and {} more", count - 1),
    };
    let line = format!("A precedent's facts recur here: {}: {}{others}", first.title, first.did);
    let word = if walk.reading { "put away" } else { "read it" };
    let read = button(palette, word, (KEYS, Act::Precedent), Weight::Plain, Message::Act);
    let mut parts = Column::new().spacing(4).push(
        row![label::plain(line, palette.ink).width(Length::Fill), read].align_y(alignment::Vertical::Center),
    );
    if walk.reading {
        for recurring in &walk.recurring {
            let told = recurring.story.iter().map(|line| label::plain(capital(line), palette.ink).into());
            parts = parts
                .push(label::small(format!("{} · {}", recurring.title, recurring.status), palette.muted))
                .extend(told)
                .push(label::small(format!("differs: {}", recurring.differs), palette.muted));
        }
        parts = parts.push(label::small("A precedent is not a rule: the referee decides.", palette.muted));
    }
    Some(card::card(palette, parts).into())
}

/// The call, the steps, and what is still possible.
fn review_card<'a>(walk: &'a Walk, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let Some(board) = walk.board() else {
        return label::plain("no question yet", palette.muted).into();
    };
    let mut steps = Column::new().spacing(2);
    // In a narrow window the open step comes first.
    let mut order: Vec<usize> = (0..board.steps.len()).collect();
    if context.narrow {
        order.sort_by_key(|index| *index != walk.step);
    }
    for (index, line) in order.into_iter().filter_map(|index| Some((index, board.steps.get(index)?))) {
        steps = steps.push(if index == walk.step {
            open_step(walk, board, line, context)
        } else {
            resting_step(walk, board, (index, line), palette)
        });
    }
    let steps = scrollable(steps.padding([8, 0])).spacing(6).height(Length::Fill);
    if context.tight {
        return steps.into();
    }
    column![
        called(walk, board, palette),
        card::divide(palette),
        steps,
        card::divide(palette),
        possible(board, palette),
    ]
    .spacing(8)
    .into()
}

fn called<'a>(walk: &Walk, board: &'a Board, palette: &'a Palette) -> Element<'a, Message> {
    let call = match &board.whistle {
        Some(moment) => format!("Called on the field, whistled at {moment}"),
        None => "Called on the field".to_owned(),
    };
    let several = match walk.boards.len() {
        0 | 1 => String::new(),
        count => format!(" · question {} of {count}", walk.question + 1),
    };
    column![
        row![
            label::small(call, palette.muted),
            space().width(Length::Fill),
            label::small(format!("rule {}{several}", board.cite), palette.muted)
        ],
        row![
            label::call(capital(&board.call), palette.ink),
            space().width(Length::Fill),
            label::small(board.title.as_str(), palette.muted)
        ]
        .align_y(alignment::Vertical::Center),
    ]
    .spacing(2)
    .into()
}

fn resting_step<'a>(
    walk: &Walk,
    board: &'a Board,
    (index, line): (usize, &'a Line),
    palette: &'a Palette,
) -> Element<'a, Message> {
    // Answers to steps that are no longer needed are kept and muted; they have no effect.
    let ink = if line.reached { palette.ink } else { palette.muted };
    let mut words = Column::new().push(label::plain(line.ask.as_str(), ink));
    if !line.marks.is_empty() {
        words = words.push(label::small(marks_line(&line.marks), palette.muted).size(size::LEAST));
    }
    if let Some(why) = &line.known {
        words = words.push(label::small(why.as_str(), palette.muted).size(size::LEAST));
    }
    let mut content = Row::new()
        .spacing(12)
        .align_y(alignment::Vertical::Center)
        .push(answer::answer(palette, line.shape))
        .push(words.width(Length::Fill));
    if let Some(given) = &line.answer {
        content = content.push(label::small(given.as_str(), ink));
    } else if walk.next() == Some(index) {
        content = content.push(label::small("next", palette.accent));
    } else if board.soonest == Some(index) {
        content = content.push(label::small("settles soonest", palette.muted));
    } else if !line.reached {
        content = content.push(label::small("no longer needed", palette.muted));
    }
    clickable(palette, content, false, Message::Open(index))
}

fn open_step<'a>(
    walk: &'a Walk,
    board: &'a Board,
    line: &'a Line,
    context: &Context<'a>,
) -> Element<'a, Message> {
    let palette = context.palette;
    let mut open = Column::new().spacing(8).push(label::ask(line.ask.as_str(), palette.ink));
    if let Some(note) = &line.note {
        open = open.push(label::small(note.as_str(), palette.muted));
    }
    if let Some(why) = &line.known {
        open = open.push(label::plain(format!("Not asked. {why}."), palette.ink));
    }
    open = open.push(asks_for(board, walk, line, palette));
    if !line.marks.is_empty() {
        open = open.push(label::small(marks_line(&line.marks), palette.ink));
    }
    if let Some(timing) = &walk.timing {
        let ink = if timing.doubtful { palette.accent } else { palette.ink };
        open = open.push(label::plain(capital(&timing.says), ink));
        if !timing.offers.is_empty() {
            let offers = format!("offered: {} ({})", in_words(&timing.offers, line), shown(KEYS, Act::Take));
            open = open.push(label::small(offers, palette.muted));
        }
    }
    if let Some(read) = &walk.scoreboard {
        let takes = format!(
            "at this frame; while marking ({}), {} takes it",
            shown(KEYS, Act::TypeMark),
            shown(KEYS, Act::TakeClock)
        );
        open = open
            .push(label::small(capital(&read.text()), palette.ink))
            .push(label::small(takes, palette.muted));
    }
    open = open.push(options(line, palette));
    match &walk.told {
        Some(Told::No { because, instead }) => {
            open = open
                .push(label::small(capital(because), palette.accent))
                .push(label::small(capital(instead), palette.ink));
        }
        Some(Told::Done(done)) => open = open.push(label::small(done.as_str(), palette.ink)),
        None => {}
    }
    card::raised(palette, open)
}

/// Options in words; all of them together are "unclear".
fn in_words(options: &[String], line: &Line) -> String {
    if options.len() == line.options.len() { "unclear".to_owned() } else { options.join(" or ") }
}

/// What the book asks for before an answer counts, and whether it was done.
fn asks_for<'a>(board: &Board, walk: &Walk, line: &'a Line, palette: &Palette) -> Element<'a, Message> {
    let look = match line.looks {
        Looks::FullSpeed => "at full speed",
        Looks::Slow => "in slow motion",
        Looks::FrameByFrame => "frame by frame",
    };
    let looked = match line.looked {
        0 => format!("look {look} ({})", shown(KEYS, Act::Look)),
        1 => format!("looked {look} once"),
        count => format!("looked {look} {count} times"),
    };
    let mut parts = vec![looked];
    if !line.unmarked.is_empty() {
        parts.push(format!("mark {} ({})", line.unmarked.join(", "), shown(KEYS, Act::Mark)));
    }
    parts.extend(why_next(board, walk).map(str::to_owned));
    label::small(parts.join(" · "), palette.muted).into()
}

/// Why the open step is the one to ask now, if it is.
fn why_next(board: &Board, walk: &Walk) -> Option<&'static str> {
    let open = Some(walk.step);
    match (walk.next() == open, board.soonest == open) {
        (true, true) if walk.short_of_time => Some("time is short: this settles soonest"),
        (true, true) => Some("next in the order of the play, and settles soonest"),
        (true, false) => Some("next in the order of the play"),
        (false, true) => Some("settles soonest"),
        (false, false) => None,
    }
}

fn options<'a>(line: &'a Line, palette: &'a Palette) -> Element<'a, Message> {
    let given = line.answer.as_deref();
    let mut keys = Row::new().spacing(10);
    for (index, option) in line.options.iter().enumerate() {
        let act = Act::Answer(u8::try_from(index).unwrap_or(u8::MAX));
        let weight = if given == Some(option) { Weight::Chosen } else { Weight::Plain };
        keys = keys.push(button(palette, option.as_str(), (KEYS, act), weight, Message::Act));
    }
    let weight = if given == Some("unclear") { Weight::Chosen } else { Weight::Plain };
    keys.push(button(palette, "unclear", (KEYS, Act::Unclear), weight, Message::Act)).wrap().into()
}

/// The open line: what it is about, what was wrong with it, the line, and how to write it.
fn typing_line<'a>(walk: &'a Walk, typing: &'a Typing, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let camera = || context.camera_in_hand();
    let (label, hint, wrong, keys) = match typing {
        Typing::Ends { command } => return ends(command, context),
        Typing::Mark { moment, wrong, .. } => (
            format!("Mark \u{201c}{moment}\u{201d} on {}", camera()),
            "411722   b   c4:38   k12",
            wrong.as_deref(),
            "timecode; a letter for another camera; c and the game clock; a spot. Enter marks, Esc leaves",
        ),
        Typing::Clock { wrong, .. } => (
            format!("The clock in this frame of {}", camera()),
            "4:38   42.3",
            wrong.as_deref(),
            "as it stands on the board, with the places that it shows. Enter keeps it, Esc leaves",
        ),
        Typing::Flag { wrong, .. } => (
            flags_so_far(context),
            "face mask, d o12 c4:38 dead",
            wrong.as_deref(),
            "the penalty; then o or d for whom it is on, the spot, c and the game clock, dead. Enter adds it",
        ),
        Typing::Clips { .. } => (
            "Open clips; files and folders can also be dropped on the window".to_owned(),
            "a file or a folder",
            None,
            "Enter opens them, Esc leaves",
        ),
        Typing::End { .. } => (
            "End the review without a ruling".to_owned(),
            "Reason (leave empty to withdraw the challenge)",
            None,
            "Enter shows what that costs, Esc goes on with the review",
        ),
        Typing::Reason { against, .. } => (
            walk.about().unwrap_or_else(|| "Do it anyway?".to_owned()),
            "the reason",
            Some(against.as_str()),
            "The ruling will show it. Enter does it anyway, Esc leaves it",
        ),
    };
    let line = entry::Line { id: line_id(), hint, text: walk.line().unwrap_or("") };
    let mut parts = Column::new()
        .spacing(4)
        .push(label::small(label, palette.ink))
        .push(wrong.map(|wrong| label::small(capital(wrong), palette.accent)))
        .push(entry::bare(palette, line, Message::Typed));
    if !context.tight {
        parts = parts.push(label::small(keys, palette.muted));
    }
    parts.into()
}

/// The end of the review as typed with what it costs, to be confirmed.
fn ends<'a>(command: &Command, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let how = if let Command::CutShort { reason } = command {
        format!("Ends the review without a ruling: {reason}")
    } else {
        "Withdraws the challenge".to_owned()
    };
    Column::new()
        .spacing(6)
        .push(label::plain(how, palette.ink))
        .push(price::of(context).map(|price| label::plain(capital(&price), palette.accent)))
        .push(button(palette, "End it", (KEYS, Act::Confirm), Weight::Plain, Message::Act))
        .push(label::small("Any other key goes on with the review", palette.muted))
        .into()
}

fn possible<'a>(board: &'a Board, palette: &Palette) -> Element<'a, Message> {
    let mut findings = Row::new().spacing(18);
    for (finding, possible) in &board.findings {
        findings = findings.push(if *possible {
            Element::from(label::plain(finding.as_str(), palette.ink))
        } else {
            struck(finding, palette)
        });
    }
    column![label::small("Still possible", palette.muted), findings.wrap().vertical_spacing(2.0)]
        .spacing(4)
        .into()
}

/// Struck through.
fn struck<'a>(words: &'a str, palette: &Palette) -> Element<'a, Message> {
    let span: text::Span<'a, (), iced::Font> = iced::widget::span(words).strikethrough(true);
    iced::widget::rich_text([span]).size(size::TEXT).color(palette.muted.color()).into()
}

fn right<'a>(walk: &'a Walk, pictures: &'a Pictures, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    if !pictures.is_empty() {
        return pictures::view(pictures, context).map(Message::Pointed);
    }
    let mut parts = Column::new()
        .spacing(14)
        .push(container(evidence::view(context, walk.open_line())).height(Length::Fill));
    if let (Some(ground), Some(board)) = (walk.grounds.get(walk.question), walk.board()) {
        let way = map::Way { open: Some(walk.step), ..board.way };
        let drawn = map::map(palette, ground.clone(), way, if context.low { 84.0 } else { 130.0 });
        parts = parts.push(card::card(
            palette,
            column![label::small("The way through the question", palette.muted), drawn].spacing(4),
        ));
    }
    parts.into()
}

/// What a ruling now would be.
fn foot<'a>(walk: &'a Walk, context: &Context<'a>) -> Element<'a, Message> {
    let palette = context.palette;
    let Some(now) = &walk.if_now else { return space().into() };
    let rule = button(palette, "Rule", (KEYS, Act::Rule), weight(walk), Message::Act);
    let outcomes = capital(&now.outcomes.join(", "));
    let outcome = column![
        label::small("If you rule now", palette.muted),
        if context.tight { label::plain(outcomes, palette.ink) } else { label::call(outcomes, palette.ink) },
    ]
    .spacing(2);
    framed(
        context,
        row![
            outcome.width(Length::FillPortion(2)),
            goes_on(now, palette, context.narrow).width(Length::FillPortion(6)),
            Column::new()
                .push(rule)
                .push((!context.tight).then(|| settled(walk, palette)))
                .spacing(6)
                .width(Length::FillPortion(3))
        ]
        .spacing(20)
        .align_y(alignment::Vertical::Center),
    )
    .into()
}

/// How the game would go on; `brief` in a narrow window.
fn goes_on<'a>(now: &'a IfNow, palette: &Palette, brief: bool) -> Column<'a, Message> {
    // What is not complete is not shown as a result.
    let words = match now.needs.as_slice() {
        [] => [label::plain(now.game.as_str(), palette.ink), label::small(now.clock.as_str(), palette.muted)],
        needs => {
            let (key, gives) = match now.missing.is_empty() {
                true => (Act::Flags, "enters it"),
                false => (Act::TypeMark, "marks it"),
            };
            let needed = format!("still needed: {}; {} {gives}", needs.join("; "), shown(KEYS, key));
            [label::plain("the restart is not complete", palette.ink), label::small(needed, palette.accent)]
        }
    };
    let words = words.into_iter().fold(Column::new().spacing(3), Column::push);
    if brief {
        return words;
    }
    words
        .push(now.because.as_ref().map(|because| label::small(capital(because), palette.muted)))
        .push(now.price.as_ref().map(|price| label::small(price.as_str(), palette.muted)))
}

/// The desk suggests ruling once no further answer could change anything.
fn weight(walk: &Walk) -> Weight {
    let settled = |board: &Board| matches!(board.settled, Settled::ByDoubt(_) | Settled::Proven);
    if walk.boards.iter().all(settled) { Weight::Next } else { Weight::Plain }
}

fn settled<'a>(walk: &Walk, palette: &Palette) -> Element<'a, Message> {
    let Some(board) = walk.board() else { return space().into() };
    let words = match &board.settled {
        Settled::Open => "not settled yet".to_owned(),
        Settled::OutcomeOnly => "the outcome is settled, the restart is not".to_owned(),
        Settled::Proven => "settled, and proven".to_owned(),
        Settled::ByDoubt(steps) if steps.is_empty() => "stands for lack of proof".to_owned(),
        Settled::ByDoubt(steps) => format!(
            "stands for lack of proof: a clearer angle on \u{201c}{}\u{201d} could change it",
            steps.join("\u{201d} or \u{201c}")
        ),
    };
    label::small(words, palette.ink).into()
}

fn flags_so_far(context: &Context<'_>) -> String {
    let flags = context.review.map_or(Vec::new(), |review| review.flags());
    match flags.as_slice() {
        [] => "No flag so far".to_owned(),
        flags => format!(
            "Flags so far: {}",
            flags.iter().map(|flag| flag.name.as_str()).collect::<Vec<_>>().join(", ")
        ),
    }
}
