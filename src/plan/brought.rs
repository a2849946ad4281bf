//! What the states bring into a plan and put in order, once all tasks that may be done are drafted.
//!
//! Takes drafts with the steps that they make and need; gives those that are done, the edges between them (every maker of a step → the task →
//! every maker of a later step), and the states that they tell of. A step that no task of this plan makes is skipped.

use std::collections::{BTreeMap, BTreeSet};

use super::draft::Draft;
use super::states::{Courses, Steps, ToldState};
use crate::sorted::Sorted as _;

impl Courses<'_> {
    /// The states that some task of the plan is about.
    pub(super) fn told(&self, drafts: &[Draft]) -> BTreeMap<String, ToldState> {
        let mut told: BTreeMap<String, ToldState> = BTreeMap::new();
        let steps = drafts
            .iter()
            .flat_map(|draft| draft.makes.iter().chain(&draft.during));
        for steps in steps {
            let found = self.course(&steps.instance);
            let name = found.map_or("link", |(name, _)| name);
            if !told.contains_key(name) {
                told.insert(
                    name.to_owned(),
                    ToldState::of(found.map(|(_, course)| course)),
                );
            }
            if let Some(state) = told.get_mut(name) {
                state.instances.insert(steps.instance.clone());
            }
        }
        told
    }
}

/// Takes out of what may be done (`pool`) what a later step needs, and what brings a course to its step at hand-over when something left it
/// off that; gives all that is done.
pub(super) fn bring_in(mut drafts: Vec<Draft>, mut pool: Vec<Draft>, left: &[Steps]) -> Vec<Draft> {
    loop {
        let mut needed: BTreeSet<(&str, usize)> = BTreeSet::new();
        let mut stands: BTreeMap<&str, (usize, usize)> = BTreeMap::new();
        // A found value that nobody changed is met where the value at hand-over is.
        let met = |steps: &Steps| {
            steps
                .hand_over
                .is_some_and(|end| steps.from <= end && end <= steps.to)
        };
        for steps in drafts
            .iter()
            .flat_map(|draft| &draft.during)
            .filter(|steps| !met(steps))
        {
            needed.insert((&steps.instance, steps.from));
        }
        for steps in drafts.iter().flat_map(|draft| &draft.makes).chain(left) {
            if let Some(hand_over) = steps.hand_over {
                let stand = stands.entry(&steps.instance).or_insert((0, hand_over));
                stand.0 = stand.0.max(steps.to);
            }
        }
        let wanted = |steps: &Steps| {
            let open = stands.get(steps.instance.as_str());
            let open = open
                .is_some_and(|(stand, end)| *stand > 0 && *stand < steps.to && steps.to <= *end);
            open || needed.contains(&(steps.instance.as_str(), steps.to))
        };
        let (more, rest): (Vec<Draft>, Vec<Draft>) = pool
            .into_iter()
            .partition(|draft| draft.makes.iter().any(wanted));
        if more.is_empty() {
            return drafts;
        }
        drafts.extend(more);
        pool = rest;
    }
}

/// Takes out the states that no task of this plan brings to their step at hand-over, because the vehicle does not have what is meant: a
/// sensor that is not there is not calibrated. That the rules as a whole bring each to its end is looked at by `rules::lint`.
pub(super) fn drop_endless(drafts: &mut [Draft]) {
    let makes = || drafts.iter().flat_map(|draft| &draft.makes);
    let ended = |steps: &&Steps| {
        steps
            .hand_over
            .is_none_or(|end| end == 0 || end == steps.to)
    };
    let ended: BTreeSet<String> = makes()
        .filter(ended)
        .map(|steps| steps.instance.clone())
        .sorted_set();
    let begun: BTreeSet<String> = makes().map(|steps| steps.instance.clone()).sorted_set();
    let endless: BTreeSet<&String> = begun.difference(&ended).sorted_set();
    for draft in drafts {
        draft
            .makes
            .retain(|steps| !endless.contains(&steps.instance));
        draft
            .during
            .retain(|steps| !endless.contains(&steps.instance));
    }
}

/// The edges that the states make, as pairs of the drafts' numbers. Those to a later slot are left out: every task of a slot comes before
/// all of the next, and what a thousand connections open would otherwise wait one by one for what a thousand close.
pub(super) fn edges(drafts: &[Draft]) -> BTreeSet<(usize, usize)> {
    let mut makers: BTreeMap<&str, BTreeMap<usize, Vec<usize>>> = BTreeMap::new();
    for (number, draft) in drafts.iter().enumerate() {
        for steps in &draft.makes {
            let of = makers.entry(&steps.instance).or_default();
            of.entry(steps.to).or_default().push(number);
        }
    }
    let slot = |number: usize| drafts.get(number).map(|draft| draft.task.slot);
    let mut edges = BTreeSet::new();
    for (number, draft) in drafts.iter().enumerate() {
        let made = draft
            .makes
            .iter()
            .map(|steps| (&steps.instance, steps.to.saturating_sub(1), steps.to));
        let held = draft
            .during
            .iter()
            .map(|steps| (&steps.instance, steps.from, steps.to));
        for (instance, reached, kept) in made.chain(held) {
            let Some(of) = makers.get(instance.as_str()) else {
                continue;
            };
            // The nearest step on each side is enough: its makers have the same edges to the next.
            let before = of.range(..=reached).next_back();
            let after = of.range(kept.saturating_add(1)..).next();
            let others = |steps: Option<(&usize, &Vec<usize>)>| {
                let numbers = steps
                    .map(|(_, numbers)| numbers.clone())
                    .unwrap_or_default();
                numbers.into_iter().filter(|other| *other != number)
            };
            let found = others(before).map(|other| (other, number));
            let found = found.chain(others(after).map(|other| (number, other)));
            edges.extend(found.filter(|(first, then)| slot(*first) >= slot(*then)));
        }
    }
    edges
}
