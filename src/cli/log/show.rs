//! `tellframe log show [LOG] [REVIEW|GAME|RULING]`: the reviews, games and referee's own rulings of a log, or one.

use super::entry::{event_json, unread_json, unread_line, unread_mark, utc};
use super::{day, discretion, open};
use crate::cli::{Answer, Unable, checked_output, print, print_json};
use ::review::event::{Event, Marked, Snapshot};
use ::review::fold::{Review, Stamped};
use ::review::ledger::RestartLedger;
use ::review::stamp::Elapsed;
use ::review::text;
use evidence::mark::Shot;
use formats::ledger;
use host::data;
use host::output::Output;
use log::chain::label::ReviewId;
use log::forms::shown;
use log::store::reader::Reader;
use log::streams::days;
use log::streams::discretions;
use log::streams::play_grades;
use log::streams::reviews;
use log::streams::reviews::Held;
use pages::review;
use serde_json::{Value, json};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// Arguments of `log show`.
#[derive(Debug, clap::Args)]
pub(super) struct Show {
    /// The log, left out: your own; then a review, a game or a ruling of the referee's own, left out: all. A word that is not a file is one of those
    #[arg(value_names = ["LOG", "REVIEW"], num_args = 0..=2)]
    what: Vec<String>,
    /// Print the result as JSON
    #[arg(long)]
    json: bool,
    /// Of one review: print besides how every number of its restart came about
    #[arg(long)]
    why: bool,
    /// Write a review as one page that needs nothing else, to print or to hand on
    #[arg(long, value_name = "FILE", conflicts_with = "json")]
    html: Option<PathBuf>,
    /// Write over FILE if it is there; never over a log, a key, a database or a rule book
    #[arg(long, requires = "html")]
    force: bool,
}

impl Show {
    pub(super) fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        let html = checked_output(self.html.as_deref(), self.force)?;
        let (log, review) = self.parts();
        let log = open(log.as_deref(), folder)?;
        let Some(review) = review else {
            if self.html.is_some() {
                return Err(Unable::new("a page is made of one review")
                    .help("name it: `tellframe log show REVIEW --html FILE`"));
            }
            return self.all(&log);
        };
        if let Some(held) = one(&log, review)? {
            return match &html {
                Some(file) => page_of(&log, &held, file),
                None => self.one(&log, &held),
            };
        }
        if let Some(held) = discretions::Held::one(&log, review)?.filter(|_| self.html.is_none()) {
            return if self.json {
                print_json(&discretion::json(&held))
            } else {
                print(&discretion::text(&held))
            };
        }
        match days::Held::one(&log, review)? {
            Some(held) if self.json => print_json(&day::json(&held, &play_grades::of(&log, review)?)),
            Some(_) if self.html.is_some() => {
                Err(Unable::new(format!("`{review}` is a game: a page is made of one review"))
                    .help("`tellframe log show` lists the reviews"))
            }
            Some(held) => print(&day::text(&held, &play_grades::of(&log, review)?)),
            None => Err(Unable::new(format!(
                "there is no file and no review, game or ruling `{review}` in {}",
                log.path().display()
            ))
            .help("`tellframe log show` lists the reviews and games")),
        }
    }

    fn parts(&self) -> (Option<PathBuf>, Option<&str>) {
        match self.what.as_slice() {
            [] => (None, None),
            [log] if looks_like_a_file(log) => (Some(PathBuf::from(log)), None),
            [review] => (None, Some(review)),
            [log, review, ..] => (Some(PathBuf::from(log)), Some(review)),
        }
    }

    fn all(&self, log: &Reader) -> Result<Answer, Unable> {
        let all = reviews::Held::all(log)?;
        if self.json {
            return print_json(&all.iter().map(summary).collect::<Vec<_>>());
        }
        if all.is_empty() {
            print("no reviews")?;
        }
        for held in &all {
            print(&line(held))?;
        }
        for held in &days::Held::all(log)? {
            print(&day::line(held))?;
        }
        for held in &discretions::Held::all(log)? {
            print(&discretion::line(held))?;
        }
        Ok(Answer::Yes)
    }

    fn one(&self, log: &Reader, held: &Held) -> Result<Answer, Unable> {
        let restart = if self.why { restart_ledger(log, held)? } else { None };
        let named = restart.as_ref().map(|restart| {
            let questions = restart.questions.iter().map(String::as_str).collect::<Vec<_>>();
            (&restart.ledger, questions)
        });
        if self.json {
            let mut told = summary(held);
            if let Some((ledger, questions)) = &named {
                told["why"] = json!(ledger::changes(ledger, questions));
            }
            let event =
                |(entry, stamped): &(u64, Stamped)| event_json(*entry, shown(&stamped.event), &stamped.at);
            told["events"] = held.events.iter().map(event).collect();
            return print_json(&told);
        }
        let mut text = review_text(held);
        match named {
            Some((ledger, questions)) => {
                for line in rules::game::text::lines(ledger, &questions) {
                    text += &format!("\n  {line}");
                }
            }
            None if self.why => {
                text += "\nno account of its numbers: nothing was ruled, or by another engine"
            }
            None => {}
        }
        print(&text)
    }
}

/// The ledger of the review's restart, under the rules that the log keeps for it.
fn restart_ledger(log: &Reader, held: &Held) -> Result<Option<RestartLedger>, Unable> {
    let Some(begun) = &held.begun else { return Ok(None) };
    let book = reviews::rules(log, begun)?.and_then(|rules| rules.load().ok());
    Ok(book.and_then(|book| ::review::ledger::of(&book, &held.review())))
}

fn page_of(log: &Reader, held: &Held, file: &Output) -> Result<Answer, Unable> {
    let page = review::of_review(log, held)?;
    file.write_bytes(page.as_bytes())?;
    print(&format!("{}: the review {} as a page", file.path().display(), held.id))
}

/// Whether a file is meant: a word with a path or an ending is one, whether or not the file exists.
fn looks_like_a_file(text: &str) -> bool {
    let path = Path::new(text);
    let word = super::is_word(path, "demo") || super::is_word(path, "season");
    word || path.exists() || path.components().count() > 1 || path.extension().is_some()
}

fn one(log: &Reader, review: &str) -> Result<Option<Held>, Unable> {
    match ReviewId::new(review) {
        Ok(id) => Ok(reviews::Held::one(log, &id)?),
        // No review has an invalid id.
        Err(_) => Ok(None),
    }
}

fn summary(held: &Held) -> Value {
    let review = held.review();
    let called = review.called.as_ref();
    let outcomes = |ruling: &Snapshot| {
        let one = |found: &::review::event::Found| json!({"tree": found.tree, "outcome": found.label, "finding": found.finding, "moot": found.moot});
        ruling.questions.iter().map(one).collect::<Vec<_>>()
    };
    json!({
        "review": held.id.as_str(),
        "official": held.official.as_str(),
        "book": held.begun.as_ref().map(|begun| &begun.book),
        "edition": held.begun.as_ref().map(|begun| &begun.edition),
        "game": called.map(|called| &called.game),
        "week": called.and_then(|called| called.week),
        "play": called.map(|called| &called.play),
        "called_at": review.times.called.as_ref().and_then(utc),
        "phase": text::phase(review.phase),
        "over": review.is_over(),
        "questions": review.ruling.as_ref().map(outcomes),
        "announcement": review.ruling.as_ref().map(|ruling| &ruling.words.announcement),
        "unread": unread_json(held.unread.as_ref()),
    })
}

/// A review in one line.
fn line(held: &Held) -> String {
    let review = held.review();
    let at = review.times.called.as_ref().and_then(utc).unwrap_or_else(|| "no time".to_owned());
    let mut line = format!("{}  {at}  {}", held.id, held.official);
    if let Some(called) = &review.called {
        line += &format!("  {}  {}", called.game, called.play);
    }
    line += &format!("  {}", text::phase(review.phase));
    for found in review.ruling.iter().flat_map(|ruling| &ruling.questions) {
        line += &format!("  {}: {}", found.tree, found.label);
    }
    line + &unread_mark(held.unread.as_ref())
}

/// A review with all its events.
fn review_text(held: &Held) -> String {
    let review = held.review();
    let mut text = format!("review {} by {}", held.id, held.official);
    if let Some(begun) = &held.begun {
        text += &format!(", under {} {}", begun.book, begun.edition);
    }
    let taken_back: Vec<usize> = {
        let standing: Vec<usize> = review.standing().map(|(number, _)| number).collect();
        (0..review.events().len()).filter(|number| !standing.contains(number)).collect()
    };
    for (number, (_, stamped)) in held.events.iter().enumerate() {
        let after = review.times.called.as_ref().and_then(|called| stamped.at.since(called));
        let back = if taken_back.contains(&number) { "  (taken back)" } else { "" };
        text += &format!("\n{number:>4}  {:>9}  {}{back}", time(after), text::event(&stamped.event));
        if let Event::Marked(Marked { shot: Some(Shot { still: Some(name), .. }), .. }) = &stamped.event {
            text += &format!("\n{:>17}still {name}", "");
        }
    }
    text += &unread_line(held.unread.as_ref());
    if let Some(ruling) = &review.ruling {
        text += &ruled(&review, ruling);
    }
    text
}

/// Seconds from the challenge; `~` where the machine was restarted in between.
fn time(after: Option<Elapsed>) -> String {
    let seconds = |ms: u64| format!("{}.{:03} s", ms / 1000, ms % 1000);
    match after {
        Some(Elapsed::Exact(ms)) => seconds(ms),
        Some(Elapsed::ByWallClock(ms)) => format!("~{}", seconds(ms)),
        None => "?".to_owned(),
    }
}

fn ruled(review: &Review, ruling: &Snapshot) -> String {
    let mut text = String::from("\n");
    let mut add = |name: &str, says: &str| {
        // Writing to a text cannot fail.
        let _ = write!(text, "\n{name:<13}{says}");
    };
    add("announced:", &ruling.words.announcement);
    if !ruling.words.crew.is_empty() {
        add("crew:", &ruling.words.crew);
    }
    add("clock:", &ruling.words.clock);
    add("chains:", &ruling.words.chains);
    if !ruling.words.log.is_empty() {
        add("for the log:", &ruling.words.log);
    }
    match ruling.won {
        Some(true) => add("challenge:", "won"),
        Some(false) => {
            add("challenge:", if ruling.price.timeout { "lost, a timeout is charged" } else { "lost" })
        }
        None => {}
    }
    for found in &ruling.questions {
        let shown = if found.established { "established" } else { "not established" };
        let moot = if found.moot { ", moot" } else { "" };
        add(
            "question:",
            &format!("`{}` {}: {}, {shown}{moot}", found.tree, found.label, found.possible.join(" or ")),
        );
    }
    for done in review.overrides() {
        add("override:", &format!("{}, because: {}", done.what, done.reason));
    }
    text
}
