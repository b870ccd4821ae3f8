//! Events of reviews: one of each kind, and random ones. They need not make sense as football.

use evidence::mark::{Basis, Mark, Measurement, Quantity, Shot};
use evidence::time::scoreboard::{Scoreboard, Shown};
use evidence::verdict::Verdict;
use field::exact::Yards;
use proptest::prelude::*;
use review::event::{
    Answered, Asked, Called, Event, Found, Look, Marked, Override, ReadBack, Refused, SameMoment, Snapshot,
    Texts, Tied,
};
use review::gate::{Entry, Initiator, Ruled, Stop};
use review::stance::{Outcome, Why};
use rules::book::effect::{DeadBy, Part, Points};
use rules::book::replay::Price;
use rules::book::tree::Looks;
use rules::game::enforce::{Done, Enforced};
use rules::game::play::{Choice, Flag, PlayEnd};
use rules::game::situation::{ByTeam, Challenges, ClockStart, End, Next, Situation, Team};

/// Fourth and one and a half at the offense's 38.5.
pub fn situation() -> Situation {
    Situation {
        period: 2,
        clock_ms: 281_300,
        clock_running: true,
        play_clock_s: Some(12),
        next: Next::Scrimmage { down: 4, to_go: Yards::fraction(3, 2) },
        offense: Team::Home,
        attacks: End::East,
        spot: Yards::fraction(77, 2),
        score: ByTeam { home: 20, away: 14 },
        timeouts: ByTeam { home: 2, away: 3 },
        challenges: ByTeam { home: Challenges { used: 1, won: 1 }, away: Challenges { used: 0, won: 0 } },
    }
}

pub fn asked() -> Asked {
    Asked {
        tree: "inside-line".to_owned(),
        call: "foul".to_owned(),
        whistle: None,
        ruled: vec![Ruled::Score, Ruled::Turnover],
        entry: Entry::Challenged,
    }
}

/// One event of each kind; every word of a closed set stands in one of them.
pub fn every_kind() -> Vec<Event> {
    vec![
        Event::Called(called(Initiator::Coach(Team::Home), Stop::BeforeNextSnap, situation())),
        Event::Called(called(Initiator::Booth, Stop::AfterNextSnap, kick(Next::FreeKick))),
        Event::Called(called(Initiator::Referee, Stop::BeforeNextSnap, kick(Next::Try))),
        Event::Asked(asked()),
        Event::Refused(Refused {
            asked: Asked { entry: Entry::FoundOnTheWay, whistle: Some("control".to_owned()), ..asked() },
            rule: "4.14".to_owned(),
            because: "a spot is not reviewed".to_owned(),
            price: Price { timeout: true, challenge: false },
        }),
        Event::ReadBack(ReadBack { spot: Some(Yards::fraction(85, 3)), clock_ms: Some(278_000), end: None }),
        Event::ReadBack(ReadBack::default()),
        Event::Flagged(vec![
            flag(Part::Defense, Some(Yards::fraction(-1, 8)), false),
            flag(Part::Offense, None, true),
        ]),
        Event::Chosen { penalty: "offside".to_owned(), choice: Choice::Accept },
        Event::Chosen { penalty: "offside".to_owned(), choice: Choice::Decline },
        Event::Looked(look(Looks::FullSpeed, None)),
        Event::Looked(look(Looks::Slow, Some("the hand is hidden at speed"))),
        Event::Looked(look(Looks::FrameByFrame, None)),
        Event::Marked(marked("00:41:17;22", Some(Yards::whole(12)), Some(278_040))),
        Event::Marked(marked("23:59:59:29", None, None)),
        Event::Answered(answered(Basis::Attested, None)),
        Event::Answered(answered(Basis::Computed(Verdict::Established { probability: 0.9937 }.into()), None)),
        Event::Answered(answered(
            Basis::Computed(Verdict::Refuted { probability: 0.1 + 0.2 }.into()),
            Some("I saw it"),
        )),
        Event::Answered(answered(Basis::Computed(Verdict::Inconclusive { probability: 0.5 }.into()), None)),
        Event::Answered(answered(Basis::Computed(Verdict::Contradiction.into()), None)),
        Event::Undone { act: 17 },
        Event::Settled,
        Event::Withdrawn,
        Event::Ruled(Box::new(snapshot())),
        Event::RestartReadBack,
        Event::Announced,
        Event::CutShort { reason: "the picture is gone".to_owned() },
    ]
}

fn called(initiator: Initiator, stop: Stop, situation: Situation) -> Called {
    let (game, play) = ("W03-QL-HK".to_owned(), "Q2 4:41 4&1".to_owned());
    Called { game, week: Some(3), play, initiator, stop, situation }
}

fn kick(next: Next) -> Situation {
    let spot = Yards::fraction(85, 3);
    Situation { next, spot, offense: Team::Away, attacks: End::West, play_clock_s: None, ..situation() }
}

/// A turnover for a score, so that every field is set.
fn end(spot: Option<Yards>, clock_ms: Option<i64>) -> PlayEnd {
    let spot = spot.unwrap_or(Yards::whole(3));
    let points = clock_ms.map(|_| (Points::Touchdown, Part::Defense));
    PlayEnd { spot, clock_ms, dead_by: DeadBy::ChangeOfPossession, points, turnover: true, regained: false }
}

fn flag(by: Part, spot: Option<Yards>, dead: bool) -> Flag {
    Flag { name: "offside".to_owned(), by, spot, dead, clock_ms: None }
}

fn look(kind: Looks, reason: Option<&str>) -> Look {
    let (step, camera) = ("control first".to_owned(), "B".to_owned());
    Look { question: 1, step, camera, kind, reason: reason.map(str::to_owned) }
}

fn marked(timecode: &str, x: Option<Yards>, clock_ms: Option<i64>) -> Marked {
    let (moment, camera) = ("touches down".to_owned(), "end zone".to_owned());
    let timecode = timecode.parse().expect("a timecode");
    Marked { mark: Mark { moment, camera, timecode }, x, clock_ms, shot: None, scoreboard: None }
}

fn answered(basis: Basis, reason: Option<&str>) -> Answered {
    let options = vec!["yes".to_owned(), "no".to_owned()];
    Answered { question: 0, step: "toes".to_owned(), options, basis, reason: reason.map(str::to_owned) }
}

fn snapshot() -> Snapshot {
    let outcomes = [
        Outcome::Confirmed,
        Outcome::Stands(Why::NotProven),
        Outcome::Stands(Why::Barred),
        Outcome::Stands(Why::NotShared),
        Outcome::Reversed,
    ];
    let found = |outcome| Found {
        tree: "inside-line".to_owned(),
        call: "foul".to_owned(),
        possible: vec!["foul".to_owned(), "no foul".to_owned()],
        finding: (outcome == Outcome::Reversed).then(|| "no foul".to_owned()),
        outcome,
        label: "the call stands".to_owned(),
        established: false,
        settled: true,
        moot: false,
    };
    let dones = [Done::Accepted, Done::Declined, Done::Offset, Done::ScoreCounts, Done::Carried];
    let enforced = |done| Enforced { name: "offside".to_owned(), by: Team::Away, done };
    Snapshot {
        engine: 1,
        edition: "ab".repeat(32),
        questions: outcomes.map(found).into(),
        after: situation(),
        clock_starts: Some(ClockStart::Ready),
        fouls: dones.map(enforced).into(),
        won: Some(false),
        price: Price { timeout: true, challenge: true },
        words: Texts {
            announcement: "The call stands.".to_owned(),
            crew: String::new(),
            clock: "4:38, on the snap".to_owned(),
            chains: "fourth and 1.5".to_owned(),
            log: String::new(),
        },
        overrides: vec![Override { what: "the look at `toes`".to_owned(), reason: "too fast".to_owned() }],
    }
}

fn yards() -> impl Strategy<Value = Yards> {
    (-1_000_000_000_i64..1_000_000_000, 1..=1_000_000_i64)
        .prop_map(|(over, under)| Yards::fraction(over, under))
}

fn team() -> impl Strategy<Value = Team> {
    prop::sample::select(vec![Team::Home, Team::Away])
}

fn initiator() -> impl Strategy<Value = Initiator> {
    prop_oneof![team().prop_map(Initiator::Coach), Just(Initiator::Booth), Just(Initiator::Referee)]
}

fn clock_ms() -> impl Strategy<Value = i64> {
    0..(1_i64 << 53)
}

fn next() -> impl Strategy<Value = Next> {
    let scrimmage = (any::<u8>(), yards()).prop_map(|(down, to_go)| Next::Scrimmage { down, to_go });
    prop_oneof![scrimmage, Just(Next::Try), Just(Next::FreeKick)]
}

fn any_situation() -> impl Strategy<Value = Situation> {
    let clock = (any::<u8>(), clock_ms(), any::<bool>(), any::<Option<u16>>());
    let counts = (any::<(u16, u16)>(), any::<(u8, u8)>(), any::<[u8; 4]>());
    (clock, next(), team(), any::<bool>(), yards(), counts).prop_map(
        |(
            (period, clock_ms, clock_running, play_clock_s),
            next,
            offense,
            east,
            spot,
            (score, timeouts, used),
        )| {
            let [home_used, home_won, away_used, away_won] = used;
            Situation {
                period,
                clock_ms,
                clock_running,
                play_clock_s,
                next,
                offense,
                attacks: if east { End::East } else { End::West },
                spot,
                score: ByTeam { home: score.0, away: score.1 },
                timeouts: ByTeam { home: timeouts.0, away: timeouts.1 },
                challenges: ByTeam {
                    home: Challenges { used: home_used, won: home_won },
                    away: Challenges { used: away_used, won: away_won },
                },
            }
        },
    )
}

fn basis() -> impl Strategy<Value = Basis> {
    let verdict = prop_oneof![
        (0.0..=1.0).prop_map(|probability| Verdict::Established { probability }),
        (0.0..=1.0).prop_map(|probability| Verdict::Refuted { probability }),
        (0.0..=1.0).prop_map(|probability| Verdict::Inconclusive { probability }),
        Just(Verdict::Contradiction),
    ];
    let figure = || -1e6..1e6_f64;
    let of = prop_oneof![
        Just(None),
        (text(), text(), figure(), 0.0..1.0).prop_map(|(first, then, gap_s, sigma_s)| {
            Some(Quantity::Order { first, then, gap_s, sigma_s })
        }),
        (text(), text(), figure(), figure(), 0.0..1.0).prop_map(
            |(first, then, at_least_s, gap_s, sigma_s)| {
                Some(Quantity::Gap { first, then, at_least_s, gap_s, sigma_s })
            }
        ),
        (text(), figure(), 0.0..1.0).prop_map(|(line, x, sigma)| Some(Quantity::Position { line, x, sigma })),
    ];
    let measured = (verdict, of).prop_map(|(verdict, of)| Basis::Computed(Measurement { verdict, of }));
    prop_oneof![Just(Basis::Attested), measured]
}

/// Answers that rest on a measurement with its figures, one of each kind.
pub fn measured() -> Vec<Event> {
    let (first, then) = ("control".to_owned(), "touches down".to_owned());
    let [order, gap] = [(0.012, 0.006), (0.45, 0.02)];
    let quantities = [
        Quantity::Order { first: first.clone(), then: then.clone(), gap_s: order.0, sigma_s: order.1 },
        Quantity::Gap { first, then, at_least_s: 0.5, gap_s: gap.0, sigma_s: gap.1 },
        Quantity::Position { line: "alignment line".to_owned(), x: 39.2, sigma: 0.04 },
    ];
    let verdict = Verdict::Established { probability: 0.9937 };
    let computed = |of| Basis::Computed(Measurement { verdict, of });
    quantities
        .into_iter()
        .map(Some)
        .chain([None])
        .map(|of| Event::Answered(answered(computed(of), None)))
        .collect()
}

/// Any text, the empty one and control characters among them.
fn text() -> impl Strategy<Value = String> {
    any::<String>()
}

fn scoreboard() -> impl Strategy<Value = Box<Scoreboard>> {
    let shown = (any::<u32>(), any::<i32>()).prop_map(|(step_ms, before_us)| Shown {
        timecode: "00:41:17;22".parse().expect("a timecode"),
        shown_ms: 278_000,
        step_ms,
        before_us: before_us.into(),
    });
    (text(), prop::collection::vec(shown, 0..3), any::<u32>()).prop_map(|(camera, shown, interval_us)| {
        Box::new(Scoreboard { camera, shown, interval_us: interval_us.into(), tie_us: 13_622 })
    })
}

fn shot() -> impl Strategy<Value = Shot> {
    (any::<u32>(), any::<i32>(), any::<bool>()).prop_map(|(frame, pts, exact)| Shot {
        still: exact.then(|| "5".repeat(64)),
        clip_sha256: "c".repeat(64),
        frame: frame.into(),
        pts: pts.into(),
        time_base: (1, 60_000),
        sha256: "f".repeat(64),
        exact,
    })
}

fn tied() -> impl Strategy<Value = Event> {
    let same_moment = (text(), any::<(u32, u32)>(), any::<(i32, i32)>(), prop::option::of(shot())).prop_map(
        |(camera, time_base, (since, at), shot)| {
            let timecode = "00:41:17;22".parse().expect("a timecode");
            SameMoment { camera, timecode, time_base, since: since.into(), at: at.into(), shot }
        },
    );
    prop::collection::vec(same_moment, 2).prop_map(|mut ends| {
        let (one, other) = (ends.remove(0), ends.remove(0));
        Event::Tied(Box::new(Tied { one, other }))
    })
}

/// Random events: one of each kind with what varies in it drawn anew.
pub fn events() -> impl Strategy<Value = Event> {
    let called = (text(), any::<Option<u32>>(), text(), initiator(), any_situation()).prop_map(
        |(game, week, play, initiator, situation)| {
            Event::Called(Called { game, week, play, initiator, stop: Stop::BeforeNextSnap, situation })
        },
    );
    let asked = (text(), text(), prop::option::of(text())).prop_map(|(tree, call, whistle)| {
        Event::Asked(Asked { tree, call, whistle, ruled: vec![Ruled::Turnover], entry: Entry::FoundOnTheWay })
    });
    let read_back = (prop::option::of(yards()), prop::option::of(clock_ms())).prop_map(|(spot, clock_ms)| {
        Event::ReadBack(ReadBack { spot, clock_ms, end: Some(end(spot, clock_ms)) })
    });
    let flag = (text(), prop::option::of(yards()), any::<bool>(), prop::option::of(clock_ms()))
        .prop_map(|(name, spot, dead, clock_ms)| Flag { name, by: Part::Offense, spot, dead, clock_ms });
    let looked = (0..9_usize, text(), text(), prop::option::of(text())).prop_map(
        |(question, step, camera, reason)| {
            Event::Looked(Look { question, step, camera, kind: Looks::Slow, reason })
        },
    );
    let place = (
        prop::option::of(yards()),
        prop::option::of(clock_ms()),
        prop::option::of(shot()),
        prop::option::of(scoreboard()),
    );
    let marked = (text(), text(), (0..24, 0..60, 0..60, 0..99), place).prop_map(
        |(moment, camera, (hours, minutes, seconds, frames), (x, clock_ms, shot, scoreboard))| {
            let timecode = format!("{hours:02}:{minutes:02}:{seconds:02};{frames:02}");
            let timecode = timecode.parse().expect("a timecode");
            Event::Marked(Marked { mark: Mark { moment, camera, timecode }, x, clock_ms, shot, scoreboard })
        },
    );
    let answered =
        (0..9_usize, text(), prop::collection::vec(text(), 0..4), basis(), prop::option::of(text()))
            .prop_map(|(question, step, options, basis, reason)| {
                Event::Answered(Answered { question, step, options, basis, reason })
            });
    let ruled = (any_situation(), any::<Option<bool>>(), prop::collection::vec((text(), text()), 0..4))
        .prop_map(|(after, won, overrides)| {
            let overrides = overrides.into_iter().map(|(what, reason)| Override { what, reason }).collect();
            Event::Ruled(Box::new(Snapshot { after, won, overrides, ..snapshot() }))
        });
    prop_oneof![
        called,
        asked,
        read_back,
        prop::collection::vec(flag, 0..4).prop_map(Event::Flagged),
        looked,
        marked,
        tied(),
        answered,
        ruled,
        text().prop_map(|reason| Event::CutShort { reason }),
        (0..9_usize).prop_map(|act| Event::Undone { act }),
        prop::sample::select(every_kind()),
    ]
}
