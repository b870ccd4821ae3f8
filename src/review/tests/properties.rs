//! Any sequence of commands, sensible or not: what a review may never do.

use evidence::mark::Basis;
use evidence::verdict::Verdict;
use field::exact::Yards;
use proptest::prelude::*;
use review::decide::{Command, Desk, decide, now, questions};
use review::event::{Answered, Asked, Event, ReadBack, SameMoment, Tied};
use review::fold::{Phase, Review, Stamped, fold};
use review::gate::{Entry, Initiator, Ruled};
use review::tying;
use rules::book::Book;
use rules::book::effect::Part;
use rules::book::tree::{Looks, Tree};
use rules::game::play::{Choice, Flag};
use rules::game::situation::{ByTeam, Challenges, Next, Situation, Team};
use std::sync::LazyLock;
use testing::booth::{Booth, answered, asked, book, challenge, look, mark, names};
use testing::challenge::stamp;
use testing::events::situation;
use testing::repeatable;

static BOOK: LazyLock<Book> = LazyLock::new(book);

/// Numbers that pick a command and its words; their meaning depends on the state of the review.
type Picks = [u16; 6];

fn pick<T: Clone>(from: &[T], by: u16) -> Option<T> {
    (!from.is_empty()).then(|| from[usize::from(by) % from.len()].clone())
}

/// One name in eight is not in the book.
fn name(from: &[&str], by: u16) -> String {
    match by % 8 {
        0 => pick(&["", "catch", "contro l", "\u{0}\u{1f3c8}"], by / 8).expect("four of them").to_owned(),
        _ => pick(from, by / 8).unwrap_or("nothing").to_owned(),
    }
}

fn reason(by: u16) -> Option<String> {
    pick(&[None, None, Some(""), Some("seen live")], by).flatten().map(str::to_owned)
}

/// Mostly on the field.
fn place(by: u16) -> Option<Yards> {
    let at = i64::from(by / 8);
    match by % 8 {
        0 => None,
        1 => Some(Yards::whole(at % 60 - 5)),
        2 => Some(Yards::fraction(at % 1000, 7)),
        _ => Some(Yards::whole(1 + at % 49)),
    }
}

/// Mostly a time that a clock can show.
fn clock(by: u16) -> Option<i64> {
    match by % 8 {
        0 => None,
        1 => Some(-1_000),
        2 => Some(i64::from(by) * 100),
        _ => Some(i64::from(by)),
    }
}

fn situations() -> [Situation; 5] {
    let fresh = Situation { challenges: ByTeam::default(), ..situation() };
    [
        fresh,
        Situation { period: 4, clock_ms: 14_000, ..fresh },
        Situation { next: Next::Try, spot: Yards::whole(48), ..fresh },
        Situation { timeouts: ByTeam { home: 1, away: 0 }, ..fresh },
        Situation {
            challenges: ByTeam { home: Challenges { used: 2, won: 2 }, away: Challenges { used: 2, won: 1 } },
            ..fresh
        },
    ]
}

fn ask(picks: Picks) -> Command {
    let trees: Vec<&str> =
        BOOK.trees.iter().map(|tree| tree.id.as_str()).chain(["holding", "count of downs"]).collect();
    let id = name(&trees, picks[1]);
    let calls: Vec<&str> =
        BOOK.tree(&id).map_or(vec![], |tree| tree.calls.iter().map(|call| call.name.as_str()).collect());
    let whistle = (picks[3].is_multiple_of(3)).then(|| "whistle".to_owned());
    let ruled = if picks[4].is_multiple_of(5) { vec![Ruled::Turnover] } else { vec![] };
    let entry = if picks[5].is_multiple_of(4) { Entry::FoundOnTheWay } else { Entry::Challenged };
    Command::Ask(Asked { whistle, ruled, ..asked(&id, &name(&calls, picks[2]), entry) })
}

fn tree_of(review: &Review, question: usize) -> Option<&'static Tree> {
    review.questions.get(question).and_then(|asked| BOOK.tree(&asked.tree))
}

fn at_a_step(review: &Review, picks: Picks) -> (usize, String) {
    let question =
        usize::from(picks[1]) % (review.questions.len() + usize::from(picks[1].is_multiple_of(9))).max(1);
    let steps: Vec<&str> = tree_of(review, question)
        .map_or(vec![], |tree| tree.steps.iter().map(|step| step.name.as_str()).collect());
    (question, name(&steps, picks[2]))
}

fn answer(review: &Review, picks: Picks) -> Command {
    let (question, step) = at_a_step(review, picks);
    let known = tree_of(review, question).and_then(|tree| Some(&tree.steps[tree.step(&step)?]));
    let options: Vec<&str> =
        known.map_or(vec![], |step| step.options.iter().map(|option| option.name.as_str()).collect());
    let chosen = match picks[3] % 6 {
        0 => options.iter().map(|option| (*option).to_owned()).collect(),
        1 => vec![],
        _ => vec![name(&options, picks[3])],
    };
    let probability = f64::from(picks[4]) / 65_535.0;
    let basis = match picks[4] % 6 {
        0 => Basis::Computed(Verdict::of(probability, 0.99).into()),
        1 => Basis::Computed(Verdict::Contradiction.into()),
        _ => Basis::Attested,
    };
    let reason = reason(picks[5]);
    Command::Answer(Answered { options: chosen, basis, reason, ..answered(question, &step, &[]) })
}

fn a_mark(review: &Review, picks: Picks) -> Command {
    let mut moments: Vec<&str> = BOOK.moments.keys().map(String::as_str).collect();
    for asked in &review.questions {
        let steps = BOOK.tree(&asked.tree).into_iter().flat_map(|tree| &tree.steps);
        moments.extend(steps.flat_map(|step| step.proof.moments()));
    }
    mark(&name(&moments, picks[1]), place(picks[2]), clock(picks[3]))
}

fn flags(picks: Picks) -> Command {
    let penalties: Vec<&str> = BOOK.penalties.keys().map(String::as_str).collect();
    let flag = |by: u16, side: u16| Flag {
        name: name(&penalties, by),
        by: if side.is_multiple_of(2) { Part::Offense } else { Part::Defense },
        spot: place(side / 2),
        dead: side.is_multiple_of(5),
        clock_ms: None,
    };
    let both = [flag(picks[1], picks[2]), flag(picks[3], picks[4])];
    Command::Flag(both.into_iter().take(usize::from(picks[5]) % 3).collect())
}

/// One in three ties a camera to itself, has an impossible time, or divides by 0.
fn a_tie(picks: Picks) -> Command {
    let end = |camera: u16, time: u16| SameMoment {
        camera: pick(&["near side", "high end", "low wall"], camera).expect("three of them").to_owned(),
        timecode: "00:41:17;22".parse().expect("a timecode"),
        time_base: (1, if time == 7 { 0 } else { 60_000 }),
        since: i64::from(time) * 1001,
        at: (i64::from(time) + i64::from(time % 8 != 3)) * 1001,
        shot: None,
    };
    Command::Tie(Box::new(Tied { one: end(picks[1], picks[2]), other: end(picks[3], picks[4]) }))
}

fn command(review: &Review, picks: Picks) -> Command {
    // Most of the commands fit the phase, so that reviews come to an end.
    let fitting: &[u16] = match review.phase {
        Phase::New => &[0],
        Phase::Called | Phase::Refused => &[1],
        Phase::Admitted => &[2, 2, 1, 3],
        Phase::Open => &[1, 3, 4, 5, 5, 6, 6, 7, 7, 7, 7, 8, 10, 14],
        Phase::Ruled => &[11],
        Phase::ReadyToAnnounce => &[12],
        Phase::Announced | Phase::Withdrawn | Phase::CutShort => &[13],
    };
    let kind = if !picks[0].is_multiple_of(8) {
        pick(fitting, picks[0] / 8).expect("some fit")
    } else {
        picks[0] / 8 % 15
    };
    match kind {
        0 => {
            let initiators = [Initiator::Coach(Team::Home), Initiator::Coach(Team::Away), Initiator::Booth];
            let situation = pick(&situations(), picks[2]).expect("five of them");
            challenge(pick(&initiators, picks[1]).expect("three of them"), situation)
        }
        1 => ask(picks),
        2 => Command::ReadBack(ReadBack { spot: place(picks[1]), clock_ms: clock(picks[2]), end: None }),
        3 => flags(picks),
        4 => {
            let penalties: Vec<&str> = BOOK.penalties.keys().map(String::as_str).collect();
            let choice = if picks[2].is_multiple_of(2) { Choice::Accept } else { Choice::Decline };
            Command::Choose { penalty: name(&penalties, picks[1]), choice }
        }
        5 => {
            let (question, step) = at_a_step(review, picks);
            let kinds = [Looks::FullSpeed, Looks::Slow, Looks::FrameByFrame];
            look(question, &step, pick(&kinds, picks[3]).expect("three of them"), reason(picks[4]).as_deref())
        }
        6 => a_mark(review, picks),
        7 => answer(review, picks),
        8 => Command::Undo,
        9 => Command::Withdraw,
        10 => Command::Rule,
        11 => Command::ReadBackRestart,
        12 => Command::Announce,
        14 => a_tie(picks),
        _ => Command::CutShort { reason: reason(picks[1]).unwrap_or_else(|| " ".to_owned()) },
    }
}

/// Computes the ruling again from the events before it alone.
fn replayed(review: &Review, events: &[Stamped]) -> Result<(), TestCaseError> {
    let before = fold(events.iter().filter(|event| !matches!(event.event, Event::Ruled(_))).cloned());
    let questions = questions(&BOOK, &before);
    let again = now(&BOOK, &before, &questions).expect("it was asked for");
    let snapshot = review.ruling.as_ref().expect("it is ruled");
    prop_assert_eq!(snapshot.after, again.restart.after);
    prop_assert_eq!(snapshot.clock_starts, again.restart.clock_starts);
    prop_assert_eq!(&snapshot.fouls, &again.restart.fouls);
    prop_assert_eq!((snapshot.won, snapshot.price), (again.won, again.price));
    prop_assert_eq!(snapshot.questions.len(), again.questions.len());
    for (found, decided) in snapshot.questions.iter().zip(&again.questions) {
        prop_assert_eq!(
            (found.outcome, found.moot, found.settled),
            (decided.outcome, decided.moot, decided.settled)
        );
        prop_assert_eq!(found.possible.len(), decided.possible.len());
    }
    prop_assert_eq!(&snapshot.overrides, &before.overrides());
    prop_assert!(again.restart.open.is_empty());
    let possible = snapshot.after.possible(&BOOK.field, &BOOK.game);
    prop_assert!(possible.is_ok(), "{:?}: {:?}", possible, snapshot.after);
    prop_assert!(!snapshot.words.announcement.contains(['{', '}']), "{}", snapshot.words.announcement);
    Ok(())
}

/// Runs the commands, and returns whether they led to a ruling.
fn plays(picks: &[(Picks, u16)]) -> Result<bool, TestCaseError> {
    let (names, mut review, mut at_ms) = (names(), Review::default(), 0);
    for (picks, later) in picks {
        at_ms += u64::from(later % 4_000);
        let at = stamp(at_ms);
        let command = command(&review, *picks);
        let said = format!("{command:?}");
        let (phase, looks) = (review.phase, review.looks().count());
        let before = review.clone();
        match decide(Desk { book: &BOOK, names: &names, day: None }, &review, command, &at) {
            Ok(events) => {
                prop_assert!(!events.is_empty(), "{} was carried out and left no event", said);
                let new = events.into_iter().map(|event| Stamped { at: at.clone(), event });
                new.for_each(|event| review.apply(event));
            }
            Err(no) => {
                prop_assert!(!no.because.is_empty() && !no.instead.is_empty(), "{}: {:?}", said, no);
                prop_assert!(review == before, "{} was refused and changed the review", said);
            }
        }
        prop_assert!(review.phase >= phase, "{}: from {:?} to {:?}", said, phase, review.phase);
        prop_assert!(review.looks().count() >= looks, "{} took a look back", said);
        let reasons = review.overrides().into_iter().all(|given| !given.reason.trim().is_empty());
        prop_assert!(reasons, "an override without a reason after {}", said);
        let settled = review.events().iter().filter(|event| event.event == Event::Settled).count();
        prop_assert!(settled <= 1, "settled twice by {}", said);
    }
    // Three cameras, one of which is the root.
    prop_assert!(tying::fits(&review).len() <= 2, "{:?}", tying::fits(&review));
    prop_assert!(review == fold(review.events().iter().cloned()), "the state is not the fold of its events");
    if review.ruling.is_some() {
        replayed(&review, review.events())?;
    }
    Ok(review.ruling.is_some())
}

proptest! {
    #![proptest_config(repeatable(4_000))]

    // PROPERTY: any commands leave a review that refolds to itself, and its ruling replays
    #[test]
    fn any_commands_leave_a_review_that_is_the_fold_of_its_events(
        picks in prop::collection::vec((any::<Picks>(), any::<u16>()), 1..60),
    ) {
        plays(&picks)?;
    }
}

/// The property above proves little if its reviews never end, so rulings from the same kind of commands are counted.
#[test]
fn random_commands_do_reach_a_ruling() {
    let mut state = 20_260_401_u64;
    let mut draw = || {
        // Knuth's constants for a 64-bit linear congruential generator (MMIX).
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 40) as u16
    };
    let mut ruled = 0;
    for _ in 0..300 {
        let picks: Vec<(Picks, u16)> = (0..60).map(|_| (std::array::from_fn(|_| draw()), draw())).collect();
        ruled += usize::from(plays(&picks).expect("it holds"));
    }
    assert!(ruled >= 50, "{ruled} of 300");
}

#[test]
fn a_finished_review_takes_no_command() {
    let mut booth = Booth::open("catch-along-wall", "incomplete");
    booth.does(Command::Rule);
    booth.does(Command::ReadBackRestart);
    booth.does(Command::Announce);
    for kind in 0..14_u16 {
        let command = command(&booth.review, [kind * 8, 9, 9, 9, 9, 9]);
        booth.refuses(command);
    }
}
