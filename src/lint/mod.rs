//! What is wrong with rules that are each right in themselves: names, calls, verdicts, triggers, sources, circles.
//!
//! Takes checked [`Rules`]; pushes every problem into the report with its place in the rule file. Errors are what would fail
//! or be passed over on some vehicle; warnings are what nobody will ever see. That a file is readable and its words are known
//! is left to `check`. One file per kind of check:
//!
//! - `names`: every name is declared, and every expression and text can be evaluated;
//! - `calls`: every calculation gets what it takes;
//! - `verdicts` and `tasks`: branches and tasks are whole; `slips`: nothing means something else than it says; `units` agree;
//! - `reach` and `taller`: every branch and every height can be reached, and a taller lift lightens nothing, by judging each check as a
//!   job's at many points; `silent`: wherever a link stands, some check applies;
//! - `triggers`, `levels` and `circles`: tasks call, need and follow what is there, in stages that close;
//! - `kinds`: connections and consequences each have only what concerns them;
//! - `limits`: local limits compare facts, and say where they were read;
//! - `sources`: every rule says where it comes from;
//! - `unused`: nothing is asked for that nobody reads.

mod calls;
mod circles;
mod declared;
mod kinds;
mod levels;
mod limits;
mod moving;
mod names;
mod picks;
mod point;
mod reach;
mod rule_texts;
mod sample;
mod search;
mod silent;
mod slips;
mod sources;
mod subject;
mod taller;
mod tasks;
#[cfg(test)]
mod tests;
mod trial;
mod triggers;
mod units;
mod unused;
mod verdicts;

use std::collections::BTreeSet;

use crate::report::{Notes, Report};
use crate::rules::expression::{Reading, Scope};
use crate::rules::{Class, Per, Rules};
use declared::{Declared, of_procedure_tasks, whole_job};

/// Checks every class that is loaded, the consequences, the local limits that are loaded, and the procedure. What can be told of
/// the whole rule set only (a task that nobody calls, a setting that nobody reads) is looked at when every known class is loaded.
pub fn lint(rules: &Rules, report: &mut Report) {
    let (job, settings) = (whole_job(rules), point::settings(rules));
    let mut read = Vec::new();
    for class in all_classes(rules) {
        let mut notes = Notes::of(&class.file, report);
        kinds::class(rules, class, &mut notes);
        read.push(one_class((rules, &settings, &job), class, &mut notes));
    }
    for region in rules.regions.values() {
        limits::region(region, report);
    }
    let [plain, sided] = [Per::Vehicle, Per::Side].map(|per| of_procedure_tasks(rules, &job, per));
    for task in &rules.procedure {
        let mut notes = Notes::of(&task.place.file, report);
        let declared = if task.per == Per::Side {
            &sided
        } else {
            &plain
        };
        names::procedure_task(declared, task, &mut notes);
        tasks::procedure_task(task, &mut notes);
        slips::procedure_task(task, declared, &mut notes);
        units::procedure_task(rules, task, &mut notes);
    }
    triggers::check(rules, report);
    levels::check(rules, report);
    circles::check(rules, report);
    sources::rule_set(rules, report);
    unused::settings(rules, read.into_iter().collect(), report);
}

/// Checks a class; gives what it reads, none where something of it cannot be read.
fn one_class(
    (rules, settings, job): (&Rules, &Scope, &Declared),
    class: &Class,
    notes: &mut Notes<'_>,
) -> Option<BTreeSet<String>> {
    let before = notes.report.problems.len();
    let class_names = declared::ClassNames::new(job, class);
    let pieces = rule_texts::of_class(class);
    names::class(&class_names, &pieces, notes);
    calls::class(&class_names, notes);
    verdicts::class(class, notes);
    tasks::class(class, notes);
    let stand = rule_texts::Stand {
        results: class.checks.len(),
        each: None,
    };
    let declared = class_names.at(stand, Reading::Feed);
    slips::class(class, &declared, notes);
    units::class((rules, class), &pieces, notes);
    // A class that cannot be evaluated would only repeat its mistakes at every point that is tried.
    if notes.report.problems.len() == before {
        reach::class((settings, class), &pieces, notes);
    }
    sources::class(class, notes);
    let read = unused::read(&pieces)?;
    unused::class(class, &read, notes);
    slips::never_asked(class, &pieces, notes);
    Some(read)
}

/// Every class that is loaded: the connections, then the consequences.
fn all_classes(rules: &Rules) -> impl Iterator<Item = &Class> {
    rules.classes.values().chain(rules.consequences.values())
}

/// Whether every class there is has been loaded.
fn whole(rules: &Rules) -> bool {
    rules
        .known_classes
        .iter()
        .all(|id| rules.classes.contains_key(id))
}
