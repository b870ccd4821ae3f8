//! Fouls of one player are counted across a game, and the book's number of them disqualifies him (extensions, 10.8).

use crate::as_announced::{act, played};
use crate::held::names;
use field::exact::Yards;
use review::day::Command;
use review::day::fold::Day;
use rules::book::effect::Part;
use rules::book::{Book, load, shipped};
use rules::game::advance::fouls::{Called, Decision, Fouled, Player, Stage, When};
use rules::game::advance::{Advance, Did};
use rules::game::play::Choice;

fn book() -> Book {
    load::load("saltmarsh", &shipped::sources("saltmarsh").expect("it is in it")).expect("it is sound")
}

fn conduct(by: Part, player: Option<(&str, Option<u32>)>, off: bool) -> Called {
    let player = player.map(|(position, number)| Player { position: position.to_owned(), number });
    let (sent_off, player) = if off { (player, None) } else { (None, player) };
    let penalty = "unsportsmanlike conduct".to_owned();
    Called { penalty, by, spot: None, when: When::After, sent_off, player }
}

/// Enters a down that is played again with these fouls after it, each declined.
fn enter(book: &Book, day: &mut Day, fouls: Vec<Called>) {
    let at = day.situation().expect("set");
    let play = Advance { did: Did::Again, clock_ms: at.clock_ms };
    let mut fouled = Fouled { play, fouls, decided: Vec::new() };
    while let Stage::Asks(question) = fouled.stage(book, &at).expect("it fits") {
        let declines =
            |decision: &Decision| matches!(decision, Decision::Foul { choice: Choice::Decline, .. });
        let decisions: Vec<Decision> = question.offers.iter().map(|offer| offer.decision).collect();
        fouled.decided.push(*decisions.iter().find(|decision| declines(decision)).unwrap_or(&decisions[0]));
    }
    act(book, day, Command::Fouls(Box::new(fouled)));
}

fn said(book: &Book, day: &Day) -> Vec<String> {
    let newest = day.newest_run().expect("one was run");
    day.entered_by_count(book, newest).iter().map(|one| one.text(book, &names())).collect()
}

const LINEBACKER: Option<(&str, Option<u32>)> = Some(("linebacker", Some(54)));

// PROPERTY: the second foul of one name by one player in a game is said to disqualify him, whoever has the ball
#[test]
fn the_second_by_one_player_is_counted_whoever_has_the_ball() {
    let book = book();
    let mut day = played(&book);
    enter(&book, &mut day, vec![conduct(Part::Defense, LINEBACKER, false)]);
    assert_eq!(said(&book, &day), Vec::<String>::new());
    // Another number, another position, the other team, and nobody named.
    for other in [Some(("linebacker", Some(55))), Some(("runner", Some(54))), None] {
        enter(&book, &mut day, vec![conduct(Part::Defense, other, false)]);
        assert_eq!(said(&book, &day), Vec::<String>::new(), "{other:?}");
    }
    enter(&book, &mut day, vec![conduct(Part::Offense, LINEBACKER, false)]);
    assert_eq!(said(&book, &day), Vec::<String>::new());
    // The ball changes hands: the same team is the offense now.
    let (at, did) = (day.situation().expect("set"), Did::Turnover { at: Yards::whole(30) });
    act(&book, &mut day, Command::Advance(Advance { did, clock_ms: at.clock_ms }));
    assert_ne!(day.situation().expect("set").offense, at.offense);
    enter(&book, &mut day, vec![conduct(Part::Offense, LINEBACKER, false)]);
    assert_eq!(
        said(&book, &day),
        [
            "linebacker 54, Otters: 2 fouls for unsportsmanlike conduct in this game, and disqualified (rule 10.7)"
        ]
    );
    // Taken back, it is the first again.
    act(&book, &mut day, Command::Undo);
    enter(&book, &mut day, vec![conduct(Part::Offense, None, false)]);
    assert_eq!(said(&book, &day), Vec::<String>::new());
}

#[test]
fn two_on_one_play_are_two_and_a_position_without_a_number_is_nobody() {
    let book = book();
    let mut day = played(&book);
    let unknown = Some(("linebacker", None));
    enter(&book, &mut day, vec![conduct(Part::Defense, unknown, false); 2]);
    assert_eq!(said(&book, &day), Vec::<String>::new());
    let both = vec![conduct(Part::Defense, LINEBACKER, false), conduct(Part::Defense, LINEBACKER, true)];
    enter(&book, &mut day, both);
    let said = said(&book, &day);
    assert!(matches!(said.as_slice(), [one] if one.contains("linebacker 54, Otters: 2 fouls")), "{said:?}");
}

#[test]
fn the_ruling_about_such_a_play_names_the_player() {
    let book = book();
    let mut day = played(&book);
    enter(&book, &mut day, vec![conduct(Part::Defense, LINEBACKER, false)]);
    enter(&book, &mut day, vec![conduct(Part::Defense, LINEBACKER, false)]);
    let play = day.newest_run().expect("one was run");
    let words = crate::as_announced::ruled(&book, &mut day, play, "pass-off-wall", "dead");
    assert!(words.announcement.ends_with("Linebacker 54, Millrace Otters, is disqualified."), "{words:?}");
}
