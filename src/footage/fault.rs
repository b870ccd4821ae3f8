//! What is wrong or unusual with a clip, in words for the person who has to work with it.

use crate::show::colour::Transfer;
use evidence::time::rate::Rate;
use std::fmt;

/// One fault, or a property that an official must know of.
#[derive(Debug, Clone, PartialEq)]
pub enum Fault {
    Truncated {
        /// Coded pictures that the index names and the file does not hold whole; `None` if unknown.
        missing: Option<usize>,
    },
    /// The clip does not begin with a picture that can be decoded by itself.
    MissingKey {
        /// Coded pictures at the start that cannot be shown.
        lost: usize,
    },
    VariableRate {
        /// The shortest and the longest.
        between_ms: (f64, f64),
    },
    WrongRate {
        header: Rate,
        /// `None` if they keep to no rate.
        pictures: Option<Rate>,
    },
    /// Pictures are missing between others that come at one rate.
    Dropped {
        /// The frame before each gap, and how many are missing there.
        after: Vec<(usize, u64)>,
    },
    /// Pictures that repeat the one before them.
    Repeated {
        frames: Vec<usize>,
    },
    /// Several pictures are to be shown at one instant.
    SameInstant {
        /// The frames after the first of each instant.
        frames: Vec<usize>,
    },
    Rotated {
        /// Clockwise.
        degrees: u16,
    },
    Mirrored {
        /// Clockwise, after left and right are swapped.
        degrees: u16,
    },
    /// Each picture has two fields, half an interval apart.
    Interlaced {
        /// The upper field comes first; `None` if the file does not state it.
        top_first: Option<bool>,
    },
    /// More than 8 bits a sample.
    Deep {
        bits: u32,
    },
    /// Light of high dynamic range, shown as if it were not.
    HighRange {
        transfer: Transfer,
    },
    SoundLonger {
        by_s: f64,
    },
    Damaged {
        /// The decoder's first message.
        first: String,
    },
    NotExact {
        /// Why, and what helps.
        because: String,
    },
}

/// Frame numbers that are written out, at most.
const LISTED: usize = 12;

fn list<T>(items: &[T], describe: impl Fn(&T) -> String) -> String {
    let mut texts: Vec<String> = items.iter().take(LISTED).map(describe).collect();
    if items.len() > LISTED {
        texts.push(format!("and {} more", items.len() - LISTED));
    }
    texts.join(", ")
}

/// "1 picture", "2 pictures".
fn pictures(count: u64) -> String {
    format!("{count} picture{}", if count == 1 { "" } else { "s" })
}

/// Multiples of 90 degrees, which are undone when a picture is shown.
fn is_whole(degrees: u16) -> bool {
    degrees.is_multiple_of(90)
}

fn mirrored(degrees: u16) -> String {
    match degrees {
        0 => "swaps left and right".to_owned(),
        180 => "swaps top and bottom".to_owned(),
        _ => format!("swaps left and right and turns it by {degrees} degrees{}", unlike(degrees)),
    }
}

fn unlike(degrees: u16) -> &'static str {
    if is_whole(degrees) { "" } else { "; shown as it is stored" }
}

impl Fault {
    /// Whether a shown picture is free of it: rotations by whole quarters are undone, and so are mirrors.
    pub fn is_undone(&self) -> bool {
        matches!(self, Fault::Rotated { degrees } | Fault::Mirrored { degrees } if is_whole(*degrees))
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Fault::Truncated { missing: Some(missing) } => {
                write!(
                    out,
                    "truncated: the last {} missing",
                    pictures(*missing as u64) + if *missing == 1 { " is" } else { " are" }
                )
            }
            Fault::Truncated { missing: None } => write!(out, "truncated: the file ends in the middle"),
            Fault::MissingKey { lost } => write!(
                out,
                "missing key frame: the clip begins in the middle of a GOP, {} lost at its start",
                pictures(*lost as u64) + if *lost == 1 { " is" } else { " are" }
            ),
            Fault::VariableRate { between_ms: (low, high) } => {
                write!(out, "variable rate: {low:.1} to {high:.1} ms between pictures")
            }
            Fault::WrongRate { header, pictures: Some(pictures) } => {
                write!(out, "wrong rate in the header: it states {header}, the pictures come at {pictures}")
            }
            Fault::WrongRate { header, pictures: None } => {
                write!(out, "wrong rate in the header: it states {header}, the pictures keep to no rate")
            }
            Fault::Dropped { after } => {
                let gaps = list(after, |(frame, count)| format!("{count} after frame {frame}"));
                write!(out, "dropped frames: {gaps}")
            }
            Fault::Repeated { frames } => {
                write!(out, "duplicate frames: {} like the one before", list(frames, usize::to_string))
            }
            Fault::SameInstant { frames } => {
                write!(
                    out,
                    "duplicate times: frames {} at the instant of the one before",
                    list(frames, usize::to_string)
                )
            }
            Fault::Rotated { degrees } => {
                write!(out, "rotated: a player turns it by {degrees} degrees{}", unlike(*degrees))
            }
            Fault::Mirrored { degrees } => write!(out, "mirrored: a player {}", mirrored(*degrees)),
            Fault::Interlaced { top_first } => {
                let order = match top_first {
                    Some(true) => "upper field first",
                    Some(false) => "lower field first",
                    None => "field order not stated",
                };
                write!(out, "interlaced: {order}")
            }
            Fault::Deep { bits } => write!(out, "{bits}-bit: shown with 8"),
            Fault::HighRange { transfer } => {
                write!(out, "high dynamic range: its curve is {transfer}, which is not applied; shown flat")
            }
            Fault::SoundLonger { by_s } => {
                write!(out, "audio longer than video: sound goes on {by_s:.2} s after the last picture")
            }
            Fault::Damaged { first } => write!(out, "damaged: {first}"),
            Fault::NotExact { because } => write!(out, "not exact: {because}"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_turn_by_quarters_is_undone_where_the_picture_is_shown_and_another_one_is_not() {
        for (degrees, undone, said) in [
            (270, true, "rotated: a player turns it by 270 degrees"),
            (45, false, "rotated: a player turns it by 45 degrees; shown as it is stored"),
        ] {
            let fault = Fault::Rotated { degrees };
            assert_eq!((fault.is_undone(), fault.to_string().as_str()), (undone, said));
        }
        for (degrees, undone, said) in [
            (0, true, "mirrored: a player swaps left and right"),
            (180, true, "mirrored: a player swaps top and bottom"),
            (90, true, "mirrored: a player swaps left and right and turns it by 90 degrees"),
            (
                12,
                false,
                "mirrored: a player swaps left and right and turns it by 12 degrees; shown as it is stored",
            ),
        ] {
            let fault = Fault::Mirrored { degrees };
            assert_eq!((fault.is_undone(), fault.to_string().as_str()), (undone, said));
        }
        assert!(!Fault::Deep { bits: 10 }.is_undone());
    }
}
