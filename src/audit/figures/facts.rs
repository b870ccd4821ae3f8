//! What a ruling rested on: the answers on the path through the tree, and the outcome that they give.
//!
//! A million records hold a few thousand sets of answers. Each is walked and settled once, under the edition in which
//! it was given. Where that edition is not known, all answers count as facts and nothing is worked out again.

use crate::sample::Sample;
use crate::sample::editions::Editions;
use crate::sample::interner::{Interner, List, Name};
use crate::sample::row::{OR, Row};
use foldhash::HashMap;
use formats::settle::{Answer, read, write};
use review::gate::known;
use review::ruling::{flag_on, label};
use review::settle::{Answers, settle};
use review::stance::{Called, Stance};
use rules::book::Book;
use rules::book::effect::Part;
use rules::book::tree::{Set, Target, Tree};
use rules::game::play::Flag;
use std::collections::BTreeMap;

/// The facts that records rest on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Facts {
    /// The edition, or the first one that has the same rules for the question.
    pub rules: Name,
    pub question: Question,
    /// Step and answer, in the order of the walk; by step where the edition is not known.
    pub path: Vec<(Name, String)>,
    /// The outcome that the edition gives, or those that it may give where the record does not say on whom a flag
    /// was; nothing where it is not known or does not know the answers.
    pub computed: Option<Vec<String>>,
}

/// A question as it was asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Question {
    pub tree: Name,
    pub call: Name,
    pub whistle: Option<Name>,
    /// On whom the flag is, where the call depends on that.
    pub flag_on: Option<Part>,
}

/// The facts of all records of a sample.
#[derive(Debug, Default)]
pub struct AllFacts {
    pub all: Vec<Facts>,
    /// For each record its facts, as a place in `all`.
    pub of_row: Vec<u32>,
}

/// The key of one set of answers.
type Given = (Name, Question, List, List);

/// An edition and a question with the answers on its path.
type Path = (Name, Question, Vec<(Name, String)>);

impl AllFacts {
    /// The facts of every record.
    pub fn of(sample: &Sample, editions: &Editions) -> AllFacts {
        let mut facts = AllFacts { all: Vec::new(), of_row: Vec::with_capacity(sample.rows.len()) };
        let mut by_answers: HashMap<Given, u32> = HashMap::default();
        let mut by_path: BTreeMap<Path, u32> = BTreeMap::new();
        for row in &sample.rows {
            let question = Question { tree: row.tree, call: row.call, whistle: row.whistle, flag_on: None };
            let given = (row.edition, question, row.flags, row.answers);
            let place = *by_answers.entry(given).or_insert_with(|| {
                let found = one(row, question, &sample.interner, editions);
                let key = (found.rules, found.question, found.path.clone());
                *by_path.entry(key).or_insert_with(|| {
                    facts.all.push(found);
                    u32::try_from(facts.all.len() - 1).expect("fewer facts than 2^32 records have room for")
                })
            });
            facts.of_row.push(place);
        }
        facts
    }

    /// The facts of a record.
    pub fn of_row(&self, row: usize) -> &Facts {
        &self.all[self.of_row[row] as usize]
    }
}

impl Facts {
    /// The answer to a step, if it is on the path.
    pub fn answer(&self, step: Name) -> Option<&str> {
        self.path.iter().find(|(known, _)| *known == step).map(|(_, answer)| answer.as_str())
    }

    /// Whether two rulings on them can be compared: not where a flag that the record does not hold may have decided.
    pub(crate) fn comparable(&self) -> bool {
        self.computed.as_ref().is_none_or(|computed| computed.len() < 2)
    }

    /// Whether an outcome is what the edition gives; `None` where that is not known.
    pub fn gives(&self, outcome: &str) -> Option<bool> {
        self.computed.as_ref().map(|computed| computed.iter().any(|known| known == outcome))
    }
}

/// Whether two answers exclude each other: they share no option.
pub fn contradict(one: &str, other: &str) -> bool {
    let every = |answer: &str| answer == "unclear";
    !every(one) && !every(other) && !one.split(OR).any(|option| other.split(OR).any(|also| also == option))
}

fn one(row: &Row, question: Question, interner: &Interner, editions: &Editions) -> Facts {
    let names = &interner.names;
    let known = editions.book(row.edition).and_then(|book| worked_out(row, interner, book));
    let (path, computed, flag_on) = match known {
        Some(Worked { path, computed, flag_on }) => (path, Some(computed), flag_on),
        None => {
            let as_given = interner
                .answers
                .get(row.answers)
                .iter()
                .map(|(step, answer)| (*step, names.text(*answer).to_owned()));
            let mut path: Vec<(Name, String)> = as_given.collect();
            path.sort();
            (path, None, None)
        }
    };
    Facts {
        rules: editions.alike(row.edition, names.text(row.tree)),
        question: Question { flag_on, ..question },
        path,
        computed,
    }
}

/// What an edition makes of a record's answers.
struct Worked {
    path: Vec<(Name, String)>,
    computed: Vec<String>,
    flag_on: Option<Part>,
}

fn worked_out(row: &Row, interner: &Interner, book: &Book) -> Option<Worked> {
    let names = &interner.names;
    let known = known(book, names.text(row.tree), names.text(row.call)).ok()?;
    let tree = known.tree;
    let given = interner.answers.get(row.answers).iter().map(|(step, answer)| {
        let text = names.text(*answer);
        let answer = match text.contains(OR) {
            true => Answer::Some(text.split(OR).map(str::to_owned).collect()),
            false => Answer::One(text.to_owned()),
        };
        (names.text(*step).to_owned(), answer)
    });
    let answers = read(tree, &given.collect()).ok()?;
    let path = path(tree, &answers).into_iter().filter_map(|step| {
        let answer = match write(tree, step, answers.get(step)?) {
            Answer::One(option) => option,
            Answer::Some(options) => options.join(&OR.to_string()),
        };
        Some((names.get(&tree.steps[step].name)?, answer))
    });
    let path = path.collect();
    let flag = |(name, by): &(Name, Part)| {
        let name = names.text(*name).to_owned();
        Flag { name, by: *by, spot: None, dead: false, clock_ms: None }
    };
    let flags: Vec<Flag> = interner.flags.get(row.flags).iter().map(flag).collect();
    let depends = tree.depends_on_flag(known.call);
    let flag_on = flag_on(tree, &flags).filter(|_| depends);
    // Where the call depends on a flag that the record does not hold, either may be right.
    let on = match flag_on {
        None if depends => vec![None, Some(Part::Offense), Some(Part::Defense)],
        known => vec![known],
    };
    let completions = completions(tree, &answers);
    let mut computed: Vec<String> = on
        .into_iter()
        .flat_map(|flag_on| {
            let called = Called { call: known.call, whistled: row.whistle.is_some(), flag_on };
            let stance = Stance::new(tree, called, book.replay.unproven);
            let outcome = |answers| label(book, settle(&stance, answers).now.outcome).to_owned();
            completions.iter().map(outcome).collect::<Vec<_>>()
        })
        .collect();
    computed.sort();
    computed.dedup();
    Some(Worked { path, computed, flag_on })
}

/// The answers, with everything that the situation may have answered of the steps that were not asked: rows do not keep
/// it.
fn completions(tree: &Tree, answers: &Answers) -> Vec<Answers> {
    let steps = tree.steps.iter().enumerate();
    let unasked = steps.filter(|(index, step)| !step.known.is_empty() && answers.get(*index).is_none());
    unasked.fold(vec![answers.clone()], |all, (index, step)| {
        let known = all.iter().flat_map(|answers| {
            step.known.iter().map(move |known| {
                let mut known_too = answers.clone();
                known_too.set(index, known.answers);
                known_too
            })
        });
        let known: Vec<Answers> = known.collect();
        all.into_iter().chain(known).collect()
    })
}

/// The answered steps that can be reached from the start, in the order of the walk.
fn path(tree: &Tree, answers: &Answers) -> Vec<usize> {
    let (mut seen, mut path, mut open) =
        (Set::EMPTY, Vec::new(), std::collections::VecDeque::from([tree.start]));
    while let Some(step) = open.pop_front() {
        if seen.has(step) {
            continue;
        }
        seen = seen.with(Set::one(step));
        let given = answers.get(step);
        path.extend(given.map(|_| step));
        for option in given.unwrap_or(tree.steps[step].every()).iter() {
            if let Target::Step(next) = tree.steps[step].options[option].to {
                open.push_back(next);
            }
        }
    }
    path
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample::read::json_lines;
    use log::chain::edition::RuleText;
    use rules::book::shipped;
    use serde_json::{Value, json};

    fn sample(records: &[Value]) -> Sample {
        let mut sample = Sample::default();
        let lines: Vec<String> = records.iter().map(Value::to_string).collect();
        json_lines(&mut sample, "x", lines.join("\n").as_bytes(), |_| {}).expect("records");
        sample
    }

    fn record(edition: &str, answers: Value) -> Value {
        json!({"id": "r", "edition": edition, "tree": "inside-line", "call": "foul", "answers": answers,
            "outcome": "reversed", "called_at": "2026-05-09T19:42:11Z", "duration_s": 1})
    }

    #[test]
    fn answers_off_the_path_are_no_facts_and_the_edition_says_the_outcome() {
        let text = RuleText::of("saltmarsh", &shipped::sources("saltmarsh").expect("it is in the program"));
        let own = text.hash().to_string();
        let sample = sample(&[
            record(&own, json!({"toes": "yes"})),
            record(&own, json!({"toes": "yes", "facing": "no"})),
            record(&own, json!({"toes": "no", "facing": "no"})),
            record(&own, json!({"toes": ["no", "yes"], "facing": "no"})),
            record(&own, json!({"hands": "no"})),
            record("another", json!({"toes": "yes", "facing": "no"})),
        ]);
        let editions = Editions::of(&sample, &[]).expect("no log to read");
        let facts = AllFacts::of(&sample, &editions);
        assert_eq!(facts.of_row[0], facts.of_row[1]);
        let gives: Vec<Option<bool>> = (1..6).map(|row| facts.of_row(row).gives("reversed")).collect();
        assert_eq!(gives, [Some(true), Some(false), Some(false), None, None]);
        let path = |row: usize| {
            let named = |(step, answer): &(Name, String)| format!("{} {answer}", sample.text(*step));
            facts.of_row(row).path.iter().map(named).collect::<Vec<_>>().join(", ")
        };
        assert_eq!([path(0), path(3)], ["toes yes", "toes unclear, facing no"]);
        assert_eq!(path(5).matches("facing no").count(), 1);
    }

    #[test]
    fn answers_contradict_only_when_no_option_is_left_in_both() {
        for (one, other, expected) in [
            ("yes", "no", true),
            ("yes", "yes", false),
            ("yes", "unclear", false),
            ("home|away", "none", true),
            ("home|away", "away", false),
        ] {
            assert_eq!(contradict(one, other), expected, "{one} {other}");
        }
    }
}
