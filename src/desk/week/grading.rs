//! The records to grade, and a record with its grades and letters.

use super::card::{self, Card};
use super::line::{Line, Of};
use super::see::See;
use super::tracks::{Drawn, Track, Tracks};
use crate::theme::Palette;
use crate::widget::{card as widget, label};
use audit::sample::row::Row;
use iced::Element;
use iced::widget::column;
use pages::text as words;
use review::grade::fold::{Graded, Letter};
use review::grade::text;
use review::grade::text::{HIDDEN, Official};

/// A record to grade.
#[derive(Debug, Clone)]
pub(crate) struct Sheet {
    title: String,
    called: String,
    card: Card,
    /// The grades as text.
    pub(super) grades: Vec<String>,
    letters: Vec<String>,
    /// Hide who decided.
    blind: bool,
    /// It is in a log, so that a grade can be written there.
    at_home: bool,
}

/// First the figure for avoidable challenges, then rulings with an unanswered letter, then those without a grade of the
/// call or of the review.
pub(super) fn lines(see: &See<'_>) -> Vec<Line> {
    let sample = &see.held.sample;
    let rows = sample.rows.iter().filter(|row| row.is_ruling() && see.shows(row));
    let mut lines: Vec<Line> = Vec::new();
    let mut asked: Vec<Line> = Vec::new();
    for row in rows {
        let graded = see.acts.graded.get(row.id());
        let open = graded.is_some_and(|graded| graded.letters.iter().any(waits));
        let missing = missing(row, graded);
        if missing.is_empty() && !see.graded_too && !open && see.done != Some(row.id()) {
            continue;
        }
        let line = Line {
            head: see.held.title(sample.text(row.tree)).to_owned(),
            under: under(see, row, &missing, open),
            look: open,
            of: Of::Record(row.id().to_owned()),
        };
        if open { asked.push(line) } else { lines.push(line) }
    }
    avoidable_line(see).into_iter().chain(asked).chain(lines).collect()
}

fn avoidable_line(see: &See<'_>) -> Option<Line> {
    let rate = see.found.avoidable.rate.as_ref()?;
    Some(Line {
        head: "Challenges that could have been avoided".to_owned(),
        under: format!("{} graded ones were plain at full speed", words::counted(rate)),
        look: false,
        of: Of::Itself,
    })
}

/// Avoidable challenges by question and by week, and what they cost.
pub(super) fn avoidable(see: &See<'_>) -> Option<Tracks> {
    let avoidable = &see.found.avoidable;
    let rate = avoidable.rate.as_ref()?;
    let mut by_tree: Vec<_> = avoidable.by_tree.iter().collect();
    by_tree.sort_by_key(|(_, count)| std::cmp::Reverse(**count));
    let all = avoidable.count.max(1) as f64;
    let track = |(tree, count): (&String, &u64)| Track {
        words: see.held.title(tree).to_owned(),
        figure: format!("{count}"),
        drawn: Drawn { value: Some(*count as f64 / all), ci95: None, look: false },
        pointed: false,
    };
    let mut tracks = vec![Track {
        words: "all graded challenges".to_owned(),
        figure: words::share(rate),
        drawn: Drawn { value: rate.rate, ci95: rate.wilson95, look: false },
        pointed: true,
    }];
    tracks.extend(by_tree.into_iter().map(track));
    let positions = words::by_position(avoidable).map(|positions| format!("whose call: {positions}"));
    let weeks: Vec<String> =
        avoidable.by_week.iter().map(|(week, count)| format!("week {week}: {count}")).collect();
    Some(Tracks {
        title: "Challenges that could have been avoided",
        from: format!("{} graded ones were plain at full speed", words::counted(rate)),
        tracks,
        says: [
            Some(format!(
                "{} missed by the crew, {} with nothing there",
                avoidable.by_crew.len(),
                avoidable.by_coach.len()
            )),
            Some(format!("coaches paid {} timeouts for them", avoidable.timeouts_paid)),
            positions,
            Some(weeks.join(" · ")),
        ]
        .into_iter()
        .flatten()
        .collect(),
        note: "Below the first line: the share of each question in them. What is plain is a grade, given with V, Y or O.",
    })
}

fn waits(letter: &Letter) -> bool {
    letter.answer.is_none()
}

fn missing(row: &Row, graded: Option<&Graded>) -> Vec<&'static str> {
    let call = row.grades.call.is_some() || graded.is_some_and(|graded| graded.call().is_some());
    let review = row.grades.review.is_some() || graded.is_some_and(|graded| graded.review().is_some());
    [(call, "call"), (review, "review")].iter().filter(|(done, _)| !done).map(|(_, of)| *of).collect()
}

fn under(see: &See<'_>, row: &Row, missing: &[&str], open: bool) -> String {
    let week = row.week.map(|week| format!("week {week}"));
    let play =
        row.play().map(str::to_owned).or_else(|| row.game.map(|game| see.held.sample.text(game).to_owned()));
    let waits = match (open, missing) {
        (true, _) => "a letter waits for its answer".to_owned(),
        (false, []) => "graded".to_owned(),
        (false, missing) => format!("{} not graded", missing.join(" and ")),
    };
    [week, play, Some(waits)].into_iter().flatten().collect::<Vec<_>>().join(" · ")
}

/// Grades that came with an imported record. They have no history here, and are shown beside those that are given here.
fn imported(see: &See<'_>, row: &Row) -> Vec<String> {
    let brought = see.held.brought(row);
    let position = |position| if see.blind { HIDDEN.to_owned() } else { position };
    let brought = [
        ("call", brought.call),
        ("position", brought.position.map(position)),
        ("review", brought.review),
        ("challenge", brought.plain.map(|plain| if plain { "plain" } else { "not plain" }.to_owned())),
    ];
    let says = |(of, says): (&str, Option<String>)| Some(format!("{of}: {}, as it was imported", says?));
    brought.into_iter().filter_map(says).collect()
}

/// A record with its grades and letters.
pub(super) fn sheet(see: &See<'_>, id: &str) -> Option<Sheet> {
    let (at, card) = (see.held.row(id)?, Card::of(see, id)?);
    let (sample, row) = (&see.held.sample, &see.held.sample.rows[at]);
    let graded = see.acts.graded.get(id);
    let mut grades = imported(see, row);
    let hidden = see.blind || !see.held.shown.is_empty();
    let official = if hidden { Official::Hidden } else { Official::Named };
    let mut letters = Vec::new();
    for graded in graded.iter() {
        grades.extend(text::grades(graded, if see.blind { Official::Hidden } else { Official::Named }));
        for letter in &graded.letters {
            letters.push(text::letter(letter, official));
            let key = if waits(letter) { ": A answers" } else { "" };
            letters.push(format!("   {}{key}", text::answer(letter)));
        }
    }
    Some(Sheet {
        title: see.held.title(sample.text(row.tree)).to_owned(),
        called: format!("called: {}", sample.text(row.call)),
        card,
        grades,
        letters,
        blind: see.blind,
        at_home: see.held.home(id).is_some(),
    })
}

pub(super) fn view<'a, M: Clone + 'a>(sheet: &'a Sheet, palette: &'static Palette) -> Element<'a, M> {
    let mut parts = column![
        label::ask(sheet.title.as_str(), palette.ink),
        label::small(sheet.called.as_str(), palette.muted),
        card::head(&sheet.card, palette, !sheet.blind),
        card::facts(&sheet.card.facts, palette),
        widget::divide(palette)
    ]
    .spacing(12);
    if sheet.grades.is_empty() {
        parts = parts.push(label::plain("not graded yet", palette.muted));
    }
    for says in &sheet.grades {
        parts = parts.push(label::plain(says.as_str(), palette.ink));
    }
    for says in &sheet.letters {
        parts = parts.push(label::plain(says.as_str(), palette.accent));
    }
    let keys = match sheet.at_home {
        true => {
            "call: C correct, I incorrect, N correct no-call, M missed, K whose · review: R right, W wrong, L too long, S should have stopped, Shift S should not have · \
                 challenge: V not plain, Y plain, by the crew, O plain, by the coach · picture: G good, P poor. \
                 What is chosen stands below; Ctrl Enter signs it"
        }
        false => "It came from a file of records: grade it in the log that it stands in.",
    };
    parts.push(widget::divide(palette)).push(label::small(keys, palette.muted)).into()
}
