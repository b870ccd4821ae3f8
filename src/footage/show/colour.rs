//! How the samples of a clip stand for colours: as its file states, else as its height suggests.
//!
//! This belongs to the clip and not to a picture, so a small copy is coloured as the exact picture is. In H.264 the
//! header of the stream states it, in MP4 a box of the track; where both do, the stream is believed, as players do.

use std::fmt;
use yuv::YuvStandardMatrix;

/// The weights of red, green and blue from which luma and chroma were made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Matrix {
    /// ITU-R BT.601, of standard definition: luma is 0.299 red and 0.114 blue.
    Bt601,
    /// ITU-R BT.709, of high definition: 0.2126 and 0.0722.
    Bt709,
    /// ITU-R BT.2020, not of constant luminance: 0.2627 and 0.0593.
    Bt2020,
}

impl Matrix {
    /// By its number in ITU-T H.273, table 4; `None` if unspecified or not known here. Rare ones count as the
    /// nearest: 4 weighs red by 0.30 and blue by 0.11, 7 by 0.212 and 0.087; 10 is 9 with constant luminance.
    pub(crate) fn from_code(number: u32) -> Option<Matrix> {
        match number {
            1 | 7 => Some(Matrix::Bt709),
            4..=6 => Some(Matrix::Bt601),
            9 | 10 => Some(Matrix::Bt2020),
            _ => None,
        }
    }

    /// By the name that FFmpeg gives its number.
    pub(crate) fn from_name(name: &str) -> Option<Matrix> {
        let number = match name {
            "bt709" => 1,
            "fcc" => 4,
            "bt470bg" => 5,
            "smpte170m" => 6,
            "smpte240m" => 7,
            "bt2020nc" => 9,
            "bt2020c" => 10,
            _ => return None,
        };
        Matrix::from_code(number)
    }

    /// As the crate `yuv` names it.
    pub(crate) fn standard(self) -> YuvStandardMatrix {
        match self {
            Matrix::Bt601 => YuvStandardMatrix::Bt601,
            Matrix::Bt709 => YuvStandardMatrix::Bt709,
            Matrix::Bt2020 => YuvStandardMatrix::Bt2020,
        }
    }
}

/// The curve by which light became samples, as far as a picture that is shown by the usual one looks wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Transfer {
    /// That of BT.709 or one near it.
    Usual,
    /// Perceptual quantization, of high dynamic range (ITU-R BT.2100, table 4).
    Pq,
    /// Hybrid log-gamma, of high dynamic range (ITU-R BT.2100, table 5).
    Hlg,
}

impl Transfer {
    /// By its number in ITU-T H.273, table 3; `None` if unspecified.
    pub(crate) fn from_code(number: u32) -> Option<Transfer> {
        match number {
            0 | 2 | 3 => None,
            16 => Some(Transfer::Pq),
            18 => Some(Transfer::Hlg),
            _ => Some(Transfer::Usual),
        }
    }

    /// By the name that FFmpeg gives its number.
    pub(crate) fn from_name(name: &str) -> Option<Transfer> {
        match name {
            "unknown" | "reserved" | "" => None,
            "smpte2084" => Some(Transfer::Pq),
            "arib-std-b67" => Some(Transfer::Hlg),
            _ => Some(Transfer::Usual),
        }
    }
}

impl fmt::Display for Transfer {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(match self {
            Transfer::Usual => "the usual one",
            Transfer::Pq => "PQ",
            Transfer::Hlg => "HLG",
        })
    }
}

/// How the samples of a clip stand for colours.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Coding {
    pub matrix: Matrix,
    /// All values from 0 on are used: black is 0, not 16.
    pub is_full_range: bool,
}

/// The colours that a file, or a part of it, states; `None` where it is silent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct StatedColour {
    pub(crate) transfer: Option<Transfer>,
    pub(crate) matrix: Option<Matrix>,
    pub(crate) is_full_range: Option<bool>,
}

impl StatedColour {
    pub(crate) const NOTHING: StatedColour =
        StatedColour { transfer: None, matrix: None, is_full_range: None };

    /// Takes from the other what this one leaves open.
    pub(crate) fn or(self, other: StatedColour) -> StatedColour {
        StatedColour {
            transfer: self.transfer.or(other.transfer),
            matrix: self.matrix.or(other.matrix),
            is_full_range: self.is_full_range.or(other.is_full_range),
        }
    }

    /// The coding of a clip, by the number of lines of its stored pictures. Where nothing is stated, 720 lines and
    /// more count as high definition, and the range is that of broadcast.
    pub(crate) fn for_height(self, lines: u32) -> Coding {
        let by_height = if lines >= 720 { Matrix::Bt709 } else { Matrix::Bt601 };
        Coding {
            matrix: self.matrix.unwrap_or(by_height),
            is_full_range: self.is_full_range.unwrap_or(false),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_stated_first_counts_and_the_height_last() {
        let stream = StatedColour { is_full_range: Some(true), ..StatedColour::NOTHING };
        let track = StatedColour {
            transfer: Some(Transfer::Hlg),
            matrix: Some(Matrix::Bt2020),
            is_full_range: Some(false),
        };
        let both = Coding { matrix: Matrix::Bt2020, is_full_range: true };
        assert_eq!(stream.or(track).for_height(480), both);
        assert_eq!(stream.or(track).transfer, Some(Transfer::Hlg));
        for (lines, matrix) in [(576, Matrix::Bt601), (719, Matrix::Bt601), (720, Matrix::Bt709)] {
            let silent = Coding { matrix, is_full_range: false };
            assert_eq!(StatedColour::NOTHING.for_height(lines), silent, "{lines}");
        }
    }

    #[test]
    fn numbers_and_names_that_say_nothing_are_none() {
        assert_eq!([0, 2, 3, 8, 11, u32::MAX].map(Matrix::from_code), [None; 6]);
        assert_eq!(["unknown", "gbr", ""].map(Matrix::from_name), [None; 3]);
        assert_eq!([0, 2, 3].map(Transfer::from_code), [None; 3]);
        assert_eq!(["unknown", "reserved", ""].map(Transfer::from_name), [None; 3]);
    }
}
