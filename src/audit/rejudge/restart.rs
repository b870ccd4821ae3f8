//! The restart of a record under another edition. A record does not hold how the crew had the play end, so the restart
//! is compared only where the record's own edition gives the record's own restart again.

use super::derive::Editions;
use super::facts::Facts;
use super::{Read, as_given};
use formats::figure::milliseconds;
use formats::rejudge::Moved;
use formats::situation;
use review::gate::{Entry, Initiator};
use review::ruling::{Question, flag_on, rule};
use review::settle::Answers;
use rules::book::Book;
use rules::book::tree::Tree;
use rules::game::play::Play;
use rules::game::situation::Situation;
use serde_json::Value;

/// What differs in the restart under the new edition.
pub(super) fn moved(editions: Editions<'_>, facts: &Facts, now: &Read<'_>) -> Option<Moved> {
    let old = editions.old.filter(|old| old.edition != editions.new.edition)?;
    if !now.settled.restart {
        return None;
    }
    let was = facts.after.as_ref()?.whole()?.read().ok()?;
    let tree = old.tree(&facts.tree)?;
    let again = after(old, facts, tree, as_given(tree, facts))?;
    if again != was {
        return None;
    }
    let after = after(editions.new, facts, now.tree, now.answers.clone())?;
    // Hardly one of a million records moves: only those are put into words.
    if after == was {
        return None;
    }
    let differs = differs(&was, &after);
    (!differs.is_empty()).then(|| Moved { id: facts.id.clone(), differs })
}

/// The situation that the record's answers lead to; `None` where something is still open.
fn after(book: &Book, facts: &Facts, tree: &Tree, answers: Answers) -> Option<Situation> {
    let at_snap = facts.at_snap()?;
    at_snap.possible(&book.field, &book.game).ok()?;
    let call = tree.call(&facts.call)?;
    let question = Question {
        tree,
        call,
        whistle: facts.whistle.clone(),
        ruled: Vec::new(),
        entry: Entry::Challenged,
        flag_on: flag_on(tree, &facts.flags()),
        answers,
    };
    let mut play = Play { flags: facts.flags(), ..Play::default() };
    for mark in &facts.marks {
        let moment = play.moments.entry(mark.moment.clone()?).or_default();
        moment.x = mark.x.map(|x| x.0).or(moment.x);
        moment.clock_ms = mark.clock_s.map(milliseconds).or(moment.clock_ms);
    }
    let initiator = Initiator::from(facts.initiator?);
    let ruling = rule(book, at_snap, initiator, &[question], &play);
    ruling.restart.open.is_empty().then_some(ruling.restart.after)
}

/// Field by field, with the names of the format.
fn differs(was: &Situation, now: &Situation) -> Vec<String> {
    let written = |of: &Situation| serde_json::to_value(situation::Situation::from(of)).ok();
    let (Some(Value::Object(was)), Some(Value::Object(now))) = (written(was), written(now)) else {
        return Vec::new();
    };
    let names: std::collections::BTreeSet<&String> = was.keys().chain(now.keys()).collect();
    let of = |fields: &serde_json::Map<String, Value>, name: &str| {
        fields.get(name).map_or("none".to_owned(), |value| value.to_string().replace('"', ""))
    };
    let differing = names.into_iter().filter(|name| was.get(*name) != now.get(*name));
    differing.map(|name| format!("{name}: {}, was {}", of(&now, name), of(&was, name))).collect()
}
