//! Who joins, leaves and may do what: each an entry by a supervisor, and the first supervisor's own.
//!
//! Takes a folder, a change and who makes it; gives the workshop after it, or the reason why not. The record holds it before this returns.

use std::collections::BTreeSet;
use std::io;
use std::path::Path;

use super::add::add;
use super::entry::{Act, Entry};
use super::prove::{Proof, pin_needed};
use super::workshop::{Workshop, needs_place, record};
use super::{PIN, SAID};
use crate::chain::{Chain, Time};
use crate::job::{self, Role};
use crate::keys::{Home, number};
use crate::report::{Code, Problem, quoted};
use crate::rules::{self, TRADES};

/// Who changes something.
#[derive(Debug, Clone, Copy)]
pub enum By<'a> {
    /// Nobody is named: the first person.
    Nobody,
    /// Somebody gives a name.
    Said(&'a str),
    /// Somebody gave the PIN.
    Proved(&'a Proof),
}

impl<'a> By<'a> {
    /// Whoever gave a PIN, or else whoever is named.
    pub(crate) fn of(proof: Option<&'a Proof>, named: Option<&'a str>) -> Self {
        match (proof, named) {
            (Some(proof), _) => Self::Proved(proof),
            (None, Some(person)) => Self::Said(person),
            (None, None) => Self::Nobody,
        }
    }
}

/// What is changed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PeopleChange {
    /// Somebody joins, or comes back.
    Join {
        /// The id.
        person: String,
        /// The name on the pages.
        name: String,
        /// What the person may sign as.
        roles: BTreeSet<Role>,
        /// The licences held.
        licences: BTreeSet<String>,
    },
    /// What somebody may sign as from here on.
    Roles(String, BTreeSet<Role>),
    /// Which licences somebody holds from here on.
    Licences(String, BTreeSet<String>),
    /// Somebody leaves.
    Leave(String),
    /// Goes on with a record that lost lines, and says why.
    Adopt(String),
    /// Begins with a new secret, and says why: every PIN must be set anew.
    NewSecret(String),
}

/// Makes a change. Until a supervisor has a PIN, a supervisor's name will do.
pub fn change(
    folder: &Path,
    change: &PeopleChange,
    by: By<'_>,
    now: Time,
) -> Result<Workshop, Problem> {
    if !record(folder).exists() {
        // What is refused leaves no empty record behind.
        made(&Workshop::of(folder, Chain::default()), change, by, now)?;
    }
    add(folder, |workshop| {
        let mut entry = made(workshop, change, by, now)?;
        if matches!(change, PeopleChange::NewSecret(_)) {
            // It stands in the place of the old one from here on, and signs this entry already.
            let home = Home::of_this_machine();
            let secret = home.and_then(|home| home.secret_anew(&workshop.id));
            entry.key = Some(secret.map_err(|error| needs_place(&error))?.public());
        }
        Ok(entry)
    })
}

/// The entry of a change.
fn made(
    workshop: &Workshop,
    change: &PeopleChange,
    by: By<'_>,
    now: Time,
) -> Result<Entry, Problem> {
    let adopts = matches!(change, PeopleChange::Adopt(_) | PeopleChange::NewSecret(_));
    if let Some(doubt) = workshop.doubt.clone().filter(|_| !adopts) {
        return Err(doubt);
    }
    let first = workshop.record.entries.is_empty();
    let entry = match change {
        PeopleChange::Join {
            person,
            name,
            roles,
            licences,
        } => {
            may_join(workshop, (person, name), (roles, first))?;
            of_trades(licences)?;
            Entry {
                name: Some(name.clone()),
                roles: Some(words(roles)),
                licences: Some(licences.iter().cloned().collect()),
                ..Entry::new(Act::Joined, person, now)
            }
        }
        PeopleChange::Roles(person, roles) => {
            workshop.member(person)?;
            stays_led(workshop, person, roles.contains(&Role::Supervisor))?;
            Entry {
                roles: Some(words(roles)),
                ..Entry::new(Act::Role, person, now)
            }
        }
        PeopleChange::Licences(person, licences) => {
            workshop.member(person)?;
            of_trades(licences)?;
            Entry {
                licences: Some(licences.iter().cloned().collect()),
                ..Entry::new(Act::Licence, person, now)
            }
        }
        PeopleChange::Leave(person) => {
            workshop.member(person)?;
            stays_led(workshop, person, false)?;
            Entry::new(Act::Left, person, now)
        }
        PeopleChange::Adopt(note) | PeopleChange::NewSecret(note) => {
            let person = named(by).unwrap_or_default();
            workshop.member(person)?;
            Entry {
                note: Some(reason(note)?),
                ..Entry::new(Act::Adopted, person, now)
            }
        }
    };
    if first {
        let id = number().map_err(|error| no_lots(&error))?;
        return Ok(Entry {
            workshop: Some(id),
            ..entry
        });
    }
    by_supervisor(workshop, by, matches!(change, PeopleChange::NewSecret(_)))?;
    Ok(signed_by(entry, by))
}

/// Refuses a licence that no work could ask for: its holder would be refused all the same where it counts.
fn of_trades(licences: &BTreeSet<String>) -> Result<(), Problem> {
    let unknown = licences
        .iter()
        .find(|licence| !TRADES.contains(&licence.as_str()));
    unknown.map_or(Ok(()), |licence| Err(rules::unknown_trade(licence)))
}

fn words(roles: &BTreeSet<Role>) -> Vec<String> {
    roles.iter().map(|role| role.word().to_owned()).collect()
}

fn reason(note: &str) -> Result<String, Problem> {
    if note.trim().is_empty() {
        let message = "this takes a few words that say why";
        return Err(Problem::error(Code::ReasonMissing, message).help("add `--note '…'`"));
    }
    Ok(note.to_owned())
}

pub(super) fn named(by: By<'_>) -> Option<&str> {
    match by {
        By::Nobody => None,
        By::Said(person) => Some(person),
        By::Proved(proof) => Some(proof.person()),
    }
}

/// An entry with who made it and how that was known.
pub(super) fn signed_by(entry: Entry, by: By<'_>) -> Entry {
    let how = match by {
        By::Nobody => None,
        By::Said(_) => Some(SAID),
        By::Proved(_) => Some(PIN),
    };
    Entry {
        by: named(by).map(ToOwned::to_owned),
        how: how.map(ToOwned::to_owned),
        ..entry
    }
}

/// Refuses whoever is no supervisor, or has only a name where a supervisor has a PIN.
fn by_supervisor(workshop: &Workshop, by: By<'_>, anew: bool) -> Result<(), Problem> {
    let Some(person) = named(by) else {
        let message = "only a supervisor changes who is in the workshop and who may do what";
        return Err(workshop.refusal(Code::WrongRole, message, "say who: `--by ID`"));
    };
    let member = workshop.member(person)?;
    if !member.is_supervisor() {
        let message = format!(
            "`{}` is no supervisor, and changes nothing here",
            quoted(person)
        );
        let help = "a supervisor does it: `--by ID`";
        return Err(workshop.refusal(Code::WrongRole, message, help));
    }
    match by {
        By::Proved(proof) => proof.check(workshop),
        // Where the secret is lost nobody can prove anything.
        _ if anew => Ok(()),
        _ if member.has_pin || proves(workshop).next().is_some() => Err(pin_needed(person)),
        _ => Ok(()),
    }
}

/// The supervisors who can prove who they are.
pub(super) fn proves(workshop: &Workshop) -> impl Iterator<Item = &String> {
    let people = workshop.people.iter();
    let proves = people.filter(|(_, member)| member.is_supervisor() && member.pin.is_some());
    proves.map(|(id, _)| id)
}

fn may_join(
    workshop: &Workshop,
    (person, name): (&str, &str),
    (roles, first): (&BTreeSet<Role>, bool),
) -> Result<(), Problem> {
    let refused =
        |code: Code, message: String, help: &str| Err(workshop.refusal(code, message, help));
    if !job::is_id(person) {
        let help = "use up to 64 letters, digits, `-` and `_`, beginning with a letter or digit";
        return refused(
            Code::BadId,
            format!("`{}` cannot be an id", quoted(person)),
            help,
        );
    }
    if name.trim().is_empty() || name.chars().count() > 200 || name.chars().any(char::is_control) {
        let message = format!("`{}` needs a name of one line", quoted(person));
        return refused(Code::MissingField, message, "add `--name '…'`");
    }
    if first && !roles.contains(&Role::Supervisor) {
        let message = "the first who joins is a supervisor, since only a supervisor lets others in"
            .to_owned();
        return refused(Code::WrongRole, message, "add `--role supervisor`");
    }
    if roles.is_empty() {
        let message = format!("`{}` needs a role to sign as", quoted(person));
        return refused(
            Code::MissingField,
            message,
            "add `--role fitter`, or another role",
        );
    }
    // Whoever comes back has the id of before.
    let there = workshop.people.iter();
    let gone = workshop.gone.iter().filter(|(id, _)| *id != person);
    for (id, member) in there.chain(gone) {
        if let Some((message, _)) = job::likeness((id, &member.name), (person, name)) {
            let help = "who did a task and who checked it must be told apart; give one an initial or another id";
            return refused(Code::PeopleAlike, message, help);
        }
    }
    Ok(())
}

/// Refuses what would leave the workshop without a supervisor.
fn stays_led(workshop: &Workshop, person: &str, supervises: bool) -> Result<(), Problem> {
    let others = workshop.people.iter().filter(|(id, _)| *id != person);
    if supervises || others.into_iter().any(|(_, member)| member.is_supervisor()) {
        return Ok(());
    }
    let message = format!(
        "without `{}` nobody would be a supervisor here",
        quoted(person)
    );
    let help = "let another person be a supervisor first";
    Err(workshop.refusal(Code::WrongRole, message, help))
}

pub(super) fn no_lots(error: &io::Error) -> Problem {
    let message = format!("the system gives no random numbers: {error}");
    Problem::error(Code::RecordNotWritten, message).help("nothing was changed; try again")
}
