//! A partial repaint equals a whole one, for consecutive states of every screen of the booth.

use super::desk::{Desk, film};
use crate::app;
use crate::booth::{
    Message, after, between, card, challenge, penalties, pictures, referee, ruling, station, walk,
};
use crate::keys::{Binding, Cap, Chord, ctrl, letter, plain, shift};
use crate::support::display::{Display, LOOKS, Look};
use std::collections::BTreeSet;
use std::path::Path;

/// A desk and the window that shows it.
struct Tour {
    desk: Desk,
    display: Display,
    titles: BTreeSet<&'static str>,
}

impl Tour {
    fn new(desk: Desk, look: Look) -> Tour {
        let mut tour = Tour { desk, display: Display::new(look), titles: BTreeSet::new() };
        tour.see("opened");
        tour
    }

    /// Shows the current screen and passes the messages of its widgets on.
    fn see(&mut self, after: &str) {
        let palette = self.display.look().light.palette();
        let title = self.desk.title();
        let screen = self.desk.booth.view(palette, self.display.room());
        let state = format!("{title} after {after}");
        let messages = self.display.show(&state, app::whole(palette, screen, None));
        self.titles.insert(title);
        messages.into_iter().for_each(|message| self.desk.send(message));
    }

    fn press(&mut self, chords: &[Chord]) {
        for chord in chords {
            self.desk.press_and_wait(*chord);
            self.see(&chord.to_string());
        }
    }

    fn send(&mut self, message: Message) {
        let says = format!("{message:?}");
        self.desk.send(message);
        self.see(&says);
    }

    /// Types into the open line and submits it; the first letter and the whole line are shown.
    fn type_in(&mut self, text: &str) {
        let (typed, submit) = self.desk.line();
        let first = text.chars().next().into_iter().collect::<String>();
        for text in [first.as_str(), text] {
            self.desk.send(typed(text.to_owned()));
            self.see(&format!("`{text}`"));
        }
        self.send(submit);
    }

    /// Opens the page of keys and closes it.
    fn keys(&mut self) {
        let palette = self.display.look().light.palette();
        let screen = self.desk.booth.view(palette, self.display.room());
        let card = self.desk.booth.key_card(palette);
        let whole = app::whole(palette, screen, Some(card));
        self.display.show(&format!("keys of {}", self.desk.title()), whole);
        self.see("the page of keys");
    }

    /// Presses each key of a table, and Escape after each. One look is enough for that.
    fn every_key<A>(&mut self, table: &[Binding<A>]) {
        if self.display.look() != LOOKS[0] {
            return;
        }
        for chord in table.iter().filter_map(|binding| binding.chords.first()) {
            self.press(&[*chord, plain(Cap::Escape)]);
        }
    }

    /// Fails if a state was repainted wrongly, or if one of these screens was not shown.
    fn ended(self, shown: &[&str]) {
        for title in shown {
            assert!(self.titles.contains(title), "{title} was not shown, only {:?}", self.titles);
        }
        self.display.ended();
    }
}

/// Runs a tour in every look, each in a new folder.
fn in_every_look(tour: impl Fn(&Path, Look)) {
    for look in LOOKS {
        let folder = tempfile::tempdir().expect("a folder");
        tour(folder.path(), look);
    }
}

// PROPERTY: what is repainted in part is what is drawn whole, on every screen
#[test]
fn before_the_game_and_between_plays_a_partial_repaint_equals_a_whole_one() {
    in_every_look(|folder, look| {
        let mut tour = Tour::new(Desk::empty(folder), look);
        tour.press(&[plain(Cap::Enter)]);
        let lines =
            ["W01-QL-HK", "1", "Harbour Kites, Kites", "Quarry Lanterns", "", "near side, low wall", ""];
        for (line, text) in lines.into_iter().enumerate() {
            tour.send(Message::Card(card::Message::Typed(line, text.to_owned())));
        }
        tour.keys();
        tour.press(&[plain(Cap::Enter), plain(Cap::Digit(1)), plain(Cap::Enter)]);
        tour.press(&[plain(Cap::Enter), letter('e')]);
        tour.type_in("p1 12:00 1&10 k20 ball Kites east");
        for play in ["k24 11:35", "k2 10:50", "no spot"] {
            tour.press(&[letter('d')]);
            tour.type_in(play);
        }
        tour.press(&[plain(Cap::Escape), letter('n'), plain(Cap::Backspace), letter('n')]);
        tour.press(&[letter('p')]);
        tour.type_in("holding");
        tour.press(&[plain(Cap::Digit(1)), plain(Cap::Digit(1))]);
        tour.type_in("x10");
        tour.every_key(penalties::KEYS);
        (0..9).for_each(|_| tour.press(&[plain(Cap::Escape)]));
        tour.every_key(between::KEYS);
        tour.keys();
        // Any key may have taken plays back, or opened another screen.
        (0..9).for_each(|_| tour.press(&[plain(Cap::Escape)]));
        tour.press(&[plain(Cap::Enter), plain(Cap::Enter), letter('e')]);
        tour.type_in("p1 11:59 1&10 k20 ball Kites east");
        tour.press(&[letter('c'), plain(Cap::Digit(1))]);
        tour.every_key(challenge::KEYS);
        tour.press(&[plain(Cap::Escape), plain(Cap::Escape), plain(Cap::F(3))]);
        tour.every_key(after::KEYS);
        tour.press(&[plain(Cap::Escape), plain(Cap::F(4))]);
        tour.every_key(station::KEYS);
        tour.press(&[plain(Cap::Escape), plain(Cap::F(4)), letter('c'), plain(Cap::Escape)]);
        tour.press(&[shift(Cap::Letter('n')), plain(Cap::Digit(3))]);
        tour.type_in("the lights failed");
        tour.keys();
        tour.press(&[ctrl(Cap::Enter), plain(Cap::F(3)), plain(Cap::Down), plain(Cap::Enter)]);
        tour.ended(&[
            "before the game",
            "between plays",
            "penalties",
            "challenge",
            "the log of the game",
            "at the desk",
            "the card put right",
            "the end of the game",
            "the games of the log",
        ]);
    });
}

// PROPERTY: what is repainted in part is what is drawn whole, on every screen
#[test]
fn in_a_challenge_and_its_walk_a_partial_repaint_equals_a_whole_one() {
    in_every_look(|folder, look| {
        let mut tour = Tour::new(Desk::new(folder), look);
        tour.keys();
        tour.type_in("o11.5 4:37.4");
        tour.press(&[letter('y')]);
        tour.press(&[plain(Cap::Escape)]);
        for (camera, mark, answer) in
            [('a', "411704", letter('y')), ('a', "411719", letter('y')), ('c', "411800 c4:37", letter('u'))]
        {
            tour.press(&[letter(camera), letter('l'), letter('m')]);
            tour.type_in(mark);
            tour.press(&[answer]);
            tour.send(Message::Now);
        }
        tour.press(&[plain(Cap::Up), plain(Cap::Up), plain(Cap::Down)]);
        tour.every_key(walk::KEYS);
        tour.keys();
        tour.ended(&["challenge", "review"]);
    });
}

// PROPERTY: what is repainted in part is what is drawn whole, on every screen
#[test]
fn of_a_ruling_a_partial_repaint_equals_a_whole_one() {
    in_every_look(|folder, look| {
        let mut desk = Desk::new(folder);
        desk.walk();
        let mut tour = Tour::new(desk, look);
        tour.press(&[plain(Cap::Enter), letter('e')]);
        tour.type_in("o4.5");
        tour.press(&[plain(Cap::Escape), plain(Cap::Escape)]);
        tour.keys();
        tour.press(&[plain(Cap::Enter), ctrl(Cap::Enter)]);
        tour.every_key(ruling::KEYS);
        (0..3).for_each(|_| tour.press(&[plain(Cap::Enter)]));
        tour.press(&[plain(Cap::F(3)), plain(Cap::Down), plain(Cap::Enter), plain(Cap::Escape)]);
        tour.ended(&["review", "ruling"]);
    });
}

// PROPERTY: what is repainted in part is what is drawn whole, on every screen
#[test]
fn while_the_referee_rules_a_partial_repaint_equals_a_whole_one() {
    in_every_look(|folder, look| {
        let mut desk = Desk::asked(folder, "blow-and-answer", "foul on both");
        desk.type_in("o10 4:37.4");
        let mut tour = Tour::new(desk, look);
        tour.press(&[letter('a'), letter('l'), letter('n'), letter('l'), letter('m')]);
        tour.type_in("411704");
        tour.press(&[plain(Cap::Digit(4)), letter('l'), letter('m')]);
        tour.type_in("411705");
        tour.press(&[letter('m')]);
        tour.type_in("411709");
        tour.press(&[letter('y'), letter('l'), letter('y'), plain(Cap::Enter), letter('r')]);
        tour.press(&[letter('y')]);
        tour.type_in("the runner");
        tour.press(&[letter('n'), letter('b')]);
        tour.type_in("it has no finding for one exchange");
        tour.press(&[plain(Cap::Digit(1)), letter('y'), plain(Cap::Down), plain(Cap::Enter)]);
        tour.every_key(referee::KEYS);
        tour.keys();
        tour.ended(&["ruling", "the referee's own ruling"]);
    });
}

// PROPERTY: what is repainted in part is what is drawn whole, on every screen
#[test]
fn with_pictures_a_partial_repaint_equals_a_whole_one() {
    in_every_look(|folder, look| {
        let mut desk = Desk::new(folder);
        desk.type_in("o11.5 4:37.4");
        let files = [film(folder, "near-side.mp4", "timecode.mp4"), film(folder, "high-end.mp4", "main.mp4")];
        desk.in_game_mut().pictures.open(&files, &["near side", "high end"].map(str::to_owned));
        desk.in_game_mut().pictures.wait_for_clips();
        let mut tour = Tour::new(desk, look);
        for chord in [plain(Cap::Right), shift(Cap::Right), letter('b'), plain(Cap::Right), letter('a')] {
            tour.desk.press_and_wait(chord);
            tour.desk.in_game_mut().pictures.wait_for_pictures();
            tour.see(&chord.to_string());
        }
        tour.press(&[letter('l'), letter('m')]);
        tour.every_key(pictures::KEYS);
        tour.press(&[letter('i')]);
        tour.every_key(pictures::place::KEYS);
        tour.keys();
        tour.ended(&["review"]);
    });
}
