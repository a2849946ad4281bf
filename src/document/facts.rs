//! What a job file says of its vehicle and its lift, as the first lines of a page.
//!
//! Takes the job and the region's limits; gives names and values, plain text, not yet escaped.

use std::collections::BTreeSet;

use super::{Made, limits, words};
use crate::job::{Job, Raise, Role};
use crate::quantity::{Quantity, Unit, Units};
use crate::record::{is_checked, people as people_of};
use crate::report::numbered;
use crate::sorted::Sorted as _;

/// What the job file says of the vehicle and the lift.
pub(super) fn facts(made: &Made<'_>, units: Units) -> Vec<(&'static str, String)> {
    let job = made.job;
    let print = |value: f64| Quantity::exact(value, Unit::Mm).print(units);
    let mut facts = vec![("Vehicle", job.vehicle.name.clone())];
    if let Some(identification) = &job.vehicle.identification {
        facts.push(("Identification", identification.clone()));
    }
    facts.push((
        "Lift",
        format!("{} on solid blocks", job.lift.spacer.print(units)),
    ));
    facts.push(("Blocks", blocks(job, print)));
    facts.push(("Goes up", bodies(job)));
    let clearance = print(job.lift.clearance);
    let assumed = if job.lift.clearance_assumed {
        " (assumed: the least allowed, because the job file gives none)"
    } else {
        ""
    };
    facts.push((
        "Held while the block goes in",
        format!("{clearance} above the block{assumed}"),
    ));
    if let (Some(before), Some(after)) = &job.vehicle.tyres {
        facts.push(("Tyres", format!("{before} before, {after} after")));
    }
    if !job.people.is_empty() {
        facts.push(("People", people(job)));
    }
    facts.extend(checks(made).map(|said| ("Checks", said)));
    facts.push(("Region", limits::summary(made)));
    facts
}

fn blocks(job: &Job, print: impl Fn(f64) -> String) -> String {
    let block = &job.lift.block;
    let mut parts: Vec<String> = block.material.clone().into_iter().collect();
    parts.extend(block.outer.map(|outer| format!("{} across", print(outer))));
    parts.extend(block.inner.map(|inner| format!("bore {}", print(inner))));
    if parts.is_empty() {
        parts.push("not described in the job file".to_owned());
    }
    parts.push(numbered(job.mounts.len(), "mount"));
    let usual = job.lift.spacer.value;
    let other = job.mounts.iter();
    let other = other.filter(|(_, mount)| (mount.spacer - usual).abs() > 1e-6);
    parts.extend(other.map(|(id, mount)| format!("{} at {id}", print(mount.spacer))));
    parts.join(", ")
}

/// The bodies in the order in which they go up, each with its first side.
fn bodies(job: &Job) -> String {
    let body = |raise: &Raise| {
        let side = match raise.first_side {
            Some(side) => format!("{} side first", side.word()),
            None => "either side first, here the left".to_owned(),
        };
        format!("{}, {side}", job.part_title(&raise.group))
    };
    let bodies: Vec<String> = job.lift.raise.iter().map(body).collect();
    bodies.join("; then ")
}

fn people(job: &Job) -> String {
    let people: Vec<String> = job
        .people
        .values()
        .map(|person| {
            let roles = person.roles.iter().map(|role| role.word().to_owned());
            let licences = person.licences.iter();
            let licences = licences.map(|licence| format!("licence: {licence}"));
            let all: Vec<String> = roles.chain(licences).collect();
            format!("{} ({})", person.name, all.join(", "))
        })
        .collect();
    people.join("; ")
}

/// Who signs work off where that is not plain: nobody does, or one alone, who then leaves the work to others. Tasks that nobody here can check
/// are named, so that somebody from outside is asked in time.
pub(super) fn checks(made: &Made<'_>) -> Option<String> {
    let people = people_of(made.job);
    let supervisors = people.values().filter(|who| who.is(Role::Supervisor));
    let supervisors: Vec<&str> = supervisors.map(|who| who.name.as_str()).collect();
    let unchecked = made
        .plan
        .tasks
        .iter()
        .filter(|task| task.hold.is_none())
        .filter(|task| !is_checked(&people, (task.trade.as_deref(), task.apprentice)));
    let unchecked: BTreeSet<usize> = unchecked.map(|task| task.number).sorted_set();
    let mut said = match supervisors.as_slice() {
        _ if people.is_empty() => return None,
        [] => return Some("nobody: no supervisor is among the people, so that nothing can be signed off; add one to the job file, also from outside".to_owned()),
        [alone] => format!("{alone} alone, who therefore leaves to others whatever is checked"),
        _ if unchecked.is_empty() => return None,
        all => all.join(", "),
    };
    if !unchecked.is_empty() {
        said.push_str(&format!(
            "; nobody of these people can check {}, since only who may do them may check them: add a second person to the job file, also from outside",
            words::tasks(unchecked.into_iter().collect())
        ));
    }
    Some(said)
}
