//! Licensed work that need not wait for its own stretch of the job: done as early as its rule allows, so that a visit is not parted.
//!
//! Takes drafts with the slot from which each may be done (`earliest`); moves each to the first slot at which all that comes before it by
//! the states is done. What a workshop does itself waits for nobody and is left where it is.

use super::draft::Draft;
use super::slots::Slots;
use super::states::Steps;

/// Moves what may be done earlier.
pub(super) fn pull(drafts: &mut [Draft], slots: &Slots) {
    for number in 0..drafts.len() {
        let Some((draft, earliest)) = drafts
            .get(number)
            .and_then(|draft| Some((draft, draft.earliest?)))
        else {
            continue;
        };
        let others = drafts.iter().filter(|other| other.task.id != draft.task.id);
        let before = others.filter(|other| comes_before(other, draft));
        let ready = before
            .map(|other| other.task.slot)
            .max()
            .unwrap_or_default();
        let found = slots.numbered(earliest.max(ready));
        let found = found.filter(|slot| slot.number < draft.task.slot).cloned();
        if let (Some(slot), Some(draft)) = (found, drafts.get_mut(number)) {
            draft.task.slot = slot.number;
            draft.task.stage = slot.stage;
            draft.task.moment = slot.moment;
            draft.task.group = slot.group;
            draft.task.side = slot.side;
        }
    }
}

/// Whether the states, or its own `after`, put a task before another.
fn comes_before(one: &Draft, then: &Draft) -> bool {
    let needs = then.during.iter().map(|steps| (steps, steps.from));
    let makes = then.makes.iter();
    let makes = makes.map(|steps| (steps, steps.to.saturating_sub(1)));
    let made = needs.chain(makes).any(|(steps, reached)| {
        let of = |other: &&Steps| other.instance == steps.instance;
        one.makes.iter().filter(of).any(|other| other.to <= reached)
    });
    let kept = then.makes.iter().any(|steps| {
        let of = |other: &&Steps| other.instance == steps.instance;
        one.during
            .iter()
            .filter(of)
            .any(|other| other.to < steps.to)
    });
    let listed = one
        .rule
        .as_ref()
        .is_some_and(|rule| then.after.contains(rule));
    made || kept || listed
}
