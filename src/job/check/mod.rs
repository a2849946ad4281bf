//! Job file as typed → checked [`Job`]. One file per subject; each reports its problems and goes on.

mod counts;
mod fields;
mod hours;
mod lift;
mod links;
mod mount_places;
mod mounts;
mod parts;
mod people;
mod seen;
mod vehicle;

pub(crate) use self::fields::is_id;
pub(crate) use self::lift::HIGHEST_SPACER;
pub(crate) use self::people::likeness;

use std::collections::BTreeSet;

use self::fields::Fields;
use super::{Job, written};
use crate::report::{Path, Report};
use crate::sorted::Sorted as _;
use crate::source::Read;

/// Checks a job file as read. When the report has an error, what is given is only good for looking for more of them.
pub(super) fn check(read: &Read<written::Job>, file: &str, demo: bool, report: &mut Report) -> Job {
    let job = &read.value;
    let mut fields = Fields::of(file, report);
    let vehicle = vehicle::check(&job.vehicle, &mut fields);
    let lift = lift::check(read, &mut fields);
    let known = parts::known(read);
    let parts = parts::check(read, &known, &mut fields);
    let mounts = mounts::check(read, lift.spacer.value, &mut fields);
    let links = links::check(read, &known, &mut fields);
    let start = hours::start(job.start.as_ref(), &mut fields);
    let zone = hours::zone(job.zone.as_deref(), &mut fields);
    let things = hours::things(&job.things, &mut fields);
    // A start that cannot be read is told once, not again for everybody who is away.
    let told = start.or(job.start.as_ref().map(|_| 0));
    let people = people::check(read, told, &mut fields);
    let consequences = job.consequences.iter().map(|(id, measured)| {
        let at = Path::root().key("consequences").key(id.as_str());
        (id.clone(), fields.measurements(measured, &at))
    });
    let last_time = job.last_time.iter();
    let last_time = last_time.map(|(place, value)| (place.clone(), value.to_string()));
    Job {
        file: file.to_owned(),
        demo,
        title: job.job.clone(),
        note: job.note.clone(),
        vehicle,
        lift,
        mounts,
        parts,
        links,
        consequences: consequences.sorted_map(),
        people,
        people_of_folder: false,
        start,
        zone,
        things,
        region: job.region.clone(),
        last_time: last_time.collect(),
    }
}

fn bodies(job: &written::Job) -> BTreeSet<&str> {
    let raise = job.lift.raise.iter();
    raise.map(|raise| raise.group.as_str()).sorted_set()
}

/// The path of an entry of a list, as it stands in the file.
fn entry(read: &Read<written::Job>, list: &str, index: usize) -> Path {
    read.path(&Path::root().key(list).index(index))
}
