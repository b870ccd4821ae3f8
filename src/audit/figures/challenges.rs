//! What the supervisor graded: challenges that could have been avoided, and how calls and reviews were graded.

use crate::sample::Sample;
use crate::sample::interner::Name;
use crate::sample::row::Row;
use crate::stats::wilson::Proportion;
use formats::audit::{Avoidable, Grades, Rate};
use formats::case::Who;
use std::collections::{BTreeMap, BTreeSet};

/// Records that a first look at full speed would have answered, by the supervisor's grade.
pub(super) fn avoidable(sample: &Sample, reversed: impl Fn(&Row) -> bool) -> Avoidable {
    let graded = Proportion::of(sample.rulings().filter_map(|row| row.grades.plain));
    let mut found = Avoidable { rate: (graded.of > 0).then(|| graded.into()), ..Avoidable::default() };
    let mut paid: BTreeSet<&str> = BTreeSet::new();
    for row in sample.rulings().filter(|row| row.grades.plain == Some(true)) {
        found.count += 1;
        found.ids.push(row.id().to_owned());
        let whose = if reversed(row) { &mut found.by_crew } else { &mut found.by_coach };
        whose.push(row.id().to_owned());
        let by_coach = matches!(row.initiator, Some(Who::CoachHome | Who::CoachAway));
        if by_coach && row.won == Some(false) && paid.insert(row.review().unwrap_or(row.id())) {
            found.timeouts_paid += 1;
        }
        *found.by_tree.entry(sample.text(row.tree).to_owned()).or_insert(0) += 1;
        if let Some(position) = row.grades.position {
            *found.by_position.entry(sample.text(position).to_owned()).or_insert(0) += 1;
        }
        if let Some(week) = row.week {
            *found.by_week.entry(week).or_insert(0) += 1;
        }
    }
    found
}

pub(super) fn grades(sample: &Sample) -> Grades {
    let (mut calls, mut reviews) = (BTreeMap::new(), BTreeMap::new());
    let (mut graded, mut of) = (0, 0);
    for row in sample.rulings() {
        of += 1;
        graded += u64::from(row.grades.call.is_some() || row.grades.review.is_some());
        row.grades.call.into_iter().for_each(|grade| *calls.entry(grade).or_insert(0) += 1);
        row.grades.review.into_iter().for_each(|grade| *reviews.entry(grade).or_insert(0) += 1);
    }
    let rates = |counts: BTreeMap<Name, u64>| -> BTreeMap<String, Rate> {
        let of = counts.values().sum();
        let one = |(grade, count)| (sample.text(grade).to_owned(), Proportion { count, of }.into());
        counts.into_iter().map(one).collect()
    };
    Grades { calls: rates(calls), reviews: rates(reviews), graded, of }
}
