//! Looking at a PIN: who gives the right one has a [`Proof`], and who gives a wrong one waits.
//!
//! Takes a folder, a person, a PIN, a device and the time; gives the proof, or how long to wait. Nothing else makes one.

use std::io;
use std::path::Path;
use std::sync::Arc;

use super::add::add;
use super::entry::{Act, Entry};
use super::hash;
use super::workshop::{Workshop, not_kept};
use crate::chain::{Chain, Time};
use crate::keys::{Home, Secret, wait_after};
use crate::report::{Code, Problem, numbered, quoted};

/// That somebody gave the PIN of a person: it signs as that person for as long as that PIN counts.
#[derive(Debug, Clone)]
pub struct Proof {
    person: String,
    workshop: String,
    /// The number of the entry by which the PIN counts.
    pin: u64,
    secret: Arc<Secret>,
}

impl Proof {
    /// Whose PIN it was.
    pub fn person(&self) -> &str {
        &self.person
    }

    /// What the machine signs with for that person.
    pub(crate) fn secret(&self) -> &Secret {
        &self.secret
    }

    /// Whether it is of this workshop and the PIN still counts.
    pub fn holds(&self, workshop: &Workshop) -> bool {
        let member = workshop.people.get(&self.person);
        let pin = member.and_then(|member| member.pin.as_ref());
        self.workshop == workshop.id && pin.is_some_and(|(number, _)| *number == self.pin)
    }

    /// Refuses it where it does not hold any more.
    pub(crate) fn check(&self, workshop: &Workshop) -> Result<(), Problem> {
        if self.holds(workshop) {
            Ok(())
        } else {
            Err(pin_needed(&self.person))
        }
    }
}

/// The refusal of somebody who gives no PIN.
pub(crate) fn pin_needed(person: &str) -> Problem {
    let message = format!(
        "this takes the PIN of `{}`: a name alone is not believed here",
        quoted(person)
    );
    Problem::error(Code::PinNeeded, message)
        .help("give it when asked on a terminal, or on standard input with `--pin-stdin`; where none is set or it is forgotten, `liftsheet pin`")
}

/// Looks at a PIN. A wrong one is an entry, and makes the next attempt of that person at that device wait.
pub fn prove(
    folder: &Path,
    (person, pin): (&str, &str),
    device: &str,
    now: Time,
) -> Result<Proof, Problem> {
    let workshop =
        Workshop::open(folder)?.unwrap_or_else(|| Workshop::of(folder, Chain::default()));
    let member = workshop.member(person)?;
    if !member.has_pin {
        let message = format!("`{}` has no PIN yet", quoted(person));
        let help = format!("set one: `liftsheet pin FOLDER {person}`");
        return Err(workshop.refusal(Code::PinNeeded, message, help));
    }
    let lost = |what: &str| lost(&workshop, person, what);
    let failed = |error: io::Error| lost(&not_kept(&error).message);
    let Some((number, digest)) = &member.pin else {
        return Err(lost(
            "it was set before the person left, or with another secret",
        ));
    };
    let hashes = hash::read(folder);
    let Some(kept) = hashes.get(digest) else {
        return Err(lost(&format!("it is not in `{}`", hash::FILE)));
    };
    let home = Home::of_this_machine().map_err(failed)?;
    let Some(secret) = workshop.secret(&home).map_err(failed)? else {
        return Err(lost(
            "this machine does not have the secret with which it was set",
        ));
    };
    let at = (person, device);
    let attempt = home.attempt(&workshop.id, at, now.seconds());
    let times = match attempt.map_err(failed)? {
        Ok(times) => times,
        Err(seconds) => return Err(wait(person, seconds)),
    };
    let whose = (workshop.id.as_str(), person);
    if !hash::is(&secret, whose, (pin, kept)).map_err(failed)? {
        return Err(wrong(folder, at, (times, now)));
    }
    home.was_right(&workshop.id, at).map_err(failed)?;
    Ok(Proof {
        person: person.to_owned(),
        workshop: workshop.id.clone(),
        pin: *number,
        secret: Arc::new(secret),
    })
}

/// Writes a wrong PIN down; gives the refusal.
fn wrong(folder: &Path, (person, device): (&str, &str), (times, now): (u32, Time)) -> Problem {
    let entry = Entry {
        device: Some(device.chars().take(200).collect()),
        ..Entry::new(Act::Failed, person, now)
    };
    let message = format!("this is not the PIN of `{}`", quoted(person));
    let next = match wait_after(times) {
        0 => "give it again".to_owned(),
        seconds => format!("the next one waits {}", span(seconds)),
    };
    // It is as wrong where the record cannot be written.
    let _ = add(folder, |_| Ok(entry));
    Problem::error(Code::WrongPin, message)
        .help(format!("{next}; a forgotten one is reset by a second person: `liftsheet pin FOLDER {person} --by …`"))
}

fn wait(person: &str, seconds: i64) -> Problem {
    let message = format!(
        "too many wrong PINs of `{}` were given at this device: the next one waits {} more",
        quoted(person),
        span(seconds)
    );
    Problem::error(Code::PinWait, message)
        .help("wait, or sign at another device; a supervisor can always sign at the machine itself")
}

fn span(seconds: i64) -> String {
    let seconds = usize::try_from(seconds).unwrap_or(0);
    if seconds < 120 {
        numbered(seconds, "second")
    } else {
        numbered(seconds.div_ceil(60), "minute")
    }
}

/// The problem of a PIN that cannot be looked at.
fn lost(workshop: &Workshop, person: &str, what: &str) -> Problem {
    let message = format!(
        "the PIN of `{}` cannot be looked at: {what}",
        quoted(person)
    );
    let help = format!(
        "copy what is missing from where it was kept, or let a second person reset the PIN: `liftsheet pin FOLDER {person} --by …`; where nobody can, a supervisor begins anew: `liftsheet people FOLDER --new-secret --by … --note '…'`"
    );
    workshop.refusal(Code::PinLost, message, help)
}
