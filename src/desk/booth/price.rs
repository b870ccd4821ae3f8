//! What a review costs if it ends without a ruling, in words.

use crate::booth::context::Context;
use review::gate::Initiator;

/// What ending the open review without a ruling costs, including what the gate charged for a refusal.
pub(super) fn of(context: &Context<'_>) -> Option<String> {
    let review = context.review?;
    let (called, paid) = (review.called.as_ref()?, review.situation()?);
    let nothing = Some("it costs nothing".to_owned());
    let Initiator::Coach(team) = called.initiator else { return nothing };
    let had = &called.situation;
    let timeouts = had.timeouts.of(team).saturating_sub(*paid.timeouts.of(team));
    let challenges = paid.challenges.of(team).used.saturating_sub(had.challenges.of(team).used);
    let costs: Vec<String> = [(timeouts, "timeout"), (challenges, "challenge")]
        .into_iter()
        .filter(|(count, _)| *count > 0)
        .map(|(count, word)| if count == 1 { format!("a {word}") } else { format!("{count} {word}s") })
        .collect();
    if costs.is_empty() {
        return nothing;
    }
    let (name, left) = (context.names.short.of(team), paid.timeouts.of(team));
    Some(format!("it costs {name} {}; timeouts left: {left}", costs.join(" and ")))
}
