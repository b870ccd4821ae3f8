//! The page on writing rule books is true: its question and its worked example work in a copy of a shipped book.

use formats::case::CasePlay;
use formats::case::expect::differences;
use formats::case::result::Result as CaseResult;
use formats::read::{Form, read};
use review::case::play;
use rules::book::load::load;
use rules::book::shipped;
use rules::book::text::{Source, Sources};

const PAGE: &str = include_str!("../../../docs/rule-books.md");

/// The RON blocks of the page, in its order.
fn blocks() -> Vec<&'static str> {
    let after = PAGE.split("```ron\n").skip(1);
    after.filter_map(|block| block.split_once("```").map(|(text, _)| text)).collect()
}

// PROPERTY: the page on writing a book works as printed
#[test]
fn a_question_and_a_case_copied_from_the_page_work_in_a_copy_of_the_book() {
    let blocks = blocks();
    let [question, line, case] = blocks.as_slice() else { panic!("the page has three examples") };
    let shipped = shipped::sources("saltmarsh").expect("the book is inside the program");
    let mut files = shipped.files().to_vec();
    for file in &mut files {
        if file.path == "book.ron" {
            let flat: String = line.split_whitespace().collect();
            let book: String = file.text.split_whitespace().collect();
            assert!(book.contains(&flat), "the line on the page is the shipped one");
            file.text = file.text.replacen("questions: [", "questions: [\"far-wall\", ", 1);
        }
    }
    files.push(Source { path: "far-wall.ron".to_owned(), text: (*question).to_owned() });
    let sources = Sources::new(files);
    let book = load("my-league", &sources).unwrap_or_else(|faults| {
        let lines: Vec<String> = faults.iter().map(|fault| fault.line(&sources)).collect();
        panic!("{}", lines.join("\n"))
    });
    let written: CasePlay = read(case, Form::Ron).expect("the example is a case play");
    let case = written.read(&book).expect("its names are the book's");
    let played = play(&book, &case).expect("it can be run");
    let result = CaseResult::of(&book, &case, &played);
    assert_eq!(differences(&written.expect, &result), Vec::<String>::new());
}

#[test]
fn every_word_that_a_book_can_use_is_on_the_page() {
    for word in [
        "PreviousSpot",
        "SpotAt",
        "SpotAtOrBehind",
        "NextDown",
        "RepeatDown",
        "FirstDown",
        "TurnOver",
        "Touchback",
        "KickFails",
        "Score",
        "ClockAt",
        "DeadBy",
        "PlayCounts",
        "Foul",
        "Discretion",
        "Seen",
        "Order",
        "Gap",
        "Position",
        "Count",
        "Never",
        "Judgement",
        "FullSpeed",
        "Slow",
        "FrameByFrame",
        "agrees",
        "agrees_if_on",
        "effects",
        "after_whistle",
        "barred",
        "includes",
        "dead_at",
        "unmarked",
        "creates_foul",
        "safety",
        "booth_only",
        "booth_creates",
        "closed_when",
        "must_be_proven",
        "booth_on",
        "guide_s",
        "run_off",
        "timeout_until_snap",
        "touchback_free_kick",
        "SnapInside",
        "SnapOutside",
        "BeyondScrimmage",
        "Sides",
        "Marked",
        "goes_first",
    ] {
        assert!(PAGE.contains(word), "{word}");
    }
}
