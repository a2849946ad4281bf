//! What the expressions of all links of a class share: the facts of the job, the settings of the class, and which values are known.
//!
//! Takes classes as they come up; gives names to begin with. They are made once for a class, since a vehicle may have thousands of links of
//! it and each is judged at hundreds of values.

use std::cell::RefCell;
use std::collections::BTreeMap;

use minijinja::Value;

use super::facts;
use crate::job::Job;
use crate::rules::expression::Scope;
use crate::rules::names::Names;
use crate::rules::{Class, Rules};

/// Where the names of every link of one job, judged by one set of rules, begin.
#[derive(Debug, Default)]
pub struct Basis {
    facts: Scope,
    /// By the file of the class: a consequence may have the id of a connection.
    classes: RefCell<BTreeMap<String, OfClass>>,
}

#[derive(Debug)]
struct OfClass {
    names: Names,
    /// Which measurements are known, in their order, and the same as a name.
    known: BTreeMap<Vec<bool>, Value>,
}

impl Basis {
    /// The names of a job under its rules.
    #[must_use]
    pub fn new(job: &Job, rules: &Rules) -> Self {
        Self {
            facts: facts::scope(job, &rules.settings),
            classes: RefCell::default(),
        }
    }

    /// The facts of the job, as rules read them.
    #[must_use]
    pub fn facts(&self) -> &Scope {
        &self.facts
    }

    /// The facts of the job and the settings of a class, to be added to, and which of its measurements are known, given an answer
    /// for each in their order.
    pub(super) fn names(&self, class: &Class, answers: Vec<bool>) -> Names {
        let mut classes = self.classes.borrow_mut();
        let of_class = classes.entry(class.file.clone());
        let of_class = of_class.or_insert_with(|| OfClass::new(&self.facts, class));
        let known = of_class.known.entry(answers);
        let known = known.or_insert_with_key(|answers| known_of(class, answers));
        let mut names = of_class.names.clone();
        names.feed.set("known", known.clone());
        names.judge.set("known", known.clone());
        names
    }
}

impl OfClass {
    fn new(facts: &Scope, class: &Class) -> Self {
        let mut names = Names {
            feed: facts.clone(),
            judge: facts.clone(),
        };
        for (name, setting) in &class.settings {
            names.number(name, setting.value.value);
        }
        let known = BTreeMap::new();
        Self { names, known }
    }
}

fn known_of(class: &Class, answers: &[bool]) -> Value {
    let names = class.measurements.keys().cloned();
    let known: BTreeMap<String, bool> = names.zip(answers.iter().copied()).collect();
    Value::from(known)
}
