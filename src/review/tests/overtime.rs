//! Overtime by both books: every sequence of series, against a plain reckoning on paper.

use field::exact::Yards;
use review::day::decide::decide;
use review::day::fold::Day;
use review::day::{Command, Stamped};
use rules::book::effect::Part::{Defense, Offense};
use rules::book::{Book, load, shipped};
use rules::game::advance::{Advance, Did, Start, Tried, opening};
use rules::game::overtime::Overtime;
use rules::game::situation::{ByTeam, End, Next, Situation, Team};
use testing::challenge::stamp;
use testing::day::card;

fn book(id: &str) -> Book {
    load::load(id, &shipped::sources(id).expect("it is in the program")).expect("it is sound")
}

fn acted(book: &Book, day: &Day, command: Command) -> Option<Day> {
    let mut day = day.clone();
    for event in decide(book, &day, command).ok()? {
        day.apply(Stamped { at: stamp(0), event });
    }
    Some(day)
}

fn begins(team: Team) -> Command {
    Command::NextPeriod(Some(Start { team, attacks: End::East }))
}

/// Level at 14 when the fourth period has run out.
fn level(book: &Book) -> Day {
    let kick = opening(book, Start { team: Team::Home, attacks: End::East });
    let score = ByTeam { home: 14, away: 14 };
    let over = Situation { period: 4, clock_ms: 0, score, ..kick };
    let opened = acted(book, &Day::default(), Command::Open(card("W03-HK-MO"))).expect("new");
    acted(book, &opened, Command::Set(over)).expect("possible")
}

/// How a series of overtime can end.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Series {
    /// A touchdown, and a try if there is one.
    Touchdown(Tried),
    FieldGoal,
    Missed,
    Downs,
    LostBall,
    /// The defense takes the ball to the other goal line.
    Returned,
    Safety,
}

const ALL: [Series; 10] = [
    Series::Touchdown(Tried::Kick),
    Series::Touchdown(Tried::Run),
    Series::Touchdown(Tried::Failed),
    Series::Touchdown(Tried::Returned),
    Series::FieldGoal,
    Series::Missed,
    Series::Downs,
    Series::LostBall,
    Series::Returned,
    Series::Safety,
];

/// What comes next by the reckoning on paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Then {
    /// The series of this team.
    Series(Team),
    NewPeriod,
    Over,
}

/// Overtime on paper. League page, section 1: one series each, then the next score. 3-1-3: one series each in every extra
/// period; a score of the defense ends the game.
#[derive(Debug, Clone, Copy)]
struct Paper {
    score: [i32; 2],
    /// Series of this period so far.
    had: usize,
    then: Then,
    next_score: bool,
    /// For a try returned by the other team.
    returned: i32,
}

fn place(team: Team) -> usize {
    usize::from(team == Team::Away)
}

impl Paper {
    /// Plays a series; says whether its touchdown is followed by a try.
    fn play(&mut self, series: Series) -> bool {
        let Then::Series(team) = self.then else { panic!("no series is due") };
        let (own, other) = (place(team), place(team.other()));
        let (mut by_defense, mut tried) = (false, false);
        match series {
            Series::Touchdown(how) => {
                self.score[own] += 6;
                // The other team has had the ball, and one point from a safety or two from a return are all it can get.
                let safe = self.had >= 1 && self.score[own] - self.score[other] > 2;
                if !safe {
                    tried = true;
                    match how {
                        Tried::Kick => self.score[own] += 1,
                        Tried::Run => self.score[own] += 2,
                        Tried::Failed => {}
                        Tried::Returned => self.score[other] += self.returned,
                    }
                }
            }
            Series::FieldGoal => self.score[own] += 3,
            Series::Missed | Series::Downs | Series::LostBall => {}
            Series::Returned => (self.score[other], by_defense) = (self.score[other] + 6, true),
            Series::Safety => (self.score[other], by_defense) = (self.score[other] + 2, true),
        }
        self.had += 1;
        let is_level = self.score[0] == self.score[1];
        self.then = match (by_defense || self.had >= 2 && !is_level, self.had >= 2 && !self.next_score) {
            (true, _) => Then::Over,
            (false, true) => Then::NewPeriod,
            (false, false) => Then::Series(team.other()),
        };
        tried
    }
}

/// Plays a series by the desk's commands.
fn played(book: &Book, day: &Day, series: Series, tried: bool) -> Day {
    let run = |day: &Day, did: Did| {
        let clock_ms = day.situation().expect("set").clock_ms;
        let command = Command::Advance(Advance { did, clock_ms });
        acted(book, day, command).unwrap_or_else(|| panic!("{series:?}: {did:?} is refused"))
    };
    let spot = day.situation().expect("set").spot;
    match series {
        Series::Touchdown(how) => {
            let scored = run(day, Did::Touchdown { by: Offense });
            if tried { run(&scored, Did::Tried(how)) } else { scored }
        }
        Series::FieldGoal => run(day, Did::FieldGoal { good: true }),
        Series::Missed => run(day, Did::FieldGoal { good: false }),
        Series::Downs => (0..book.game.downs).fold(day.clone(), |day, _| run(&day, Did::Down { at: spot })),
        Series::LostBall => run(day, Did::Turnover { at: spot + Yards::whole(5) }),
        Series::Returned => run(day, Did::Touchdown { by: Defense }),
        Series::Safety => run(day, Did::Safety),
    }
}

/// What the day says comes next. Exactly one of play, period and end is legal.
fn then(book: &Book, day: &Day) -> Then {
    let now = day.situation().expect("set");
    let again = Command::Advance(Advance { did: Did::Again, clock_ms: now.clock_ms });
    let legal = [
        acted(book, day, again).is_some(),
        acted(book, day, begins(Team::Home)).is_some(),
        acted(book, day, Command::Close).is_some(),
    ];
    match day.overtime(book).expect("overtime") {
        Overtime::Series { team, next_score } => {
            assert_eq!(legal, [true, false, false], "{now:?}");
            assert_eq!(team, now.offense);
            assert!(!next_score || book.game.overtime_next_score);
            Then::Series(team)
        }
        Overtime::PeriodOver => {
            assert_eq!(legal, [false, true, false], "{now:?}");
            Then::NewPeriod
        }
        Overtime::GameOver => {
            assert_eq!(legal, [false, false, true], "{now:?}");
            Then::Over
        }
        Overtime::Unsaid => panic!("both books say where a series begins"),
    }
}

/// Every series after this state, three at the most, and what follows each.
fn every(book: &Book, day: &Day, paper: Paper, path: &mut Vec<Series>, ends: &mut [usize; 3]) {
    for series in ALL {
        // NCAA 3-1-3, since 2021: from the second extra period on.
        let kicked = book.id == "college" && day.situation().expect("set").period >= 6;
        if kicked && series == Series::Touchdown(Tried::Kick) {
            continue;
        }
        let mut paper = paper;
        let tried = paper.play(series);
        let only = if kicked { Tried::Run } else { Tried::Kick };
        if !tried && matches!(series, Series::Touchdown(how) if how != only) {
            // Without a try the four are one.
            continue;
        }
        let mut day = played(book, day, series, tried);
        path.push(series);
        let score = day.situation().expect("set").score;
        assert_eq!([score.home, score.away].map(i32::from), paper.score, "{path:?}");
        assert_eq!(then(book, &day), paper.then, "{path:?}");
        ends[match paper.then {
            Then::Over => 0,
            Then::NewPeriod => 1,
            Then::Series(_) => 2,
        }] += 1;
        if paper.then == Then::NewPeriod {
            day = acted(book, &day, begins(Team::Away)).expect("another period");
            (paper.had, paper.then) = (0, Then::Series(Team::Away));
            assert_eq!(then(book, &day), paper.then, "{path:?}");
        }
        if path.len() < 3 && paper.then != Then::Over {
            every(book, &day, paper, path, ends);
        }
        path.pop();
    }
}

// PROPERTY: overtime of both books is what a reckoning on paper says, for every sequence of series
#[test]
fn every_sequence_of_series_of_overtime_ends_as_it_does_on_paper() {
    for (id, next_score, returned) in [("saltmarsh", true, 0), ("college", false, 2)] {
        let book = book(id);
        let over = level(&book);
        assert!(acted(&book, &over, Command::Close).is_none(), "{id}: the score is level");
        let day = acted(&book, &over, begins(Team::Home)).expect("overtime");
        let paper = Paper { score: [14, 14], had: 0, then: Then::Series(Team::Home), next_score, returned };
        assert_eq!(then(&book, &day), paper.then);
        let mut ends = [0; 3];
        every(&book, &day, paper, &mut Vec::new(), &mut ends);
        assert!(ends[0] > 0 && ends[2] > 0, "{id}: {ends:?}");
        assert_eq!(ends[1] > 0, !next_score, "{id}: {ends:?}");
    }
}

/// A ruling, a correction and a play taken back change what overtime has come to.
#[test]
fn a_play_that_is_taken_back_takes_the_end_of_the_game_back() {
    let book = book("saltmarsh");
    let day = acted(&book, &level(&book), begins(Team::Home)).expect("overtime");
    let day = played(&book, &day, Series::Returned, false);
    assert_eq!(day.overtime(&book), Some(Overtime::GameOver));
    let back = acted(&book, &day, Command::Undo).expect("the newest play");
    assert_eq!(back.overtime(&book), Some(Overtime::Series { team: Team::Home, next_score: false }));
}

/// NCAA 3-1-3, since 2021: from the second extra period on a try is not kicked, from the third on each series is one.
// PROPERTY: college overtime has no kicked try from its second period on, and tries alone from its third, won as on paper
#[test]
fn college_overtime_has_no_kicked_try_from_its_second_period_and_tries_alone_from_its_third() {
    let book = book("college");
    let mut day = acted(&book, &level(&book), begins(Team::Home)).expect("overtime");
    let tried = |day: &Day, how| {
        let clock_ms = day.situation().expect("set").clock_ms;
        acted(&book, day, Command::Advance(Advance { did: Did::Tried(how), clock_ms }))
    };
    for series in [Series::Missed, Series::Missed] {
        day = played(&book, &day, series, false);
    }
    day = acted(&book, &day, begins(Team::Away)).expect("the second");
    for _ in 0..2 {
        let clock_ms = day.situation().expect("set").clock_ms;
        let scored = Command::Advance(Advance { did: Did::Touchdown { by: Offense }, clock_ms });
        day = acted(&book, &day, scored).expect("a series");
        assert!(tried(&day, Tried::Kick).is_none(), "it may not be kicked");
        day = tried(&day, Tried::Run).expect("it may be run");
    }
    assert_eq!(day.overtime(&book), Some(Overtime::PeriodOver));
    // Two periods of tries, in every way that they can go.
    let mut ends = [0; 2];
    for first in [Tried::Run, Tried::Failed, Tried::Returned] {
        for second in [Tried::Run, Tried::Failed, Tried::Returned] {
            let mut day = day.clone();
            for (period, begin) in [(7, Team::Home), (8, Team::Away)] {
                day = acted(&book, &day, begins(begin)).expect("another period");
                let now = day.situation().expect("set");
                assert_eq!((now.period, now.next, now.spot), (period, Next::Try, Yards::whole(97)));
                assert_eq!(now.offense, begin);
                assert!(tried(&day, Tried::Kick).is_none(), "it may not be kicked");
                // The points of the team that begins, less those of the other.
                let one = match first {
                    Tried::Run => 2,
                    Tried::Failed | Tried::Kick => 0,
                    Tried::Returned => -2,
                };
                day = tried(&day, first).expect("a try");
                if one < 0 {
                    assert_eq!(
                        then(&book, &day),
                        Then::Over,
                        "the other team leads, and has a series to come"
                    );
                    ends[0] += 1;
                    break;
                }
                assert_eq!(then(&book, &day), Then::Series(begin.other()));
                assert_eq!(day.situation().expect("set").next, Next::Try);
                let lead = match second {
                    Tried::Run => one - 2,
                    Tried::Failed | Tried::Kick => one,
                    Tried::Returned => one + 2,
                };
                day = tried(&day, second).expect("a try");
                if lead != 0 {
                    assert_eq!(then(&book, &day), Then::Over, "{first:?}, {second:?}");
                    ends[0] += 1;
                    break;
                }
                assert_eq!(then(&book, &day), Then::NewPeriod, "{first:?}, {second:?}");
                ends[1] += 1;
            }
        }
    }
    assert!(ends[0] > 0 && ends[1] > 0, "{ends:?}");
}
