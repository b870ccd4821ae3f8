//! Bits of an H.264 NAL unit: fixed lengths and Exp-Golomb codes (ITU-T H.264, 7.2 and 9.1).

/// Reads the bits of a unit's payload; `None` at its end.
pub(super) struct Bits<'a> {
    bytes: &'a [u8],
    at: usize,
}

impl<'a> Bits<'a> {
    /// Over a payload without emulation prevention.
    pub(super) fn new(bytes: &'a [u8]) -> Bits<'a> {
        Bits { bytes, at: 0 }
    }

    /// One bit.
    pub(super) fn flag(&mut self) -> Option<bool> {
        let byte = self.bytes.get(self.at / 8)?;
        let bit = byte >> (7 - self.at % 8) & 1;
        self.at += 1;
        Some(bit == 1)
    }

    /// `u(n)`, 32 bits at most.
    pub(super) fn fixed(&mut self, bits: u32) -> Option<u32> {
        (0..bits).try_fold(0_u32, |value, _| Some(value << 1 | u32::from(self.flag()?)))
    }

    /// `ue(v)`.
    pub(super) fn unsigned(&mut self) -> Option<u32> {
        let mut zeros = 0;
        while !self.flag()? {
            zeros += 1;
            if zeros > 31 {
                return None;
            }
        }
        (1_u32 << zeros).checked_add(self.fixed(zeros)?)?.checked_sub(1)
    }

    /// `se(v)`.
    pub(super) fn signed(&mut self) -> Option<i32> {
        let code = i64::from(self.unsigned()?);
        let half = (code + 1) / 2;
        i32::try_from(if code % 2 == 1 { half } else { -half }).ok()
    }
}

/// A unit without its emulation prevention: of `0 0 3` the 3 goes (7.3.1). Stops after `most` bytes.
pub(super) fn payload(unit: &[u8], most: usize) -> Vec<u8> {
    let mut found = Vec::with_capacity(unit.len().min(most));
    let mut zeros = 0;
    for &byte in unit {
        if found.len() == most {
            break;
        }
        if zeros >= 2 && byte == 3 {
            zeros = 0;
            continue;
        }
        zeros = if byte == 0 { zeros + 1 } else { 0 };
        found.push(byte);
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Table 9-2 of the standard: the codes of 0 to 8.
    #[test]
    fn exp_golomb_codes_are_those_of_the_standard() {
        for (code, value) in [
            ("1", 0),
            ("010", 1),
            ("011", 2),
            ("00100", 3),
            ("00101", 4),
            ("00110", 5),
            ("00111", 6),
            ("0001000", 7),
            ("0001001", 8),
        ] {
            let padded = format!("{code:0<16}");
            let byte = |from: usize| u8::from_str_radix(&padded[from..from + 8], 2).expect("bits");
            let bytes = [byte(0), byte(8)];
            assert_eq!(Bits::new(&bytes).unsigned(), Some(value), "{code}");
            // Table 9-3: 1, -1, 2, -2 …
            let signed = [0, 1, -1, 2, -2, 3, -3, 4, -4][value as usize];
            assert_eq!(Bits::new(&bytes).signed(), Some(signed), "{code}");
        }
    }

    #[test]
    fn the_end_of_the_bits_is_no_number() {
        for bytes in [&[][..], &[0], &[0; 8]] {
            assert_eq!(Bits::new(bytes).unsigned(), None);
        }
        assert_eq!(Bits::new(&[0xff]).fixed(9), None);
    }

    #[test]
    fn emulation_prevention_goes_and_nothing_else() {
        assert_eq!(payload(&[1, 0, 0, 3, 1, 0, 3, 0, 0, 3], 99), [1, 0, 0, 1, 0, 3, 0, 0]);
        assert_eq!(payload(&[1, 2, 3], 2), [1, 2]);
    }
}
