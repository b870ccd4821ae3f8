//! What the referees ruled where the book left it open, and the decisions on it.

use super::line::{Line, Of};
use super::see::See;
use crate::theme::Palette;
use crate::widget::{card, label};
use iced::Element;
use iced::widget::{column, container, row};
use review::precedent::fold::Status;
use review::precedent::text;

/// A precedent as text.
#[derive(Debug, Clone)]
pub(crate) struct Shown {
    title: String,
    id: String,
    state: &'static str,
    rule: String,
    facts: Vec<(String, String)>,
    life: Vec<String>,
}

/// All precedents; those without a decision come first.
pub(super) fn lines(see: &See<'_>) -> Vec<Line> {
    let mut all: Vec<(usize, bool)> = see
        .acts
        .precedents
        .iter()
        .enumerate()
        .map(|(at, (_, one))| (at, one.status() == Status::Proposed))
        .collect();
    all.sort_by_key(|(_, waits)| !waits);
    let line = |(at, waits): (usize, bool)| {
        let (_, one) = &see.acts.precedents[at];
        let state = one.decisions.last().map_or("proposed: no decision yet".to_owned(), |last| {
            format!("{} {}", text::status(last.status), text::weeks(last.weeks))
        });
        Line { head: one.proposal.title.clone(), under: state, look: waits, of: Of::Precedent(at) }
    };
    all.into_iter().map(line).collect()
}

/// A precedent, by its index.
pub(super) fn shown(see: &See<'_>, at: usize) -> Option<Shown> {
    let (_, one) = see.acts.precedents.get(at)?;
    let proposal = &one.proposal;
    Some(Shown {
        title: proposal.title.clone(),
        id: format!("{}, from ruling {} in game {}", one.id, proposal.ruling, proposal.game),
        state: text::status(one.status()),
        rule: format!("remedy: {}; based on {}", proposal.remedy, proposal.rule),
        facts: proposal.pattern.labelled(),
        life: one
            .events()
            .iter()
            .map(|stamped| format!("{}: {}", stamped.by, text::event(&stamped.event)))
            .collect(),
    })
}

pub(super) fn view<'a, M: Clone + 'a>(shown: &'a Shown, palette: &'static Palette) -> Element<'a, M> {
    let mut parts = column![
        label::ask(shown.title.as_str(), palette.ink),
        label::plain(shown.state, palette.accent),
        label::small(shown.id.as_str(), palette.muted),
        label::plain(shown.rule.as_str(), palette.ink),
        card::divide(palette)
    ]
    .spacing(10);
    for (fact, is) in &shown.facts {
        parts = parts.push(
            row![
                container(label::plain(fact.as_str(), palette.muted)).width(260),
                label::plain(is.as_str(), palette.ink)
            ]
            .spacing(12),
        );
    }
    parts = parts.push(card::divide(palette));
    for line in &shown.life {
        parts = parts.push(label::plain(line.as_str(), palette.ink));
    }
    let note = "An approved precedent is shown wherever its facts recur. It never turns itself into a rule: the league's published rules prevail.";
    let keys = "Shift A approve (7-12: why) · Shift N narrow (7: call is complete, down is 4: why) · Shift W withdraw (9: why)";
    parts
        .push(card::divide(palette))
        .push(label::small(note, palette.muted))
        .push(label::small(keys, palette.muted))
        .into()
}
