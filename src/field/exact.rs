//! Exact figures: yards and shares of yards as fractions, never as floats.
//!
//! Half of half the distance is not rounded, and a third of a yard stays a third.

use num_rational::Ratio;
use std::fmt;
use std::ops::{Add, Neg, Sub};
use std::str::FromStr;

/// A length along the field in yards, as an exact fraction.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Yards(Ratio<i64>);

/// A text that is not an exact figure.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error(
    "`{0}` is not a length: write a decimal such as 38.5 or a fraction such as \"85/3\", below a million"
)]
pub struct NotExact(pub String);

/// Largest figure in yards, and largest denominator: no place on a field lies beyond them. The bound keeps
/// every sum of two products inside 64 bits.
const LARGEST: i64 = 1_000_000;

impl Yards {
    /// No distance at all.
    pub const ZERO: Yards = Yards(Ratio::new_raw(0, 1));

    /// A whole number of yards.
    pub const fn whole(yards: i64) -> Yards {
        Yards(Ratio::new_raw(yards, 1))
    }

    /// The fraction `over / under` of a yard; `under` must not be zero.
    pub fn fraction(over: i64, under: i64) -> Yards {
        Yards(Ratio::new(over, under))
    }

    /// The length times a whole number.
    pub fn times(self, factor: i64) -> Yards {
        Yards(self.0 * factor)
    }

    /// Half of it, not rounded.
    pub fn half(self) -> Yards {
        let (over, under) = self.wide();
        narrow(over, under * 2)
    }

    /// The nearest whole number of yards; from a half on, the next.
    pub fn nearest(self) -> i64 {
        (self.0 + Ratio::new_raw(1, 2)).floor().to_integer()
    }

    fn wide(self) -> (i128, i128) {
        (i128::from(*self.0.numer()), i128::from(*self.0.denom()))
    }

    /// The nearest float, for drawing and for measuring.
    pub fn as_f64(self) -> f64 {
        *self.0.numer() as f64 / *self.0.denom() as f64
    }

    /// Numerator and denominator, in lowest terms, the denominator positive.
    pub fn parts(self) -> (i64, i64) {
        (*self.0.numer(), *self.0.denom())
    }

    /// The decimal that equals it, if there is one with at most nine places.
    pub fn decimal(self) -> Option<String> {
        let (over, under) = self.parts();
        let mut scale = 1_i64;
        for places in 0..=9_usize {
            if scale % under == 0 {
                let units = over.checked_mul(scale / under)?;
                let sign = if units < 0 { "-" } else { "" };
                let digits = format!("{:0width$}", units.unsigned_abs(), width = places + 1);
                let (whole, rest) = digits.split_at(digits.len() - places);
                return Some(if places == 0 {
                    format!("{sign}{whole}")
                } else {
                    format!("{sign}{whole}.{rest}")
                });
            }
            scale *= 10;
        }
        None
    }

    /// The exact value of a decimal as a float prints it: 38.5 becomes 77/2.
    ///
    /// # Errors
    /// [`NotExact`] for an infinite, not-a-number, too large or too fine value.
    pub fn from_f64(value: f64) -> Result<Yards, NotExact> {
        // Most values are whole or half yards and need no decimal.
        let halves = value * 2.0;
        if halves.fract() == 0.0 && halves.abs() < 1e12 {
            return Ok(Yards::fraction(halves as i64, 2));
        }
        // The shortest decimal that reads back as this float is the decimal that was written.
        value.to_string().parse()
    }
}

/// The fraction if it fits, else the nearest millionth of a yard: sums of figures with unlike, very fine
/// denominators have no exact form in 64 bits, and no field is measured that finely.
fn narrow(over: i128, under: i128) -> Yards {
    let shared = Ratio::new(over, under);
    match (i64::try_from(*shared.numer()), i64::try_from(*shared.denom())) {
        (Ok(over), Ok(under)) => Yards(Ratio::new_raw(over, under)),
        (Ok(_) | Err(_), _) => {
            let value = *shared.numer() as f64 / *shared.denom() as f64;
            Yards(Ratio::new((value * 1e6).round() as i64, 1_000_000))
        }
    }
}

impl FromStr for Yards {
    type Err = NotExact;

    fn from_str(text: &str) -> Result<Self, NotExact> {
        let wrong = || NotExact(text.to_owned());
        let text_of = text.trim();
        let whole = |part: &str| part.trim().parse::<i64>().map_err(|_| wrong());
        let ratio = if let Some((over, under)) = text_of.split_once('/') {
            let (over, under) = (whole(over)?, whole(under)?);
            if under <= 0 || under > LARGEST || over.unsigned_abs() > (LARGEST * LARGEST) as u64 {
                return Err(wrong());
            }
            Ratio::new(over, under)
        } else {
            decimal(text_of).ok_or_else(wrong)?
        };
        if ratio.numer().unsigned_abs() > (LARGEST as u64).saturating_mul(*ratio.denom() as u64) {
            return Err(wrong());
        }
        Ok(Yards(ratio))
    }
}

/// Reads `-12.25` exactly; at most nine places behind the point.
fn decimal(text: &str) -> Option<Ratio<i64>> {
    let (negative, digits) = match text.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    };
    let (whole, part) = digits.split_once('.').unwrap_or((digits, ""));
    let plain = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
    if whole.is_empty() && part.is_empty()
        || part.len() > 9
        || whole.len() > 9
        || !plain(whole)
        || !plain(part)
    {
        return None;
    }
    let units: i64 = format!("{whole}{part}").parse().ok()?;
    let ratio = Ratio::new(units, 10_i64.pow(part.len() as u32));
    Some(if negative { -ratio } else { ratio })
}

impl fmt::Display for Yards {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.decimal() {
            Some(decimal) => out.write_str(&decimal),
            None => write!(out, "{}/{}", self.0.numer(), self.0.denom()),
        }
    }
}

impl Add for Yards {
    type Output = Yards;
    fn add(self, other: Yards) -> Yards {
        let ((a, b), (c, d)) = (self.wide(), other.wide());
        narrow(a * d + c * b, b * d)
    }
}

impl Sub for Yards {
    type Output = Yards;
    fn sub(self, other: Yards) -> Yards {
        self + -other
    }
}

impl Neg for Yards {
    type Output = Yards;
    fn neg(self) -> Yards {
        Yards(-self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decimals_and_fractions_are_read_as_written() {
        for (text, over, under) in [
            ("38.5", 77, 2),
            ("0.1", 1, 10),
            ("-7", -7, 1),
            ("85/3", 85, 3),
            ("6/4", 3, 2),
            (".5", 1, 2),
            ("1.", 1, 1),
        ] {
            assert_eq!(text.parse::<Yards>().map(Yards::parts), Ok((over, under)), "{text}");
        }
        for text in ["", "inf", "NaN", "1e3", "1/0", "1/-2", "--1", "1.2.3", "9999999", "1.0000000001", "1 2"]
        {
            assert!(text.parse::<Yards>().is_err(), "{text}");
        }
        assert_eq!(Yards::from_f64(0.1).map(Yards::parts), Ok((1, 10)));
        assert!(Yards::from_f64(f64::INFINITY).is_err());
    }

    #[test]
    fn a_figure_prints_as_the_shortest_exact_text() {
        for (figure, text) in [
            (Yards::fraction(77, 2), "38.5"),
            (Yards::fraction(-1, 8), "-0.125"),
            (Yards::fraction(85, 3), "85/3"),
            (Yards::whole(12), "12"),
        ] {
            assert_eq!(figure.to_string(), text);
            assert_eq!(text.parse::<Yards>(), Ok(figure));
        }
    }

    #[test]
    fn what_has_no_exact_form_in_64_bits_becomes_the_nearest_millionth() {
        let fine = |text: &str| text.parse::<Yards>().expect("a length");
        let sum = fine("1/999983") + fine("1/999979") + fine("44000000/999961") + fine("1/999959");
        assert!((sum.as_f64() - 44.001_719_067).abs() < 1e-6, "{sum}");
        assert_eq!((0..99).fold(Yards::whole(1), |left, _| left.half()), Yards::ZERO);
    }

    // PROPERTY: half of half the distance is exact
    #[test]
    fn half_of_half_the_distance_is_not_rounded() {
        assert_eq!(Yards::whole(1).half().half().to_string(), "0.25");
    }
}
