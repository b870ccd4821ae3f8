//! Fleiss' kappa: how far a panel of raters agrees beyond chance, with its z under chance alone.
//!
//! J. L. Fleiss, "Measuring nominal scale agreement among many raters", Psychological Bulletin 76 (1971) 378–382; the
//! error under chance alone as corrected by Fleiss, Nee and Landis, Psychological Bulletin 86 (1979) 974–977. It
//! needs the same number of ratings for every unit, so a unit with a gap is left out.

use crate::stats::jackknife;
use crate::stats::ratings::Ratings;
use std::collections::BTreeMap;

#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Fleiss {
    pub kappa: f64,
    /// The 95 % interval, by the jackknife over units.
    pub ci95: Option<[f64; 2]>,
    /// How many standard errors it is from chance.
    pub z: Option<f64>,
    /// How many units all raters rated.
    pub units: u64,
}

/// How many ratings of each category the units got that all raters rated, with how many units.
type Counts = Vec<(Vec<u32>, u64)>;

/// Kappa over the units that all raters rated. None without such units, or where all ratings are one category.
pub(crate) fn kappa(ratings: &Ratings) -> Option<Fleiss> {
    if ratings.raters < 2 {
        return None;
    }
    let mut counted: BTreeMap<Vec<u32>, u64> = BTreeMap::new();
    for (pattern, weight) in &ratings.patterns {
        let mut counts = vec![0; ratings.categories.len()];
        if pattern.iter().all(Option::is_some) {
            pattern.iter().flatten().for_each(|category| counts[*category as usize] += 1);
            *counted.entry(counts).or_insert(0) += weight;
        }
    }
    let counts: Counts = counted.into_iter().collect();
    let units: u64 = counts.iter().map(|(_, weight)| weight).sum();
    let sums = Sums::of(&counts, ratings.categories.len());
    let kappa = sums.kappa(ratings.raters as f64)?;
    let left_out: Vec<(Option<f64>, u64)> = counts
        .iter()
        .map(|(unit, weight)| (sums.without(unit).kappa(ratings.raters as f64), *weight))
        .collect();
    let error = jackknife::standard_error(&left_out);
    let ci95 = error.and_then(|error| jackknife::interval95(kappa, error, units));
    Some(Fleiss { kappa, ci95, z: sums.z(kappa, ratings.raters as f64), units })
}

/// What kappa is made of; one unit can be taken out again.
#[derive(Debug, Clone)]
struct Sums {
    units: f64,
    /// Ratings by category.
    by_category: Vec<f64>,
    /// Sum over units of the pairs of ratings that agree, each counted twice.
    agreeing: f64,
}

impl Sums {
    fn of(counts: &Counts, categories: usize) -> Sums {
        let mut sums = Sums { units: 0.0, by_category: vec![0.0; categories], agreeing: 0.0 };
        for (unit, weight) in counts {
            sums.add(unit, *weight as f64);
        }
        sums
    }

    fn add(&mut self, unit: &[u32], weight: f64) {
        self.units += weight;
        for (sum, count) in self.by_category.iter_mut().zip(unit) {
            let count = f64::from(*count);
            *sum += weight * count;
            self.agreeing += weight * count * (count - 1.0);
        }
    }

    fn without(&self, unit: &[u32]) -> Sums {
        let mut sums = self.clone();
        sums.add(unit, -1.0);
        sums
    }

    fn shares(&self, raters: f64) -> impl Iterator<Item = f64> {
        self.by_category.iter().map(move |sum| sum / (self.units * raters))
    }

    fn kappa(&self, raters: f64) -> Option<f64> {
        if self.units < 1.0 {
            return None;
        }
        let observed = self.agreeing / (self.units * raters * (raters - 1.0));
        let expected: f64 = self.shares(raters).map(|share| share * share).sum();
        let left = 1.0 - expected;
        (left > f64::EPSILON * 8.0).then(|| (observed - expected) / left)
    }

    fn z(&self, kappa: f64, raters: f64) -> Option<f64> {
        let spread: f64 = self.shares(raters).map(|share| share * (1.0 - share)).sum();
        let skew: f64 = self.shares(raters).map(|share| share * (1.0 - share) * (1.0 - 2.0 * share)).sum();
        let variance =
            2.0 / (self.units * raters * (raters - 1.0)) * (spread * spread - skew) / (spread * spread);
        (variance > 0.0).then(|| kappa / variance.sqrt())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Fleiss 1971, table 1: 30 patients, 6 psychiatrists, 5 diagnoses.
    const TABLE: &str = "00060 03003 01401 00006 03030 20400 00402 20310 20040 00006 10050 11040 03300 10050 02031 \
                         00501 30012 51000 02040 10203 00006 01050 02013 20040 10041 05010 40002 02040 10500 00006";
    const NAMES: [&str; 5] = ["1", "2", "3", "4", "5"];

    fn published() -> Ratings {
        Ratings::of(TABLE.split_whitespace().map(|row| {
            let counts = row.chars().map(|sign| sign.to_digit(10).expect("a digit") as usize);
            NAMES.iter().zip(counts).flat_map(|(name, count)| vec![Some(*name); count]).collect()
        }))
    }

    /// Kappa and z as the R package irr prints them for the same table; the jackknife's error by
    /// `scripts/audit-reference.py`; 2.045230 is the 97.5 % point of t with 29 degrees of freedom.
    #[test]
    fn the_published_table_gives_its_kappa_and_z() {
        let found = kappa(&published()).expect("five categories");
        assert!((found.kappa - 0.430_244_52).abs() < 1e-8, "{found:?}");
        assert!((found.z.expect("a z") - 17.651_83).abs() < 5e-6, "{found:?}");
        let [low, high] = found.ci95.expect("thirty units");
        assert!(((high - low) / 2.0 - 2.045_230 * 0.055_054_72).abs() < 1e-6, "{found:?}");
        assert_eq!(found.units, 30);
    }

    #[test]
    fn one_category_no_whole_unit_or_one_rater_gives_nothing() {
        let one =
            |units: &[[Option<&'static str>; 2]]| kappa(&Ratings::of(units.iter().map(|unit| unit.to_vec())));
        assert_eq!(one(&[[Some("a"), Some("a")]; 4]), None);
        assert_eq!(one(&[[Some("a"), None], [None, Some("b")]]), None);
        assert_eq!(one(&[]), None);
        assert_eq!(kappa(&Ratings::of([vec![Some("a")], vec![Some("b")]])), None);
        let single = one(&[[Some("a"), Some("b")]]).expect("two categories");
        assert_eq!((single.kappa, single.ci95), (-1.0, None));
    }
}
