//! Why the ruling came out so: every question with its path, marks and looks, and the branches that were not taken.

use super::{Source, still};
use crate::placed::shown;
use maud::{Markup, html};
use review::announcement::capital;
use review::event::Look;
use review::path::{Branch, Leads, Walk, WalkedStep, Way, walk};
use review::text;
use review::tying;
use rules::book::tree::Proof;
use std::collections::BTreeSet;

/// Every question of the review, in play order.
pub(super) fn questions(source: &Source<'_>) -> Markup {
    let asked = &source.review.questions;
    html! {
        @for (number, asked) in asked.iter().enumerate() {
            section {
                @match source.book.as_ref().and_then(|book| walk(book, &source.review, number)) {
                    Some(walk) => { h2 { "Why: " (walk.tree.title) } (question(&walk, number, source)) }
                    None => {
                        h2 { "Why: " (asked.tree) }
                        p.note { "The text of this edition is missing, so its steps cannot be shown; every act is listed below." }
                    }
                }
            }
        }
    }
}

fn question(walk: &Walk<'_>, number: usize, source: &Source<'_>) -> Markup {
    let path: Vec<&WalkedStep<'_>> = walk.path().collect();
    let apart: Vec<&WalkedStep<'_>> =
        walk.steps.iter().filter(|told| !told.on_path && told.answer.is_some()).collect();
    let tree = walk.tree;
    let excluded: Vec<&str> = walk.excluded().collect();
    html! {
        p.note { "Rule " (tree.cite) ". Call on the field: " (tree.calls[walk.call].says) "." }
        ol.path {
            @for (at, told) in path.iter().enumerate() {
                @let before = path.iter().take(at).flat_map(|told| told.marks.iter().copied()).collect::<Vec<_>>();
                @let pictures = html! { (still::of(&told.marks, &before, source)) (points(source, number, &told.step.name)) (clocks(told, source)) };
                (step(told, at + 1 == path.len(), &pictures))
            }
        }
        @if !apart.is_empty() {
            p.note {
                "Answered, and off the path, so without effect: "
                @for told in apart { (told.step.ask) " " (answer(told)) ". " }
            }
        }
        dl {
            dt { "possible" }
            dd { @for finding in walk.possible.iter() { b { (tree.findings[finding].name) } ": " (tree.findings[finding].says) br; } }
            dt { "excluded" }
            dd { @if excluded.is_empty() { "nothing" } @else { (excluded.join(", ")) } }
        }
    }
}

/// The points that were placed for a step of a question, with their pictures.
fn points(source: &Source<'_>, question: usize, step: &str) -> Markup {
    let all = source.review.placed().enumerate();
    let placed = all.filter(|(_, placed)| placed.question == question && placed.step == step);
    html! { @for (number, placed) in placed { (shown(placed, &source.stills, &format!("point-{number}"))) } }
}

fn step(told: &WalkedStep<'_>, last: bool, pictures: &Markup) -> Markup {
    let open = told.answer.is_none();
    let class = match (open, last) {
        (true, true) => "open last",
        (true, false) => "open",
        (false, true) => "last",
        (false, false) => "",
    };
    html! {
        li class=(class) {
            span.ask { (told.step.ask) } " " span.answer { (answer(told)) }
            small { " step " (told.step.name) ", proof: " (told.step.proof.kind()) }
            @if let Some(answered) = told.answer {
                @let measured = text::basis(&answered.basis);
                @if !measured.is_empty() { div { (measured.trim()) } }
                @if let Some(reason) = &answered.reason { div { "With a reason: " (reason) } }
            }
            @for marked in &told.marks {
                div { "mark " b { (marked.mark.moment) } ": camera " (marked.mark.camera) ", " span.mono { (marked.mark.timecode) } (text::stood(marked)) }
            }
            (pictures)
            @if !told.looks.is_empty() { div { small { (looks(&told.looks)) } } }
            div { small { (ways(&told.branches)) } }
        }
    }
}

/// The clocks that the time between marks of several cameras rests on, where moments tie them.
fn clocks(told: &WalkedStep<'_>, source: &Source<'_>) -> Markup {
    let timed = match &told.step.proof {
        Proof::Order { .. } | Proof::Gap { .. } => true,
        Proof::Seen { .. }
        | Proof::Position { .. }
        | Proof::Count { .. }
        | Proof::Never { .. }
        | Proof::Judgement => false,
    };
    let cameras: BTreeSet<&str> = told.marks.iter().map(|marked| marked.mark.camera.as_str()).collect();
    html! {
        @if timed && cameras.len() > 1 {
            @for fit in tying::fits(&source.review) { div { small { "clocks, by moments that both cameras see: " (fit) } } }
        }
    }
}

/// `Yes.`, `Unclear.`, `Not answered.`
fn answer(told: &WalkedStep<'_>) -> String {
    match told.answer {
        None => "Not answered.".to_owned(),
        Some(_) if told.unclear() => "Unclear.".to_owned(),
        Some(answered) => format!("{}.", capital(&answered.options.join(" or "))),
    }
}

fn looks(looks: &[&Look]) -> String {
    let each: Vec<String> =
        looks.iter().map(|look| format!("{} on {}", look.kind.text(), look.camera)).collect();
    format!("looked {}", each.join(", "))
}

/// `taken: yes → control · left: no → finding incomplete`.
fn ways(branches: &[Branch<'_>]) -> String {
    let one = |branch: &Branch<'_>| {
        let to = match branch.to {
            Leads::Step(step) => step.to_owned(),
            Leads::Finding(finding) => format!("finding {finding}"),
        };
        let word = match branch.way {
            Way::Taken => "taken",
            Way::Left => "left",
            Way::Open | Way::Apart => "open",
        };
        format!("{word}: {} → {to}", branch.option)
    };
    branches.iter().map(one).collect::<Vec<_>>().join(" · ")
}
