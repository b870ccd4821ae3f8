//! `tellframe rejudge LOG --book BOOK`: which rulings of a log flip under another edition, and why.

use super::counting::Counting;
use super::{Answer, Unable, books, log};
use audit::rejudge::logs;
use formats::rejudge::Rejudged;
use host::data;
use rules::book::Book;
use std::fmt::Write as _;
use std::path::PathBuf;

/// Arguments of `rejudge`.
#[derive(Debug, clap::Args)]
pub(super) struct Rejudge {
    /// A log, records as JSON Lines, or `season` for the demo's season
    #[arg(value_name = "LOG")]
    log: PathBuf,
    /// The edition to judge under: a folder of a rule book, or the name of a built-in one
    #[arg(long, value_name = "BOOK")]
    book: String,
    /// An edition that the log was ruled under, where neither the log nor this program holds it
    #[arg(long, value_name = "BOOK")]
    was: Vec<String>,
    /// Print the result as JSON
    #[arg(long)]
    json: bool,
}

/// Most items of a kind that are printed; `--json` has all.
const MOST_SHOWN: usize = 40;

impl Rejudge {
    pub(super) fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        let new = books::load(&self.book)?;
        let named: Vec<Book> = self.was.iter().map(|was| books::load(was)).collect::<Result<_, _>>()?;
        let path = log::path(&self.log, folder)?;
        let counting = Counting::begin();
        let rejudged = logs::rejudge(&[path], &new, &named, |count| counting.show(count));
        drop(counting);
        let rejudged = rejudged?;
        if self.json {
            return super::print_json(&rejudged);
        }
        super::print(text(&rejudged, &new).trim_end())
    }
}

fn text(rejudged: &Rejudged, new: &Book) -> String {
    let mut text = format!("under the edition {} of the {}:\n", new.edition, new.name);
    for changed in &rejudged.changes {
        text += &match &changed.changes {
            None => format!("since {} ({} records): its text is not known\n", changed.since, changed.records),
            Some(lines) if lines.is_empty() => {
                format!("since {} ({} records): the same edition\n", changed.since, changed.records)
            }
            Some(_) => format!("since {} ({} records) changed:\n", changed.since, changed.records),
        };
        for line in changed.changes.iter().flatten() {
            let _ = writeln!(text, "  {line}");
        }
    }
    let Rejudged { records, repeated, same, flips, cannot_tell, restarts, contrary, .. } = rejudged;
    let _ = writeln!(
        text,
        "{records} records: {same} the same, {} flip, {} cannot be judged",
        flips.len(),
        cannot_tell.len()
    );
    if *repeated > 0 {
        let _ = writeln!(text, "{repeated} duplicate records were left out");
    }
    for flip in flips.iter().take(MOST_SHOWN) {
        let _ = writeln!(text, "flips        {}: {}, was {}", flip.id, flip.now, flip.was);
        flip.because.iter().for_each(|because| text += &format!("             {because}\n"));
    }
    for moved in restarts.iter().take(MOST_SHOWN) {
        let _ = writeln!(text, "restart      {}: {}", moved.id, moved.differs.join("; "));
    }
    for record in contrary.iter().take(MOST_SHOWN) {
        let _ = writeln!(text, "contradicts  {}: {}", record.id, record.because.join("; "));
    }
    for untold in cannot_tell.iter().take(MOST_SHOWN) {
        let _ = writeln!(text, "cannot tell  {}: {}", untold.id, untold.because.join("; "));
    }
    if flips.len().max(restarts.len()).max(cannot_tell.len()) > MOST_SHOWN {
        let _ = writeln!(text, "… the first {MOST_SHOWN} of each; --json has all");
    }
    text + "The league's published rules prevail; a ruling of its day stands as it was made.\n"
}
