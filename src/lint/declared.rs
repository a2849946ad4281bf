//! The names that a piece of a rule may use, and what each stands for.
//!
//! Takes a class and where a piece stands in it, or a procedure task; gives the names [`Declared`] there with values that they
//! could have. The names are those that `assess` and `plan` set; this is their list in words.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;
use std::sync::LazyLock;

use super::rule_texts::Stand;
use crate::job::THINGS;
use crate::rules::expression::Reading;
use crate::rules::names::choice_name;
use crate::rules::{Answer, Class, Measurement, Per, Rules, facts};

/// What a name stands for.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Sort {
    /// A number that could be so.
    Number(f64),
    /// Yes or no.
    Flag,
    /// One of these words.
    Word(Vec<String>),
    /// A calculation's answer, which may be yes or no, or a word.
    Answer,
}

/// Names, dotted where they are fields.
pub(super) type Declared = BTreeMap<String, Sort>;

/// Results of one calculation that have not been computed are taken to be this.
const RESULT: f64 = 10.0;

/// A range that a fact's number lies in on the vehicles this is about; used to try rules, never shown. All from common practice.
pub(super) fn plausible(fact: &str) -> (f64, f64) {
    match fact {
        "vehicle.body_mass" => (300.0, 1200.0),
        "vehicle.body_mass_laden" => (400.0, 2000.0),
        "vehicle.total_mass" => (900.0, 3500.0),
        "vehicle.track" => (1100.0, 1800.0),
        "vehicle.cg_height" => (400.0, 900.0),
        "vehicle.body_lift" | "vehicle.suspension_lift" => (0.0, 100.0),
        "vehicle.gross_mass" => (1200.0, 4500.0),
        "vehicle.floor_over_frame" => (0.0, 150.0),
        "vehicle.frame_height"
        | "vehicle.body_height"
        | "vehicle.front_frame_end"
        | "vehicle.rear_frame_end" => (300.0, 900.0),
        "vehicle.floor_height" => (500.0, 1200.0),
        "vehicle.bumper_height" | "vehicle.front_bumper_height" => (300.0, 800.0),
        "vehicle.tyre_before" | "vehicle.tyre_after" => (600.0, 900.0),
        "vehicle.tyre_growth" => (0.0, 120.0),
        "block.outer" => (30.0, 120.0),
        "block.inner" => (8.0, 30.0),
        "block.bearing_limit" => (5.0, 300.0),
        "lift.clearance" => (15.0, 40.0),
        "lift.spacer" | "lift.highest" => (20.0, 100.0),
        "lift.jacks" => (1.0, 6.0),
        "lift.mounts" => (4.0, 14.0),
        _ => (1.0, 100.0),
    }
}

/// What every link has in mm.
pub(super) const LENGTHS: [&str; 5] = [
    "rise",
    "travel",
    "working.length",
    "working.up",
    "working.sideways",
];

type Key<'a> = (Stand<'a>, Reading);

/// The names of a class, worked out once for each place at which pieces stand.
pub(super) struct ClassNames<'a> {
    pub(super) class: &'a Class,
    base: Declared,
    made: RefCell<BTreeMap<Key<'a>, Rc<Declared>>>,
}

impl<'a> ClassNames<'a> {
    /// `job` are the names of the whole job.
    pub(super) fn new(job: &Declared, class: &'a Class) -> Self {
        let mut base = job.clone();
        for (name, setting) in &class.settings {
            base.insert(name.clone(), Sort::Number(setting.value.value));
        }
        for name in LENGTHS {
            base.insert(name.to_owned(), Sort::Number(40.0));
        }
        base.insert("at_end".to_owned(), Sort::Flag);
        for name in class.measurements.keys() {
            base.insert(format!("known.{name}"), Sort::Flag);
        }
        Self {
            class,
            base,
            made: RefCell::default(),
        }
    }

    /// The names that a piece may use.
    pub(super) fn at(&self, stand: Stand<'a>, reading: Reading) -> Rc<Declared> {
        let mut made = self.made.borrow_mut();
        let declared = made
            .entry((stand, reading))
            .or_insert_with(|| Rc::new(self.make(stand, reading)));
        Rc::clone(declared)
    }

    fn make(&self, stand: Stand<'_>, reading: Reading) -> Declared {
        let mut declared = self.base.clone();
        for (name, measurement) in &self.class.measurements {
            add(&mut declared, name, measurement, reading);
        }
        for check in self.class.checks.iter().take(stand.results) {
            for result in check.calc.map_or(&[][..], |calc| calc.results) {
                let sort = result.unit.map_or(Sort::Answer, |_| Sort::Number(RESULT));
                declared.insert(format!("{}.{}", check.id, result.name), sort);
            }
        }
        let list = stand
            .each
            .and_then(|list| self.class.measurements.get(list));
        if let Some(Answer::Each { keys, fields }) = list.map(|list| &list.kind) {
            for (name, field) in fields {
                add(&mut declared, name, field, reading);
            }
            if reading == Reading::Feed {
                declared.insert("key".to_owned(), Sort::Word(keys.clone()));
            }
        }
        if reading == Reading::Feed {
            for name in ["link", "from", "to"] {
                declared.insert(name.to_owned(), a_word());
            }
        }
        declared
    }
}

fn a_word() -> Sort {
    Sort::Word(vec!["word".to_owned()])
}

fn add(declared: &mut Declared, name: &str, measurement: &Measurement, reading: Reading) {
    let sort = match (&measurement.kind, reading) {
        (Answer::Number { range, .. }, _) => Sort::Number(f64::midpoint(range.0, range.1)),
        (Answer::YesNo, _) => Sort::Flag,
        (Answer::Choice(choices), Reading::Feed) => Sort::Word(choices.clone()),
        (Answer::Choice(choices), Reading::Judge) => {
            for choice in choices {
                declared.insert(format!("{name}.{}", choice_name(choice)), Sort::Flag);
            }
            return;
        }
        (Answer::Designation, Reading::Feed) => a_word(),
        (Answer::Designation, Reading::Judge) | (Answer::Each { .. }, _) => return,
    };
    declared.insert(name.to_owned(), sort);
}

/// Facts of the job and settings of the rule set.
pub(super) fn whole_job(rules: &Rules) -> Declared {
    let mut declared = FACTS.clone();
    for (name, setting) in &rules.settings {
        declared.insert(name.clone(), Sort::Number(setting.value.value));
    }
    declared
}

/// Facts of the job.
pub(super) static FACTS: LazyLock<Declared> = LazyLock::new(|| {
    let mut declared = Declared::new();
    let middle = |name: &str| {
        let (least, most) = plausible(name);
        Sort::Number(f64::midpoint(least, most))
    };
    for name in facts::ALWAYS {
        declared.insert(name.to_owned(), middle(name));
    }
    for fact in &facts::FACTS {
        let sort = if fact.number() {
            middle(fact.name)
        } else {
            Sort::Flag
        };
        declared.insert(fact.name.to_owned(), sort);
        declared.insert(fact.given(), Sort::Flag);
    }
    declared
});

/// The names of procedure tasks: those of the whole job, which classes the vehicle has, which are pulled apart or worked on, and the body
/// and, where they are done for each, the side that they are done for.
pub(super) fn of_procedure_tasks(rules: &Rules, job: &Declared, per: Per) -> Declared {
    let mut declared = job.clone();
    for class in &rules.known_classes {
        let class = class.replace('-', "_");
        for kind in ["crosses", "has", "works"] {
            declared.insert(format!("{kind}.{class}"), Sort::Flag);
        }
    }
    for thing in THINGS {
        declared.insert(format!("shop.{}", thing.replace(' ', "_")), Sort::Flag);
    }
    for name in ["spacer", "mount_spacer", "clearance", "target", "tilt"] {
        declared.insert(name.to_owned(), Sort::Number(40.0));
    }
    declared.insert("two_steps".to_owned(), Sort::Flag);
    for name in ["group", "tyres_before", "tyres_after"] {
        declared.insert(name.to_owned(), a_word());
    }
    if per == Per::Side {
        declared.insert("side".to_owned(), a_word());
        declared.insert("other_side".to_owned(), a_word());
        declared.insert("first_side".to_owned(), Sort::Flag);
    }
    declared
}
