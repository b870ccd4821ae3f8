//! The pictures: clips of the play on one clock, one camera large, stepped frame by frame.
//!
//! The library's deck decodes and caches. This module knows what is looked at and which request is out. An exact
//! picture is marked without a remark; a mark on any other one says what it is.

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
    /// In the order of their cameras.
    pub panes: Vec<Pane>,
    /// Index of the pane that the playhead is on.
    pub lead: usize,
    /// The camera in hand, by its place on the card of the game: the large one. If it has no clip that runs, the clip
    /// of the camera before stays among the small ones, and nothing steps or runs.
    hand: usize,
    playhead: Option<Playhead>,
    light: Light,
    lines: Lines,
    /// The playhead runs between two marks again and again.
    pub looping: bool,
    loupe: Loupe,
    /// Drawn over the panes, by pane.
    overlays: Vec<Overlay>,
    /// Drawn over a pane without an overlay.
    bare: Overlay,
    place: Place,
    /// Remarks on landmarks and points.
    remarks: Vec<Remark>,
    ties: Vec<Tied>,
    /// The first picture of a tie.
    tying: Option<Begun>,
    /// Why the last picture cannot be tied.
    no_tie: Option<String>,
    ties_said: Vec<Remark>,
    /// Index of the pane under the pointer, and the place in it.
    pointer: Option<(usize, (f64, f64))>,
    /// The last message about a file.
    pub told: Option<String>,
    /// The folder that the recorder of the cameras writes into.
    watched: Option<Watched>,
    /// The cameras of the hall, in the order of their letters.
    cameras: Vec<String>,
    /// What the review in hand depends on.
    rests: Rests,
    /// Finished files that are not open.
    offers: Offers,
}

/// Most bytes of small pictures on the disk.
const PROXIES: u64 = 8 << 30;
/// How often the desk listens to the deck while a picture is due or running.
pub(crate) const LISTEN: Duration = Duration::from_millis(12);

/// A camera's clip, and what is shown of it.
pub(crate) struct Pane {
    /// Index of the camera on the card of the game.
    pub camera: usize,
    /// The camera by its letter and name.
    label: String,
    /// The camera as the crew calls it.
    name: String,
    /// The deck's number for the clip.
    clip: usize,
    /// The hash of the file, if it was needed.
    sha256: Option<String>,
    /// `None` until the clip is open.
    pub facts: Option<Arc<Clip>>,
    track: Option<Track>,
    /// Index of the pane on whose clock it runs. Panes with the same number are tied.
    clock: usize,
    shown: Option<Showing>,
    sight: Sight,
    /// Pixels of the screen that the pane has; `None` before it was first drawn.
    room: Option<(u32, u32)>,
    /// The frame that was requested and has not come yet.
    due: Option<usize>,
    /// Why there is no picture.
    pub why: Option<String>,
    /// How far the clip was looked through: frames done, frames in all.
    pub indexing: Option<(usize, usize)>,
    /// The file changed, and is opened again when nobody writes to it.
    again: Option<Again>,
}

struct Showing {
    handle: Handle,
    quality: Quality,
    request: Request,
}

/// Most bytes of decoded pictures.
const CACHE: usize = 768 << 20;
/// The room of a pane before it was first drawn.
const FIRST_ROOM: (u32, u32) = (480, 270);

impl Showing {
    /// Whether it answers a request. At rest a small picture does not.
    fn is_of(&self, request: Request) -> bool {
        let same = Request { rests: request.rests, ..self.request } == request;
        same && (self.quality != Quality::Proxy || !request.rests)
    }
}

impl Pane {
    /// `None` before its clip is open.
    fn sizes(&self) -> Option<Sizes> {
        let facts = self.facts.as_ref()?;
        let (own, pixel) = (facts.shown_size(), facts.shown_pixel_aspect());
        Some(Sizes { own, pixel, room: self.room.unwrap_or(FIRST_ROOM) })
    }

    /// Where its picture stands in the pane.
    pub(crate) fn window(&self) -> Option<Window> {
        Some(self.sight.window(self.sizes()?))
    }
}

impl Pictures {
    /// No clips yet. Small pictures are kept in a folder of this place.
    pub(crate) fn new(place: &Path) -> Pictures {
        let (to, events) = channel();
        let proxies = place.join("small-pictures");
        let settings = Settings {
            cache_bytes: CACHE,
            proxies,
            proxy_bytes: PROXIES,
            tools: Tools::find(None),
            // The tests are a program without commands, so they decode in their own process.
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

    pub(crate) fn is_empty(&self) -> bool {
        self.panes.is_empty()
    }

    /// How often the desk must listen to the deck. At rest only a watched folder or a changed file needs it.
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

    /// Moves running pictures on and takes in what the deck sends. Returns a look if a loop begins again.
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
        // Draws the overlays once, however many pictures came.
        if came {
            self.draw_over();
        }
        look.flatten().map(kind)
    }

    /// Waits for the deck's next event and takes it in.
    #[cfg(test)]
    pub(crate) fn wait(&mut self) {
        let event = self.events.recv().expect("the deck runs");
        self.take(event);
    }

    /// The pane of a clip; `None` if its file changed, since late events are about the old recording.
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
                if let Some(pane) = self.pane(clip) {
                    pane.why =
                        Some(format!("{}: {why}; marks of this camera are typed", offered::name(&path)));
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
            // The first picture of a tie stays while its like is looked for in other cameras.
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
            // A request that is on its way is sent again, so that its picture comes last.
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

    /// Whether the large picture is that of the playhead's clip: only then it steps, runs and is marked.
    pub(super) fn is_shown(&self) -> bool {
        self.panes.get(self.lead).is_some_and(|pane| pane.camera == self.hand)
    }

    pub(crate) fn runs(&self) -> bool {
        self.playhead.as_ref().is_some_and(|playhead| !playhead.rests())
    }

    /// How the large picture is looked at; `None` at rest, or if the playhead's clip is not the large one.
    pub(crate) fn looks(&self) -> Option<Looks> {
        let playhead = self.playhead.as_ref().filter(|_| self.is_shown())?;
        playhead.looks().map(kind)
    }

    /// The kind of look that this act is, where it steps the large picture or makes it run.
    pub(crate) fn look_of(&self, act: Act) -> Option<Looks> {
        self.playhead.as_ref().filter(|_| self.is_shown())?;
        act.looks(self.runs())
    }

    /// Stops what runs.
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

    /// Carries out an act, and returns the look that begins with it. `marks` are those of the large camera.
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
            // Two pictures of a tie are an act of the review: `tie_here`.
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
