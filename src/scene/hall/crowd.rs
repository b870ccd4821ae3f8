//! The stands: rows of seats and the people in them.

use super::super::dice::grain;
use super::{Colour, lit};

/// Breadth of a seat and depth of a row, in yards.
const SEAT: (f64, f64) = (0.58, 0.92);
/// Distance between stairs and their breadth, in yards.
const STAIRS: (f64, f64) = (13.0, 1.1);

/// Plain clothes, and many in the colours of the teams.
const CLOTHES: [Colour; 9] = [
    [0.16, 0.30, 0.46],
    [0.20, 0.22, 0.25],
    [0.74, 0.72, 0.68],
    [0.72, 0.49, 0.17],
    [0.42, 0.24, 0.18],
    [0.35, 0.37, 0.40],
    [0.52, 0.18, 0.18],
    [0.14, 0.36, 0.55],
    [0.58, 0.55, 0.48],
];
const SKIN: [Colour; 4] = [[0.80, 0.62, 0.50], [0.62, 0.44, 0.33], [0.42, 0.28, 0.20], [0.72, 0.54, 0.42]];

/// The front of the stands. `rise`: from 0 at its foot to 1.
pub(super) fn front(along: f64, rise: f64) -> Colour {
    if rise > 0.9 {
        return [0.42, 0.44, 0.47];
    }
    let sheet = along.rem_euclid(4.0) < 0.06;
    lit([0.17, 0.20, 0.24], if sheet { 0.7 } else { 0.75 + 0.25 * rise as f32 })
}

/// The colour at a place on a stand: along it, and up the slope by depth, both in yards.
pub(super) fn seats(along: f64, depth: f64, side: u64) -> Colour {
    // Light falls on the front rows and fades upward.
    let light = (0.80 - 0.022 * depth).max(0.34) as f32;
    let stair = (along.rem_euclid(STAIRS.0) - STAIRS.0 / 2.0).abs() < STAIRS.1 / 2.0;
    if stair {
        let step = depth.rem_euclid(SEAT.1 / 2.0) / (SEAT.1 / 2.0);
        return lit([0.36, 0.37, 0.38], light * if step < 0.25 { 1.15 } else { 0.8 });
    }
    let row = (depth / SEAT.1).floor() as i64;
    let shift = grain(row, 7, side) as f64 * 0.2;
    let seat = ((along + shift) / SEAT.0).floor() as i64;
    let salt = 40 + side * 10;
    let lean = (grain(seat, row, salt + 1) as f64 - 0.5) * 0.12;
    let u = (along + shift) / SEAT.0 - seat as f64 - 0.5 - lean;
    let v = depth / SEAT.1 - row as f64;
    let empty = grain(seat, row, salt + 2) < 0.14;
    let tall = f64::from(grain(seat, row, salt + 3)) * 0.10;
    let (head_u, head_v) = (u / 0.19, (v - 0.70 - tall) / 0.15);
    if !empty && head_u * head_u + head_v * head_v < 1.0 {
        let pick = (grain(seat, row, salt + 4) * 4.0) as usize;
        let skin = SKIN.get(pick).copied().unwrap_or([0.6, 0.45, 0.35]);
        // Hair above, a face below.
        let hair = head_v > 0.25 - f64::from(grain(seat, row, salt + 5)) * 0.3;
        return lit(if hair { lit(skin, 0.35) } else { skin }, light);
    }
    let shoulders = 0.40 - (v - 0.42).max(0.0) * 0.9;
    if !empty && (0.10..0.60 + tall).contains(&v) && u.abs() < shoulders {
        let pick = (grain(seat, row, salt + 6) * CLOTHES.len() as f32) as usize;
        let cloth = CLOTHES.get(pick).copied().unwrap_or([0.3; 3]);
        return lit(cloth, light * (0.72 + 0.4 * v as f32));
    }
    // The seat itself, and the dark between rows.
    if v > 0.12 && v < 0.55 && u.abs() < 0.42 {
        lit([0.10, 0.17, 0.26], light)
    } else {
        lit([0.09, 0.10, 0.12], light)
    }
}
