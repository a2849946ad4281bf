//! Who works on a job: where its folder has people of its own, they do the work and sign it, whoever the job file names.
//!
//! Takes a job and its file's place; puts the folder's people into it. The job file says their hours, where it names them.

use std::path::Path;

use crate::job::{Hours, Job, Person, Role};
use crate::people::{Member, Workshop, place_of};
use crate::report;
use crate::sorted::Sorted as _;

/// Puts the people of the folder into a job; what is wrong with their record is said where something is signed.
pub(crate) fn staff(job: &mut Job, file: &Path) {
    let Ok(Some(workshop)) = Workshop::open(&place_of(file)) else {
        return;
    };
    job.people_of_folder = true;
    let own = std::mem::take(&mut job.people);
    let people = workshop.people.into_iter();
    job.people = people
        .map(|(id, member)| {
            let written = own.get(&id);
            let person = person(member, written);
            (id, person)
        })
        .sorted_map();
}

fn person(member: Member, written: Option<&Person>) -> Person {
    // Whoever only brings a licence comes when called, unless the job file says when.
    let usual = Hours {
        on_call: member.roles.iter().all(|role| *role == Role::Tradesperson),
        ..Hours::default()
    };
    Person {
        name: member.name,
        roles: member.roles,
        licences: member.licences,
        hours: written.map_or(usual, |written| written.hours.clone()),
        path: written.map_or_else(report::Path::root, |written| written.path.clone()),
    }
}
