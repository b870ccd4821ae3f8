//! `tellframe log again draw|enter`: ruled questions answered once more, blind, by another official.

use super::{actor, attempt, open, opened, refused};
use crate::cli::{Answer, Unable, answer_text, input, print, print_json};
use audit::second_look::Pool;
use clap::Subcommand;
use formats::read::Form;
use formats::record::Record;
use formats::second_look::Sheet;
use host::data;
use host::output::{Existing, Output};
use log::chain::label::Actor;
use log::streams::second_looks::{all, next_name};
use log::streams::session::write;
use review::second_look::decide::{drawn, entered};
use review::second_look::{Stamped, Wanted};
use std::io::Write;
use std::path::PathBuf;

/// Arguments of `log again`.
#[derive(Debug, clap::Args)]
pub(super) struct Again {
    #[command(subcommand)]
    command: Command,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Draw a sample of ruled questions, and write a sheet that says nothing of how they were ruled
    Draw(Draw),
    /// Take a sheet back that was answered: checked as a whole, then signed into the log
    Enter(Enter),
}

#[derive(Debug, clap::Args)]
struct Draw {
    /// The log, `demo` or `season`
    #[arg(value_name = "LOG")]
    log: PathBuf,
    /// How many ruled questions at most; they are taken from each question in turn, so that rare ones come
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1000))]
    reviews: u32,
    /// The same seed draws the same sample from the same log
    #[arg(long, value_name = "S")]
    seed: u64,
    /// Only of this question
    #[arg(long, value_name = "QUESTION")]
    question: Option<String>,
    /// Who is to look: what they ruled themselves or have looked at again is left out
    #[arg(long = "for", value_name = "NAME")]
    official: Option<String>,
    /// Your pseudonym in the log
    #[arg(long = "as", value_name = "NAME", default_value = "supervisor")]
    actor: String,
    /// The sheet to write: RON where it ends in `.ron`, else JSON
    #[arg(short, long, value_name = "SHEET")]
    out: PathBuf,
    /// Write over SHEET if it is there; never over a log, a key, a database or a rule book
    #[arg(long)]
    force: bool,
    /// Say as JSON what was drawn
    #[arg(long)]
    json: bool,
}

#[derive(Debug, clap::Args)]
struct Enter {
    /// The log that the sheet was drawn from
    #[arg(value_name = "LOG")]
    log: PathBuf,
    /// The sheet, answered
    #[arg(value_name = "SHEET")]
    sheet: PathBuf,
    /// The pseudonym of who answered it
    #[arg(long, value_name = "NAME")]
    by: String,
    /// Check everything and print what would be written, and write nothing
    #[arg(long)]
    dry_run: bool,
    /// Print the records as JSON
    #[arg(long)]
    json: bool,
}

impl Again {
    pub(super) fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        match &self.command {
            Command::Draw(draw) => draw.run(folder),
            Command::Enter(enter) => enter.run(folder),
        }
    }
}

impl Draw {
    fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        let actor = actor("--as", &self.actor)?;
        let out = Output::new(&self.out, Existing::by(self.force));
        out.check()?;
        let mut log = opened(Some(&self.log), folder)?;
        // Decided on the entries up to this head: appending notices any that came in between.
        let head = log.reader().tip()?.head;
        let pool = Pool::of(log.reader())?;
        let wanted = Wanted {
            count: self.reviews as usize,
            seed: self.seed,
            question: self.question.clone(),
            official: self.official.clone(),
        };
        let records = match drawn(&pool.looks(), &wanted) {
            Ok(records) => records,
            Err(no) => return Ok(refused(&[no])),
        };
        let name = next_name(head);
        let sheet = pool.sheet(log.reader(), &name, &records)?;
        let event = wanted.drawn(records);
        let text = spelt(&sheet, input::form(&self.out))?;
        let attempt = attempt("again")?;
        // A sheet unknown to the log could not be entered, so the file appears only once the log has it.
        out.write(|file| {
            file.write_all(text.as_bytes()).map_err(|error| error.to_string())?;
            write(&mut log, (&actor, &attempt), head, &name, std::slice::from_ref(&event))
                .map_err(|error| Unable::from(error).to_string())
        })?;
        let count = sheet.reviews.len();
        if self.json {
            return print_json(&serde_json::json!({"sheet": name, "questions": count, "out": self.out}));
        }
        print(&format!("{} to look at again: {}", questions(count), self.out.display()))
    }
}

impl Enter {
    fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        let sheet: Sheet = input::file(&self.sheet)?.into_value();
        let place = self.sheet.display();
        let reader = open(Some(&self.log), folder)?;
        // Decided on the entries up to this head: appending notices any that came in between.
        let head = reader.tip()?.head;
        let mut sheets = all(&reader)?;
        let Some(known) = sheets.get_mut(&sheet.sheet) else {
            let log = reader.path().display();
            return Err(Unable::new(format!(
                "{place}: the sheet `{}` was not drawn from {log}",
                sheet.sheet
            ))
            .help("name the log that the sheet was drawn from"));
        };
        let pool = Pool::of(&reader)?;
        let looks = pool.looks();
        let actor = actor("--by", &looks.spelt(&self.by))?;
        let given = pool.given(known, &sheet).map_err(|faults| {
            let lines: Vec<String> = faults.iter().map(|fault| format!("{place}: {fault}")).collect();
            Unable::new(lines.join("\nerror: "))
                .help("nothing was entered; mend the sheet and enter it again")
        })?;
        let events = match entered(&looks, known, actor.as_str(), given) {
            Ok(events) => events,
            Err(against) => return Ok(refused(&against)),
        };
        let attempt = attempt("again")?;
        if !self.dry_run {
            let mut log = opened(Some(&self.log), folder)?;
            write(&mut log, (&actor, &attempt), head, &sheet.sheet, &events)?;
        }
        let before = known.entered.len();
        for event in events {
            known.apply(Stamped { at: attempt.at.clone(), by: actor.to_string(), event });
        }
        self.report(&actor, &pool.second(known.entered.get(before..).unwrap_or(&[])))
    }

    /// Prints nothing about the first look, so that the second official stays blind.
    fn report(&self, by: &Actor, records: &[Record]) -> Result<Answer, Unable> {
        if self.json {
            return print_json(&records);
        }
        let done = if self.dry_run { "would be entered" } else { "entered" };
        let mut text = format!("{} {done}, answered by {by}\n", questions(records.len()));
        for record in records {
            let said = record.answers.iter().map(|(step, answer)| format!("{step}: {}", answer_text(answer)));
            let said = said.collect::<Vec<_>>().join(", ");
            text += &format!("  {}, called {}: {} ({said})\n", record.tree, record.call, record.outcome);
        }
        print(text.trim_end())
    }
}

fn questions(count: usize) -> String {
    match count {
        1 => "1 question".to_owned(),
        more => format!("{more} questions"),
    }
}

/// The sheet in the form in which a person fills it in.
fn spelt(sheet: &Sheet, form: Form) -> Result<String, Unable> {
    let text = match form {
        Form::Json => serde_json::to_string_pretty(sheet).map_err(|error| error.to_string()),
        Form::Ron => {
            let pretty = ron::ser::PrettyConfig::new()
                .extensions(ron::extensions::Extensions::IMPLICIT_SOME)
                .compact_arrays(true);
            ron::ser::to_string_pretty(sheet, pretty).map_err(|error| error.to_string())
        }
    };
    text.map(|text| text + "\n").map_err(Unable::new)
}
