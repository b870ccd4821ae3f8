//! Type to find: the question that is meant comes first, with the gate's answer.

use field::exact::Yards;
use proptest::prelude::*;
use proptest::sample::select;
use review::find::{Candidate, Sought, What, find};
use review::gate::{Gate, Initiator, Ruled, Stop};
use rules::book::{Book, load, shipped};
use rules::game::advance::{Start, opening};
use rules::game::situation::{End, Next, Situation, Team};
use testing::repeatable;

fn book(id: &str) -> Book {
    load::load(id, &shipped::sources(id).expect("it is in the program")).expect("it is sound")
}

fn at(book: &Book, period: u8, clock_s: i64) -> Situation {
    let next = Next::Scrimmage { down: 2, to_go: Yards::whole(7) };
    let begun = opening(book, Start { team: Team::Home, attacks: End::East });
    Situation { period, clock_ms: clock_s * 1000, next, spot: Yards::whole(20), ..begun }
}

const COACH: Initiator = Initiator::Coach(Team::Home);

fn sought<'a>(
    situation: &'a Situation,
    initiator: Initiator,
    ruled: &'a [Ruled],
    words: &'a str,
) -> Sought<'a> {
    Sought { situation, initiator, stop: Stop::BeforeNextSnap, ruled, words }
}

fn name<'b>(candidate: &Candidate<'b>) -> &'b str {
    match &candidate.what {
        What::Question { tree, .. } => &tree.id,
        What::Closed { name, .. } => name,
    }
}

fn first(book: &Book, words: &str) -> Option<String> {
    let situation = at(book, 2, 300);
    find(book, sought(&situation, COACH, &[], words)).first().map(|candidate| name(candidate).to_owned())
}

#[test]
fn a_question_is_found_by_title_plain_word_rule_and_call_whole_begun_or_mistyped() {
    let book = book("saltmarsh");
    for (words, expected) in [
        ("fumble", "down-or-fumble"),
        ("FUMB", "down-or-fumble"),
        ("fumbel", "down-or-fumble"),
        ("4.14", "catch-beyond-wall"),
        ("over the wall", "catch-beyond-wall"),
        ("catch gaol", "catch-goal-line"),
        ("roughing", "roughing-passer"),
        ("roughign passer", "roughing-passer"),
        ("too many", "too-many"),
        ("kick", "kick-good"),
        ("holding", "holding"),
        ("count of downs", "count of downs"),
    ] {
        assert_eq!(first(&book, words).as_deref(), Some(expected), "{words}");
    }
    for words in ["xyzzy", "fumble xyzzy", "qq"] {
        assert_eq!(first(&book, words), None, "{words}");
    }
}

#[test]
fn without_a_word_what_is_allowed_comes_first_and_nothing_is_missing_or_closed() {
    let book = book("saltmarsh");
    for (situation, initiator) in [
        (at(&book, 2, 300), COACH),
        (at(&book, 2, 30), COACH),
        (at(&book, 2, 30), Initiator::Booth),
        (at(&book, 5, 900), Initiator::Booth),
        (at(&book, 2, 300), Initiator::Referee),
    ] {
        let all = find(&book, sought(&situation, initiator, &[], ""));
        assert_eq!(all.len(), book.trees.len());
        let allowed: Vec<bool> = all.iter().map(Candidate::allowed).collect();
        assert!(allowed.is_sorted_by(|one, other| one >= other), "{initiator:?} {allowed:?}");
    }
    // Section 3.1: in the last minute of a half it is the booth's alone.
    let late = at(&book, 2, 30);
    assert!(!find(&book, sought(&late, COACH, &[], "")).iter().any(Candidate::allowed));
    // 4.26 is asked in the last minute, and only by the booth.
    assert_eq!(name(&find(&book, sought(&late, Initiator::Booth, &[], ""))[0]), "clock");
}

#[test]
fn a_ruled_score_or_turnover_brings_its_questions_to_the_front_for_the_booth() {
    let book = book("saltmarsh");
    let situation = at(&book, 2, 300);
    let front = |ruled: &[Ruled]| -> Vec<&str> {
        let all = find(&book, sought(&situation, Initiator::Booth, ruled, ""));
        all.iter().take_while(|candidate| candidate.allowed() && candidate.hints > 0).map(name).collect()
    };
    let score = front(&[Ruled::Score]);
    for id in ["catch-goal-line", "catch-beyond-wall", "line-reached"] {
        assert!(score.contains(&id), "{id}: {score:?}");
    }
    let turnover = front(&[Ruled::Turnover]);
    assert!(turnover.contains(&"down-or-fumble"), "{turnover:?}");
}

/// Section 3.8: nobody was flagged, and a review of this question may not create the foul; a flag may be reviewed.
#[test]
fn the_gate_says_of_each_call_whether_it_may_be_reviewed() {
    let book = book("saltmarsh");
    let situation = at(&book, 2, 300);
    let all = find(&book, sought(&situation, COACH, &[], "inside the alignment line"));
    let What::Question { tree, calls } = &all[0].what else { panic!("a question") };
    assert_eq!(tree.id, "inside-line");
    let said: Vec<(&str, bool)> = tree
        .calls
        .iter()
        .zip(calls)
        .map(|(call, gate)| (call.name.as_str(), matches!(gate, Gate::Allowed { .. })))
        .collect();
    assert_eq!(said, [("foul", true), ("none", false)]);
    let closed = find(&book, sought(&situation, COACH, &[], "holding"));
    let What::Closed { closed, .. } = &closed[0].what else { panic!("closed") };
    assert_eq!(closed.cite, "3.9");
}

/// Words of five letters or more that name a question.
fn long_words(book: &Book) -> Vec<(String, String)> {
    let of = |tree: &rules::book::tree::Tree| {
        let text = format!("{} {}", tree.title, tree.words.join(" "));
        let words = text.split(|c: char| !c.is_ascii_alphabetic()).filter(|word| word.len() >= 5);
        words.map(|word| (tree.id.clone(), word.to_lowercase())).collect::<Vec<_>>()
    };
    book.trees.iter().flat_map(of).collect()
}

proptest! {
    #![proptest_config(repeatable(300))]

    // PROPERTY: one slip in a long word still finds its question
    #[test]
    fn one_slip_in_a_long_word_still_finds_its_question(
        (tree, word) in select(long_words(&book("college"))), slip in 0usize..4, place in 0usize..40
    ) {
        let book = book("college");
        let mut letters: Vec<char> = word.chars().collect();
        let place = place % (letters.len() - 1);
        match slip {
            0 => { letters.remove(place); }
            1 => letters.insert(place, letters[place]),
            2 => letters[place] = 'q',
            _ => letters.swap(place, place + 1),
        }
        let typed: String = letters.into_iter().collect();
        let situation = at(&book, 2, 300);
        let all = find(&book, sought(&situation, COACH, &[], &typed));
        prop_assert!(all.iter().any(|candidate| name(candidate) == tree), "{word} as {typed}: {tree}");
    }
}
