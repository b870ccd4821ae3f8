//! The only code that writes: grades, answers to letters, decisions on precedents, the page of a week.

use super::error::Error;
use super::held::Held;
use super::keys::Given;
use super::line::Of;
use super::{Message, Named, Reading, Typing, Week, What, line_id};
use audit::sample::logs;
use host::clock;
use host::output;
use host::output::Kept;
use iced::Task;
use log::chain::label::CommandId;
use log::chain::sign::Key;
use log::files::make_folder;
use log::store::log::Log;
use log::streams::grades;
use log::streams::grades::Done;
use log::streams::precedents;
use log::streams::session::Attempt;
use pages::report;
use review::grade::{Event, Grade, Picture};
use review::precedent::{Command, Condition, Weeks};
use review::refusal::Refusal;

impl Week {
    /// Chooses a grade, which `Act::Sign` then signs. If the record has one already, the reason is typed first.
    pub(super) fn choose_grade(&mut self, given: Given) -> Task<Message> {
        let (super::Tab::Grades, Some(Of::Record(id))) = (self.tab, self.of()) else {
            self.told = Some(super::under(super::Tab::Grades));
            return Task::none();
        };
        let stands = self.acts.graded.get(id).and_then(|graded| graded.standing(given.grade().matter()));
        if stands.is_some() {
            self.typing = Some(Typing { what: What::Regrade(given), text: String::new() });
            return iced::widget::operation::focus(line_id());
        }
        self.chosen = Some(given);
        Task::none()
    }

    /// Chooses the grade before the newest one again. This adds a grade, and all of them are kept.
    pub(super) fn take_back(&mut self) -> Task<Message> {
        let (super::Tab::Grades, Some(Of::Record(id))) = (self.tab, self.of()) else {
            self.told = Some(super::under(super::Tab::Grades));
            return Task::none();
        };
        let grades = self.acts.graded.get(id).map_or(&[][..], |graded| &graded.grades);
        let before = grades.split_last().and_then(|(newest, earlier)| {
            let matter = newest.grade.matter();
            earlier.iter().rev().find(|given| given.grade.matter() == matter)
        });
        match before.and_then(|given| Given::of(&given.grade)) {
            Some(given) => self.choose_grade(given),
            None => {
                let says = "there is no earlier grade to restore: choose the right one and give a reason";
                self.told = Some(says.to_owned());
                Task::none()
            }
        }
    }

    /// Signs a grade. If it changes an earlier one, the reason is typed first.
    pub(super) fn grade(&mut self, given: Given) -> Task<Message> {
        match self.do_to_record(Event::Graded { grade: given.grade(), reason: String::new() }) {
            Some(no) if no.reason_carries => {
                self.typing = Some(Typing { what: What::Regrade(given), text: String::new() });
                iced::widget::operation::focus(line_id())
            }
            Some(_) | None => Task::none(),
        }
    }

    pub(super) fn submit(&mut self) -> Task<Message> {
        let Some(Typing { what, text }) = self.typing.clone() else { return Task::none() };
        let text = text.trim().to_owned();
        let event = match what {
            What::Regrade(given) => Event::Graded { grade: given.grade(), reason: text },
            What::Poor => {
                let parts = parted(&text).and_then(|(camera, rest)| Some((camera, parted(&rest)?)));
                let Some((camera, (sight_line, reason))) = parts else {
                    self.told = Some("type `camera: sight line it lacked: why it matters`".to_owned());
                    return Task::none();
                };
                let picture = Picture::Poor { camera, sight_line };
                Event::Graded { grade: Grade::Picture(picture), reason }
            }
            What::Position => {
                let (position, reason) = text.split_once(':').unwrap_or((&text, ""));
                let grade = Grade::Position(self.crew.picked(position.trim()).to_owned());
                Event::Graded { grade, reason: reason.trim().to_owned() }
            }
            What::Letter => match self.oldest_letter() {
                Some(letter) => Event::Answered { letter, text },
                None => {
                    self.told = Some("no letter waits for an answer here".to_owned());
                    return Task::none();
                }
            },
            What::Folder if text.is_empty() => return Task::none(),
            What::Folder => return self.judge_folder(text),
            What::Approve | What::Narrow | What::Withdraw => {
                match command(what, &text) {
                    Ok(command) => self.decide(command),
                    Err(says) => self.told = Some(says.to_owned()),
                }
                return Task::none();
            }
        };
        self.do_to_record(event);
        Task::none()
    }

    /// The number, from 1, of the oldest unanswered letter about the selected record.
    fn oldest_letter(&self) -> Option<u32> {
        let Some(Of::Record(id)) = self.of() else { return None };
        let letters = &self.acts.graded.get(id)?.letters;
        let at = letters.iter().position(|letter| letter.answer.is_none())?;
        u32::try_from(at + 1).ok()
    }

    /// The selected item.
    pub(super) fn of(&self) -> Option<&Of> {
        self.board.lines.get(self.pointed()).map(|line| &line.of)
    }

    /// Writes to the selected record. A refusal is shown and returned.
    fn do_to_record(&mut self, event: Event) -> Option<Refusal> {
        let id = match (self.tab, self.of()) {
            (super::Tab::Grades, Some(Of::Record(id))) => id.clone(),
            (_, Some(_) | None) => {
                self.told = Some(format!("grades are given under \"{}\"", super::Tab::Grades.name()));
                return None;
            }
        };
        let Reading::Done(held) = &self.reading else { return None };
        let Some(home) = held.home(&id).cloned() else {
            self.told =
                Some("this record came from a file: grade it in the log that it stands in".to_owned());
            return None;
        };
        let done = attempt("grade").and_then(|attempt| {
            let mut log = opened(&home)?;
            grades::act(&mut log, &self.weekly.actor, &attempt, &id, event)
        });
        match done {
            Ok(Done::Graded(graded)) => {
                self.acts.graded.insert(id.clone(), graded);
                (self.typing, self.told) = (None, Some("written".to_owned()));
                self.done = Some(id.clone());
                self.refresh();
                self.stay(Some(&Of::Record(id)));
                None
            }
            Ok(Done::No(no)) => {
                self.told = Some(format!("{no}; {}", no.instead));
                Some(no)
            }
            Err(error) => {
                self.told = Some(Error::from(error).line());
                None
            }
        }
    }

    /// Decides on the selected precedent.
    fn decide(&mut self, command: Command) {
        let Some(Of::Precedent(at)) = self.of() else { return };
        let at = *at;
        let Some((home, precedent)) = self.acts.precedents.get(at).cloned() else { return };
        let done = attempt("precedent").and_then(|attempt| {
            let mut log = opened(&home)?;
            let done = precedents::act(&mut log, &self.weekly.actor, &attempt, &precedent.id, command)?;
            Ok((done, precedents::all(log.reader())?))
        });
        match done {
            Ok((precedents::Done::Events(_), all)) => {
                if let Some(now) = all.into_iter().find(|one| one.id == precedent.id) {
                    self.acts.precedents[at].1 = now;
                }
                (self.typing, self.told) = (None, Some("written".to_owned()));
                self.refresh();
                self.stay(Some(&Of::Precedent(at)));
            }
            Ok((precedents::Done::No(no), _)) => self.told = Some(format!("{no}; {}", no.instead)),
            Err(error) => self.told = Some(Error::from(error).line()),
        }
    }

    /// Writes the page of the week shown, and returns where it is or why it could not be written.
    pub(super) fn page(&self) -> String {
        let Reading::Done(held) = &self.reading else { return "nothing was read yet".to_owned() };
        match write(self, held) {
            Ok(path) => format!("the page is {path}"),
            Err(error) => format!("the page could not be written: {}", error.line()),
        }
    }
}

fn write(week: &Week, held: &Held) -> Result<Kept, Error> {
    let of_week = week.week.map(|week| held.sample.of_week(week));
    let sample = of_week.as_ref().unwrap_or(&held.sample);
    let found = week.found(held);
    let logs = logs::logs(&week.weekly.logs.iter().map(|named| named.path.clone()).collect::<Vec<_>>())?;
    let source = report::Source::of(sample, &held.editions, found, &held.shown, &logs)?;
    let page = report::page(found, &source);
    let folder = week.weekly.folder.root()?;
    let name = week.week.map_or("weeks".to_owned(), |week| format!("week-{week}"));
    make_folder(&folder).map_err(|source| Error::Folder { folder: folder.clone(), source })?;
    Ok(output::keep(&folder, (&name, "html"), page.as_bytes())?)
}

fn opened(named: &Named) -> Result<Log, log::Error> {
    Log::open(&named.path, Key::read(&named.key).map_err(log::Error::from)?)
}

fn attempt(what: &str) -> Result<Attempt, log::Error> {
    let at = clock::now();
    let command = CommandId::new(format!("{what} {} {}", std::process::id(), at.utc_ms))?;
    Ok(Attempt { command, at })
}

/// The text before the first colon and the text after it, if neither is empty.
fn parted(text: &str) -> Option<(String, String)> {
    let (first, rest) = text.split_once(':')?;
    let (first, rest) = (first.trim(), rest.trim());
    (!first.is_empty() && !rest.is_empty()).then(|| (first.to_owned(), rest.to_owned()))
}

/// Parses weeks: "7" is week 7 and later, "7-12" is weeks 7 to 12.
fn weeks(text: &str) -> Option<Weeks> {
    match text.split_once('-') {
        None => Some(Weeks { from: text.trim().parse().ok()?, until: None }),
        Some((from, until)) => {
            let (from, until) = (from.trim().parse().ok()?, until.trim().parse().ok()?);
            (from <= until).then_some(Weeks { from, until: Some(until) })
        }
    }
}

/// Parses a line typed for a decision on a precedent. The error is the format that the line should have.
pub(super) fn command(what: What, text: &str) -> Result<Command, &'static str> {
    let says = match what {
        What::Approve => "the weeks, a colon, why: `7-12: it came up twice`, or `7: …` from week 7 on",
        What::Narrow => {
            "the weeks, a colon, the facts that must match, a colon, why: `7: call is complete, down is 4: only late`"
        }
        What::Withdraw => "the first week without it, a colon, the reason: `9: the rule was changed`",
        What::Regrade(_) | What::Poor | What::Position | What::Letter | What::Folder => {
            "that is not a decision on a precedent"
        }
    };
    let parsed = || {
        let (when, rest) = parted(text)?;
        let weeks = weeks(&when)?;
        match what {
            What::Approve => Some(Command::Approve { weeks, reason: rest }),
            What::Withdraw => Some(Command::Withdraw { from: weeks.from, reason: rest }),
            What::Narrow => {
                let (only, reason) = parted(&rest)?;
                let condition = |one: &str| {
                    let (fact, is) = one.split_once(" is ")?;
                    Some(Condition { fact: fact.trim().to_owned(), is: is.trim().to_owned() })
                };
                let only: Option<Vec<Condition>> = only.split(',').map(condition).collect();
                Some(Command::Narrow { weeks, reason, only: only? })
            }
            What::Regrade(_) | What::Poor | What::Position | What::Letter | What::Folder => None,
        }
    };
    parsed().ok_or(says)
}
