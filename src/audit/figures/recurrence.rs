//! Where the facts of a precedent recur among records.
//!
//! A record holds the question, call, finding, answers and down of a case. A precedent that was narrowed to any other
//! fact recurs in none.

use crate::figures::facts::AllFacts;
use crate::sample::Sample;
use crate::sample::interner::Name;
use crate::sample::row::Row;
use review::precedent::fold::Precedent;
use review::precedent::pattern::Pattern;

/// The ids of the rulings that the precedent applied to, in the order of the sample.
pub fn recurrences(precedent: &Precedent, sample: &Sample, facts: &AllFacts) -> Vec<String> {
    // Without a question it can recur only in another ruling of a referee.
    let Some(question) = precedent.proposal.pattern.question.as_deref() else { return Vec::new() };
    let tree = sample.name(question);
    let rows = sample.rows.iter().enumerate().filter(|(_, row)| Some(row.tree) == tree && row.is_ruling());
    let again = rows.filter(|(at, row)| precedent.recurs(&case(sample, facts, (*at, row)), row.week));
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sample::editions::Editions;
    use crate::sample::read::json_lines;
    use review::precedent::Condition;
    use testing::precedents::exchange;

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
        json_lines(&mut sample, "x", lines.concat().as_bytes(), |_| {}).expect("records");
        let facts = AllFacts::of(&sample, &Editions::default());
        recurrences(&exchange("Two punches", only), &sample, &facts)
    }

    #[test]
    fn a_precedent_comes_again_where_it_is_in_force_and_its_facts_are_told() {
        let condition = |fact: &str, is: &str| vec![Condition { fact: fact.to_owned(), is: is.to_owned() }];
        assert_eq!(again(Vec::new()), ["it"]);
        assert_eq!(again(condition("first", "yes")), ["it"]);
        // No record holds whether it was late.
        assert!(again(condition("late", "yes")).is_empty());
    }
}
