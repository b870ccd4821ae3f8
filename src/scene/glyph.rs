//! Letters of five by seven dots, for paint on the field, scoreboards, and stamps in a picture.

/// Columns and rows of a letter; one empty column follows each.
pub(crate) const CELL: (usize, usize) = (5, 7);

/// The rows of a letter from the top, with the leftmost dot in the highest of five bits; unknown letters are blank.
fn rows(letter: char) -> [u8; 7] {
    match letter {
        'A' => [14, 17, 17, 31, 17, 17, 17],
        'B' => [30, 17, 17, 30, 17, 17, 30],
        'C' => [14, 17, 16, 16, 16, 17, 14],
        'D' => [30, 17, 17, 17, 17, 17, 30],
        'E' => [31, 16, 16, 30, 16, 16, 31],
        'F' => [31, 16, 16, 30, 16, 16, 16],
        'G' => [14, 17, 16, 23, 17, 17, 15],
        'H' => [17, 17, 17, 31, 17, 17, 17],
        'I' => [14, 4, 4, 4, 4, 4, 14],
        'J' => [7, 2, 2, 2, 2, 18, 12],
        'K' => [17, 18, 20, 24, 20, 18, 17],
        'L' => [16, 16, 16, 16, 16, 16, 31],
        'M' => [17, 27, 21, 21, 17, 17, 17],
        'N' => [17, 25, 21, 19, 17, 17, 17],
        'O' => [14, 17, 17, 17, 17, 17, 14],
        'P' => [30, 17, 17, 30, 16, 16, 16],
        'Q' => [14, 17, 17, 17, 21, 18, 13],
        'R' => [30, 17, 17, 30, 20, 18, 17],
        'S' => [15, 16, 16, 14, 1, 1, 30],
        'T' => [31, 4, 4, 4, 4, 4, 4],
        'U' => [17, 17, 17, 17, 17, 17, 14],
        'V' => [17, 17, 17, 17, 17, 10, 4],
        'W' => [17, 17, 17, 21, 21, 27, 17],
        'X' => [17, 17, 10, 4, 10, 17, 17],
        'Y' => [17, 17, 10, 4, 4, 4, 4],
        'Z' => [31, 1, 2, 4, 8, 16, 31],
        '0' => [14, 17, 17, 17, 17, 17, 14],
        '1' => [4, 12, 4, 4, 4, 4, 14],
        '2' => [14, 17, 1, 6, 8, 16, 31],
        '3' => [31, 2, 4, 2, 1, 17, 14],
        '4' => [2, 6, 10, 18, 31, 2, 2],
        '5' => [31, 16, 30, 1, 1, 17, 14],
        '6' => [6, 8, 16, 30, 17, 17, 14],
        '7' => [31, 1, 2, 4, 8, 8, 8],
        '8' => [14, 17, 17, 14, 17, 17, 14],
        '9' => [14, 17, 17, 15, 1, 2, 12],
        ':' => [0, 4, 4, 0, 4, 4, 0],
        ';' => [0, 4, 4, 0, 4, 4, 8],
        '.' => [0, 0, 0, 0, 0, 12, 12],
        '&' => [12, 18, 20, 8, 21, 18, 13],
        '-' => [0, 0, 0, 31, 0, 0, 0],
        _ => [0; 7],
    }
}

/// Whether a text has ink at a dot: column from the left of its first letter, row from the top.
pub(crate) fn inked(text: &str, column: i32, row: i32) -> bool {
    let (Ok(column), Ok(row)) = (usize::try_from(column), usize::try_from(row)) else { return false };
    let (place, inside) = (column / (CELL.0 + 1), column % (CELL.0 + 1));
    if row >= CELL.1 || inside >= CELL.0 {
        return false;
    }
    text.chars().nth(place).is_some_and(|letter| rows(letter)[row] >> (CELL.0 - 1 - inside) & 1 == 1)
}

/// Width of a text in dots.
pub fn width(text: &str) -> usize {
    (text.chars().count() * (CELL.0 + 1)).saturating_sub(1)
}

/// Whether a text with its lower left corner at 0, 0 and letters of this `height` has ink at a place. The dots run into
/// each other, like paint.
pub fn painted(text: &str, height: f64, x: f64, up: f64) -> bool {
    let dot = height / CELL.1 as f64;
    let (column, row) = (x / dot - 0.5, (height - up) / dot - 0.5);
    if !(-1.0..CELL.1 as f64).contains(&row) || column < -1.0 || column > width(text) as f64 {
        return false;
    }
    let (left, top) = (column.floor(), row.floor());
    let (u, v) = (column - left, row - top);
    let ink = |right: i32, down: i32| {
        if inked(text, left as i32 + right, top as i32 + down) { 1.0 } else { 0.0 }
    };
    let high = ink(0, 0) * (1.0 - u) + ink(1, 0) * u;
    let low = ink(0, 1) * (1.0 - u) + ink(1, 1) * u;
    high * (1.0 - v) + low * v > 0.48
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_letter_reads_as_it_looks() {
        let drawn: Vec<String> = (0..7)
            .map(|row| (0..11).map(|column| if inked("L1", column, row) { '#' } else { '.' }).collect())
            .collect();
        let expected = [
            "#.......#..",
            "#......##..",
            "#.......#..",
            "#.......#..",
            "#.......#..",
            "#.......#..",
            "#####..###.",
        ];
        assert_eq!(drawn, expected);
        assert!(!inked("L", -1, 0) && !inked("L", 0, 7) && !inked("", 0, 0));
        assert_eq!(width("L1"), 11);
    }
}
