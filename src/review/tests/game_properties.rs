//! Random situations, plays and marks under every question of the Saltmarsh book: what a restart may never be.

use field::exact::Yards;
use proptest::prelude::*;
use review::gate::Initiator;
use review::ruling::{Question, Ruling, rule};
use rules::book::Book;
use rules::book::effect::{DeadBy, Effect, Part, Points, Whose};
use rules::book::penalty::{BallState, Distance, OnScore};
use rules::game::apply::{Draft, Restart};
use rules::game::enforce::Done;
use rules::game::play::{Choice, Flag, Moment, Play, PlayEnd};
use rules::game::situation::{ByTeam, Challenges, End, Next, Situation, Team};
use std::sync::LazyLock;
use testing::booth::book;
use testing::rulings::every_finding;
use testing::{repeatable, swapped};

static BOOK: LazyLock<Book> = LazyLock::new(book);

/// Sixths and eighths of a yard, from `low` to `high` yards.
fn yards(low: i64, high: i64) -> impl Strategy<Value = Yards> {
    let sixths = (low * 6..=high * 6).prop_map(|at| Yards::fraction(at, 6));
    let eighths = (low * 8..=high * 8).prop_map(|at| Yards::fraction(at, 8));
    prop_oneof![sixths, eighths, (low..=high).prop_map(Yards::whole)]
}

fn on_field() -> impl Strategy<Value = Yards> {
    yards(0, 50).prop_map(|at| at.max(Yards::fraction(1, 8)).min(Yards::fraction(399, 8)))
}

fn team() -> impl Strategy<Value = Team> {
    prop::sample::select(vec![Team::Home, Team::Away])
}

fn part() -> impl Strategy<Value = Part> {
    prop::sample::select(vec![Part::Offense, Part::Defense])
}

fn situations() -> impl Strategy<Value = Situation> {
    let next = prop_oneof![
        8 => (1..=4_u8, yards(1, 20)).prop_map(|(down, to_go)| Next::Scrimmage { down, to_go }),
        1 => Just(Next::Try),
        1 => Just(Next::FreeKick),
    ];
    let challenges = || (0..4_u8, 0..4_u8).prop_map(|(used, won)| Challenges { used, won: won.min(used) });
    let counts = ((0..60_u16, 0..60_u16), (0..4_u8, 0..4_u8), (challenges(), challenges()));
    (1..=5_u8, 0..=900_000_i64, next, (team(), any::<bool>(), on_field()), counts).prop_map(
        |(period, clock_ms, next, (offense, east, spot), (score, timeouts, challenges))| Situation {
            period,
            clock_ms,
            clock_running: true,
            play_clock_s: None,
            next,
            offense,
            attacks: if east { End::East } else { End::West },
            spot: match next {
                Next::Scrimmage { .. } => spot,
                Next::Try => Yards::whole(48),
                Next::FreeKick => Yards::ZERO,
            },
            score: ByTeam { home: score.0, away: score.1 },
            timeouts: ByTeam { home: timeouts.0, away: timeouts.1 },
            challenges: ByTeam { home: challenges.0, away: challenges.1 },
        },
    )
}

fn ends() -> impl Strategy<Value = PlayEnd> {
    let ends =
        [DeadBy::Down, DeadBy::OutOfBounds, DeadBy::Incomplete, DeadBy::ChangeOfPossession, DeadBy::Foul];
    let points = prop::option::weighted(
        0.2,
        (prop::sample::select(vec![Points::Touchdown, Points::FieldGoal, Points::Safety]), part()),
    );
    let dead_by = prop::sample::select(ends.to_vec());
    (yards(-7, 57), prop::option::weighted(0.9, -5_000..910_000_i64), dead_by, points, any::<bool>())
        .prop_map(|(spot, clock_ms, dead_by, points, turnover)| {
            let dead_by = if points.is_some() { DeadBy::Score } else { dead_by };
            PlayEnd { spot, clock_ms, dead_by, points, turnover, regained: false }
        })
}

fn flags() -> impl Strategy<Value = Flag> {
    let names: Vec<String> = BOOK.penalties.keys().cloned().collect();
    let spot = prop::option::weighted(0.8, yards(-7, 57));
    (prop::sample::select(names), part(), spot, any::<bool>()).prop_map(|(name, by, spot, dead)| {
        let by = BOOK.penalties[&name].by.unwrap_or(by);
        Flag { name, by, spot, dead, clock_ms: None }
    })
}

/// Random marks for every moment that the question's tree or the book names; some have no place.
fn plays(of: &Question<'static>) -> impl Strategy<Value = Play> + use<> {
    let mut names: Vec<String> = BOOK.moments.keys().cloned().collect();
    for step in &of.tree.steps {
        names.extend(step.proof.moments().into_iter().map(str::to_owned));
    }
    for finding in &of.tree.findings {
        names.extend(finding.dead_at.clone());
    }
    let mark = (prop::option::weighted(0.9, yards(-7, 57)), prop::option::weighted(0.9, -5_000..910_000_i64));
    let marks = prop::collection::vec(mark, names.len());
    let flags = prop::collection::vec(flags(), 0..3);
    (marks, prop::option::of(ends()), flags, any::<bool>()).prop_map(move |(marks, end, flags, decline)| {
        let marks = marks.into_iter().map(|(x, clock_ms)| Moment { x, clock_ms });
        let choice = if decline { Choice::Decline } else { Choice::Accept };
        let choices = flags.iter().map(|flag| (flag.chosen_as(&flags), choice)).collect();
        Play { moments: names.iter().cloned().zip(marks).collect(), end, flags, choices, ..Play::default() }
    })
}

/// Everything that one ruling comes from.
#[derive(Debug, Clone)]
struct Sample {
    at_snap: Situation,
    initiator: Initiator,
    finding: usize,
    question: Question<'static>,
    play: Play,
}

impl Sample {
    /// Whether the mark of a moment lies behind either goal line.
    fn behind_a_goal_line(&self, moment: &str) -> bool {
        let at = self.play.moments.get(moment).and_then(|moment| moment.x);
        at.is_some_and(|at| at <= Yards::ZERO || at >= BOOK.field.length)
    }

    fn ruling(&self) -> Ruling<'static> {
        rule(&BOOK, self.at_snap, self.initiator, std::slice::from_ref(&self.question), &self.play)
    }

    fn what(&self) -> String {
        let Question { tree, call, whistle, .. } = &self.question;
        let (call, finding) = (&tree.calls[*call].name, &tree.findings[self.finding].name);
        format!("{} called {call}, found {finding}, whistle {}", tree.id, whistle.is_some())
    }

    fn effects(&self, ruling: &Ruling<'static>) -> &'static [Effect] {
        let decided = &ruling.questions[0];
        decided.restart.unwrap_or(&self.question.tree.calls[self.question.call].result)
    }
}

fn samples() -> impl Strategy<Value = Sample> {
    let all = every_finding(&BOOK);
    let initiator = prop_oneof![team().prop_map(Initiator::Coach), Just(Initiator::Booth)];
    (0..all.len(), situations(), initiator, prop::option::of(part())).prop_flat_map(
        move |(index, at_snap, initiator, flag_on)| {
            let finding = all[index].finding;
            let question = Question { flag_on, ..all[index].question.clone() };
            plays(&question).prop_map(move |play| {
                let question = question.clone();
                Sample { at_snap, initiator, finding, question, play }
            })
        },
    )
}

fn is_possible_or_open(restart: &Restart, what: &str) -> Result<(), TestCaseError> {
    let possible = restart.after.possible(&BOOK.field, &BOOK.game);
    prop_assert!(possible.is_ok() || !restart.open.is_empty(), "{}: {:?}: {:?}", what, possible, restart);
    Ok(())
}

/// Points per team of the effects, or of the play's own end where it counts; from section 1.
fn points(sample: &Sample, effects: &[Effect]) -> Vec<(u16, Team)> {
    let on_try = sample.at_snap.next == Next::Try;
    let worth = |points| match (points, on_try) {
        (Points::Touchdown, false) => 6,
        (Points::Touchdown, true) => 2,
        (Points::FieldGoal, false) => 3,
        (Points::FieldGoal, true) => 1,
        (Points::Safety, _) => 2,
    };
    let own_end = sample.play.end.and_then(|end| end.points);
    // A ball recovered where it was lost, behind one goal line, leaves the play as it ended.
    let own_end = own_end.filter(|_| {
        let as_ruled = |effect: &Effect| matches!(effect, Effect::Recovered { .. } | Effect::LostOut { .. });
        effects.contains(&Effect::PlayCounts) || effects.iter().any(as_ruled)
    });
    let both = [Part::Offense, Part::Defense];
    let stated = effects.iter().flat_map(|effect| match effect {
        Effect::Score { points, by: Whose::Offense } => vec![(*points, Part::Offense)],
        Effect::Score { points, by: Whose::Defense } => vec![(*points, Part::Defense)],
        Effect::Score { points, by: Whose::AsRuled } => both.map(|by| (*points, by)).to_vec(),
        // Behind a goal line it is a touchdown or a safety, by the mark.
        Effect::DeadAt(moment) | Effect::DeadShortAt(moment) if sample.behind_a_goal_line(moment) => {
            both.into_iter().flat_map(|by| [(Points::Touchdown, by), (Points::Safety, by)]).collect()
        }
        _ => Vec::new(),
    });
    // A foul of the offense behind its own goal line, measured from there (extensions, 11).
    let behind = |flag: &&Flag| flag.by == Part::Offense && flag.spot.is_some_and(|spot| spot <= Yards::ZERO);
    let fouled = sample.play.flags.iter().any(|flag| behind(&flag))
        || effects.iter().any(|effect| match effect {
            Effect::Foul { spot: Some(moment), .. } => sample.behind_a_goal_line(moment),
            _ => false,
        });
    let fouled = fouled.then_some((Points::Safety, Part::Defense));
    stated.chain(own_end).chain(fouled).map(|(points, by)| (worth(points), sample.at_snap.team(by))).collect()
}

proptest! {
    #![proptest_config(repeatable(20_000))]

    // PROPERTY: no play leads to an impossible restart under any finding
    #[test]
    fn a_restart_is_a_possible_situation_or_says_what_is_still_open(sample in samples()) {
        let ruling = sample.ruling();
        prop_assert!(ruling.questions[0].possible.has(sample.finding) && ruling.questions[0].possible.len() == 1);
        is_possible_or_open(&ruling.restart, &sample.what())?;
    }

    // PROPERTY: every number says how it came about, and its last entry is the number
    #[test]
    fn every_number_of_a_restart_has_its_account(sample in samples()) {
        let restart = sample.ruling().restart;
        testing::accounted(&restart.ledger, &restart.after, restart.clock_starts, &|| sample.what());
    }

    #[test]
    fn points_change_only_by_a_score(sample in samples()) {
        let ruling = sample.ruling();
        let possible = points(&sample, sample.effects(&ruling));
        let (before, after) = (sample.at_snap.score, ruling.restart.after.score);
        let gained = [(Team::Home, after.home - before.home), (Team::Away, after.away - before.away)];
        for (team, gained) in gained {
            // A foul by the scoring team takes the score away, so nothing gained is always possible.
            prop_assert!(gained == 0 || possible.contains(&(gained, team)), "{}: {gained}", sample.what());
        }
        prop_assert!(gained.iter().filter(|(_, gained)| *gained > 0).count() <= 1);
    }

    #[test]
    fn timeouts_and_challenges_change_only_by_the_coachs_price(sample in samples()) {
        let ruling = sample.ruling();
        let (before, after) = (sample.at_snap, ruling.restart.after);
        for team in [Team::Home, Team::Away] {
            let (timeouts, used) = (*before.timeouts.of(team), *before.challenges.of(team));
            let asked = sample.initiator == Initiator::Coach(team);
            let won = ruling.won == Some(true);
            // 3.3: lost, the timeout is charged; won, it is not; a challenge is used either way.
            let charged = u8::from(asked && !won).min(timeouts);
            prop_assert_eq!(*after.timeouts.of(team), timeouts - charged, "{}", sample.what());
            let expected =
                Challenges { used: used.used + u8::from(asked), won: used.won + u8::from(asked && won) };
            prop_assert_eq!(*after.challenges.of(team), expected, "{}", sample.what());
        }
        prop_assert_eq!(ruling.won.is_some(), matches!(sample.initiator, Initiator::Coach(_)));
    }

    // PROPERTY: teams and ends swapped give the ruling swapped
    #[test]
    fn teams_and_ends_swapped_give_the_result_swapped(sample in samples()) {
        let ruling = sample.ruling();
        let initiator = match sample.initiator {
            Initiator::Coach(team) => Initiator::Coach(team.other()),
            other => other,
        };
        let mirrored = Sample { at_snap: swapped(sample.at_snap), initiator, ..sample.clone() }.ruling();
        prop_assert_eq!(swapped(ruling.restart.after), mirrored.restart.after, "{}", sample.what());
        prop_assert_eq!(ruling.restart.open, mirrored.restart.open);
        prop_assert_eq!(ruling.restart.clock_starts, mirrored.restart.clock_starts);
        prop_assert_eq!((ruling.won, ruling.price), (mirrored.won, mirrored.price));
    }

    #[test]
    fn declining_everything_gives_the_plays_own_result(sample in samples()) {
        let flags = &sample.play.flags;
        let names = BOOK.penalties.keys().cloned().chain(flags.iter().map(|flag| flag.chosen_as(flags)));
        let everything = names.map(|name| (name, Choice::Decline)).collect();
        let declined = Play { choices: everything, ..sample.play.clone() };
        let without = Play { flags: Vec::new(), ..declined.clone() };
        let one_side = |play: &Play| {
            let by = |part| play.flags.iter().any(|flag| flag.by == part);
            !(by(Part::Offense) && by(Part::Defense))
        };
        // A foul that the question itself states may offset with a flag on the other side.
        let states_a_foul =
            sample.effects(&sample.ruling()).iter().any(|effect| matches!(effect, Effect::Foul { .. }));
        if !one_side(&declined) || states_a_foul {
            return Ok(());
        }
        let declined = Sample { play: declined, ..sample.clone() }.ruling();
        let without = Sample { play: without, ..sample.clone() }.ruling();
        prop_assert_eq!(declined.restart.after, without.restart.after, "{}", sample.what());
        prop_assert_eq!(declined.restart.clock_starts, without.restart.clock_starts, "{}", sample.what());
        prop_assert_eq!(declined.restart.open, without.restart.open, "{}", sample.what());
    }

    #[test]
    fn a_penalty_walks_its_yards_or_half_the_distance_and_never_more(
        at_snap in situations(), end in ends(), flag in flags(), spot in on_field(),
    ) {
        let spotted = PlayEnd { spot, clock_ms: Some(300_000), ..end };
        let play = Play { end: Some(spotted), flags: vec![flag.clone()], ..Play::default() };
        let plain = Play { flags: Vec::new(), ..play.clone() };
        let effects = [Effect::PlayCounts];
        let restart = |play: &Play| {
            let mut draft = Draft::new(&BOOK, at_snap, play);
            draft.fold(0, &effects);
            draft.restart()
        };
        let (with, without) = (restart(&play), restart(&plain));
        is_possible_or_open(&with, &flag.name)?;
        if !with.open.is_empty() {
            // A foul without a place has no result yet, and is never ruled.
            return Ok(());
        }
        let penalty = &BOOK.penalties[&flag.name];
        let dead = flag.dead || penalty.ball == BallState::Dead;
        let scored_against = end.points.is_some_and(|(_, by)| by != flag.by);
        let done = with.fouls[0].done;
        match done {
            Done::ScoreCounts => prop_assert!(!dead && scored_against && penalty.on_score == OnScore::Dropped),
            Done::Carried => prop_assert!(!dead && scored_against && penalty.on_score == OnScore::Carried),
            Done::Accepted => prop_assert!(dead || !scored_against),
            // 3.10: found dead earlier, live fouls fall away; safety fouls stay.
            Done::FellAway => prop_assert!(flag.dead && penalty.ball == BallState::Live && !penalty.safety),
            Done::Declined | Done::Offset => prop_assert!(false, "{:?} without a choice or another foul", done),
        }
        let yards = match penalty.distance {
            Distance::Yards(yards) => yards,
            Distance::ToSpot { at_most, .. } => at_most,
        };
        let Distance::Yards(_) = penalty.distance else { return Ok(()) };
        if matches!(done, Done::ScoreCounts | Done::FellAway) {
            return Ok(());
        }
        // When a series of overtime ends, the next one begins at its own spot, wherever the foul is walked to.
        if BOOK.game.is_overtime(at_snap.period) && with.after.offense != at_snap.offense {
            return Ok(());
        }
        // Added to where the receivers have a free kick (extensions, 15).
        if at_snap.next == Next::FreeKick && flag.by == Part::Offense && with.after.offense != at_snap.offense {
            return Ok(());
        }
        // Behind the own goal line, measured from there, it is a safety (extensions, 11).
        if flag.by == Part::Offense && !dead && flag.spot.is_some_and(|spot| spot <= Yards::ZERO) && penalty.needs_spot(flag.by, false) {
            prop_assert!(matches!(with.after.next, Next::FreeKick) || with.after.next == at_snap.next, "{:?} to {:?}", flag, with.after);
            return Ok(());
        }
        // In the frame of the offense of the snap, which every candidate shares.
        let seen = |situation: &Situation| match situation.offense == at_snap.offense {
            true => situation.spot,
            false => BOOK.field.length - situation.spot,
        };
        let from = [Some(at_snap.spot), Some(spot), flag.spot, Some(seen(&without.after))];
        let walks = |from: Yards| {
            let moved = match flag.by {
                Part::Offense => from - yards.min(from.half()),
                Part::Defense => from + yards.min((BOOK.field.length - from).half()),
            };
            moved == seen(&with.after)
        };
        prop_assert!(from.into_iter().flatten().any(walks), "{:?} from {:?} to {:?}", flag, without.after, with.after);
    }
}
