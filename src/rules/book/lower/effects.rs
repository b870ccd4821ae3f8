//! Effect lists, as findings and calls state them.

use super::super::effect::Effect;
use super::super::spanned::Spanned;
use super::Lowering;
use std::collections::BTreeSet;

/// Reads an effect list; reports unknown moments and penalties if the known ones could be read.
pub(super) fn effects(
    lowering: &mut Lowering<'_, '_>,
    raw: Vec<Spanned<'_, Effect>>,
    moments: Option<&BTreeSet<String>>,
) -> Vec<Effect> {
    for effect in &raw {
        let at = lowering.span(effect.text);
        if let Some(moment) = effect.value.moment() {
            lowering.named(at, "moment", moment, moments);
        }
        if let Effect::Foul { name, .. } = &effect.value {
            lowering.named(at, "penalty", name, lowering.shared.penalties.as_ref());
        }
    }
    raw.into_iter().map(|effect| effect.value).collect()
}
