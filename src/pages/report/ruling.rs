//! Outcomes, what does not fit, and what a change of rules did.

use super::Source;
use super::figure::track;
use crate::text::{counted, share};
use audit::sample::editions::short;
use formats::audit::{Audit, Edition, Inconsistent};
use maud::{Markup, html};

/// Most inconsistencies that the page shows in full.
const FINDINGS: usize = 40;
/// Most records of one of them.
pub(super) const SHOWN: usize = 6;

/// The first sentence.
pub(super) fn lead(found: &Audit) -> String {
    if found.rulings == 0 {
        return "There are no rulings here.".to_owned();
    }
    let outcomes =
        found.outcomes.iter().map(|(outcome, rate)| format!("{} {outcome}, {}", rate.count, share(rate)));
    let mut parts = vec![format!("{} rulings", found.rulings)];
    parts.extend(outcomes);
    parts.push(format!("{} avoidable", found.avoidable.count));
    parts.join(" · ")
}

pub(super) fn outcomes(found: &Audit) -> Markup {
    html! {
        section {
            h2 { "How often did the picture change the call?" }
            table {
                tr { th { "outcome" } th.n { "n" } th.n { "share, 95 %" } th { "" } }
                @for (outcome, rate) in &found.outcomes {
                    tr {
                        td { (outcome) } td.n { (counted(rate)) } td.n { (share(rate)) }
                        td.range { (track(rate.rate, rate.wilson95, false)) }
                    }
                }
            }
            p.muted {
                (found.re_reviews) " blind re-reviews and " (found.cut_short) " reviews without a ruling are not counted here."
            }
        }
    }
}

pub(super) fn consistency(found: &Audit, source: &Source) -> Markup {
    let all: Vec<&Inconsistent> = found.inconsistent.iter().filter(|one| !is_change(one)).collect();
    html! {
        section {
            h2 { "Same facts, two rulings?" }
            @if all.is_empty() {
                p { "Nothing of that kind was found among " (found.rulings) " rulings and " (found.re_reviews) " blind re-reviews." }
            } @else {
                p { (all.len()) " findings among " (found.rulings) " rulings and " (found.re_reviews) " blind re-reviews." }
            }
            @for one in all.iter().take(FINDINGS) { (finding(one, source)) }
            @if all.len() > FINDINGS {
                p.muted { "And " (all.len() - FINDINGS) " more; " code { "tellframe audit --json" } " lists them all." }
            }
        }
    }
}

fn is_change(one: &Inconsistent) -> bool {
    one.why == "edition" && one.records.len() > 1
}

fn finding(one: &Inconsistent, source: &Source) -> Markup {
    html! {
        h3 { (source.title(&one.tree)) ", called " (one.call) }
        p.look { (one.says) }
        div.pair {
            @for (id, outcome) in one.records.iter().zip(&one.outcomes).take(SHOWN) {
                (card(id, outcome, source))
            }
        }
        @if one.records.len() > SHOWN { p.muted { "and " (one.records.len() - SHOWN) " more with the same facts" } }
    }
}

fn card(id: &str, outcome: &str, source: &Source) -> Markup {
    let record = source.records.get(id);
    html! {
        div.card {
            b { (outcome) @if let Some(finding) = record.and_then(|record| record.finding.as_ref()) { ": " (finding) } }
            @if let Some(record) = record {
                small { (record.place) @if let Some(official) = &record.official { " · " (official) } }
                ul {
                    @for (step, answer) in &record.facts { li { (step) ": " (answer) } }
                    @for reason in &record.reasons { li.look { (reason) } }
                }
            }
            (source.stills.of_record(id))
            small { (id) }
        }
    }
}

pub(super) fn changes(found: &Audit, source: &Source) -> Markup {
    html! {
        @if !found.rule_changes.is_empty() {
            section {
                h2 { "What did a change of the rules change?" }
                p { "The same facts, ruled differently since a new edition. The rules changed; tell the clubs." }
                div.wide { table {
                    tr { th { "question, call" } th { "edition" } th { "weeks" } th { "outcome" } th.n { "n" } }
                    @for change in &found.rule_changes {
                        @for edition in &change.editions {
                            tr {
                                td { (source.title(&change.tree)) ", " (change.call) }
                                td { code { (short(&edition.edition)) } } td { (weeks(edition)) }
                                td { (edition.outcome) } td.n { (edition.records) }
                            }
                        }
                    }
                } }
            }
        }
    }
}

fn weeks(edition: &Edition) -> String {
    match edition.weeks {
        Some([first, last]) if first == last => format!("{first}"),
        Some([first, last]) => format!("{first}–{last}"),
        None => "–".to_owned(),
    }
}
