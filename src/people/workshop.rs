//! What the record of the people comes to: who is there, what each may do, who has a PIN.
//!
//! Takes a folder; gives its [`Workshop`], with what is to be said of it. A doubt is what a supervisor must say something to before anything
//! is changed.

use std::collections::{BTreeMap, BTreeSet};
use std::io;
use std::path::{Path, PathBuf};

use super::entry::{Act, Entry};
use crate::chain::{Chain, Doubt, Time};
use crate::job::Role;
use crate::keys::{Home, LastSeen, Secret};
use crate::report::{Code, Place, Problem, Severity, quoted, unknown_help};
use crate::sorted::Sorted as _;
use crate::whole;

/// The record of the people, in the folder of the jobs.
const RECORD: &str = "people.record.jsonl";

/// The people of a folder of jobs.
#[derive(Debug, Default, Clone)]
pub struct Workshop {
    /// The folder.
    pub folder: PathBuf,
    /// Its own random number; empty while nobody has joined.
    pub id: String,
    /// Who is there, by id.
    pub people: BTreeMap<String, Member>,
    /// What should be looked at, and changes nothing.
    pub warnings: Vec<Problem>,
    /// What a supervisor must say something to before anything is changed or signed.
    pub doubt: Option<Problem>,
    /// The record of the people.
    pub record: Chain<Entry>,
    /// Those who are not there any more.
    pub(super) gone: BTreeMap<String, Member>,
}

/// Somebody of a workshop.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Member {
    /// The name on the pages.
    pub name: String,
    /// What the person may sign as.
    pub roles: BTreeSet<Role>,
    /// The licences held.
    pub licences: BTreeSet<String>,
    /// Since when the person is there.
    pub since: Time,
    /// Whether a name alone is not believed any more.
    pub has_pin: bool,
    /// Since when.
    pub pin_since: Option<Time>,
    /// The number of the entry by which the PIN counts, and the SHA-256 of what is kept of it; none where it must be set anew.
    pub pin: Option<(u64, String)>,
}

impl Member {
    /// Whether the person is a supervisor.
    pub fn is_supervisor(&self) -> bool {
        self.roles.contains(&Role::Supervisor)
    }
}

/// The folder that a folder or a job file stands for.
pub fn place_of(path: &Path) -> PathBuf {
    if path.is_dir() {
        return path.to_owned();
    }
    let real = path.is_symlink().then(|| std::fs::canonicalize(path).ok());
    whole::folder(real.flatten().as_deref().unwrap_or(path)).to_owned()
}

impl Workshop {
    /// What a record comes to, and nothing else yet.
    pub(super) fn of(folder: &Path, record: Chain<Entry>) -> Self {
        let mut workshop = Self {
            folder: folder.to_owned(),
            ..Self::default()
        };
        for entry in &record.entries {
            workshop.take(entry);
        }
        workshop.record = record;
        workshop
    }

    fn take(&mut self, entry: &Entry) {
        if let Some(id) = &entry.workshop {
            self.id.clone_from(id);
        }
        match entry.act {
            Act::Joined => self.join(entry),
            Act::Left => {
                if let Some(mut member) = self.people.remove(&entry.person) {
                    member.pin = None;
                    self.gone.insert(entry.person.clone(), member);
                }
            }
            // With another secret no PIN can be looked at that was set before.
            Act::Adopted if entry.key.is_some() => {
                let all = self.people.values_mut().chain(self.gone.values_mut());
                all.for_each(|member| member.pin = None);
            }
            Act::Adopted | Act::Failed => {}
            Act::Role | Act::Licence | Act::PinSet | Act::PinReset => {
                let Some(member) = self.people.get_mut(&entry.person) else {
                    return;
                };
                roles(member, entry);
                if let Some(pin) = &entry.pin {
                    member.has_pin = true;
                    member.pin_since.get_or_insert(entry.time);
                    member.pin = Some((entry.number, pin.clone()));
                }
            }
        }
    }

    fn join(&mut self, entry: &Entry) {
        let before = self.gone.remove(&entry.person);
        let mut member = Member {
            name: entry.name.clone().unwrap_or_default(),
            roles: BTreeSet::new(),
            licences: BTreeSet::new(),
            since: entry.time,
            // Whoever had a PIN once is never believed without one again.
            has_pin: before.as_ref().is_some_and(|before| before.has_pin),
            pin_since: before.and_then(|before| before.pin_since),
            pin: None,
        };
        roles(&mut member, entry);
        self.people.insert(entry.person.clone(), member);
    }

    /// What speaks against the record by what the machine keeps.
    pub(super) fn doubts(
        &self,
        home: &Home,
        seen: Option<&LastSeen>,
    ) -> io::Result<Option<Problem>> {
        let mut doubt = seen.and_then(|seen| self.record.against(seen));
        if doubt.is_none() && self.record.key().is_some() && self.secret(home)?.is_none() {
            doubt = Some(Doubt::OtherKey);
        }
        Ok(doubt.map(|doubt| {
            let help = match doubt {
                Doubt::OtherKey => "copy the folder that `LIFTSHEET_HOME` names from the machine on which the PINs were set; where it is lost, a supervisor begins anew: `liftsheet people FOLDER --new-secret --by … --note '…'`",
                _ => "fetch the longer record from a copy; where it is gone, a supervisor says why and goes on: `liftsheet people FOLDER --adopt --by … --note '…'`",
            };
            doubtful(doubt).at(self.place()).help(help)
        }))
    }

    /// The secret by which this machine signs, where it is the one of the record.
    pub(super) fn secret(&self, home: &Home) -> io::Result<Option<Secret>> {
        let secret = home.secret(&self.id)?;
        let own = |secret: &Secret| self.record.key().is_none_or(|key| key == secret.public());
        Ok(secret.filter(own))
    }

    /// Whether somebody's PIN is the one of this SHA-256.
    pub(super) fn counts(&self, digest: &str) -> bool {
        let pins = self
            .people
            .values()
            .filter_map(|member| member.pin.as_ref());
        pins.into_iter().any(|(_, pin)| pin == digest)
    }

    /// Since when somebody who is or was there has a PIN.
    pub fn pin_since(&self, id: &str) -> Option<Time> {
        let member = self.people.get(id).or_else(|| self.gone.get(id));
        member.and_then(|member| member.pin_since)
    }

    /// Somebody of the workshop.
    pub fn member(&self, id: &str) -> Result<&Member, Problem> {
        self.people.get(id).ok_or_else(|| self.nobody(id))
    }

    /// The problem of somebody who is not there.
    pub(super) fn nobody(&self, id: &str) -> Problem {
        let message = format!("`{}` is not one of the people of this workshop", quoted(id));
        let help = if self.people.is_empty() {
            "the first who joins is a supervisor: `liftsheet people FOLDER --join ID --name … --role supervisor`".to_owned()
        } else {
            unknown_help(id, self.people.keys().map(String::as_str))
        };
        self.refusal(Code::UnknownPerson, message, help)
    }

    /// The refusal of something by what its record says.
    pub(super) fn refusal(
        &self,
        code: Code,
        message: impl Into<String>,
        help: impl Into<String>,
    ) -> Problem {
        Problem::error(code, message).at(self.place()).help(help)
    }

    /// Where the record stands.
    pub fn place(&self) -> Place {
        Place::at(&record(&self.folder))
    }
}

fn roles(member: &mut Member, entry: &Entry) {
    if let Some(given) = &entry.roles {
        let known = given.iter().filter_map(|word| word.parse().ok());
        member.roles = known.sorted_set();
    }
    if let Some(given) = &entry.licences {
        member.licences = given.iter().cloned().sorted_set();
    }
}

/// Where the record of a folder's people stands.
pub fn record(folder: &Path) -> PathBuf {
    if folder == Path::new(".") {
        return PathBuf::from(RECORD);
    }
    folder.join(RECORD)
}

/// The problem of lines that are whole, and yet not what they were; whose they are and the way out are left to whoever asks.
pub(crate) fn doubtful(doubt: Doubt) -> Problem {
    let (code, message) = match doubt {
        Doubt::Shorter { had, has } => (
            Code::RecordCutShort,
            format!("this machine saw {had} lines of this record, and it has only {has}"),
        ),
        Doubt::Branches(line) => (
            Code::RecordCutShort,
            format!("line {line} of this record is another one than this machine saw"),
        ),
        Doubt::OtherKey => (
            Code::OtherKey,
            "this record is signed by a key that this machine does not have".to_owned(),
        ),
    };
    Problem::error(code, message)
}

/// The refusal of what cannot be done without what the machine keeps.
pub(super) fn needs_place(error: &io::Error) -> Problem {
    Problem {
        severity: Severity::Error,
        ..not_kept(error)
    }
}

/// What is said when the machine keeps nothing.
pub(crate) fn not_kept(error: &io::Error) -> Problem {
    let place = Home::of_this_machine().map_or_else(
        |_| "the folder of this user".to_owned(),
        |home| format!("`{}`", home.path().display()),
    );
    let message =
        format!("what belongs outside the folder of jobs cannot be kept in {place}: {error}");
    Problem::warning(Code::KeysNotKept, message).help(
        "see who may write there, or name another folder with `LIFTSHEET_HOME`; signing by name goes on without it",
    )
}
