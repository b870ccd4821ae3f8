//! What `book.ron` itself holds, lowered: field, game, lines, replay, penalties.

pub(super) mod discretion;
mod figures;

use super::defect::{Defect, Kind};
use super::discretion::Discretion;
use super::enforcement::{ClockRunOff, Enforcement};
use super::game_rules::{GameRules, PointTable};
use super::line::{Case, Guard, Line, Place};
use super::penalty::{Distance, OnScore, Penalty};
use super::raw::penalty::{RawDistance, RawPenalty};
use super::raw::replay::{RawClosed, RawPrice, RawReplay, RawUnproven, RawWithdraw};
use super::raw::{Figure, RawBook, RawCase, RawField, RawGame, RawGuard, RawLine, RawPlace};
use super::replay::{Closed, Coach, Price, Replay, Unproven, Withdraw};
use super::spanned::{Entries, InFile, Spanned};
use super::text::Span;
use field::Field;
use field::exact::Yards;
use std::collections::BTreeMap;

/// Everything of `book.ron` but its questions; `None` for a part that could not be read.
pub(super) struct Rules {
    pub field: Option<Field>,
    pub game: Option<GameRules>,
    pub enforcement: Option<Enforcement>,
    /// Those that could be read.
    pub lines: Vec<Line>,
    pub replay: Option<Replay>,
    pub closed: BTreeMap<String, Closed>,
    pub penalties: BTreeMap<String, Penalty>,
    pub moments: BTreeMap<String, String>,
    /// `Some(None)`: the book has none.
    pub discretion: Option<Option<Discretion>>,
    pub checklist: Option<Vec<String>>,
}

pub(super) fn rules<'a>(raw: &RawBook<'a>, file: InFile<'a>, defects: &mut Vec<Defect>) -> Rules {
    let raw_field = file.parse::<RawField<'a>>(raw.field.0, defects);
    let raw_game = file.parse::<RawGame<'a>>(raw.game.0, defects);
    let mut wrong = figures::of_field(raw_field.as_ref());
    wrong.extend(figures::of_game(raw_game.as_ref(), raw_field.as_ref()));
    for (text, message) in &wrong {
        let defect = Defect::new(Kind::Figure, file.span(text), message);
        defects.push(defect.help("write the figure that the rules have"));
    }
    // Lines are not checked against impossible figures.
    let sound = wrong.is_empty();
    Rules {
        field: raw_field.filter(|_| sound).map(|raw| field(&raw)),
        game: raw_game.filter(|_| sound).map(|raw| game(&raw)),
        enforcement: match raw.enforcement {
            Some(raw) => file.parse(raw.0, defects).inspect(|read: &Enforcement| {
                if let Some(ClockRunOff { last_s, seconds, .. }) = read.run_off {
                    takes_time(last_s, seconds, file.span(raw.0), defects);
                }
            }),
            None => Some(Enforcement::default()),
        },
        lines: lines(&raw.lines, file, defects),
        replay: file.parse(raw.replay.0, defects).map(|raw| replay(&raw, file, defects)),
        closed: each(&raw.not_reviewable, file, defects, |_, raw: RawClosed| Closed {
            cite: raw.cite,
            because: raw.because,
            price: raw.price.as_deref().map(price),
        }),
        penalties: penalties(raw, file, defects),
        moments: each(&raw.moments, file, defects, |_, meaning: String| meaning),
        discretion: match raw.discretion {
            Some(slice) => discretion::lower(slice, raw, file, defects).map(Some),
            None => Some(None),
        },
        checklist: match raw.checklist {
            Some(raw) => file.parse(raw.0, defects),
            None => Some(Vec::new()),
        },
    }
}

/// Every entry of a map read on its own, so that each can have its own defect.
fn each<'a, R: serde::Deserialize<'a>, T>(
    entries: &Entries<'a>,
    file: InFile<'a>,
    defects: &mut Vec<Defect>,
    lower: impl Fn(&str, R) -> T,
) -> BTreeMap<String, T> {
    let mut map = BTreeMap::new();
    for entry in &entries.0 {
        if let Some(raw) = file.parse::<R>(entry.value, defects) {
            map.insert(entry.key.value.clone(), lower(&entry.key.value, raw));
        }
    }
    map
}

/// Reports a run-off that takes no time.
fn takes_time(last_s: u32, seconds: u32, at: Span, defects: &mut Vec<Defect>) {
    if seconds == 0 || last_s == 0 {
        let message = "a run-off takes at least a second, in at least the last second of a half";
        let help = "write figures such as `last_s: 60, seconds: 10`, or take the run-off out";
        defects.push(Defect::new(Kind::Figure, at, message).help(help));
    }
}

fn field(field: &RawField<'_>) -> Field {
    Field {
        length: field.length.value.0,
        width: field.width.value.0,
        end_zone: field.end_zone.value.0,
        wall_ft: field.wall_ft.map(|height| height.0),
        posts_ft: field.posts_ft.0,
        crossbar_ft: field.crossbar_ft.0,
    }
}

fn game(game: &RawGame<'_>) -> GameRules {
    GameRules {
        players: game.players.value,
        periods: game.periods.value,
        period_s: game.period_s.value,
        halves_end: game.halves_end.value.clone(),
        downs: game.downs.value,
        to_gain: game.to_gain.value.0,
        timeouts: game.timeouts,
        points: PointTable {
            touchdown: game.points.touchdown,
            field_goal: game.points.field_goal,
            safety: game.points.safety,
            try_kick: game.points.try_kick,
            try_run: game.points.try_run,
            try_return: game.points.try_return,
            try_safety: game.points.try_safety.unwrap_or(game.points.safety),
        },
        try_spot: game.try_spot.value.0,
        touchback: game.touchback.value.0,
        touchback_free_kick: game.touchback_free_kick.as_ref().map(|spot| spot.value.0),
        free_kick: game.free_kick.value.0,
        free_kick_after_safety: game.free_kick_after_safety.as_ref().map(|spot| spot.value.0),
        free_kick_out: game.free_kick_out.as_ref().map(|spot| spot.value.0),
        free_kick_at_least: game.free_kick_at_least.as_ref().map(|spot| spot.value.0),
        overtime_spot: game.overtime_spot.as_ref().map(|spot| spot.value.0),
        overtime_timeouts: game.overtime_timeouts,
        overtime_no_kicked_try_from: game.overtime_no_kicked_try_from,
        overtime_tries_from: game.overtime_tries_from.as_ref().map(|from| from.value),
        overtime_next_score: game.overtime_next_score.as_ref().is_some_and(|wins| wins.value),
        may_end_level: game.may_end_level,
        forfeit_score: game.forfeit_score.as_ref().map(|points| points.value),
        play_clock_after_stop_s: game.play_clock_after_stop_s,
        play_clock_s: game.play_clock_s,
        whole_seconds: game.whole_seconds,
        clock_stops: game.clock_stops.clone(),
    }
}

fn lines<'a>(entries: &Entries<'a>, file: InFile<'a>, defects: &mut Vec<Defect>) -> Vec<Line> {
    let mut lines = Vec::new();
    for entry in &entries.0 {
        let Some(raw) = file.parse::<RawLine<'a>>(entry.value, defects) else { continue };
        let mut cases = Vec::new();
        let before = defects.len();
        for case in raw.cases {
            let at = file.span(case.text);
            cases.push(match case.value {
                RawCase::When { all, at: place, goes_first } => {
                    let guards = all.iter().flat_map(|raw| guard(raw, at, defects)).collect();
                    Case { guards, place: self::place(place), goes_first, at }
                }
                RawCase::Otherwise { at: place } => {
                    Case { guards: Vec::new(), place: self::place(place), goes_first: false, at }
                }
            });
        }
        if defects.len() > before {
            continue;
        }
        lines.push(Line {
            name: entry.key.value.clone(),
            cite: raw.cite,
            cases,
            at: file.span(entry.key.text),
        });
    }
    lines
}

pub(super) fn guard(raw: &RawGuard, at: Span, defects: &mut Vec<Defect>) -> Vec<Guard> {
    match raw {
        RawGuard::Down(down) => vec![Guard::Down(*down)],
        RawGuard::ToGo { at_most, over } => {
            if at_most.is_none() && over.is_none() {
                let defect = Defect::new(Kind::Figure, at, "`ToGo` has no distance");
                defects.push(defect.help("write `ToGo(at_most: 2)`, `ToGo(over: 2)` or both"));
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

fn penalties<'a>(
    raw: &RawBook<'a>,
    file: InFile<'a>,
    defects: &mut Vec<Defect>,
) -> BTreeMap<String, Penalty> {
    let penalties = each(&raw.penalties, file, defects, penalty);
    for entry in &raw.penalties.0 {
        let negative = |penalty: &Penalty| {
            let (one, other) = match penalty.distance {
                Distance::Yards(yards) => (yards, yards),
                Distance::ToSpot { at_most, in_end_zone, .. } => (at_most, in_end_zone),
            };
            let figures = [Some(one), Some(other), penalty.offense_yards, penalty.or_beyond];
            figures.into_iter().flatten().any(|yards| yards < Yards::ZERO)
        };
        if penalties.get(&entry.key.value).is_some_and(negative) {
            let message = format!("the penalty `{}` goes backwards", entry.key.value);
            let help = "write the yards from 0 up; `by` says who is put back";
            defects.push(Defect::new(Kind::Figure, file.span(entry.key.text), message).help(help));
        }
        if penalties.get(&entry.key.value).is_some_and(|penalty| penalty.disqualifies_at == Some(0)) {
            let message = format!("0 fouls of `{}` disqualify a player", entry.key.value);
            let help = "write how many fouls of it disqualify a player, from 1, or leave it out";
            defects.push(Defect::new(Kind::Figure, file.span(entry.key.text), message).help(help));
        }
    }
    penalties
}

fn penalty(name: &str, raw: RawPenalty) -> Penalty {
    Penalty {
        name: name.to_owned(),
        by: raw.by.part(),
        says: raw.says,
        cite: raw.cite,
        distance: match raw.distance {
            RawDistance::Yards(yards) => Distance::Yards(yards.0),
            RawDistance::ToSpot { at_most, in_end_zone, capped, inside_mark } => {
                let (at_most, in_end_zone) = (at_most.0, in_end_zone.0);
                Distance::ToSpot { at_most, in_end_zone, capped, inside_mark }
            }
        },
        ball: raw.ball,
        from: raw.from,
        first_down: raw.first_down,
        loss_of_down: raw.loss_of_down,
        on_score: if raw.carried_on_score { OnScore::Carried } else { OnScore::Dropped },
        offense_yards: raw.offense_yards.map(|yards| yards.0),
        conduct: raw.conduct,
        previous_behind_line: raw.previous_behind_line,
        adds_to_pass: raw.adds_to_pass,
        receivers_ball: raw.receivers_ball,
        tack_on: !raw.no_tack_on,
        outlasts_series: raw.outlasts_series,
        or_beyond: raw.or_beyond.map(|yards| yards.0),
        stops_clock: raw.stops_clock,
        team_foul: raw.team_foul,
        disqualifies_at: raw.disqualifies_at,
        safety: raw.safety,
        with: raw.with,
    }
}

fn replay(raw: &RawReplay<'_>, file: InFile<'_>, defects: &mut Vec<Defect>) -> Replay {
    let standard = &raw.standard.value;
    if !(standard.established > 0.5 && standard.established <= 1.0) {
        let message = format!("`established` is a probability above 0.5, not {}", standard.established);
        let defect = Defect::new(Kind::Figure, file.span(raw.standard.text), message);
        defects.push(defect.help("write a figure such as 0.99"));
    }
    if let Some(Spanned { value, text }) = &raw.run_off {
        takes_time(value.last_s, value.seconds, file.span(text), defects);
    }
    let (unproven, unproven_cite) = match &raw.unproven {
        RawUnproven::Shared { cite } => (Unproven::Shared, cite.clone()),
        RawUnproven::Stands { cite } => (Unproven::Stands, cite.clone()),
    };
    let booth_only = raw.who.booth_only.iter().map(|rule| (*rule, raw.who.cite.clone()));
    Replay {
        coach: coach(raw),
        booth_only: booth_only.collect(),
        who_cite: raw.who.cite.clone(),
        booth_on: raw.who.booth_on,
        window_cite: raw.window.clone(),
        creation_cite: raw.creation.clone(),
        whistle_cite: raw.whistle.clone(),
        standard: standard.clone(),
        limits: raw.time.clone(),
        unproven,
        unproven_cite,
        run_off: raw.run_off.as_ref().map(|run_off| run_off.value.clone()),
        labels: raw.labels.clone(),
    }
}

fn price(raw: &[RawPrice]) -> Price {
    Price { timeout: raw.contains(&RawPrice::Timeout), challenge: raw.contains(&RawPrice::Challenge) }
}

fn coach(raw: &RawReplay<'_>) -> Coach {
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
