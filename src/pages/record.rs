//! A record in words, and the reviews in the order of their calls: what a page or a screen shows beside figures.

use audit::figures::facts::AllFacts;
use audit::sample::Sample;
use audit::sample::interner::Name;
use audit::sample::row::{Measured, OR, Row};
use std::collections::BTreeMap;

/// A record in words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Told {
    /// Week, game and play.
    pub place: String,
    /// Who decided.
    pub official: Option<String>,
    /// What was found.
    pub finding: Option<String>,
    /// The steps that it rests on with their answers, and what was measured.
    pub facts: Vec<(String, String)>,
    /// What was done against the rules of proof or time, and why.
    pub reasons: Vec<String>,
}

/// A review's time.
#[derive(Debug, Clone, PartialEq)]
pub struct Timed {
    /// Its first record.
    pub id: String,
    /// From the call to the announcement, in seconds.
    pub seconds: f64,
    /// Of them after nothing could change it any more.
    pub after_settled: f64,
}

/// The record at this place of the sample; officials by the names that `shown` gives them.
pub fn tell(sample: &Sample, facts: &AllFacts, at: usize, shown: &BTreeMap<String, String>) -> Told {
    let row = &sample.rows[at];
    let text = |name: Name| sample.text(name).to_owned();
    let week = row.week.map(|week| format!("week {week}"));
    let parts = [week, row.game.map(text), row.play().map(str::to_owned)];
    let official = row.official.map(text).map(|name| shown.get(&name).cloned().unwrap_or(name));
    let fact = |(step, answer): &(Name, String)| {
        let measured = row.measured.iter().find(|measured| measured.step == *step);
        let measured = measured.map_or(String::new(), |measured| {
            let Measured { value, sigma, line, .. } = measured;
            match line {
                Some(line) => format!(", measured at {value:.2} ± {sigma:.2} yd, {}", text(*line)),
                None => format!(", measured {value:.3} ± {sigma:.3} s"),
            }
        });
        (text(*step), format!("{}{measured}", answer.replace(OR, " or ")))
    };
    Told {
        place: parts.into_iter().flatten().collect::<Vec<_>>().join(" · "),
        official,
        finding: row.finding.map(text),
        facts: facts.of_row(at).path.iter().map(fact).collect(),
        reasons: row.overrides.iter().map(|reason| reason.to_string()).collect(),
    }
}

/// The reviews that were not cut short, in the order of their calls.
pub fn times(sample: &Sample) -> Vec<Timed> {
    let mut reviews: Vec<&Row> = sample.reviews().into_iter().filter(|row| !row.cut_short).collect();
    reviews.sort_by_key(|row| row.called_ms);
    let timed = reviews.iter().filter_map(|row| {
        let after_settled = row.after_settled().unwrap_or(0.0);
        Some(Timed { id: row.id().to_owned(), seconds: row.duration_s?, after_settled })
    });
    timed.collect()
}
