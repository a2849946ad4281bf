//! What speaks against a record that is whole in itself: by what this machine saw of it, by its key, and by the people of its folder.
//!
//! Takes where the record stands and its lines; gives the people and the doubt that go with it, and remembers how far it is.

use std::path::Path;
use std::sync::Arc;

use crate::chain::{Doubt, Time};
use crate::keys::Home;
use crate::people::{Workshop, doubtful, not_kept, place_of};
use crate::record::{self, Act, Entry, Record};
use crate::report::{Code, Place, Problem, quoted};

/// What a record is trusted by.
pub(super) struct Trust {
    /// The people of its folder; none where it has none of its own.
    pub(super) workshop: Option<Workshop>,
    /// What a supervisor must say something to before anything is signed.
    pub(super) doubt: Option<Problem>,
    /// What should be looked at.
    pub(super) warnings: Vec<Problem>,
}

impl Trust {
    /// What the record at a place is trusted by; `locked` is whether nobody else can add to it meanwhile.
    pub(super) fn of(path: &Path, record: &Record, locked: bool) -> Result<Self, Problem> {
        let mut workshop = Workshop::open(&place_of(path))?;
        let mut warnings = Vec::new();
        if let Some(workshop) = &mut workshop {
            warnings.append(&mut workshop.warnings);
        }
        let of_people = workshop.as_ref().and_then(|own| own.doubt.clone());
        let unproved = workshop.as_ref().and_then(|own| unproved(record, own));
        let unproved = unproved.map(|problem| problem.at(Place::at(path)));
        let doubt = of_people.or(unproved).or_else(|| match seen((path, record, locked), workshop.as_ref()) {
            Ok(doubt) => doubt.map(|doubt| {
                let help = "fetch the record as it was from a copy; where it is gone or comes from elsewhere, a supervisor says why and goes on: `liftsheet sign JOB --act adopted --by … --note '…'`";
                doubtful(doubt).at(Place::at(path)).help(help)
            }),
            Err(error) => {
                warnings.push(not_kept(&error));
                None
            }
        });
        warnings.dedup();
        Ok(Self {
            workshop,
            doubt,
            warnings,
        })
    }
}

/// An entry by somebody who had a PIN by then, and without it: nobody could sign so here. Whoever adopts the record afterwards knows of it.
fn unproved(record: &Record, workshop: &Workshop) -> Option<Problem> {
    let adopts = |entry: &Arc<Entry>| entry.act == Act::Adopted && entry.is_proved();
    let bound = |entry: &Arc<Entry>| {
        let binding = entry.binds.as_ref();
        let own = binding.and_then(|binding| binding.workshop.as_ref());
        own == Some(&workshop.id)
    };
    let from = record.entries.iter().position(bound)?;
    let adopted = record.entries.iter().rposition(adopts).unwrap_or(0);
    // A line is not older than those before it, whatever it says.
    let mut latest: Option<Time> = None;
    for (place, entry) in record.entries.iter().enumerate() {
        latest = latest.max(Some(entry.time));
        let since = workshop.pin_since(&entry.person);
        let had = since.is_some_and(|since| latest > Some(since));
        if place > from.max(adopted) && had && !entry.is_proved() {
            let message = format!(
                "entry {} is by `{}`, who had a PIN by then, and was written without it",
                entry.number,
                quoted(&entry.person)
            );
            let help = "somebody wrote it past the program; fetch the record from a copy, or a supervisor says why it stands: `liftsheet sign JOB --act adopted --by … --note '…'`";
            return Some(Problem::error(Code::RecordBroken, message).help(help));
        }
    }
    None
}

/// What speaks against a record; one against which nothing does is remembered.
fn seen(
    (path, record, locked): (&Path, &Record, bool),
    workshop: Option<&Workshop>,
) -> std::io::Result<Option<Doubt>> {
    let Some((binding, _)) = record.bound() else {
        return Ok(None);
    };
    let home = Home::of_this_machine()?;
    if let Some(seen) = home.seen(&binding.id)? {
        // Others may have signed since it was read.
        let again = || record::read(path, &|| ()).ok();
        let doubt = record.against(&seen);
        let again = doubt.filter(|_| !locked).and_then(|_| again());
        let doubt = again.map_or(doubt, |again: Record| again.against(&seen));
        if doubt.is_some() {
            return Ok(doubt);
        }
    }
    let own = workshop.and_then(|workshop| workshop.record.key());
    if record.key().is_some_and(|key| own != Some(key)) {
        return Ok(Some(Doubt::OtherKey));
    }
    record.remember(&home, &binding.id, false)?;
    Ok(None)
}

/// Remembers how far a record is that was just signed; that nothing can be kept was told before.
pub(super) fn remember(record: &Record) {
    if let (Some((binding, _)), Ok(home)) = (record.bound(), Home::of_this_machine()) {
        let last = record.entries.last();
        let adopted = last.is_some_and(|entry| entry.act == Act::Adopted);
        let _ = record.remember(&home, &binding.id, adopted);
    }
}
