//! Setting a PIN: the first, another one, and one in the place of a forgotten one.
//!
//! Takes a person, what the new one is to be and who sets it; gives the six digits where they were drawn. What is kept is on the disk before
//! the record names it.

use std::path::Path;

use super::add::add;
use super::change::{self, By, named, no_lots, signed_by};
use super::entry::{Act, Entry};
use super::prove::pin_needed;
use super::workshop::{Workshop, needs_place};
use super::{hash, weak};
use crate::chain::{Chain, Time, sha256};
use crate::job::Role;
use crate::keys::{Home, draw};
use crate::report::{Code, Problem, quoted};

/// Sets a person's PIN: a passphrase that somebody chose, or six digits that the program draws and gives. They are told once and kept
/// nowhere.
pub fn set_pin(
    folder: &Path,
    person: &str,
    (passphrase, by): (Option<&str>, By<'_>),
    now: Time,
) -> Result<Option<String>, Problem> {
    if Workshop::open(folder)?.is_none() {
        return Err(Workshop::of(folder, Chain::default()).nobody(person));
    }
    let pin = match passphrase {
        Some(typed) => typed.to_owned(),
        None => digits()?,
    };
    add(folder, |workshop| {
        let member = workshop.member(person)?;
        if let Some(typed) = passphrase {
            strong(typed, (person, &member.name))?;
        }
        let act = allowed(workshop, person, by)?;
        let home = Home::of_this_machine();
        let secret = home.and_then(|home| home.secret_or_new(&workshop.id));
        let secret = secret.map_err(|error| needs_place(&error))?;
        let kept = hash::hash(&secret, (&workshop.id, person), &pin);
        let kept = kept.map_err(|error| no_lots(&error))?;
        let digest = sha256(kept.as_bytes());
        let mut all = hash::read(folder);
        // The old one stays until the record has the new one, and goes with the next.
        all.retain(|digest, _| workshop.counts(digest));
        all.insert(digest.clone(), kept);
        hash::write(folder, &all).map_err(|error| no_file(&error))?;
        let entry = Entry {
            pin: Some(digest),
            ..Entry::new(act, person, now)
        };
        Ok(signed_by(entry, by))
    })?;
    Ok(passphrase.is_none().then_some(pin))
}

/// Whether somebody may set a person's PIN, and what that is called.
fn allowed(workshop: &Workshop, person: &str, by: By<'_>) -> Result<Act, Problem> {
    let member = workshop.member(person)?;
    let By::Proved(proof) = by else {
        // Until somebody can prove anything, a name must do.
        let mut all = workshop.people.iter();
        return match all.find(|(_, member)| member.pin.is_some()) {
            None => Ok(Act::PinSet),
            Some(_) if member.pin.is_some() => Err(pin_needed(named(by).unwrap_or(person))),
            Some((other, _)) => {
                let other = change::proves(workshop).next().unwrap_or(other);
                Err(pin_needed(named(by).unwrap_or(other)))
            }
        };
    };
    proof.check(workshop)?;
    if proof.person() == person {
        return Ok(Act::PinSet);
    }
    let mut supervisors = change::proves(workshop).filter(|id| *id != person);
    let leads = workshop.member(proof.person())?.is_supervisor();
    if !leads && let Some(supervisor) = supervisors.next() {
        let message = format!("the PIN of `{}` is set by a supervisor", quoted(person));
        let help = format!("let a supervisor do it: `--by {supervisor}`");
        return Err(workshop.refusal(Code::WrongRole, message, help));
    }
    let roles = &workshop.member(proof.person())?.roles;
    if !leads && roles.iter().all(|role| *role == Role::Apprentice) {
        let message = format!(
            "an apprentice sets nobody else's PIN, and so not that of `{}`",
            quoted(person)
        );
        let help = "let a fitter do it, since there is no other supervisor: `--by ID`";
        return Err(workshop.refusal(Code::WrongRole, message, help));
    }
    Ok(if member.has_pin {
        Act::PinReset
    } else {
        Act::PinSet
    })
}

/// Refuses a passphrase that is easily guessed.
fn strong(typed: &str, whose: (&str, &str)) -> Result<(), Problem> {
    match weak::fault(typed, whose) {
        None => Ok(()),
        Some(fault) => {
            let message = format!("this passphrase will not do: {fault}");
            let help = "take several words that belong together for nobody else, or let the program draw six digits";
            Err(Problem::error(Code::WeakPin, message).help(help))
        }
    }
}

/// Six digits, each row of them as likely as any other.
fn digits() -> Result<String, Problem> {
    const ALL: u32 = 1_000_000;
    // What lies above the last whole million would make some likelier.
    let fair = u32::MAX - u32::MAX % ALL;
    loop {
        let lot = u32::from_be_bytes(draw().map_err(|error| no_lots(&error))?);
        if lot < fair {
            return Ok(format!("{:06}", lot % ALL));
        }
    }
}

fn no_file(error: &std::io::Error) -> Problem {
    let message = format!(
        "`{}` cannot be written, so no PIN is set: {error}",
        hash::FILE
    );
    let help = "make room on the disk, or see who may write into the folder";
    Problem::error(Code::RecordNotWritten, message).help(help)
}
