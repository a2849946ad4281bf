//! The people: who they are, what they may sign as, which licences they hold.

use std::collections::BTreeMap;

use super::fields::Fields;
use super::{entry, mounts};
use crate::job::written;
use crate::job::{Person, Role};
use crate::report::Path;
use crate::source::Read;

pub(super) fn check(
    read: &Read<written::Job>,
    fields: &mut Fields<'_>,
) -> BTreeMap<String, Person> {
    let mut people = BTreeMap::new();
    let mut first_seen: BTreeMap<&str, Path> = BTreeMap::new();
    let words = Role::ALL.map(Role::word);
    for (index, person) in read.value.people.iter().enumerate() {
        let path = entry(read, "people", index);
        let id_at = path.key("id");
        fields.id(&person.id, &id_at);
        if let Some(first) = first_seen.get(person.id.as_str()) {
            mounts::twice("person", &person.id, first, &id_at, fields);
            continue;
        }
        first_seen.insert(&person.id, id_at);
        let roles = fields.words(&person.roles, &words, &path.key("roles"));
        let person_checked = Person {
            name: person.name.clone(),
            roles: roles
                .into_iter()
                .filter_map(|found| Role::ALL.get(found).copied())
                .collect(),
            licences: person.licences.iter().cloned().collect(),
        };
        people.insert(person.id.clone(), person_checked);
    }
    people
}
