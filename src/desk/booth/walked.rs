//! The walk among the other screens: the pictures do what its keys say, its commands are written, and what became of them is
//! shown.

use super::challenge::{self, Challenge};
use super::post::{Post, Undone};
use super::ruling::Ruling;
use super::typed::Ground;
use super::{Booth, Came, Message, Pane, pictures, seen, stills, walk};
use iced::Task;
use iced::widget::operation::focus;
use review::decide::Command;

impl Booth {
    /// One message of the walk.
    pub(super) fn walk(&mut self, message: walk::Message) -> Task<Message> {
        if let Some(task) = self.pictures_do(&message) {
            return task;
        }
        let (Pane::Walk(walk), Ok(post)) = (&mut self.pane, &mut self.post) else { return Task::none() };
        let (Some(game), Some(review)) = (&post.game, post.review()) else { return Task::none() };
        let Some(situation) = review.situation() else { return Task::none() };
        let ground = Ground { field: &game.book.field, names: &game.names, situation: &situation };
        let flags = review.flags();
        let camera = self.pictures.in_hand();
        let target = self.pictures.target();
        let cameras = &game.cameras;
        let known =
            walk::Known { book: &game.book, cameras, camera, ground, flags: &flags, target: target.as_ref() };
        match walk.update(message, known) {
            walk::Action::None => Task::none(),
            walk::Action::Focus(id) => focus(id),
            walk::Action::Do(command) => {
                if let Command::Look(look) = &command
                    && let Some(on) = self.subject(look.kind)
                {
                    self.viewing.looked(on);
                }
                self.walked(command, Came::ByHand)
            }
            walk::Action::Open(path) => {
                self.pictures.open(&[path], &game.cameras);
                Task::none()
            }
            walk::Action::Shoot(marked) => match target {
                Some(target) => seen::shoot(target, marked),
                None => Task::none(),
            },
            walk::Action::Rule => {
                let ruling = Ruling::new(&game.book, &game.names, review, &self.now);
                let stills = stills::kept(&post.stills(review));
                self.pane = Pane::Ruling(Box::new(ruling.with(stills)));
                Task::none()
            }
            walk::Action::Ask => match &review.called {
                Some(called) => {
                    let another = Challenge::another(&game.book, &situation, called.initiator, called.stop);
                    self.pane = Pane::Challenge(Box::new(another));
                    focus(challenge::line_id())
                }
                None => Task::none(),
            },
        }
    }

    /// What a message does to the pictures; none where the walk has it as well. The camera in hand is the large one, and what
    /// runs or is stepped is a look at the open step.
    fn pictures_do(&mut self, message: &walk::Message) -> Option<Task<Message>> {
        let Ok(Post { game: Some(game), .. }) = &self.post else { return Some(Task::none()) };
        match message {
            walk::Message::Picture(pictures::Act::Tie) => {
                let tying = self.pictures.tie_here();
                Some(tying.map_or(Task::none(), Booth::prove_tie))
            }
            walk::Message::Picture(act) => {
                let review = self.post.as_ref().ok().and_then(Post::review);
                let marks = review.map_or(Vec::new(), |review| self.pictures.marks(review, &game.cameras));
                let begins = self.pictures.act(*act, &marks);
                let look = self.moved(*act, begins);
                Some(look.map_or(Task::none(), |kind| self.look(kind)))
            }
            walk::Message::Act(walk::Act::Leave) => {
                self.pictures.leave_tie();
                None
            }
            walk::Message::Act(walk::Act::Camera(number)) => {
                if usize::from(*number) < game.cameras.len() {
                    self.pictures.take_in_hand(usize::from(*number));
                }
                None
            }
            walk::Message::Pointed(pointed) => {
                self.pictures.pointed(*pointed);
                Some(Task::none())
            }
            walk::Message::Place(act) => {
                let placed = self.pictures.place_act(*act);
                Some(placed.map_or(Task::none(), |placed| self.prove(placed)))
            }
            walk::Message::Act(_)
            | walk::Message::Open(_)
            | walk::Message::Typed(_)
            | walk::Message::Submit => None,
        }
    }

    /// A command of the walk: written first, then shown.
    pub(super) fn walked(&mut self, command: Command, came: Came) -> Task<Message> {
        let Ok(post) = &mut self.post else { return Task::none() };
        let done = post.act(command.clone(), &self.now);
        self.written(command, done, came)
    }

    /// After a command of the walk was written, or was not.
    pub(super) fn written(
        &mut self,
        command: Command,
        done: Result<(), Undone>,
        came: Came,
    ) -> Task<Message> {
        let Ok(post) = &mut self.post else { return Task::none() };
        let walk = match &mut self.pane {
            Pane::Walk(walk) => walk,
            Pane::Ruling(ruling) => {
                // What was begun on the walk is written, or refused, while the ruling is shown.
                if let (Some(game), Some(review)) = (&post.game, post.review()) {
                    ruling.refresh(&game.book, &game.names, review, &self.now);
                }
                ruling.told = match done {
                    Ok(()) => ruling.told.take(),
                    Err(Undone::No(no)) => Some((no.because, no.instead)),
                    Err(Undone::Fault(fault)) => Some((fault, "nothing was written; try again".to_owned())),
                };
                return Task::none();
            }
            Pane::Before(_)
            | Pane::Between(_)
            | Pane::Challenge(_)
            | Pane::Referee(_)
            | Pane::After(_)
            | Pane::Past(_) => return Task::none(),
        };
        match done {
            Ok(()) => {
                let before = walk.answers();
                if let (Some(game), Some(review)) = (&post.game, post.review()) {
                    walk.refresh(&game.book, &game.names, review);
                }
                walk.done(&command, came, post.review());
                if matches!(command, Command::Undo) {
                    walk.open_taken_back(&before);
                }
                if post.review().is_some_and(|review| review.is_over()) {
                    self.settle_pane();
                }
                self.recall();
                Task::none()
            }
            Err(Undone::No(no)) => match walk.refused(command, no, came) {
                walk::Action::Focus(id) => focus(id),
                walk::Action::None
                | walk::Action::Do(_)
                | walk::Action::Shoot(_)
                | walk::Action::Open(_)
                | walk::Action::Rule
                | walk::Action::Ask => Task::none(),
            },
            Err(Undone::Fault(fault)) => {
                let instead = "nothing was written; try again, and go on by hand if it stays so".to_owned();
                walk.told = Some(walk::Told::No { because: fault, instead });
                Task::none()
            }
        }
    }
}
