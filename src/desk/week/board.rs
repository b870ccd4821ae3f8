//! The texts of the screen, made after each event.

use super::line::{Line, Of};
use super::see::See;
use super::{Tab, angles, edition, grading, pairs, precedents, time, tracks, wording};
use formats::audit::Audit;
use pages::text;

#[derive(Debug, Clone, Default)]
pub(crate) struct Board {
    /// The figures in the header.
    pub lead: String,
    /// The list.
    pub lines: Vec<Line>,
    /// Number of lines left out of the list.
    pub more: usize,
    /// Shown if there is nothing to select.
    pub nothing: &'static str,
    /// The selected item, or the tab as a whole.
    pub detail: Detail,
}

/// The right side of the screen.
#[derive(Debug, Clone, Default)]
pub(crate) enum Detail {
    #[default]
    Nothing,
    Pair(pairs::Pair),
    Change(pairs::Change),
    Time(Box<time::Time>),
    Tracks(tracks::Tracks),
    Sheet(Box<grading::Sheet>),
    Precedent(precedents::Shown),
    /// An edition, or the result of judging under it.
    Edition(Box<edition::Shown>),
}

impl Board {
    /// The board of a tab with this line selected.
    pub(super) fn of(see: &See<'_>, edition: &edition::Edition, (tab, at): (Tab, usize)) -> Board {
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
            Tab::Edition => (edition.lines(see), "There is no edition to judge under."),
        };
        let more = lines.len().saturating_sub(MOST);
        lines.truncate(MOST);
        let pointed = lines.get(at.min(lines.len().saturating_sub(1))).map(|line| &line.of);
        let detail = match (tab, pointed) {
            (Tab::Pairs, Some(Of::Misfit(at))) => pairs::pair(see, *at).map(Detail::Pair),
            (Tab::Pairs, Some(Of::Change(at))) => pairs::change(see, *at).map(Detail::Change),
            (Tab::Time, _) => Some(Detail::Time(Box::new(time::time(see, pointed)))),
            (Tab::Wording, _) => wording::tracks(see, pointed).map(Detail::Tracks),
            (Tab::Grades, Some(Of::Record(id))) => {
                grading::sheet(see, id).map(|sheet| Detail::Sheet(Box::new(sheet)))
            }
            (Tab::Grades, _) => grading::avoidable(see).map(Detail::Tracks),
            (Tab::Angles, _) => angles::tracks(see, at).map(Detail::Tracks),
            (Tab::Precedents, Some(Of::Precedent(at))) => precedents::shown(see, *at).map(Detail::Precedent),
            (Tab::Edition, Some(Of::Another(of))) => {
                edition.shown(see, *of).map(|shown| Detail::Edition(Box::new(shown)))
            }
            (Tab::Pairs | Tab::Precedents | Tab::Edition, _) => None,
        };
        let detail = detail.unwrap_or(Detail::Nothing);
        Board { lead: lead(see.found), lines, more, nothing, detail }
    }
}

/// Most lines in a list: more than anybody walks through.
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
