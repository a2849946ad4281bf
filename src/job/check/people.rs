//! The people: who they are, what they may sign as, which licences they hold, when they are there.

use std::collections::{BTreeMap, BTreeSet};

use super::fields::Fields;
use super::seen::Seen;
use super::{counts, entry, hours};
use crate::job::{Person, Role, written};
use crate::report::{Code, Path, Problem, quoted};
use crate::sorted::Sorted as _;
use crate::source::Read;
use strum::VariantNames;

pub(super) fn check(
    read: &Read<written::Job>,
    start: Option<i64>,
    fields: &mut Fields<'_>,
) -> BTreeMap<String, Person> {
    let mut people: BTreeMap<String, Person> = BTreeMap::new();
    let mut seen = Seen::new("person");
    let list = Path::root().key("people");
    let given = fields.up_to(&read.value.people, counts::PEOPLE, "people", &list);
    for (index, person) in given.iter().enumerate() {
        let path = entry(read, "people", index);
        let is_new = seen.is_new(&person.id, &path, fields);
        if is_new {
            alike(person, &path, (&people, fields));
        }
        let at = path.key("roles");
        let roles = person
            .roles
            .0
            .iter()
            .enumerate()
            .filter_map(|(index, role)| {
                fields.word(role, Role::VARIANTS, &at.index(index))?;
                role.parse().ok()
            });
        let roles: BTreeSet<Role> = roles.sorted_set();
        let checked = Person {
            name: person.name.clone(),
            hours: hours::check(person, &roles, (start, &path), fields),
            roles,
            licences: person.licences.0.iter().cloned().collect(),
            path,
        };
        if is_new {
            people.insert(person.id.clone(), checked);
        }
    }
    people
}

/// Reports a person who cannot be told from one before: of the same name, or of an id that looks the same.
fn alike(
    person: &written::Person,
    path: &Path,
    (people, fields): (&BTreeMap<String, Person>, &mut Fields<'_>),
) {
    for (id, other) in people {
        let found = likeness((id, &other.name), (&person.id, &person.name));
        let Some((message, key)) = found else {
            continue;
        };
        let problem = Problem::error(Code::PeopleAlike, message)
            .at(fields.place(&path.key(key)))
            .related(fields.place(&other.path.key(key)), "the other one")
            .help("who did a task and who checked it must be told apart; give one an initial or another id");
        fields.report.push(problem);
    }
}

/// What makes two people hard to tell apart, by their ids and names: in words, and which of the two it is.
pub(crate) fn likeness(
    (id, name): (&str, &str),
    (other, other_name): (&str, &str),
) -> Option<(String, &'static str)> {
    let (id_shown, other_shown) = (quoted(id), quoted(other));
    if plain_name(name) == plain_name(other_name) {
        let name = quoted(other_name);
        let message = format!("`{id_shown}` and `{other_shown}` are both called “{name}”");
        Some((message, "name"))
    } else if plain_id(id) == plain_id(other) {
        let message = format!("the ids `{id_shown}` and `{other_shown}` look alike");
        Some((message, "id"))
    } else {
        None
    }
}

/// A name without what nobody hears: capitals, and white space that is doubled or cannot be seen.
fn plain_name(name: &str) -> String {
    let seen: String = name
        .chars()
        .filter(|c| !matches!(c, '\u{200b}'..='\u{200f}' | '\u{2060}' | '\u{feff}'))
        .collect();
    let words: Vec<String> = seen.split_whitespace().map(str::to_lowercase).collect();
    words.join(" ")
}

/// An id with letters and digits that look alike made the same.
fn plain_id(id: &str) -> String {
    let same = |c: char| match c.to_ascii_lowercase() {
        '0' => 'o',
        '1' | 'i' => 'l',
        '_' => '-',
        c => c,
    };
    id.chars().map(same).collect()
}
