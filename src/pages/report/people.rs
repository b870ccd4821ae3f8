//! Wording, officials, challenges, angles, grades, and what to train.

use super::Source;
use super::figure::track;
use crate::text::{counted, median, probability, share, with_interval};
use formats::audit::{Audit, Rate};
use maud::{Markup, html};
use std::collections::BTreeMap;

/// Most steps and plays that are listed.
const LISTED: usize = 15;

pub(super) fn wording(found: &Audit, source: &Source) -> Markup {
    let agreement = &found.agreement;
    let splits: Vec<_> = found.wording.steps.iter().filter(|split| split.p.is_some()).take(LISTED).collect();
    html! {
        section {
            h2 { "Which wording splits people?" }
            @if agreement.pairs == 0 {
                p { "Nothing was reviewed twice, so nothing can be said. Hand a sample to a second official, blind." }
            } @else {
                p {
                    "A second official, blind, came to the same outcome in "
                    (agreement.agree.as_ref().map_or(String::new(), counted)) " re-reviews"
                    @if let Some(rate) = &agreement.agree { ", " (share(rate)) }
                    ". Krippendorff's alpha " (with_interval(agreement.krippendorff_alpha.nominal, agreement.krippendorff_ci95.nominal, 2))
                    ", Cohen's kappa " (with_interval(agreement.cohen_kappa, agreement.cohen_ci95, 2))
                    ", Fleiss' kappa " (with_interval(agreement.fleiss_kappa, agreement.fleiss_ci95, 2)) "."
                }
                div.wide { table {
                    tr { th { "step, answered twice" } th.n { "agree" } th.n { "alpha, 95 %" } th { "0 to 1" } th.n { "p among all" } }
                    @for split in splits {
                        tr {
                            td {
                                @if split.splits { span.look { (split.asks.as_deref().or(split.step.as_deref()).unwrap_or("")) } }
                                @else { (split.asks.as_deref().or(split.step.as_deref()).unwrap_or("")) }
                                br; small { (source.title(&split.tree)) }
                            }
                            td.n { (counted(&split.agree)) }
                            td.n { (with_interval(split.alpha, split.alpha_ci95, 2)) }
                            td.range { (track(split.alpha, split.alpha_ci95, split.splits)) }
                            td.n { (probability(split.p_adjusted)) }
                        }
                    }
                } }
                p.muted {
                    "Steps with fewer than five pairs are left out. In accent: more disagreement than at the other steps, by \
                     more than chance among all of them. Fix the wording before blaming anyone."
                }
            }
        }
    }
}

pub(super) fn officials(found: &Audit) -> Markup {
    html! {
        section {
            h2 { "Does anybody differ by more than chance?" }
            @if found.officials.pace.is_empty() {
                p { "The records do not say who decided." }
            } @else {
                div.wide { table {
                    tr { th { "official" } th.n { "n" } th.n { "median, 95 %" } th.n { "longer than the others, 95 %" } th.n { "p among all" } }
                    @for pace in &found.officials.pace {
                        tr {
                            td { @if pace.slow { span.look { (pace.official) " takes longer" } } @else { (pace.official) } }
                            td.n { (pace.count) }
                            td.n { (found.by.official.get(&pace.official).map_or(String::new(), |group| median(&group.tempo))) }
                            td.n { (with_interval(pace.longer_s, pace.longer_ci95, 0)) " s" }
                            td.n { (probability(pace.p_adjusted)) }
                        }
                    }
                } }
                p.muted { "Compared with the others on the same questions; p is that of taking no more than a quarter longer. If nobody is slower, at most one season in twenty names anybody." }
                @if found.officials.answers.is_empty() {
                    p { "Nobody's answers differ by more than chance, in " (found.officials.comparisons) " comparisons." }
                } @else {
                    table {
                        tr { th { "official, step" } th { "answers" } th.n { "they" } th.n { "the others" } th.n { "p among all" } }
                        @for one in found.officials.answers.iter().take(LISTED) {
                            tr {
                                td.look { (one.official) ", " (one.step) } td { (one.answer) }
                                td.n { (counted(&one.own)) } td.n { (counted(&one.others)) } td.n { (probability(Some(one.p_adjusted))) }
                            }
                        }
                    }
                }
            }
        }
    }
}

pub(super) fn avoidable(found: &Audit, source: &Source) -> Markup {
    let avoidable = &found.avoidable;
    html! {
        section {
            h2 { "Which challenges could have been avoided?" }
            @match &avoidable.rate {
                None => p { "No challenge has been graded for it yet." },
                Some(rate) => {
                    p {
                        (counted(rate)) " graded ones were plain at full speed, " (share(rate)) ": "
                        (avoidable.by_crew.len()) " missed by the crew, " (avoidable.by_coach.len()) " with nothing there. "
                        "Coaches paid " (avoidable.timeouts_paid) " timeouts for them."
                    }
                    div.pair {
                        div { table {
                            tr { th { "question" } th.n { "plain" } }
                            @for (tree, count) in &avoidable.by_tree { tr { td { (source.title(tree)) } td.n { (count) } } }
                        } }
                        @if !avoidable.by_position.is_empty() {
                            div { table {
                                tr { th { "whose call" } th.n { "plain" } }
                                @for (position, count) in &avoidable.by_position { tr { td { (position) } td.n { (count) } } }
                            } }
                        }
                        div { table {
                            tr { th { "week" } th.n { "plain" } }
                            @for (week, count) in &avoidable.by_week { tr { td { (week) } td.n { (count) } } }
                        } }
                    }
                }
            }
        }
    }
}

pub(super) fn angles(found: &Audit) -> Markup {
    html! {
        @if !found.angles.is_empty() {
            section {
                h2 { "Which camera decided?" }
                div.wide { table {
                    tr { th { "camera" } th.n { "rulings with its frames" } th.n { "proven" } th { "" } th.n { "alone, and nothing proven" } }
                    @for (camera, angle) in &found.angles {
                        tr {
                            td { (camera) } td.n { (angle.marked) } td.n { (share(&angle.established)) }
                            td.range { (track(angle.established.rate, angle.established.wilson95, false)) }
                            td.n { (angle.alone_unproven) " of " (angle.alone) }
                        }
                    }
                } }
            }
        }
    }
}

pub(super) fn grades(found: &Audit) -> Markup {
    let table = |what: &str, grades: &BTreeMap<String, Rate>| {
        html! {
            @if !grades.is_empty() {
                div { table {
                    tr { th { (what) } th.n { "n" } th.n { "share, 95 %" } }
                    @for (grade, rate) in grades { tr { td { (grade) } td.n { (counted(rate)) } td.n { (share(rate)) } } }
                } }
            }
        }
    };
    html! {
        section {
            h2 { "How were calls and reviews graded?" }
            p { (found.grades.graded) " of " (found.grades.of) " rulings are graded." }
            div.pair { (table("call", &found.grades.calls)) (table("review", &found.grades.reviews)) }
        }
    }
}

pub(super) fn training(found: &Audit, source: &Source) -> Markup {
    let mut plays: Vec<(&str, &str)> = Vec::new();
    for one in found.inconsistent.iter().filter(|one| one.why != "edition") {
        plays.extend(one.records.iter().take(super::ruling::SHOWN).map(|id| (id.as_str(), one.says)));
    }
    plays.extend(found.avoidable.by_crew.iter().map(|id| (id.as_str(), "plain, and missed on the field")));
    plays.dedup_by(|a, b| a.0 == b.0);
    html! {
        section {
            h2 { "Which plays are worth an hour together?" }
            @if plays.is_empty() { p { "None stands out." } }
            table {
                @for (id, why) in plays.iter().take(2 * LISTED) {
                    tr {
                        td { (id) br; small { (source.records.get(*id).map_or("", |record| record.place.as_str())) } }
                        td { (why) (source.stills.last_of(id)) }
                    }
                }
            }
            @if plays.len() > 2 * LISTED { p.muted { "and " (plays.len() - 2 * LISTED) " more" } }
        }
    }
}
