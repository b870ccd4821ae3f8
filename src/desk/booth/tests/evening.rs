//! What was entered between plays is the call that a challenge starts from, and what its restart needs can be marked
//! from where the official is.

use super::desk::Desk;
use crate::booth::{Message, Screen, card, challenge, games, walk};
use crate::keys::{Cap, ctrl, letter, plain, shift};
use field::exact::Yards;
use log::store::verify;
use log::streams::{days, reviews};
use review::day::Early;
use review::day::fold::{Day, Ended};
use review::gate::Gate;
use rules::game::overtime::Overtime;
use rules::game::situation::{Next, Team};
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

/// Corrects the situation.
fn corrected(desk: &mut Desk, line: &str) {
    desk.press(letter('e'));
    desk.type_in(line);
}

fn day(desk: &Desk) -> &Day {
    desk.in_game().game.day()
}

fn verified(desk: &Desk) {
    let verdict = verify::verify(&desk.unverified(), &verify::Trust::OwnKeys, None).expect("read");
    assert!(matches!(verdict, verify::Verdict::Whole(_)), "{verdict:?}");
}

// PROPERTY: a key ends the game, and the next one is opened in the same log
#[test]
fn a_game_ends_by_its_key_and_the_next_card_is_open() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = between(folder.path());
    // With time left nothing ends it but an act with a reason.
    desk.press_all(&[shift(Cap::Letter('n')), ctrl(Cap::Enter)]);
    assert_eq!(desk.title(), "the end of the game");
    desk.press(plain(Cap::Escape));
    assert_eq!(desk.title(), "between plays");
    corrected(&mut desk, "p4 0:00");
    desk.press_all(&[shift(Cap::Letter('n')), plain(Cap::Escape)]);
    assert!(desk.card().is_none(), "leaving it ends nothing");
    desk.press_all(&[shift(Cap::Letter('n')), ctrl(Cap::Enter)]);
    assert!(desk.card().is_some());
    assert_eq!(days::last_open(&desk.reader()).expect("read"), None);
    assert!(desk.reopened().card().is_some());
}

// PROPERTY: a suspended game goes on where it was, by keys
#[test]
fn a_suspended_game_is_reopened_from_the_list_of_games_and_goes_on() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = between(folder.path());
    let before = desk.in_game().game.situation();
    desk.press_all(&[shift(Cap::Letter('n')), plain(Cap::Digit(3))]);
    desk.type_in("");
    assert!(desk.screen().line().is_some(), "a reason is needed");
    desk.type_in("the lights failed");
    desk.press(ctrl(Cap::Enter));
    assert_eq!(days::last_open(&desk.reader()).expect("read"), None);
    let mut desk = desk.reopened();
    desk.press(plain(Cap::F(3)));
    assert_eq!(desk.title(), "the games of the log");
    desk.press_all(&[plain(Cap::Enter), plain(Cap::Enter)]);
    assert_eq!(desk.title(), "the games of the log", "a reason is needed");
    desk.send(Message::Games(games::Message::Typed("the lights are back".to_owned())));
    desk.press(plain(Cap::Enter));
    assert_eq!(desk.title(), "between plays");
    assert_eq!(desk.in_game().game.situation(), before);
    desk.press(letter('d'));
    desk.type_in("k24 9:52");
    assert_eq!(day(&desk).situation().map(|at| at.spot), Some(Yards::whole(24)));
    verified(&desk);
}

#[test]
fn a_forfeit_is_weighed_before_it_is_written() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = between(folder.path());
    desk.press_all(&[shift(Cap::Letter('n')), plain(Cap::Digit(2))]);
    desk.type_in("too few players");
    assert!(desk.card().is_none());
    desk.press(ctrl(Cap::Enter));
    assert!(desk.card().is_some());
    let held = days::Held::all(&desk.reader()).expect("read");
    let Some(Ended::Early { how, words, .. }) = held[0].day().end else { panic!("it ended early") };
    assert_eq!(how, Early::Forfeit(Team::Away));
    assert!(words.starts_with("The game is forfeited by Millrace Otters."), "{words}");
}

// PROPERTY: a game that is level goes into overtime and ends with the next score, by keys
#[test]
fn overtime_is_played_by_keys_until_a_team_has_won() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = between(folder.path());
    corrected(&mut desk, "p4 0:00 14-14");
    desk.press_all(&[shift(Cap::Letter('n')), ctrl(Cap::Enter)]);
    assert!(desk.card().is_none(), "the score is level");
    desk.press_all(&[plain(Cap::Escape), letter('n'), plain(Cap::Digit(1))]);
    let at = |desk: &Desk| desk.in_game().game.situation();
    assert_eq!((at(&desk).period, at(&desk).offense), (5, Team::Home));
    // A field goal each; no other period begins meanwhile.
    for team in [Team::Home, Team::Away] {
        assert_eq!(at(&desk).offense, team);
        desk.press(letter('g'));
        desk.type_in("");
        desk.press_all(&[letter('n'), plain(Cap::Digit(1))]);
        assert_eq!(at(&desk).period, 5);
        desk.press(plain(Cap::Escape));
    }
    assert_eq!((at(&desk).score.home, at(&desk).score.away), (17, 17));
    // The next score wins: the touchdown of the home team, and no try.
    desk.press(letter('t'));
    desk.type_in("");
    assert_eq!(day(&desk).overtime(&desk.in_game().game.book), Some(Overtime::GameOver));
    desk.press(letter('g'));
    desk.type_in("");
    assert_eq!(at(&desk).score.home, 23);
    desk.press_all(&[plain(Cap::Escape), shift(Cap::Letter('n')), ctrl(Cap::Enter)]);
    assert!(desk.card().is_some());
    verified(&desk);
}

// PROPERTY: the card is put right by keys, and the log keeps what it said before
#[test]
fn the_card_is_put_right_between_plays() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = between(folder.path());
    desk.press_all(&[plain(Cap::F(4)), letter('c')]);
    assert_eq!(desk.title(), "the card put right");
    let typed = |line, text: &str| Message::Card(card::Message::Typed(line, text.to_owned()));
    let id = day(&desk).opened.as_ref().expect("opened").card.game.clone();
    desk.send(typed(0, "W99"));
    desk.press(plain(Cap::Enter));
    assert_eq!(desk.title(), "the card put right", "the id names the game in the log");
    desk.send(typed(0, &id));
    desk.send(typed(2, "Tern Island Packets, Packets"));
    desk.send(typed(4, "Kiln Yard Hall"));
    desk.send(typed(7, "the wrong card was opened"));
    desk.press(plain(Cap::Enter));
    assert_eq!(desk.title(), "between plays");
    assert_eq!(desk.in_game().game.names.short.home, "Packets");
    let desk = desk.reopened();
    let card = &day(&desk).opened.as_ref().expect("opened").card;
    assert_eq!(
        (card.venue.as_str(), card.names.teams.home.as_str()),
        ("Kiln Yard Hall", "Tern Island Packets")
    );
    assert!(card.cameras.iter().any(|camera| camera.sees != camera.name), "what they see is kept");
    assert_eq!(day(&desk).corrections, 1);
    verified(&desk);
}

// PROPERTY: whoever sits at the desk is named by what is written from then on
#[test]
fn the_desk_is_handed_over_during_a_review_and_its_page_names_both() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = false_start(folder.path());
    read_back(&mut desk);
    let first = day(&desk).official.clone().expect("the card names the official");
    step(&mut desk, "abrupt", None, 'n');
    desk.press_all(&[plain(Cap::F(4)), letter('w')]);
    desk.type_in("booth-21");
    desk.press(plain(Cap::Escape));
    assert_eq!(desk.title(), "review");
    desk.press_all(&[plain(Cap::Enter), ctrl(Cap::Enter)]);
    let review = day(&desk).review().expect("it is on").review.clone();
    assert_eq!(day(&desk).officials_of(&review), [first, "booth-21".to_owned()]);
    let last = desk.reader().entries(desk.entries()).expect("read");
    assert_eq!(last[0].entry().expect("an entry").act.actor.as_str(), "booth-21");
    let desk = desk.reopened();
    assert_eq!(day(&desk).official.as_deref(), Some("booth-21"));
    let held = reviews::Held::all(&desk.reader()).expect("read");
    let held = held.iter().find(|held| held.id == review).expect("it is there");
    let page = pages::review::of_review(&desk.reader(), held).expect("a page");
    assert!(page.contains(", then booth-21"), "both are named");
    verified(&desk);
}

// PROPERTY: a camera that is out is not looked at, until it is back
#[test]
fn a_camera_that_is_out_cannot_be_looked_at_until_it_is_back() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = false_start(folder.path());
    read_back(&mut desk);
    desk.press_all(&[plain(Cap::F(4)), plain(Cap::Digit(1))]);
    desk.type_in("no signal");
    desk.press(plain(Cap::Escape));
    let looks = |desk: &Desk| desk.review().looks().count();
    desk.press_all(&[letter('a'), letter('l')]);
    assert_eq!(looks(&desk), 0, "the camera is out");
    desk.press_all(&[letter('b'), letter('l')]);
    assert_eq!(looks(&desk), 1, "another one is there");
    let mut desk = desk.reopened();
    desk.press_all(&[plain(Cap::F(4)), plain(Cap::Digit(1)), plain(Cap::Escape)]);
    desk.press_all(&[letter('a'), letter('l')]);
    assert_eq!(looks(&desk), 2, "it is back");
    assert_eq!((day(&desk).outages.len(), day(&desk).lost().count()), (1, 0));
}
