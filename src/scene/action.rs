//! A play in motion: every body and the ball at any time.

use super::ball::{At, Ball, THROW_S, Walls};
use super::body::{Pose, Trunk, sign};
use super::mover::{Base, Mover, Paths};
use super::path::Path;
use super::play::{Act, BallAct, Hands, Play, Stance};
use super::space::{Point, ramp};

/// A play with its bodies and ball prepared for any time.
#[derive(Debug, Clone)]
pub struct Action {
    /// As written.
    pub play: Play,
    pub walls: Walls,
    movers: Vec<Mover>,
    ball: Ball,
}

/// Whose hands at which time, and the ball at that time.
#[derive(Debug, Clone, Copy)]
struct Now<'a> {
    who: usize,
    t: f64,
    ball: &'a At,
}

impl Action {
    /// Prepares a play inside walls.
    pub fn new(play: Play, walls: Walls) -> Action {
        let until = play.seconds + 1.0;
        let paths: Paths = play
            .players
            .iter()
            .map(|player| (player.id.clone(), Path::new(player.at, &player.path)))
            .collect();
        let movers: Vec<Mover> =
            play.players.iter().map(|player| Mover::new(player, &paths, until)).collect();
        let index = |id: &str| play.players.iter().position(|player| player.id == id);
        let ball = Ball::new(&play, walls, &index, &|who, t| trunk_of(&movers, who, t));
        Action { play, walls, movers, ball }
    }

    /// Everyone, in the order of the play.
    pub fn movers(&self) -> &[Mover] {
        &self.movers
    }

    /// The index of a player in the play's list, by short name.
    pub fn index(&self, id: &str) -> Option<usize> {
        self.play.players.iter().position(|player| player.id == id)
    }

    /// The ball at a time, in seconds.
    pub fn ball(&self, t: f64) -> At {
        self.ball.at(t, &|who, t| trunk_of(&self.movers, who, t))
    }

    /// All bodies at a time, in the order of the play.
    pub fn poses(&self, t: f64) -> Vec<Pose> {
        let ball = self.ball(t);
        self.movers.iter().enumerate().map(|(who, mover)| self.posed(who, mover, t, &ball)).collect()
    }

    /// One body at a time; `None` for an index that the play does not have.
    pub fn pose(&self, who: usize, t: f64) -> Option<Pose> {
        self.movers.get(who).map(|mover| self.posed(who, mover, t, &self.ball(t)))
    }

    fn posed(&self, who: usize, mover: &Mover, t: f64, ball: &At) -> Pose {
        let mut base = mover.base(t);
        self.hands_on_others(&mut base, mover, t);
        for act in &self.play.ball {
            self.hands_on_ball(&mut base, act, Now { who, t, ball });
        }
        if ball.holder == Some(who) {
            self.holds(&mut base, who, t, ball);
        }
        let mut pose = Pose::new(base.trunk, base.feet, base.hands);
        if ball.holder != Some(who) {
            pose.look_at(ball.place);
        }
        pose
    }

    fn hands_on_others(&self, base: &mut Base, mover: &Mover, t: f64) {
        for act in &mover.player.acts {
            let Act::Hands { from_s, to_s, how: Hands::On(other) } = act else { continue };
            let Some(other) = self.index(other).and_then(|other| self.movers.get(other)) else { continue };
            let weight = ramp(t, from_s - 0.12, *from_s) * (1.0 - ramp(t, to_s - 0.1, *to_s));
            if weight > 0.0 {
                let chest = other.base(t).trunk.point(0.0, 0.0, 0.38);
                for side in [0, 1] {
                    let wanted = chest + base.trunk.right() * (sign(side) * 0.16);
                    base.hands[side] += (wanted - base.hands[side]) * weight;
                }
            }
        }
    }

    /// Hands that go for the ball, or have just let it go.
    fn hands_on_ball(&self, base: &mut Base, act: &BallAct, now: Now<'_>) {
        let Now { who, t, ball } = now;
        let trunk = base.trunk;
        let own = act.by().is_some_and(|by| self.index(by) == Some(who));
        let mut move_to = |side: usize, wanted: Point, weight: f64| {
            base.hands[side] += (wanted - base.hands[side]) * weight;
        };
        match act {
            BallAct::Snap { at_s, arrives_s, .. } if own => {
                let weight = ramp(t, at_s - 1.2, at_s - 0.7) * (1.0 - ramp(t, *arrives_s, arrives_s + 0.01));
                for side in [0, 1] {
                    move_to(side, trunk.point(sign(side) * 0.11, 0.32, 0.38), weight);
                }
            }
            BallAct::Snap { at_s, .. } => {
                let snaps = self.movers.get(who).is_some_and(|m| m.player.stance == Stance::Snapper);
                if snaps {
                    let weight = 1.0 - ramp(t, *at_s, at_s + 0.12);
                    let at = Point::new(self.play.ball_at.0 - 0.02, self.play.ball_at.1, 0.2);
                    move_to(1, at, weight);
                }
            }
            BallAct::Catch { at_s, high, ahead, .. } if own && t <= *at_s => {
                let weight = ramp(t, at_s - 0.45, at_s - 0.04);
                for side in [0, 1] {
                    move_to(side, trunk.point(sign(side) * 0.07, *ahead, *high - 0.02), weight);
                }
            }
            BallAct::Recover { at_s, .. } if own && t <= *at_s => {
                let weight = ramp(t, at_s - 0.35, *at_s);
                for side in [0, 1] {
                    move_to(side, ball.place + trunk.right() * (sign(side) * 0.08), weight);
                }
            }
            BallAct::Pass { at_s } if t > *at_s && self.thrower(*at_s) == Some(who) => {
                let (through, back) = (ramp(t, *at_s, at_s + 0.3), 1.0 - ramp(t, at_s + 0.35, at_s + 0.75));
                let from = trunk.point(0.24, 0.40, 0.98);
                let wanted = from + (trunk.point(-0.08, 0.42, 0.22) - from) * through;
                move_to(1, wanted, back);
            }
            BallAct::Catch { .. }
            | BallAct::Recover { .. }
            | BallAct::Pass { .. }
            | BallAct::Hand { .. }
            | BallAct::Loose { .. } => {}
        }
    }

    /// Who threw the pass at this time.
    fn thrower(&self, at_s: f64) -> Option<usize> {
        let before = self.play.ball.iter().filter(|act| act.at_s() < at_s);
        before.filter_map(BallAct::by).next_back().and_then(|by| self.index(by))
    }

    /// Hands that hold the ball: both at first, then the right arm alone, and both again before a throw.
    fn holds(&self, base: &mut Base, who: usize, t: f64, ball: &At) {
        let trunk = base.trunk;
        let throws = self.play.ball.iter().find_map(|act| match act {
            BallAct::Pass { at_s } if *at_s >= t && self.thrower(*at_s) == Some(who) => Some(*at_s),
            BallAct::Pass { .. }
            | BallAct::Snap { .. }
            | BallAct::Hand { .. }
            | BallAct::Catch { .. }
            | BallAct::Loose { .. }
            | BallAct::Recover { .. } => None,
        });
        let since = self.play.ball.iter().filter(|act| act.by().is_some() && act.at_s() <= t);
        let since = since.map(|act| match act {
            BallAct::Catch { control_s, .. } => *control_s,
            BallAct::Snap { .. }
            | BallAct::Hand { .. }
            | BallAct::Pass { .. }
            | BallAct::Loose { .. }
            | BallAct::Recover { .. } => act.at_s(),
        });
        let since = since.fold(f64::NEG_INFINITY, f64::max);
        let both = match throws {
            Some(at_s) => 1.0 - ramp(t, at_s - THROW_S, at_s - THROW_S * 0.7),
            None => 1.0 - ramp(t, since + 0.1, since + 0.45),
        };
        base.hands[1] = ball.place + trunk.right() * 0.06 - trunk.up() * 0.04;
        let left = ball.place - trunk.right() * 0.07 - trunk.up() * 0.03;
        base.hands[0] += (left - base.hands[0]) * both;
        if let Some(at_s) = throws {
            // The free arm points in the direction of the throw.
            let points =
                ramp(t, at_s - THROW_S * 0.8, at_s - THROW_S * 0.45) * (1.0 - ramp(t, at_s - 0.15, at_s));
            let wanted = trunk.point(-0.2, 0.6, 0.55);
            base.hands[0] += (wanted - base.hands[0]) * points;
        }
    }
}

fn trunk_of(movers: &[Mover], who: usize, t: f64) -> Trunk {
    match movers.get(who) {
        Some(mover) => mover.base(t).trunk,
        None => Trunk { pelvis: Point::zeros(), forward: Point::x(), pitch: 0.0 },
    }
}
