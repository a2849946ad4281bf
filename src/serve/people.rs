//! Who works here: the workshop's people, who add one another, and a job's own where the workshop has none written down.
//!
//! Takes what was filled in; changes the people through [`crate::people`], and shows them. A PIN that is drawn is shown once, on the page that
//! answers, and is kept nowhere.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use serde_json::{Value, json};

use super::answer::Answer;
use super::ask::Ask;
use super::house::House;
use super::known::said;
use super::look;
use crate::document::free_id;
use crate::job::Role;
use crate::people::{self, By, PeopleChange, Proof, Workshop};
use crate::record::Who;
use crate::report::{Code, Problem};
use crate::sorted::Sorted as _;
use strum::VariantNames;

/// Everybody who may sign in, by id, each with whether a name alone is believed.
pub(super) fn all(house: &House) -> BTreeMap<String, (Who, bool)> {
    if let Some(workshop) = house.workshop() {
        let members = workshop.people.iter();
        let who = crate::record::people_of(&workshop);
        let both = members
            .filter_map(|(id, member)| Some((id.clone(), (who.get(id)?.clone(), !member.has_pin))));
        return both.sorted_map();
    }
    let mut people = BTreeMap::new();
    for id in house.jobs().keys() {
        let Ok(board) = house.board(id) else { continue };
        if let Ok(desk) = &board.desk {
            let own = desk.footing.people.clone().into_iter();
            people.extend(own.map(|(id, who)| (id, (who, true))));
        }
    }
    people
}

/// Somebody's name.
pub(super) fn name(house: &House, id: &str) -> String {
    all(house)
        .get(id)
        .map_or_else(|| id.to_owned(), |(who, _)| who.name.clone())
}

/// Whether somebody has to give a PIN.
pub(super) fn has_pin(house: &House, id: &str) -> bool {
    all(house).get(id).is_some_and(|(_, said)| !said)
}

/// Looks at the PIN of a form; nothing where the person has none.
pub(super) fn proved(house: &House, ask: &Ask, person: &str) -> Result<Option<Proof>, Problem> {
    if !has_pin(house, person) {
        return Ok(None);
    }
    let Some(pin) = ask.form.get("pin") else {
        return Err(Problem::error(Code::PinNeeded, "the PIN is missing")
            .help("give it, and send the form once more"));
    };
    let device = if ask.here() {
        // As what is typed on a command line.
        people::THIS_MACHINE.to_owned()
    } else {
        ask.device.to_string()
    };
    people::prove(house.folder(), (person, pin), &device, ask.now).map(Some)
}

/// Why the page is not opened to a network; nothing where everybody has a PIN.
pub(super) fn unready(folder: &Path) -> Option<String> {
    let found = Workshop::open(folder);
    let workshop = match found {
        Ok(Some(workshop)) => workshop,
        Ok(None) => {
            return Some("nobody is listed in this folder; open the page on this machine first, and add the workshop's people".to_owned());
        }
        Err(problem) => return Some(problem.message),
    };
    let without = workshop
        .people
        .iter()
        .filter(|(_, member)| member.pin.is_none());
    let names: Vec<&str> = without.map(|(_, member)| member.name.as_str()).collect();
    (!names.is_empty()).then(|| {
        format!(
            "not everybody has a PIN: {}; draw one for each on this machine first",
            names.join(", ")
        )
    })
}

/// `GET` and `POST /people`
pub(super) fn page(house: &House, ask: &Ask) -> Answer {
    if ask.is_strange(house) {
        return Answer::Go("/sign-in".to_owned());
    }
    let (mut faults, mut drawn) = (Vec::new(), Value::Null);
    if ask.sent {
        match act(house, ask) {
            Ok(Acted::Drawn(shown)) => drawn = shown,
            Ok(Acted::Changed) => {}
            Ok(Acted::OwnPin) => return Answer::Go("/sign-in".to_owned()),
            Err(problem) => faults.push(said(&problem)),
        }
    }
    let workshop = house.workshop();
    let members = workshop.iter().flat_map(|workshop| &workshop.people);
    let list = members.map(|(id, member)| {
        let roles: Vec<&str> = member.roles.iter().map(|role| role.word()).collect();
        json!({
            "id": id,
            "name": member.name,
            "roles": roles.join(", "),
            "licences": member.licences.iter().cloned().collect::<Vec<_>>().join(", "),
            "pin": if member.pin.is_some() { "set" } else { "none yet" },
        })
    });
    let list: Vec<Value> = list.collect();
    let leads = |id: &str| {
        workshop
            .as_ref()
            .and_then(|all| all.people.get(id))
            .is_some_and(people::Member::is_supervisor)
    };
    let first = list.is_empty();
    let may_add = if first {
        ask.here()
    } else {
        ask.person().is_some_and(leads)
    };
    faults.extend(
        workshop
            .iter()
            .flat_map(|all| all.warnings.iter().chain(&all.doubt))
            .map(said),
    );
    let values = json!({
        "title": "The workshop's people",
        "faults": faults,
        "drawn": drawn,
        "people": list,
        "may_add": may_add,
        "pin": ask.person().is_some_and(|id| has_pin(house, id)),
        "roles": Role::VARIANTS,
        "why": if first { "The first person is added on the machine itself." } else { "A supervisor adds people: sign in as one." },
    });
    look::page("people.html", (house, ask), values)
}

/// What a form came to.
enum Acted {
    /// A PIN was drawn, which is shown once.
    Drawn(Value),
    /// Somebody may do something else, or has left.
    Changed,
    /// Whoever sent it has another PIN, and signs in with it.
    OwnPin,
}

/// Makes the change of a form.
fn act(house: &House, ask: &Ask) -> Result<Acted, Problem> {
    let folder = house.folder();
    let first = house
        .workshop()
        .is_none_or(|workshop| workshop.people.is_empty());
    if first && !ask.here() {
        let message = "the first person is added on the machine itself";
        return Err(Problem::error(Code::WrongRole, message).help("open the page there"));
    }
    let person = ask.person().filter(|_| !first);
    let proof = match person {
        Some(person) => proved(house, ask, person)?,
        None => None,
    };
    let by = By::of(proof.as_ref(), person);
    match ask.form.get("act") {
        Some("join") => {
            let name = ask.form.get("name").unwrap_or_default();
            let all = all(house);
            // `r-hazel`, or what of it is free.
            let person = free_id(&name.to_lowercase(), "person", |id| all.contains_key(id));
            let change = PeopleChange::Join {
                person: person.clone(),
                name: name.to_owned(),
                roles: roles(ask, first),
                licences: listed(ask.form.get("licences").unwrap_or_default()),
            };
            people::change(folder, &change, by, ask.now)?;
            let by = if first { By::Said(&person) } else { by };
            shown(house, ask, &person, by)
        }
        Some("own") => {
            let passphrase = ask.form.get("new").unwrap_or_default();
            let own = ask.person().unwrap_or_default();
            people::set_pin(folder, own, (Some(passphrase), by), ask.now)?;
            ask.tell(
                house,
                vec!["The passphrase is set. Sign in with it.".to_owned()],
            );
            Ok(Acted::OwnPin)
        }
        Some("reset") => shown(house, ask, ask.form.get("who").unwrap_or_default(), by),
        Some("change") => changed(house, ask, by),
        Some("leave") => {
            let who = ask.form.get("who").unwrap_or_default().to_owned();
            people::change(folder, &PeopleChange::Leave(who), by, ask.now)?;
            Ok(Acted::Changed)
        }
        _ => Err(Problem::error(
            Code::BadValue,
            "the form does not say what is changed",
        )),
    }
}

/// Gives somebody other roles and licences, as far as any are named.
fn changed(house: &House, ask: &Ask, by: By<'_>) -> Result<Acted, Problem> {
    let who = ask.form.get("who").unwrap_or_default().to_owned();
    let roles = roles(ask, false);
    let licences = ask.form.get("licences").map(listed);
    let changes = [
        licences.map(|licences| PeopleChange::Licences(who.clone(), licences)),
        (!roles.is_empty()).then_some(PeopleChange::Roles(who, roles)),
    ];
    let changes: Vec<PeopleChange> = changes.into_iter().flatten().collect();
    if changes.is_empty() {
        let message = "no role is ticked and no licence written, so nothing changes";
        return Err(Problem::error(Code::MissingField, message));
    }
    for change in &changes {
        people::change(house.folder(), change, by, ask.now)?;
    }
    Ok(Acted::Changed)
}

/// Draws somebody's PIN; gives what is shown of it.
fn shown(house: &House, ask: &Ask, person: &str, by: By<'_>) -> Result<Acted, Problem> {
    let pin = people::set_pin(house.folder(), person, (None, by), ask.now)?;
    let shown = json!({"name": name(house, person), "pin": pin.unwrap_or_default()});
    Ok(Acted::Drawn(shown))
}

/// What somebody signs as; the first is a supervisor, who may do the work as well.
fn roles(ask: &Ask, first: bool) -> BTreeSet<Role> {
    if first {
        return BTreeSet::from([Role::Fitter, Role::Supervisor]);
    }
    let ticked = ask.form.all("role");
    ticked.filter_map(|word| word.parse().ok()).sorted_set()
}

fn listed(text: &str) -> BTreeSet<String> {
    let words = text.split(',').map(|word| word.trim().to_lowercase());
    words
        .filter(|word| !word.is_empty() && word != "none")
        .sorted_set()
}
