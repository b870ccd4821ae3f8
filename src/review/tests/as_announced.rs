//! What is announced is how the game goes on: the words of every ruling, held against the situation that the day takes over
//! from it, with nothing, a timeout or a correction entered between the play and the review.

use crate::held::{Held, names};
use field::exact::Yards;
use review::announcement::{clock_text, next};
use review::day;
use review::day::fold::Day;
use review::day::{Command as DayCommand, GameCard};
use review::decide::{Command, now, questions};
use review::event::{Asked, Called, ReadBack, Texts};
use review::fold::Review;
use review::gate::{Entry, Initiator, Stop};
use review::stamp::Stamp;
use review::stance::{Outcome, Why};
use rules::book::words::Say;
use rules::book::{Book, load, shipped};
use rules::game::advance::{Advance, Did, Start, opening};
use rules::game::play::PlayEnd;
use rules::game::situation::{End, Next, Situation, Team};
use std::collections::BTreeSet;
use testing::rulings::{Found, every_finding};

fn at(ms: u64) -> Stamp {
    Stamp { utc_ms: i64::try_from(ms).expect("small"), boot_ms: ms, boot: "b".to_owned() }
}

pub(crate) fn act(book: &Book, day: &mut Day, command: DayCommand) {
    let events = day::decide::decide(book, day, command).unwrap_or_else(|no| panic!("{no}"));
    events.into_iter().for_each(|event| day.apply(day::Stamped { at: at(0), event }));
}

/// A runner was down at the 24 on third and 6 from the 20, with the clock running.
pub(crate) fn played(book: &Book) -> Day {
    let mut day = Day::default();
    let card = GameCard {
        game: "W01-HK-MO".to_owned(),
        week: Some(1),
        names: names(),
        venue: "Kiln Yard Hall".to_owned(),
        cameras: Vec::new(),
        duties: Vec::new(),
    };
    act(book, &mut day, DayCommand::Open(card));
    let begun = opening(book, Start { team: Team::Home, attacks: End::East });
    let next = Next::Scrimmage { down: 3, to_go: Yards::whole(6) };
    let spot = Yards::whole(20);
    act(
        book,
        &mut day,
        DayCommand::Set(Situation { clock_ms: 600_000, clock_running: true, next, spot, ..begun }),
    );
    let did = Did::Down { at: Yards::whole(24) };
    act(book, &mut day, DayCommand::Advance(Advance { did, clock_ms: 594_000 }));
    day
}

/// What may have been entered since.
fn since(book: &Book) -> Vec<Option<DayCommand>> {
    let entered = played(book).situation().expect("set");
    let correct = |situation| Some(DayCommand::Correct { situation, reason: None });
    vec![
        None,
        Some(DayCommand::Timeout(Team::Away)),
        correct(Situation { clock_ms: 597_000, ..entered }),
        correct(Situation { clock_running: false, ..entered }),
        correct(Situation { spot: Yards::whole(23), ..entered }),
    ]
}

/// The words of a ruling about this play in which nothing was answered: the call stands.
pub(crate) fn ruled(book: &Book, day: &mut Day, play: usize, tree: &str, call: &str) -> Texts {
    let called = day.call(book, play, Initiator::Booth, Stop::BeforeNextSnap).expect("a play");
    let called =
        Called { situation: Situation { period: 4, clock_ms: 30_000, ..called.situation }, ..called };
    let run = day.plays[play].as_run(book);
    act(book, day, DayCommand::Review { review: "r-1".to_owned(), play });
    let (review, at) = (Review::default(), Yards::whole(22));
    let mut held = Held { book, review, day: Some(day.clone()), ms: 0, at, beside: BTreeSet::new() };
    let asked = Asked {
        tree: tree.to_owned(),
        call: call.to_owned(),
        whistle: None,
        ruled: Vec::new(),
        entry: Entry::Challenged,
    };
    let end = run.end.map(|end| PlayEnd { clock_ms: Some(29_000), ..end });
    let read = ReadBack { spot: end.map(|end| end.spot), clock_ms: Some(29_000), end };
    for command in
        [Command::Challenge(called), Command::Ask(asked), Command::Flag(run.flags), Command::ReadBack(read)]
    {
        held.act(command).expect("it may be held");
    }
    held.act(Command::Rule).expect("it may be ruled");
    held.review.ruling.expect("it is ruled").words
}

/// A review that is held to its announcement; `None` where nobody may ask, or the finding does not fit the play.
fn announced(book: &Book, mut day: Day, found: &Found<'_>) -> Option<(Review, Day)> {
    let tree = found.question.tree;
    for who in [Initiator::Coach(Team::Home), Initiator::Booth, Initiator::Referee] {
        let mut on = day.clone();
        let called = on.call(book, 0, who, Stop::BeforeNextSnap).expect("a play");
        act(book, &mut on, DayCommand::Review { review: "r-1".to_owned(), play: 0 });
        let marks = Yards::whole(22);
        let mut held = Held {
            book,
            review: Review::default(),
            day: Some(on),
            ms: 0,
            at: marks,
            beside: BTreeSet::new(),
        };
        held.act(Command::Challenge(called)).expect("it may be called");
        let call = tree.calls[found.question.call].name.clone();
        let asked =
            Asked { tree: tree.id.clone(), call, whistle: None, ruled: Vec::new(), entry: Entry::Challenged };
        held.act(Command::Ask(asked)).expect("it is known");
        let end = day.plays[0].as_run(book).end;
        let read = ReadBack { spot: end.map(|end| end.spot), clock_ms: Some(594_000), end };
        if held.act(Command::ReadBack(read)).is_err() {
            continue;
        }
        held.walk(found)?.ok()?;
        held.complete().ok()?;
        let asked = questions(book, &held.review);
        now(book, &held.review, &asked).expect("it is asked");
        held.act(Command::Rule).ok()?;
        held.act(Command::ReadBackRestart).expect("it is ruled");
        held.act(Command::Announce).expect("it is read back");
        day = held.day.take().expect("given");
        let (review, ended) = ("r-1".to_owned(), Box::new(held.review.clone()));
        act(book, &mut day, DayCommand::EndReview { review, ended });
        return Some((held.review, day));
    }
    None
}

// PROPERTY: what a ruling announces is the situation that the day takes over from it
#[test]
fn the_words_of_every_ruling_are_those_of_the_situation_that_the_day_takes_over() {
    for id in ["saltmarsh", "college"] {
        let book = load::load(id, &shipped::sources(id).expect("it is in the program")).expect("it is sound");
        let mut held = BTreeSet::new();
        for found in every_finding(&book).iter().filter(|found| found.question.whistle.is_none()) {
            for (number, command) in since(&book).into_iter().enumerate() {
                let mut day = played(&book);
                if let Some(command) = command.clone() {
                    act(&book, &mut day, command);
                }
                let Some((review, day)) = announced(&book, day, found) else { continue };
                held.insert((found.question.tree.id.clone(), number));
                let words = &review.ruling.as_ref().expect("it is ruled").words;
                let holds = day.situation().expect("set");
                let what =
                    format!("{id} {} {command:?}: {words:?}, and then {holds:?}", found.question.tree.id);
                let starts = match (holds.clock_running, holds.next) {
                    (true, _) => Say::OnReady,
                    (false, Next::Scrimmage { .. }) => Say::OnSnap,
                    (false, Next::Try | Next::FreeKick) => Say::Untimed,
                };
                assert!(words.clock.contains(&book.first_words().say(starts, &[])), "{what}");
                // The clock is set to what the day will hold, unless it shows that already.
                let shown = if number == 2 { 597_000 } else { 594_000 };
                let set = words.clock.contains(&clock_text(holds.clock_ms));
                assert_eq!(set, holds.clock_ms != shown, "{what}");
                // Where the referee rules, the game resumes with his words.
                let questions = &review.ruling.as_ref().expect("it is ruled").questions;
                let left = questions.iter().any(|found| found.outcome == Outcome::Stands(Why::LeftToReferee));
                assert_eq!(words.announcement.contains(&next(&book, &names(), &holds)), !left, "{what}");
            }
        }
        let asked: BTreeSet<&str> = held.iter().map(|(tree, _)| tree.as_str()).collect();
        assert!(asked.len() > book.trees.len() / 2, "{id}: {asked:?}");
    }
}
