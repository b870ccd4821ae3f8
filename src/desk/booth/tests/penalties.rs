//! Penalties between plays and from a ruling, by keys.

use super::desk::Desk;
use super::drawn::simulated;
use crate::booth::{Message, Screen, penalties};
use crate::keys::{Cap, Chord, ctrl, letter, plain};
use crate::theme::Light;
use field::exact::Yards;
use iced::Size;
use review::day::as_run::AsRun;
use rules::game::play::Choice;
use rules::game::situation::{Next, Situation, Team};
use std::path::Path;

const ENTER: Chord = plain(Cap::Enter);

fn digit(number: u8) -> Chord {
    plain(Cap::Digit(number))
}

/// Between plays, first and 10 at the Kites 20 with 10:00 in the first period.
fn between(folder: &Path) -> Desk {
    let mut desk = Desk::new(folder);
    desk.walk();
    desk.press(ENTER);
    desk.sign_and_go_on();
    desk.press(letter('e'));
    desk.type_in("p1 10:00 1&10 k20 ball Kites east 20-14");
    assert_eq!(desk.title(), "between plays");
    desk
}

/// Finds a penalty by these words and takes the first.
fn penalty(desk: &mut Desk, words: &str) {
    desk.press(letter('p'));
    assert_eq!(desk.title(), "penalties");
    desk.send(Message::Penalties(penalties::Message::Typed(words.to_owned())));
    desk.press(ENTER);
}

fn situation(desk: &Desk) -> Situation {
    desk.in_game().game.situation()
}

fn down(down: u8, to_go: i64) -> Next {
    Next::Scrimmage { down, to_go: Yards::whole(to_go) }
}

fn ran(desk: &Desk) -> AsRun {
    let game = &desk.in_game().game;
    let play = game.day().newest_run().expect("a play was run");
    game.day().plays[play].as_run(&game.book)
}

// PROPERTY: a foul before the snap is written without a play, and taken back with one key
#[test]
fn a_false_start_is_written_without_a_play_and_taken_back_whole() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = between(folder.path());
    let before = situation(&desk);
    let entries = desk.entries();
    penalty(&mut desk, "false");
    desk.press_all(&[digit(1), ENTER]);
    desk.type_in("9:58");
    desk.press(digit(1));
    assert_eq!(desk.written_after(entries), Vec::<String>::new(), "nothing is written before the end");
    desk.press(ENTER);
    assert_eq!(desk.written_after(entries), ["day.moved fouls"]);
    assert_eq!(desk.title(), "between plays");
    let after = situation(&desk);
    assert_eq!((after.spot, after.next, after.clock_ms), (Yards::whole(15), down(1, 15), 598_000));
    assert_eq!(ran(&desk).end, None);
    desk.press(plain(Cap::Backspace));
    assert_eq!(situation(&desk), before);
}

/// Holding by the offense at the Kites 18, on a run to the Kites 31.
fn holding(desk: &mut Desk) {
    penalty(desk, "holding");
    desk.press_all(&[digit(1), digit(1)]);
    desk.type_in("k18");
    desk.press_all(&[ENTER, letter('d')]);
    desk.type_in("o19 9:52");
}

// PROPERTY: a live foul is accepted or declined, and a challenge of the play starts from what was chosen
#[test]
fn holding_is_accepted_or_declined_and_the_challenge_starts_from_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = between(folder.path());
    holding(&mut desk);
    desk.press_all(&[digit(2), ENTER]);
    assert_eq!((situation(&desk).spot, situation(&desk).next), (Yards::whole(31), down(1, 10)));
    assert_eq!(ran(&desk).choices, [("holding".to_owned(), Choice::Decline)]);
    desk.press(plain(Cap::Backspace));
    holding(&mut desk);
    desk.press_all(&[digit(1), ENTER]);
    let after = situation(&desk);
    assert_eq!((after.spot, after.next, after.clock_ms), (Yards::whole(9), down(1, 21), 592_000));

    desk.press_all(&[letter('c'), digit(2)]);
    desk.send(Message::Challenge(crate::booth::challenge::Message::Typed("false start".to_owned())));
    desk.press_all(&[ENTER, digit(2), ctrl(Cap::Enter)]);
    desk.press(ENTER);
    assert_eq!(desk.title(), "review");
    let flags = desk.review().flags();
    assert_eq!(
        (flags[0].name.as_str(), flags[0].spot, flags[0].dead),
        ("holding", Some(Yards::whole(18)), false)
    );
    assert_eq!(desk.review().choice("holding"), Some(Choice::Accept));

    // The same screen takes the choice again from the ruling.
    desk.press_all(&[letter('a'), letter('l'), letter('n'), ENTER]);
    let Screen::Ruling(ruling) = desk.screen() else { panic!("on {}", desk.title()) };
    assert_eq!(ruling.weighed().map(|weighed| weighed.after.spot), Some(Yards::whole(9)));
    desk.press(letter('p'));
    assert_eq!(desk.title(), "penalties");
    desk.press(digit(2));
    let Screen::Ruling(ruling) = desk.screen() else { panic!("on {}", desk.title()) };
    assert_eq!(ruling.weighed().map(|weighed| weighed.after.spot), Some(Yards::whole(31)));
    assert_eq!(desk.review().choice("holding"), Some(Choice::Decline));
}

#[test]
fn live_fouls_of_both_teams_offset_and_leave_nothing_to_choose() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = between(folder.path());
    penalty(&mut desk, "too many in motion");
    desk.press(digit(1));
    penalty(&mut desk, "illegal contact");
    desk.press_all(&[digit(1), ENTER, letter('i')]);
    desk.type_in("9:50");
    desk.press(ENTER);
    let after = situation(&desk);
    assert_eq!((after.spot, after.next, after.clock_ms), (Yards::whole(20), down(1, 10), 590_000));
}

/// League page, section 4: it goes to the try or to the free kick; the free kick after the try is there.
#[test]
fn a_personal_foul_on_a_touchdown_moves_the_free_kick_after_the_try() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = between(folder.path());
    penalty(&mut desk, "roughing");
    desk.press_all(&[digit(1), ENTER, letter('t')]);
    desk.type_in("9:40");
    desk.press_all(&[digit(1), digit(2), ENTER]);
    let after = situation(&desk);
    assert_eq!((after.score.home, after.next, after.spot), (26, Next::Try, Yards::whole(48)));
    desk.press(letter('g'));
    desk.type_in("");
    let after = situation(&desk);
    assert_eq!((after.score.home, after.next, after.spot), (27, Next::FreeKick, Yards::whole(15)));
}

#[test]
fn of_two_fouls_of_one_team_the_other_takes_one() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = between(folder.path());
    penalty(&mut desk, "offside");
    desk.press_all(&[digit(2), digit(1)]);
    penalty(&mut desk, "illegal contact");
    desk.press_all(&[digit(1), ENTER, letter('d')]);
    desk.type_in("k22");
    desk.press_all(&[digit(2), ENTER]);
    let after = situation(&desk);
    assert_eq!((after.offense, after.spot, after.next), (Team::Home, Yards::whole(25), down(1, 10)));
    let chosen = [("offside", Choice::Decline), ("illegal contact", Choice::Accept)];
    assert_eq!(ran(&desk).choices, chosen.map(|(name, choice)| (name.to_owned(), choice)));
}

/// A disqualified player is written with the foul; one that the book does not let go is refused with words.
#[test]
fn a_player_is_disqualified_only_for_what_the_book_lists() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = between(folder.path());
    penalty(&mut desk, "unsportsmanlike");
    desk.press_all(&[digit(2), digit(2), letter('x')]);
    desk.type_in("linebacker 54");
    let size = Size::new(1440.0, 900.0);
    let mut screen = simulated(desk.booth.view(Light::Dark.palette(), size), size);
    // The league's words (decision-trees/saltmarsh/book.ron), with team, position, number and foul.
    for words in [
        "Disqualified: linebacker 54, Otters, for unsportsmanlike conduct",
        "To be announced",
        "Linebacker 54, Millrace Otters, is disqualified.",
    ] {
        assert!(screen.find(words).is_ok(), "`{words}` is not on the screen");
    }
    drop(screen);
    desk.press_all(&[ENTER, letter('d')]);
    desk.type_in("k24");
    desk.press_all(&[digit(1), ENTER]);
    let game = &desk.in_game().game;
    let play = &game.day().plays[game.day().newest_run().expect("run")];
    let off = play.fouls[0].sent_off.as_ref().expect("disqualified");
    assert_eq!((off.position.as_str(), off.number), ("linebacker", Some(54)));
    penalty(&mut desk, "offside");
    desk.press_all(&[digit(2), digit(1), letter('x')]);
    desk.type_in("linebacker 54");
    assert!(desk.screen().line().is_some(), "the line stays open");
}

/// The book's second foul of one name by one player disqualifies him (extensions, 10.8): it is said before the play is
/// written, and he need not be named as disqualified.
#[test]
fn the_second_foul_of_a_player_is_counted_and_said() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = between(folder.path());
    for (number, told) in [(54, None), (55, None), (54, Some("linebacker 54"))] {
        penalty(&mut desk, "unsportsmanlike");
        desk.press_all(&[digit(2), digit(2), letter('x')]);
        desk.type_in(&format!("linebacker {number} stays"));
        let Screen::Penalties(penalties) = desk.screen() else { panic!("{}", desk.title()) };
        let said = penalties.told();
        assert_eq!(said.is_some(), told.is_some(), "{number}: {said:?}");
        if let (Some(said), Some(told)) = (said, told) {
            assert!(said.starts_with(told) && said.contains("2 fouls"), "{said}");
        }
        desk.press_all(&[ENTER, letter('r')]);
        desk.type_in("9:50");
        desk.press_all(&[digit(2), ENTER]);
        let game = &desk.in_game().game;
        let play = &game.day().plays[game.day().newest_run().expect("run")];
        assert_eq!(play.fouls[0].player.as_ref().and_then(|player| player.number), Some(number));
        assert_eq!(play.fouls[0].sent_off, None);
    }
}

/// A face mask of each kind on one play: each is decided for itself.
#[test]
fn two_fouls_of_one_name_are_decided_one_after_the_other() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = between(folder.path());
    penalty(&mut desk, "face mask");
    desk.press_all(&[digit(2), digit(1), letter('p')]);
    desk.send(Message::Penalties(penalties::Message::Typed("face mask".to_owned())));
    desk.press_all(&[ENTER, digit(2), digit(3), ENTER, letter('d')]);
    desk.type_in("k24");
    // The live one is declined, the one after the play accepted.
    desk.press_all(&[digit(2), digit(1), ENTER]);
    let chosen = ran(&desk).choices;
    let named = chosen.iter().map(|(name, choice)| (name.as_str(), *choice));
    assert_eq!(
        named.collect::<Vec<_>>(),
        [
            ("face mask on the defense, live", Choice::Decline),
            ("face mask on the defense, dead", Choice::Accept)
        ]
    );
}

/// Escape goes one step back at a time, to between plays at the end; nothing is written.
// PROPERTY: penalties are left step by step and write nothing until they are done
#[test]
fn escape_goes_back_step_by_step_and_writes_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = between(folder.path());
    let entries = desk.entries();
    holding(&mut desk);
    desk.press(digit(1));
    for _ in 0..12 {
        if desk.title() == "between plays" {
            break;
        }
        desk.press(plain(Cap::Escape));
    }
    assert_eq!(desk.title(), "between plays");
    assert_eq!(desk.entries(), entries);
}

#[test]
fn the_choices_are_drawn_with_who_chooses_and_what_follows() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = between(folder.path());
    holding(&mut desk);
    let size = Size::new(1440.0, 900.0);
    let mut screen = simulated(desk.booth.view(Light::Dark.palette(), size), size);
    for words in ["Millrace Otters choose", "Holding is accepted", "Declined: the play counts"] {
        assert!(screen.find(words).is_ok(), "`{words}` is not on the screen");
    }
    screen.click("Declined: the play counts").expect("it can be clicked");
    let said: Vec<Message> = screen.into_messages().collect();
    assert!(matches!(said.as_slice(), [Message::Penalties(penalties::Message::Point(1))]), "{said:?}");
}
