//! What a desk plays from. Clips are opened and scanned in the background; pictures come on request.
//!
//! Four threads: one opens files, one scans them and makes their proxies, one answers panes with what is there, one
//! decodes what is not. A request of a pane replaces the one before it, so a moving playhead never lags behind. While
//! it moves, the pane gets the proxy; when it rests, the exact picture, and the frames around it are decoded ahead,
//! in both directions. Only a picture of [`Quality::Exact`] may be marked.

mod serve;

use super::clip::Clip;
use crate::decode::ffmpeg::Tools;
use crate::decode::worker::WorkerCommand;
use crate::duplicate_frames;
use crate::error::{Change, Error};
use crate::show::proxy::{Proxy, Writer};
use crate::show::proxy_folder::{AskRoom, NoProxy, Proxies, Room};
use crate::show::view::{Light, Lines, Part, Shown};
use serve::Server;
use std::collections::{BTreeMap, VecDeque};
use std::ops::ControlFlow;
use std::path::PathBuf;
use std::sync::mpsc::Sender;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;

/// Limits, and where proxies are kept.
#[derive(Debug, Clone)]
pub struct Settings {
    /// Of decoded pictures that are held.
    pub cache_bytes: usize,
    /// Folder for proxies, made if missing. Proxies are removed when their clips are closed; what killed processes
    /// left is swept.
    pub proxies: PathBuf,
    /// Of all proxies in the folder, also those of other desks. A clip beyond it has none.
    pub proxy_bytes: u64,
    /// FFmpeg, if it is installed.
    pub tools: Option<Tools>,
    /// How a process is started for the built-in decoder; without it, it decodes in this one.
    pub worker: Option<WorkerCommand>,
}

/// A picture for a pane.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Request {
    /// Its newest request replaces the one before.
    pub pane: u32,
    /// As [`Deck::open`] numbered it.
    pub clip: usize,
    pub frame: usize,
    /// Of the pane, in pixels. A whole picture keeps its aspect ratio and is never enlarged; a part gets exactly this
    /// size.
    pub size: (u32, u32),
    /// The part that is seen, in pixels of the clip's upright picture; `None` for all of it.
    pub part: Option<Part>,
    pub lines: Lines,
    pub light: Light,
    /// The playhead rests: the exact picture is wanted, not only a quick one.
    pub rests: bool,
}

/// How good a picture is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Quality {
    /// For a moving playhead; it may not be marked.
    Proxy,
    /// The picture that the clip holds, scaled for the pane.
    Exact,
    /// It only resembles the picture that the clip holds; a mark on it is kept as not exact.
    NotExact,
}

/// What the deck reports.
#[derive(Debug)]
pub enum Event {
    /// A clip is open: its frames and times are known.
    Opened {
        clip: usize,
        facts: Arc<Clip>,
    },
    /// The file is not a clip that can be opened here.
    Refused {
        clip: usize,
        path: PathBuf,
        why: String,
    },
    /// The file of a clip is not the one that was opened. The clip is closed, and its number is not used again.
    Changed {
        clip: usize,
        path: PathBuf,
        why: Change,
    },
    Indexing {
        clip: usize,
        /// Frames scanned so far.
        done: usize,
        /// Frames in total.
        of: usize,
    },
    /// A clip was scanned: its faults are complete.
    Indexed {
        clip: usize,
        facts: Arc<Clip>,
    },
    /// A picture for a pane. A pane at rest may get a quick one first.
    Picture {
        request: Request,
        quality: Quality,
        shown: Shown,
    },
    /// A clip has no proxy. Sent once, even if other clips have none either.
    NoProxy {
        why: String,
    },
    NoPicture {
        request: Request,
        why: String,
    },
}

/// A clip of the deck.
#[derive(Debug, Clone)]
struct Slot {
    facts: Arc<Clip>,
    proxy: Option<Arc<Proxy>>,
}

#[derive(Debug, Default)]
struct State {
    numbered: usize,
    slots: BTreeMap<usize, Slot>,
    to_open: VecDeque<(usize, PathBuf)>,
    to_scan: VecDeque<usize>,
    /// At most one for each pane, the one that waits longest first.
    wanted: VecDeque<Request>,
    /// Those that must be decoded; at most one for each pane.
    due: VecDeque<Request>,
    /// Where a pane last came to rest. Its neighbourhood is decoded when nothing is due.
    around: Option<Request>,
    closed: Vec<usize>,
    is_over: bool,
}

impl State {
    /// Removes a clip and its proxy, and returns whether it was open. Requests for its pictures are refused from now
    /// on.
    fn let_go(&mut self, clip: usize) -> bool {
        let slot = self.slots.remove(&clip);
        self.to_open.retain(|(number, _)| *number != clip);
        self.closed.push(clip);
        slot.is_some()
    }
}

/// What the threads share.
#[derive(Debug, Default)]
struct Shared {
    state: Mutex<State>,
    changed: Condvar,
}

impl Shared {
    /// A poisoned lock is used all the same: every change is one step, so the queues are whole after a panic.
    fn lock(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Waits until there is something to do; `None` when the deck ends.
    fn wait<T>(&self, mut take: impl FnMut(&mut State) -> Option<T>) -> Option<T> {
        let mut state = self.lock();
        loop {
            if state.is_over {
                return None;
            }
            if let Some(taken) = take(&mut state) {
                return Some(taken);
            }
            state = self.changed.wait(state).unwrap_or_else(PoisonError::into_inner);
        }
    }

    fn change<T>(&self, change: impl FnOnce(&mut State) -> T) -> T {
        let changed = change(&mut self.lock());
        self.changed.notify_all();
        changed
    }
}

/// Clips and their pictures, for one desk. Its threads end when it is dropped.
#[derive(Debug)]
pub struct Deck {
    shared: Arc<Shared>,
}

impl Deck {
    /// Starts the threads; they send to `events`.
    pub fn start(settings: Settings, events: Sender<Event>) -> Deck {
        Deck::start_on(settings, events, Room::of)
    }

    /// As [`Deck::start`], with a function that asks for the room on the disk.
    pub fn start_on(settings: Settings, events: Sender<Event>, ask: AskRoom) -> Deck {
        let shared = Arc::new(Shared::default());
        let (opens, opens_events) = (Arc::clone(&shared), events.clone());
        let decoders = (settings.tools.clone(), settings.worker.clone());
        thread::spawn(move || open_files(&opens, &opens_events, &decoders));
        let (looks, looks_events) = (Arc::clone(&shared), events.clone());
        let cache_bytes = settings.cache_bytes;
        thread::spawn(move || {
            let proxies = Proxies::open(&settings.proxies, settings.proxy_bytes, ask);
            scan_clips(&looks, &looks_events, &proxies);
        });
        let answers = Arc::new(Server::new(Arc::clone(&shared), events, cache_bytes));
        let works = Arc::clone(&answers);
        thread::spawn(move || answers.answer());
        thread::spawn(move || works.work());
        Deck { shared }
    }

    /// Opens files in the background; returns the numbers that they will have, in the same order.
    pub fn open(&self, paths: Vec<PathBuf>) -> Vec<usize> {
        self.shared.change(|state| {
            let first = state.numbered;
            state.numbered += paths.len();
            state.to_open.extend((first..).zip(paths));
            (first..state.numbered).collect()
        })
    }

    /// Asks for a picture. It comes as an event, unless the pane asks for another one first.
    pub fn show(&self, request: Request) {
        self.shared.change(|state| {
            match state.wanted.iter_mut().find(|waiting| waiting.pane == request.pane) {
                Some(waiting) => *waiting = request,
                None => state.wanted.push_back(request),
            }
        });
    }

    /// Closes a clip, and drops its proxy and its pictures.
    pub fn close(&self, clip: usize) {
        self.shared.change(|state| {
            state.let_go(clip);
            state.wanted.retain(|request| request.clip != clip);
            state.due.retain(|request| request.clip != clip);
        });
    }
}

impl Drop for Deck {
    fn drop(&mut self) {
        self.shared.change(|state| state.is_over = true);
    }
}

/// Sends an event. A desk that is gone needs none.
fn send(events: &Sender<Event>, event: Event) {
    let _ = events.send(event);
}

fn open_files(shared: &Shared, events: &Sender<Event>, decoders: &(Option<Tools>, Option<WorkerCommand>)) {
    let (tools, worker) = decoders;
    while let Some((clip, path)) = shared.wait(|state| state.to_open.pop_front()) {
        // From the first file on, an FFmpeg process is on standby.
        if let Some(tools) = tools {
            tools.stand_by();
        }
        match Clip::open(&path, tools.as_ref()) {
            Ok(facts) => {
                let facts = Arc::new(facts.with_worker(worker.as_ref()));
                let slot = Slot { facts: Arc::clone(&facts), proxy: None };
                shared.change(|state| {
                    if !state.closed.contains(&clip) {
                        state.slots.insert(clip, slot);
                        state.to_scan.push_back(clip);
                    }
                });
                send(events, Event::Opened { clip, facts });
            }
            Err(Error::Changed(why)) => send(events, Event::Changed { clip, path, why }),
            Err(reason) => send(events, Event::Refused { clip, path, why: reason.to_string() }),
        }
    }
}

fn scan_clips(shared: &Shared, events: &Sender<Event>, proxies: &Proxies) {
    let mut was_said = false;
    let mut none = |why: NoProxy| {
        tracing::warn!("{why}");
        if !std::mem::replace(&mut was_said, true) {
            send(events, Event::NoProxy { why: why.to_string() });
        }
    };
    while let Some(clip) = shared.wait(|state| state.to_scan.pop_front()) {
        let Some(slot) = shared.lock().slots.get(&clip).cloned() else { continue };
        let mut making = begin_proxy(shared, proxies, (clip, &slot.facts)).unwrap_or_else(|why| {
            none(why);
            None
        });
        let of = slot.facts.frames.len();
        let mut facts = (*slot.facts).clone();
        duplicate_frames::scan(&mut facts, &mut |frame, picture| {
            let added = making.as_mut().map_or(Ok(()), |(proxy, writer)| {
                // Other processes may have filled the disk.
                let room = if frame % ROOM_EVERY == 0 { proxies.room_for(0) } else { Ok(()) };
                room.and_then(|()| Ok(proxy.add(writer, picture)?))
            });
            if let Err(why) = added {
                // What was written is removed too: the log needs the room, and frames are decoded on request.
                making = None;
                shared.change(|state| state.slots.get_mut(&clip).map(|slot| slot.proxy = None));
                none(why);
            }
            if frame % 16 == 0 || frame + 1 == of {
                send(events, Event::Indexing { clip, done: frame + 1, of });
            }
            let state = shared.lock();
            let is_wanted = !state.is_over && state.slots.contains_key(&clip);
            if is_wanted { ControlFlow::Continue(()) } else { ControlFlow::Break(()) }
        });
        if let Err(why) = facts.check() {
            changed(shared, events, (clip, &facts), why);
            continue;
        }
        let facts = Arc::new(facts);
        let is_there = shared.change(|state| {
            let slot = state.slots.get_mut(&clip);
            slot.map(|slot| slot.facts = Arc::clone(&facts)).is_some()
        });
        if is_there {
            send(events, Event::Indexed { clip, facts: Arc::clone(&facts) });
            // Once its hash is known, a file that is only touched later counts as the same. One that cannot be read
            // is refused when a picture of it is asked for.
            drop(facts.file_sha256());
        }
    }
}

/// Closes a clip whose file is not the one that was opened, and reports it once.
fn changed(shared: &Shared, events: &Sender<Event>, (clip, facts): (usize, &Clip), why: Change) {
    if shared.change(|state| state.let_go(clip)) {
        send(events, Event::Changed { clip, path: facts.path.clone(), why });
    }
}

/// After this many pictures the free disk space is checked again: a few megabytes, far less than the reserve.
const ROOM_EVERY: usize = 16;

/// Begins a proxy, if there is room for it, and makes it readable at once. `None` for a clip that is gone.
fn begin_proxy(
    shared: &Shared,
    proxies: &Proxies,
    (clip, facts): (usize, &Clip),
) -> Result<Option<(Arc<Proxy>, Writer)>, NoProxy> {
    let (proxy, writer) = proxies.begin(facts.size, facts.frames.len())?;
    let proxy = Arc::new(proxy);
    let is_there = shared.change(|state| {
        let slot = state.slots.get_mut(&clip);
        slot.map(|slot| slot.proxy = Some(Arc::clone(&proxy))).is_some()
    });
    Ok(is_there.then_some((proxy, writer)))
}
