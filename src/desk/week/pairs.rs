//! Inconsistent records beside each other, and what a change of the rules did.

use super::card::{self, Card};
use super::line::{Line, Of};
use super::see::See;
use crate::theme::Palette;
use crate::widget::{card as widget, label};
use audit::sample::editions::short;
use formats::audit::{Edition, Inconsistent};
use iced::widget::{Column, column, row};
use iced::{Element, Length};
use pages::text;

/// Inconsistent records beside each other.
#[derive(Debug, Clone)]
pub(crate) struct Pair {
    title: String,
    called: String,
    says: &'static str,
    /// The facts that both rest on.
    same: Vec<(String, String)>,
    cards: Vec<Card>,
    /// Number of other records with the same facts.
    more: usize,
}

/// What a change of the rules did to the same facts.
#[derive(Debug, Clone)]
pub(crate) struct Change {
    title: String,
    called: String,
    facts: Vec<(String, String)>,
    editions: Vec<String>,
}

/// A change of rules between records is listed with the changes, not a second time here.
fn is_change(one: &Inconsistent) -> bool {
    one.why == "edition" && one.records.len() > 1
}

/// First the inconsistencies, then the changes of rules.
pub(super) fn lines(see: &See<'_>) -> Vec<Line> {
    let found = &see.held.found;
    let misfits = found.inconsistent.iter().enumerate();
    let misfits = misfits
        .filter(|(_, one)| !is_change(one) && one.records.iter().any(|id| see.shows_record(id)))
        .map(|(at, one)| Line {
            head: see.held.title(&one.tree).to_owned(),
            under: match one.records.len() {
                0..=2 => one.says.to_owned(),
                records => format!("{records} records: {}", one.says),
            },
            look: one.why == "facts",
            of: Of::Misfit(at),
        });
    let within = |weeks: &[Edition]| {
        see.week
            .is_none_or(|week| weeks.iter().any(|one| one.weeks.is_none_or(|[a, b]| (a..=b).contains(&week))))
    };
    let changes = found.rule_changes.iter().enumerate().filter(|(_, change)| within(&change.editions));
    let changes = changes.map(|(at, change)| Line {
        head: see.held.title(&change.tree).to_owned(),
        under: "the rules changed: nobody's fault".to_owned(),
        look: false,
        of: Of::Change(at),
    });
    misfits.chain(changes).collect()
}

/// A change of rules, by its index among those of all weeks.
pub(super) fn change(see: &See<'_>, at: usize) -> Option<Change> {
    let change = see.held.found.rule_changes.get(at)?;
    let facts = change.answers.iter();
    Some(Change {
        title: see.held.title(&change.tree).to_owned(),
        called: format!("called: {}", change.call),
        facts: facts
            .map(|(step, says)| (see.held.asks(&change.tree, step).to_owned(), says.clone()))
            .collect(),
        editions: change.editions.iter().map(edition).collect(),
    })
}

fn edition(edition: &Edition) -> String {
    let weeks = edition.weeks.map_or("no week named".to_owned(), text::weeks);
    let name = short(&edition.edition);
    format!("{weeks}, edition {name}: {} ({} of them)", edition.outcome, edition.records)
}

/// An inconsistency, by its index among those of all weeks. It shows two records: one with the most frequent outcome, one
/// with another.
pub(super) fn pair(see: &See<'_>, at: usize) -> Option<Pair> {
    let one = see.held.found.inconsistent.get(at)?;
    let count = |outcome: &String| one.outcomes.iter().filter(|other| *other == outcome).count();
    let most = one.outcomes.iter().max_by_key(|outcome| count(outcome));
    let first = one.outcomes.iter().position(|outcome| Some(outcome) == most).unwrap_or(0);
    let other = one.outcomes.iter().position(|outcome| Some(outcome) != most).or((first == 0).then_some(1));
    let mut shown: Vec<usize> = [Some(first), other].into_iter().flatten().collect();
    shown.sort_unstable();
    let ids = shown.iter().filter_map(|at| one.records.get(*at));
    let mut cards: Vec<Card> = ids.filter_map(|id| Card::of(see, id)).collect();
    let same = match cards.as_slice() {
        [one, other] => one.facts.iter().filter(|fact| other.facts.contains(fact)).cloned().collect(),
        _ => Vec::new(),
    };
    for card in &mut cards {
        card.facts.retain(|fact| !same.contains(fact));
    }
    Some(Pair {
        title: see.held.title(&one.tree).to_owned(),
        called: format!("called: {}", one.call),
        says: one.says,
        same,
        more: one.records.len().saturating_sub(cards.len()),
        cards,
    })
}

pub(super) fn draw_pair<'a, M: Clone + 'a>(pair: &'a Pair, palette: &'static Palette) -> Element<'a, M> {
    let mut beside = row![].spacing(24);
    for one in &pair.cards {
        let mut parts = column![card::head(one, palette, true)].spacing(12).width(Length::Fill);
        if !one.facts.is_empty() {
            parts = parts.push(card::facts(&one.facts, palette));
        }
        beside = beside.push(parts);
    }
    let mut parts = heading(&pair.title, &pair.called, palette);
    parts = parts.push(label::plain(pair.says, palette.accent)).push(beside);
    if !pair.same.is_empty() {
        parts = parts.push(widget::divide(palette));
        parts =
            parts.push(label::small("The same facts:", palette.muted)).push(card::facts(&pair.same, palette));
    }
    if pair.more > 0 {
        parts = parts.push(label::small(format!("and {} more", pair.more), palette.muted));
    }
    parts.into()
}

pub(super) fn draw_change<'a, M: Clone + 'a>(
    change: &'a Change,
    palette: &'static Palette,
) -> Element<'a, M> {
    let mut parts = heading(&change.title, &change.called, palette);
    parts = parts.push(label::plain("The same facts, ruled differently since the rules changed. No official is at fault; the clubs should be told.", palette.ink));
    for edition in &change.editions {
        parts = parts.push(label::plain(edition.as_str(), palette.ink));
    }
    parts.push(widget::divide(palette)).push(card::facts(&change.facts, palette)).into()
}

fn heading<'a, M: 'a>(title: &'a str, called: &'a str, palette: &'static Palette) -> Column<'a, M> {
    column![
        row![label::ask(title, palette.ink).width(Length::Fill), label::small(called, palette.muted)]
            .spacing(12)
    ]
    .spacing(14)
}
