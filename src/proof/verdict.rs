//! What a measurement says of a fact, against a standard of proof.

/// A verdict, with the probability that it rests on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Verdict {
    /// The fact holds, with at least the standard's probability.
    Established {
        /// Of the fact, in [0, 1].
        probability: f64,
    },
    /// The fact does not hold, with at least the standard's probability.
    Refuted {
        /// Of the fact, in [0, 1].
        probability: f64,
    },
    /// The measurement does not tell.
    Inconclusive {
        /// Of the fact, in [0, 1].
        probability: f64,
    },
    /// The marks cannot all be right.
    Contradiction,
}

impl Verdict {
    /// The verdict on a fact of this probability: established at `standard` or more, refuted at
    /// `1 - standard` or less. A probability outside [0, 1] tells nothing.
    pub fn of(probability: f64, standard: f64) -> Verdict {
        if probability >= standard && probability <= 1.0 {
            Verdict::Established { probability }
        } else if probability <= 1.0 - standard && probability >= 0.0 {
            Verdict::Refuted { probability }
        } else {
            Verdict::Inconclusive { probability }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_standard_itself_is_enough_and_a_hair_less_is_not() {
        for (probability, wanted) in [
            (0.99, Verdict::Established { probability: 0.99 }),
            (0.9899, Verdict::Inconclusive { probability: 0.9899 }),
            (0.0101, Verdict::Inconclusive { probability: 0.0101 }),
            (0.0, Verdict::Refuted { probability: 0.0 }),
        ] {
            assert_eq!(Verdict::of(probability, 0.99), wanted);
        }
    }
}
