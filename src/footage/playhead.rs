//! The playhead: where on the common clock the official looks, and how they got there.
//!
//! A pure state machine: commands and elapsed time go in, the frame comes out. It counts the looks by their kind,
//! because a book may ask for one kind and forbid another.

use crate::sync_timeline::{Nanos, Track};

/// How fast the pictures run.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Speed {
    Full,
    Half,
    Quarter,
}

impl Speed {
    fn divisor(self) -> i64 {
        match self {
            Speed::Full => 1,
            Speed::Half => 2,
            Speed::Quarter => 4,
        }
    }
}

/// One viewing, by its kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Look {
    FullSpeed,
    Slow,
    FrameByFrame,
}

/// What the official does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Act {
    /// Frames; negative is back.
    Step(isize),
    /// Seconds; negative is back.
    Seconds(i64),
    /// To a frame: a mark, or a place on the time bar.
    Jump(usize),
    Play(Speed),
    Rest,
    /// Play between these two frames again and again; `None`: to the end.
    Loop(Option<(usize, usize)>),
}

/// What the playhead is doing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Motion {
    Rests { steps: bool },
    Runs { speed: Speed, carried: i64 },
}

/// The playhead over the frames of the leading camera.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Playhead {
    track: Track,
    frame: usize,
    at: Nanos,
    motion: Motion,
    between: Option<(usize, usize)>,
}

impl Playhead {
    /// At rest on the first frame.
    pub fn new(track: Track) -> Playhead {
        let at = track.time_of(0);
        Playhead { track, frame: 0, at, motion: Motion::Rests { steps: false }, between: None }
    }

    /// Keeps its frame under another tie of its clip; if it runs, it goes on from another common time.
    pub fn tied(&mut self, track: Track) {
        self.track = track;
        self.put(self.frame);
    }

    /// The frame of the leading camera.
    pub fn frame(&self) -> usize {
        self.frame
    }

    /// The common time: that of the frame at rest, between frames while it runs.
    pub fn at(&self) -> Nanos {
        self.at
    }

    /// Whether it rests: then the exact picture is asked for.
    pub fn rests(&self) -> bool {
        matches!(self.motion, Motion::Rests { .. })
    }

    /// The look that it is in: while it runs, and while it rests after a step. None after a jump.
    pub fn looks(&self) -> Option<Look> {
        match self.motion {
            Motion::Rests { steps } => steps.then_some(Look::FrameByFrame),
            Motion::Runs { speed: Speed::Full, .. } => Some(Look::FullSpeed),
            Motion::Runs { speed: Speed::Half | Speed::Quarter, .. } => Some(Look::Slow),
        }
    }

    /// Applies an act; returns the look that begins with it, if one does.
    pub fn act(&mut self, act: Act) -> Option<Look> {
        match act {
            Act::Step(frames) => {
                let is_new = !matches!(self.motion, Motion::Rests { steps: true });
                self.motion = Motion::Rests { steps: true };
                self.put(self.frame.saturating_add_signed(frames));
                is_new.then_some(Look::FrameByFrame)
            }
            Act::Seconds(seconds) => {
                self.rest();
                let to = Nanos(self.at.0.saturating_add(seconds.saturating_mul(1_000_000_000)));
                let end = if seconds < 0 { 0 } else { usize::MAX };
                self.put(self.track.frame_at(to).unwrap_or(end));
                None
            }
            Act::Jump(frame) => {
                self.rest();
                self.put(frame);
                None
            }
            Act::Play(speed) => {
                let running = matches!(self.motion, Motion::Runs { speed: now, .. } if now == speed);
                if !running {
                    self.motion = Motion::Runs { speed, carried: 0 };
                }
                let look = if speed == Speed::Full { Look::FullSpeed } else { Look::Slow };
                (!running).then_some(look)
            }
            Act::Rest => {
                self.rest();
                self.put(self.frame);
                None
            }
            Act::Loop(between) => {
                self.between = between.map(|(a, b)| (a.min(b), a.max(b)));
                None
            }
        }
    }

    /// Moves on by the elapsed time. At the end it rests, or begins its loop again, which is another look.
    pub fn tick(&mut self, elapsed: Nanos) -> Option<Look> {
        let Motion::Runs { speed, carried } = self.motion else { return None };
        let gone = carried.saturating_add(elapsed.0.max(0));
        let step = gone / speed.divisor();
        self.motion = Motion::Runs { speed, carried: gone % speed.divisor() };
        self.at = Nanos(self.at.0.saturating_add(step));
        let last = self.between.map_or(self.last(), |(_, last)| last.min(self.last()));
        if self.at < self.track.time_of(last) {
            self.frame = self.track.frame_at(self.at).unwrap_or(self.frame);
            return None;
        }
        let Some((first, _)) = self.between.filter(|(first, _)| *first < last) else {
            self.rest();
            self.put(last);
            return None;
        };
        self.put(first);
        Some(if speed == Speed::Full { Look::FullSpeed } else { Look::Slow })
    }

    fn last(&self) -> usize {
        self.track.frames().saturating_sub(1)
    }

    fn rest(&mut self) {
        self.motion = Motion::Rests { steps: false };
    }

    fn put(&mut self, frame: usize) {
        self.frame = frame.min(self.last());
        self.at = self.track.time_of(self.frame);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 50 frames a second, 100 frames.
    fn playhead() -> Playhead {
        Playhead::new(Track::from_times((0..100).map(|frame| Nanos(frame * 20_000_000)).collect()))
    }

    #[test]
    fn steps_stay_within_the_clip_and_a_run_of_them_is_one_look() {
        let mut head = playhead();
        for (act, frame, look) in [
            (Act::Step(1), 1, Some(Look::FrameByFrame)),
            (Act::Step(10), 11, None),
            (Act::Step(-30), 0, None),
            (Act::Seconds(1), 50, None),
            (Act::Seconds(5), 99, None),
            (Act::Seconds(-1), 49, None),
            (Act::Step(-1), 48, Some(Look::FrameByFrame)),
            (Act::Jump(1000), 99, None),
            (Act::Step(1), 99, Some(Look::FrameByFrame)),
        ] {
            assert_eq!((head.act(act), head.frame()), (look, frame), "{act:?}");
            assert!(head.rests());
        }
    }

    #[test]
    fn it_runs_at_its_speed_and_rests_at_the_end() {
        for (speed, look, after_a_second) in [
            (Speed::Full, Look::FullSpeed, 50),
            (Speed::Half, Look::Slow, 25),
            (Speed::Quarter, Look::Slow, 12),
        ] {
            let mut head = playhead();
            assert_eq!(head.act(Act::Play(speed)), Some(look));
            assert_eq!(head.act(Act::Play(speed)), None, "it runs already");
            // 60 pictures of a screen in a second, rounded down by what nanoseconds cannot hold.
            for _ in 0..60 {
                assert_eq!(head.tick(Nanos(16_666_667)), None);
            }
            assert_eq!(head.frame(), after_a_second);
            while !head.rests() {
                head.tick(Nanos(16_666_667));
            }
            assert_eq!(head.frame(), 99);
        }
    }

    #[test]
    fn another_tie_moves_the_common_time_and_not_the_frame() {
        let mut head = playhead();
        head.act(Act::Jump(40));
        head.tied(Track::from_times(
            (0..100).map(|frame| Nanos(5_000_000_000 + frame * 20_000_000)).collect(),
        ));
        assert_eq!((head.frame(), head.at()), (40, Nanos(5_800_000_000)));
        head.act(Act::Play(Speed::Full));
        head.tick(Nanos(20_000_000));
        assert_eq!(head.frame(), 41);
    }

    #[test]
    fn a_loop_begins_again_and_each_round_is_a_look() {
        let mut head = playhead();
        head.act(Act::Loop(Some((30, 10))));
        head.act(Act::Jump(10));
        head.act(Act::Play(Speed::Full));
        let mut looks = 0;
        for _ in 0..125 {
            looks += usize::from(head.tick(Nanos(8_000_000)) == Some(Look::FullSpeed));
            assert!((10..=30).contains(&head.frame()));
        }
        assert_eq!(looks, 2, "a second holds two rounds of 0.4 s");
        head.act(Act::Rest);
        assert!(head.rests() && head.tick(Nanos(1_000_000_000)).is_none());
    }
}
