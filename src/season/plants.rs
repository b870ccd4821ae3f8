//! What is planted: where it goes, and the list of it.

use super::plan::{Known, Plan, Plant, Role};
use super::play::{self, Fact, Play};
use super::{Change, Season, SplittingStep};
use review::gate::Initiator;
use rules::book::Book;
use rules::book::tree::Tree;
use rules::game::situation::{Next, Situation};
use scene::dice::Dice;
use std::collections::BTreeMap;

/// The records of the plants, by their numbers in the plan.
#[derive(Debug, Default)]
pub(super) struct Placed {
    first: BTreeMap<usize, String>,
    again: BTreeMap<usize, String>,
}

impl Placed {
    pub(super) fn place(&mut self, plant: Option<usize>, id: &str) {
        self.first.extend(plant.map(|plant| (plant, id.to_owned())));
    }

    pub(super) fn again(&mut self, plant: Option<usize>, id: &str) {
        self.again.extend(plant.map(|plant| (plant, id.to_owned())));
    }
}

/// The plants of a game: those of a week are dealt out to its games.
pub(super) fn of_game(plan: &Plan, week: u32, game: usize) -> Vec<usize> {
    let of_week = plan.plants.iter().enumerate().filter(|(_, plant)| plant.week == week);
    let games = plan.teams.len() / 2;
    of_week.enumerate().filter(|(turn, _)| turn % games == game).map(|(_, (number, _))| number).collect()
}

/// The play of a plant; `None` where it names something that the book does not have.
pub(super) fn play(
    (plan, plant): (&Plan, &Plant),
    book: &Book,
    state: Situation,
    draw: &mut Dice,
) -> Option<Play> {
    let usual = &plan.usual;
    let tree = book.tree(&plant.tree)?;
    let call = tree.call(&plant.call)?;
    let (down, to_go, spot) = &plant.snap;
    let (to_go, spot) = (to_go.parse().ok()?, spot.parse().ok()?);
    let situation = Situation { spot, next: Next::Scrimmage { down: *down, to_go }, ..state };
    let mut facts = play::facts(book, tree, &situation, draw);
    fix(tree, usual.get(&plant.tree), &mut facts)?;
    fix(tree, Some(&plant.facts), &mut facts)?;
    Some(Play {
        tree: plant.tree.clone(),
        call: plant.call.clone(),
        initiator: Initiator::Coach(situation.offense.other()),
        flags: play::flags(book, tree, call, spot, draw),
        facts,
        spot,
        clock_ms: (situation.clock_ms - 6000).max(0),
        marks: draw.split(),
        situation,
    })
}

/// Puts known facts in the place of drawn ones; `None` for a step or an option that the question does not have.
pub(super) fn fix(tree: &Tree, known: Option<&BTreeMap<String, Known>>, facts: &mut [Fact]) -> Option<()> {
    for (step, known) in known.into_iter().flatten() {
        *facts.get_mut(tree.step(step)?)? = fact(tree, step, known)?;
    }
    Some(())
}

fn fact(tree: &Tree, step: &str, known: &Known) -> Option<Fact> {
    Some(match known {
        Known::Is(option) => Fact::Seen(tree.steps.get(tree.step(step)?)?.option(option)?),
        Known::Measured(value, sigma) => Fact::Measured { value: *value, sigma: *sigma },
    })
}

/// Lists what was planted, and writes the outcome that no edition computes.
pub(super) fn list(plan: &Plan, slow: Option<usize>, placed: Placed, books: &[Book], season: &mut Season) {
    let mut pairs: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    let (mut again, mut overrides, mut edges) = (Vec::new(), Vec::new(), Vec::new());
    for (number, id) in &placed.first {
        match &plan.plants[*number].role {
            Role::Pair(name) => pairs.entry(name).or_default().push(id.clone()),
            Role::Again => again.extend(placed.again.get(number).map(|second| [id.clone(), second.clone()])),
            Role::Override => overrides.push(id.clone()),
            Role::Edge => edges.push(id.clone()),
        }
    }
    let both = |ids: Vec<String>| <[String; 2]>::try_from(ids).ok();
    let planted = &mut season.planted;
    planted.pairs = pairs.into_values().filter_map(both).chain(again).collect();
    planted.overrides = overrides;
    planted.slow = slow.and_then(|official| plan.officials.get(official).cloned());
    let split = &plan.splitting;
    planted.splitting = Some(SplittingStep { tree: split.tree.clone(), step: split.step.clone() });
    if let [before, since] = books {
        planted.change = Some(Change {
            from_week: plan.change.from_week,
            before: before.edition.to_string(),
            since: since.edition.to_string(),
            tree: plan.change.tree.clone(),
            step: plan.change.step.clone(),
            records: edges,
        });
        season.planted.miscomputed = miscompute(plan, before, season).into_iter().collect();
    }
}

/// Writes "reversed" where the edition computes "confirmed".
fn miscompute(plan: &Plan, book: &Book, season: &mut Season) -> Option<String> {
    let labels = &book.replay.labels;
    let known = season.planted.pairs.concat();
    let one = season.records.iter_mut().find(|record| {
        record.week == Some(plan.miscomputed_week)
            && record.outcome == labels.confirmed
            && record.again_of.is_none()
            && record.tree != plan.splitting.tree
            && !known.contains(&record.id)
    })?;
    one.outcome.clone_from(&labels.reversed);
    one.changed = Some(true);
    Some(one.id.clone())
}
