//! What was entered between plays is the call that a challenge starts from, and what its restart needs can be marked
//! from where the official is.

use super::desk::Desk;
use crate::booth::{Message, Screen, challenge, walk};
use crate::keys::{Cap, ctrl, letter, plain, shift};
use field::exact::Yards;
use log::streams::days;
use review::gate::Gate;
use rules::game::situation::Next;
use std::path::Path;

/// Between plays, first and 10 at the Kites 20 with 10:00 in the first period.
fn between(folder: &Path) -> Desk {
    let mut desk = Desk::new(folder);
    desk.walk();
    desk.press(plain(Cap::Enter));
    desk.sign_and_go_on();
    desk.press(letter('e'));
    desk.type_in("p1 10:00 1&10 k20 ball Kites east");
    assert_eq!(desk.title(), "between plays");
    desk
}

/// Asks for a review of the newest play: who by a digit, the question by its words, the call by a digit.
fn challenge(desk: &mut Desk, who: u8, words: &str, call: u8) {
    desk.press_all(&[letter('c'), plain(Cap::Digit(who))]);
    desk.send(Message::Challenge(challenge::Message::Typed(words.to_owned())));
    desk.press_all(&[plain(Cap::Enter), plain(Cap::Digit(call))]);
}

/// A tackle at the Kites 24, and a challenge that it was a false start; the call is being read back.
fn false_start(folder: &Path) -> Desk {
    let mut desk = between(folder);
    desk.press(letter('d'));
    desk.type_in("k24 9:52");
    challenge(&mut desk, 2, "false start", 2);
    desk.press(ctrl(Cap::Enter));
    desk
}

/// Reads the call back as it was entered.
fn read_back(desk: &mut Desk) {
    let (_, submit) = desk.line();
    desk.send(submit);
}

fn gate(desk: &Desk) -> &Gate {
    let Screen::Challenge(challenge) = desk.screen() else { panic!("on {}", desk.title()) };
    challenge.gate().expect("a question is chosen")
}

/// Opens a step by a click, looks at it, marks what is typed for it, and answers.
fn step(desk: &mut Desk, name: &str, mark: Option<&str>, answer: char) {
    let steps = &desk.on_walk().boards()[0].steps;
    let index = steps.iter().position(|line| line.name == name).expect("the step is there");
    desk.send(Message::Walk(walk::Message::Open(index)));
    desk.press_all(&[letter('a'), letter('l')]);
    if let Some(mark) = mark {
        desk.press(letter('m'));
        desk.type_in(mark);
    }
    desk.press(letter(answer));
}

/// The words of the open line.
fn line(desk: &Desk) -> String {
    desk.screen().line().expect("a line is open").text.to_owned()
}

/// A created false start needs the moment at which the ball was dead, which no step asks for.
// PROPERTY: what a restart needs can be marked from the ruling and from any step
#[test]
fn a_created_false_start_is_signed_with_a_mark_that_no_step_offers() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = false_start(folder.path());
    assert_eq!(line(&desk), "Kites24 9:52");
    read_back(&mut desk);
    step(&mut desk, "abrupt", None, 'y');
    step(&mut desk, "snapped", Some("411700"), 'n');
    step(&mut desk, "drawn", None, 'n');
    desk.press(plain(Cap::Enter));
    let Screen::Ruling(ruling) = desk.screen() else { panic!("on {}", desk.title()) };
    let weighed = ruling.weighed().expect("it is weighed");
    assert_eq!(weighed.needs, ["the mark `dead ball` needs the clock"]);
    desk.press(letter('m'));
    desk.type_in("411702 c10:00");
    desk.press(plain(Cap::Enter));
    desk.press(ctrl(Cap::Enter));
    let signed = desk.review().ruling.as_ref().expect("it is signed");
    assert_eq!(signed.overrides, []);
    assert_eq!((signed.after.spot, signed.after.clock_ms), (Yards::whole(15), 600_000));
    assert_eq!(signed.after.next, Next::Scrimmage { down: 1, to_go: Yards::whole(15) });
}

/// A tackle, and the crew's call stands: nothing has to be marked.
#[test]
fn a_call_that_stands_gives_the_play_as_it_was_entered() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = false_start(folder.path());
    let entered = desk.in_game().game.situation();
    read_back(&mut desk);
    step(&mut desk, "abrupt", None, 'n');
    desk.press_all(&[plain(Cap::Enter), ctrl(Cap::Enter)]);
    let signed = desk.review().ruling.as_ref().expect("it is signed").after;
    assert_eq!((signed.spot, signed.next, signed.clock_ms), (entered.spot, entered.next, entered.clock_ms));
}

// PROPERTY: the gate knows what was entered between plays
#[test]
fn a_score_or_a_turnover_that_was_entered_is_known_to_the_gate() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = between(folder.path());
    desk.press(letter('t'));
    desk.type_in("9:40");
    challenge(&mut desk, 1, "goal line", 3);
    let Gate::Refused(refused) = gate(&desk) else { panic!("a coach may not ask about a ruled score") };
    assert_eq!(refused.rule, "3.1");
    desk.press_all(&[plain(Cap::Escape), plain(Cap::Escape), plain(Cap::Escape), plain(Cap::Backspace)]);
    assert_eq!(desk.title(), "between plays");
    desk.press(letter('v'));
    desk.type_in("o20 9:40");
    challenge(&mut desk, 1, "runner down or fumble", 2);
    assert!(matches!(gate(&desk), Gate::Refused(_)), "{:?}", gate(&desk));
}

/// After a score the book says where the ball goes, so the read-back begins with the clock alone.
#[test]
fn a_score_is_read_back_without_a_spot() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = between(folder.path());
    desk.press(letter('t'));
    desk.type_in("9:40");
    challenge(&mut desk, 3, "goal line", 3);
    desk.press(ctrl(Cap::Enter));
    assert_eq!(line(&desk), "9:40");
    read_back(&mut desk);
    assert_eq!(desk.title(), "review");
    desk.press(shift(Cap::Letter('b')));
    assert_eq!(line(&desk), "9:40");
}

// PROPERTY: a call that was read back wrong is read back again
#[test]
fn a_call_that_was_misheard_is_read_back_again_and_the_newest_counts() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = false_start(folder.path());
    desk.type_in("k25 9:55");
    assert_eq!(desk.title(), "review");
    desk.press(shift(Cap::Letter('b')));
    assert_eq!(line(&desk), "25 9:55");
    desk.type_in("k24 9:52");
    assert_eq!(desk.title(), "review");
    let end = desk.review().read_back.as_ref().and_then(|read| read.end).expect("the play ended");
    assert_eq!((end.spot, end.clock_ms), (Yards::whole(24), Some(592_000)));
}

// PROPERTY: a key ends the game, and the next one is opened in the same log
#[test]
fn a_game_ends_by_its_key_and_the_next_card_is_open() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = between(folder.path());
    desk.press_all(&[shift(Cap::Letter('n')), letter('j')]);
    assert!(desk.card().is_none(), "any other key leaves it");
    desk.press_all(&[shift(Cap::Letter('n')), ctrl(Cap::Enter)]);
    assert!(desk.card().is_some());
    assert_eq!(days::last_open(&desk.reader()).expect("read"), None);
    assert!(desk.reopened().card().is_some());
}
