//! `tellframe log export [LOG]`: the records of the log.

use super::{files, head};
use crate::cli::{Answer, Unable, checked_output, print_json};
use formats::record::Record;
use host::data;
use host::output::Output;
use log::exchange::{jsonl, parquet, records};
use log::store::reader::Reader;
use log::streams::reviews;
use std::io::{BufWriter, Write};
use std::path::PathBuf;

/// Arguments of `log export`.
#[derive(Debug, clap::Args)]
pub(super) struct Export {
    /// The log, or `demo` for that of the demo; left out: your own
    #[arg(value_name = "LOG")]
    log: Option<PathBuf>,
    /// The form of the records; left out: by the ending of FILE, else JSON Lines
    #[arg(long, value_enum)]
    format: Option<Format>,
    /// Write the records to this file; left out: to stdout
    #[arg(short, long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Also write the signed head of the log to this file
    #[arg(long, value_name = "FILE")]
    head: Option<PathBuf>,
    /// Write over the files if they are there; never over a log, a key, a database or a rule book
    #[arg(long)]
    force: bool,
    /// Say as JSON how many records were written; without --out the records themselves are the result
    #[arg(long)]
    json: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
enum Format {
    /// One JSON object a line
    Jsonl,
    /// One flat table for other programs
    Parquet,
}

impl Export {
    pub(super) fn run(&self, folder: &data::Folder) -> Result<Answer, Unable> {
        let (out, head) = self.outputs()?;
        let (log, key) = files(self.log.as_deref(), folder)?;
        let reader = Reader::open(&log)?;
        let held = reviews::Held::all(&reader)?;
        for left_out in held.iter().filter(|held| held.unread.is_some()) {
            eprintln!("note: the review {} is left out: it is of a newer tellframe, or damaged", left_out.id);
        }
        let records = records::all_of(&reader, &held)?;
        if let Some(head) = &head {
            head::write(&reader, &key, head)?;
        }
        let Some(out) = out else {
            return to_stdout(&records, self.format());
        };
        let format = self.format();
        out.write(|file| write(&records, format, file))?;
        if self.json {
            return print_json(&serde_json::json!({"records": records.len(), "out": self.out}));
        }
        eprintln!("{} records written to {}", records.len(), out.path().display());
        Ok(Answer::Yes)
    }

    /// The files to write, all checked before any of them is written.
    fn outputs(&self) -> Result<(Option<Output>, Option<Output>), Unable> {
        let out = checked_output(self.out.as_deref(), self.force)?;
        let head = checked_output(self.head.as_deref(), self.force)?;
        match (&out, &head) {
            (Some(out), Some(head)) if out.is(head) => {
                let path = head.path().display();
                Err(Unable::new(format!("{path} cannot hold both the records and the head"))
                    .help("name two files"))
            }
            (..) => Ok((out, head)),
        }
    }

    fn format(&self) -> Format {
        let parquet =
            || self.out.as_ref().and_then(|out| out.extension()).is_some_and(|ending| ending == "parquet");
        self.format.unwrap_or_else(|| if parquet() { Format::Parquet } else { Format::Jsonl })
    }
}

/// A closed pipe is not an error.
fn to_stdout(records: &[Record], format: Format) -> Result<Answer, Unable> {
    match format {
        Format::Jsonl => match jsonl::write(records, BufWriter::new(std::io::stdout().lock())) {
            Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => {
                Err(Unable::new(format!("cannot write the result: {error}")))
            }
            Ok(()) | Err(_) => Ok(Answer::Yes),
        },
        Format::Parquet => {
            Err(Unable::new("a Parquet table needs a file").help("name it: --out records.parquet"))
        }
    }
}

fn write(records: &[Record], format: Format, file: impl Write + Send) -> Result<(), String> {
    match format {
        Format::Jsonl => jsonl::write(records, BufWriter::new(file)).map_err(|error| error.to_string()),
        Format::Parquet => parquet::write(records, file).map_err(|error| error.to_string()),
    }
}
