//! What a ruling comes to in its game: the situation that the day will hold, which is what is announced.
//!
//! A ruling is about one play, and its restart follows from that play alone. A timeout or a correction that was entered
//! since the play stays, so the game may go on otherwise: the words say how it goes on.

use super::announcement::{Names, texts};
use super::day::players::ByCount;
use super::decide::Desk;
use super::event::Texts;
use super::fold::Review;
use super::ruling::{Question, Ruling};
use rules::book::Book;
use rules::game::clock::goes_on;

/// A ruling as it is announced.
#[derive(Debug, Clone)]
pub struct AsAnnounced<'b> {
    /// With the restart that the day takes over.
    pub ruling: Ruling<'b>,
    /// What the game clock shows until somebody sets it.
    pub shown_ms: i64,
    /// Sentences about players whom the fouls of the play disqualify by their number.
    disqualified: Vec<String>,
}

impl AsAnnounced<'_> {
    /// What is announced, and what the clock operator and the chain crew do.
    pub fn words(&self, book: &Book, names: &Names, questions: &[Question<'_>]) -> Texts {
        let mut words = texts(book, names, self.shown_ms, questions, &self.ruling);
        for sentence in &self.disqualified {
            words.announcement.push(' ');
            words.announcement.push_str(sentence);
        }
        words
    }
}

/// The ruling as it is announced; without a day, or where no review is on in it, its own restart is.
pub fn as_announced<'b>(desk: Desk<'_>, review: &Review, ruling: &Ruling<'b>) -> AsAnnounced<'b> {
    let Desk { book, names, .. } = desk;
    let mut ruling = ruling.clone();
    let read_back = review.read_back.as_ref().and_then(|read_back| read_back.clock_ms);
    let at_snap = review.situation().map(|situation| situation.clock_ms);
    let shown_ms = read_back.or(at_snap).unwrap_or(ruling.restart.after.clock_ms);
    let Some((day, play)) = desk.under_review() else {
        return AsAnnounced { ruling, shown_ms, disqualified: Vec::new() };
    };
    let ruled = ruling.restart.after;
    let after = day.after_ruling(book, play, ruled);
    if after != ruled {
        ruling.restart.after = after;
        ruling.restart.clock_starts = goes_on(book, &after);
    }
    // A foul that the ruling takes away counts for nobody.
    let stands = |one: &ByCount| {
        ruling.restart.fouls.iter().any(|foul| foul.name == one.penalty && foul.by == one.team)
    };
    let by_count = day.entered_by_count(book, play).into_iter().filter(stands);
    let disqualified = by_count.map(|one| one.announced(book, names)).collect();
    AsAnnounced { ruling, disqualified, shown_ms: day.corrected_clock(play).unwrap_or(shown_ms) }
}
