//! The precedents of the logs: what referees ruled where the book left it open, and where their facts came again.
//!
//! A record tells question, call, finding, answers and down of a case. A precedent that was narrowed to a fact that no
//! record tells is not said to have come again.

use audit::figures::facts::AllFacts;
use audit::sample::Sample;
use audit::sample::interner::Name;
use audit::sample::row::Row;
use log::Error;
use log::store::reader::Reader;
use log::streams::precedents::Precedents;
use maud::{Markup, html};
use review::precedent::fold::{Precedent, Status};
use review::precedent::pattern::Pattern;
use review::precedent::text;
use std::collections::BTreeSet;

/// Most places where a precedent came again that are named.
const PLACES: usize = 12;

/// A precedent as the page shows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Told {
    id: String,
    title: String,
    ruled: String,
    state: String,
    why: Option<String>,
    in_force: bool,
    again: Vec<String>,
}

/// Those of these logs, each once, in the order in which they were proposed.
pub(super) fn of(sample: &Sample, facts: &AllFacts, logs: &[Reader]) -> Result<Vec<Told>, Error> {
    let (mut all, mut seen) = (Vec::new(), BTreeSet::new());
    for log in logs {
        let precedents = Precedents::read(log)?;
        for precedent in precedents.all.iter().filter(|precedent| seen.insert(precedent.id.clone())) {
            let mut again = among_rulings(precedent, &precedents);
            again.extend(among_records(precedent, sample, facts));
            all.push(told(precedent, again));
        }
    }
    Ok(all)
}

fn told(precedent: &Precedent, again: Vec<String>) -> Told {
    let (proposal, newest) = (&precedent.proposal, precedent.decisions.last());
    let weeks = newest.map_or_else(String::new, |decision| format!(" {}", text::weeks(decision.weeks)));
    Told {
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

/// The reviews that it applies to.
fn among_records(precedent: &Precedent, sample: &Sample, facts: &AllFacts) -> Vec<String> {
    // Without a question it can only be like another ruling of a referee.
    let Some(question) = precedent.proposal.pattern.question.as_deref() else { return Vec::new() };
    let tree = sample.terms.names.known(question);
    let rows = sample.rows.iter().enumerate().filter(|(_, row)| Some(row.tree) == tree);
    let rulings = rows.filter(|(_, row)| row.is_ruling());
    let again = rulings.filter(|(at, row)| precedent.recurs(&case(sample, facts, (*at, row)), row.week));
    again.map(|(_, row)| row.id().to_owned()).collect()
}

fn case(sample: &Sample, facts: &AllFacts, (at, row): (usize, &Row)) -> Pattern {
    let text = |name: Name| sample.text(name).to_owned();
    let answers = facts.of_row(at).path.iter().map(|(step, answer)| (text(*step), answer.clone()));
    Pattern {
        question: Some(text(row.tree)),
        call: Some(text(row.call)),
        findings: row.finding.map(text).into_iter().collect(),
        facts: answers.collect(),
        down: row.snap.as_ref().map(|snap| snap.down),
        ..Pattern::default()
    }
}

/// What the referees ruled where the book left it open.
pub(super) fn section(precedents: &[Told]) -> Markup {
    html! {
        @if !precedents.is_empty() {
            section {
                h2 { "What did the referees rule where the book left it open?" }
                p {
                    "An approved or narrowed precedent is shown wherever its facts recur. It is no rule: the league's \
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

fn row(number: u32, precedent: &Told) -> Markup {
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
    use audit::sample::editions::Editions;
    use review::precedent::fold::fold;
    use review::precedent::{Condition, Event, Proposal, Stamped, Weeks};
    use review::stamp::Stamp;

    fn precedent(only: Vec<Condition>) -> Precedent {
        let pattern = Pattern {
            question: Some("blow".to_owned()),
            findings: BTreeSet::from(["exchange".to_owned()]),
            facts: [("first".to_owned(), "yes".to_owned())].into(),
            late: Some(true),
            ..Pattern::default()
        };
        let proposal = Proposal {
            ruling: "d-1".to_owned(),
            game: "g".to_owned(),
            title: "Two <punches>".to_owned(),
            remedy: "the play stands".to_owned(),
            rule: "5".to_owned(),
            pattern,
        };
        let weeks = Weeks { from: 3, until: Some(4) };
        let events = [
            Event::Proposed(Box::new(proposal)),
            Event::Narrowed { weeks, reason: "one exchange".to_owned(), only },
        ];
        let at = Stamp { utc_ms: 0, boot_ms: 0, boot: "b".to_owned() };
        let events = events.map(|event| Stamped { at: at.clone(), by: "supervisor".to_owned(), event });
        fold("p-1", events).expect("it was proposed")
    }

    fn again(only: Vec<Condition>) -> Vec<String> {
        let line = |id: &str, tree: &str, finding: &str, week: u32, more: &str| {
            format!(
                "{{\"id\":\"{id}\",\"edition\":\"e\",\"tree\":\"{tree}\",\"call\":\"c\",\"answers\":{{\"first\":\"yes\"}},\
                 \"finding\":\"{finding}\",\"outcome\":\"stands\",\"called_at\":\"2026-05-09T19:42:11Z\",\
                 \"duration_s\":40,\"week\":{week}{more}}}\n"
            )
        };
        let lines = [
            line("too early", "blow", "exchange", 2, ""),
            line("it", "blow", "exchange", 3, ""),
            line("another finding", "blow", "answer", 3, ""),
            line("another question", "spot", "exchange", 3, ""),
            line("a second look", "blow", "exchange", 3, ",\"again_of\":\"it\""),
            line("too late", "blow", "exchange", 5, ""),
        ];
        let mut sample = Sample::default();
        audit::sample::read::json_lines(&mut sample, "x", lines.concat().as_bytes(), |_| {})
            .expect("records");
        let facts = AllFacts::of(&sample, &Editions::default());
        among_records(&precedent(only), &sample, &facts)
    }

    #[test]
    fn a_precedent_comes_again_where_it_is_in_force_and_its_facts_are_told() {
        let condition = |fact: &str, is: &str| vec![Condition { fact: fact.to_owned(), is: is.to_owned() }];
        assert_eq!(again(Vec::new()), ["it"]);
        assert_eq!(again(condition("first", "yes")), ["it"]);
        // No record tells whether it was late.
        assert!(again(condition("late", "yes")).is_empty());
    }

    #[test]
    fn the_page_tells_number_words_state_weeks_and_places() {
        let told = told(&precedent(Vec::new()), vec!["r-1/1".to_owned()]);
        let page = section(&[told]).into_string();
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
