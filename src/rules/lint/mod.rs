//! What is wrong with rules that are each right in themselves: names, calls, verdicts, triggers, sources, circles.
//!
//! Takes checked [`Rules`]; pushes every problem into the report with its place in the rule file. Errors are what would fail
//! or be passed over on some vehicle; warnings are what nobody will ever see. That a file is readable and its words are known
//! is left to `check`. One file per kind of check:
//!
//! - `names`: every name is declared, and every expression and text can be evaluated;
//! - `calls`: every calculation gets what it takes;
//! - `verdicts` and `tasks`: branches and tasks are whole;
//! - `reach`: every branch and every height can be reached, by trying the check at many points;
//! - `triggers`, `levels` and `circles`: tasks call, need and follow what is there, in stages that close;
//! - `limits`: the limits of a region are numbers over facts;
//! - `sources`: every rule says where it comes from;
//! - `unused`: nothing is asked for that nobody reads.

mod calls;
mod circles;
mod declared;
mod distance;
mod levels;
mod limits;
mod names;
mod picks;
mod pieces;
mod point;
mod reach;
mod sample;
mod search;
mod sources;
mod subject;
mod tasks;
#[cfg(test)]
mod tests;
mod trial;
mod triggers;
mod unused;
mod verdicts;

use super::{Class, ProcedureTask, Rules};
use crate::report::{Code, Path, Place, Problem, Report};

/// Checks every class, consequence and limit that is loaded, and the procedure. What can be told of the whole rule set only (a task that nobody calls, a
/// setting that nobody reads) is looked at when every known class and region is.
pub fn lint(rules: &Rules, report: &mut Report) {
    for class in classes(rules) {
        let mut notes = Notes::of_class(class, report);
        one_class(rules, class, &mut notes);
    }
    for task in &rules.procedure {
        let mut notes = Notes::of_task(task, report);
        names::procedure_task(rules, task, &mut notes);
        tasks::procedure_task(task, &mut notes);
    }
    for limit in rules.regions.values().flat_map(|region| &region.limits) {
        limits::limit(rules, limit, report);
    }
    triggers::check(rules, report);
    levels::check(rules, report);
    circles::check(rules, report);
    sources::rule_set(rules, report);
    unused::settings(rules, report);
}

fn one_class(rules: &Rules, class: &Class, notes: &mut Notes<'_>) {
    let before = notes.report.problems.len();
    let class_names = declared::ClassNames::new(rules, class);
    names::class(rules, &class_names, notes);
    calls::class(&class_names, notes);
    verdicts::class(class, notes);
    tasks::class(class, notes);
    // A class that cannot be evaluated would only repeat its mistakes at every point that is tried.
    if notes.report.problems.len() == before {
        reach::class(rules, class, notes);
    }
    sources::class(class, notes);
    unused::class(class, notes);
}

/// The classes and consequences that are loaded.
fn classes(rules: &Rules) -> impl Iterator<Item = &Class> {
    rules.classes.values().chain(rules.consequences.values())
}

/// Whether every class and region there is has been loaded.
fn whole(rules: &Rules) -> bool {
    let classes = &rules.known_classes;
    let regions = &rules.known_regions;
    classes.iter().all(|id| rules.classes.contains_key(id))
        && regions.iter().all(|id| rules.regions.contains_key(id))
}

/// The report, and the rule file that is being looked at.
struct Notes<'a> {
    file: &'a str,
    report: &'a mut Report,
}

impl<'a> Notes<'a> {
    fn of_class(class: &'a Class, report: &'a mut Report) -> Self {
        let file = &class.file;
        Self { file, report }
    }

    fn of_task(task: &'a ProcedureTask, report: &'a mut Report) -> Self {
        let file = &task.place.file;
        Self { file, report }
    }

    fn error(&mut self, code: Code, path: &Path, message: String, help: impl Into<String>) {
        let place = Place::new(self.file, path.clone());
        self.report
            .push(Problem::error(code, message).at(place).help(help));
    }

    fn warning(&mut self, code: Code, path: &Path, message: String, help: impl Into<String>) {
        let place = Place::new(self.file, path.clone());
        self.report
            .push(Problem::warning(code, message).at(place).help(help));
    }
}
