//! A game reckoned as a statistician keeps a scorebook: from the league's rules alone, in whole numbers, by nothing that
//! the program itself uses. Spots are in the frame of the team that has the ball or kicks: 0 is its own goal line.

#[cfg(test)]
mod examples;
mod penalty;

pub use penalty::{From, Penalty};

/// One yard. Half the distance to the goal line can be halved ten times before a length is no whole number.
pub const YARD: i64 = 1024;

/// The figures of a league. Lengths are in parts of a [`YARD`], times in milliseconds.
#[derive(Debug, PartialEq, Eq)]
pub struct League {
    pub length: i64,
    pub to_gain: i64,
    pub downs: u8,
    pub periods: u8,
    pub period_ms: i64,
    /// The end of a half in which the clock stops more often.
    pub late_ms: i64,
    pub timeouts: u8,
    pub overtime_timeouts: u8,
    pub touchdown: u16,
    pub field_goal: u16,
    pub safety: u16,
    pub try_kick: u16,
    pub try_run: u16,
    /// Where a try, a free kick, a drive after a touchback and one of overtime begin.
    pub try_spot: i64,
    pub free_kick: i64,
    pub touchback: i64,
    pub overtime_spot: i64,
}

/// The invented league, by sections 1 and 3.3 of its rules.
pub const SALTMARSH: League = League {
    length: 50 * YARD,
    to_gain: 10 * YARD,
    downs: 4,
    periods: 4,
    period_ms: 900_000,
    late_ms: 60_000,
    timeouts: 3,
    overtime_timeouts: 1,
    touchdown: 6,
    field_goal: 3,
    safety: 2,
    try_kick: 1,
    try_run: 2,
    try_spot: 48 * YARD,
    free_kick: 0,
    touchback: 5 * YARD,
    overtime_spot: 25 * YARD,
};

/// What the next snap or kick is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Next {
    Down { down: u8, to_go: i64 },
    Try,
    FreeKick,
}

/// What became of a try.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Tried {
    Kick,
    Run,
    Failed,
    /// The other team had the ball: the try is over.
    Returned,
}

/// The home team is 0, the visitors are 1.
pub type Team = usize;

/// A game between two plays.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Day {
    pub league: &'static League,
    pub period: u8,
    pub clock_ms: i64,
    /// The clock runs on, or starts on the ready signal.
    pub running: bool,
    pub next: Next,
    /// Who has the ball, or kicks.
    pub ball: Team,
    /// They go east.
    pub east: bool,
    pub spot: i64,
    pub score: [u16; 2],
    pub timeouts: [u8; 2],
    pub challenges: [u8; 2],
    pub won: [u8; 2],
    /// Possessions of overtime that have begun; 0 before it.
    pub series: u8,
}

impl Day {
    /// Before the opening kick.
    pub fn opening(league: &'static League, kickers: Team, east: bool) -> Day {
        Day {
            league,
            period: 1,
            clock_ms: league.period_ms,
            running: false,
            next: Next::FreeKick,
            ball: kickers,
            east,
            spot: league.free_kick,
            score: [0; 2],
            timeouts: [league.timeouts; 2],
            challenges: [0; 2],
            won: [0; 2],
            series: 0,
        }
    }

    /// The last minute of a half, where more stops the clock.
    pub fn late(&self) -> bool {
        let half = self.league.periods / 2;
        (self.period == half || self.period == 2 * half) && self.clock_ms <= self.league.late_ms
    }

    /// The line that a first down needs: the line to gain, or the goal line.
    pub fn line(&self) -> i64 {
        match self.next {
            Next::Down { to_go, .. } => (self.spot + to_go).min(self.league.length),
            Next::Try | Next::FreeKick => self.league.length,
        }
    }

    /// The alignment line is not five yards out: fourth and two or less, or snapped inside the five (2).
    pub fn shortened(&self) -> bool {
        let fourth = matches!(self.next, Next::Down { down: 4, to_go } if to_go <= 2 * YARD);
        fourth || self.league.length - self.spot < 5 * YARD
    }

    /// The clock after a play: in the last minute of a half some ends stop it until the snap. Overtime has none.
    pub fn timed(&mut self, clock_ms: i64, stops: bool) {
        self.clock_ms = clock_ms;
        self.running = clock_ms > 0 && self.series == 0 && !(stops && self.late());
    }

    /// The other team has the ball at the same place.
    fn turn(&mut self) {
        self.ball = 1 - self.ball;
        self.east = !self.east;
        self.spot = self.league.length - self.spot;
    }

    fn first_down(&mut self) {
        let to_go = self.league.to_gain.min(self.league.length - self.spot);
        self.next = Next::Down { down: 1, to_go };
    }

    /// A free kick by the team that has the ball; in overtime the other one's possession.
    fn free_kick(&mut self) {
        if self.series > 0 {
            return self.next_possession();
        }
        (self.next, self.spot, self.running) = (Next::FreeKick, self.league.free_kick, false);
    }

    /// The other team took the ball, or a kick, and was stopped here: first down; in overtime at midfield.
    pub fn turnover(&mut self, at: i64, clock_ms: i64) {
        if self.series > 0 {
            return self.next_possession();
        }
        self.spot = at;
        self.turn();
        self.first_down();
        self.timed(clock_ms, true);
    }

    /// The ball was dead in the offense's hands here; `stops`: by an incomplete pass or out of bounds.
    pub fn dead_at(&mut self, at: i64, clock_ms: i64, stops: bool) {
        if at >= self.league.length {
            return self.touchdown(true, clock_ms);
        }
        if at <= 0 {
            return self.safety(clock_ms);
        }
        let Next::Down { down, .. } = self.next else { return };
        let line = self.line();
        if at >= line {
            self.spot = at;
            self.first_down();
            self.timed(clock_ms, stops);
        } else if down == self.league.downs {
            self.turnover(at, clock_ms);
        } else {
            (self.spot, self.next) = (at, Next::Down { down: down + 1, to_go: line - at });
            self.timed(clock_ms, stops);
        }
    }

    pub fn incomplete(&mut self, clock_ms: i64) {
        self.dead_at(self.spot, clock_ms, true);
    }

    /// By the team that snapped or kicked off, or by the other one.
    pub fn touchdown(&mut self, own: bool, clock_ms: i64) {
        if !own {
            self.turn();
            // Their possession is over.
            self.series += u8::from(self.series > 0);
        }
        self.score[self.ball] += self.league.touchdown;
        (self.next, self.spot) = (Next::Try, self.league.try_spot);
        (self.clock_ms, self.running) = (clock_ms, false);
    }

    /// Missed and dead past the goal line, the opponents have it at the previous spot, at least at their touchback's.
    pub fn field_goal(&mut self, good: bool, clock_ms: i64) {
        if good {
            self.score[self.ball] += self.league.field_goal;
            self.clock_ms = clock_ms;
            return self.free_kick();
        }
        self.turnover(self.spot.min(self.league.length - self.league.touchback), clock_ms);
    }

    /// The team that gave it up kicks.
    pub fn safety(&mut self, clock_ms: i64) {
        self.score[1 - self.ball] += self.league.safety;
        self.clock_ms = clock_ms;
        self.free_kick();
    }

    /// A kick that was dead in or past the end zone.
    pub fn touchback(&mut self, clock_ms: i64) {
        self.turnover(self.league.length - self.league.touchback, clock_ms);
    }

    /// The kickers got their free kick back here: the ball has not changed hands.
    pub fn kick_kept(&mut self, at: i64, clock_ms: i64) {
        self.spot = at;
        self.first_down();
        self.timed(clock_ms, false);
    }

    /// A try is untimed, and over when the ball changes hands. Who tried kicks off.
    pub fn tried(&mut self, tried: Tried) {
        self.score[self.ball] += match tried {
            Tried::Kick => self.league.try_kick,
            Tried::Run => self.league.try_run,
            Tried::Failed | Tried::Returned => 0,
        };
        self.free_kick();
    }

    /// A whistle by mistake: the same down; only the time is gone.
    pub fn again(&mut self, clock_ms: i64) {
        (self.clock_ms, self.running) = (clock_ms, self.running && clock_ms > 0);
    }

    pub fn timeout(&mut self, team: Team) {
        self.timeouts[team] -= 1;
        self.running = false;
    }

    /// A challenge that was ruled on (3.3): one less, and lost, a timeout is charged.
    pub fn challenged(&mut self, team: Team, won: bool) {
        self.challenges[team] += 1;
        self.won[team] += u8::from(won);
        self.timeouts[team] -= u8::from(!won);
    }

    /// Whether this team's coach may challenge: two a game, a third after two won, and a timeout in hand (3.3).
    pub fn may_challenge(&self, team: Team) -> bool {
        let all = 2 + u8::from(self.won[team] >= 2);
        self.challenges[team] < all && self.timeouts[team] > 0
    }

    /// The second period of a half: the teams change ends, and play goes on.
    pub fn next_quarter(&mut self) {
        (self.period, self.clock_ms, self.running) = (self.period + 1, self.league.period_ms, false);
        self.east = !self.east;
    }

    /// The second half, with a kick by this team.
    pub fn second_half(&mut self, kickers: Team, east: bool) {
        (self.period, self.clock_ms) = (self.period + 1, self.league.period_ms);
        (self.ball, self.east, self.timeouts) = (kickers, east, [self.league.timeouts; 2]);
        self.free_kick();
    }

    /// The first possession of overtime, with one timeout each.
    pub fn overtime(&mut self, ball: Team, east: bool) {
        (self.period, self.clock_ms) = (self.period + 1, self.league.period_ms);
        (self.ball, self.east, self.timeouts) = (1 - ball, east, [self.league.overtime_timeouts; 2]);
        self.next_possession();
    }

    /// The other team has the ball, at midfield, toward the same end.
    fn next_possession(&mut self) {
        self.ball = 1 - self.ball;
        (self.spot, self.series, self.running) = (self.league.overtime_spot, self.series + 1, false);
        self.first_down();
    }

    /// A team has won in overtime: the other one has had the ball and cannot draw level. After one possession each the
    /// next score wins.
    pub fn over(&self) -> bool {
        let [home, away] = self.score;
        let behind = usize::from(away < home);
        let last = self.series == 2 && self.ball == behind;
        let try_run = if self.ball == behind { self.league.try_run } else { 0 };
        match self.next {
            Next::Try => self.series > 1 && home.abs_diff(away) > try_run,
            Next::Down { .. } | Next::FreeKick => self.series > 1 && home != away && !last,
        }
    }

    /// The time is up, and no try is left.
    pub fn period_over(&self) -> bool {
        self.clock_ms == 0 && self.next != Next::Try
    }
}
