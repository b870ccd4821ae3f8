//! The pictures: clips of the play on one clock, one camera large, stepped exactly.
//!
//! The deck of the library decodes and keeps; here stands what is looked at, and which request is out. Only a
//! picture that says it is exact is marked without a word; a mark on any other says what it is.

mod changed;
mod eye;
mod keys;
mod loupe;
mod marked;
mod offered;
mod opened;
mod overlay;
pub(crate) mod place;
mod placing;
mod pointed;
pub(crate) mod sight;
mod target;
#[cfg(test)]
pub(crate) mod tests;
mod ties;
mod view;

pub(crate) use keys::{Act, KEYS};
pub(crate) use offered::Rests;
pub(crate) use pointed::Pointed;
pub(crate) use target::{Taken, Target};
pub(crate) use ties::{OneClock, Tying};
pub(crate) use view::view;

use crate::booth::context::lettered;
use changed::Again;
use footage::clip::Clip;
use footage::deck::{Deck, Event, Quality, Request, Settings};
use footage::decode::ffmpeg::Tools;
use footage::playhead;
use footage::playhead::{Look, Playhead};
use footage::show::view::{Light, Lines};
use footage::sync_timeline::{Nanos, Track};
use iced::widget::image::Handle;
use loupe::Loupe;
use offered::Offers;
use opened::{LOOK, Watched};
use overlay::Overlay;
use place::{Mode, Place, Remark};
use review::event::Tied;
use rules::book::tree::Looks;
use sight::{Sight, Sizes, Window};
use std::path::Path;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;
use ties::Begun;

/// The clips of a play and what is looked at.
pub(crate) struct Pictures {
    deck: Deck,
    events: Receiver<Event>,
    /// The clips, in the order of their cameras.
    pub panes: Vec<Pane>,
    /// The number among them of the one whose clip the playhead is on.
    pub lead: usize,
    /// The camera in hand, by its place on the card of the game: the large one. Where it has no clip that runs, the clip of the one
    /// before rests among the small ones, and nothing steps or runs.
    hand: usize,
    playhead: Option<Playhead>,
    light: Light,
    lines: Lines,
    /// It runs between two marks again and again.
    pub looping: bool,
    loupe: Loupe,
    /// What is drawn over the panes, and nothing.
    overlays: Vec<Overlay>,
    bare: Overlay,
    /// Landmarks and points.
    place: Place,
    /// What is said of them.
    remarks: Vec<Remark>,
    /// The ties of the review.
    ties: Vec<Tied>,
    /// A tie that is begun.
    tying: Option<Begun>,
    /// Why the last picture ties nothing.
    no_tie: Option<String>,
    ties_said: Vec<Remark>,
    /// The pane under the pointer, and where in it.
    pointer: Option<(usize, (f64, f64))>,
    /// What the desk said last of a file.
    pub told: Option<String>,
    /// The folder that the cameras' recorder writes into, if one was opened.
    watched: Option<Watched>,
    /// The cameras of the hall, in the order of their letters.
    cameras: Vec<String>,
    /// What the review in hand rests on.
    rests: Rests,
    /// Files that are finished and not open.
    offers: Offers,
}

/// Bytes of small pictures on the disk.
const PROXIES: u64 = 8 << 30;
/// How often the desk listens while a picture is on its way or running.
pub(crate) const LISTEN: Duration = Duration::from_millis(12);

/// One clip.
pub(crate) struct Pane {
    /// Index of the camera on the card of the game.
    pub camera: usize,
    /// It, by its letter and name.
    label: String,
    /// It, as the crew calls it.
    name: String,
    /// Its number in the deck.
    clip: usize,
    /// The hash of its file, where it was asked for.
    sha256: Option<String>,
    /// What it is, once it is open.
    pub facts: Option<Arc<Clip>>,
    track: Option<Track>,
    /// The pane on whose clock it runs: panes with the same number are tied.
    clock: usize,
    /// The picture that is shown.
    shown: Option<Showing>,
    /// How it is looked at.
    sight: Sight,
    /// Pixels of the screen that the pane has; none before it was drawn once.
    room: Option<(u32, u32)>,
    /// The frame that was asked for and has not come yet.
    due: Option<usize>,
    /// Why none is.
    pub why: Option<String>,
    /// How far it was looked through: frames of frames.
    pub indexing: Option<(usize, usize)>,
    /// Its file changed, and is opened again when it rests.
    again: Option<Again>,
}

/// The picture that a pane shows.
struct Showing {
    handle: Handle,
    quality: Quality,
    /// What was asked for: the frame, the part, the light.
    request: Request,
}

/// Bytes of decoded pictures that the desk holds.
const CACHE: usize = 768 << 20;
/// Pixels of a pane before it was drawn once.
const FIRST_ROOM: (u32, u32) = (480, 270);
impl Showing {
    /// Whether it is what a request asks for: at rest a small picture is not.
    fn is_of(&self, request: Request) -> bool {
        let same = Request { rests: request.rests, ..self.request } == request;
        same && (self.quality != Quality::Proxy || !request.rests)
    }
}

impl Pane {
    /// The sizes of its picture and its room, once its clip is open.
    fn sizes(&self) -> Option<Sizes> {
        let facts = self.facts.as_ref()?;
        let (own, pixel) = (facts.shown_size(), facts.shown_pixel_aspect());
        Some(Sizes { own, pixel, room: self.room.unwrap_or(FIRST_ROOM) })
    }

    /// Where its picture stands.
    pub(crate) fn window(&self) -> Option<Window> {
        Some(self.sight.window(self.sizes()?))
    }
}

impl Pictures {
    /// No clips yet; small pictures are kept in a folder of this place.
    pub(crate) fn new(place: &Path) -> Pictures {
        let (to, events) = channel();
        let proxies = place.join("small-pictures");
        let settings = Settings {
            cache_bytes: CACHE,
            proxies,
            proxy_bytes: PROXIES,
            tools: Tools::find(None),
            // The tests are a program of their own, which knows no commands: they decode in their own process.
            worker: if cfg!(test) { None } else { host::decoder::worker() },
        };
        Pictures {
            deck: Deck::start(settings, to),
            events,
            panes: Vec::new(),
            lead: 0,
            hand: 0,
            playhead: None,
            light: Light::AS_IT_IS,
            lines: Lines::All,
            looping: false,
            loupe: Loupe::default(),
            overlays: Vec::new(),
            bare: Overlay::default(),
            place: Place::default(),
            remarks: Vec::new(),
            ties: Vec::new(),
            tying: None,
            no_tie: None,
            ties_said: Vec::new(),
            pointer: None,
            told: None,
            watched: None,
            cameras: Vec::new(),
            rests: Rests::default(),
            offers: Offers::default(),
        }
    }

    /// Whether there is anything to show.
    pub(crate) fn is_empty(&self) -> bool {
        self.panes.is_empty()
    }

    /// How often the desk must listen: at rest only to a watched folder.
    pub(crate) fn listens(&self) -> Option<Duration> {
        let awaits = |pane: &Pane| {
            let opening = pane.facts.is_none() && pane.why.is_none();
            opening || pane.due.is_some() || pane.indexing.is_some()
        };
        let listens =
            self.runs() || self.is_hashing() || self.loupe.awaits() || self.panes.iter().any(awaits);
        let looks = || self.watched.as_ref().map(|_| LOOK).or_else(|| self.looks_again());
        listens.then_some(LISTEN).or_else(looks)
    }

    /// Time went on: running pictures move, and what the deck has to say is taken in. A loop that begins again is
    /// another look.
    pub(crate) fn tick(&mut self, elapsed: Duration) -> Option<Looks> {
        let nanos = Nanos(i64::try_from(elapsed.as_nanos()).unwrap_or(i64::MAX));
        let look = self.playhead.as_mut().and_then(|playhead| {
            let before = playhead.frame();
            let look = playhead.tick(nanos);
            (playhead.frame() != before).then_some(look)
        });
        if look.is_some() {
            self.ask();
        }
        self.look_at_folder(elapsed);
        self.take_hashed();
        self.open_again(elapsed);
        let mut came = false;
        while let Ok(event) = self.events.try_recv() {
            came |= matches!(&event, Event::Picture { request, .. } if request.pane != loupe::PANE);
            self.take(event);
        }
        // However many pictures came, what lies over them is drawn once.
        if came {
            self.draw_over();
        }
        look.flatten().map(kind)
    }

    /// Waits for what the deck says next, and takes it in.
    #[cfg(test)]
    pub(crate) fn wait(&mut self) {
        let event = self.events.recv().expect("the deck runs");
        self.take(event);
    }

    /// The pane of a clip; none once its file changed: what comes late is of the old recording.
    fn pane(&mut self, clip: usize) -> Option<&mut Pane> {
        self.panes.iter_mut().find(|pane| pane.clip == clip && pane.again.is_none())
    }

    fn take(&mut self, event: Event) {
        match event {
            Event::Opened { clip, facts } => {
                if let Some(pane) = self.pane(clip) {
                    pane.indexing = Some((0, facts.frames.len()));
                    pane.facts = Some(facts);
                }
                self.tie();
            }
            Event::Indexing { clip, done, of } => {
                if let Some(pane) = self.pane(clip) {
                    pane.indexing = Some((done, of));
                }
            }
            Event::Indexed { clip, facts } => {
                if let Some(pane) = self.pane(clip) {
                    pane.indexing = None;
                    pane.facts = Some(facts);
                }
            }
            Event::Refused { clip, path, why } => {
                let file =
                    path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
                if let Some(pane) = self.pane(clip) {
                    pane.why = Some(format!("{file}: {why}; marks of this camera are typed"));
                }
            }
            Event::NoProxy { why } => self.told = Some(why),
            Event::Changed { clip, path, why } => self.changed(clip, path, why),
            Event::Picture { request, shown, .. } if request.pane == loupe::PANE => {
                self.loupe.take(request, Handle::from_rgba(shown.width, shown.height, shown.rgba));
            }
            Event::NoPicture { request, .. } if request.pane == loupe::PANE => self.loupe.none(),
            Event::Picture { request, quality, shown } => {
                // A pane at rest may get a quick picture first; the exact one is still due.
                let last = quality != Quality::Proxy || !request.rests;
                if let Some(pane) = self.pane(request.clip) {
                    pane.due = pane.due.filter(|due| *due != request.frame || !last);
                    pane.why = None;
                    let handle = Handle::from_rgba(shown.width, shown.height, shown.rgba);
                    pane.shown = Some(Showing { handle, quality, request });
                }
            }
            Event::NoPicture { request, why } => {
                if let Some(pane) = self.pane(request.clip) {
                    pane.due = pane.due.filter(|due| *due != request.frame);
                    pane.why = Some(why);
                }
            }
        }
    }

    /// Asks for the picture of every pane at the playhead's moment.
    fn ask(&mut self) {
        let Some(playhead) = &self.playhead else { return };
        let (at, rests, tying) = (playhead.at(), playhead.rests(), self.tying);
        for (number, pane) in self.panes.iter_mut().enumerate() {
            let Some(track) = &pane.track else { continue };
            let lead = number == self.lead;
            // The picture that is to be tied stays where it is while its like is looked for.
            let held = tying.filter(|begun| begun.camera == pane.camera).map(|begun| begun.frame);
            let frame = match lead {
                true => Some(playhead.frame()),
                false => held.or_else(|| track.frame_at(at)),
            };
            let Some(frame) = frame else {
                (pane.shown, pane.due) = (None, None);
                pane.why = Some("not running at this moment".to_owned());
                continue;
            };
            let Some(window) = pane.window() else { continue };
            let request = Request {
                pane: u32::try_from(number).unwrap_or(u32::MAX),
                clip: pane.clip,
                frame,
                size: window.size,
                part: Some(window.part),
                lines: self.lines,
                light: self.light,
                rests,
            };
            // One that is on its way is not what is wanted any more: it is asked for again, so that it comes last.
            if pane.due.is_none() && pane.shown.as_ref().is_some_and(|shown| shown.is_of(request)) {
                continue;
            }
            pane.due = Some(frame);
            self.deck.show(request);
        }
        self.draw_over();
        self.look_closer();
    }

    /// The camera in hand, by its place on the card of the game.
    pub(crate) fn in_hand(&self) -> usize {
        self.hand
    }

    /// Whether the large picture is that of the playhead's clip: then it steps, runs and is marked.
    pub(super) fn is_shown(&self) -> bool {
        self.panes.get(self.lead).is_some_and(|pane| pane.camera == self.hand)
    }

    /// Whether they run.
    pub(crate) fn runs(&self) -> bool {
        self.playhead.as_ref().is_some_and(|playhead| !playhead.rests())
    }

    /// Whether what the playhead moves through is shown, and how it moves: none at rest.
    pub(crate) fn looks(&self) -> Option<Looks> {
        let playhead = self.playhead.as_ref().filter(|_| self.is_shown())?;
        playhead.looks().map(kind)
    }

    /// Holds what runs.
    pub(crate) fn hold(&mut self) {
        if let Some(playhead) = self.playhead.as_mut().filter(|playhead| !playhead.rests()) {
            playhead.act(playhead::Act::Rest);
            self.ask();
        }
    }

    /// The frame of the large camera.
    pub(crate) fn frame(&self) -> Option<usize> {
        self.playhead.as_ref().map(Playhead::frame)
    }

    /// Carries out an act; which look begins with it, if one does. `marks` are those of the large camera.
    pub(crate) fn act(&mut self, act: Act, marks: &[(String, usize)]) -> Option<Looks> {
        if !self.is_empty() && !self.is_shown() && act != Act::Newer {
            self.told = Some(format!(
                "{} has no clip that runs: press the letter of another camera, or click it",
                lettered(&self.cameras, self.hand)
            ));
            return None;
        }
        let running = self.runs();
        let moved = match act {
            Act::Step(frames) => playhead::Act::Step(isize::from(frames)),
            Act::Second(seconds) => playhead::Act::Seconds(i64::from(seconds)),
            Act::Run(_) if running => playhead::Act::Rest,
            Act::Run(speed) => playhead::Act::Play(speed),
            Act::Mark { on } => {
                self.go_to_mark(marks, on);
                self.ask();
                return None;
            }
            Act::Loop => {
                self.looping = !self.looping;
                let between = self.around(marks).filter(|_| self.looping);
                self.looping = between.is_some();
                playhead::Act::Loop(between)
            }
            Act::First => playhead::Act::Jump(0),
            Act::Last => playhead::Act::Jump(usize::MAX),
            Act::Newer => {
                self.take_newer();
                return None;
            }
            // Two of its pictures are an act of the review: `tie_here`.
            Act::Tie => return None,
            Act::Calibrate => {
                self.toggle_place(Mode::Calibrating);
                return None;
            }
            Act::Measure => {
                self.toggle_place(Mode::Measuring);
                return None;
            }
            Act::Brighter(_) | Act::Contrast(_) | Act::Zoom(_) | Act::Pan(..) | Act::AsItIs => {
                self.look_otherwise(act);
                return None;
            }
            Act::Field => {
                self.lines = match self.lines {
                    Lines::All => Lines::Upper,
                    Lines::Upper => Lines::Lower,
                    Lines::Lower => Lines::All,
                };
                self.ask();
                return None;
            }
        };
        let look = self.playhead.as_mut()?.act(moved);
        self.ask();
        look.map(kind)
    }
}

fn kind(look: Look) -> Looks {
    match look {
        Look::FullSpeed => Looks::FullSpeed,
        Look::Slow => Looks::Slow,
        Look::FrameByFrame => Looks::FrameByFrame,
    }
}
