//! Cameras tied to one clock: the tie in hand, the input of the fit, and its result as text.
//!
//! The library does the arithmetic. Moments seen by two cameras come from the review, timecodes from the clips. A
//! moment belongs to a clip: if another clip is open for its camera, it ties nothing.

use super::keys::{Act, KEYS};
use super::place::{Remark, Weight, remark};
use super::{Pane, Pictures, Target};
use crate::keys::shown;
use evidence::text;
use evidence::time::order::Clip;
use evidence::time::ties::{By, Clock, End, Fitted, Pair, clocks};
use footage::clip::Clip as Facts;
use footage::playhead::Playhead;
use footage::sync_timeline::{Nanos, Tie, Track};
use review::event::{SameMoment, Tied};

/// A moment that was found in one camera and is looked for in another.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Begun {
    /// Index of the camera on the card of the game.
    pub camera: usize,
    /// The first frame that shows the moment.
    pub frame: usize,
}

/// The same moment in two cameras, to be proven and logged.
#[derive(Debug, Clone)]
pub(crate) struct Tying {
    pub targets: [Target; 2],
    /// What was seen, not yet proven.
    pub tied: Tied,
}

/// A camera's clock relative to another camera's.
#[derive(Debug, Clone)]
pub(crate) struct OneClock {
    /// Index of the camera on the card of the game.
    pub camera: usize,
    pub clip: Clip,
    /// Whether the ties that it rests on agree.
    pub agrees: bool,
    /// How moments tie it, as text.
    pub by_moments: Option<String>,
}

impl Pictures {
    /// Takes in the ties of the review.
    pub(crate) fn tied(&mut self, ties: Vec<&Tied>) {
        if self.ties.iter().eq(ties.iter().copied()) {
            return;
        }
        self.ties = ties.into_iter().cloned().collect();
        (self.tying, self.no_tie) = (None, None);
        self.tie();
    }

    /// Drops a tie that was begun.
    pub(crate) fn leave_tie(&mut self) {
        (self.tying, self.no_tie) = (None, None);
        self.ask();
    }

    /// Ties at the frame of the large camera: begins a tie, or returns one that is complete.
    pub(crate) fn tie_here(&mut self) -> Option<Tying> {
        self.no_tie = None;
        let here = self.panes.get(self.lead).filter(|_| self.is_shown()).zip(self.frame());
        let here = here.map(|(pane, frame)| Begun { camera: pane.camera, frame });
        let (Some(here), Some((target, seen))) = (here, here.and_then(|here| self.same_moment(here))) else {
            self.no_tie = Some("this picture cannot be tied: the clip has no earlier picture".to_owned());
            return None;
        };
        let begun = self.tying.filter(|begun| begun.camera != here.camera);
        match begun.and_then(|begun| self.same_moment(begun)) {
            Some((first, one)) => Some(Tying { targets: [first, target], tied: Tied { one, other: seen } }),
            None => {
                self.tying = Some(here);
                self.ask();
                None
            }
        }
    }

    /// A frame as one end of a tie; `None` if no earlier frame is before it.
    fn same_moment(&self, at: Begun) -> Option<(Target, SameMoment)> {
        let pane = self.panes.iter().find(|pane| pane.camera == at.camera)?;
        let facts = pane.facts.clone()?;
        let pts = |frame: usize| facts.frames.get(frame).map(|frame| frame.pts);
        let (first, since, own) = (pts(0)?, pts(at.frame.checked_sub(1)?)?, pts(at.frame)?);
        if since >= own {
            return None;
        }
        let time_base = facts.base.parts();
        let target = Target::of(at.camera, facts, at.frame)?;
        let seen = SameMoment {
            camera: pane.name.clone(),
            timecode: target.timecode,
            time_base,
            since: since.checked_sub(first)?,
            at: own.checked_sub(first)?,
            shot: None,
        };
        Some((target, seen))
    }

    /// Puts every clip on one clock: that of the first camera with an open clip.
    pub(super) fn tie(&mut self) {
        let Some(root) = self.panes.iter().position(|pane| pane.facts.is_some()) else { return };
        let clocks = self.fitted(root);
        self.ties_said = self.tie_remarks(&clocks);
        for (pane, clock) in self.panes.iter_mut().zip(&clocks) {
            let Some(facts) = &pane.facts else { continue };
            pane.track = Some(Track::new(facts, track_tie(clock)));
            pane.clock = clock.root;
        }
        let lead = self.panes.get(self.lead).and_then(|pane| pane.track.clone());
        match (&mut self.playhead, lead) {
            // Another tie moves the common time; the picture in hand stays.
            (Some(playhead), Some(track)) => playhead.tied(track),
            (Some(_), None) => {}
            (None, _) => self.lead_by(self.lead),
        }
        // A camera that was taken in hand before its clip was open.
        let in_hand = self.panes.iter().position(|pane| pane.camera == self.hand && pane.track.is_some());
        if let Some(number) = in_hand.filter(|_| !self.is_shown()) {
            self.lead_by(number);
        }
        self.ask();
    }

    /// Makes another camera the large one, at the same moment.
    pub(super) fn lead_by(&mut self, lead: usize) {
        let Some(track) = self.panes.get(lead).and_then(|pane| pane.track.clone()) else { return };
        let at = self.playhead.as_ref().map(Playhead::at);
        (self.lead, self.hand) = (lead, self.panes.get(lead).map_or(self.hand, |pane| pane.camera));
        let frame = at.and_then(|at| track.frame_at(at));
        let mut playhead = Playhead::new(track);
        if let Some(frame) = frame {
            playhead.act(footage::playhead::Act::Jump(frame));
        }
        self.playhead = Some(playhead);
        self.ask();
        self.draw_over();
    }

    /// The clocks of this camera and of those tied to it, relative to its own.
    pub(crate) fn clocks_as(&self, camera: usize) -> Vec<OneClock> {
        let Some(root) = self.panes.iter().position(|pane| pane.camera == camera) else { return Vec::new() };
        let clocks = self.fitted(root);
        let tied = self.panes.iter().zip(&clocks).filter(|(_, clock)| clock.root == root);
        let one = tied.map(|(pane, clock)| OneClock {
            camera: pane.camera,
            clip: clock.clip(),
            agrees: clock.agrees(),
            by_moments: self.fit_says(pane, clock),
        });
        one.collect()
    }

    /// The camera's open clip.
    pub(crate) fn facts(&self, camera: usize) -> Option<&Facts> {
        self.panes.iter().find(|pane| pane.camera == camera)?.facts.as_deref()
    }

    /// The clocks of all panes, relative to the pane `root`.
    fn fitted(&self, root: usize) -> Vec<Clock> {
        let pairs: Vec<Pair> = self.moments().map(|(pair, _)| pair).chain(self.timecodes(root)).collect();
        // INVARIANT: every moment was found between two pictures of its clip, and a timecode spans one of them.
        clocks(self.panes.len(), root, &pairs).expect("every tie has a length of time")
    }

    /// The ties of the review that were seen in open clips.
    fn moments(&self) -> impl Iterator<Item = (Pair, &Tied)> {
        self.ties.iter().filter_map(|tied| {
            let (one, other) = (self.end(&tied.one)?, self.end(&tied.other)?);
            Some((Pair { one, other, by: By::Moment }, tied))
        })
    }

    /// The pane and times of one end of a tie; `None` if another clip is open there, or none.
    fn end(&self, seen: &SameMoment) -> Option<End> {
        let holds = |pane: &Pane| {
            pane.name == seen.camera && pane.facts.as_deref().is_some_and(|facts| shows(facts, seen))
        };
        let clip = self.panes.iter().position(holds)?;
        let end = End { clip, since_s: seen.since_s(), at_s: seen.at_s() };
        // Drops times that are too close for a float to tell apart.
        (end.since_s < end.at_s).then_some(end)
    }

    /// The ties by timecode: each clip that has one, with the first that has one. The root comes before all others.
    fn timecodes(&self, root: usize) -> Vec<Pair> {
        let mut order: Vec<usize> = (0..self.panes.len()).collect();
        order.sort_by_key(|clip| *clip != root);
        let begins =
            |clip: usize| begins(self.panes.get(clip)?.facts.as_deref()?).map(|begins| (clip, begins));
        let mut with = order.into_iter().filter_map(begins);
        let Some((center, from)) = with.next() else { return Vec::new() };
        // A timecode names a frame, so the clock is known to one interval (JCGM 100, 4.3.7).
        let end = |clip: usize, at_s: f64, interval_s: f64| End {
            clip,
            since_s: at_s - interval_s / 2.0,
            at_s: at_s + interval_s / 2.0,
        };
        let pair = |(clip, own): (usize, Begins)| Pair {
            one: end(clip, 0.0, own.interval_s),
            other: end(center, own.since_midnight_s - from.since_midnight_s, from.interval_s),
            by: By::Timecode,
        };
        with.map(pair).collect()
    }

    /// Remarks on the ties, and on one that is begun.
    pub(crate) fn ties_said(&self) -> impl Iterator<Item = Remark> {
        let begun = self.tying.and_then(|begun| {
            let pane = self.panes.iter().find(|pane| pane.camera == begun.camera)?;
            Some(remark(
                Weight::Head,
                format!(
                    "{}, frame {}, is held: go to another camera, to the first picture that shows the same moment, and press {} again",
                    pane.name,
                    begun.frame,
                    shown(KEYS, Act::Tie)
                ),
            ))
        });
        let wrong = self.no_tie.iter().map(|wrong| remark(Weight::Doubt, wrong.as_str()));
        begun.into_iter().chain(wrong).chain(self.ties_said.iter().cloned())
    }

    fn tie_remarks(&self, clocks: &[Clock]) -> Vec<Remark> {
        let mut lines = Vec::new();
        for (pane, clock) in self.panes.iter().zip(clocks) {
            let Some(words) = self.fit_says(pane, clock) else { continue };
            lines.push(remark(Weight::Plain, words));
            if let Some(fitted) = &clock.fitted {
                lines.extend(self.doubts(pane, fitted).map(|words| remark(Weight::Doubt, words)));
            }
        }
        let strange = self.ties.iter().flat_map(|tied| [&tied.one, &tied.other]);
        let strange = strange.filter(|seen| {
            let open = self.panes.iter().any(|pane| pane.name == seen.camera && pane.facts.is_some());
            open && self.end(seen).is_none()
        });
        lines.extend(strange.map(|seen| {
            let words = format!(
                "{} was tied at {} in another clip than the one that is open: this tie is ignored",
                seen.camera, seen.timecode
            );
            remark(Weight::Doubt, words)
        }));
        lines
    }

    /// How moments tie a clock, as text; `None` if none does.
    fn fit_says(&self, pane: &Pane, clock: &Clock) -> Option<String> {
        let fitted = clock.fitted.as_ref().filter(|fitted| fitted.by == By::Moment)?;
        let root = self.panes.get(clock.root)?;
        Some(text::clock((&root.name, &pane.name), fitted))
    }

    /// Doubts about a fit: ties that contradict others, and timecodes that show another time.
    fn doubts(&self, pane: &Pane, fitted: &Fitted) -> impl Iterator<Item = String> {
        let sync = &fitted.sync;
        let off = |place: usize| sync.residuals_s.get(place).map_or(0.0, |off_s| off_s.abs());
        let moments: Vec<&Tied> = self.moments().map(|(_, tied)| tied).collect();
        let named = |place: usize| {
            let tied = moments.get(*fitted.ties.get(place)?)?;
            let seen = if tied.one.camera == pane.name { &tied.one } else { &tied.other };
            Some(format!(
                "the tie of {} at {} contradicts the others by {}: it is left out",
                seen.camera,
                seen.timecode,
                text::in_time(off(place))
            ))
        };
        let mut doubts: Vec<String> = sync.outliers.iter().filter_map(|place| named(*place)).collect();
        if !sync.agrees {
            let apart = (0..sync.residuals_s.len()).map(off).fold(0.0, f64::max);
            doubts.push(format!(
                "the ties of {} contradict each other, by {} from their mean: its marks prove no order with other cameras until a tie is taken back, or more of them say which is wrong",
                pane.name,
                text::in_time(apart)
            ));
        }
        if let Some(off_s) = fitted.timecode_off_s {
            doubts.push(format!(
                "the timecode of {} is {} off the moments seen: the moments count",
                pane.name,
                text::in_time(off_s.abs())
            ));
        }
        doubts.into_iter()
    }
}

/// Whether a clip has these two pictures, one right after the other, at these times.
fn shows(facts: &Facts, seen: &SameMoment) -> bool {
    let Some(first) = facts.frames.first().map(|frame| frame.pts) else { return false };
    let times = [seen.since, seen.at].map(|time| time.checked_add(first));
    let stands = |pair: &[footage::frame::Frame]| pair.iter().map(|frame| Some(frame.pts)).eq(times);
    facts.base.parts() == seen.time_base && seen.since < seen.at && facts.frames.windows(2).any(stands)
}

/// When a clip begins, by its timecode.
#[derive(Clone, Copy)]
struct Begins {
    since_midnight_s: f64,
    interval_s: f64,
}

fn begins(facts: &Facts) -> Option<Begins> {
    let rate = facts.rate?;
    let frames = facts.timecode?.frame(rate.as_f64().round() as u8).ok()?;
    Some(Begins { since_midnight_s: rate.at(frames).as_f64(), interval_s: rate.interval().as_f64() })
}

/// A clock in the units of the sync timeline: whole nanoseconds, and drift in parts per thousand million.
fn track_tie(clock: &Clock) -> Tie {
    let Some(fitted) = &clock.fitted else { return Tie { offset: Nanos(0), drift: 0 } };
    let offset = Nanos((fitted.sync.offset_s * 1e9).round() as i64);
    Tie { offset, drift: (fitted.sync.drift_ppm * 1e3).round() as i32 }
}
