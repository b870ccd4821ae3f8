//! What stands on the screen, in words: made after each event.

use super::held::{Acts, Held};
use super::{Tab, angles, edition, grading, pairs, precedents, time, wording};
use audit::sample::row::Row;
use formats::audit::Audit;
use pages::text;

/// What a board is made from.
#[derive(Clone, Copy)]
pub(crate) struct See<'a> {
    /// What was read.
    pub held: &'a Held,
    /// What has become of it.
    pub acts: &'a Acts,
    /// The figures that are shown.
    pub found: &'a Audit,
    /// The week; none: all.
    pub week: Option<u32>,
    /// Who decided is hidden while grading.
    pub blind: bool,
    /// Graded records are listed too.
    pub graded_too: bool,
    /// The record that was graded last, listed in any case.
    pub done: Option<&'a str>,
    /// The records under another edition.
    pub edition: &'a edition::Edition,
}

/// What stands there.
#[derive(Debug, Clone, Default)]
pub(crate) struct Board {
    /// The figures in a line.
    pub lead: String,
    /// What can be pointed at.
    pub lines: Vec<Line>,
    /// Lines that were left out.
    pub more: usize,
    /// What is said where there is nothing to point at.
    pub nothing: &'static str,
    /// What is pointed at, or the tab as a whole.
    pub detail: Detail,
}

/// A line of the list.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Line {
    /// What it is.
    pub head: String,
    /// Beside it, smaller.
    pub under: String,
    /// It wants to be looked at.
    pub look: bool,
    /// What it stands for.
    pub of: Of,
}

/// What a line stands for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Of {
    /// Nothing but itself.
    Itself,
    /// An inconsistency, by its place among those of all weeks.
    Misfit(usize),
    /// A change of rules, by its place among those of all weeks.
    Change(usize),
    /// A record.
    Record(String),
    /// A step of a question.
    Step(String, String),
    /// A precedent, by its place.
    Precedent(usize),
    /// An edition, or what came of one.
    Another(edition::Of),
}

/// The right side of the screen.
#[derive(Debug, Clone, Default)]
pub(crate) enum Detail {
    /// Nothing to show.
    #[default]
    Nothing,
    /// Records beside each other.
    Pair(pairs::Pair),
    /// What a change of the rules did.
    Change(pairs::Change),
    /// Chart and tables of times.
    Time(Box<time::Time>),
    /// Figures with their intervals below each other.
    Tracks(super::tracks::Tracks),
    /// A record to grade.
    Sheet(Box<grading::Sheet>),
    /// A precedent.
    Precedent(precedents::Shown),
    /// An edition, or what came of one.
    Edition(Box<edition::Shown>),
}

impl See<'_> {
    /// Whether a record is of the week that is shown.
    pub(super) fn shows(&self, row: &Row) -> bool {
        self.week.is_none_or(|week| row.week == Some(week))
    }

    /// Whether a record of this id is of the week that is shown.
    pub(super) fn shows_record(&self, id: &str) -> bool {
        self.held.record(id).is_none_or(|row| self.shows(row))
    }
}

impl Board {
    /// The board of a tab, with this line pointed at.
    pub(super) fn of(see: &See<'_>, tab: Tab, at: usize) -> Board {
        let (mut lines, nothing) = match tab {
            Tab::Pairs => (pairs::lines(see), "Nothing of that kind was found here."),
            Tab::Time => {
                (time::lines(see), "Nobody takes longer, and no review stands out, by more than chance.")
            }
            Tab::Wording => (
                wording::lines(see),
                "Nothing was reviewed twice: hand a sample to a second official, blind.",
            ),
            Tab::Grades => (grading::lines(see), "Nothing here waits for a grade; U lists what is graded."),
            Tab::Angles => (angles::lines(see), "No ruling here rests on a marked frame."),
            Tab::Precedents => {
                (precedents::lines(see), "No referee's own ruling was handed on as a precedent.")
            }
            Tab::Edition => (see.edition.lines(see), "There is no edition to judge under."),
        };
        let more = lines.len().saturating_sub(MOST);
        lines.truncate(MOST);
        let pointed = lines.get(at.min(lines.len().saturating_sub(1))).map(|line| &line.of);
        let detail = match tab {
            Tab::Pairs => pairs::detail(see, pointed),
            Tab::Time => time::detail(see, pointed),
            Tab::Wording => wording::detail(see, pointed),
            Tab::Grades => grading::detail(see, pointed),
            Tab::Angles => angles::detail(see, at),
            Tab::Precedents => precedents::detail(see, pointed),
            Tab::Edition => see.edition.detail(see, pointed),
        };
        Board { lead: lead(see.found), lines, more, nothing, detail }
    }
}

/// More lines than anybody walks through.
const MOST: usize = 2000;

fn lead(found: &Audit) -> String {
    if found.rulings == 0 {
        return "no rulings here".to_owned();
    }
    let mut parts = vec![format!("{} rulings", found.rulings)];
    parts.extend(
        found
            .outcomes
            .iter()
            .map(|(outcome, rate)| format!("{outcome} {}, {}", rate.count, text::share(rate))),
    );
    parts.push(match found.avoidable.count {
        1 => "1 challenge could have been avoided".to_owned(),
        count => format!("{count} challenges could have been avoided"),
    });
    parts.join(" · ")
}
