//! The precedents of the logs: what referees ruled where the book left it open, and where their facts recurred.

use audit::figures::facts::AllFacts;
use audit::figures::recurrence::recurrences;
use audit::sample::Sample;
use log::Error;
use log::store::reader::Reader;
use log::streams::precedents::Precedents;
use maud::{Markup, html};
use review::precedent::fold::{Precedent, Status};
use review::precedent::text;
use std::collections::BTreeSet;

/// Most recurrences of a precedent that are named.
const PLACES: usize = 12;

#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct PrecedentRow {
    id: String,
    title: String,
    ruled: String,
    state: String,
    why: Option<String>,
    in_force: bool,
    again: Vec<String>,
}

/// Those of these logs, each once, in the order in which they were proposed.
pub(super) fn of(sample: &Sample, facts: &AllFacts, logs: &[Reader]) -> Result<Vec<PrecedentRow>, Error> {
    let (mut all, mut seen) = (Vec::new(), BTreeSet::new());
    for log in logs {
        let precedents = Precedents::read(log)?;
        for precedent in precedents.all.iter().filter(|precedent| seen.insert(precedent.id.clone())) {
            let mut again = among_rulings(precedent, &precedents);
            again.extend(recurrences(precedent, sample, facts));
            all.push(row_of(precedent, again));
        }
    }
    Ok(all)
}

fn row_of(precedent: &Precedent, again: Vec<String>) -> PrecedentRow {
    let (proposal, newest) = (&precedent.proposal, precedent.decisions.last());
    let weeks = newest.map_or_else(String::new, |decision| format!(" {}", text::weeks(decision.weeks)));
    PrecedentRow {
        id: precedent.id.clone(),
        title: proposal.title.clone(),
        ruled: format!("{} (rule {})", proposal.remedy, proposal.rule),
        state: format!("{}{weeks}", text::status(precedent.status())),
        why: newest.map(|decision| decision.reason.clone()),
        in_force: matches!(precedent.status(), Status::Approved | Status::Narrowed),
        again,
    }
}

/// The other rulings of referees that it applies to.
fn among_rulings(precedent: &Precedent, precedents: &Precedents) -> Vec<String> {
    let others = precedents.all.iter().filter(|other| other.id != precedent.id);
    let again = others.filter_map(|other| {
        let opened = precedents.ruling(&other.proposal.ruling)?.opened.as_ref()?;
        let recurs = precedent.recurs(&other.proposal.pattern, opened.week);
        recurs.then(|| format!("{} ({})", other.proposal.ruling, other.proposal.game))
    });
    again.collect()
}

pub(super) fn section(precedents: &[PrecedentRow]) -> Markup {
    html! {
        @if !precedents.is_empty() {
            section {
                h2 { "What did the referees rule where the book left it open?" }
                p {
                    "An approved or narrowed precedent is shown wherever its facts recur. It is not a rule: the league's \
                     published rules prevail, and the referee decides."
                }
                div.wide { table {
                    tr { th.n { "" } th { "precedent" } th { "state" } th { "its facts came again" } }
                    @for (number, precedent) in (1..).zip(precedents) { (row(number, precedent)) }
                } }
            }
        }
    }
}

fn row(number: u32, precedent: &PrecedentRow) -> Markup {
    let again = &precedent.again;
    html! {
        tr {
            td.n { (number) }
            td { (precedent.title) ": " (precedent.ruled) br; small { (precedent.id) } }
            td {
                (precedent.state)
                @if let Some(why) = &precedent.why { br; small { (why) } }
            }
            td {
                @if !precedent.in_force { "not in force" }
                @else if again.is_empty() { "not so far" }
                @else {
                    (again.len()) ": " (again.iter().take(PLACES).map(String::as_str).collect::<Vec<_>>().join(", "))
                    @if again.len() > PLACES { " and " (again.len() - PLACES) " more" }
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use testing::precedents::exchange;

    #[test]
    fn the_page_tells_number_words_state_weeks_and_places() {
        let row = row_of(&exchange("Two <punches>", Vec::new()), vec!["r-1/1".to_owned()]);
        let page = section(&[row]).into_string();
        for part in [
            "<td class=\"n\">1</td>",
            "Two &lt;punches&gt;",
            "narrowed weeks 3 to 4",
            "one exchange",
            "1: r-1/1",
        ] {
            assert!(page.contains(part), "{part}: {page}");
        }
        assert_eq!(section(&[]).into_string(), "");
    }
}
