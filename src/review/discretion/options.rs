//! What can be done about a play, and the restart that would follow.
//!
//! The offers are the book's own remedies and the calls of the question that left it to the referee. The engine that
//! enforces every other ruling computes each restart, and each is checked against the book's bounds. The offers are
//! not ranked, and none is chosen here.
//!
//! Between plays the game has gone on: a remedy that lets the play stand leads to where the game is. Once another play
//! was snapped, that is the only kind there is.

use super::{Ground, Matter, MomentAt, Opened, Since};
use rules::book::Book;
use rules::book::discretion::Bound;
use rules::book::effect::{Effect, Fouler, Part};
use rules::game::apply::{Draft, Restart};
use rules::game::enforce::{Done, Enforced};
use rules::game::play::{Moment, Play};
use rules::game::situation::{ByTeam, ClockStart, Next, Situation, Team};
use std::collections::BTreeSet;

/// One thing that can be done, with what follows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Offer {
    /// In words; a command chooses the offer by it.
    pub name: String,
    pub after: Situation,
    pub clock_starts: Option<ClockStart>,
    pub fouls: Vec<Enforced>,
    /// What is still needed before it can be chosen: "the mark `end of play` needs a spot".
    pub needs: Vec<String>,
    pub meets: Vec<Met>,
}

/// A bound of the book that an offer runs into.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Met {
    /// It would create points that the play as called did not have: it cannot be chosen.
    Score,
    /// It would create this foul, which nobody called and the book does not let it create: it cannot be chosen.
    Creates(String),
    /// It would lift or lessen this foul, which protects a player: it needs a written reason.
    Shortens(String),
}

/// All offers: the remedies of the book, then the calls of the question. Empty where the book gives the referee no
/// ruling of their own.
pub fn offers(book: &Book, opened: &Opened) -> Vec<Offer> {
    let remedies = remedies(book, opened);
    let play = play(&opened.ground);
    let governed: BTreeSet<&str> = remedies.iter().flat_map(|(_, effects)| fouls(effects)).collect();
    let called = called(book, opened, &play);
    let mut offers: Vec<Offer> = Vec::new();
    let mut known: Vec<&[Effect]> = Vec::new();
    for (name, effects) in &remedies {
        // Two names for the same effects are one offer, such as a call of no foul and a remedy of no foul.
        if known.contains(&effects.as_slice()) {
            continue;
        }
        known.push(effects);
        let ground = &opened.ground;
        let stands = effects.as_slice() == [Effect::PlayCounts];
        offers.push(match &ground.since {
            Some(since) if stands && (since.snapped() || called.fouls.is_empty()) => went_on(name, since),
            Some(since) if since.snapped() => continue,
            Some(_) | None => offer(book, name, restart(book, ground, &play, &governed, effects), &called),
        });
    }
    offers
}

/// The remedies of the book, then the calls of the question, each with its effects; none where the book gives the
/// referee no ruling of their own.
pub(super) fn remedies(book: &Book, opened: &Opened) -> Vec<(String, Vec<Effect>)> {
    let Some(discretion) = &book.discretion else { return Vec::new() };
    let own = discretion.remedies.iter();
    let own = own.map(|remedy| (remedy.name.clone(), remedy.effects.clone()));
    let mut remedies: Vec<(String, Vec<Effect>)> = Vec::new();
    for (name, effects) in own.chain(calls(book, opened.matter.as_ref())) {
        for (side, effects) in sides(&effects) {
            remedies.push((format!("{name}{side}"), effects));
        }
    }
    remedies
}

/// The play stands as it was run, and the game is where it has come to since.
fn went_on(name: &str, since: &Since) -> Offer {
    let now = since.now;
    let clock_starts = match now.next {
        Next::Try | Next::FreeKick => None,
        Next::Scrimmage { .. } if now.clock_running => Some(ClockStart::Ready),
        Next::Scrimmage { .. } => Some(ClockStart::Snap),
    };
    let (name, fouls, needs, meets) = (name.to_owned(), Vec::new(), Vec::new(), Vec::new());
    Offer { name, after: now, clock_starts, fouls, needs, meets }
}

/// What the crew made of the play.
struct AsCalled {
    score: ByTeam<u16>,
    /// The fouls that protect a player.
    safety: Vec<Enforced>,
    /// All fouls, with the team; `None` where the call does not say on whom.
    fouls: BTreeSet<(String, Option<Team>)>,
}

impl AsCalled {
    fn has(&self, foul: &Enforced) -> bool {
        let on = |team| self.fouls.contains(&(foul.name.clone(), team));
        on(Some(foul.by)) || on(None)
    }
}

fn called(book: &Book, opened: &Opened, play: &Play) -> AsCalled {
    let effects = opened.matter.as_ref().and_then(|matter| {
        let tree = book.tree(&matter.question)?;
        tree.calls.get(tree.call(&matter.call)?).map(|call| call.result.clone())
    });
    let effects = effects.unwrap_or_else(|| vec![Effect::PlayCounts]);
    let governed: BTreeSet<&str> = fouls(&effects).collect();
    let restart = restart(book, &opened.ground, play, &governed, &effects);
    let protects = |foul: &Enforced| book.penalties.get(&foul.name).is_some_and(|penalty| penalty.safety);
    let flagged = |name: &str| opened.ground.flags.iter().any(|flag| flag.name == name);
    let on_nobody = effects.iter().filter_map(Effect::foul).filter_map(|(name, by, _)| match by {
        Fouler::Called if !flagged(name) => Some((name.to_owned(), None)),
        Fouler::Called | Fouler::Offense | Fouler::Defense => None,
    });
    let fouls =
        restart.fouls.iter().map(|foul| (foul.name.clone(), Some(foul.by))).chain(on_nobody).collect();
    AsCalled {
        // Between plays, the score on the board is that of the play as called.
        score: opened.ground.since.map_or(restart.after.score, |since| since.now.score),
        safety: restart.fouls.into_iter().filter(|foul| protects(foul) && holds(foul)).collect(),
        fouls,
    }
}

/// Whether the foul is enforced.
fn holds(foul: &Enforced) -> bool {
    match foul.done {
        Done::Accepted | Done::Carried => true,
        Done::Declined | Done::Offset | Done::ScoreCounts | Done::FellAway => false,
    }
}

fn offer(book: &Book, name: &str, restart: Restart, called: &AsCalled) -> Offer {
    let bounds = book.discretion.as_ref();
    let has = |bound| bounds.is_some_and(|discretion| discretion.has(bound));
    let mut meets = Vec::new();
    let more = restart.after.score.home > called.score.home || restart.after.score.away > called.score.away;
    if has(Bound::NoScore) && more {
        meets.push(Met::Score);
    }
    let may = |name: &String| bounds.is_some_and(|discretion| discretion.may_create.contains(name));
    let created = restart.fouls.iter().filter(|foul| !called.has(foul) && !may(&foul.name));
    let created: BTreeSet<&str> = created.map(|foul| foul.name.as_str()).collect();
    meets.extend(created.into_iter().map(|name| Met::Creates(name.to_owned())));
    if has(Bound::SafetyFoulKept) {
        let kept = |foul: &Enforced| {
            restart.fouls.iter().any(|other| other.name == foul.name && other.by == foul.by && holds(other))
        };
        let lifted: BTreeSet<&str> =
            called.safety.iter().filter(|foul| !kept(foul)).map(|foul| foul.name.as_str()).collect();
        meets.extend(lifted.into_iter().map(|name| Met::Shortens(name.to_owned())));
    }
    Offer {
        name: name.to_owned(),
        after: restart.after,
        clock_starts: restart.clock_starts,
        fouls: restart.fouls,
        needs: restart.open.iter().map(ToString::to_string).collect(),
        meets,
    }
}

/// The calls of the question, in words, with their effects.
fn calls(book: &Book, matter: Option<&Matter>) -> Vec<(String, Vec<Effect>)> {
    let tree = matter.and_then(|matter| book.tree(&matter.question));
    tree.map_or_else(Vec::new, |tree| {
        tree.calls.iter().map(|call| (call.says.clone(), call.result.clone())).collect()
    })
}

/// A foul whose side is not known gives two remedies, one for each side; anything else gives one.
fn sides(effects: &[Effect]) -> Vec<(&'static str, Vec<Effect>)> {
    let open = |effect: &Effect| matches!(effect, Effect::Foul { by: Fouler::Called, .. });
    if !effects.iter().any(open) {
        return vec![("", effects.to_vec())];
    }
    let on = |part: Part| {
        let by = match part {
            Part::Offense => Fouler::Offense,
            Part::Defense => Fouler::Defense,
        };
        let on_side = |effect: &Effect| match effect {
            Effect::Foul { name, by: Fouler::Called, spot, dead } => {
                Effect::Foul { name: name.clone(), by, spot: spot.clone(), dead: *dead }
            }
            other => other.clone(),
        };
        effects.iter().map(on_side).collect()
    };
    vec![(", the offense", on(Part::Offense)), (", the defense", on(Part::Defense))]
}

fn fouls(effects: &[Effect]) -> impl Iterator<Item = &str> {
    effects.iter().filter_map(|effect| effect.foul().map(|(name, ..)| name))
}

fn play(ground: &Ground) -> Play {
    let moment = |at: &MomentAt| (at.name.clone(), Moment { x: at.x, clock_ms: at.clock_ms });
    Play {
        moments: ground.moments.iter().map(moment).collect(),
        end: ground.end,
        flags: ground.flags.clone(),
        ..Play::default()
    }
}

fn restart(
    book: &Book,
    ground: &Ground,
    play: &Play,
    governed: &BTreeSet<&str>,
    effects: &[Effect],
) -> Restart {
    let mut draft = Draft::new(book, ground.situation, play);
    governed.iter().for_each(|name| draft.governs(name));
    draft.fold(0, effects);
    draft.restart()
}
