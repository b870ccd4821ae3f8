//! What the acts of the walk lead to: moved pictures, and commands that are written and then shown.

use super::challenge::{self, Challenge};
use super::hands::{Hands, Next};
use super::screen::{self, Screen};
use super::undone::Undone;
use super::walk::Walk;
use super::{Came, left, pictures, seen, walk};
use iced::Task;
use iced::widget::operation::focus;
use review::decide::{Command, decide};

impl Hands<'_> {
    pub(super) fn walk(&mut self, walk: &mut Walk, message: walk::Message) -> Next {
        let message = match self.move_pictures(walk, message) {
            Ok(next) => return next,
            Err(message) => message,
        };
        let target = self.pictures.target();
        let camera = self.pictures.in_hand();
        // Without a called review there is nothing to walk through.
        let Some((review, situation)) = self.review() else { return Next::Settle };
        let game = &*self.game;
        let known = walk::Known {
            book: &game.book,
            cameras: &game.cameras,
            camera,
            ground: game.ground(&situation),
            flags: &review.flags(),
            target: target.as_ref(),
        };
        match walk.update(message, known) {
            walk::Action::None => Next::Stay,
            walk::Action::Focus(id) => Next::Run(focus(id)),
            walk::Action::Do(command) => {
                if let Command::Look(look) = &command {
                    let on = walk.subject(self.pictures.in_hand(), look.kind);
                    match look.reason {
                        Some(_) => self.viewing.granted(on),
                        None => self.viewing.looked(on),
                    }
                }
                self.act(walk, command, Came::ByHand)
            }
            walk::Action::Open(path) => {
                self.pictures.open(&[path], &self.game.cameras);
                Next::Stay
            }
            walk::Action::Shoot(target, marked) => Next::Run(seen::shoot(target, marked)),
            walk::Action::Rule => {
                let ruling = screen::ruling(self.post, game, review, self.now);
                Next::Open(Screen::Ruling(ruling), Task::none())
            }
            walk::Action::ReadBack => {
                let again = Challenge::read_back_again(&game.book, review, game.ground(&situation));
                Next::Open(Screen::Challenge(Box::new(again)), focus(challenge::line_id()))
            }
            walk::Action::Ask => {
                let Some(called) = &review.called else { return Next::Settle };
                let another =
                    Challenge::another(&game.book, &situation, (called.initiator, called.stop), game.ran());
                Next::Open(Screen::Challenge(Box::new(another)), focus(challenge::line_id()))
            }
        }
    }

    /// Passes a message to the pictures, and returns it if the walk needs it as well. Pictures that run or are stepped
    /// are a look at the open step.
    fn move_pictures(&mut self, walk: &mut Walk, message: walk::Message) -> Result<Next, walk::Message> {
        match &message {
            walk::Message::Picture(pictures::Act::Tie) => {
                Ok(self.pictures.tie_here().map_or(Next::Stay, |tying| Next::Run(super::tied::prove(tying))))
            }
            walk::Message::Picture(act) => {
                if let Some(refused) = self.refused_look(walk, *act) {
                    return Ok(refused);
                }
                let review = self.game.review();
                let marks =
                    review.map_or_else(Vec::new, |review| self.pictures.marks(review, &self.game.cameras));
                let begins = self.pictures.act(*act, &marks);
                Ok(self.moved(walk, *act, begins).map_or(Next::Stay, |kind| self.look(walk, kind)))
            }
            walk::Message::Pointed(pointed) => {
                self.pictures.pointed(*pointed);
                Ok(Next::Stay)
            }
            walk::Message::Place(act) => {
                let placed = self.pictures.place_act(*act);
                Ok(placed.map_or(Next::Stay, |placed| self.prove_place(placed)))
            }
            walk::Message::Act(walk::Act::Leave) => {
                self.pictures.leave_tie();
                Err(message)
            }
            walk::Message::Act(walk::Act::Look | walk::Act::LookOtherwise(_))
                if self.is_out(self.pictures.in_hand()) =>
            {
                Ok(self.refuse_camera(walk, self.pictures.in_hand()))
            }
            walk::Message::Act(walk::Act::Camera(number)) => {
                let number = usize::from(*number);
                if number < self.game.cameras.len() {
                    self.pictures.take_in_hand(number);
                }
                // It is in hand all the same: what is pressed next is no look by the camera before.
                if self.is_out(number) { Ok(self.refuse_camera(walk, number)) } else { Err(message) }
            }
            walk::Message::Act(_)
            | walk::Message::Open(_)
            | walk::Message::Typed(_)
            | walk::Message::Submit => Err(message),
        }
    }

    /// A look that the book does not allow at the open step is refused before the picture moves.
    fn refused_look(&self, walk: &mut Walk, act: pictures::Act) -> Option<Next> {
        let kind = self.pictures.look_of(act)?;
        let begins = self.pictures.looks() != Some(kind);
        let hand = self.pictures.in_hand();
        if !self.viewing.is_new(&walk.subject(hand, kind), begins) {
            return None;
        }
        let command = Command::Look(walk.look((hand, &self.game.cameras), Some(kind))?);
        let desk = self.game.desk();
        let no = decide(desk, self.game.review()?, command.clone(), self.now).err()?;
        let line = walk.refused(command, no, Came::ByItself);
        Some(line.map_or(Next::Stay, |id| Next::Run(focus(id))))
    }

    /// Whether a camera is out and has no clip from before that could be looked at.
    fn is_out(&self, camera: usize) -> bool {
        let name = self.game.cameras.get(camera);
        let is_out = name.is_some_and(|name| self.game.day().is_out(name));
        is_out && !self.pictures.is_open(camera)
    }

    fn refuse_camera(&self, walk: &mut Walk, camera: usize) -> Next {
        let name = self.game.cameras.get(camera).map_or("", String::as_str);
        walk.not_done(
            format!("the camera {name} is out"),
            "take another by its letter; at the desk (F4) say when it is back",
        );
        Next::Stay
    }

    /// Writes a command of the walk, then shows it.
    pub(super) fn act(&mut self, walk: &mut Walk, command: Command, came: Came) -> Next {
        let done = self.game.act(self.post, command.clone(), self.now);
        self.written(walk, command, done, came)
    }

    /// Shows what became of a command.
    pub(super) fn written(
        &mut self,
        walk: &mut Walk,
        command: Command,
        done: Result<(), Undone>,
        came: Came,
    ) -> Next {
        match done {
            Ok(()) => {
                let Some(review) = self.game.review() else { return Next::Settle };
                walk.done(&command, came, self.game.desk(), (review, self.now));
                if review.is_over() {
                    return Next::Settle;
                }
                left::recall(walk, self.post, self.game);
                Next::Stay
            }
            Err(Undone::No(no)) => {
                walk.refused(command, no, came).map_or(Next::Stay, |id| Next::Run(focus(id)))
            }
            Err(Undone::Fault(fault)) => {
                walk.not_done(
                    fault.line(),
                    "nothing was written; try again; if it fails again, continue on paper",
                );
                Next::Stay
            }
        }
    }
}
