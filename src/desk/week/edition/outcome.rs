//! The result of judging under another edition, as text.

use super::Shown;
use super::judging::Judged;
use crate::week::card::Card;
use crate::week::line::{Line, Of, OfEdition};
use crate::week::see::See;
use audit::sample::editions::short;

/// What the edition's book changes.
#[derive(Debug, Clone)]
pub(crate) struct Book {
    pub title: String,
    /// How many records were judged, stay, flip and cannot be judged.
    pub counts: [(usize, &'static str); 4],
    /// Remarks on the counts.
    pub says: Vec<String>,
    /// What changed since each edition of the records.
    pub since: Vec<Since>,
}

/// What changed in the book since an edition.
#[derive(Debug, Clone)]
pub(crate) struct Since {
    /// The edition, and how many records were ruled under it.
    pub head: String,
    pub changes: Vec<String>,
    /// Number of changes not shown.
    pub more: usize,
}

/// A ruling that would be different.
#[derive(Debug, Clone)]
pub(crate) struct Ruling {
    pub title: String,
    pub called: String,
    /// The outcome; `None` if it stays the same.
    pub was: Option<String>,
    pub now: String,
    /// The changes that cause it, or what would differ in the situation.
    pub because: Vec<String>,
}

/// Records that cannot be judged.
#[derive(Debug, Clone)]
pub(crate) struct Untold {
    pub count: String,
    pub because: String,
    /// The id of each record, and its question.
    pub records: Vec<(String, String)>,
    /// Number of records not shown.
    pub more: usize,
}

/// Most changes shown since one edition. Books of two leagues differ everywhere.
const CHANGES: usize = 60;
/// Most records shown for one reason.
const RECORDS: usize = 40;

/// The book with the counts, then rulings that flip, other situations, and records that cannot be judged.
pub(super) fn lines(see: &See<'_>, judged: &Judged) -> Vec<Line> {
    let found = &judged.found;
    let line = |head: String, under: String, look: bool, of: OfEdition| Line {
        head,
        under,
        look,
        of: Of::Another(of),
    };
    let Counts { same, flips, untold, .. } = Counts::of(see, judged);
    let book = line(
        format!("Edition {}", short(&judged.edition)),
        format!("{same} stay, {flips} flip, {untold} cannot be judged"),
        false,
        OfEdition::Book,
    );
    let flips = found.flips.iter().enumerate().filter(|(_, flip)| see.shows_record(&flip.id));
    let flips = flips.map(|(at, flip)| {
        let under = format!("{} → {} · {}", flip.was, flip.now, flip.id);
        line(title(see, &flip.id), under, true, OfEdition::Flip(at))
    });
    let moved = found.restarts.iter().enumerate().filter(|(_, moved)| see.shows_record(&moved.id));
    let moved = moved.map(|(at, moved)| {
        let under = format!("the same outcome, another situation · {}", moved.id);
        line(title(see, &moved.id), under, false, OfEdition::Moved(at))
    });
    let untold = judged.untold.iter().enumerate().filter_map(|(at, (because, records))| {
        let shown = records.iter().filter(|id| see.shows_record(id)).count();
        (shown > 0)
            .then(|| line(format!("{shown} cannot be judged"), because.clone(), false, OfEdition::Untold(at)))
    });
    std::iter::once(book).chain(flips).chain(moved).chain(untold).collect()
}

/// The title of a record's question, or the record's id if it was not read.
fn title(see: &See<'_>, id: &str) -> String {
    see.held.record(id).map_or(id.to_owned(), |row| see.held.title(see.held.sample.text(row.tree)).to_owned())
}

/// The selected item.
pub(super) fn shown(see: &See<'_>, judged: &Judged, of: OfEdition) -> Option<Shown> {
    match of {
        OfEdition::Under(_) => None,
        OfEdition::Book => Some(Shown::Book(book(see, judged))),
        OfEdition::Flip(at) => {
            let flip = judged.found.flips.get(at)?;
            let (was, now) = (Some(flip.was.clone()), flip.now.clone());
            Some(ruling(see, &flip.id, (was, now), flip.because.clone()))
        }
        OfEdition::Moved(at) => {
            let moved = judged.found.restarts.get(at)?;
            let now = "the same outcome, another next situation".to_owned();
            Some(ruling(see, &moved.id, (None, now), moved.differs.clone()))
        }
        OfEdition::Untold(at) => {
            let (because, records) = judged.untold.get(at)?;
            let shown: Vec<&String> = records.iter().filter(|id| see.shows_record(id)).collect();
            Some(Shown::Untold(Untold {
                count: match shown.len() {
                    1 => "1 record cannot be judged".to_owned(),
                    count => format!("{count} records cannot be judged"),
                },
                because: because.clone(),
                records: shown.iter().take(RECORDS).map(|id| ((*id).clone(), title(see, id))).collect(),
                more: shown.len().saturating_sub(RECORDS),
            }))
        }
    }
}

/// Counts for the week shown.
struct Counts {
    records: usize,
    same: usize,
    flips: usize,
    untold: usize,
}

impl Counts {
    /// For all weeks the judging has the counts. For one week they are counted among the records that were read.
    fn of(see: &See<'_>, judged: &Judged) -> Counts {
        let found = &judged.found;
        let flips = found.flips.iter().filter(|flip| see.shows_record(&flip.id)).count();
        let untold = found.cannot_tell.iter().filter(|untold| see.shows_record(&untold.id)).count();
        let records = match see.week {
            None => found.records as usize,
            Some(_) => {
                let rows = see.held.sample.rows.iter();
                rows.filter(|row| row.again_of().is_none() && see.shows(row)).count()
            }
        };
        Counts { records, same: records.saturating_sub(flips + untold), flips, untold }
    }
}

/// The counts are those of the week shown, the changes of the book those for all records.
fn book(see: &See<'_>, judged: &Judged) -> Book {
    let found = &judged.found;
    let Counts { records, same, flips, untold } = Counts::of(see, judged);
    let counts = [(records, "judged"), (same, "stay"), (flips, "flip"), (untold, "cannot be judged")];
    let moved = match found.restarts.iter().filter(|moved| see.shows_record(&moved.id)).count() {
        0 => None,
        1 => Some("1 that stays would lead to another next situation.".to_owned()),
        count => Some(format!("{count} that stay would lead to another next situation.")),
    };
    let repeated = match found.repeated {
        0 => None,
        count => Some(format!("{count} repeated records were left out.")),
    };
    let since = found.changes.iter().map(|changed| {
        let since = format!("Since edition {}, {} records", short(&changed.since), changed.records);
        let (head, changes) = match &changed.changes {
            None => (format!("{since}: its text is not known"), [].as_slice()),
            Some(lines) if lines.is_empty() => (format!("{since}: the same rules"), [].as_slice()),
            Some(lines) => (format!("{since}:"), lines.as_slice()),
        };
        Since {
            head,
            changes: changes.iter().take(CHANGES).cloned().collect(),
            more: changes.len().saturating_sub(CHANGES),
        }
    });
    Book {
        title: format!("Under edition {} of the {}", short(&judged.edition), judged.name),
        counts,
        says: moved.into_iter().chain(repeated).collect(),
        since: since.collect(),
    }
}

/// A ruling that would be different, with its record.
fn ruling(see: &See<'_>, id: &str, (was, now): (Option<String>, String), because: Vec<String>) -> Shown {
    let called = see
        .held
        .record(id)
        .map_or(String::new(), |row| format!("called: {}", see.held.sample.text(row.call)));
    Shown::Ruling(Ruling { title: title(see, id), called, was, now, because }, Card::of(see, id))
}
