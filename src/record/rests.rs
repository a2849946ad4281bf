//! Which later tasks are undone when an earlier one is done again.
//!
//! Undoing runs along what the plan says that a task rests on. What comes before a task is another question, and a wider one: [`before`]
//! gives all of it.

use std::collections::{BTreeMap, BTreeSet};

use rustc_hash::FxHashSet;

use super::agreed::Agreed;
use super::standing::Standing;
use super::status::Status;
use crate::plan::Sign;

/// The places of all tasks that come before one, however far back.
pub(super) fn before(agreed: &Agreed, place: usize) -> BTreeSet<usize> {
    let last = agreed.tasks.get(place).map(|task| task.after.iter());
    let mut waits: FxHashSet<&str> = last.into_iter().flatten().map(String::as_str).collect();
    let mut places = BTreeSet::new();
    // Every task stands behind all that it waits for.
    for (place, task) in agreed.tasks.iter().enumerate().take(place).rev() {
        if waits.contains(task.id.as_str()) {
            waits.extend(task.after.iter().map(String::as_str));
            places.insert(place);
        }
    }
    places
}

/// The places of all tasks behind one, however far.
pub(super) fn behind(agreed: &Agreed, id: &str) -> BTreeSet<usize> {
    let mut found: BTreeSet<&str> = BTreeSet::from([id]);
    let mut places = BTreeSet::new();
    // Every task stands behind all that it waits for.
    for (place, task) in agreed.tasks.iter().enumerate() {
        if task
            .after
            .iter()
            .any(|before| found.contains(before.as_str()))
        {
            found.insert(&task.id);
            places.insert(place);
        }
    }
    places
}

/// The place of the task that ends what one sets the vehicle up for; the first place for a task that sets nothing up.
pub(super) fn ended(agreed: &Agreed, id: &str) -> usize {
    let set_up = agreed.tasks.iter().find_map(|task| task.set_up.get(id));
    let place = set_up.and_then(|ended| agreed.tasks.iter().position(|task| task.id == *ended));
    place.unwrap_or_default()
}

/// Everything that falls open of what is signed with tasks that fall open, each with why: what rests on them, and what brought about how
/// things stood while they were done, where that was ended since. A mount that is done again takes the bolts out and the body up again.
///
/// Of what rests on a seed only that falls which stands at the place given with it in the order of work or behind it. What a hold point cleared
/// falls with it only where it is refused.
pub(super) fn fallen<'a>(
    (status, agreed): (&Status<'_>, &'a Agreed),
    seeds: &BTreeMap<&'a str, usize>,
    refused: Option<&str>,
) -> BTreeMap<&'a str, String> {
    let mut falling = Falling {
        status,
        agreed,
        places: agreed.places(),
        open: seeds.clone(),
        found: BTreeMap::new(),
        seeds,
    };
    if let Some(refused) = refused {
        falling.cleared(refused);
    }
    loop {
        let before = falling.open.clone();
        falling.rests();
        falling.needs_again();
        if falling.open == before {
            break;
        }
    }
    let signed = |id: &str| status.get(id).is_some_and(Standing::is_signed);
    falling.found.retain(|id, _| signed(id));
    falling.found
}

/// What falls open, while it is found.
struct Falling<'s, 'p, 'a> {
    status: &'s Status<'p>,
    agreed: &'a Agreed,
    /// The places of all tasks in the order of work.
    places: BTreeMap<&'a str, usize>,
    /// What is open, each with the place from which on what rests on it falls.
    open: BTreeMap<&'a str, usize>,
    /// Why it is.
    found: BTreeMap<&'a str, String>,
    /// What fell open by itself.
    seeds: &'s BTreeMap<&'a str, usize>,
}

impl<'a> Falling<'_, '_, 'a> {
    fn signed(&self, id: &str) -> bool {
        self.status.get(id).is_some_and(Standing::is_signed)
    }

    /// Opens a task as far as that.
    fn open(&mut self, id: &'a str, from: usize, why: impl FnOnce() -> String) {
        let known = self.open.entry(id).or_insert(from);
        *known = from.min(*known);
        self.found.entry(id).or_insert_with(why);
    }

    /// What was cleared by a hold point that is refused.
    fn cleared(&mut self, refused: &str) {
        for task in &self.agreed.tasks {
            if task.set_up.get(refused) == Some(&task.id) {
                self.open(&task.id, 0, || format!("was cleared by `{refused}`"));
            }
        }
    }

    /// What rests on what is open.
    fn rests(&mut self) {
        for (place, task) in self.agreed.tasks.iter().enumerate() {
            let open = |id: &&String| {
                let from = self.open.get(id.as_str()).copied();
                // Of what only sets the vehicle up what takes that on falls, and no connection.
                from.is_some_and(|from| from <= place && (from == 0 || task.links.is_empty()))
            };
            if let Some(on) = task.rests_on.iter().find(open) {
                self.open(&task.id, 0, || format!("rests on `{on}`"));
            }
        }
    }

    /// What is needed again for what is open, the last first.
    fn needs_again(&mut self) {
        for task in self.agreed.tasks.iter().rev() {
            let open = self.open.contains_key(task.id.as_str());
            // What is still to be done for the first time needs that as well: work that a changed reading brought.
            if !open && self.signed(&task.id) {
                continue;
            }
            let why = || format!("is needed again for `{}`", task.id);
            for (brought, ended) in &task.stood {
                if self.signed(ended) {
                    self.open(brought, 0, why);
                }
            }
            // A hold point that is only asked again does nothing to the vehicle, and a box that nobody has ticked yet may stand for something that
            // was done.
            let asked = task.hold.is_some() && !self.seeds.contains_key(task.id.as_str());
            let done = task.sign == Sign::Tick && !open;
            for (brought, ended) in task.set_up.iter().filter(|_| !asked && !done) {
                let from = self.places.get(ended.as_str()).copied();
                if self.signed(ended) {
                    // What was done while the vehicle stood so stays.
                    self.open(brought, from.unwrap_or_default(), why);
                }
            }
            for (up, down) in &task.raised {
                if self.signed(up) && !self.signed(down) {
                    let why = || {
                        format!(
                            "is undone when the body is let down first for `{}`",
                            task.id
                        )
                    };
                    self.open(up, 0, why);
                }
            }
        }
    }
}
