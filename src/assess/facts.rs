//! Facts of the whole job that rules may use: the lift, the blocks, the vehicle.
//!
//! Takes a checked job; gives the names `lift.…`, `block.…`, `vehicle.…` and `given.…` of expressions. Which facts there are is told in
//! [`crate::rules::facts`]; one that the job does not give is absent, never guessed.

use std::sync::LazyLock;

use super::types::Missing;
use crate::job::Job;
use crate::rules::Rules;
use crate::rules::expression::{Expr, Scope, Slot, Term};
use crate::rules::facts::{self as table, FACTS, Fact};

/// The facts that a job gives, and the settings of the rules: with them the names of every link begin.
pub fn of_job(job: &Job, rules: &Rules) -> Scope {
    let mut scope = Scope::default();
    for (name, setting) in &rules.settings {
        scope.set(name, setting.value.value);
    }
    let count = u32::try_from(job.mounts.len()).unwrap_or(u32::MAX);
    let lift = [
        ("spacer", Term::from(job.lift.spacer.value)),
        ("highest", Term::from(highest(job))),
        ("clearance", Term::from(job.lift.clearance)),
        ("jacks", Term::from(job.lift.jacks)),
        ("mounts", Term::from(count)),
    ];
    scope.set_fields("lift", lift);
    scope.set_fields("block", block(job));
    scope.set_fields("vehicle", vehicle(job));
    say_what_is_given(&mut scope);
    scope.as_ground()
}

/// The same facts of a job of which nothing differs but the height of its blocks.
pub(crate) fn at_heights_of(job: &Job, facts: &Scope) -> Scope {
    let mut scope = facts.clone();
    scope.set("lift.spacer", job.lift.spacer.value);
    scope.set("lift.highest", highest(job));
    scope.as_ground()
}

/// Adds whether each fact is given.
pub(crate) fn say_what_is_given(scope: &mut Scope) {
    static SLOTS: LazyLock<Vec<(Slot, Slot)>> = LazyLock::new(|| {
        let facts = FACTS.iter();
        let slots = facts.map(|fact| (Slot::of(&fact.given()), Slot::of(fact.name)));
        slots.collect()
    });
    for (given, fact) in &*SLOTS {
        scope.put(*given, scope.have_all([fact]));
    }
}

/// The fields of a name, each with what it stands for.
type Fields = Vec<(&'static str, Term)>;

/// The highest block; a mount may have one of its own.
fn highest(job: &Job) -> f64 {
    let mounts = job.mounts.values().map(|mount| mount.spacer);
    mounts.fold(job.lift.spacer.value, f64::max)
}

fn block(job: &Job) -> Fields {
    let block = &job.lift.block;
    let numbers = [
        ("outer", block.outer),
        ("inner", block.inner),
        ("bearing_limit", block.bearing_limit),
    ];
    let known = numbers.into_iter();
    let mut fields: Fields = known
        .filter_map(|(name, number)| Some((name, Term::from(number?))))
        .collect();
    if let Some(material) = &block.material {
        fields.push(("solid_metal", Term::from(material != "plastic")));
    }
    fields
}

fn vehicle(job: &Job) -> Fields {
    let vehicle = &job.vehicle;
    let flags = vehicle
        .flags
        .iter()
        .map(|(name, flag)| (*name, Term::from(*flag)));
    let numbers = vehicle.numbers.iter();
    let numbers = numbers.map(|(name, quantity)| (*name, Term::from(quantity.value)));
    let mut fields: Fields = flags.chain(numbers).collect();
    let diameter = |name: &str| vehicle.numbers.get(name).map(|quantity| quantity.value);
    if let (Some(before), Some(after)) = (diameter("tyre_before"), diameter("tyre_after")) {
        fields.push(("tyre_growth", Term::from(after - before)));
    }
    if let (Some(before), Some(after)) = &vehicle.tyres {
        fields.push(("tyres_changed", Term::from(before != after)));
    }
    fields
}

/// The facts that expressions name and the job does not give, each once; what asks whether a fact is given can do without it.
pub(super) fn absent<'a>(
    expressions: impl IntoIterator<Item = &'a Expr>,
    scope: &Scope,
) -> Vec<Missing> {
    let needed = expressions.into_iter().flat_map(|expression| {
        let facts = expression.names().iter();
        let facts = facts.filter_map(|name| table::find(name));
        facts.filter(|fact| !expression.names().contains(&fact.given()))
    });
    let mut absent: Vec<&Fact> = needed.collect();
    absent.retain(|fact| !scope.knows(fact.name));
    absent.sort_by_key(|fact| fact.place);
    absent.dedup_by_key(|fact| fact.place);
    absent.iter().map(|fact| of_fact(fact.name)).collect()
}

/// A fact of the job that nobody has given yet.
pub(crate) fn of_fact(name: &str) -> Missing {
    let Some(fact) = table::find(name) else {
        return Missing::blank(name.to_owned(), name.to_owned());
    };
    Missing {
        how: fact.how.to_owned(),
        unit: fact.unit,
        answers: fact
            .answers()
            .iter()
            .map(|answer| (*answer).to_owned())
            .collect(),
        of_vehicle: true,
        ..Missing::blank(fact.label.to_owned(), fact.place.to_owned())
    }
}
