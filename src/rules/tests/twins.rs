//! Two fouls of one name in a play: live and dead, or one by each team. The second one could as well have a name of its own.

use field::exact::Yards;
use rules::book::effect::Part;
use rules::book::penalty::Penalty;
use rules::book::{Book, load, shipped};
use rules::game::advance::fouls::{Called, Fouled, Stage, When, text};
use rules::game::advance::{Advance, Did, Start, opening};
use rules::game::situation::{End, Next, Situation, Team};

const OTHER: &str = "a foul of another name";

/// The book with a second penalty that is like this one but for its name.
fn with_twin(book: &Book, name: &str) -> Book {
    let mut book = book.clone();
    let twin = Penalty { name: OTHER.to_owned(), ..book.penalties[name].clone() };
    book.penalties.insert(OTHER.to_owned(), twin);
    book
}

/// Holds both plays to the same choices and results, whatever is chosen; how many ends there are.
fn same(book: &Book, at: &Situation, one: &Fouled, other: &Fouled) -> usize {
    let (stage, other_stage) = (one.stage(book, at), other.stage(book, at));
    assert_eq!(stage, other_stage, "{one:?}");
    match stage {
        Ok(Stage::Asks(question)) => {
            let both = question.offers.iter().map(|offer| {
                let next = |fouled: &Fouled| {
                    let mut next = fouled.clone();
                    next.decided.push(offer.decision);
                    next
                };
                same(book, at, &next(one), &next(other))
            });
            both.sum()
        }
        Ok(Stage::Led(_)) => 1,
        Err(_) => 0,
    }
}

// PROPERTY: two fouls of one name are decided apart, as two of different names are
#[test]
fn two_fouls_of_one_name_are_decided_as_two_of_different_names() {
    let moments = [When::Before, When::Live, When::Return, When::After];
    for id in ["saltmarsh", "college"] {
        let book = load::load(id, &shipped::sources(id).expect("it is in the program")).expect("it is sound");
        let begun = opening(&book, Start { team: Team::Home, attacks: End::East });
        let next = Next::Scrimmage { down: 3, to_go: Yards::whole(6) };
        let at = Situation { clock_ms: 600_000, clock_running: true, next, spot: Yards::whole(20), ..begun };
        let plays = [
            Did::Down { at: Yards::whole(24) },
            Did::Incomplete,
            Did::Touchdown { by: Part::Offense },
            Did::Turnover { at: Yards::whole(30) },
            Did::Nothing,
        ];
        let (mut ends, mut apart) = (0, 0);
        for name in book.penalties.keys() {
            let twin = with_twin(&book, name);
            for (did, by, when) in plays.into_iter().flat_map(|did| {
                [Part::Offense, Part::Defense]
                    .into_iter()
                    .flat_map(move |by| moments.into_iter().map(move |when| (did, by, when)))
            }) {
                for (by_other, when_other) in [Part::Offense, Part::Defense]
                    .into_iter()
                    .flat_map(|by| moments.into_iter().map(move |when| (by, when)))
                {
                    let called = |penalty: &str, by, when| Called {
                        penalty: penalty.to_owned(),
                        by,
                        spot: Some(Yards::whole(22)),
                        when,
                        sent_off: None,
                        player: None,
                    };
                    let fouled = |second: &str| Fouled {
                        play: Advance { did, clock_ms: at.clock_ms },
                        fouls: vec![called(name, by, when), called(second, by_other, when_other)],
                        decided: Vec::new(),
                    };
                    // What cannot be at all is refused with the name of the foul.
                    if fouled(name).stage(&twin, &at).is_err() {
                        assert!(fouled(OTHER).stage(&twin, &at).is_err(), "{id} {name} {did:?}");
                        continue;
                    }
                    let found = same(&twin, &at, &fouled(name), &fouled(OTHER));
                    ends += found;
                    apart += if (by, when) == (by_other, when_other) { 0 } else { found };
                }
            }
        }
        assert!(ends > 1_000 && apart > 500, "{id}: {ends}, {apart}");
    }
}

#[test]
fn a_decision_about_one_of_two_says_which() {
    let called = |by, when| Called {
        penalty: "face mask".to_owned(),
        by,
        spot: None,
        when,
        sent_off: None,
        player: None,
    };
    let play = Advance { did: Did::Incomplete, clock_ms: 600_000 };
    let decided = Vec::new();
    let fouls = vec![called(Part::Offense, When::Live), called(Part::Offense, When::After)];
    let both = Fouled { play, fouls, decided };
    use rules::game::advance::fouls::Decision;
    use rules::game::play::Choice;
    let said = |fouled: &Fouled, foul| {
        text::decision(Decision::Foul { foul, choice: Choice::Decline }, |foul| fouled.name(foul))
    };
    assert_eq!(said(&both, 1), "face mask on the offense, after the play, is declined");
    let alone = Fouled { fouls: both.fouls[1..].to_vec(), ..both };
    assert_eq!(said(&alone, 0), "face mask is declined");
}
