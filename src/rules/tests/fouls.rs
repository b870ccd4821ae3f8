//! A play in a few words with its fouls: published examples, the league's page, and every combination.

use field::exact::Yards;
use rules::book::effect::Part::{self, Defense, Offense};
use rules::book::enforcement::Principle;
use rules::book::{Book, load, shipped};
use rules::game::advance::fouls::{
    Called, Decision, Error, Fouled, Led, SpotNeed, Stage, When, moments, spot_need, text,
};
use rules::game::advance::{Advance, Did, Start, Tried, advance, opening};
use rules::game::enforce::Carry;
use rules::game::enforce::options::Kind;
use rules::game::play::Choice;
use rules::game::situation::{ByTeam, ClockStart, End, Next, Situation, Team};

fn book(id: &str) -> Book {
    load::load(id, &shipped::sources(id).expect("it is in the program")).expect("it is sound")
}

fn yd(yards: i64) -> Yards {
    Yards::whole(yards)
}

/// Home has the ball, going east, 10:00 left in the first period, 20 : 14.
fn snap(book: &Book, down: u8, to_go: i64, spot: i64) -> Situation {
    Situation {
        clock_ms: 600_000,
        clock_running: true,
        next: Next::Scrimmage { down, to_go: yd(to_go) },
        spot: yd(spot),
        score: ByTeam { home: 20, away: 14 },
        ..opening(book, Start { team: Team::Home, attacks: End::East })
    }
}

fn foul(penalty: &str, by: Part, when: When, spot: Option<i64>) -> Called {
    Called { penalty: penalty.to_owned(), by, spot: spot.map(yd), when, sent_off: None, player: None }
}

fn fouled(did: Did, at: &Situation, fouls: Vec<Called>) -> Fouled {
    Fouled { play: Advance { did, clock_ms: at.clock_ms }, fouls, decided: Vec::new() }
}

/// The words of each choice in turn, until nothing is left to decide; at each, the one by the plain rule is taken.
fn by_the_plain_rule(book: &Book, at: &Situation, mut fouled: Fouled) -> (Vec<String>, Led) {
    let mut said = Vec::new();
    loop {
        match fouled.stage(book, at).expect("it fits") {
            Stage::Led(led) => return (said, led),
            Stage::Asks(question) => {
                let offer = &question.offers[question.better];
                said.push(format!(
                    "{:?}: {}",
                    question.chooser,
                    text::decision(offer.decision, |foul| fouled.says(book, foul))
                ));
                fouled.decided.push(offer.decision);
            }
        }
    }
}

fn short(led: &Led) -> String {
    let next = match led.after.next {
        Next::Scrimmage { down, to_go } => format!("{down}&{to_go}"),
        Next::Try => "try".to_owned(),
        Next::FreeKick => "free kick".to_owned(),
    };
    let starts = match led.clock_starts {
        Some(ClockStart::Snap) => "snap",
        Some(ClockStart::Ready) => "ready",
        None => "-",
    };
    let (who, score) = (led.after.offense, led.after.score);
    format!("{who:?} {next} at {} {}:{} {starts}", led.after.spot, score.home, score.away)
}

/// Rulings of the published examples beside the tests, by their ids; spots from the goal line of the team with the ball.
// PROPERTY: published plays with fouls, entered in a few words, lead where the published rulings say
#[test]
fn published_plays_with_fouls_lead_where_the_rulings_say() {
    let book = book("college");
    let late = |at: Situation, clock_s: i64| Situation { period: 4, clock_ms: clock_s * 1000, ..at };
    let behind = |at: Situation| Situation { score: ByTeam { home: 14, away: 20 }, ..at };
    let a_try = Situation { next: Next::Try, spot: yd(97), ..snap(&book, 1, 10, 97) };
    let offside = |when| foul("offside", Defense, when, None);
    let false_start = || foul("false start", Offense, When::Before, None);
    let personal = |by, when| foul("personal foul", by, when, None);
    let many = || foul("too many players", Defense, When::Live, None);
    for (id, at, did, fouls, expected) in [
        (
            "AR-3-3-2-IIa",
            snap(&book, 4, 4, 30),
            Did::Down { at: yd(36) },
            vec![offside(When::Live)],
            "Home 1&10 at 36 20:14 ready",
        ),
        (
            "AR-3-3-2-IIb",
            snap(&book, 4, 4, 30),
            Did::Down { at: yd(33) },
            vec![offside(When::Live)],
            "Home 1&10 at 35 20:14 ready",
        ),
        (
            "AR-3-4-4-Ia",
            behind(late(snap(&book, 2, 10, 70), 13)),
            Did::Nothing,
            vec![false_start()],
            "Home 2&15 at 65 14:20 ready",
        ),
        (
            "AR-3-5-2-VII",
            snap(&book, 1, 10, 60),
            Did::Nothing,
            vec![foul("substitution", Offense, When::Before, None)],
            "Home 1&15 at 55 20:14 ready",
        ),
        ("AR-3-5-3-VIa", a_try, Did::Tried(Tried::Failed), vec![many()], "Home try at 98.5 20:14 -"),
        ("AR-3-5-3-VIb", a_try, Did::Tried(Tried::Run), vec![many()], "Home free kick at 35 22:14 -"),
        (
            "AR-5-2-7-I",
            snap(&book, 3, 4, 70),
            Did::OutOfBounds { at: yd(82) },
            vec![personal(Defense, When::After)],
            "Home 1&9 at 91 20:14 ready",
        ),
        (
            "AR-5-2-7-IIIb",
            snap(&book, 1, 10, 40),
            Did::Nothing,
            vec![false_start()],
            "Home 1&15 at 35 20:14 ready",
        ),
        (
            "RG-1303a-3",
            snap(&book, 2, 13, 57),
            Did::Nothing,
            vec![false_start(), personal(Offense, When::Before), personal(Defense, When::Before)],
            "Home 2&18 at 52 20:14 ready",
        ),
    ] {
        let (_, led) = by_the_plain_rule(&book, &at, fouled(did, &at, fouls));
        assert_eq!(short(&led), expected, "{id}");
    }
    // The home team trails, so the visitors take the seconds; they may leave them.
    let at = behind(late(snap(&book, 2, 10, 70), 13));
    let before = fouled(Did::Nothing, &at, vec![false_start()]);
    let (said, led) = by_the_plain_rule(&book, &at, before);
    assert_eq!(said, ["Away: false start is accepted", "Away: the time runs off"]);
    assert_eq!(led.after.clock_ms, 3_000);
}

/// AR-3-4-4-IV, and the league's page, section 4: live fouls by both teams offset, and the down is played again.
#[test]
fn live_fouls_of_both_teams_offset_and_dead_ones_go_in_order() {
    let college = book("college");
    let at = Situation { period: 4, clock_ms: 15_000, ..snap(&college, 2, 5, 80) };
    let both = vec![
        foul("offside", Defense, When::Live, None),
        foul("illegal forward pass", Offense, When::Live, Some(83)),
    ];
    let (said, led) = by_the_plain_rule(&college, &at, fouled(Did::Incomplete, &at, both));
    assert_eq!((said, short(&led)), (vec![], "Home 2&5 at 80 20:14 snap".to_owned()));
    let book = book("saltmarsh");
    let at = snap(&book, 2, 8, 20);
    let fouls = vec![
        foul("illegal contact", Defense, When::Live, None),
        foul("motion man leading the block", Offense, When::Live, None),
        foul("face mask", Defense, When::After, None),
    ];
    let (said, led) = by_the_plain_rule(&book, &at, fouled(Did::Down { at: yd(30) }, &at, fouls));
    assert_eq!(said, ["Home: grasping and turning the face mask is accepted"]);
    assert_eq!(short(&led), "Home 1&10 at 35 20:14 ready");
}

/// League page, section 4: of several fouls of one team the other takes one, or the play.
#[test]
fn of_several_fouls_of_one_team_the_other_takes_one_or_the_play() {
    let book = book("saltmarsh");
    let at = snap(&book, 3, 9, 20);
    let fouls = vec![
        foul("inside the alignment line", Defense, When::Live, None),
        foul("illegal contact", Defense, When::Live, None),
    ];
    let Stage::Asks(question) = fouled(Did::Incomplete, &at, fouls).stage(&book, &at).expect("it fits")
    else {
        panic!("a team has a choice")
    };
    let led: Vec<String> = question.offers.iter().map(|offer| short(&offer.led)).collect();
    assert_eq!(question.chooser, Team::Home);
    assert_eq!(
        led,
        ["Home 3&4 at 25 20:14 ready", "Home 1&10 at 25 20:14 ready", "Home 4&9 at 20 20:14 ready"]
    );
    // At the same spot a new series is worth more than third and 4.
    assert_eq!(question.better, 1);
}

/// League page, section 4: on a touchdown the score counts; a safety foul goes to the try or to the free kick.
#[test]
fn a_personal_foul_on_a_touchdown_goes_to_the_try_or_to_the_free_kick() {
    let book = book("saltmarsh");
    let at = snap(&book, 1, 10, 30);
    let touchdown = Did::Touchdown { by: Offense };
    let mut play = fouled(touchdown, &at, vec![foul("roughing the passer", Defense, When::Live, None)]);
    play.decided.push(Decision::Foul { foul: 0, choice: Choice::Accept });
    for (carry, expected, kick) in [
        (Carry::Try, "Home try at 49 26:14 -", None),
        (Carry::FreeKick, "Home try at 48 26:14 -", Some(yd(15))),
    ] {
        let decided = [Decision::Foul { foul: 0, choice: Choice::Accept }, Decision::Carried(carry)];
        let led = Fouled { decided: decided.to_vec(), ..play.clone() }.led(&book, &at).expect("it fits");
        assert_eq!((short(&led), led.free_kick), (expected.to_owned(), kick));
    }
    let contact = fouled(touchdown, &at, vec![foul("illegal contact", Defense, When::Live, None)]);
    let (said, led) = by_the_plain_rule(&book, &at, contact);
    assert_eq!((said, short(&led)), (vec![], "Home try at 48 26:14 -".to_owned()));
}

#[test]
fn what_cannot_have_been_is_refused_with_words() {
    let book = book("saltmarsh");
    let at = snap(&book, 1, 10, 20);
    let down = Did::Down { at: yd(24) };
    for (did, called, words) in [
        (
            down,
            foul("false start", Offense, When::Live, None),
            "`false start` is a foul with the ball dead: before the snap, or after the play",
        ),
        (
            down,
            foul("false start", Offense, When::Before, None),
            "`false start` was before the snap, so no play was run",
        ),
        (down, foul("false start", Defense, When::After, None), "`false start` is never a foul of that team"),
        (down, foul("face mask", Offense, When::Live, None), "`face mask` needs the spot of the foul"),
        (
            down,
            foul("face mask", Offense, When::Live, Some(70)),
            "spot 70 is not on the field: end zones end at -7 and 57",
        ),
        (
            down,
            foul("face mask", Defense, When::Return, Some(20)),
            "nobody returned the ball in this play, so `face mask` was not on a return",
        ),
        (
            down,
            foul("illegal contact", Defense, When::After, None),
            "`illegal contact` is a foul while the ball is live, and here it was dead",
        ),
        (down, foul("a dance", Defense, When::After, None), "there is no penalty `a dance` in the book"),
        (
            Did::Nothing,
            foul("illegal contact", Defense, When::Live, None),
            "no play was run, so `illegal contact` was before the snap",
        ),
        (
            Did::KickKept { at: yd(30) },
            foul("blow", Defense, When::After, None),
            "a snap from scrimmage is next, and this play cannot end it",
        ),
    ] {
        let refused = fouled(did, &at, vec![called]).stage(&book, &at).expect_err(words);
        assert_eq!(refused.to_string(), words);
    }
    assert_eq!(fouled(Did::Nothing, &at, vec![]).stage(&book, &at), Err(Error::NoFoul));
    let mut not_offered = fouled(down, &at, vec![foul("illegal contact", Defense, When::Live, None)]);
    not_offered.decided.push(Decision::Live(Kind::Offset));
    assert_eq!(not_offered.stage(&book, &at), Err(Error::NotOffered));
    let nothing = Advance { did: Did::Nothing, clock_ms: at.clock_ms };
    let refused = advance(&book, &at, nothing).expect_err("no foul");
    assert_eq!(refused.to_string(), "no play was run and no foul was called");
}

/// Every play in a few words.
fn plays(spots: &[Yards]) -> Vec<Did> {
    let at = |of: fn(Yards) -> Did| spots.iter().map(move |spot| of(*spot));
    let mut all = vec![Did::Incomplete, Did::Safety, Did::Touchback, Did::Again, Did::Nothing];
    all.extend([Offense, Defense].map(|by| Did::Touchdown { by }));
    all.extend([true, false].map(|good| Did::FieldGoal { good }));
    all.extend([Tried::Kick, Tried::Run, Tried::Failed, Tried::Returned].map(Did::Tried));
    all.extend(at(|at| Did::Down { at }));
    all.extend(at(|at| Did::OutOfBounds { at }));
    all.extend(at(|at| Did::Turnover { at }));
    all.extend(at(|at| Did::KickKept { at }));
    all.extend(at(|to| Did::Kicked { to }));
    all
}

/// Follows every choice to its end.
fn every_end(book: &Book, at: &Situation, fouled: &Fouled, check: &mut impl FnMut(&Fouled, &Led)) {
    match fouled.stage(book, at).unwrap_or_else(|no| panic!("{fouled:?}: {no}")) {
        Stage::Led(led) => check(fouled, &led),
        Stage::Asks(question) => {
            assert!(question.offers.len() > 1 && question.better < question.offers.len(), "{fouled:?}");
            for offer in question.offers {
                let mut next = fouled.clone();
                next.decided.push(offer.decision);
                every_end(book, at, &next, check);
            }
        }
    }
}

/// Every penalty of both books, with each moment, team and spot, on every play: refused with words, or every choice
/// leads to a possible situation, and declining leads where the play alone leads.
// PROPERTY: every penalty on every play is refused with words or leads to possible situations, and declined it changes nothing
#[test]
fn every_penalty_on_every_play_is_refused_with_words_or_leads_somewhere_possible() {
    for id in ["saltmarsh", "college"] {
        let book = book(id);
        let length = book.field.length;
        let spots = [yd(12), length + yd(2)];
        let at_try =
            Situation { next: Next::Try, spot: length - book.game.try_spot, ..snap(&book, 1, 10, 1) };
        let kick = Situation { next: Next::FreeKick, spot: book.game.free_kick, ..snap(&book, 1, 10, 1) };
        let mut ended = 0;
        for at in [snap(&book, 1, 10, 20), snap(&book, book.game.downs, 2, 24), at_try, kick] {
            for did in plays(&spots) {
                let alone = advance(&book, &at, Advance { did, clock_ms: at.clock_ms }).ok();
                for penalty in book.penalties.values() {
                    for (by, when) in [Offense, Defense].into_iter().flat_map(|by| {
                        [When::Before, When::Live, When::Return, When::After].map(|when| (by, when))
                    }) {
                        let need = spot_need(penalty, by, when) == SpotNeed::Needed;
                        let on: &[Option<Yards>] = if need { &[Some(yd(10)), Some(yd(40))] } else { &[None] };
                        for spot in on {
                            let called = Called {
                                penalty: penalty.name.clone(),
                                by,
                                spot: *spot,
                                when,
                                sent_off: None,
                                player: None,
                            };
                            let fouled = fouled(did, &at, vec![called]);
                            if let Err(no) = fouled.stage(&book, &at) {
                                let may = moments(penalty).contains(&when)
                                    && penalty.by.is_none_or(|own| own == by);
                                let fits = alone.is_some() || did == Did::Nothing;
                                let silly =
                                    matches!(no, Error::Before(_) | Error::NoPlay(_) | Error::NoReturn(_));
                                assert!(!may || !fits || silly, "{id} {fouled:?}: {no}");
                                continue;
                            }
                            every_end(&book, &at, &fouled, &mut |fouled, led| {
                                ended += 1;
                                let possible = led.after.possible(&book.field, &book.game);
                                assert!(possible.is_ok(), "{id} {fouled:?}: {possible:?}");
                                // What the rules carry over from a score is declined by a choice of its own.
                                let kept = |one: &Decision| {
                                    !matches!(
                                        one,
                                        Decision::Live(Kind::Decline)
                                            | Decision::Foul { choice: Choice::Decline, .. }
                                    )
                                };
                                let decided = &fouled.decided;
                                // Rule 8-3-4: points of a team that fouled on the return do not count.
                                let by_rule = fouled.fouls[0].when == When::Return
                                    && book.enforcement.keeps(Principle::ReturnFoulsDeclined);
                                let declined = !by_rule && !decided.is_empty() && !decided.iter().any(kept);
                                if let (true, Some(alone)) = (declined, alone) {
                                    assert_eq!(led.after, alone.after, "{id} {fouled:?}");
                                    assert_eq!(led.clock_starts, alone.clock_starts, "{id} {fouled:?}");
                                }
                            });
                        }
                    }
                }
            }
        }
        assert!(ended > 1_500, "{id}: {ended}");
    }
}

/// A first down that a penalty gives begins a new series also where both lines are the goal line, so that the foul after
/// the play comes before its line is set. 5-2-7, from memory.
#[test]
fn a_first_down_by_penalty_at_the_goal_begins_a_series_before_the_foul_after_the_play() {
    let book = book("saltmarsh");
    let after = || foul("unsportsmanlike conduct", Offense, When::After, None);
    for (down, live, expected) in [
        (1, foul("face mask", Defense, When::Live, Some(46)), "Home 1&10 at 33 20:14 ready"),
        (2, foul("face mask", Defense, When::Live, Some(46)), "Home 1&10 at 33 20:14 ready"),
        (1, foul("offside", Defense, When::Live, None), "Home 1&18.5 at 31.5 20:14 ready"),
    ] {
        let at = snap(&book, down, 7, 43);
        let play = fouled(Did::Down { at: yd(46) }, &at, vec![live.clone(), after()]);
        let mut decided = play;
        let taken = |question: &rules::game::advance::fouls::Question| {
            question.offers.iter().map(|offer| offer.decision).find(|decision| match decision {
                Decision::Live(kind) => matches!(kind, Kind::Accept(..)),
                Decision::Foul { choice, .. } => *choice == Choice::Accept,
                Decision::Carried(_) | Decision::RunOff(_) => true,
            })
        };
        let led = loop {
            match decided.stage(&book, &at).expect("it fits") {
                Stage::Led(led) => break led,
                Stage::Asks(question) => decided.decided.extend(taken(&question)),
            }
        };
        assert_eq!(short(&led), expected, "{down} {live:?}");
    }
}
