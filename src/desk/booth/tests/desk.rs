//! A desk without a window: tests press keys and read the log.

use crate::Opening;
use crate::booth::card::Card;
use crate::booth::games::Games;
use crate::booth::in_game::InGame;
use crate::booth::keyed::act;
use crate::booth::post::Post;
use crate::booth::{At, Booth, Message, Screen, State, card, walk};
use crate::keys::{Cap, Chord, ctrl, letter, plain, shift};
use formats::read::{Form, read};
use formats::script::Script;
use host::data::Folder;
use iced_test::futures::futures::StreamExt;
use iced_test::futures::futures::executor::block_on;
use iced_test::runtime::Action;
use iced_test::runtime::task::into_stream;
use log::store::location::Location;
use log::store::reader::Reader;
use log::store::unverified::Unverified;
use review::fold::Review;
use review::stamp::Stamp;
use std::path::{Path, PathBuf};

/// The challenge that the demo begins.
const SCRIPT: &str = include_str!("../../../../demo/challenge.ron");

/// A booth with a clock of its own.
pub(super) struct Desk {
    pub(super) booth: Booth,
    pub(super) place: Location,
    pub(super) ms: u64,
}

impl Desk {
    pub(super) fn new(folder: &Path) -> Desk {
        Desk::rehearsing(folder, SCRIPT)
    }

    /// A desk before its first game.
    pub(super) fn empty(folder: &Path) -> Desk {
        Desk::over(Location::at(folder), None, 0)
    }

    fn rehearsing(folder: &Path, script: &str) -> Desk {
        let script: Script = read(script, Form::Ron).expect("it is a script");
        Desk::over(Location::at(folder), Some(script), 0)
    }

    /// A desk over the log of this place, opened at this time in milliseconds.
    pub(in crate::booth) fn over(place: Location, rehearsal: Option<Script>, ms: u64) -> Desk {
        Desk { booth: Booth::open(&opening(&place, rehearsal), stamp(ms)), place, ms }
    }

    /// Closes the desk and opens it again, as after a crash.
    pub(super) fn reopened(self) -> Desk {
        let Desk { booth, place, ms } = self;
        drop(booth);
        Desk::over(place, None, ms)
    }

    /// A desk whose rehearsal begins with another question.
    pub(super) fn asked(folder: &Path, tree: &str, call: &str) -> Desk {
        let script = SCRIPT
            .replace(
                "tree: \"catch-beyond-wall\", call: \"incomplete\"",
                &format!("tree: \"{tree}\", call: \"{call}\""),
            )
            .replace("initiator: \"coach-home\"", "initiator: \"booth\"");
        Desk::rehearsing(folder, &script)
    }

    pub(super) fn send(&mut self, message: Message) {
        self.ms += 500;
        drop(self.booth.update(message, stamp(self.ms)));
    }

    /// Presses a key, and handles the messages of the work that it starts.
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

    pub(super) fn press_all(&mut self, chords: &[Chord]) {
        chords.iter().for_each(|chord| self.press(*chord));
    }

    /// Types into the open line and submits it.
    pub(super) fn type_in(&mut self, text: &str) {
        let (typed, submit) = self.line();
        self.send(typed(text.to_owned()));
        self.send(submit);
    }

    /// The messages that type into the open line and submit it.
    pub(super) fn line(&self) -> (fn(String) -> Message, Message) {
        match self.screen().line() {
            Some(line) => (line.typed, line.submit),
            None => panic!("no line is open on {}", self.title()),
        }
    }

    /// Looks, marks if there is something to mark, answers.
    pub(super) fn step(&mut self, camera: char, mark: &str, answer: char) {
        self.press_all(&[letter(camera), letter('l'), letter('m')]);
        self.type_in(mark);
        self.press(letter(answer));
    }

    /// Walks through the challenge of the demo up to the last answer.
    pub(super) fn walk(&mut self) {
        self.type_in("o11.5 4:37.4");
        self.step('a', "411704", 'y');
        self.step('a', "411719", 'y');
        self.step('c', "411800 c4:37", 'y');
        self.step('c', "411817", 'y');
        self.press_all(&[letter('b'), letter('l'), letter('m')]);
        self.type_in("411719 o5");
        self.press(plain(Cap::Digit(2)));
    }

    /// Signs the ruling, confirms the read-back and the announcement, and goes on with the game.
    pub(super) fn sign_and_go_on(&mut self) {
        self.press_all(&[ctrl(Cap::Enter), letter('k'), shift(Cap::Letter('a')), plain(Cap::Enter)]);
    }

    pub(in crate::booth) fn in_game(&self) -> &InGame {
        match self.at() {
            At::Game(game) => game,
            At::NoGame(_) | At::Games(_) => panic!("no game is open"),
        }
    }

    fn at(&self) -> &At {
        match &self.booth.state {
            State::Held(held) => &held.at,
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
                At::NoGame(_) | At::Games(_) => panic!("no game is open"),
            },
            State::Broken(undone) => panic!("{undone}"),
        }
    }

    pub(in crate::booth) fn screen(&self) -> &Screen {
        &self.in_game().screen
    }

    /// The walk, which is open.
    pub(in crate::booth) fn on_walk(&self) -> &walk::Walk {
        let Screen::Walk(walk) = self.screen() else { panic!("on {}", self.title()) };
        walk
    }

    pub(in crate::booth) fn review(&self) -> &Review {
        self.in_game().game.review().expect("a review is held")
    }

    /// The card, if no game is open yet.
    pub(in crate::booth) fn card(&self) -> Option<&Card> {
        match self.at() {
            At::NoGame(card) => Some(card),
            At::Games(_) | At::Game(_) => None,
        }
    }

    /// The list of closed games, if it is open.
    pub(in crate::booth) fn games(&self) -> Option<&Games> {
        match self.at() {
            At::Games(games) => Some(games),
            At::NoGame(_) | At::Game(_) => None,
        }
    }

    /// Opens the screen that fits the state of game and review.
    pub(in crate::booth) fn settle(&mut self) {
        let now = stamp(self.ms);
        if self.games().is_some() {
            self.press(plain(Cap::Escape));
        }
        if self.card().is_none() {
            let (post, game) = self.post_and_game();
            game.settle(post, &now);
        }
    }

    /// Whether landmarks or a point are being clicked.
    pub(in crate::booth) fn places(&self) -> bool {
        self.card().is_none() && self.games().is_none() && self.in_game().pictures.places()
    }

    pub(in crate::booth) fn pressed(&self, chord: Chord) -> Option<Message> {
        if let Some(games) = self.games() {
            return games.pressed(chord);
        }
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

/// Copies a clip of the tests into a folder under this name.
pub(super) fn film(folder: &Path, name: &str, clip: &str) -> PathBuf {
    let stored = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/clips").join(clip);
    let file = folder.join(name);
    std::fs::copy(stored, &file).expect("it can be copied");
    file
}

pub(super) fn opening(place: &Location, rehearsal: Option<Script>) -> Opening {
    let folder = Folder { given: Some(place.folder().to_owned()) };
    Opening { folder, place: place.clone(), rehearsal, clips: None }
}

pub(super) fn stamp(ms: u64) -> Stamp {
    Stamp { utc_ms: 1_780_000_000_000 + ms as i64, boot_ms: ms, boot: "boot".to_owned() }
}
