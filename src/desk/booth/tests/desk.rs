//! A desk without a window: keys go in, and the log says what came of them.

use crate::Opening;
use crate::booth::card::Card;
use crate::booth::in_game::InGame;
use crate::booth::keyed::act;
use crate::booth::post::Post;
use crate::booth::{At, Booth, Message, Screen, State, between, card, challenge, referee, walk};
use crate::keys::{Cap, Chord, ctrl, letter, plain, shift};
use formats::read::{Form, read};
use formats::script::Script;
use host::data::Folder;
use iced_test::futures::futures::StreamExt;
use iced_test::futures::futures::executor::block_on;
use iced_test::runtime::Action;
use iced_test::runtime::task::into_stream;
use log::store::location::Location;
use log::store::reader::{Reader, Unverified};
use review::stamp::Stamp;

/// The challenge that the demo begins.
const SCRIPT: &str = include_str!("../../../../demo/challenge.ron");

/// A booth with a clock of its own.
pub(super) struct Desk {
    pub(super) booth: Booth,
    pub(super) place: Location,
    pub(super) ms: u64,
}

impl Desk {
    pub(super) fn new(folder: &std::path::Path) -> Desk {
        let place = Location::at(folder);
        let script: Script = read(SCRIPT, Form::Ron).expect("the demo's script is one");
        Desk { booth: Booth::open(&opening(&place, Some(script)), stamp(0)), place, ms: 0 }
    }

    /// A desk before its first game.
    pub(super) fn empty(folder: &std::path::Path) -> Desk {
        let place = Location::at(folder);
        Desk { booth: Booth::open(&opening(&place, None), stamp(0)), place, ms: 0 }
    }

    /// Closes the desk and opens it again, as after a crash.
    pub(super) fn reopened(self) -> Desk {
        let Desk { booth, place, ms } = self;
        drop(booth);
        Desk { booth: Booth::open(&opening(&place, None), stamp(ms)), place, ms }
    }

    /// A desk whose rehearsal begins with another question.
    pub(super) fn asked(folder: &std::path::Path, tree: &str, call: &str) -> Desk {
        let script = SCRIPT
            .replace(
                "tree: \"catch-beyond-wall\", call: \"incomplete\"",
                &format!("tree: \"{tree}\", call: \"{call}\""),
            )
            .replace("initiator: \"coach-home\"", "initiator: \"booth\"");
        let place = Location::at(folder);
        let script: Script = read(&script, Form::Ron).expect("it is a script");
        Desk { booth: Booth::open(&opening(&place, Some(script)), stamp(0)), place, ms: 0 }
    }

    pub(super) fn send(&mut self, message: Message) {
        self.ms += 500;
        drop(self.booth.update(message, stamp(self.ms)));
    }

    /// Presses a key, and takes in what comes of the work that it begins.
    pub(super) fn press_and_wait(&mut self, chord: Chord) {
        self.ms += 500;
        let task = self.booth.update(Message::Pressed(chord), stamp(self.ms));
        let Some(actions) = into_stream(task) else { return };
        let actions: Vec<Action<Message>> = block_on(actions.collect());
        for action in actions {
            if let Action::Output(message) = action {
                self.send(message);
            }
        }
    }

    pub(super) fn press(&mut self, chord: Chord) {
        self.send(Message::Pressed(chord));
    }

    /// Types into the line of the screen that is open, and means it.
    pub(super) fn type_in(&mut self, text: &str) {
        let text = text.to_owned();
        match self.screen() {
            Screen::Walk(_) => {
                self.send(Message::Walk(walk::Message::Typed(text)));
                self.send(Message::Walk(walk::Message::Submit));
            }
            Screen::Challenge(_) => {
                self.send(Message::Challenge(challenge::Message::Typed(text)));
                self.send(Message::Challenge(challenge::Message::Submit));
            }
            Screen::Between(_) => {
                self.send(Message::Between(between::Message::Typed(text)));
                self.send(Message::Between(between::Message::Submit));
            }
            Screen::Referee(_) => {
                self.send(Message::Referee(referee::Message::Typed(text)));
                self.send(Message::Referee(referee::Message::Submit));
            }
            Screen::Before(_) | Screen::Ruling(_) | Screen::After(_) | Screen::Past(_) => {
                panic!("nothing can be typed on {}", self.booth.title())
            }
        }
    }

    /// Looks, marks if there is something to mark, answers.
    pub(super) fn step(&mut self, camera: char, mark: &str, answer: char) {
        self.press(letter(camera));
        self.press(letter('l'));
        self.press(letter('m'));
        self.type_in(mark);
        self.press(letter(answer));
    }

    /// The challenge of the demo up to the last answer.
    pub(super) fn walk(&mut self) {
        self.type_in("o11.5 4:37.4");
        self.step('a', "411704", 'y');
        self.step('a', "411719", 'y');
        self.press(plain(Cap::Up));
        self.step('c', "411800 c4:37", 'y');
        self.step('c', "411817", 'y');
        self.press(letter('b'));
        self.press(letter('l'));
        self.press(letter('m'));
        self.type_in("411719 o5");
        self.press(plain(Cap::Digit(2)));
    }

    /// Signs the ruling, says that its restart was read back and that it was announced, and goes on with the game.
    pub(super) fn sign_and_go_on(&mut self) {
        let announced = shift(Cap::Letter('a'));
        [ctrl(Cap::Enter), letter('k'), announced, plain(Cap::Enter)]
            .into_iter()
            .for_each(|chord| self.press(chord));
    }

    /// The game in hand.
    pub(in crate::booth) fn in_game(&self) -> &InGame {
        match &self.booth.state {
            State::Held(held) => match &held.at {
                At::Game(game) => game,
                At::NoGame(_) => panic!("no game is open"),
            },
            State::Broken(undone) => panic!("{undone}"),
        }
    }

    pub(in crate::booth) fn in_game_mut(&mut self) -> &mut InGame {
        self.post_and_game().1
    }

    /// The log and the game that is open in it.
    pub(in crate::booth) fn post_and_game(&mut self) -> (&mut Post, &mut InGame) {
        match &mut self.booth.state {
            State::Held(held) => match &mut held.at {
                At::Game(game) => (&mut held.post, game),
                At::NoGame(_) => panic!("no game is open"),
            },
            State::Broken(undone) => panic!("{undone}"),
        }
    }

    pub(in crate::booth) fn screen(&self) -> &Screen {
        &self.in_game().screen
    }

    /// The card of a game that is not open yet.
    pub(in crate::booth) fn card(&self) -> Option<&Card> {
        match &self.booth.state {
            State::Held(held) => match &held.at {
                At::NoGame(card) => Some(card),
                At::Game(_) => None,
            },
            State::Broken(undone) => panic!("{undone}"),
        }
    }

    /// To the screen that fits.
    pub(in crate::booth) fn settle(&mut self) {
        let now = stamp(self.ms);
        if self.card().is_none() {
            let (post, game) = self.post_and_game();
            game.settle(post, &now);
        }
    }

    /// Whether landmarks or a point are being clicked.
    pub(in crate::booth) fn places(&self) -> bool {
        self.card().is_none() && self.in_game().pictures.places()
    }

    /// What a key means.
    pub(in crate::booth) fn pressed(&self, chord: Chord) -> Option<Message> {
        match self.card() {
            Some(_) => act(card::KEYS, chord, false).map(|act| Message::Card(card::Message::Act(act))),
            None => self.screen().pressed(chord, &self.in_game().pictures),
        }
    }

    pub(super) fn title(&self) -> &'static str {
        self.booth.title()
    }

    pub(super) fn unverified(&self) -> Unverified {
        Unverified::open(&self.place.log()).expect("the log can be read")
    }

    pub(super) fn reader(&self) -> Reader {
        Reader::open(&self.place.log()).expect("the log can be read")
    }
}

pub(super) fn opening(place: &Location, rehearsal: Option<Script>) -> Opening {
    let folder = Folder { given: Some(place.folder().to_owned()) };
    Opening { folder, place: place.clone(), rehearsal, clips: None }
}

pub(super) fn stamp(ms: u64) -> Stamp {
    Stamp { utc_ms: 1_780_000_000_000 + ms as i64, boot_ms: ms, boot: "boot".to_owned() }
}
