//! The referee's own ruling, by keys: from a review, and between plays.

use super::desk::Desk;
use super::drawn::simulated;
use crate::booth::{Message, Screen, brought};
use crate::keys::{Cap, ctrl, letter, plain, shift};
use crate::theme::Light;
use log::exchange::records;
use log::store::verify;
use log::streams::precedents::Precedents;
use log::streams::{days, discretions};
use review::discretion::fold::Phase;
use review::precedent::fold::Status;

/// A walk up to the last answer: two blows of one exchange that the offense began, ruled a foul on both.
pub(super) fn exchange(folder: &std::path::Path) -> Desk {
    let mut desk = Desk::asked(folder, "blow-and-answer", "foul on both");
    desk.type_in("o10 4:37.4");
    desk.press_all(&[letter('a'), letter('l'), letter('n'), letter('l'), letter('m')]);
    desk.type_in("411704");
    desk.press_all(&[plain(Cap::Digit(4)), letter('l'), letter('m')]);
    desk.type_in("411705");
    desk.press(letter('m'));
    desk.type_in("411709");
    desk.press_all(&[letter('y'), letter('l'), letter('y')]);
    desk
}

fn message(desk: &Desk) -> String {
    match desk.screen() {
        Screen::Referee(screen) => screen.shown().unwrap_or("").to_owned(),
        _ => panic!("{} is open", desk.title()),
    }
}

#[test]
fn a_review_that_the_book_leaves_open_is_ruled_by_the_referee_and_taken_over() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = exchange(folder.path());
    desk.press(plain(Cap::Enter));
    assert_eq!(desk.title(), "ruling");
    desk.press(letter('r'));
    assert_eq!(desk.title(), "the referee's own ruling");
    let Screen::Referee(screen) = desk.screen() else { panic!("their screen is open") };
    assert_eq!(screen.sheet().phase, Phase::Safety);
    assert_eq!(screen.sheet().facts.len(), 4, "what the review found is filled in");
    assert_eq!((screen.remedy(), &screen.sheet().chosen), (None, &None), "nothing is chosen for them");
    // Safety cannot be skipped.
    desk.press(letter('l'));
    desk.type_in("5");
    assert!(message(&desk).starts_with("safety comes first"), "{}", message(&desk));
    desk.press_all(&[plain(Cap::Escape), letter('y')]);
    desk.type_in("the runner");
    desk.press(letter('k'));
    assert!(message(&desk).starts_with("someone is at risk"), "{}", message(&desk));
    // The desk is killed and goes on where it was.
    let mut desk = desk.reopened();
    assert_eq!(desk.title(), "the referee's own ruling");
    desk.press_all(&[letter('n'), letter('b')]);
    desk.type_in("it has no finding for one exchange");
    desk.press_all(&[plain(Cap::Digit(1)), letter('y')]);
    desk.press(plain(Cap::Enter));
    assert!(message(&desk).starts_with("no remedy is selected"), "{}", message(&desk));
    // It lifts both fouls, which protect players: the line for the reason opens.
    desk.press_all(&[plain(Cap::Down), plain(Cap::Enter)]);
    assert!(message(&desk).starts_with("it would shorten `blow`"), "{}", message(&desk));
    desk.type_in("a foul would pay the side that began it");
    desk.press(letter('l'));
    desk.type_in("5");
    desk.press(letter('w'));
    desk.type_in("The play stands. Nobody is sent off.");
    desk.press(ctrl(Cap::Enter));
    assert!(message(&desk).starts_with("it has not been read back"), "{}", message(&desk));
    desk.press_all(&[letter('k'), ctrl(Cap::Enter), letter('p')]);
    desk.type_in("two punches of one exchange");
    desk.press(plain(Cap::Enter));
    assert_eq!(desk.title(), "review", "what they ruled is the restart of the review");
    desk.press(plain(Cap::Enter));
    desk.sign_and_go_on();
    assert_eq!(desk.title(), "between plays");
    // Section 1 by hand: 4 and 1.5 at 38.5, stopped at 40: first and 10 there, with 4:37.4.
    let day = days::last_open(&desk.reader()).expect("read").expect("it is open").day();
    let at = day.situation().expect("it goes on");
    assert_eq!((at.spot.as_f64(), at.clock_ms), (40.0, 277_400));
    assert!(matches!(at.next, rules::game::situation::Next::Scrimmage { down: 1, .. }), "{at:?}");
    let record =
        serde_json::to_value(&records::own(&desk.reader()).expect("records")[0]).expect("it is JSON");
    assert!(record["overrides"].to_string().contains("the referee's own ruling d-"), "{record}");
    let held = discretions::Held::all(&desk.reader()).expect("read");
    assert_eq!(held.len(), 1);
    assert_eq!(held[0].ruling().phase, Phase::Signed);
    let precedents = Precedents::read(&desk.reader()).expect("read");
    assert_eq!(precedents.all.iter().map(|one| one.status()).collect::<Vec<_>>(), [Status::Proposed]);
    let verdict = verify::verify(&desk.unverified(), &verify::Trust::OwnKeys, None).expect("read");
    assert!(matches!(verdict, verify::Verdict::Whole(_)), "{verdict:?}");
}

#[test]
fn between_plays_the_referee_rules_about_the_newest_one_and_can_leave_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = exchange(folder.path());
    desk.press(plain(Cap::Enter));
    assert_eq!(desk.title(), "ruling");
    desk.press(letter('r'));
    desk.press(plain(Cap::Escape));
    assert_eq!(desk.title(), "review", "left, it stays as it is");
    desk.press_all(&[plain(Cap::Enter), letter('r')]);
    assert_eq!(
        discretions::Held::all(&desk.reader()).expect("read").len(),
        1,
        "the same one is gone on with"
    );
    desk.press(letter('x'));
    desk.type_in("called by mistake");
    desk.press(plain(Cap::Enter));
    desk.press(letter('x'));
    desk.type_in("nothing to see");
    desk.press_all(&[ctrl(Cap::Enter), plain(Cap::Enter)]);
    assert_eq!(desk.title(), "between plays");
    desk.press(letter('d'));
    desk.type_in("o5 4:30");
    desk.press(shift(Cap::Letter('r')));
    assert_eq!(desk.title(), "a play for the referee");
    desk.press(plain(Cap::Enter));
    assert_eq!(desk.title(), "the referee's own ruling");
    let Screen::Referee(screen) = desk.screen() else { panic!("their screen is open") };
    let names: Vec<&str> = screen.sheet().offers.iter().map(|offer| offer.name.as_str()).collect();
    assert_eq!(names, ["the play stands, no foul", "the down is played again"]);
    desk.press_all(&[letter('n'), letter('f')]);
    desk.type_in("helmet: it lay on the field");
    desk.press(letter('b'));
    desk.type_in("no question is about it");
    desk.press_all(&[
        plain(Cap::Digit(3)),
        plain(Cap::Down),
        plain(Cap::Down),
        plain(Cap::Enter),
        letter('l'),
    ]);
    desk.type_in("5");
    desk.press(letter('w'));
    desk.type_in("The down is played again.");
    desk.press_all(&[letter('k'), ctrl(Cap::Enter), plain(Cap::Enter)]);
    assert_eq!(desk.title(), "between plays");
    let day = days::last_open(&desk.reader()).expect("read").expect("it is open").day();
    let at = day.situation().expect("it goes on");
    // The down again: fourth and 1.5 at 38.5.
    assert_eq!(at.spot.as_f64(), 38.5);
}

/// A coach asks about a play that nobody flagged, after the next one was snapped.
#[test]
fn any_play_of_the_log_can_be_brought_to_the_referee() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = Desk::new(folder.path());
    desk.walk();
    desk.press(plain(Cap::Enter));
    desk.sign_and_go_on();
    for line in ["o20 4:30", "o22 4:20", "o18 4:10"] {
        desk.press(letter('d'));
        desk.type_in(line);
    }
    let now = desk.in_game().game.situation();
    desk.press_all(&[plain(Cap::F(3)), plain(Cap::Home), shift(Cap::Letter('r'))]);
    assert_eq!(desk.title(), "the log of the game", "the first entry is about no play");
    desk.press_all(&[plain(Cap::End), plain(Cap::Up), plain(Cap::Up), shift(Cap::Letter('r'))]);
    assert_eq!(desk.title(), "a play for the referee");
    desk.press(plain(Cap::Enter));
    assert_eq!(desk.title(), "the referee's own ruling");
    let held = &discretions::Held::all(&desk.reader()).expect("read")[0];
    let opened = held.ruling().opened.clone().expect("it is open");
    let since = opened.ground.since.expect("it comes from the day");
    assert_eq!(
        (since.coming - since.play, opened.ground.end.map(|end| end.clock_ms)),
        (3, Some(Some(270_000)))
    );
    // Another one waits until this one is over.
    desk.press_all(&[plain(Cap::Escape), plain(Cap::F(3)), plain(Cap::End), shift(Cap::Letter('r'))]);
    assert_eq!(desk.title(), "the log of the game");
    assert_eq!(discretions::Held::all(&desk.reader()).expect("read").len(), 1);
    assert_eq!(desk.in_game().game.situation(), now, "the game goes on as it is");
}

/// A coach asks about a blow that nobody flagged: the question is found by typing, the remedies are those of the question,
/// and the screen names it.
// PROPERTY: a play is brought to the referee with its question, found by typing
#[test]
fn a_play_is_brought_to_the_referee_with_its_question() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = Desk::new(folder.path());
    desk.walk();
    desk.press(plain(Cap::Enter));
    desk.sign_and_go_on();
    desk.press(letter('d'));
    desk.type_in("o20 4:30");
    let entries = desk.entries();
    desk.press(shift(Cap::Letter('r')));
    let typed = |text: &str| Message::Brought(brought::Message::Typed(text.to_owned()));
    // What the book decides itself is challenged, not brought.
    desk.send(typed("false start"));
    desk.press(plain(Cap::Enter));
    assert_eq!(desk.title(), "a play for the referee");
    let size = iced::Size::new(1440.0, 900.0);
    let shows = |desk: &Desk, words: &str| {
        let mut screen = simulated(desk.booth.view(Light::Dark.palette(), size), size);
        assert!(screen.find(words).is_ok(), "`{words}` is not on {}", desk.title());
    };
    shows(
        &desk,
        "The book decides \u{201c}False start\u{201d} itself (rule 4.1): challenge it, or bring the play without a question",
    );
    desk.send(typed("no such thing"));
    desk.press(plain(Cap::Enter));
    shows(&desk, "No question of the book is named so");
    desk.send(typed("blow"));
    shows(&desk, "Blow and answer");
    desk.press(plain(Cap::Enter));
    shows(&desk, "What did the crew call?");
    // Back to the words, and on again; the call of nothing is selected, and another one by its digit.
    desk.press_all(&[plain(Cap::Escape), plain(Cap::Enter)]);
    assert_eq!(desk.entries(), entries, "nothing is written before it is brought");
    desk.press(plain(Cap::Enter));
    assert_eq!(desk.title(), "the referee's own ruling");
    let held = &discretions::Held::all(&desk.reader()).expect("read")[0];
    let opened = held.ruling().opened.clone().expect("it is open");
    let matter = opened.matter.expect("it is about a question");
    assert_eq!((matter.question.as_str(), matter.call.as_str()), ("blow-and-answer", "none"));
    assert_eq!(matter.findings, Vec::<String>::new());
    shows(&desk, "Called none; no review was held");
    let Screen::Referee(screen) = desk.screen() else { panic!("their screen is open") };
    assert!(screen.sheet().about.ends_with("Blow and answer · rule 4.22"), "{}", screen.sheet().about);
    let blow = |sheet: &crate::booth::referee::Sheet| {
        sheet.offers.iter().any(|offer| offer.name == "a blow by each side")
    };
    assert!(blow(screen.sheet()), "the calls of the question are among the remedies");
}

// PROPERTY: a player is disqualified by a key and a line in the book's words, and no person is named
#[test]
fn a_player_is_disqualified_by_team_position_and_number() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = exchange(folder.path());
    desk.press_all(&[plain(Cap::Enter), letter('r'), letter('n')]);
    let disqualify = |desk: &mut Desk, text: &str| {
        desk.press(letter('d'));
        desk.type_in(text);
    };
    for (text, because) in [
        ("kites", "type team, position"),
        ("kites Somebody 54, blow", "`somebody` is not one of the positions"),
        ("kites linebacker 54, holding", "`holding` disqualifies nobody here"),
        ("drays linebacker 54, blow", "type team, position"),
    ] {
        disqualify(&mut desk, text);
        assert!(message(&desk).starts_with(because), "{text}: {}", message(&desk));
        desk.press(plain(Cap::Escape));
    }
    disqualify(&mut desk, "kites linebacker 54, blow");
    assert_eq!(message(&desk), "");
    let held = &discretions::Held::all(&desk.reader()).expect("read")[0];
    assert_eq!(
        review::discretion::text::disqualified(&held.ruling().disqualified),
        "linebacker 54 of the home team, for `blow`"
    );
    disqualify(&mut desk, "");
    let held = &discretions::Held::all(&desk.reader()).expect("read")[0];
    assert_eq!(held.ruling().disqualified, []);
}
