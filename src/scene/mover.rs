//! One player over time: from path and acts to trunk, feet and hands. `src/scene/action.rs`, which knows where the ball
//! is, adds what they do with it.

use super::body::{HIP, HIP_RADIUS, SHANK, THIGH, TRUNK, Trunk, ankle, sign};
use super::gait::{Foot, Gait, Steps};
use super::heading::Heading;
use super::path::Path;
use super::play::{Act, Hands, Landing, Player, Stance, Target};
use super::space::{GRAVITY, Point, UP, between, direction, ground, ramp};
use std::collections::BTreeMap;

/// The path of every player by short name, for turning towards one of them.
pub(crate) type Paths = BTreeMap<String, Path>;

/// A player, with place and posture at any time.
#[derive(Debug, Clone)]
pub struct Mover {
    /// As written.
    pub player: Player,
    path: Path,
    heading: Heading,
    gait: Gait,
    /// When they leave their stance.
    starts_s: f64,
    /// In the order of time.
    leaps: Vec<Leap>,
}

#[derive(Debug, Clone, Copy)]
struct Leap {
    from_s: f64,
    to_s: f64,
    lands: Landing,
    rises: f64,
    lasts_z: f64,
}

/// A player at one time, apart from the ball.
#[derive(Debug, Clone, Copy)]
pub struct Base {
    pub trunk: Trunk,
    /// Left and right.
    pub feet: [Foot; 2],
    /// Left and right.
    pub hands: [Point; 2],
    /// Yards a second.
    pub speed: f64,
}

/// Height of the hips of a standing player, in yards, with slightly bent knees.
const STANDS: f64 = 1.03;
const LIES: f64 = 0.16;

impl Mover {
    /// Prepares a player: path, steps and turns.
    pub fn new(player: &Player, paths: &Paths, until: f64) -> Mover {
        let path = Path::new(player.at, &player.path);
        let heading = Heading::new(&path, player.faces_deg.to_radians(), until, |t, place| {
            player.acts.iter().find_map(|act| match act {
                Act::Face { from_s, to_s, at } if (*from_s..*to_s).contains(&t) => match at {
                    Target::Place(x, y) => Some(ground(*x, *y) - place),
                    Target::Player(id) => paths.get(id).map(|other| other.at(t).0 - place),
                },
                Act::Face { .. }
                | Act::Hands { .. }
                | Act::Leap { .. }
                | Act::Fall { .. }
                | Act::GetDown { .. }
                | Act::GetUp { .. } => None,
            })
        });
        let airborne: Vec<(f64, f64)> = player.acts.iter().filter_map(off_the_feet).collect();
        let stance = match player.stance {
            Stance::Upright => (0.26, 0.10),
            Stance::Ready => (0.40, 0.22),
            Stance::ThreePoint => (0.42, 0.34),
            Stance::Snapper => (0.50, 0.06),
        };
        let steps = Steps { path: &path, heading: &heading, stance, airborne: &airborne, until };
        let gait = Gait::new(&steps);
        let starts_s = path.moves_at(until + 10.0);
        let mut mover = Mover { player: player.clone(), path, heading, gait, starts_s, leaps: Vec::new() };
        mover.leaps = mover.ballistics();
        mover
    }

    pub(crate) fn gait(&self) -> &Gait {
        &self.gait
    }

    /// Leaps with the vertical speed that makes each last as long as written.
    fn ballistics(&self) -> Vec<Leap> {
        let leaps = self.player.acts.iter().filter_map(|act| match act {
            Act::Leap { at_s, lands_s, lands } => Some((*at_s, *lands_s, *lands)),
            Act::Face { .. }
            | Act::Hands { .. }
            | Act::Fall { .. }
            | Act::GetDown { .. }
            | Act::GetUp { .. } => None,
        });
        leaps
            .map(|(from_s, to_s, lands)| {
                let z = self.base(from_s - 1e-6).trunk.pelvis.z;
                let lasts_z = match lands {
                    Landing::Feet => 0.92,
                    // The hips meet the ground.
                    Landing::Prone => HIP_RADIUS,
                };
                let lasts = to_s - from_s;
                Leap { from_s, to_s, lands, rises: (lasts_z - z) / lasts + GRAVITY * lasts / 2.0, lasts_z }
            })
            .collect()
    }

    /// Place and posture at a time, in seconds.
    pub fn base(&self, t: f64) -> Base {
        let (place, velocity) = self.path.at(t);
        let (forward, speed) = (self.heading.at(t), velocity.norm());
        let feet = [self.gait.foot(0, t, speed), self.gait.foot(1, t, speed)];
        let stance = self.stance_weight(t);
        let (crouch_z, crouch_pitch) = match self.crouch() {
            Stance::Upright => (STANDS, 0.05),
            Stance::Ready => (0.86, 0.55),
            Stance::ThreePoint => (0.74, 1.32),
            Stance::Snapper => (0.74, 1.42),
        };
        let along = velocity.dot(&forward);
        let (_, soon) = self.path.at(t + 0.08);
        let (_, just) = self.path.at(t - 0.08);
        let pushes = ((soon - just).dot(&forward) / 0.16 * 0.022).clamp(-0.25, 0.3);
        let runs = (0.05 + 0.032 * along + pushes).clamp(-0.18, 0.55);
        // Out of a crouch, the player rises while running.
        let z = between(STANDS - 0.012 * speed.min(7.0), crouch_z, stance);
        let pelvis = Point::new(place.x, place.y, z);
        let trunk = Trunk { pelvis, forward, pitch: between(runs, crouch_pitch, stance) };
        let mut base = Base { trunk, feet, hands: [pelvis; 2], speed };
        base.trunk.pelvis.z = reachable(&base);
        base.hands = self.hands(&base, stance, t);
        self.leave_the_feet(&mut base, t);
        base
    }

    /// The stance of the player, including one that they get down into later.
    fn crouch(&self) -> Stance {
        let gets_down = self.player.acts.iter().any(|act| matches!(act, Act::GetDown { .. }));
        match self.player.stance {
            Stance::Upright if gets_down => Stance::ThreePoint,
            Stance::Upright | Stance::Ready | Stance::ThreePoint | Stance::Snapper => self.player.stance,
        }
    }

    /// 1 in the stance, 0 out of it.
    fn stance_weight(&self, t: f64) -> f64 {
        let mut weight = if self.player.stance == Stance::Upright { 0.0 } else { 1.0 };
        for act in &self.player.acts {
            match act {
                Act::GetDown { at_s, down_s } => weight = between(weight, 1.0, ramp(t, *at_s, *down_s)),
                Act::GetUp { at_s, up_s } => weight = between(weight, 0.0, ramp(t, *at_s, *up_s)),
                Act::Face { .. } | Act::Hands { .. } | Act::Leap { .. } | Act::Fall { .. } => {}
            }
        }
        weight * (1.0 - ramp(t, self.starts_s - 0.03, self.starts_s + 0.5))
    }

    fn hands(&self, base: &Base, stance: f64, t: f64) -> [Point; 2] {
        let trunk = &base.trunk;
        let amount = (base.speed / 4.5).min(1.0);
        [0, 1].map(|side| {
            let out = trunk.right() * sign(side);
            let shoulder = trunk.shoulder(side);
            // An arm swings with the opposite leg.
            let other = base.feet[1 - side].toe - trunk.pelvis;
            let swing = (other.dot(&trunk.forward) / 0.6).clamp(-1.0, 1.0);
            let hangs = shoulder - UP * 0.62 + trunk.forward * 0.10 + out * 0.07;
            let pumps = shoulder + trunk.forward * (0.14 + 0.32 * swing)
                - UP * (0.38 - 0.20 * swing.max(0.0))
                - out * (0.10 * swing.max(0.0));
            let moves = hangs + (pumps - hangs) * amount;
            let crouches = match self.crouch() {
                Stance::Upright => hangs,
                Stance::Ready => trunk.point(sign(side) * 0.20, 0.30, 0.16),
                Stance::ThreePoint | Stance::Snapper if side == 1 => {
                    ground(trunk.pelvis.x, trunk.pelvis.y) + trunk.forward * 0.62 + UP * 0.05 + out * 0.06
                }
                Stance::ThreePoint | Stance::Snapper => {
                    trunk.pelvis + trunk.forward * 0.32 - UP * 0.16 + out * 0.20
                }
            };
            let mut hand = moves + (crouches - moves) * stance;
            for act in &self.player.acts {
                if let Act::Hands { from_s, to_s, how } = act {
                    let weight = ramp(t, *from_s, from_s + 0.18) * (1.0 - ramp(t, to_s - 0.15, *to_s));
                    let wanted = match how {
                        Hands::Up => shoulder + UP * 0.66 + trunk.forward * 0.12 + out * 0.06,
                        Hands::Block => shoulder + trunk.forward * 0.52 - UP * 0.04 - out * 0.04,
                        // `action` moves these onto the other body.
                        Hands::On(_) => shoulder + trunk.forward * 0.55,
                    };
                    hand += (wanted - hand) * weight;
                }
            }
            hand
        })
    }

    /// Leaps and falls: the feet no longer hold the player.
    fn leave_the_feet(&self, base: &mut Base, t: f64) {
        for leap in &self.leaps {
            if t < leap.from_s {
                continue;
            }
            let (in_air, lasts) = ((t - leap.from_s).min(leap.to_s - leap.from_s), leap.to_s - leap.from_s);
            let start = leap.lasts_z - leap.rises * lasts + GRAVITY * lasts * lasts / 2.0;
            let z = start + leap.rises * in_air - GRAVITY * in_air * in_air / 2.0;
            let landed = ramp(t, leap.to_s, leap.to_s + 0.3);
            match leap.lands {
                Landing::Feet if t < leap.to_s => {
                    base.trunk.pelvis.z = z;
                    hang(
                        base,
                        ramp(t, leap.from_s, leap.from_s + 0.12)
                            * (1.0 - ramp(t, leap.to_s - 0.2, leap.to_s)),
                    );
                }
                Landing::Feet => {}
                Landing::Prone => {
                    base.trunk.pelvis.z = between(z, LIES, landed);
                    let stretched = between(base.trunk.pitch, 1.42, ramp(in_air / lasts, 0.05, 0.75));
                    base.trunk.pitch = between(stretched, 1.52, landed);
                    hang(base, ramp(t, leap.from_s, leap.from_s + 0.12));
                    lie(base, landed);
                }
            }
        }
        for act in &self.player.acts {
            if let Act::Fall { at_s, knee_s } = act
                && t > *at_s
            {
                let (kneels, lies) = (ramp(t, *at_s, *knee_s), ramp(t, *knee_s, knee_s + 0.42));
                let z = between(base.trunk.pelvis.z, 0.53, kneels);
                base.trunk.pelvis.z = between(z, LIES, lies);
                let bent = between(base.trunk.pitch, 0.75, kneels);
                base.trunk.pitch = between(bent, 1.5, lies);
                kneel(base, kneels);
                lie(base, lies);
            }
        }
    }
}

/// The span in which no foot stands: until the landing, or from then on.
fn off_the_feet(act: &Act) -> Option<(f64, f64)> {
    match act {
        Act::Leap { at_s, lands_s, lands: Landing::Feet } => Some((*at_s, *lands_s)),
        Act::Leap { at_s, lands: Landing::Prone, .. } => Some((*at_s, f64::MAX)),
        Act::Fall { knee_s, .. } => Some((*knee_s - 0.1, f64::MAX)),
        Act::Face { .. } | Act::Hands { .. } | Act::GetDown { .. } | Act::GetUp { .. } => None,
    }
}

/// The greatest height of the hips, up to the wanted one, from which both standing feet can be reached.
fn reachable(base: &Base) -> f64 {
    let mut z = base.trunk.pelvis.z;
    for (side, foot) in base.feet.iter().enumerate() {
        let (ankle, leg) = (ankle(foot), (THIGH + SHANK) * 0.995);
        let hip = base.trunk.pelvis + base.trunk.right() * (sign(side) * HIP);
        let beside = (ankle.x - hip.x).hypot(ankle.y - hip.y);
        let above = (leg * leg - beside * beside).max(0.35).sqrt();
        z -= (z - ankle.z - above).max(0.0) * foot.carries;
    }
    z
}

/// Legs in the air: the feet follow the hips, one ahead of the other.
fn hang(base: &mut Base, weight: f64) {
    let trunk = base.trunk;
    for (side, foot) in base.feet.iter_mut().enumerate() {
        let ahead = if side == 0 { 0.10 } else { -0.14 };
        let toe = trunk.point(sign(side) * 0.14, ahead, if side == 0 { -0.86 } else { -0.92 });
        foot.toe += (toe - foot.toe) * weight;
        foot.lifted = between(foot.lifted, 0.9 + trunk.pitch * 0.4, weight);
        foot.points = direction(foot.points * (1.0 - weight) + trunk.forward * weight, trunk.forward);
        foot.planted &= weight < 0.02;
    }
}

/// Kneeling: the feet are behind the hips.
fn kneel(base: &mut Base, weight: f64) {
    let trunk = base.trunk;
    for (side, foot) in base.feet.iter_mut().enumerate() {
        let back = if side == 0 { 0.34 } else { 0.52 };
        let toe = ground(trunk.pelvis.x, trunk.pelvis.y) - trunk.forward * back
            + trunk.right() * (sign(side) * 0.15)
            + UP * 0.02;
        foot.toe += (toe - foot.toe) * weight;
        foot.lifted = between(foot.lifted, 1.2, weight);
        foot.points = direction(foot.points * (1.0 - weight) + trunk.forward * weight, trunk.forward);
        foot.planted &= weight < 0.02;
    }
}

/// Lying: legs stretched out behind, arms in front.
fn lie(base: &mut Base, weight: f64) {
    let trunk = base.trunk;
    for (side, foot) in base.feet.iter_mut().enumerate() {
        let toe = ground(trunk.pelvis.x, trunk.pelvis.y)
            - trunk.forward * if side == 0 { 0.95 } else { 1.08 }
            + trunk.right() * (sign(side) * 0.18);
        foot.toe += (toe - foot.toe) * weight;
        foot.lifted = between(foot.lifted, 1.45, weight);
        let hand = trunk.pelvis + trunk.forward * (TRUNK + 0.18) + trunk.right() * (sign(side) * 0.26);
        base.hands[side] += (hand - base.hands[side]) * weight;
    }
}
