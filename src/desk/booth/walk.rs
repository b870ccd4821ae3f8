//! The walk: steps answered in any order, marks set, looks counted, until the official rules.
//!
//! A state machine: a message in, an action out. Commands are written to the log first and shown by `done`.

mod keys;
mod typing;
mod view;
mod written;

pub(crate) use keys::{Act, KEYS};
pub(crate) use typing::{Told, Typing};
pub(crate) use view::view;

use super::board::{Board, Boards, IfNow, Line, boards};
use super::pictures::{self, Pointed, Target};
use super::referee::Beside;
use super::scoreboard::{self, Read};
use super::timing::Timing;
use super::typed::{self, Ground};
use super::viewing::Subject;
use crate::widget::map;
use evidence::mark::{Basis, Mark};
use evidence::time::scoreboard::{Scoreboard, figure};
use iced::widget::Id;
use review::decide::{Command, Desk};
use review::event::{Answered, Look, Marked};
use review::fold::Review;
use review::stamp::Stamp;
use rules::book::Book;
use rules::book::tree::Looks;
use rules::game::play::Flag;
use std::path::PathBuf;

#[derive(Debug, Clone)]
pub(crate) struct Walk {
    boards: Vec<Board>,
    /// What a ruling now would be.
    if_now: Option<IfNow>,
    /// The order of the play takes longer than the time that is left.
    short_of_time: bool,
    grounds: Vec<map::Ground>,
    /// Index of the question in hand.
    question: usize,
    /// Index of the open step.
    step: usize,
    typing: Option<Typing>,
    /// What the marks of the open step measure, where they were set in clips.
    timing: Option<Timing>,
    /// Readings of the scoreboard's clock.
    reads: Vec<Read>,
    /// The clock at the frame that is looked at, from these readings.
    scoreboard: Option<Scoreboard>,
    /// Precedents in force whose facts recur here: shown, never chosen.
    recurring: Vec<Beside>,
    reading: bool,
    told: Option<Told>,
}

#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Message {
    Act(Act),
    Open(usize),
    Typed(String),
    Submit,
    Picture(pictures::Act),
    /// A key while landmarks or a point are being clicked.
    Place(pictures::place::Act),
    Pointed(Pointed),
}

#[derive(Debug, Clone)]
pub(crate) enum Action {
    None,
    Do(Command),
    /// Open a clip, or the clips of a folder.
    Open(PathBuf),
    /// Write this mark once the picture of this frame is decoded and hashed.
    Shoot(Target, Marked),
    Focus(Id),
    Rule,
    Ask,
    /// Correct the call that was read back.
    ReadBack,
}

/// What typed lines are read against.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Known<'a> {
    pub book: &'a Book,
    pub cameras: &'a [String],
    /// Index of the camera in hand, which is the one that is shown.
    pub camera: usize,
    /// With the situation at the snap.
    pub ground: Ground<'a>,
    pub flags: &'a [Flag],
    /// The frame that is looked at, where a clip is open.
    pub target: Option<&'a Target>,
}

/// Shown when a clock is read while no clip is open.
const NO_FRAME: &str = "no clip is open: open the scoreboard's, or type the clock with the mark";

pub(crate) fn line_id() -> Id {
    Id::new("walk line")
}

impl Walk {
    pub(crate) fn new(desk: Desk<'_>, review: &Review, at: &Stamp) -> Walk {
        let mut walk = Walk {
            boards: Vec::new(),
            if_now: None,
            short_of_time: false,
            grounds: Vec::new(),
            question: 0,
            step: 0,
            typing: None,
            timing: None,
            reads: Vec::new(),
            scoreboard: None,
            recurring: Vec::new(),
            reading: false,
            told: None,
        };
        walk.refresh(desk, review, at);
        walk.go_to_next();
        walk
    }

    /// Shows the review as it stands at this moment.
    fn refresh(&mut self, desk: Desk<'_>, review: &Review, at: &Stamp) {
        Boards { boards: self.boards, if_now: self.if_now, short_of_time: self.short_of_time } =
            boards(desk, review, at);
        let trees = review.questions.iter().filter_map(|asked| desk.book.tree(&asked.tree));
        self.grounds = trees.map(map::Ground::of).collect();
        self.question = self.question.min(self.boards.len().saturating_sub(1));
    }

    /// Whether this step is the open one.
    fn shows(&self, question: usize, step: &str) -> bool {
        question == self.question && self.open_line().is_some_and(|line| line.name == step)
    }

    /// What a typed reason is for, and at which step.
    pub(crate) fn about(&self) -> Option<String> {
        let Some(Typing::Reason { command, .. }) = &self.typing else { return None };
        let line = |question: usize, step: &str| {
            self.boards.get(question)?.steps.iter().find(|line| line.name == step)
        };
        let (what, line) = if let Command::Answer(Answered { question, step, options, .. }) = command {
            let line = line(*question, step)?;
            let is_unclear = options.len() == line.options.len();
            (if is_unclear { "unclear".to_owned() } else { options.join(" or ") }, line)
        } else if let Command::Look(Look { question, step, camera, .. }) = command {
            (format!("the look on {camera}"), line(*question, step)?)
        } else {
            return None;
        };
        Some(format!("The reason for \u{201c}{what}\u{201d} at \u{201c}{}\u{201d}", line.ask))
    }

    pub(super) fn reads(&self) -> &[Read] {
        &self.reads
    }

    /// Index of the question in hand and of its open step.
    pub(super) fn open_step(&self) -> (usize, usize) {
        (self.question, self.step)
    }

    /// The subject of a look at this camera, of this kind.
    pub(super) fn subject(&self, camera: usize, kind: Looks) -> Subject {
        Subject { question: self.question, step: self.step, camera, kind }
    }

    pub(crate) fn line(&self) -> Option<&str> {
        match self.typing.as_ref()? {
            Typing::Mark { text, .. }
            | Typing::Clock { text, .. }
            | Typing::Flag { text, .. }
            | Typing::End { text }
            | Typing::Clips { text }
            | Typing::Reason { text, .. } => Some(text),
            Typing::Ends { .. } => None,
        }
    }

    pub(crate) fn board(&self) -> Option<&Board> {
        self.boards.get(self.question)
    }

    fn open_line(&self) -> Option<&Line> {
        self.board()?.steps.get(self.step)
    }

    /// The step to ask next: in the order of the play, or the one that settles soonest where time is short.
    fn next(&self) -> Option<usize> {
        let board = self.board()?;
        if self.short_of_time { board.soonest } else { board.in_order }
    }

    fn go_to_next(&mut self) {
        self.step = self.next().unwrap_or(self.step);
    }

    pub(crate) fn update(&mut self, message: Message, known: Known<'_>) -> Action {
        match message {
            Message::Act(Act::Mark) if known.target.is_some() => self.shoot(known),
            Message::Act(act) => self.act(act, (known.camera, known.cameras)),
            Message::Open(step) => {
                self.step = step;
                Action::None
            }
            Message::Typed(typed) => {
                match &mut self.typing {
                    Some(
                        Typing::Mark { text, wrong, .. }
                        | Typing::Clock { text, wrong }
                        | Typing::Flag { text, wrong },
                    ) => {
                        (*text, *wrong) = (typed, None);
                    }
                    Some(Typing::Reason { text, .. } | Typing::End { text } | Typing::Clips { text }) => {
                        *text = typed;
                    }
                    Some(Typing::Ends { .. }) | None => {}
                }
                Action::None
            }
            Message::Submit => self.submit(known),
            // The pictures were moved before.
            Message::Picture(_) | Message::Place(_) | Message::Pointed(_) => Action::None,
        }
    }

    fn act(&mut self, act: Act, hand: (usize, &[String])) -> Action {
        // Every key but Confirm goes on with the review.
        let ends = self.typing.take_if(|typing| matches!(typing, Typing::Ends { .. }));
        match act {
            Act::Confirm => match ends {
                Some(Typing::Ends { command }) => Action::Do(command),
                Some(_) | None => Action::None,
            },
            Act::Precedent => {
                self.reading = !self.reading && !self.recurring.is_empty();
                Action::None
            }
            Act::Answer(option) => {
                self.answer(|options| options.get(usize::from(option)).into_iter().cloned().collect())
            }
            Act::Unclear => self.answer(<[String]>::to_vec),
            Act::Take => self.take(),
            Act::StepBack => self.move_by(-1),
            Act::StepOn => self.move_by(1),
            Act::Soonest => {
                self.step = self.board().and_then(|board| board.soonest).unwrap_or(self.step);
                Action::None
            }
            Act::NextQuestion => {
                self.question = (self.question + 1) % self.boards.len().max(1);
                self.go_to_next();
                Action::None
            }
            // The pictures took it in hand before.
            Act::Camera(_) => Action::None,
            Act::Look => self.looks(hand, None),
            Act::LookOtherwise(kind) => self.looks(hand, Some(kind)),
            Act::Mark | Act::TypeMark => self.begin_mark(),
            Act::ReadClock => self.begin(Typing::Clock { text: String::new(), wrong: None }),
            Act::TakeClock => self.take_clock(),
            Act::NextMoment => self.next_moment(),
            Act::Undo => Action::Do(Command::Undo),
            Act::Rule => Action::Rule,
            Act::Ask => Action::Ask,
            Act::ReadBack => Action::ReadBack,
            Act::Flags => self.begin(Typing::Flag { text: String::new(), wrong: None }),
            Act::Clips => self.begin(Typing::Clips { text: String::new() }),
            Act::End => self.begin(Typing::End { text: String::new() }),
            Act::Leave => {
                self.typing = None;
                self.told = None;
                Action::None
            }
        }
    }

    fn answer(&mut self, pick: impl FnOnce(&[String]) -> Vec<String>) -> Action {
        let Some(line) = self.open_line() else { return Action::None };
        let options = pick(&line.options);
        if options.is_empty() {
            return Action::None;
        }
        Action::Do(Command::Answer(Answered {
            question: self.question,
            step: line.name.clone(),
            options,
            basis: Basis::Attested,
            reason: None,
        }))
    }

    /// Answers the open step with what its marks measure.
    fn take(&mut self) -> Action {
        let timing = self.timing.as_ref().filter(|timing| !timing.offers.is_empty());
        let (Some(line), Some(timing)) = (self.open_line(), timing) else {
            let instead =
                "mark its moments in clips, measure its point in a picture, or answer as you see it";
            self.not_done("the marks of this step give no measurement".to_owned(), instead);
            return Action::None;
        };
        Action::Do(Command::Answer(Answered {
            question: self.question,
            step: line.name.clone(),
            options: timing.offers.clone(),
            basis: Basis::Computed(timing.measurement.clone()),
            reason: None,
        }))
    }

    fn looks(&self, hand: (usize, &[String]), kind: Option<Looks>) -> Action {
        self.look(hand, kind).map_or(Action::None, |look| Action::Do(Command::Look(look)))
    }

    /// A look at the open step on this one of the cameras. Without a kind it is the kind that the step asks for.
    pub(crate) fn look(&self, (camera, cameras): (usize, &[String]), kind: Option<Looks>) -> Option<Look> {
        let line = self.open_line()?;
        Some(Look {
            question: self.question,
            step: line.name.clone(),
            camera: cameras.get(camera)?.clone(),
            kind: kind.unwrap_or(line.looks),
            reason: None,
        })
    }

    /// Moves through the steps that the answers lead to, and skips the others.
    fn move_by(&mut self, by: isize) -> Action {
        let Some(board) = self.board() else { return Action::None };
        let reached: Vec<usize> = (0..board.steps.len()).filter(|step| board.steps[*step].reached).collect();
        let at = reached.iter().position(|step| *step == self.step).unwrap_or(0);
        let to = at.saturating_add_signed(by).min(reached.len().saturating_sub(1));
        if let Some(step) = reached.get(to) {
            self.step = *step;
        }
        Action::None
    }

    /// The moments that can be marked: those of the open step without a mark, those that the restart needs, the others
    /// of the open step.
    fn moments(&self) -> Vec<String> {
        let line = self.open_line();
        let unmarked = line.into_iter().flat_map(|line| &line.unmarked);
        let all = unmarked.chain(self.missing()).chain(line.into_iter().flat_map(|line| &line.moments));
        let mut moments: Vec<String> = Vec::new();
        for moment in all {
            if !moments.contains(moment) {
                moments.push(moment.clone());
            }
        }
        moments
    }

    /// The moments that the restart needs and that have no mark, or one without its spot or clock.
    fn missing(&self) -> &[String] {
        self.if_now.as_ref().map_or(&[], |if_now| &if_now.missing)
    }

    /// Opens the line for the mark that the restart needs, wherever the walk is.
    pub(super) fn mark_missing(&mut self) {
        self.typing = Typing::mark(self.missing().to_vec());
    }

    fn begin_mark(&mut self) -> Action {
        let Some(typing) = Typing::mark(self.moments()) else {
            self.not_done("neither this step nor the restart needs a mark".to_owned(), "look, and answer it");
            return Action::None;
        };
        self.begin(typing)
    }

    /// Marks the frame that is looked at.
    fn shoot(&mut self, known: Known<'_>) -> Action {
        let moment = self.moments().into_iter().next();
        let (Some(moment), Some(target)) = (moment, known.target) else { return self.begin_mark() };
        let Some(camera) = known.cameras.get(target.camera).cloned() else { return Action::None };
        let mark = Mark { moment, camera, timecode: target.timecode };
        let marked = Marked { mark, x: None, clock_ms: None, shot: None, scoreboard: None };
        Action::Shoot(target.clone(), marked)
    }

    fn begin(&mut self, typing: Typing) -> Action {
        self.typing = Some(typing);
        Action::Focus(line_id())
    }

    /// Puts the clock that was read into the mark that is being typed.
    fn take_clock(&mut self) -> Action {
        let clock_ms = self.scoreboard.as_ref().and_then(Scoreboard::clock_ms);
        if let (Some(Typing::Mark { text, .. }), Some(clock_ms)) = (&mut self.typing, clock_ms) {
            let gap = if text.is_empty() || text.ends_with(' ') { "" } else { " " };
            text.push_str(&format!("{gap}c{}", figure(clock_ms, 1)));
        }
        Action::None
    }

    fn next_moment(&mut self) -> Action {
        if let Some(Typing::Mark { moment, moments, .. }) = &mut self.typing {
            let at = moments.iter().position(|other| other == moment).unwrap_or(0);
            if let Some(next) = moments.get((at + 1) % moments.len().max(1)) {
                *moment = next.clone();
            }
        }
        Action::None
    }

    fn submit(&mut self, known: Known<'_>) -> Action {
        match &mut self.typing {
            Some(Typing::Mark { moment, text, wrong, .. }) => {
                let here = known.target.map(|target| (target.camera, target.timecode));
                match typed::mark(text, known.camera, known.cameras, known.ground, here) {
                    Err(unread) => *wrong = Some(unread.to_string()),
                    Ok(typed) => {
                        let Some(camera) = known.cameras.get(typed.camera).cloned() else {
                            return Action::None;
                        };
                        let mark = Mark { moment: moment.clone(), camera, timecode: typed.timecode };
                        // The readings belong to the frame that is looked at and the clock that they gave.
                        let here = here == Some((typed.camera, typed.timecode));
                        let gives = |read: &Scoreboard| here && read.clock_ms() == typed.clock_ms;
                        let read = self.scoreboard.clone().filter(gives).filter(|_| typed.clock_ms.is_some());
                        let marked = Marked {
                            mark,
                            x: typed.x,
                            clock_ms: typed.clock_ms,
                            shot: None,
                            scoreboard: read.map(Box::new),
                        };
                        if let (true, Some(target)) = (typed.of_frame, known.target) {
                            self.typing = None;
                            return Action::Shoot(target.clone(), marked);
                        }
                        return Action::Do(Command::Mark(marked));
                    }
                }
                Action::None
            }
            Some(Typing::Clock { text, wrong }) => {
                match (known.target, typed::shown_clock(text)) {
                    (_, Err(unread)) => *wrong = Some(unread.to_string()),
                    (None, Ok(_)) => *wrong = Some(NO_FRAME.to_owned()),
                    (Some(target), Ok((shown_ms, step_ms))) => {
                        let Target { camera, timecode, .. } = *target;
                        let read = Read { camera, frame: target.frame(), timecode, shown_ms, step_ms };
                        self.reads = scoreboard::taken(std::mem::take(&mut self.reads), read);
                        self.typing = None;
                        self.told = Some(Told::Done(scoreboard::text(&self.reads)));
                    }
                }
                Action::None
            }
            Some(Typing::Flag { text, wrong }) => match typed::flag(text, known.book, known.ground) {
                Err(unread) => {
                    *wrong = Some(unread.to_string());
                    Action::None
                }
                Ok(flag) => Action::Do(Command::Flag(known.flags.iter().cloned().chain([flag]).collect())),
            },
            Some(Typing::Clips { text }) => {
                let path = PathBuf::from(text.trim());
                self.typing = None;
                Action::Open(path)
            }
            Some(Typing::End { text }) => {
                let command = match text.trim() {
                    "" => Command::Withdraw,
                    reason => Command::CutShort { reason: reason.to_owned() },
                };
                self.typing = Some(Typing::Ends { command });
                Action::None
            }
            Some(Typing::Reason { command, text, .. }) => Action::Do(with_reason(command.clone(), text)),
            Some(Typing::Ends { .. }) | None => Action::None,
        }
    }
}

/// The command again, with a reason.
fn with_reason(command: Command, reason: &str) -> Command {
    let reason = Some(reason.to_owned());
    match command {
        Command::Look(look) => Command::Look(Look { reason, ..look }),
        Command::Answer(answered) => Command::Answer(Answered { reason, ..answered }),
        Command::Challenge(_)
        | Command::Ask(_)
        | Command::ReadBack(_)
        | Command::Flag(_)
        | Command::Choose { .. }
        | Command::Mark(_)
        | Command::Place(_)
        | Command::Tie(_)
        | Command::Undo
        | Command::Withdraw
        | Command::Rule
        | Command::ReadBackRestart
        | Command::Announce
        | Command::Amend { .. }
        | Command::CutShort { .. } => command,
    }
}

#[cfg(test)]
impl Walk {
    pub(super) fn boards(&self) -> &[Board] {
        &self.boards
    }

    pub(super) fn typing(&self) -> Option<&Typing> {
        self.typing.as_ref()
    }

    pub(super) fn shown(&self) -> Option<&Told> {
        self.told.as_ref()
    }

    pub(super) fn timing(&self) -> Option<&Timing> {
        self.timing.as_ref()
    }

    pub(super) fn scoreboard(&self) -> Option<&Scoreboard> {
        self.scoreboard.as_ref()
    }
}
