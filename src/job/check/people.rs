//! The people: who they are, what they may sign as, which licences they hold, when they are there.

use std::collections::{BTreeMap, BTreeSet};

use super::fields::Fields;
use super::seen::Seen;
use super::{counts, entry, hours};
use crate::job::written;
use crate::job::{Person, Role};
use crate::report::Path;
use crate::source::Read;

pub(super) fn check(
    read: &Read<written::Job>,
    start: Option<i64>,
    fields: &mut Fields<'_>,
) -> BTreeMap<String, Person> {
    let mut people = BTreeMap::new();
    let mut seen = Seen::new("person");
    let words = Role::ALL.map(Role::word);
    let list = Path::root().key("people");
    let given = counts::up_to(&read.value.people, counts::PEOPLE, "people", &list, fields);
    for (index, person) in given.iter().enumerate() {
        let path = entry(read, "people", index);
        let is_new = seen.is_new(&person.id, &path, fields);
        let roles = fields.words(&person.roles, &words, &path.key("roles"));
        let roles = roles
            .into_iter()
            .filter_map(|found| Role::ALL.get(found).copied());
        let roles: BTreeSet<Role> = roles.collect();
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
