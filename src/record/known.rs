//! How whoever signs is known: by the PIN, or by what is said where nobody has one.
//!
//! Takes what the record stands on and a wish; gives the proof, or the refusal. An entry that is proved is signed by the machine as it is
//! added, and brings the machine's key where the record has none yet.

use super::entry::{Act, Entry, Record};
use super::footing::Footing;
use super::wish::Wish;
use crate::chain::NO_KEY;
use crate::people::{PIN, Proof, pin_needed};
use crate::report::Problem;

/// The proof of whoever signs; none where a name will do.
pub(super) fn by<'w>(
    footing: &Footing,
    record: &Record,
    wish: &'w Wish,
) -> Result<Option<&'w Proof>, Problem> {
    let workshop = footing.workshop.as_ref();
    let holds = |proof: &&Proof| workshop.is_some_and(|workshop| proof.holds(workshop));
    let proof = wish.proofs.get(&wish.by).filter(holds);
    let member = workshop.and_then(|workshop| workshop.people.get(&wish.by));
    let mut entries = record.entries.iter();
    let proved = entries.any(|entry| entry.person == wish.by && entry.is_proved());
    let needed = proved || member.is_some_and(|member| member.has_pin);
    match proof {
        None if needed => Err(pin_needed(&wish.by)),
        proof => Ok(proof),
    }
}

/// Adds an entry behind the last one, signed where it is proved.
pub(super) fn push(record: &mut Record, mut entry: Entry, proof: Option<&Proof>) {
    let own = proof.map(|proof| proof.secret().public());
    let other = own.as_deref() != record.key();
    match own {
        Some(key) => {
            entry.how = Some(PIN.to_owned());
            entry.key = other.then_some(key);
        }
        // Nobody here has a PIN any more, and the old key signs nothing from here on.
        None if entry.act == Act::Adopted && other => entry.key = Some(NO_KEY.to_owned()),
        None => {}
    }
    record.push(entry, proof.map(Proof::secret));
}
