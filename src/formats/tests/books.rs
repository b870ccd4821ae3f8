//! The books inside the program: sound, and every case play of theirs agrees.

use formats::case::CasePlay;
use formats::case::expect::differences;
use formats::case::result::Result as CaseResult;
use formats::read::{Form, read};
use review::case::play;
use rules::book::edition::CASES;
use rules::book::load::load;
use rules::book::text::Sources;
use rules::book::tree::{OnCall, Tree};
use rules::book::{Book, shipped};
use std::collections::BTreeSet;

fn book(name: &str) -> (Sources, Book) {
    let sources = shipped::sources(name).expect("it ships");
    let book = load(name, &sources).unwrap_or_else(|faults| {
        let lines: Vec<String> = faults.iter().map(|fault| fault.line(&sources)).collect();
        panic!("{name}:\n{}", lines.join("\n"))
    });
    (sources, book)
}

/// Every case play of a book; a fault of its file with the place.
fn cases(sources: &Sources) -> Vec<(String, CasePlay)> {
    let mut cases = Vec::new();
    for file in sources.files().iter().filter(|file| file.path.starts_with(CASES)) {
        let form = if file.path.ends_with(".ron") { Form::Ron } else { Form::Json };
        let list: Vec<CasePlay> =
            read(&file.text, form).unwrap_or_else(|fault| panic!("{}:{fault}", file.path));
        cases.extend(list.into_iter().map(|case| (file.path.clone(), case)));
    }
    cases
}

/// What a case play comes to, or why it cannot be played.
fn result(book: &Book, case: &CasePlay) -> Result<CaseResult, String> {
    let read = case.read(book).map_err(|wrong| wrong.to_string())?;
    let played = play(book, &read).map_err(|unknown| unknown.to_string())?;
    Ok(CaseResult::of(book, &read, &played))
}

// PROPERTY: every shipped book is sound and agrees with its case plays
// PROPERTY: the books are sound and agree with their case plays
#[test]
fn every_book_is_sound_and_every_case_play_agrees() {
    let mut wrong = Vec::new();
    for name in shipped::names() {
        let (sources, book) = book(name);
        let mut ids = BTreeSet::new();
        for (file, case) in cases(&sources) {
            let differs = match result(&book, &case) {
                Ok(result) => {
                    differences(&case.expect, &result).into_iter().chain(case.notes(&book)).collect()
                }
                Err(error) => vec![error],
            };
            let twice = !ids.insert(case.id.clone());
            let also = [(twice, "its id stands twice")];
            let also = also.into_iter().filter(|(is, _)| *is).map(|(_, what)| what.to_owned());
            wrong.extend(
                differs.into_iter().chain(also).map(|line| format!("{name}/{file}: {}: {line}", case.id)),
            );
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The labels that a question of this book can end with.
fn can_have(book: &Book, tree: &Tree) -> BTreeSet<String> {
    let labels = &book.replay.labels;
    let on =
        |wanted: fn(&OnCall) -> bool| tree.findings.iter().any(|finding| finding.on.values().any(wanted));
    let confirmed = on(|on| matches!(on, OnCall::Agrees { .. } | OnCall::AgreesIfOn { .. }));
    let reversed = on(|on| matches!(on, OnCall::Changes { .. } | OnCall::AgreesIfOn { .. }));
    // Doubt between findings that agree and findings that change leaves a call as it is.
    let stands = confirmed && reversed;
    [(confirmed, &labels.confirmed), (stands, &labels.stands), (reversed, &labels.reversed)]
        .into_iter()
        .filter(|(can, _)| *can && tree.refused.is_none())
        .map(|(_, label)| label.clone())
        .collect()
}

// PROPERTY: every question has a case play for every outcome
#[test]
fn every_question_has_a_case_play_for_every_outcome_that_it_can_have() {
    let mut missing = Vec::new();
    for name in shipped::names() {
        let (sources, book) = book(name);
        let mut shown: BTreeSet<(String, String)> = BTreeSet::new();
        for (_, case) in cases(&sources) {
            let trees = case.questions.iter().map(|question| question.tree.clone());
            match case.expect.outcomes {
                Some(outcomes) => shown.extend(trees.zip(outcomes)),
                None => shown.extend(trees.map(|tree| (tree, "refused".to_owned()))),
            }
        }
        for tree in &book.trees {
            let mut wanted = can_have(&book, tree);
            if tree.refused.is_some() {
                wanted.insert("refused".to_owned());
            }
            let lacks = wanted.into_iter().filter(|label| !shown.contains(&(tree.id.clone(), label.clone())));
            missing
                .extend(lacks.map(|label| format!("{name}: `{}` has no case play that is {label}", tree.id)));
        }
    }
    assert!(missing.is_empty(), "{}", missing.join("\n"));
}
