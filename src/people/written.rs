//! `people.yaml`: the people as the record has them, for whoever opens the folder. It decides nothing.
//!
//! Takes the people; gives the text, and what a file that somebody changed says otherwise.

use std::collections::BTreeSet;
use std::io;

use serde::Deserialize;

use super::workshop::{Member, Workshop, record as record_of};
use crate::job::written;
use crate::report::{Code, Place, Problem, Report, quoted};
use crate::sorted::Sorted as _;
use crate::source::{self, Source};
use crate::whole;

/// Its name in the folder of the jobs.
pub const FILE: &str = "people.yaml";

const HEAD: &str = "# The people of this workshop, as people.record.jsonl has them. liftsheet writes this file: what is changed here by hand gives\n# nobody a role. `liftsheet people` changes roles and licences.\npeople:\n";

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct PeopleFile {
    people: Vec<written::Person>,
}

/// Writes the people of a workshop down where the file says otherwise.
pub(super) fn write(workshop: &Workshop) -> io::Result<()> {
    let path = workshop.folder.join(FILE);
    let people = workshop.people.iter();
    let text = HEAD.to_owned() + &people.map(person).collect::<String>();
    if std::fs::read(&path).is_ok_and(|before| before == text.as_bytes()) {
        return Ok(());
    }
    whole::put(&path, text.as_bytes(), 0o644)
}

fn person((id, member): (&String, &Member)) -> String {
    // A text in JSON is one in YAML.
    let text = |text: &str| serde_json::Value::from(text).to_string();
    let roles: Vec<&str> = member.roles.iter().map(|role| role.word()).collect();
    let mut said = format!(
        "- id: {}\n  name: {}\n  roles: [{}]\n",
        text(id),
        text(&member.name),
        roles.join(", ")
    );
    if !member.licences.is_empty() {
        let licences: Vec<String> = member.licences.iter().map(|one| text(one)).collect();
        said.push_str(&format!("  licences: [{}]\n", licences.join(", ")));
    }
    said
}

/// What the file says otherwise than the record.
pub(super) fn otherwise(workshop: &Workshop) -> Option<Problem> {
    let path = record_of(&workshop.folder).with_file_name(FILE);
    let shown = path.display().to_string();
    let source = Source::read(&path).ok();
    let read = source.and_then(|source| source::read::<PeopleFile>(&source, &mut Report::new()));
    let what = match read {
        None => "it cannot be read".to_owned(),
        Some(read) => different(workshop, &read.value.people)?,
    };
    let message = format!("`{FILE}` says otherwise than the record of the people: {what}");
    let help = "the record holds; change roles and licences with `liftsheet people`, which writes the file anew";
    Some(
        Problem::warning(Code::PeopleChanged, message)
            .at(Place::file(shown))
            .help(help),
    )
}

/// The first person who is otherwise, in words.
fn different(workshop: &Workshop, written: &[written::Person]) -> Option<String> {
    let said = |id: &str, what: &str| Some(format!("{what} `{}`", quoted(id)));
    for person in written {
        let Some(member) = workshop.people.get(&person.id) else {
            return said(&person.id, "nobody joined as");
        };
        let own = member.roles.iter().map(|role| role.word()).sorted_set();
        if words(&person.roles.0) != own {
            return said(&person.id, "other roles of");
        }
        let own = member.licences.iter().map(String::as_str).sorted_set();
        if words(&person.licences.0) != own {
            return said(&person.id, "other licences of");
        }
        if person.name != member.name {
            return said(&person.id, "another name of");
        }
    }
    let named = |id: &&String| written.iter().any(|person| person.id == **id);
    let missing = workshop.people.keys().find(|id| !named(id))?;
    said(missing, "nothing of")
}

fn words(words: &[String]) -> BTreeSet<&str> {
    words.iter().map(String::as_str).sorted_set()
}
