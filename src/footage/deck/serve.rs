//! The thread that decodes: what panes ask for, and what they will ask for next.

use super::{Event, Quality, Request, Shared, Slot, State, say};
use crate::footage::cache::Cache;
use crate::footage::decode::NoPicture;
use crate::footage::picture::Picture;
use crate::footage::view::{self, NotShown, Shown};
use std::collections::BTreeMap;
use std::ops::{ControlFlow, Range};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::sync::mpsc::Sender;

/// So many frames are decoded ahead to each side, where there is room for them.
const AHEAD: usize = 60;

pub(super) struct Server {
    shared: Arc<Shared>,
    events: Sender<Event>,
    cache: Cache,
    /// The clip that each pane shows.
    panes: BTreeMap<u32, usize>,
}

impl Server {
    pub(super) fn new(shared: Arc<Shared>, events: Sender<Event>, cache_bytes: usize) -> Server {
        Server { shared, events, cache: Cache::new(cache_bytes), panes: BTreeMap::new() }
    }

    pub(super) fn run(mut self) {
        let shared = Arc::clone(&self.shared);
        while let Some(request) = shared.wait(|state| state.wanted.pop_front()) {
            // A fault of a decoder costs this picture, not the review.
            let served = catch_unwind(AssertUnwindSafe(|| self.serve(request)));
            if served.is_err() {
                say(&self.events, Event::NoPicture { request, why: "the decoder failed".to_owned() });
            }
        }
    }

    fn serve(&mut self, request: Request) {
        let slot = {
            let state = self.shared.lock();
            self.cache.keep(|clip| state.slots.contains_key(&clip));
            state.slots.get(&request.clip).cloned()
        };
        let Some(slot) = slot else {
            let why = "the clip is not open".to_owned();
            return say(&self.events, Event::NoPicture { request, why });
        };
        self.look_at(request);
        if self.give_cached(request) {
            return self.ahead(request, &slot);
        }
        let is_quick = self.give_small(request, &slot);
        if is_quick && !request.rests {
            return;
        }
        let around = self.around(request, &slot);
        match self.decode(request.clip, around, &slot, Some(request)) {
            Ok(()) => self.ahead(request, &slot),
            Err(reason) => {
                let why = reason.to_string();
                say(&self.events, Event::NoPicture { request, why });
            }
        }
    }

    fn look_at(&mut self, request: Request) {
        if let Some(before) = self.panes.insert(request.pane, request.clip)
            && !self.panes.values().any(|clip| *clip == before)
        {
            self.cache.look_away(before);
        }
        self.cache.look_at(request.clip, request.frame);
    }

    fn give_cached(&self, request: Request) -> bool {
        let Some(picture) = self.cache.get(request.clip, request.frame) else { return false };
        let quality = if picture.exact { Quality::Exact } else { Quality::NotExact };
        self.give(request, quality, &picture);
        true
    }

    fn give_small(&self, request: Request, slot: &Slot) -> bool {
        let pts = slot.facts.frames.get(request.frame).map_or(0, |frame| frame.pts);
        let small = slot.proxy.as_ref().and_then(|proxy| proxy.picture(request.frame, pts).ok().flatten());
        if let Some(small) = &small {
            self.give(request, Quality::Proxy, small);
        }
        small.is_some()
    }

    fn give(&self, request: Request, quality: Quality, picture: &Picture) {
        let own = {
            let state = self.shared.lock();
            state.slots.get(&request.clip).map_or((picture.width, picture.height), |slot| slot.facts.size)
        };
        let event = match made(picture, request, own) {
            Ok(shown) => Event::Picture { request, quality, shown },
            Err(reason) => Event::NoPicture { request, why: reason.to_string() },
        };
        say(&self.events, event);
    }

    /// So many frames fit to each side of the playhead of one pane.
    fn reach(&self, slot: &Slot) -> usize {
        let (wide, high) = slot.facts.size;
        // Most clips take one and a half bytes a pixel, some take more.
        let bytes = wide as usize * high as usize * 2;
        (self.cache.room_for(bytes) / 2 / self.panes.len().max(1)).clamp(1, AHEAD)
    }

    /// The run of frames that is decoded for one: up to it from the key before it, as far as they fit, and beyond.
    fn around(&self, request: Request, slot: &Slot) -> Range<usize> {
        let frames = &slot.facts.frames;
        let reach = self.reach(slot);
        let key = frames.iter().take(request.frame + 1).rposition(|frame| frame.is_key).unwrap_or(0);
        let start = key.max(request.frame.saturating_sub(reach));
        start
            ..(request.frame + reach.div_ceil(4))
                .clamp(request.frame + 1, frames.len().max(request.frame + 1))
    }

    /// Decodes a run into the cache. The one that was asked for is given as soon as it is there; others that wait are
    /// given as soon as theirs is. It ends early when something else is asked for.
    fn decode(
        &mut self,
        clip: usize,
        run: Range<usize>,
        slot: &Slot,
        asked: Option<Request>,
    ) -> Result<(), NoPicture> {
        let facts = Arc::clone(&slot.facts);
        let (mut asked, end) = (asked, run.end);
        facts.pictures(run, &mut |frame, picture| {
            self.cache.put(clip, frame, Arc::new(picture));
            if let Some(request) = asked.filter(|request| request.frame == frame) {
                self.give_cached(request);
                asked = None;
            }
            self.give_waiting();
            let waiting = self.shared.lock();
            let comes = |request: &Request| request.clip == clip && (frame..end).contains(&request.frame);
            // The picture that was asked for is waited for, unless its pane asks for another.
            let is_wanted = match asked {
                Some(asked) => {
                    waiting.wanted.iter().all(|request| request.pane != asked.pane || comes(request))
                }
                None => waiting.wanted.iter().all(comes),
            };
            if is_wanted && !waiting.is_over { ControlFlow::Continue(()) } else { ControlFlow::Break(()) }
        })
    }

    /// Gives whatever waits and is in the cache.
    fn give_waiting(&mut self) {
        let ready: Vec<Request> = {
            let mut state = self.shared.lock();
            let State { slots, wanted, .. } = &mut *state;
            let is_ready = |request: &Request| {
                slots.contains_key(&request.clip) && self.cache.get(request.clip, request.frame).is_some()
            };
            let ready = wanted.iter().copied().filter(is_ready).collect();
            wanted.retain(|request| !is_ready(request));
            ready
        };
        for request in ready {
            self.look_at(request);
            self.give_cached(request);
        }
    }

    /// While nothing is asked for: the frames after the playhead, then those before it.
    fn ahead(&mut self, request: Request, slot: &Slot) {
        let reach = self.reach(slot);
        let frames = slot.facts.frames.len();
        while request.rests && self.is_idle() {
            let missing = |frame: &usize| self.cache.get(request.clip, *frame).is_none();
            let after = (request.frame..(request.frame + reach).min(frames)).find(missing);
            let before = (request.frame.saturating_sub(reach)..request.frame).rev().find(missing);
            let run = match (after, before) {
                (Some(first), _) => first..(request.frame + reach).min(frames),
                (None, Some(last)) => request.frame.saturating_sub(reach)..last + 1,
                (None, None) => return,
            };
            // What cannot be decoded is said when it is asked for.
            if self.decode(request.clip, run, slot, None).is_err() {
                return;
            }
        }
    }

    fn is_idle(&self) -> bool {
        let state = self.shared.lock();
        state.wanted.is_empty() && !state.is_over
    }
}

/// Scales a picture for its pane. A part is that of the clip's picture: of a small one, it is the same share.
fn made(picture: &Picture, request: Request, own: (u32, u32)) -> Result<Shown, NotShown> {
    let Some(part) = request.part else {
        let size = view::fitted((picture.width, picture.height), request.size);
        return view::shown(picture, size, request.lines, request.light);
    };
    view::shown_part(picture, (part, own), request.size, (request.lines, request.light))
}
