//! Whether a sample can be drawn, and whether answers of a sheet may be entered.

use super::fold::Sheet;
use super::{Candidate, Entered, Event, Given, Looks, Wanted, draw, same_person};
use crate::event::ENGINE;
use crate::refusal::Refusal;
use std::collections::BTreeSet;

/// Draws the records that are wanted, in the order of their numbers on the sheet.
///
/// # Errors
/// [`Refusal`] if nothing is left to be drawn.
pub fn drawn(looks: &Looks, wanted: &Wanted) -> Result<Vec<String>, Refusal> {
    let Wanted { count, seed, question, official } = wanted;
    let fits = |one: &&Candidate| {
        question.as_ref().is_none_or(|question| *question == one.tree)
            && official.as_ref().is_none_or(|official| looks.kept_from(one, official).is_none())
    };
    let from: Vec<&Candidate> = looks.candidates.iter().filter(fits).collect();
    let records = draw(&from, *count, *seed);
    if records.is_empty() {
        let of = question.as_ref().map_or(String::new(), |question| format!(" of `{question}`"));
        return Err(no(
            format!("there is no ruled question{of} to look at again"),
            "a question needs a ruling, its marks, its official and an edition that is known",
        ));
    }
    Ok(records)
}

/// The events of a returned sheet, answered by `by`.
///
/// # Errors
/// Every [`Refusal`], each with its number on the sheet. Then nothing of the sheet is entered.
pub fn entered(
    looks: &Looks,
    sheet: &Sheet,
    by: &str,
    given: Vec<Given>,
) -> Result<Vec<Event>, Vec<Refusal>> {
    if given.is_empty() {
        return Err(vec![no("no question of the sheet is answered".to_owned(), "fill in an `answer`")]);
    }
    let (mut events, mut against, mut numbers) = (Vec::new(), Vec::new(), BTreeSet::new());
    for given in given {
        if !numbers.insert(given.number) {
            let twice = format!("number {} is on the sheet twice", given.number);
            against.push(no(twice, "answer each question once"));
            continue;
        }
        match one(looks, sheet, by, given) {
            Ok(event) => events.push(event),
            Err(no) => against.push(no),
        }
    }
    if against.is_empty() { Ok(events) } else { Err(against) }
}

fn one(looks: &Looks, sheet: &Sheet, by: &str, given: Given) -> Result<Event, Refusal> {
    let number = given.number;
    let known = sheet.record(number);
    let Some(first) = known.and_then(|record| looks.candidates.iter().find(|one| one.record == record))
    else {
        return Err(no(format!("the sheet has no number {number}"), "give the sheet back as it was drawn"));
    };
    if let Some(why) = looks.kept_from(first, by) {
        let because = match why {
            Kept::Own => format!("number {number} was ruled by {by}"),
            Kept::Before => format!("{by} has looked at number {number} again before"),
        };
        return Err(no(because, "leave its answers empty; draw the next sheet with --for and their name"));
    }
    if !given.found.settled {
        let open = given.next.map_or(String::new(), |step| format!(": `{step}` would settle it soonest"));
        return Err(no(
            format!("the answers to number {number} do not settle it yet{open}"),
            "answer on, with `unclear` for what the picture does not show, or empty all its answers",
        ));
    }
    let Given { answers, found, .. } = given;
    let record = first.record.clone();
    Ok(Event::Entered(Box::new(Entered { number, record, answers, engine: ENGINE, found })))
}

/// Why an official may not look at a question again.
enum Kept {
    /// They ruled on it.
    Own,
    /// They have looked at it again.
    Before,
}

impl Looks {
    fn kept_from(&self, one: &Candidate, official: &str) -> Option<Kept> {
        if same_person(&one.official, official) {
            return Some(Kept::Own);
        }
        let again = self.again.iter().filter(|(record, _)| *record == one.record);
        again.into_iter().any(|(_, by)| same_person(by, official)).then_some(Kept::Before)
    }
}

fn no(because: String, instead: &str) -> Refusal {
    Refusal { because, instead: instead.to_owned(), reason_carries: false }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::event::Found;
    use crate::stance::Outcome;
    use std::collections::BTreeMap;

    fn looks() -> Looks {
        let one = |record: &str, tree: &str, official: &str| Candidate {
            record: record.to_owned(),
            tree: tree.to_owned(),
            official: official.to_owned(),
        };
        Looks {
            candidates: vec![
                one("a", "spot", "booth-01"),
                one("b", "catch", "booth-02"),
                one("c", "catch", "booth-03"),
            ],
            again: BTreeSet::from([("c".to_owned(), "booth-01".to_owned())]),
        }
    }

    fn given(number: u32, settled: bool) -> Given {
        let found = Found {
            tree: "catch".to_owned(),
            call: "complete".to_owned(),
            possible: vec!["complete".to_owned()],
            finding: Some("complete".to_owned()),
            outcome: Outcome::Confirmed,
            label: "confirmed".to_owned(),
            established: true,
            settled,
            moot: false,
        };
        Given { number, answers: BTreeMap::new(), found, next: (!settled).then(|| "control".to_owned()) }
    }

    fn wanted(question: Option<&str>, official: Option<&str>) -> Wanted {
        let own = |text: Option<&str>| text.map(str::to_owned);
        Wanted { count: 9, seed: 1, question: own(question), official: own(official) }
    }

    #[test]
    fn nobody_is_drawn_what_they_ruled_or_have_looked_at_again() {
        let of = |question, official| {
            let records = drawn(&looks(), &wanted(question, official)).map_err(|no| no.because);
            records.map(BTreeSet::from_iter)
        };
        let set = |all: &[&str]| Ok(all.iter().map(|one| (*one).to_owned()).collect::<BTreeSet<_>>());
        assert_eq!(of(None, None), set(&["a", "b", "c"]));
        assert_eq!(of(None, Some("Booth 1")), set(&["b"]));
        assert_eq!(of(Some("catch"), Some("booth 2")), set(&["c"]));
        let refused = of(Some("spot"), Some("booth 1"));
        assert_eq!(refused, Err("there is no ruled question of `spot` to look at again".to_owned()));
    }

    #[test]
    fn everything_against_a_sheet_is_said_at_once_and_nothing_of_it_is_entered() {
        let sheet = Sheet { records: ["a", "b", "c"].map(str::to_owned).to_vec(), entered: Vec::new() };
        let all = [given(1, true), given(2, false), given(3, true), given(2, true), given(4, true)];
        let against = entered(&looks(), &sheet, "booth 1", all.to_vec()).expect_err("none fits");
        let because: Vec<&str> = against.iter().map(|no| no.because.as_str()).collect();
        let said = [
            "number 1 was ruled by booth 1",
            "the answers to number 2 do not settle it yet: `control` would settle it soonest",
            "booth 1 has looked at number 3 again before",
            "number 2 is on the sheet twice",
            "the sheet has no number 4",
        ];
        assert_eq!(because, said);
        let events = entered(&looks(), &sheet, "booth 1", vec![given(2, true)]).expect("it fits");
        let Given { answers, found, .. } = given(2, true);
        let fits = Entered { number: 2, record: "b".to_owned(), answers, engine: ENGINE, found };
        assert_eq!(events, [Event::Entered(Box::new(fits))]);
        assert!(entered(&looks(), &sheet, "booth 1", Vec::new()).is_err());
    }
}
