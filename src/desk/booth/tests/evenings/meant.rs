//! What a finding about a call comes to, from the league's rules (sections 3 and 4), beside the book's own effects.

use super::plays::{Occurred, Play};
use reckoning::{Day, From, Penalty, YARD};

/// What the play comes to by a ruling. Spot and clock are those that were marked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Meant {
    /// As it was entered: the call stands, or what was found changes nothing.
    AsRun,
    DownThere,
    OutThere,
    Incomplete,
    Touchdown,
    TurnedOver,
    Kick(bool),
    FalseStart,
    Foul(Penalty),
    Interference,
    /// The same end at the time that was marked.
    AnotherTime,
    /// The same spot at the time that was marked, out of bounds or not.
    SameSpot {
        out: bool,
    },
    /// Not reckoned here: the day goes on from the desk's ruling, and is counted.
    Unreckoned,
}

use Meant::{
    AnotherTime, AsRun, DownThere, FalseStart, Foul, Incomplete, Interference, Kick, OutThere, SameSpot,
    Touchdown, TurnedOver, Unreckoned,
};

/// The questions whose review may create the foul (3.8), and those about a player's safety (3.1).
pub(super) const CREATES: [&str; 6] =
    ["false-start", "beyond-scrimmage", "roughing-passer", "face-mask", "hands-to-face", "too-many"];
pub(super) const SAFETY: [&str; 4] = ["roughing-passer", "face-mask", "hands-to-face", "blow-and-answer"];

/// A question about a play, the call on the field, what is found, and where and when it is marked.
#[derive(Debug, Clone, Copy)]
pub(super) struct Case<'a> {
    pub tree: &'a str,
    pub call: &'a str,
    /// `None`: it cannot be seen.
    pub finding: Option<&'a str>,
    pub whistled: bool,
    /// The crew's flag is on the offense.
    pub flagged: Option<bool>,
    pub play: Play,
    pub before: &'a Day,
    pub spot: i64,
    pub clock_ms: i64,
}

/// The calls of a question that fit the play as it was entered.
pub(super) fn calls(tree: &str, play: Play, before: &Day, after: &Day) -> Vec<&'static str> {
    use Occurred as O;
    let what = play.what;
    let is = |of: &[O]| of.contains(&what);
    let first = after.ball == before.ball && after.spot >= before.line();
    let ran = is(&[O::Down, O::Out]) && after.score == before.score;
    let some = |calls: &[(bool, &'static str)]| {
        calls.iter().filter(|(fits, _)| *fits).map(|(_, call)| *call).collect()
    };
    let passed = is(&[O::Incomplete]);
    let scored = what == O::Touchdown && before.next != reckoning::Next::FreeKick;
    match tree {
        "catch-goal-line" => {
            some(&[(ran && what == O::Down, "complete"), (passed, "incomplete"), (scored, "touchdown")])
        }
        "catch-beyond-wall" => {
            some(&[(ran && what == O::Out, "complete"), (passed, "incomplete"), (scored, "touchdown")])
        }
        "catch-along-wall" => some(&[(ran, "complete"), (passed, "incomplete"), (scored, "touchdown")]),
        "down-or-fumble" => some(&[(ran && what == O::Down, "down"), (what == O::Turnover, "fumble")]),
        "pass-or-fumble" => some(&[(passed, "incomplete"), (what == O::Turnover, "fumble")]),
        "pass-direction" => some(&[(passed || ran, "forward"), (ran || what == O::Turnover, "backward")]),
        "pass-off-wall" => some(&[(passed, "dead"), (ran || what == O::Turnover, "live")]),
        "line-reached" => {
            let line = ran && what == O::Down;
            some(&[(line && !first, "short"), (line && first, "reached"), (scored, "touchdown")])
        }
        "kick-good" => some(&[(is(&[O::Good, O::TriedKick]), "good"), (is(&[O::NoGood]), "no good")]),
        "clock" => some(&[(ran, "as called"), (ran, "other")]),
        "blow-and-answer" => {
            some(&[(ran || passed, "foul on one"), (ran || passed, "foul on both"), (ran, "none")])
        }
        "pass-interference" => {
            let pass = ran || passed || scored;
            some(&[(pass, "foul"), (pass, "none"), (pass, "illegal contact")])
        }
        "roughing-passer" | "face-mask" | "hands-to-face" => {
            some(&[(ran || passed, "foul"), (ran || passed, "none")])
        }
        "forward-bat" => some(&[(ran, "foul"), (ran, "none")]),
        // Section 14 of the league's extensions is held by its case plays alone.
        "interception"
        | "loose-ball"
        | "free-kick-recovered"
        | "free-kick-over-wall"
        | "caught-kick"
        | "behind-own-line"
        | "behind-far-line"
        | "runner-out" => Vec::new(),
        _ => {
            let snapped = ran || passed || scored || what == O::Turnover;
            some(&[(snapped, "foul"), (snapped, "none")])
        }
    }
}

/// A five-yard penalty of the defense, from the previous spot.
const FIVE: Penalty =
    Penalty { yards: 5, by_offense: false, from: From::Previous, first_down: false, loss_of_down: false };
const CONTACT: Penalty = Penalty { first_down: true, ..FIVE };

impl Case<'_> {
    /// Where a penalty by the rule of three and one is walked off from: the end of the run, or behind it the spot of the
    /// offense's foul.
    fn three_and_one(&self, by_offense: bool) -> From {
        let end = if self.play.what == Occurred::Incomplete { self.before.spot } else { self.play.at };
        From::At(if by_offense { end.min(self.spot) } else { end })
    }

    /// The ruling changes the call, whoever profits: who challenged it has won (3.4).
    pub(super) fn reversed(&self) -> bool {
        let Some(finding) = self.finding else { return false };
        if finding.starts_with("foul") || finding == "none" || self.tree == "pass-interference" {
            return match (self.call, finding) {
                ("none", "none") => false,
                ("none", _) => CREATES.contains(&self.tree),
                (_, "none") => true,
                ("foul", "illegal contact") => true,
                ("illegal contact", _) => false,
                _ => false,
            };
        }
        match (self.tree, self.call, finding) {
            ("line-reached" | "catch-beyond-wall" | "kick-good" | "pass-off-wall", call, found) => {
                match (call, found) {
                    ("live", found) => found == "dead",
                    ("dead", found) => !["dead", "no clear catch"].contains(&found),
                    (call, found) => call != found,
                }
            }
            ("catch-goal-line" | "catch-along-wall", call, found) => !found.starts_with(call),
            (_, "down" | "incomplete", "no clear recovery") => !self.whistled,
            (_, "forward", "no clear recovery") => !self.whistled,
            (_, "forward", found) => found.starts_with("recovered"),
            (_, "backward", found) => found.contains("forward"),
            (_, "fumble", found) => !found.starts_with("recovered") && found != "no clear recovery",
            (_, "down", found) => found != "down" && !found.starts_with("on a return"),
            (_, call, found) => call != found,
        }
    }

    pub(super) fn meant(&self) -> Meant {
        // What cannot be seen leaves the call as it is, with its foul.
        let finding = match (self.finding, self.call) {
            (Some(finding), _) => finding,
            (None, "foul") => match self.flagged {
                None => "foul",
                Some(true) => "foul by the offense",
                Some(false) => "foul by the defense",
            },
            (None, "illegal contact" | "foul on one" | "foul on both") => self.call,
            (None, _) => return AsRun,
        };
        match (self.tree, self.call, finding) {
            ("blow-and-answer", _, "none") => AsRun,
            ("blow-and-answer", _, _) => Unreckoned,
            ("false-start", _, "foul") => FalseStart,
            ("pass-interference", "foul" | "illegal contact", "illegal contact") => Foul(CONTACT),
            ("pass-interference", "illegal contact", found) if found.starts_with("foul") => Foul(CONTACT),
            ("pass-interference", "foul", found) if found.starts_with("foul") => Interference,
            (_, _, found) if found.starts_with("foul") => self.penalty(found).map_or(Unreckoned, Foul),
            (_, "foul" | "none" | "illegal contact", _) => AsRun,
            ("kick-good", call, found) => {
                if call == found {
                    AsRun
                } else {
                    Kick(found == "good")
                }
            }
            // Only the pictures tell where a return went.
            (_, "fumble", found) if found.starts_with("on a return") => Unreckoned,
            ("clock", _, "right time") => AsRun,
            ("clock", _, "another time") => AnotherTime,
            ("clock", _, found) => SameSpot { out: found == "out of bounds" },
            ("line-reached", "touchdown", "touchdown") => AsRun,
            ("line-reached", _, "touchdown") => Touchdown,
            ("line-reached", _, _) => DownThere,
            ("pass-off-wall", "live", "dead") => Incomplete,
            ("pass-off-wall", "dead", "caught by the offense") => DownThere,
            ("pass-off-wall", "dead", "caught in the end zone") => Touchdown,
            ("pass-off-wall", "dead", "caught by the defense") => TurnedOver,
            ("pass-off-wall", _, _) => AsRun,
            ("catch-goal-line", _, "complete at his progress") => DownThere,
            ("catch-goal-line" | "catch-beyond-wall" | "catch-along-wall", call, found) => {
                let is = |name: &str| found == name;
                if found.starts_with(call) {
                    AsRun
                } else if is("incomplete") {
                    Incomplete
                } else if is("touchdown") {
                    Touchdown
                } else if self.tree == "catch-beyond-wall" || is("complete, then out") {
                    OutThere
                } else {
                    DownThere
                }
            }
            (_, "fumble", "down") => DownThere,
            (_, "fumble", "incomplete") | (_, "backward" | "forward", "forward, incomplete") => Incomplete,
            (_, "backward" | "forward", "illegal forward pass") => {
                Foul(Penalty { by_offense: true, from: From::At(self.spot), loss_of_down: true, ..FIVE })
            }
            (_, "down" | "incomplete" | "forward", found) if self.whistled => match found {
                "recovered by the offense" => DownThere,
                "recovered by the defense" => TurnedOver,
                _ => AsRun,
            },
            _ => AsRun,
        }
    }

    /// The penalty of a foul that is called or created, by the table of section 4.
    fn penalty(&self, found: &str) -> Option<Penalty> {
        let by_offense = found.contains("offense");
        if found.contains("after the play") {
            return None;
        }
        Some(match self.tree {
            "beyond-scrimmage" => Penalty { by_offense: true, ..FIVE },
            "inside-line" | "nobody-on-line" | "three-down" | "linebacker-moving" | "edge-too-wide" => FIVE,
            "illegal-contact" => CONTACT,
            "too-many" => Penalty { by_offense, ..FIVE },
            "motion-lead-block" => Penalty { yards: 10, by_offense: true, ..FIVE },
            "roughing-passer" => Penalty { yards: 15, from: self.three_and_one(false), ..CONTACT },
            "face-mask" => Penalty { yards: 15, by_offense, from: self.three_and_one(by_offense), ..CONTACT },
            "hands-to-face" => {
                Penalty { yards: 10, by_offense, from: self.three_and_one(by_offense), ..CONTACT }
            }
            _ => return None,
        })
    }

    /// Whether the offended team is asked to accept or decline.
    pub(super) fn asks(&self) -> bool {
        matches!(self.meant(), Foul(_) | Interference | FalseStart)
    }

    /// The day after the ruling, the price left aside; `now` is the day before it.
    pub(super) fn reckoned(&self, now: &Day, accepted: bool) -> Option<Day> {
        let Day { timeouts, challenges, won, .. } = now.clone();
        let mut day = Day { timeouts, challenges, won, ..self.before.clone() };
        let (spot, clock_ms) = (self.spot, self.clock_ms);
        match self.meant() {
            AsRun => return Some(now.clone()),
            Foul(_) | Interference if !accepted => return Some(now.clone()),
            Foul(penalty) => day.penalized(penalty, self.play.clock_ms),
            Interference => day.interfered(spot, self.play.clock_ms),
            DownThere if self.call == "complete" => day.dead_at(spot, self.play.clock_ms, false),
            DownThere => day.dead_at(spot, clock_ms, false),
            OutThere => day.dead_at(spot, clock_ms, true),
            Incomplete => day.incomplete(clock_ms),
            Touchdown => day.touchdown(true, clock_ms),
            TurnedOver => day.turnover(spot, clock_ms),
            Kick(good) if day.next == reckoning::Next::Try => {
                day.tried(if good { reckoning::Tried::Kick } else { reckoning::Tried::Failed });
            }
            Kick(good) => day.field_goal(good, clock_ms),
            FalseStart => {
                let yards = if accepted { 5 } else { 0 };
                day.succeeding(Penalty { yards, by_offense: true, ..FIVE }, false);
                // The whistle that should have been (3.12).
                (day.clock_ms, day.running) = (clock_ms, clock_ms > 0);
            }
            AnotherTime => Play { clock_ms, ..self.play }.reckon(&mut day),
            SameSpot { out } => day.dead_at(self.play.at, clock_ms, out),
            Unreckoned => return None,
        }
        Some(day)
    }
}

/// A spot for a finding: short of the line or past it where that is the question, else anywhere on the field.
pub(super) fn spot(tree: &str, finding: Option<&str>, before: &Day, drawn: i64) -> i64 {
    let half = YARD / 2;
    let (line, end) = (before.line() / half, before.league.length / half);
    let between = |low: i64, high: i64| half * (low + drawn % (high - low).max(1)).clamp(1, end - 1);
    match (tree, finding) {
        ("line-reached", Some("short")) => between(1, line),
        ("line-reached", Some("reached")) if line < end => between(line, end),
        ("pass-interference", Some("foul in the end zone")) => (end + 2) * half,
        _ => between(1, end),
    }
}
