//! The scoreboard: its texts and its dots.

use super::super::glyph;
use super::super::play::{Board, Play};
use super::Colour;

/// The texts of a scoreboard; equal texts look the same.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BoardText {
    /// `4:41`, in the last minute `59.9`.
    pub clock: String,
    rows: [(Row, String); 5],
}

/// A text on the board.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Row {
    /// Lower left corner and height of the letters, in thousandths of the board's height; `from` counts from the
    /// left.
    from: u16,
    up: u16,
    high: u16,
    colour: Lamp,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Lamp {
    Amber,
    White,
    Green,
}

/// The board's width by its height.
pub(crate) const SHAPE: f64 = 12.0 / 4.5;

impl BoardText {
    /// The board at a common time of a play. A clock shows the time left, rounded down to whole seconds, or to tenths
    /// in the last minute.
    pub fn at(play: &Play, t: f64) -> BoardText {
        let board = &play.board;
        let clock = clock_text(left(play, t));
        let waits = (f64::from(board.play_clock_s) - t.min(play.snap_s())).max(0.0).ceil() as u32;
        let row = |from, up, high, colour| Row { from, up, high, colour };
        let wide = glyph::width(&clock) as f64 * 360.0 / 7.0;
        let centred = ((SHAPE * 1000.0 - wide) / 2.0).max(0.0) as u16;
        let down = format!("{} & {}", board.down, board.to_go);
        let rows = [
            (row(centred, 310, 360, Lamp::Amber), clock.clone()),
            (row(110, 745, 165, Lamp::White), format!("HOME {:>2}", board.home)),
            (row(1570, 745, 165, Lamp::White), format!("AWAY {:>2}", board.away)),
            (row(110, 80, 165, Lamp::Green), format!("Q{} {down}", board.period)),
            (row(1570, 80, 165, Lamp::Amber), format!("PLAY {waits:>2}")),
        ];
        BoardText { clock, rows }
    }

    /// The colour at a place on its face, from its lower left, as shares of its width and height.
    pub fn colour(&self, across: f64, up: f64) -> Colour {
        let rim = across.min(1.0 - across) * SHAPE;
        if rim.min(up).min(1.0 - up) < 0.03 {
            return [0.16, 0.18, 0.21];
        }
        for (row, text) in &self.rows {
            let high = f64::from(row.high) / 1000.0;
            let (x, y) = (across * SHAPE - f64::from(row.from) / 1000.0, up - f64::from(row.up) / 1000.0);
            let dot = high / 7.0;
            let (column, row_down) = ((x / dot).floor() as i32, 6 - (y / dot).floor() as i32);
            if !glyph::inked(text, column, row_down) {
                continue;
            }
            // Lamps are round.
            let (u, v) = (x.rem_euclid(dot) / dot - 0.5, y.rem_euclid(dot) / dot - 0.5);
            if u.hypot(v) < 0.46 {
                return match row.colour {
                    Lamp::Amber => [1.0, 0.72, 0.18],
                    Lamp::White => [0.92, 0.95, 0.98],
                    Lamp::Green => [0.45, 0.95, 0.50],
                };
            }
        }
        [0.025, 0.028, 0.035]
    }
}

/// Seconds left at a common time: the clock runs from time 0 or from the snap until it is stopped.
pub fn left(play: &Play, t: f64) -> f64 {
    let Board { clock_s, running, stops_s, .. } = play.board;
    let from = if running { 0.0 } else { play.snap_s() };
    let until = t.min(stops_s.unwrap_or(f64::INFINITY));
    (clock_s - (until - from).max(0.0)).max(0.0)
}

fn clock_text(left: f64) -> String {
    // The clock counts milliseconds, so that 281.29999 is 281.3.
    let ms = (left * 1000.0).round() as u64;
    if ms >= 60_000 {
        format!("{}:{:02}", ms / 60_000, ms / 1000 % 60)
    } else {
        format!("{}.{}", ms / 1000, ms / 100 % 10)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_clock_shows_what_is_left_rounded_down() {
        for (left, text) in [
            (281.3, "4:41"),
            (281.0, "4:41"),
            (280.999, "4:40"),
            (60.0, "1:00"),
            (59.96, "59.9"),
            (0.0, "0.0"),
        ] {
            assert_eq!(clock_text(left), text, "{left}");
        }
    }
}
