//! Where the seconds went.

use super::{Source, plot};
use crate::text::{covered, median, nine_of_ten, rounded};
use formats::audit::{Audit, Id, Times};
use maud::{Markup, PreEscaped, html};
use std::collections::BTreeSet;

const SIGNALS: usize = 30;
const STEPS: usize = 15;
/// A step with fewer reviews is left out.
const LEAST: u64 = 5;

pub(super) fn tempo(found: &Audit, source: &Source) -> Markup {
    let tempo = &found.tempo;
    let after = &tempo.after_settled;
    html! {
        section {
            h2 { "Where did the seconds go?" }
            p {
                "From the call to the announcement: median " (median(&tempo.times)) ", nine of ten within "
                (nine_of_ten(&tempo.times)) ", n = " (tempo.times.count) ", of them " (tempo.times.cut_short) " cut short."
            }
            @if after.times.count > 0 {
                p.look {
                    "After nothing could change the ruling any more: median " (median(&after.times)) ", "
                    (rounded(after.total_s / 60.0)) " minutes in all. That is time the league can win."
                }
            }
            @if source.timed.len() > 1 {
                figure {
                    (PreEscaped(plot::chart(&source.timed, &tempo.control)))
                    figcaption.muted {
                        "Each review in the order of the calls, with the mean and the limits of the moving range. "
                        "Bar: time after the review was settled. Ring: beyond a limit, or one of a run."
                        @if (source.timed.len() as u64) < tempo.control.count { " The newest " (source.timed.len()) " are shown." }
                    }
                }
                (signals(found))
                figure {
                    (PreEscaped(plot::survival(&tempo.survival)))
                    figcaption.muted { "Share of reviews still going on after each time, with its 95 % band." }
                }
            }
            @if tempo.times.count > 0 { (tables(found, source)) }
        }
    }
}

fn signals(found: &Audit) -> Markup {
    let control = &found.tempo.control;
    let kinds: BTreeSet<&str> = control.because.iter().copied().collect();
    html! {
        @for kind in kinds {
            @let ids: Vec<&str> = control.signals.iter().zip(&control.because).filter(|(_, why)| **why == kind)
                .filter_map(|(id, _)| match id { Id::Record(id) => Some(id.as_str()), Id::Row(_) => None }).collect();
            p.muted {
                (kind) ", " (ids.len()) ": " (ids.iter().take(SIGNALS).copied().collect::<Vec<_>>().join(", "))
                @if ids.len() > SIGNALS { " and " (ids.len() - SIGNALS) " more" }
            }
        }
    }
}

fn tables(found: &Audit, source: &Source) -> Markup {
    let row = |name: &str, times: &Times| {
        html! { tr { td { (name) } td.n { (times.count) } td.n { (median(times)) } td.n { (nine_of_ten(times)) } } }
    };
    let head = |what: &str| {
        html! { tr { th { (what) } th.n { "n" } th.n { "median, 95 %" } th.n { "nine of ten" } } }
    };
    let phases = || found.tempo.phases.iter().filter(|phase| phase.times.count > 0);
    let steps: Vec<_> = found.tempo.steps.iter().filter(|step| step.times.count >= LEAST).collect();
    html! {
        h3 { "By phase" }
        div.wide { table {
            (head("until"))
            @for phase in phases() { (row(phase.phase, &phase.times)) }
        } }
        p.muted {
            @for phase in phases() { "To " (phase.phase) ": " (covered(phase)) ". " }
            "Together the phases are a review's time: one that is settled without a mark is timed from the first look, and a mark \
             that only its restart needs belongs to the time to the ruling."
        }
        h3 { "By step, until settled" }
        div.wide { table {
            (head("step that the ruling rests on"))
            @for step in steps.iter().take(STEPS) {
                (row(&format!("{}: {}", source.title(&step.tree), step.step), &step.times))
            }
        } }
        p.muted {
            "The slowest first. A review counts with every step that its ruling rests on; steps of fewer than "
            (LEAST) " reviews are left out"
            @if steps.len() > STEPS { ", and " (steps.len() - STEPS) " faster ones" }
            "."
        }
        h3 { "By question" }
        div.wide { table {
            (head("question"))
            @for (tree, group) in &found.by.tree { (row(source.title(tree), &group.tempo)) }
        } }
    }
}
