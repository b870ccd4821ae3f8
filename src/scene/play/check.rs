//! Everything that is wrong with a well-formed play, not only the first fault.

use super::{Act, BallAct, Hands, Play, Player, Target};

/// The longest list in a play: eight a side and a crew, with room to spare.
const MOST: usize = 40;

/// The largest coordinate in a hall, in yards.
const FAR: f64 = 100.0;

pub(super) fn faults(play: &Play) -> Vec<String> {
    let mut found = Found(Vec::new());
    found.require(play.seconds > 0.0 && play.seconds <= Play::LONGEST, || {
        format!("`seconds` is {}: more than 0, at most {}", play.seconds, Play::LONGEST)
    });
    found.require(play.players.len() <= MOST && play.ball.len() <= MOST, || {
        format!("at most {MOST} players and {MOST} acts of the ball")
    });
    found.place("`ball_at`", &[play.ball_at.0, play.ball_at.1]);
    let clock = play.board.clock_s;
    found.require((0.0..=3600.0).contains(&clock), || format!("`clock_s` is {clock}: from 0 to 3600"));
    for (number, player) in play.players.iter().enumerate() {
        let same = play.players.iter().take(number).any(|other| other.id == player.id);
        found.require(!same, || format!("two players are called `{}`", player.id));
        found.player(player, play);
    }
    found.ball(play);
    for (name, at_s) in &play.moments {
        found.time(&format!("the moment `{name}`"), *at_s);
    }
    found.0
}

struct Found(Vec<String>);

impl Found {
    fn require(&mut self, holds: bool, otherwise: impl FnOnce() -> String) {
        if !holds {
            self.0.push(otherwise());
        }
    }

    fn time(&mut self, whose: &str, at_s: f64) {
        self.require(at_s.is_finite() && (-60.0..=60.0).contains(&at_s), || {
            format!("{whose}: {at_s} s is not a time within this play")
        });
    }

    fn place(&mut self, whose: &str, parts: &[f64]) {
        let near = parts.iter().all(|part| part.is_finite() && part.abs() <= FAR);
        self.require(near, || format!("{whose}: {parts:?} lies outside the hall"));
    }

    fn known(&mut self, whose: &str, id: &str, play: &Play) {
        let known = play.players.iter().any(|player| player.id == id);
        self.require(known, || format!("{whose}: nobody is called `{id}`"));
    }

    fn player(&mut self, player: &Player, play: &Play) {
        let id = format!("`{}`", player.id);
        self.place(&id, &[player.at.0, player.at.1]);
        self.require(player.faces_deg.is_finite(), || format!("{id}: `faces_deg` is not a number"));
        self.require(player.path.len() <= MOST && player.acts.len() <= MOST, || {
            format!("{id}: at most {MOST} places and {MOST} acts")
        });
        let mut before = 0.0;
        for (at_s, x, y) in &player.path {
            self.place(&id, &[*x, *y]);
            self.require(at_s.is_finite() && *at_s > before, || {
                format!("{id}: the path at {at_s} s does not come after {before} s")
            });
            before = *at_s;
        }
        for act in &player.acts {
            let (from, to) = act.span();
            self.require(from.is_finite() && to.is_finite() && from < to, || {
                format!("{id}: an act from {from} s to {to} s")
            });
            match act {
                Act::Face { at: Target::Player(other), .. } | Act::Hands { how: Hands::On(other), .. } => {
                    self.known(&id, other, play)
                }
                Act::Face { at: Target::Place(x, y), .. } => self.place(&id, &[*x, *y]),
                Act::Hands { .. }
                | Act::Leap { .. }
                | Act::Fall { .. }
                | Act::GetDown { .. }
                | Act::GetUp { .. } => {}
            }
        }
    }

    fn ball(&mut self, play: &Play) {
        let (mut held, mut before, mut snapped) = (false, f64::NEG_INFINITY, false);
        for act in &play.ball {
            let at_s = act.at_s();
            let whose = format!("the ball at {at_s} s");
            self.time(&whose, at_s);
            self.require(at_s > before, || format!("{whose} does not come after {before} s"));
            before = at_s;
            if let Some(by) = act.by() {
                self.known(&whose, by, play);
            }
            let (needs, leaves) = match act {
                BallAct::Snap { arrives_s, .. } => {
                    self.require(!snapped && *arrives_s > at_s && *arrives_s < at_s + 5.0, || {
                        format!("{whose}: one snap, which arrives at most 5 s later")
                    });
                    snapped = true;
                    before = *arrives_s;
                    (false, true)
                }
                BallAct::Catch { control_s, high, ahead, .. } => {
                    self.require(*control_s >= at_s && *control_s < at_s + 5.0, || {
                        format!("{whose}: control comes with the touch or after it")
                    });
                    self.require(high.abs() <= 3.0 && ahead.abs() <= 3.0, || {
                        format!("{whose}: beyond the reach of arms")
                    });
                    (false, true)
                }
                BallAct::Recover { .. } => (false, true),
                BallAct::Hand { .. } => (true, true),
                BallAct::Pass { .. } => (true, false),
                BallAct::Loose { speed: (x, y, z), .. } => {
                    let slow = [x, y, z].iter().all(|part| part.is_finite() && part.abs() <= 60.0);
                    self.require(slow, || format!("{whose}: a speed of at most 60 yards a second"));
                    (held, false)
                }
            };
            self.require(needs == held || matches!(act, BallAct::Loose { .. }), || {
                format!("{whose}: {}", if needs { "nobody has it" } else { "somebody has it already" })
            });
            held = leaves;
        }
    }
}

impl Act {
    /// Start and end, in seconds.
    fn span(&self) -> (f64, f64) {
        match self {
            Act::Face { from_s, to_s, .. } | Act::Hands { from_s, to_s, .. } => (*from_s, *to_s),
            Act::Leap { at_s, lands_s, .. } => (*at_s, *lands_s),
            Act::Fall { at_s, knee_s } => (*at_s, *knee_s),
            Act::GetDown { at_s, down_s } => (*at_s, *down_s),
            Act::GetUp { at_s, up_s } => (*at_s, *up_s),
        }
    }
}
