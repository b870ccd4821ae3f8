//! Effects applied: from the situation at the snap to the situation that a ruling leads to.
//!
//! The questions of a review are folded in play order into one draft of the play; then the draft is
//! turned into the next situation, and the fouls are enforced upon it.

use super::dead::{self, Came, Dead, Read};
use super::enforce::review::{self, Stated};
use super::enforce::timing::{self, Played};
use super::enforce::{Done, Enforced};
use super::known::{as_ruled, had_ball};
use super::ledger::{Cause, Ledger, Step, record};
use super::open::Open;
use super::outcome::{Down, Ending, Special};
use super::play::{Flag, Moment, Play, PlayEnd};
use super::situation::{ClockStart, Next, Situation};
use crate::book::Book;
use crate::book::effect::{DeadBy, Effect, Fouler, Part, Points, Whose};
use field::exact::Yards;
use std::collections::BTreeSet;

/// The situation that a ruling leads to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Restart {
    /// The next situation, as far as it is known.
    pub after: Situation,
    /// How the game clock starts; `None` where it does not.
    pub clock_starts: Option<ClockStart>,
    /// The play itself stops the clock, until the ready signal or until the snap.
    pub clock_stopped: bool,
    /// How many seconds have run off because a ruling was changed.
    pub run_off_s: Option<u32>,
    pub fouls: Vec<Enforced>,
    /// Their names in a choice, in the same order.
    pub chosen_as: Vec<String>,
    /// What is still needed before it is complete.
    pub open: Vec<Open>,
    /// The rules leave it to the referee.
    pub discretion: bool,
    /// How the play scores, fouls left aside.
    pub points: Option<Points>,
    pub ledger: Ledger,
}

/// The play as the questions folded so far leave it.
#[derive(Debug, Clone)]
pub struct Draft<'b, 'p> {
    book: &'b Book,
    at_snap: Situation,
    play: &'p Play,
    spot: Result<Yards, Open>,
    /// The spot is a mark that may lie behind a goal line.
    dead: Option<Dead<'b>>,
    ball: Part,
    came: Came<'b>,
    /// The other team had the ball before.
    gained: bool,
    clock_ms: Result<i64, Open>,
    dead_by: DeadBy,
    down: Down,
    special: Option<Special>,
    points: Option<(Points, Part)>,
    /// A question has set how the play ended.
    ended: bool,
    flags: Vec<Stated<'b>>,
    governed: BTreeSet<&'b str>,
    open: BTreeSet<Open>,
    discretion: bool,
    /// What the clock showed when a question found the ball dead.
    dead_ms: Option<i64>,
    steps: Vec<Step>,
}

impl<'b, 'p> Draft<'b, 'p> {
    /// A play that no question has changed yet.
    pub fn new(book: &'b Book, at_snap: Situation, play: &'p Play) -> Draft<'b, 'p> {
        Draft {
            book,
            at_snap,
            play,
            spot: Ok(at_snap.spot),
            dead: None,
            ball: Part::Offense,
            came: Came::Straight,
            gained: false,
            clock_ms: Ok(at_snap.clock_ms),
            dead_by: DeadBy::Down,
            down: Down::Counts,
            special: None,
            points: None,
            ended: false,
            flags: Vec::new(),
            governed: BTreeSet::new(),
            open: BTreeSet::new(),
            discretion: false,
            dead_ms: None,
            steps: Vec::new(),
        }
    }

    /// This penalty is a question of the review: the crew's flag counts only if a finding says so.
    pub fn governs(&mut self, penalty: &'b str) {
        self.governed.insert(penalty);
    }

    /// Folds in what the question of this number makes of the play.
    pub fn fold(&mut self, question: usize, effects: &'b [Effect]) {
        let says_the_end = effects.iter().any(|effect| match effect {
            Effect::PreviousSpot
            | Effect::SpotAt(_)
            | Effect::SpotAtOrBehind(_)
            | Effect::DeadAt(_)
            | Effect::DeadShortAt(_)
            | Effect::HadAsRuled
            | Effect::TurnOver
            | Effect::RunBack
            | Effect::Recovered { .. }
            | Effect::LostOut { .. }
            | Effect::Touchback
            | Effect::KickFails
            | Effect::Score { .. } => true,
            Effect::NextDown
            | Effect::RepeatDown
            | Effect::FirstDown
            | Effect::ClockAt(_)
            | Effect::DeadBy(_)
            | Effect::PlayCounts
            | Effect::Foul { .. }
            | Effect::Discretion => false,
        });
        if says_the_end && !effects.contains(&Effect::PlayCounts) {
            // A question that says how the play ended replaces the end as a whole.
            self.begin_again();
        }
        for effect in effects {
            self.one(effect);
        }
        let so_far = self.ending().0.result(self.book, &self.at_snap);
        record(&mut self.steps, Cause::Question(question), so_far, None);
    }

    /// How the play ended, as far as it is known, and what that still needs: what is not known yet stays as it was at
    /// the snap.
    fn ending(&self) -> (Ending, Option<Open>) {
        let (ball, special, points) = (self.ball, self.special, self.points);
        let spot = self.spot.clone().unwrap_or(self.at_snap.spot);
        let clock_ms = self.clock_ms.clone().unwrap_or(self.at_snap.clock_ms);
        let gained = self.gained || ball == Part::Defense;
        // Who has the ball after it changed hands, or after a free kick, begins a series.
        let kicked = self.at_snap.next == Next::FreeKick && spot != self.at_snap.spot;
        let begins = self.ended && (gained || kicked);
        let down = if begins && self.down == Down::Counts { Down::First } else { self.down };
        let ending = Ending { clock_ms, spot, ball, down, special, points, gained };
        let settled = points.is_some() || special.is_some() || self.spot.is_err();
        let Some(dead) = self.dead.filter(|_| !settled) else { return (ending, None) };
        let known = (dead, self.came);
        match dead::read(self.book, &self.play.moments, &self.at_snap, known, ending) {
            Read::Ends(ending) => (ending, None),
            Read::AsRuled => {
                let mut as_ruled = self.clone();
                as_ruled.begin_again();
                as_ruled.ended = false;
                as_ruled.play_counts();
                let (as_ruled, open) = as_ruled.ending();
                (Ending { clock_ms, ..as_ruled }, open)
            }
            Read::Needs(open) => (ending, Some(open)),
        }
    }

    /// The team that had the ball at the end of the play as it was ruled; on a free kick without an end, the receivers.
    fn as_ruled(&self) -> Part {
        as_ruled(&self.at_snap, self.play.ruled_end().as_ref())
    }

    fn whose(&self, team: Whose) -> Part {
        match team {
            Whose::Offense => Part::Offense,
            Whose::Defense => Part::Defense,
            Whose::AsRuled => self.as_ruled(),
        }
    }

    fn begin_again(&mut self) {
        self.spot = Ok(self.at_snap.spot);
        self.clock_ms = Ok(self.at_snap.clock_ms);
        self.dead = None;
        self.ball = Part::Offense;
        self.came = Came::Straight;
        self.gained = false;
        self.down = Down::Counts;
        self.special = None;
        self.points = None;
        self.ended = true;
    }

    fn one(&mut self, effect: &'b Effect) {
        match effect {
            Effect::PreviousSpot => (self.spot, self.dead) = (Ok(self.at_snap.spot), None),
            Effect::SpotAt(moment) => (self.spot, self.dead) = (self.spot_at(moment), None),
            Effect::SpotAtOrBehind(moment) => {
                self.dead = None;
                let previous = self.at_snap.spot;
                self.spot = self.spot_at(moment).map(|mark| mark.min(previous));
            }
            Effect::DeadAt(moment) => self.dead_at(Dead { moment, short: false }),
            Effect::DeadShortAt(moment) => self.dead_at(Dead { moment, short: true }),
            Effect::HadAsRuled => {
                self.ball = self.as_ruled();
                self.gained = self.ball == Part::Defense;
                if self.gained {
                    self.came = Came::Ran;
                }
            }
            Effect::TurnOver => {
                let from = self.ball;
                self.came = match self.gained {
                    true => Came::Recovered { from, lost: None, own: false },
                    false => Came::Straight,
                };
                (self.ball, self.gained) = (from.other(), true);
            }
            Effect::RunBack => {
                (self.ball, self.came, self.gained) = (Part::Defense, Came::Ran, true);
            }
            Effect::Recovered { by, from, lost, himself } => {
                let from = self.whose(*from);
                self.gained = from == Part::Defense;
                (self.ball, self.came) = (*by, Came::Recovered { from, lost: Some(lost), own: *himself });
            }
            Effect::LostOut { by, lost } => {
                self.ball = self.whose(*by);
                self.gained = self.ball == Part::Defense;
                self.came = Came::Lost { at: lost };
            }
            Effect::Touchback => self.special = Some(Special::Touchback),
            Effect::KickFails => self.special = Some(Special::KickFails),
            Effect::NextDown => self.down = Down::Counts,
            Effect::RepeatDown => self.down = Down::Repeats,
            Effect::FirstDown => self.down = Down::First,
            Effect::Score { points, by } => {
                self.points = Some((*points, self.whose(*by)));
            }
            Effect::ClockAt(moment) => self.clock_ms = self.clock_at(moment),
            Effect::DeadBy(dead_by) => self.dead_by = *dead_by,
            Effect::PlayCounts => self.play_counts(),
            Effect::Foul { name, by, spot, dead } => self.foul(name, *by, spot.as_deref(), *dead),
            Effect::Discretion => self.leave_to_referee(),
        }
    }

    fn moment(&self, name: &str) -> Moment {
        self.play.moments.get(name).copied().unwrap_or(Moment { x: None, clock_ms: None })
    }

    fn spot_at(&self, moment: &str) -> Result<Yards, Open> {
        self.on_field(moment, self.moment(moment).x)
    }

    fn dead_at(&mut self, dead: Dead<'b>) {
        let (end_zone, length) = (self.book.field.end_zone, self.book.field.length);
        let open = |open: fn(String) -> Open| open(dead.moment.to_owned());
        self.spot = match self.moment(dead.moment).x {
            None => Err(open(Open::Spot)),
            Some(x) if x < Yards::ZERO - end_zone || x > length + end_zone => Err(open(Open::OffField)),
            Some(x) => Ok(x),
        };
        self.dead = Some(dead);
    }

    fn on_field(&self, moment: &str, x: Option<Yards>) -> Result<Yards, Open> {
        let x = x.ok_or_else(|| Open::Spot(moment.to_owned()))?;
        if x <= Yards::ZERO || x >= self.book.field.length {
            return Err(Open::OffField(moment.to_owned()));
        }
        Ok(x)
    }

    fn clock_at(&self, moment: &str) -> Result<i64, Open> {
        self.on_clock(moment, self.moment(moment).clock_ms)
    }

    fn on_clock(&self, moment: &str, clock_ms: Option<i64>) -> Result<i64, Open> {
        let clock_ms = clock_ms.ok_or_else(|| Open::Clock(moment.to_owned()))?;
        if !(0..=i64::from(self.book.game.period_s) * 1000).contains(&clock_ms) {
            return Err(Open::OffClock(moment.to_owned()));
        }
        Ok(clock_ms)
    }

    /// The play's own end, unless an earlier question has put it elsewhere.
    fn play_counts(&mut self) {
        if self.ended {
            return;
        }
        match self.play.end {
            Some(end) => self.end(end),
            None => {
                self.spot = self.spot_at("end of play");
                self.clock_ms = self.clock_at("end of play");
                self.ball = self.as_ruled();
                self.ended = true;
            }
        }
    }

    fn end(&mut self, end: PlayEnd) {
        self.ended = true;
        self.dead = None;
        self.spot = match end.dead_by {
            DeadBy::Incomplete => Ok(self.at_snap.spot),
            DeadBy::Down
            | DeadBy::OutOfBounds
            | DeadBy::Score
            | DeadBy::ChangeOfPossession
            | DeadBy::Foul => self.on_field("end of play", Some(end.spot)),
        };
        self.clock_ms = self.on_clock("end of play", end.clock_ms);
        self.dead_by = end.dead_by;
        self.points = end.points;
        self.ball = had_ball(&end);
        self.gained = end.regained;
        // Kickers who keep their free kick begin a series.
        if self.at_snap.next == Next::FreeKick && self.ball == Part::Offense {
            self.down = Down::First;
        }
    }

    fn foul(&mut self, name: &str, by: Fouler, spot_at: Option<&'b str>, dead: bool) {
        let flag = self.play.flags.iter().find(|flag| flag.name == name);
        let by = match by {
            Fouler::Offense => Part::Offense,
            Fouler::Defense => Part::Defense,
            Fouler::Called => match flag {
                Some(flag) => flag.by,
                None => {
                    self.open.insert(Open::Flag(name.to_owned()));
                    return;
                }
            },
        };
        let marked = spot_at.and_then(|moment| self.moment(moment).x);
        let again = || self.play.flags.iter().filter(|again| flag.is_some_and(|flag| flag.is_same(again)));
        let spot = marked.or_else(|| again().find_map(|flag| flag.spot));
        let dead = dead || flag.is_some_and(|flag| flag.dead);
        let clock_ms = flag.and_then(|flag| flag.clock_ms);
        let flag = Flag { name: name.to_owned(), by, spot, dead, clock_ms };
        let chosen_as = flag.chosen_as(&self.play.flags);
        self.flags.push(Stated { flag, spot_at, chosen_as });
    }

    /// Sets what the clock showed when the ball was found dead: later flags are for a dead ball.
    pub fn ball_dead_at(&mut self, clock_ms: Option<i64>) {
        self.dead_ms = clock_ms;
    }

    /// Makes the fouls from this number on dead-ball fouls, since the ball was found dead before.
    pub fn ball_was_dead(&mut self, from_flag: usize) {
        for stated in self.flags.iter_mut().skip(from_flag) {
            stated.flag.dead = true;
        }
    }

    /// The rules leave what follows to the referee.
    pub fn leave_to_referee(&mut self) {
        self.discretion = true;
    }

    /// How many fouls the questions have stated so far.
    pub fn flags(&self) -> usize {
        self.flags.len()
    }

    /// The situation that the draft leads to.
    pub fn restart(mut self) -> Restart {
        let all = &self.play.flags;
        // A question is about the first foul of its name: another one, dead or on the other team, is no part of it.
        let asked = |flag: &Flag| {
            all.iter().find(|first| first.name == flag.name).is_some_and(|first| first.is_same(flag))
        };
        let others = all.iter().filter(|flag| !self.governed.contains(flag.name.as_str()) || !asked(flag));
        let dead_ms = self.dead_ms;
        let others = others.cloned().map(|flag| {
            let after = flag.clock_ms.zip(dead_ms).is_some_and(|(flag, dead)| flag < dead);
            let chosen_as = flag.chosen_as(all);
            Stated { flag: Flag { dead: flag.dead || after, ..flag }, spot_at: None, chosen_as }
        });
        let flags: Vec<Stated<'_>> = others.chain(std::mem::take(&mut self.flags)).collect();
        // What is not known yet is open.
        let (ending, needs) = self.ending();
        let needs_spot = ending.points.is_none() && ending.special != Some(Special::Touchback);
        self.open.extend(self.spot.clone().err().filter(|_| needs_spot));
        self.open.extend(self.clock_ms.clone().err());
        let misses_end_zone = needs.is_some();
        self.open.extend(needs);
        let dead_by = if ending.points.is_some() { DeadBy::Score } else { self.dead_by };
        let ran = review::ran(self.book, self.at_snap, ending, dead_by);
        let choices = &self.play.choices;
        let review::Ruled { after, fouls, chosen_as, steps } =
            review::fouls(self.book, &ran, &flags, choices, &mut self.open);
        for step in steps {
            record(&mut self.steps, step.cause, step.after, None);
        }
        // A question that does not fit the play (a missed field goal on a free kick) can lead off the field: that
        // is reported as open, and never ruled.
        if !misses_end_zone && after.possible(&self.book.field, &self.book.game).is_err() {
            self.open.insert(Open::OffField("snap".to_owned()));
        }
        let any = |done| fouls.iter().any(|foul| foul.done == done);
        let played = Played {
            dead_by: Some(dead_by),
            theirs: ending.ball == Part::Defense,
            // What a kick does to the clock, the finding says.
            kicked: false,
            // A score stops the clock also where fouls of both teams take it back: the ball was dead in the end zone.
            scored: ending.points.is_some(),
            enforced: any(Done::Accepted),
            replayed: any(Done::Offset),
        };
        let starts = timing::starts(self.book, &self.at_snap, &after, played);
        let clock_starts = starts.how;
        let clock_stopped = clock_starts != Some(ClockStart::Ready) || self.stops_for_first_down(&after);
        let after = Situation { clock_running: clock_starts == Some(ClockStart::Ready), ..after };
        record(&mut self.steps, Cause::Clock(starts.why), after, clock_starts);
        let ledger = Ledger {
            at_snap: self.at_snap,
            steps: self.steps,
            fouls: flags.into_iter().map(|stated| stated.flag.name).collect(),
        };
        Restart {
            after,
            clock_starts,
            clock_stopped,
            run_off_s: None,
            fouls,
            chosen_as,
            open: self.open.into_iter().collect(),
            discretion: self.discretion,
            points: ending.points.map(|(points, _)| points),
            ledger,
        }
    }

    /// A new series of the same team stops the clock until the ready signal, where the book says so.
    fn stops_for_first_down(&self, after: &Situation) -> bool {
        let first = matches!(after.next, Next::Scrimmage { down: 1, .. });
        self.book.game.clock_stops.first_down && first && self.down != Down::Repeats
    }
}
