//! Every window, at every size of text, has room for the focused line and a picture.

use super::desk::Desk;
use super::drawn::simulated;
use super::looks::desk;
use crate::app::scale;
use crate::booth::{Message, pictures, walk};
use crate::theme::Light;
use iced::window::Event as WindowEvent;
use iced::{Event, Rectangle, Size};
use iced_test::Simulator;
use iced_test::selector::Candidate;
use std::time::Instant;

/// In pixels of the screen.
const WINDOWS: [(f32, f32); 3] = [(960.0, 600.0), (1280.0, 720.0), (1440.0, 900.0)];
/// In per cent.
const TEXTS: [u16; 4] = [100, 125, 150, 200];

/// The smallest useful picture, in pixels of the screen.
const LEAST: (u32, u32) = (160, 90);

/// The screen in a window, and its room in pixels of the toolkit.
fn drawn(desk: &Desk, window: Size, percent: u16) -> (Simulator<'_, Message>, Size) {
    let scale = scale(window, percent);
    let room = Size::new(window.width / scale, window.height / scale);
    (simulated(desk.booth.view(Light::Dark.palette(), room), room), room)
}

/// Runs a check in every window at every size of text.
fn in_every_window(desk: &mut Desk, check: impl Fn(&str, Simulator<'_, Message>, Size)) {
    for (width, height) in WINDOWS {
        desk.send(Message::Room((width as u32, height as u32)));
        for percent in TEXTS {
            let (screen, room) = drawn(desk, Size::new(width, height), percent);
            check(&format!("{width} x {height} at {percent} %"), screen, room);
        }
    }
}

/// The largest picture that the screen has room for, in pixels of the screen.
fn largest(mut screen: Simulator<'_, Message>) -> Option<(u32, u32)> {
    screen.simulate([Event::Window(WindowEvent::RedrawRequested(Instant::now()))]);
    let rooms = screen.into_messages().filter_map(|message| match message {
        Message::Walk(walk::Message::Pointed(pictures::Pointed::Room { room, .. })) => Some(room),
        _ => None,
    });
    rooms.max()
}

fn is_whole(seen: Option<Rectangle>, of: Rectangle, room: Size) -> bool {
    let inside =
        of.x >= 0.0 && of.y >= 0.0 && of.x + of.width <= room.width && of.y + of.height <= room.height;
    inside
        && seen
            .is_some_and(|seen| (seen.height - of.height).abs() < 0.5 && (seen.width - of.width).abs() < 0.5)
}

/// Three steps answered, so that the open one is far down; then each line that can be typed.
fn lines(desk: &mut Desk) -> Vec<(&'static str, Vec<Message>)> {
    for step in 0..3 {
        desk.send(Message::Walk(walk::Message::Open(step)));
        desk.send(Message::Walk(walk::Message::Act(walk::Act::Unclear)));
    }
    desk.send(Message::Walk(walk::Message::Open(3)));
    let act = |act| Message::Walk(walk::Message::Act(act));
    vec![
        ("reason", vec![act(walk::Act::Answer(0))]),
        ("mark", vec![Message::Walk(walk::Message::Open(0)), act(walk::Act::TypeMark)]),
        ("clock", vec![act(walk::Act::ReadClock)]),
        ("flag", vec![act(walk::Act::Flags)]),
        ("clips", vec![act(walk::Act::Clips)]),
        ("end", vec![act(walk::Act::End)]),
    ]
}

// PROPERTY: the focused line and a picture are whole in every window, at every size of text
#[test]
fn the_line_that_has_the_focus_is_whole_in_every_window_and_a_picture_is_drawn() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = desk(folder.path());
    desk.in_game_mut().pictures.wait_for_pictures();
    for (name, opens) in lines(&mut desk) {
        opens.into_iter().for_each(|message| desk.send(message));
        in_every_window(&mut desk, |at, mut screen, room| {
            let line = screen.find(walk::line_id()).unwrap_or_else(|_| panic!("{name}, {at}: no line"));
            let (seen, of) = (line.visible_bounds(), line.bounds());
            assert!(is_whole(seen, of, room), "{name}, {at}: {seen:?} of {of:?} in {room:?}");
            let largest = largest(screen);
            let is_drawn = largest.is_some_and(|(width, height)| width >= LEAST.0 && height >= LEAST.1);
            assert!(is_drawn, "{name}, {at}: {largest:?}");
        });
        desk.send(Message::Walk(walk::Message::Act(walk::Act::Leave)));
    }
}

/// The screen says that it is calibrating or measuring, and which key leaves it.
#[test]
fn a_mode_of_the_pictures_says_in_every_window_that_it_is_on_and_how_it_is_left() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = desk(folder.path());
    desk.in_game_mut().pictures.wait_for_pictures();
    for (act, word) in [(pictures::Act::Calibrate, "Calibrating"), (pictures::Act::Measure, "Measuring")] {
        desk.send(Message::Walk(walk::Message::Picture(act)));
        in_every_window(&mut desk, |at, mut screen, room| {
            let told = screen.find(|candidate: Candidate<'_>| match candidate {
                Candidate::Text { content, bounds, visible_bounds, .. }
                    if content.starts_with(word) && content.contains("Esc") =>
                {
                    Some((bounds, visible_bounds))
                }
                _ => None,
            });
            let (of, seen) = told.unwrap_or_else(|_| panic!("{word}, {at}: nothing says so"));
            assert!(is_whole(seen, of, room), "{word}, {at}: {seen:?} of {of:?} in {room:?}");
            assert!(
                largest(screen).is_some_and(|(width, height)| width >= LEAST.0 && height >= LEAST.1),
                "{at}"
            );
        });
        desk.send(Message::Walk(walk::Message::Place(pictures::place::Act::Leave)));
        assert!(!desk.in_game().pictures.places());
    }
}
