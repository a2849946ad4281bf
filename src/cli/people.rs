//! `people` and `pin`: who is in a workshop, who may do what, and how each proves it.

use std::collections::BTreeSet;
use std::path::Path;

use super::pins::Pins;
use super::workshop_args::{PeopleArgs, PinArgs};
use super::{End, complain, print, refused};
use crate::desk::load::Loaded;
use crate::desk::sign::now;
use crate::job::Role;
use crate::people::{self, By, Member, PeopleChange, Proof, THIS_MACHINE, Workshop};
use crate::record::Zone;
use crate::report::{Code, Problem, in_message, numbered};
use crate::sorted::Sorted as _;

pub(super) fn run(args: &PeopleArgs) -> End {
    let folder = people::place_of(&args.folder);
    let pins = Pins::new(args.pin_stdin);
    let outcome = match wanted(args) {
        Ok(changes) => changed(&folder, (&changes, args.by.as_deref()), &pins),
        Err(problem) => Err(problem),
    };
    match outcome {
        Ok(workshop) => shown(workshop.as_ref()),
        Err(problem) => refused(problem),
    }
}

pub(super) fn pin(args: &PinArgs) -> End {
    let folder = people::place_of(&args.folder);
    match set(&folder, args) {
        Ok(text) => print(&text),
        Err(problem) => refused(problem),
    }
}

/// What the command line asks for.
fn wanted(args: &PeopleArgs) -> Result<Vec<PeopleChange>, Problem> {
    let roles = args.role.iter().filter_map(|word| word.parse().ok());
    let roles: BTreeSet<Role> = roles.sorted_set();
    let licences = args.licence.iter().filter(|licence| *licence != "none");
    let licences: BTreeSet<String> = licences.cloned().sorted_set();
    let note = || args.note.clone().unwrap_or_default();
    if let Some(person) = &args.join {
        return Ok(vec![PeopleChange::Join {
            person: person.clone(),
            name: args.name.clone().unwrap_or_default(),
            roles,
            licences,
        }]);
    }
    if let Some(person) = &args.change {
        let roles = (!roles.is_empty()).then(|| PeopleChange::Roles(person.clone(), roles));
        let licences =
            (!args.licence.is_empty()).then(|| PeopleChange::Licences(person.clone(), licences));
        let changes: Vec<PeopleChange> = licences.into_iter().chain(roles).collect();
        if changes.is_empty() {
            let message = format!("nothing is given that changes for `{}`", in_message(person));
            let help = "add `--role` or `--licence`, each with all that hold from here on";
            return Err(Problem::error(Code::MissingField, message).help(help));
        }
        return Ok(changes);
    }
    let one = match (&args.leave, args.adopt, args.new_secret) {
        (Some(person), ..) => Some(PeopleChange::Leave(person.clone())),
        (_, true, _) => Some(PeopleChange::Adopt(note())),
        (.., true) => Some(PeopleChange::NewSecret(note())),
        _ => None,
    };
    let given = args.by.is_some() || !args.role.is_empty() || !args.licence.is_empty();
    if one.is_none() && given {
        let message = "nothing is named that is to be done";
        let help = "say it with `--join`, `--change` or `--leave`";
        return Err(Problem::error(Code::MissingField, message).help(help));
    }
    Ok(one.into_iter().collect())
}

/// Makes the changes; gives the workshop after them.
fn changed(
    folder: &Path,
    (changes, by): (&[PeopleChange], Option<&str>),
    pins: &Pins,
) -> Result<Option<Workshop>, Problem> {
    let workshop = Workshop::open(folder)?;
    if changes.is_empty() {
        return Ok(workshop);
    }
    let anew = matches!(changes, [PeopleChange::NewSecret(_)]);
    let proof = match (&workshop, by) {
        (Some(workshop), Some(by)) if !anew => proof(workshop, by, pins)?,
        _ => None,
    };
    let by = By::of(proof.as_ref(), by);
    let mut after = None;
    for change in changes {
        after = Some(people::change(folder, change, by, now())?);
    }
    Ok(after)
}

/// The proof of somebody who has a PIN; none of somebody who has none.
pub(super) fn proof(
    workshop: &Workshop,
    person: &str,
    pins: &Pins,
) -> Result<Option<Proof>, Problem> {
    let has_pin = |member: &Member| member.has_pin;
    if !workshop.people.get(person).is_some_and(has_pin) {
        return Ok(None);
    }
    let pin = pins.ask(&format!("the PIN of {}", in_message(person)))?;
    let given = (person, pin.as_str());
    people::prove(&workshop.folder, given, THIS_MACHINE, now()).map(Some)
}

fn set(folder: &Path, args: &PinArgs) -> Result<String, Problem> {
    let pins = Pins::new(args.pin_stdin);
    let person = args.person.as_str();
    let workshop = Workshop::open(folder)?;
    let counts = |member: &Member| member.pin.is_some();
    let own = workshop.as_ref().and_then(|own| own.people.get(person));
    let by = match &args.by {
        Some(by) => Some(by.as_str()),
        // Whoever has one changes it with the old one.
        None => own.filter(|member| counts(member)).map(|_| person),
    };
    let proof = match (&workshop, by) {
        (Some(workshop), Some(by)) => proof(workshop, by, &pins)?,
        _ => None,
    };
    let by = By::of(proof.as_ref(), by);
    let typed = if args.passphrase {
        Some(pins.ask_new("the new passphrase")?)
    } else {
        None
    };
    let drawn = people::set_pin(folder, person, (typed.as_deref(), by), now())?;
    let person = in_message(person);
    Ok(match drawn {
        Some(digits) => format!(
            "The PIN of {person} is {digits}\nIt is shown this once and kept nowhere. From here on {person} signs with it alone.\n"
        ),
        None => format!(
            "The passphrase of {person} is set. From here on {person} signs with it alone.\n"
        ),
    })
}

/// The list of a workshop's people.
fn shown(workshop: Option<&Workshop>) -> End {
    let Some(workshop) = workshop else {
        return print(
            "This folder has no people of its own: on each job those sign whom its job file names, and nothing proves who they are.\n`liftsheet people FOLDER --join ID --name … --role supervisor` lets the first one in.\n",
        );
    };
    let mut loaded = Loaded::default();
    let problems = workshop.warnings.iter().chain(&workshop.doubt);
    loaded.report.extend(problems.cloned());
    let end = complain(&loaded);
    if workshop.record.entries.is_empty() {
        return end;
    }
    let people = workshop.people.iter();
    let mut text: String = people.map(|one| line(workshop, one)).collect();
    text.push_str(&format!(
        "{} in people.record.jsonl, each as it was written; digest of the last: sha256:{}\n",
        numbered(workshop.record.entries.len(), "line"),
        workshop.record.last_digest()
    ));
    if let Some(key) = workshop.record.key() {
        text.push_str(&format!("signed by this machine's key {key}\n"));
    }
    print(&text).max(end)
}

fn line(workshop: &Workshop, (id, member): (&String, &Member)) -> String {
    let roles: Vec<&str> = member.roles.iter().map(|role| role.word()).collect();
    let licences: Vec<String> = member.licences.iter().map(|one| in_message(one)).collect();
    let licences = if licences.is_empty() {
        String::new()
    } else {
        format!(", licensed for {}", licences.join(" and "))
    };
    let pin = match (&member.pin, member.has_pin) {
        (Some((number, _)), _) => {
            // Nobody's PIN is set by somebody else unseen.
            let mut entries = workshop.record.entries.iter();
            let set = entries.find(|entry| entry.number == *number);
            let by = set.and_then(|entry| entry.by.as_ref());
            let by = by.map(|by| format!(" by {}", in_message(by)));
            let time = set.map(|entry| format!(", set {}", Zone::default().print(entry.time)));
            let said = time.map(|time| time + &by.unwrap_or_default());
            format!("has a PIN{}", said.unwrap_or_default())
        }
        (None, true) => "needs a new PIN".to_owned(),
        (None, false) => "no PIN yet".to_owned(),
    };
    format!(
        "{id}: {}, {}{licences}; {pin}; here since {}\n",
        in_message(&member.name),
        roles.join(" and "),
        Zone::default().day(member.since)
    )
}
