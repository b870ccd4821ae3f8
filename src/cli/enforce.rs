//! `tellframe enforce BOOK FILE`: the next situation after a play with its fouls.

use super::{Answer, Unable, books, input};
use std::path::PathBuf;
use tellframe::wire::enforce::Asked;
use tellframe::wire::enforce::result::Result as Enforced;
use tellframe::wire::ledger;

/// Arguments of `enforce`.
#[derive(Debug, clap::Args)]
pub(super) struct Enforce {
    /// A folder of a rule book, or the name of a built-in one
    #[arg(value_name = "BOOK")]
    book: String,
    /// A situation, a play, its fouls and choices, as RON or JSON
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Print the result as JSON
    #[arg(long)]
    json: bool,
    /// Print besides how every number that changed came about
    #[arg(long)]
    why: bool,
}

impl Enforce {
    pub(super) fn run(&self) -> Result<Answer, Unable> {
        let book = books::load(&self.book)?;
        let asked: Asked = input::file(&self.file)?;
        let read =
            asked.read(&book).map_err(|error| Unable::new(format!("{}: {error}", self.file.display())))?;
        let ruling = read.ruling(&book);
        let result = Enforced::of(&book, &read, &ruling);
        if self.json {
            return super::print_json(&result);
        }
        for option in &result.options {
            let mark = if option.taken { "*" } else { " " };
            println!("{mark} {}: {}", option.choice, words(&option.after));
        }
        for spot in &result.spots {
            println!(
                "{}: {} from {} ({}) to {}",
                spot.foul,
                spot.walked.0,
                spot.from.0,
                spot.why.word(),
                spot.to.0
            );
        }
        if let Some(run_off) = &result.run_off {
            let taken = if run_off.taken { "taken" } else { "not taken" };
            println!("run-off of {} s ({}): {taken}", run_off.seconds, run_off.rule);
        }
        let starts = result.clock_starts.map_or("the clock does not run".to_owned(), |starts| {
            format!("the clock starts on the {}", starts.word())
        });
        println!("{}; {starts}; the period {}", words(&result.after), result.period.word());
        for open in &result.open {
            println!("open: {open}");
        }
        if self.why {
            for line in ledger::lines(&ruling.ledger(&read.ran, &read.fouls), &[]) {
                println!("{line}");
            }
        }
        Ok(Answer::Yes)
    }
}

/// A situation in one line.
fn words(after: &tellframe::wire::situation::Situation) -> String {
    let team = after.offense.word();
    let score = format!("{}-{}", after.score.home, after.score.away);
    match (after.down, after.to_go) {
        (Some(down), Some(to_go)) => {
            format!("{team}, down {down}, {} to go at its {}, {score}", to_go.0, after.spot.0)
        }
        _ => format!("{team}, {} at its {}, {score}", after.next.word(), after.spot.0),
    }
}
