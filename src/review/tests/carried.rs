//! Penalties carried over the end of a half, and from a touchdown of overtime to the next series.
//!
//! Source: NCAA A.R. 3-4-4-V (note) and VII, 10-2-5-a-1; the extensions, section 15.

use field::exact::Yards;
use review::day::decide::decide;
use review::day::fold::Day;
use review::day::{Command, Stamped};
use rules::book::effect::Part;
use rules::book::{Book, load, shipped};
use rules::game::advance::fouls::{Called, Decision, Fouled, Stage, When};
use rules::game::advance::{Advance, Did, Start, Tried, opening};
use rules::game::enforce::Carry;
use rules::game::play::Choice;
use rules::game::situation::{ByTeam, End, Next, Situation, Team};
use testing::challenge::stamp;
use testing::day::card;

fn book(id: &str) -> Book {
    load::load(id, &shipped::sources(id).expect("it is in the program")).expect("it is sound")
}

fn acted(book: &Book, day: &mut Day, command: Command) {
    let events = decide(book, day, command).unwrap_or_else(|refusal| panic!("{refusal:?}"));
    events.into_iter().for_each(|event| day.apply(Stamped { at: stamp(0), event }));
}

/// Third and 8 of the home team at its own 20, five seconds left in this period, 14 : 14.
fn late(book: &Book, period: u8) -> Day {
    let begun = opening(book, Start { team: Team::Home, attacks: End::East });
    let next = Next::Scrimmage { down: 3, to_go: Yards::whole(8) };
    let score = ByTeam { home: 14, away: 14 };
    let at = Situation { period, clock_ms: 5_000, next, spot: Yards::whole(20), score, ..begun };
    let mut day = Day::default();
    acted(book, &mut day, Command::Open(card("W03-HK-MO")));
    acted(book, &mut day, Command::Set(at));
    day
}

fn foul(penalty: &str, by: Part, when: When) -> Called {
    Called { penalty: penalty.to_owned(), by, spot: None, when, sent_off: None, player: None }
}

/// The play with this foul: accepted, and carried where a place is asked for.
fn entered(book: &Book, day: &mut Day, did: Did, called: Called, carry: Carry) {
    let at = day.situation().expect("it is set");
    let clock_ms = if at.period > book.game.periods { at.clock_ms } else { 0 };
    let mut fouled = Fouled { play: Advance { did, clock_ms }, fouls: vec![called], decided: Vec::new() };
    while let Stage::Asks(question) = fouled.stage(book, &at).expect("it fits") {
        let wanted = |decision: &Decision| {
            *decision == Decision::Carried(carry)
                || matches!(decision, Decision::Foul { choice: Choice::Accept, .. })
        };
        let offer = question.offers.iter().find(|offer| wanted(&offer.decision)).expect("it is offered");
        fouled.decided.push(offer.decision);
    }
    acted(book, day, Command::Fouls(Box::new(fouled)));
}

fn begins(team: Team) -> Command {
    Command::NextPeriod(Some(Start { team, attacks: End::East }))
}

// PROPERTY: a personal foul after a half is enforced on the kick that begins the next one, whoever kicks
#[test]
fn a_personal_foul_after_the_half_moves_the_next_kick() {
    let down = Did::Down { at: Yards::whole(24) };
    for (id, penalty, kicks, receives) in [("college", "personal foul", 20, 50), ("saltmarsh", "blow", 0, 15)]
    {
        let book = book(id);
        for (team, spot) in [(Team::Away, kicks), (Team::Home, receives)] {
            let mut day = late(&book, 2);
            entered(&book, &mut day, down, foul(penalty, Part::Defense, When::After), Carry::Try);
            let over = day.situation().expect("it is set");
            let fourth = Next::Scrimmage { down: 4, to_go: Yards::whole(4) };
            assert_eq!(
                (over.next, over.spot),
                (fourth, Yards::whole(24)),
                "{id}: no first down in a half that is over"
            );
            acted(&book, &mut day, begins(team));
            let kick = day.situation().expect("it is set");
            assert_eq!(
                (kick.next, kick.offense, kick.spot),
                (Next::FreeKick, team, Yards::whole(spot)),
                "{id}"
            );
        }
    }
}

/// Five yards for holding up the game after the half are gone with it.
#[test]
fn another_foul_after_the_half_falls_away() {
    let book = book("college");
    let mut day = late(&book, 2);
    let delay = foul("delay", Part::Defense, When::After);
    entered(&book, &mut day, Did::Down { at: Yards::whole(24) }, delay, Carry::Try);
    acted(&book, &mut day, begins(Team::Home));
    assert_eq!(day.situation().expect("it is set").spot, book.game.free_kick);
}

/// A touchdown as the half runs out, carried to the kick: that kick begins the next half (A.R. 3-2-3-V).
#[test]
fn a_touchdown_at_the_end_of_the_half_carries_to_the_next_kick() {
    let book = book("college");
    let mut day = late(&book, 2);
    let rough = foul("roughing the passer", Part::Defense, When::Live);
    entered(&book, &mut day, Did::Touchdown { by: Part::Offense }, rough, Carry::FreeKick);
    acted(&book, &mut day, Command::Advance(Advance { did: Did::Tried(Tried::Kick), clock_ms: 0 }));
    for (team, spot) in [(Team::Home, 50), (Team::Away, 20)] {
        let mut day = day.clone();
        acted(&book, &mut day, begins(team));
        assert_eq!(day.situation().expect("it is set").spot, Yards::whole(spot), "{team:?} kicks");
    }
}

// PROPERTY: no kick follows a touchdown of overtime: its penalty goes to the try or to the next series
#[test]
fn in_overtime_the_penalty_of_a_touchdown_goes_to_the_next_series() {
    // Of 15 yards from midfield, half the distance.
    for (id, spot) in [("college", Yards::whole(60)), ("saltmarsh", Yards::fraction(25, 2))] {
        let book = book(id);
        let mut day = late(&book, 4);
        acted(&book, &mut day, Command::Advance(Advance { did: Did::Incomplete, clock_ms: 0 }));
        acted(&book, &mut day, begins(Team::Home));
        let rough = foul("roughing the passer", Part::Defense, When::Live);
        entered(&book, &mut day, Did::Touchdown { by: Part::Offense }, rough, Carry::NextSeries);
        let a_try = day.situation().expect("it is set");
        assert_eq!((a_try.next, a_try.spot), (Next::Try, book.field.length - book.game.try_spot), "{id}");
        let clock_ms = a_try.clock_ms;
        acted(&book, &mut day, Command::Advance(Advance { did: Did::Tried(Tried::Failed), clock_ms }));
        let series = day.situation().expect("it is set");
        let first = Next::Scrimmage { down: 1, to_go: Yards::whole(10) };
        assert_eq!((series.offense, series.next, series.spot), (Team::Away, first, spot), "{id}");
    }
}

/// A foul of the kickers on a kick over the wall costs them yards where the receivers have the ball (extensions, 15).
#[test]
fn a_face_mask_on_a_kick_leaves_the_receivers_a_choice_that_is_worth_something() {
    let book = book("saltmarsh");
    let at = opening(&book, Start { team: Team::Home, attacks: End::East });
    let mask = Called { spot: Some(Yards::whole(10)), ..foul("face mask", Part::Offense, When::Live) };
    let play = Advance { did: Did::Touchback, clock_ms: 895_000 };
    let fouled = Fouled { play, fouls: vec![mask], decided: Vec::new() };
    let Stage::Asks(question) = fouled.stage(&book, &at).expect("it fits") else { panic!("they choose") };
    assert_eq!(question.chooser, Team::Away);
    let led: Vec<_> = question
        .offers
        .iter()
        .map(|offer| (offer.led.after.next == Next::FreeKick, offer.led.after.spot))
        .collect();
    // The kick again from the goal line, the 15 yards at the 5, or the ball at the 5.
    assert_eq!(led, [(true, Yards::ZERO), (false, Yards::whole(20)), (false, Yards::whole(5))]);
    assert_eq!(question.better, 1);
}
