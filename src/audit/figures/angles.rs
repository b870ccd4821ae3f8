//! Which cameras the rulings rest on, by the frames that were marked.

use crate::sample::Sample;
use crate::sample::interner::Name;
use crate::stats::wilson::Proportion;
use formats::audit::Angle;
use std::collections::BTreeMap;

#[derive(Debug, Default)]
struct Counted {
    established: Proportion,
    alone: u64,
    alone_unproven: u64,
}

/// For each camera, the rulings with a marked frame of it, and those of them in which the picture established something.
/// A record that does not say whether it did counts as not established.
pub(super) fn angles(sample: &Sample) -> BTreeMap<String, Angle> {
    let mut cameras: BTreeMap<Name, Counted> = BTreeMap::new();
    for row in sample.rulings() {
        let established = row.established == Some(true);
        let marked = sample.interner.cameras.get(row.cameras);
        for camera in marked {
            let counted = cameras.entry(*camera).or_default();
            counted.established.add(established);
            if marked.len() == 1 {
                counted.alone += 1;
                counted.alone_unproven += u64::from(!established);
            }
        }
    }
    let angle = |(camera, counted): (Name, Counted)| {
        let Counted { established, alone, alone_unproven } = counted;
        let angle = Angle { marked: established.of, established: established.into(), alone, alone_unproven };
        (sample.text(camera).to_owned(), angle)
    };
    cameras.into_iter().map(angle).collect()
}
