//! What `book.ron` itself says, lowered: field, game, lines, replay, penalties, wording.

use super::exact::Yards;
use super::fault::{Fault, Kind};
use super::field::{ClockStops, Field, GameRules, PointTable};
use super::line::{Case, Guard, Line, Place};
use super::penalty::{BallState, Distance, From, OnScore, Penalty};
use super::raw::{
    Figure, RawBall, RawBook, RawBoothOn, RawBoothOnly, RawCase, RawClosed, RawDistance, RawFrom, RawGuard,
    RawLine, RawPenalty, RawPlace, RawPrice, RawReplay, RawRunOff, RawUnproven, RawWithdraw,
};
use super::replay::{
    BoothOn, BoothOnly, Closed, Coach, Labels, Limits, Price, Replay, RunOff, Standard, Unproven, Withdraw,
};
use super::spanned::{Entries, InFile, Spanned};
use super::wording::{self, Wording};
use std::collections::BTreeMap;

/// Everything of `book.ron` but its questions.
pub(super) struct Rules {
    pub field: Field,
    pub game: GameRules,
    pub lines: Vec<Line>,
    pub replay: Replay,
    pub closed: BTreeMap<String, Closed>,
    pub penalties: BTreeMap<String, Penalty>,
    pub moments: BTreeMap<String, String>,
    pub wording: Wording,
}

/// The rules of `book.ron`, or nothing if a part of it could not be read.
pub(super) fn rules<'a>(raw: &RawBook<'a>, file: InFile<'a>, faults: &mut Vec<Fault>) -> Option<Rules> {
    let field = field(raw);
    let game = game(raw);
    figures(&field, &game, file, faults);
    let lines = lines(&raw.lines, file, faults);
    let replay = replay(&raw.replay, file, faults);
    let closed = each(&raw.not_reviewable, file, faults, |_, raw: RawClosed| Closed {
        cite: raw.cite,
        because: raw.because,
    });
    let penalties = each(&raw.penalties, file, faults, penalty);
    let moments = each(&raw.moments, file, faults, |_, meaning: String| meaning);
    let wording =
        file.parse(raw.wording.trim().get_ron(), faults).map(|raw| wording::lower(&raw, file, faults));
    Some(Rules {
        field,
        game,
        lines: lines?,
        replay,
        closed: closed?,
        penalties: penalties?,
        moments: moments?,
        wording: wording?,
    })
}

/// Every entry of a map read on its own, so that each can have its own fault.
fn each<'a, R: serde::Deserialize<'a>, T>(
    entries: &Entries<'a>,
    file: InFile<'a>,
    faults: &mut Vec<Fault>,
    lower: impl Fn(&str, R) -> T,
) -> Option<BTreeMap<String, T>> {
    let mut map = BTreeMap::new();
    let mut whole = true;
    for entry in &entries.0 {
        match file.parse::<R>(entry.value, faults) {
            Some(raw) => {
                map.insert(entry.key.value.clone(), lower(&entry.key.value, raw));
            }
            None => whole = false,
        }
    }
    whole.then_some(map)
}

fn field(raw: &RawBook<'_>) -> Field {
    let field = &raw.field;
    Field {
        length: field.length.0,
        width: field.width.0,
        end_zone: field.end_zone.0,
        wall_ft: field.wall_ft.map(|height| height.0),
        posts_ft: field.posts_ft.0,
        crossbar_ft: field.crossbar_ft.0,
    }
}

fn game(raw: &RawBook<'_>) -> GameRules {
    let game = &raw.game;
    GameRules {
        players: game.players,
        periods: game.periods,
        period_s: game.period_s,
        halves_end: game.halves_end.clone(),
        downs: game.downs,
        to_gain: game.to_gain.0,
        timeouts: game.timeouts,
        points: PointTable {
            touchdown: game.points.touchdown,
            field_goal: game.points.field_goal,
            safety: game.points.safety,
            try_kick: game.points.try_kick,
            try_run: game.points.try_run,
        },
        try_spot: game.try_spot.0,
        touchback: game.touchback.0,
        touchback_free_kick: game.touchback_free_kick.map(|spot| spot.0),
        free_kick: game.free_kick.0,
        play_clock_s: game.play_clock_s,
        clock_stops: ClockStops {
            last_s: game.clock_stops.last_s,
            after: game.clock_stops.after.clone(),
            always: game.clock_stops.always.clone(),
            first_down: game.clock_stops.first_down,
            enforced_foul: game.clock_stops.enforced_foul,
            cite: game.clock_stops.cite.clone(),
        },
    }
}

/// Figures that make no game: everything later may divide by them or count with them.
fn figures(field: &Field, game: &GameRules, file: InFile<'_>, faults: &mut Vec<Fault>) {
    let inside = |yards: Yards| yards >= Yards::ZERO && yards <= field.length;
    let wrong = [
        (field.length <= Yards::ZERO, "field.length must be more than 0"),
        (field.width <= Yards::ZERO, "field.width must be more than 0"),
        (field.end_zone <= Yards::ZERO, "field.end_zone must be more than 0"),
        (game.downs == 0, "game.downs must be at least 1"),
        (game.players == 0, "game.players must be at least 1"),
        (game.periods == 0 || game.period_s == 0, "game.periods and game.period_s must be more than 0"),
        (game.to_gain <= Yards::ZERO || game.to_gain > field.length, "game.to_gain must lie on the field"),
        (!inside(game.try_spot), "game.try_spot must lie on the field"),
        (!inside(game.touchback), "game.touchback must lie on the field"),
        (!game.touchback_free_kick.is_none_or(inside), "game.touchback_free_kick must lie on the field"),
        (!inside(game.free_kick), "game.free_kick must lie on the field"),
    ];
    for (_, message) in wrong.into_iter().filter(|(wrong, _)| *wrong) {
        faults.push(Fault::new(Kind::Figure, file.whole(), message));
    }
}

fn lines<'a>(entries: &Entries<'a>, file: InFile<'a>, faults: &mut Vec<Fault>) -> Option<Vec<Line>> {
    let mut lines = Vec::new();
    for entry in &entries.0 {
        let Some(raw) = file.parse::<RawLine<'a>>(entry.value, faults) else { continue };
        let mut cases = Vec::new();
        for case in raw.cases {
            let at = file.span(case.text);
            cases.push(match case.value {
                RawCase::When { all, at: place, goes_first } => {
                    let guards = all.iter().flat_map(|raw| guard(raw, at, faults)).collect();
                    Case { guards, place: self::place(place), goes_first, at }
                }
                RawCase::Otherwise { at: place } => {
                    Case { guards: Vec::new(), place: self::place(place), goes_first: false, at }
                }
            });
        }
        lines.push(Line {
            name: entry.key.value.clone(),
            cite: raw.cite,
            cases,
            at: file.span(entry.key.text),
        });
    }
    (lines.len() == entries.0.len()).then_some(lines)
}

fn guard(raw: &RawGuard, at: super::text::Span, faults: &mut Vec<Fault>) -> Vec<Guard> {
    match raw {
        RawGuard::Down(down) => vec![Guard::Down(*down)],
        RawGuard::ToGo { at_most, over } => {
            if at_most.is_none() && over.is_none() {
                let fault = Fault::new(Kind::Figure, at, "`ToGo` says no distance");
                faults.push(fault.help("write `ToGo(at_most: 2)`, `ToGo(over: 2)` or both"));
            }
            let at_most = at_most.map(|Figure(yards)| Guard::ToGoAtMost(yards));
            at_most.into_iter().chain(over.map(|Figure(yards)| Guard::ToGoOver(yards))).collect()
        }
        RawGuard::SnapInside { yards } => vec![Guard::SnapInside(yards.0)],
        RawGuard::SnapOutside { yards } => vec![Guard::SnapOutside(yards.0)],
    }
}

fn place(raw: RawPlace) -> Place {
    match raw {
        RawPlace::Scrimmage => Place::Scrimmage,
        RawPlace::LineToGain => Place::LineToGain,
        RawPlace::GoalLine => Place::GoalLine,
        RawPlace::BeyondScrimmage { yards, never_past_goal } => {
            Place::BeyondScrimmage { yards: yards.0, never_past_goal }
        }
        RawPlace::Sides => Place::Sides,
        RawPlace::Marked { between } => Place::Marked { between },
    }
}

fn penalty(name: &str, raw: RawPenalty) -> Penalty {
    Penalty {
        name: name.to_owned(),
        by: raw.by.part(),
        says: raw.says,
        cite: raw.cite,
        distance: match raw.distance {
            RawDistance::Yards(yards) => Distance::Yards(yards.0),
            RawDistance::ToSpot { at_most, in_end_zone } => {
                Distance::ToSpot { at_most: at_most.0, in_end_zone: in_end_zone.0 }
            }
        },
        ball: match raw.ball {
            RawBall::Live => BallState::Live,
            RawBall::Dead => BallState::Dead,
            RawBall::Either => BallState::Either,
        },
        from: match raw.from {
            RawFrom::Previous => From::Previous,
            RawFrom::Succeeding => From::Succeeding,
            RawFrom::Spot => From::Spot,
            RawFrom::ThreeAndOne => From::ThreeAndOne,
            RawFrom::EndOfPlay => From::EndOfPlay,
        },
        first_down: raw.first_down,
        loss_of_down: raw.loss_of_down,
        on_score: if raw.carried_on_score { OnScore::Carried } else { OnScore::Dropped },
        safety: raw.safety,
    }
}

fn replay(raw: &RawReplay<'_>, file: InFile<'_>, faults: &mut Vec<Fault>) -> Replay {
    let standard = &raw.standard.value;
    if !(standard.established > 0.5 && standard.established <= 1.0) {
        let message = format!("`established` is a probability above 0.5, not {}", standard.established);
        let fault = Fault::new(Kind::Figure, file.span(raw.standard.text), message);
        faults.push(fault.help("write a figure such as 0.99"));
    }
    let (unproven, unproven_cite) = match &raw.unproven {
        RawUnproven::Shared { cite } => (Unproven::Shared, cite.clone()),
        RawUnproven::Stands { cite } => (Unproven::Stands, cite.clone()),
    };
    let booth_only = raw.who.booth_only.iter().map(|rule| {
        let rule = match rule {
            RawBoothOnly::LastSeconds(seconds) => BoothOnly::LastSeconds(*seconds),
            RawBoothOnly::Overtime => BoothOnly::Overtime,
            RawBoothOnly::RuledScore => BoothOnly::RuledScore,
            RawBoothOnly::RuledTurnover => BoothOnly::RuledTurnover,
        };
        (rule, raw.who.cite.clone())
    });
    Replay {
        coach: coach(raw),
        booth_only: booth_only.collect(),
        who_cite: raw.who.cite.clone(),
        booth_on: match raw.who.booth_on {
            RawBoothOn::Safety => BoothOn::Safety,
            RawBoothOn::Everything => BoothOn::Everything,
        },
        window_cite: raw.window.clone(),
        creation_cite: raw.creation.clone(),
        whistle_cite: raw.whistle.clone(),
        standard: Standard {
            cite: standard.cite.clone(),
            says: standard.says.clone(),
            established: standard.established,
        },
        limits: Limits {
            cite: raw.time.cite.clone(),
            to_ruling_s: raw.time.to_ruling_s,
            to_announcement_s: raw.time.to_announcement_s,
            guide_s: raw.time.guide_s,
        },
        unproven,
        unproven_cite,
        run_off: raw.run_off.as_ref().map(|raw| run_off(raw, file, faults)),
        labels: Labels {
            confirmed: raw.labels.confirmed.clone(),
            stands: raw.labels.stands.clone(),
            reversed: raw.labels.reversed.clone(),
        },
    }
}

fn run_off(raw: &Spanned<'_, RawRunOff>, file: InFile<'_>, faults: &mut Vec<Fault>) -> RunOff {
    let RawRunOff { cite, last_s, seconds } = raw.value.clone();
    if seconds == 0 || last_s == 0 {
        let message = "a run-off takes at least a second, in at least the last second of a half";
        let fault = Fault::new(Kind::Figure, file.span(raw.text), message);
        faults.push(fault.help("write figures such as `last_s: 60, seconds: 10`, or take the run-off out"));
    }
    RunOff { cite, last_s, seconds }
}

fn coach(raw: &RawReplay<'_>) -> Coach {
    let price = |raw: &[RawPrice]| Price {
        timeout: raw.contains(&RawPrice::Timeout),
        challenge: raw.contains(&RawPrice::Challenge),
    };
    let coach = &raw.coach;
    let (withdraw, withdraw_cite) = match &coach.withdraw {
        RawWithdraw::BeforeFirstLook { cite } => (Withdraw::BeforeFirstLook, cite.clone()),
        RawWithdraw::Never { cite } => (Withdraw::Never, cite.clone()),
    };
    Coach {
        cite: coach.cite.clone(),
        challenges: coach.challenges,
        extra_after_won: coach.extra_after_won,
        needs_timeout: coach.needs_timeout,
        lost: price(&coach.lost),
        won: price(&coach.won),
        not_reviewable: price(&coach.not_reviewable),
        withdraw,
        withdraw_cite,
        timeout_until_snap: coach.timeout_until_snap,
    }
}
