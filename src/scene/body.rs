//! A body: its measures, its joints, and its limbs from a trunk to feet and hands.

use super::gait::Foot;
use super::space::{Point, UP, direction, right_of, two_bones};

/// Lengths of bones in yards, for a player of about 1.87 m. The shares of the height are from Drillis and Contini
/// (*Body Segment Parameters*, 1966): thigh 0.245, shank 0.246, upper arm 0.186, forearm 0.146 of it.
pub(crate) const THIGH: f64 = 0.50;
/// Knee to ankle.
pub(crate) const SHANK: f64 = 0.49;
/// Shoulder to elbow.
pub(crate) const UPPER_ARM: f64 = 0.37;
/// Elbow to the middle of the hand.
pub(crate) const FOREARM: f64 = 0.36;
/// Hips to the base of the neck.
pub(crate) const TRUNK: f64 = 0.60;
/// Base of the neck to the middle of the head.
pub(crate) const NECK: f64 = 0.19;
/// Half the distance between the hips.
pub(crate) const HIP: f64 = 0.10;
/// Half the distance between the shoulders.
pub(crate) const SHOULDER: f64 = 0.22;
/// Ankle above the sole.
pub(crate) const ANKLE: f64 = 0.09;
/// Ankle to toe, and ankle to heel.
pub(crate) const FOOT: (f64, f64) = (0.21, 0.07);
/// Radii of joints, in yards.
pub(crate) const KNEE_RADIUS: f64 = 0.075;
pub(crate) const ELBOW_RADIUS: f64 = 0.06;
/// Of the hips and trunk.
pub(crate) const HIP_RADIUS: f64 = 0.15;
pub(crate) const HAND_RADIUS: f64 = 0.05;

/// Hips and trunk.
#[derive(Debug, Clone, Copy)]
pub struct Trunk {
    /// The middle between the hips.
    pub pelvis: Point,
    /// The direction of the chest, level.
    pub forward: Point,
    /// Forward lean in radians; a quarter turn is lying face down.
    pub pitch: f64,
}

impl Trunk {
    /// Unit vector from the hips to the neck.
    pub fn up(&self) -> Point {
        UP * self.pitch.cos() + self.forward * self.pitch.sin()
    }

    /// Unit vector out of the chest.
    pub fn front(&self) -> Point {
        self.forward * self.pitch.cos() - UP * self.pitch.sin()
    }

    /// Unit vector to the player's right.
    pub fn right(&self) -> Point {
        right_of(self.forward)
    }

    /// A point relative to the hips: to the right, out of the chest, and along the trunk, in yards.
    pub fn point(&self, right: f64, front: f64, up: f64) -> Point {
        self.pelvis + self.right() * right + self.front() * front + self.up() * up
    }

    /// A shoulder: 0 left, 1 right.
    pub(crate) fn shoulder(&self, side: usize) -> Point {
        self.point(sign(side) * SHOULDER, 0.0, TRUNK - 0.06)
    }

    /// A hip: 0 left, 1 right.
    pub(crate) fn hip(&self, side: usize) -> Point {
        self.point(sign(side) * HIP, 0.0, 0.0)
    }
}

/// -1 for the left side, 1 for the right.
pub fn sign(side: usize) -> f64 {
    if side == 0 { -1.0 } else { 1.0 }
}

/// The ankle above a foot.
pub fn ankle(foot: &Foot) -> Point {
    let (sin, cos) = foot.lifted.sin_cos();
    let back = foot.points * -cos + UP * sin;
    let above = UP * cos + foot.points * sin;
    foot.toe + back * FOOT.0 + above * ANKLE
}

/// All joints of a body; pairs are left, right.
#[derive(Debug, Clone, Copy)]
pub struct Pose {
    pub trunk: Trunk,
    /// Base of the neck.
    pub neck: Point,
    /// Middle of the head.
    pub head: Point,
    /// Direction of the face.
    pub looks: Point,
    pub shoulders: [Point; 2],
    pub elbows: [Point; 2],
    /// Middles.
    pub hands: [Point; 2],
    pub hips: [Point; 2],
    pub knees: [Point; 2],
    pub ankles: [Point; 2],
    /// Tips, lower side.
    pub toes: [Point; 2],
    /// Lower side.
    pub heels: [Point; 2],
}

/// The parts of a body that make a player down: all but hands and feet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    Knee,
    Elbow,
    /// Hips included.
    Trunk,
}

impl Pose {
    /// Places the limbs between a trunk and feet and hands. Nothing sinks into the ground.
    pub fn new(trunk: Trunk, feet: [Foot; 2], hands: [Point; 2]) -> Pose {
        let (shoulders, hips) = ([trunk.shoulder(0), trunk.shoulder(1)], [trunk.hip(0), trunk.hip(1)]);
        let leg = |side: usize, foot: &Foot, hip: Point| {
            let wanted = ankle(foot);
            // Knees bend to the front, and a little out.
            let bend = foot.points + trunk.forward * 0.6 + trunk.right() * (sign(side) * 0.12);
            let (knee, reached) = two_bones(hip, wanted, (THIGH, SHANK), bend);
            let shift = reached - wanted;
            let toe = foot.toe + if foot.planted { Point::zeros() } else { shift };
            let (sin, cos) = foot.lifted.sin_cos();
            let heel = toe + (foot.points * -cos + UP * sin) * (FOOT.0 + FOOT.1);
            [above(knee, KNEE_RADIUS), above(reached, 0.05), above(toe, 0.0), above(heel, 0.0)]
        };
        let arm = |side: usize, shoulder: Point, hand: Point| {
            let bend = trunk.front() * -0.5 - UP * 0.6 + trunk.right() * (sign(side) * 0.5);
            let (elbow, reached) = two_bones(shoulder, hand, (UPPER_ARM, FOREARM), bend);
            [above(elbow, ELBOW_RADIUS), above(reached, HAND_RADIUS)]
        };
        let [left, right] = feet;
        let (legs, arms) = (
            [leg(0, &left, hips[0]), leg(1, &right, hips[1])],
            [arm(0, shoulders[0], hands[0]), arm(1, shoulders[1], hands[1])],
        );
        let neck = trunk.point(0.0, 0.0, TRUNK);
        // The head stays more upright than the trunk.
        let upright = direction(trunk.up() + UP * 0.7, UP);
        let looks = direction(trunk.forward + trunk.front() * 0.3, trunk.forward);
        Pose {
            trunk,
            neck,
            head: above(neck + upright * NECK + trunk.forward * 0.04, 0.15),
            looks,
            shoulders,
            elbows: arms.map(|arm| arm[0]),
            hands: arms.map(|arm| arm[1]),
            hips,
            knees: legs.map(|leg| leg[0]),
            ankles: legs.map(|leg| leg[1]),
            toes: legs.map(|leg| leg[2]),
            heels: legs.map(|leg| leg[3]),
        }
    }

    /// Turns the face towards a place, as far as a neck can: about 75 degrees.
    pub fn look_at(&mut self, place: Point) {
        let wanted = direction(place - self.head, self.looks);
        let ahead = wanted.dot(&self.trunk.forward);
        let aside = wanted - self.trunk.forward * ahead;
        let turned = if ahead > 0.25 { wanted } else { self.trunk.forward * 0.25 + direction(aside, UP) };
        self.looks = direction(turned + self.trunk.forward * 0.15, self.looks);
    }

    /// The lowest part that makes a player down, and its height above the ground in yards.
    pub fn lowest(&self) -> (Part, f64) {
        let mut lowest = (Part::Trunk, self.trunk.pelvis.z - HIP_RADIUS);
        for (part, joints, radius) in
            [(Part::Knee, self.knees, KNEE_RADIUS), (Part::Elbow, self.elbows, ELBOW_RADIUS)]
        {
            for joint in joints {
                if joint.z - radius < lowest.1 {
                    lowest = (part, joint.z - radius);
                }
            }
        }
        lowest
    }
}

fn above(point: Point, radius: f64) -> Point {
    Point::new(point.x, point.y, point.z.max(radius))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_standing_player_is_two_yards_tall_and_stands_on_both_feet() {
        let foot = |side: usize| Foot {
            toe: Point::new(0.12, -sign(side) * 0.1, 0.0),
            points: Point::x(),
            lifted: 0.0,
            planted: true,
            carries: 1.0,
        };
        let trunk = Trunk { pelvis: Point::new(0.0, 0.0, 1.02), forward: Point::x(), pitch: 0.05 };
        let hands = [Point::new(0.1, 0.3, 0.9), Point::new(0.1, -0.3, 0.9)];
        let pose = Pose::new(trunk, [foot(0), foot(1)], hands);
        assert!((1.9..2.1).contains(&(pose.head.z + 0.15)), "{}", pose.head.z);
        for side in [0, 1] {
            assert!((pose.toes[side] - foot(side).toe).norm() < 1e-9);
            assert!(pose.knees[side].x > pose.ankles[side].x, "knees bend forward");
            assert!((pose.hands[side] - hands[side]).norm() < 1e-3);
        }
        // Facing east, the left hand is to the north.
        assert!(pose.shoulders[0].y > pose.shoulders[1].y);
        assert!(pose.lowest().1 > 0.3);
    }
}
