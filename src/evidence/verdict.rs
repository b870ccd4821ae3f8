//! What a measurement proves about a fact, under a standard of proof.

/// A verdict on a fact. `probability` is that of the fact, in [0, 1].
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Verdict {
    /// The fact holds, with at least the standard's probability.
    Established {
        probability: f64,
    },
    /// The fact does not hold, with at least the standard's probability.
    Refuted {
        probability: f64,
    },
    Inconclusive {
        probability: f64,
    },
    /// The marks cannot all be right.
    Contradiction,
}

impl Verdict {
    /// The verdict on a fact of this probability: established at `standard` or more, refuted at `1 - standard` or
    /// less. A probability outside [0, 1] is inconclusive.
    pub fn of(probability: f64, standard: f64) -> Verdict {
        if probability >= standard && probability <= 1.0 {
            Verdict::Established { probability }
        } else if probability <= 1.0 - standard && probability >= 0.0 {
            Verdict::Refuted { probability }
        } else {
            Verdict::Inconclusive { probability }
        }
    }

    /// The same measurement under another standard of proof. An inconclusive verdict stays inconclusive: something
    /// besides the probability may speak against the fact.
    pub fn under(self, standard: f64) -> Verdict {
        match self {
            Verdict::Established { probability } | Verdict::Refuted { probability } => {
                Verdict::of(probability, standard)
            }
            Verdict::Inconclusive { .. } | Verdict::Contradiction => self,
        }
    }

    /// The probability of the fact; none where the marks cannot all be right.
    pub fn probability(self) -> Option<f64> {
        match self {
            Verdict::Established { probability }
            | Verdict::Refuted { probability }
            | Verdict::Inconclusive { probability } => Some(probability),
            Verdict::Contradiction => None,
        }
    }

    /// The verdict as one lower-case word.
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Established { .. } => "established",
            Verdict::Refuted { .. } => "refuted",
            Verdict::Inconclusive { .. } => "inconclusive",
            Verdict::Contradiction => "contradiction",
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

    /// Landmarks may speak against a measurement whose probability is high.
    #[test]
    fn what_did_not_tell_does_not_tell_when_it_is_asked_again() {
        let none = Verdict::Inconclusive { probability: 0.999 };
        assert_eq!(none.under(0.99), none);
        let far = Verdict::Established { probability: 0.995 };
        assert_eq!(far.under(0.999), Verdict::Inconclusive { probability: 0.995 });
    }
}
