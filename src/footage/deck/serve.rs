//! The threads that give pictures. One answers panes with what is there; one decodes what is missing, and what panes
//! will ask for next. So a picture that is there never waits for one that is being decoded.

use super::{Event, Quality, Request, Shared, Slot, State, changed, send};
use crate::clip::Clip;
use crate::error::Error;
use crate::picture::Picture;
use crate::show::cache::Cache;
use crate::show::view;
use crate::show::view::{Part, Shown};
use std::collections::BTreeMap;
use std::ops::{ControlFlow, Range};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::mpsc::Sender;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

/// Frames that are decoded ahead on each side, if the cache has room.
const AHEAD: usize = 60;

pub(super) struct Server {
    shared: Arc<Shared>,
    events: Sender<Event>,
    held: Mutex<Held>,
}

/// The decoded pictures, and what the panes show.
struct Held {
    cache: Cache,
    /// The clip that each pane shows.
    panes: BTreeMap<u32, usize>,
}

/// What there is to decode.
enum Work {
    /// A picture that a pane waits for.
    Due(Request),
    /// What lies around the playhead of a pane at rest.
    Around(Request),
}

impl Server {
    pub(super) fn new(shared: Arc<Shared>, events: Sender<Event>, cache_bytes: usize) -> Server {
        let held = Held { cache: Cache::new(cache_bytes), panes: BTreeMap::new() };
        Server { shared, events, held: Mutex::new(held) }
    }

    /// Answers panes until the deck ends.
    pub(super) fn answer(&self) {
        while let Some(request) = self.shared.wait(|state| state.wanted.pop_front()) {
            if !guarded(|| self.serve(request)) {
                self.refuse(request, FAILED.to_owned());
            }
        }
    }

    /// Decodes until the deck ends.
    pub(super) fn work(&self) {
        let next = |state: &mut State| {
            let due = state.due.front().copied().map(Work::Due);
            due.or_else(|| state.around.take().map(Work::Around))
        };
        while let Some(work) = self.shared.wait(next) {
            match work {
                Work::Due(request) => {
                    if !guarded(|| self.decode_due(request)) {
                        self.refuse(request, FAILED.to_owned());
                    }
                }
                // The picture itself is there. An error around it is reported when that frame is asked for.
                Work::Around(request) => drop(guarded(|| self.decode_around(request))),
            }
        }
    }

    fn refuse(&self, request: Request, why: String) {
        self.shared.change(|state| state.due.retain(|due| *due != request));
        send(&self.events, Event::NoPicture { request, why });
    }

    /// A poisoned lock is used all the same: every change is one step, so the value is whole after a panic.
    fn held(&self) -> MutexGuard<'_, Held> {
        self.held.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn slot(&self, clip: usize) -> Option<Slot> {
        let state = self.shared.lock();
        let slot = state.slots.get(&clip).cloned();
        self.held().cache.keep(|clip| state.slots.contains_key(&clip));
        slot
    }

    /// A clip without its proxy: whoever decodes must not keep the proxy of a closed clip.
    fn facts(&self, clip: usize) -> Option<Arc<Clip>> {
        self.shared.lock().slots.get(&clip).map(|slot| Arc::clone(&slot.facts))
    }

    fn serve(&self, request: Request) {
        // This request replaces whatever the pane waited for before.
        self.shared.change(|state| state.due.retain(|due| due.pane != request.pane));
        let Some(slot) = self.slot(request.clip) else {
            return self.refuse(request, CLOSED.to_owned());
        };
        if self.has_changed(request, &slot.facts) {
            return;
        }
        self.held().look_at(request);
        if self.give_cached(request) {
            if request.rests {
                self.shared.change(|state| state.around = Some(request));
            }
            return;
        }
        let is_quick = self.give_small(request, &slot);
        if !is_quick || request.rests {
            self.shared.change(|state| state.due.push_back(request));
        }
    }

    /// Whether the clip's file is not the one that was opened. If so, the clip is closed, and the pane is told why it
    /// gets no picture.
    fn has_changed(&self, request: Request, facts: &Clip) -> bool {
        let Err(why) = facts.check() else { return false };
        changed(&self.shared, &self.events, (request.clip, facts), why);
        self.refuse(request, why.to_string());
        true
    }

    fn give_cached(&self, request: Request) -> bool {
        let cached = self.held().cache.get(request.clip, request.frame);
        let Some(picture) = cached else { return false };
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
        let Some(facts) = self.facts(request.clip) else {
            return self.refuse(request, CLOSED.to_owned());
        };
        let event = match made(picture, request, &facts) {
            Ok(shown) => Event::Picture { request, quality, shown },
            Err(reason) => Event::NoPicture { request, why: reason.to_string() },
        };
        send(&self.events, event);
    }

    /// Decodes the picture that a pane waits for, from the key before it, as far as the cache has room, and a few
    /// beyond. If that run fails before the picture, the picture is tried alone: the fault may lie in one that nobody
    /// asked for.
    fn decode_due(&self, request: Request) {
        let Some(facts) = self.facts(request.clip) else {
            return self.refuse(request, CLOSED.to_owned());
        };
        // It may have come in the meantime.
        let cached = self.held().cache.get(request.clip, request.frame);
        if let Some(picture) = cached {
            return self.give_due((request.clip, request.frame), &picture);
        }
        // A playhead that rests gets its picture first, and what lies around it afterwards.
        if request.rests
            && let Some(picture) = facts.picture_from_pool(request.frame)
        {
            self.take((request.clip, request.frame), picture);
            self.shared.change(|state| state.around = state.around.or(Some(request)));
            return;
        }
        let frames = &facts.frames;
        let reach = self.held().reach(&facts);
        let key = frames.iter().take(request.frame + 1).rposition(|frame| frame.is_key).unwrap_or(0);
        let start = key.max(request.frame.saturating_sub(reach));
        let after = request.frame + 1;
        let end = (request.frame + reach.div_ceil(4)).clamp(after, frames.len().max(after));
        let is_due = || self.shared.lock().due.contains(&request);
        let failed = self.decode((request.clip, &facts), start..end, Some(request)).is_err();
        if failed && self.has_changed(request, &facts) {
            return;
        }
        if failed
            && is_due()
            && let Err(reason) =
                self.decode((request.clip, &facts), request.frame..request.frame + 1, Some(request))
        {
            return self.refuse(request, reason.to_string());
        }
        if is_due() {
            return self.refuse(request, "the decoder gives no picture for this frame".to_owned());
        }
        if request.rests {
            self.shared.change(|state| state.around = state.around.or(Some(request)));
        }
    }

    /// Decodes a run into the cache; waiting panes get their picture as soon as it is there. The run ends early when
    /// something else is due, or when the deck or the clip is gone.
    fn decode(
        &self,
        (clip, facts): (usize, &Clip),
        run: Range<usize>,
        asked: Option<Request>,
    ) -> Result<(), Error> {
        let end = run.end;
        let mut take = |frame: usize, picture: Picture| {
            self.take((clip, frame), picture);
            let state = self.shared.lock();
            let comes = |due: &Request| due.clip == clip && (frame + 1..end).contains(&due.frame);
            // Goes on while a pane waits for the picture that was asked for, or while all that is due comes with this
            // run.
            let is_awaited = asked.is_some_and(|asked| state.due.contains(&asked));
            let goes_on = is_awaited || state.due.iter().all(comes);
            let is_open = !state.is_over && state.slots.contains_key(&clip);
            if goes_on && is_open { ControlFlow::Continue(()) } else { ControlFlow::Break(()) }
        };
        match asked {
            Some(_) => facts.pictures(run, &mut take),
            None => facts.pictures_ahead(run, &mut take),
        }
    }

    /// Keeps a picture, and gives it to the panes that wait for it.
    fn take(&self, which: (usize, usize), picture: Picture) {
        let picture = Arc::new(picture);
        self.held().cache.put(which.0, which.1, Arc::clone(&picture));
        self.give_due(which, &picture);
    }

    /// Gives a picture to the panes that wait for it.
    fn give_due(&self, which: (usize, usize), picture: &Picture) {
        let is_ready = |due: &Request| (due.clip, due.frame) == which;
        let ready: Vec<Request> = {
            let mut state = self.shared.lock();
            let ready = state.due.iter().copied().filter(is_ready).collect();
            state.due.retain(|due| !is_ready(due));
            ready
        };
        let quality = if picture.exact { Quality::Exact } else { Quality::NotExact };
        ready.into_iter().for_each(|request| self.give(request, quality, picture));
    }

    /// While nothing is due, decodes the frames after the playhead, then those before it. A few that are missing at
    /// the far ends wait until there are more of them: each run costs a GOP.
    fn decode_around(&self, request: Request) {
        let Some(facts) = self.facts(request.clip) else { return };
        let frames = facts.frames.len();
        let reach = self.held().reach(&facts);
        let near = (reach * 2).div_ceil(3);
        let (low, high) = (request.frame.saturating_sub(reach), (request.frame + reach).min(frames));
        while self.is_idle() {
            let run = {
                let held = self.held();
                let missing = |frame: &usize| held.cache.get(request.clip, *frame).is_none();
                let after = (request.frame..high).find(missing);
                let before = (low..request.frame).rev().find(missing);
                let is_near = |frame: &usize| frame.abs_diff(request.frame) < near;
                match (after.filter(is_near), before.filter(is_near)) {
                    (Some(first), _) => first..high,
                    (None, Some(last)) => low..last + 1,
                    (None, None) => return,
                }
            };
            // The error is reported when the frame is asked for.
            if self.decode((request.clip, &facts), run, None).is_err() {
                return;
            }
        }
    }

    /// Whether nothing is due, and no pane has come to rest elsewhere in the meantime.
    fn is_idle(&self) -> bool {
        let state = self.shared.lock();
        state.due.is_empty() && state.around.is_none() && !state.is_over
    }
}

const CLOSED: &str = "the clip is not open";

/// For when this program is at fault.
const FAILED: &str = "the decoder failed";

/// Runs something whose panic may cost a picture but not the review; returns whether it finished.
fn guarded(act: impl FnOnce()) -> bool {
    catch_unwind(AssertUnwindSafe(act)).is_ok()
}

impl Held {
    fn look_at(&mut self, request: Request) {
        if let Some(before) = self.panes.insert(request.pane, request.clip)
            && !self.panes.values().any(|clip| *clip == before)
        {
            self.cache.look_away(before);
        }
        self.cache.look_at(request.clip, request.frame);
    }

    /// How many frames fit on each side of the playhead of one pane.
    fn reach(&self, facts: &Clip) -> usize {
        let (wide, high) = facts.size;
        // Most clips take one and a half bytes a pixel, some take more.
        let bytes = wide as usize * high as usize * 2;
        (self.cache.room_for(bytes) / 2 / self.panes.len().max(1)).clamp(1, AHEAD)
    }
}

/// Scales a picture for its pane, upright, in square pixels. A part is stated in pixels of the clip's picture; of a
/// proxy it is the same share.
fn made(picture: &Picture, request: Request, facts: &Clip) -> Result<Shown, Error> {
    let (rotation, own) = (facts.rotation, facts.shown_size());
    let (part, size) = match request.part {
        Some(part) => (part, request.size),
        None => {
            let upright = rotation.size((picture.width, picture.height));
            (Part::whole(own), view::fitted(facts.shown_pixel_aspect().stretched(upright), request.size))
        }
    };
    rotation.shown_part(picture, (part, own), size, (request.lines, request.light, facts.coding))
}
