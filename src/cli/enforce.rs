//! `tellframe enforce BOOK FILE`: the next situation after a play with its fouls.

use super::{Answer, Unable, books, input};
use field::exact::Yards;
use formats::clock_start::Starts;
use formats::enforce::Asked;
use formats::enforce::result::{DoneJson, Result as Enforced};
use std::path::PathBuf;

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
        let input = input::file::<Asked>(&self.file)?;
        let read = input.value().read(&book).map_err(|error| input.fault(error))?;
        let ruling = read.ruling(&book);
        let result = Enforced::of(&book, &read, &ruling);
        super::note(&result.notes);
        if self.json {
            return super::print_json(&result);
        }
        if result.options.len() > 1 {
            super::print(&format!("{} chooses:", result.chooser.word()))?;
        }
        for option in &result.options {
            let mark = if option.taken { "*" } else { " " };
            super::print(&format!("{mark} {}: {}", option.choice, situation_line(&option.after)))?;
        }
        for line in fouls(&result) {
            super::print(&line)?;
        }
        super::print(&end(&result))?;
        for open in &result.open {
            super::print(&format!("open: {open}"))?;
        }
        if self.why {
            for line in rules::game::text::lines(&ruling.ledger(&read.ran, &read.fouls), &[]) {
                super::print(&line)?;
            }
        }
        Ok(Answer::Yes)
    }
}

/// What became of the fouls, and how those that were enforced were walked off. Places are yards from the goal line of
/// the team that snapped or kicked off.
fn fouls(result: &Enforced) -> Vec<String> {
    let walked = result.spots.iter().map(|spot| {
        let (yards, from, why, to) = (spot.walked.0, spot.from.0, spot.why.word(), spot.to.0);
        let unit = if yards == Yards::whole(1) { "yard" } else { "yards" };
        format!("{}: {yards} {unit}, from {from} ({why}) to {to}", spot.foul)
    });
    let fates = result.fouls.iter().filter(|foul| foul.done != DoneJson::Accepted);
    let fates = fates.map(|foul| format!("{} by {}: {}", foul.name, foul.by.word(), foul.done.word()));
    let kick = result.free_kick_spot.map(|spot| format!("the free kick after the try: from the {}", spot.0));
    let run_off = result.run_off.as_ref().map(|run_off| {
        let taken = match (run_off.taken, run_off.saved) {
            (true, _) => "taken",
            (false, true) => "saved by a timeout",
            (false, false) => "not taken",
        };
        let by = run_off.by.word();
        format!("{by} may have {} seconds run off ({}): {taken}", run_off.seconds, run_off.rule)
    });
    walked.chain(fates).chain(kick).chain(run_off).collect()
}

/// The next situation, the clock and the period.
fn end(result: &Enforced) -> String {
    let tenths = (result.after.clock_s * 10.0).round() as i64;
    let (minutes, seconds, tenth) = (tenths / 600, tenths / 10 % 60, tenths % 10);
    let tenth = if tenth == 0 { String::new() } else { format!(".{tenth}") };
    let starts = match result.clock_starts {
        None => "the clock does not run".to_owned(),
        Some(Starts::Ready) => {
            format!("the clock shows {minutes}:{seconds:02}{tenth} and starts on the ready signal")
        }
        Some(Starts::Snap) => format!("the clock shows {minutes}:{seconds:02}{tenth} and starts on the snap"),
    };
    format!("{}; {starts}; the period {}", situation_line(&result.after), result.period.word())
}

/// Ball, down, distance, spot and score.
fn situation_line(after: &formats::situation::Situation) -> String {
    let team = after.offense.word();
    let score = format!("{}-{}", after.score.home, after.score.away);
    match (after.down, after.to_go) {
        (Some(down), Some(to_go)) => {
            format!("{team}, down {down}, {} to go at its {}, {score}", to_go.0, after.spot.0)
        }
        _ => format!("{team}, {} at its {}, {score}", after.next.word(), after.spot.0),
    }
}
