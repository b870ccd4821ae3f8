//! What is logged is what is shown: looks, by random walks over cameras, steps and keys; lines that are typed while
//! another step is open; typed marks beside marks in clips.
//!
//! The near side and the high end have clips, the low wall has none.

use super::desk::{Desk, film};
use crate::booth::pictures::{self, Pointed};
use crate::booth::{Message, ruling, walk};
use crate::keys::{Cap, Chord};
use crate::keys::{letter, plain, shift};
use evidence::mark::Mark;
use footage::playhead::Speed;
use host::frame::Unproven;
use review::event::{Look, Marked};
use rules::book::tree::Looks;
use std::path::Path;

/// A desk in the rehearsal's walk, with clips for two cameras: 20 frames at 30000/1001 a second with a timecode, and 30 at
/// 25 without.
pub(super) fn desk(folder: &Path) -> Desk {
    over(Desk::new(folder), folder)
}

fn over(mut desk: Desk, folder: &Path) -> Desk {
    desk.type_in("o11.5 4:37.4");
    let files = [film(folder, "near-side.mp4", "timecode.mp4"), film(folder, "high-end.mp4", "main.mp4")];
    let game = &desk.in_game().game;
    let cameras = game.cameras.clone();
    desk.in_game_mut().pictures.open(&files, &cameras);
    desk.in_game_mut().pictures.wait_for_clips();
    desk
}

fn act(act: walk::Act) -> Message {
    Message::Walk(walk::Message::Act(act))
}

fn picture(act: pictures::Act) -> Message {
    Message::Walk(walk::Message::Picture(act))
}

/// Name of the open step.
fn step(desk: &Desk) -> String {
    let walk = desk.on_walk();
    walk.boards()[walk.open_step().0].steps[walk.open_step().1].name.clone()
}

/// Name of the large camera.
fn large(desk: &Desk) -> String {
    let game = &desk.in_game().game;
    game.cameras[desk.in_game().pictures.large().expect("clips are open")].clone()
}

fn looks(desk: &Desk) -> Vec<Look> {
    desk.review().looks().cloned().collect()
}

/// A fixed sequence of numbers below a bound (the generator of Numerical Recipes, second edition, 7.1).
struct Dice(u32);

impl Dice {
    fn below(&mut self, bound: usize) -> usize {
        self.0 = self.0.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        (self.0 >> 8) as usize % bound
    }
}

/// One thing that an official does.
#[derive(Debug, Clone, Copy)]
enum Does {
    Camera(u8),
    Click(usize),
    Step(i16),
    Run(Speed),
    First,
    Open(usize),
    Look,
    Wait,
    RulingAndBack,
}

const ALL: [Does; 16] = [
    Does::Camera(0),
    Does::Camera(1),
    Does::Camera(2),
    Does::Click(0),
    Does::Click(1),
    Does::Step(1),
    Does::Step(-1),
    Does::Step(1),
    Does::Run(Speed::Half),
    Does::Run(Speed::Quarter),
    Does::First,
    Does::Open(0),
    Does::Open(1),
    Does::Look,
    Does::Wait,
    Does::RulingAndBack,
];

fn does(desk: &mut Desk, what: Does) {
    match what {
        Does::Camera(number) => desk.send(act(walk::Act::Camera(number))),
        Does::Click(pane) => {
            let pointed = Pointed::Clicked { pane, at: (10.0, 10.0) };
            desk.send(Message::Walk(walk::Message::Pointed(pointed)));
        }
        Does::Step(by) => desk.send(picture(pictures::Act::Step(by))),
        Does::Run(speed) => desk.send(picture(pictures::Act::Run(speed))),
        Does::First => desk.send(picture(pictures::Act::First)),
        Does::Open(step) => desk.send(Message::Walk(walk::Message::Open(step))),
        Does::Look => desk.send(act(walk::Act::Look)),
        Does::Wait => desk.send(Message::Now),
        Does::RulingAndBack => {
            desk.send(act(walk::Act::Rule));
            desk.send(Message::Ruling(ruling::Message::Act(ruling::Act::Back)));
        }
    }
}

/// Every new look is of the step and the camera on the screen; while pictures are stepped or run, so is the newest look.
// PROPERTY: looks are of the step and the camera on the screen, whatever is pressed
#[test]
fn whatever_is_pressed_looks_are_of_the_step_and_the_camera_that_are_shown() {
    for seed in 0..12 {
        let folder = tempfile::tempdir().expect("a folder");
        let (mut desk, mut dice) = (desk(folder.path()), Dice(seed));
        let mut done = Vec::new();
        for _ in 0..80 {
            let what = ALL[dice.below(ALL.len())];
            done.push(what);
            let before = looks(&desk).len();
            let ran = desk.in_game().pictures.looking();
            does(&mut desk, what);
            let said = format!("seed {seed}: {done:?}");
            let all = looks(&desk);
            for look in &all[before..] {
                assert_eq!((&look.step, &look.camera), (&step(&desk), &large(&desk)), "{said}");
            }
            let moved = match what {
                Does::Step(_) => desk.in_game().pictures.looking(),
                Does::Wait => ran,
                Does::Camera(_)
                | Does::Click(_)
                | Does::Run(_)
                | Does::First
                | Does::Open(_)
                | Does::Look
                | Does::RulingAndBack => None,
            };
            if let Some(kind) = moved {
                let newest = all.last().map(|look| (look.step.clone(), look.camera.clone(), look.kind));
                assert_eq!(newest, Some((step(&desk), large(&desk), kind)), "{said}");
            }
        }
        assert!(looks(&desk).len() > 5, "seed {seed}: {done:?}");
    }
}

/// Stepping through two steps of the question is one look at each.
#[test]
fn a_run_of_steps_is_a_look_at_each_step_that_is_shown_in_it() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = desk(folder.path());
    let steps = |desk: &Desk| looks(desk).into_iter().map(|look| look.step).collect::<Vec<_>>();
    let names: Vec<String> = desk.on_walk().boards()[0].steps.iter().map(|line| line.name.clone()).collect();
    for (what, expected) in [
        (Does::Step(1), vec![0]),
        (Does::Step(1), vec![0]),
        (Does::Open(1), vec![0]),
        (Does::Step(1), vec![0, 1]),
        (Does::Step(-1), vec![0, 1]),
        (Does::Open(0), vec![0, 1]),
        (Does::Step(1), vec![0, 1, 0]),
    ] {
        does(&mut desk, what);
        let expected: Vec<String> = expected.into_iter().map(|step: usize| names[step].clone()).collect();
        assert_eq!(steps(&desk), expected, "{what:?}");
    }
    assert!(looks(&desk).iter().all(|look| look.kind == Looks::FrameByFrame));
}

/// A step that is judged at full speed: the picture moves only once a reason is given, and that is one look.
// PROPERTY: a look that the book does not allow is refused before the picture moves
#[test]
fn stepping_where_only_full_speed_is_allowed_is_refused_before_the_picture_moves() {
    for does_it in [Does::Step(1), Does::Run(Speed::Half), Does::Run(Speed::Quarter)] {
        let folder = tempfile::tempdir().expect("a folder");
        let mut desk = over(Desk::asked(folder.path(), "blow-and-answer", "foul on both"), folder.path());
        assert_eq!(step(&desk), "at risk");
        near(&mut desk, 0);
        does(&mut desk, does_it);
        let at_rest = |desk: &Desk| (desk.in_game().pictures.frame(), desk.in_game().pictures.looking());
        assert_eq!((at_rest(&desk), looks(&desk)), ((Some(0), None), Vec::new()), "{does_it:?}");
        assert!(desk.on_walk().line().is_some(), "a reason is asked for");
        desk.type_in("the arm is hidden at full speed");
        assert_eq!(looks(&desk).len(), 1);
        does(&mut desk, does_it);
        assert!(desk.in_game().pictures.looking().is_some(), "{does_it:?}");
        assert_eq!(looks(&desk).len(), 1, "{does_it:?}: one look, once");
        assert!(looks(&desk)[0].reason.is_some());
        // Full speed is always allowed.
        does(&mut desk, Does::First);
        does(&mut desk, Does::Run(Speed::Full));
        assert_eq!(looks(&desk).last().map(|look| look.kind), Some(Looks::FullSpeed));
    }
}

/// Time is short once the order of the play takes longer than what is left of the limit from the first look.
#[test]
fn the_walk_keeps_the_order_of_the_play_until_time_is_short() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = Desk::new(folder.path());
    desk.type_in("o11.5 4:37.4");
    let names: Vec<String> = desk.on_walk().boards()[0].steps.iter().map(|line| line.name.clone()).collect();
    desk.step('a', "411704", 'y');
    assert_eq!(step(&desk), names[1], "the order of the book");
    desk.ms += 80_000;
    desk.press(letter('u'));
    let board = &desk.on_walk().boards()[0];
    assert_ne!((board.in_order, board.soonest), (board.soonest, None), "another step settles sooner");
    assert_eq!(Some(desk.on_walk().open_step().1), board.soonest, "time is short");
}

#[test]
fn a_step_that_is_passed_over_while_pictures_run_has_no_look() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = desk(folder.path());
    does(&mut desk, Does::Run(Speed::Quarter));
    for step in [1, 2] {
        does(&mut desk, Does::Open(step));
    }
    desk.send(Message::Now);
    let steps: Vec<String> = looks(&desk).into_iter().map(|look| look.step).collect();
    let name = |step: usize| desk.on_walk().boards()[0].steps[step].name.clone();
    assert_eq!(steps, [name(0), name(2)]);
}

/// Pictures rest while the ruling is open.
#[test]
fn pictures_rest_where_they_are_not_shown() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = desk(folder.path());
    does(&mut desk, Does::Run(Speed::Quarter));
    assert!(desk.in_game().pictures.looking().is_some());
    desk.send(act(walk::Act::Rule));
    desk.send(Message::Now);
    assert_eq!(desk.in_game().pictures.looking(), None);
}

/// An answer needs a reason, and another step is opened while the reason is typed.
// PROPERTY: a reason answers the step for which its line was opened
#[test]
fn a_reason_answers_the_step_for_which_its_line_was_opened_and_says_which() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = desk(folder.path());
    desk.send(act(walk::Act::Answer(0)));
    let of = step(&desk);
    let ask = desk.on_walk().boards()[0].steps[0].ask.clone();
    assert!(desk.on_walk().line().is_some(), "a reason is asked for");
    desk.send(Message::Walk(walk::Message::Open(2)));
    let room = iced::Size::new(1440.0, 900.0);
    let view = desk.booth.view(crate::theme::Light::Dark.palette(), room);
    let mut screen = iced_test::Simulator::with_size(iced::Settings::default(), room, view);
    let about = format!("The reason for \u{201c}yes\u{201d} at \u{201c}{ask}\u{201d}");
    assert!(screen.find(about.as_str()).is_ok(), "`{about}` is not on the screen");
    drop(screen);
    desk.type_in("the wall is in the way");
    let answers = desk.review().answers();
    assert_eq!(answers.keys().collect::<Vec<_>>(), [&(0, of.as_str())]);
    assert_eq!(desk.on_walk().open_step().1, 2, "what is shown stays");
}

/// A proven mark or a loop that begins again leaves an open line alone.
#[test]
fn what_comes_by_itself_leaves_the_line_that_is_typed() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = desk(folder.path());
    let mark = |timecode: &str| {
        let (moment, camera) = ("leaves the field".to_owned(), "low wall".to_owned());
        let mark = Mark { moment, camera, timecode: timecode.parse().expect("a timecode") };
        Marked { mark, x: None, clock_ms: None, shot: None, scoreboard: None }
    };
    desk.press(shift(Cap::Letter('m')));
    desk.send(Message::Walk(walk::Message::Typed("4117".to_owned())));
    let marks = desk.review().marks().count();
    desk.send(Message::Shot(Box::new(mark("00:41:17;22")), Err(Unproven::Failed("no decoder".to_owned()))));
    assert_eq!((desk.on_walk().line(), desk.review().marks().count()), (Some("4117"), marks + 1));
    for seconds in 0..4 {
        does(&mut desk, Does::Run(Speed::Full));
        (0..3).for_each(|_| desk.send(Message::Now));
        assert_eq!(desk.on_walk().line(), Some("4117"), "after {seconds} runs");
    }
}

/// A line cycles through the moments of its own step.
#[test]
fn a_mark_that_is_typed_stays_with_the_moments_of_its_step() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = desk(folder.path());
    desk.send(Message::Walk(walk::Message::Open(2)));
    let moments = desk.on_walk().boards()[0].steps[2].moments.clone();
    assert_eq!(moments.len(), 2);
    desk.press(shift(Cap::Letter('m')));
    desk.send(Message::Walk(walk::Message::Open(0)));
    for round in 0..4 {
        let Some(walk::Typing::Mark { moment, .. }) = desk.on_walk().typing() else {
            panic!("a mark is typed")
        };
        assert_eq!(*moment, moments[round % 2]);
        desk.send(act(walk::Act::NextMoment));
    }
}

/// Goes to a frame of the near side.
fn near(desk: &mut Desk, frame: usize) {
    desk.press(letter('a'));
    desk.press(plain(Cap::Home));
    (0..frame).for_each(|_| desk.press(plain(Cap::Right)));
    assert_eq!(desk.in_game().pictures.frame(), Some(frame));
}

/// The timecode of a frame of the near side.
fn timecode(desk: &Desk, frame: usize) -> String {
    let facts = desk.in_game().pictures.facts(0).expect("its clip is open");
    facts.timecode_of(frame).expect("it has timecodes").to_string()
}

const TYPE: Chord = shift(Cap::Letter('m'));

fn typed(desk: &mut Desk, frame: usize) {
    let text = format!("a {}", timecode(desk, frame));
    desk.press(TYPE);
    desk.type_in(&text);
}

fn clicked(desk: &mut Desk, frame: usize) {
    near(desk, frame);
    desk.press_and_wait(letter('m'));
}

fn reason(desk: &Desk) -> Option<String> {
    desk.on_walk().timing().map(|timing| timing.says.clone())
}

/// Control in frame 8, the landing in frame 12 of one camera, each clicked or typed.
// PROPERTY: typed and clicked marks of one camera are judged by one clock
#[test]
fn marks_of_one_camera_are_compared_by_its_clock_however_they_were_set() {
    let mut all = Vec::new();
    for types in [[false, false], [false, true], [true, false], [true, true]] {
        let folder = tempfile::tempdir().expect("a folder");
        let mut desk = desk(folder.path());
        desk.send(Message::Walk(walk::Message::Open(2)));
        for (is_typed, frame) in types.into_iter().zip([8, 12]) {
            match is_typed {
                true => typed(&mut desk, frame),
                false => clicked(&mut desk, frame),
            }
        }
        let says = reason(&desk).unwrap_or_else(|| panic!("{types:?}: nothing is measured"));
        assert!(says.starts_with("control 133 ms before touches down"), "{types:?}: {says}");
        all.push(says);
    }
    assert!(all.iter().all(|says| *says == all[0]), "{all:?}");
}

/// A timecode typed for a moment that is marked in its clip: the same frame is taken, another one is refused.
// PROPERTY: a typed timecode replaces no frame that is marked in its clip
#[test]
fn a_mark_that_is_typed_again_hides_no_measured_order() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = desk(folder.path());
    desk.send(Message::Walk(walk::Message::Open(2)));
    clicked(&mut desk, 8);
    clicked(&mut desk, 12);
    let measured = reason(&desk).expect("both are marked");
    // Both are marked, so a new line is for the first of them.
    typed(&mut desk, 8);
    assert_eq!(reason(&desk), Some(measured.clone()));
    let marks = desk.review().marks().count();
    typed(&mut desk, 14);
    assert_eq!((reason(&desk), desk.review().marks().count()), (Some(measured), marks));
    let Some(walk::Told::No { because, .. }) = desk.on_walk().shown() else {
        panic!("{:?}", desk.on_walk().shown())
    };
    assert!(because.contains("a typed timecode does not replace it"), "{because}");
    desk.press(plain(Cap::Escape));
    // Marked in the clip again, the newer frame counts, with a message.
    clicked(&mut desk, 10);
    let now = reason(&desk).expect("both are marked");
    assert!(now.starts_with("control 67 ms before touches down"), "{now}");
    let Some(walk::Told::Done(told)) = desk.on_walk().shown() else { panic!("{:?}", desk.on_walk().shown()) };
    assert!(told.contains("takes the place of"), "{told}");
}

/// A step whose answer is taken back opens again and is named, so that the next key answers it.
#[test]
fn an_answer_that_is_taken_back_opens_its_step_again() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut desk = desk(folder.path());
    let steps = desk.on_walk().boards()[0].steps.len();
    for opened in 0..steps {
        desk.send(Message::Walk(walk::Message::Open(opened)));
        let (first, ask) = (step(&desk), desk.on_walk().boards()[0].steps[opened].ask.clone());
        desk.send(act(walk::Act::Unclear));
        desk.send(act(walk::Act::Undo));
        assert_eq!(step(&desk), first);
        let Some(walk::Told::Done(told)) = desk.on_walk().shown() else {
            panic!("{:?}", desk.on_walk().shown())
        };
        assert!(
            told.starts_with("taken back: ") && told.ends_with(&format!("at \u{201c}{ask}\u{201d}")),
            "{told}"
        );
    }
}
