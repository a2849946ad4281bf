//! What a check still needs before it can be made: measurements and facts that nobody has given yet.

use std::collections::BTreeSet;

use super::case::Case;
use super::values::{Address, Values};
use crate::rules::expression::Expr;
use crate::rules::facts;
use crate::rules::names::Names;
use crate::rules::{Answer, Check, Measurement};

/// One thing that is missing.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Need {
    /// A measurement of the link or span.
    Value(Address),
    /// A fact of the job, by name.
    Fact(&'static str),
}

/// What a check needs, and whether it waits for a check above it.
#[derive(Debug, Default)]
pub(super) struct Needs {
    pub(super) missing: BTreeSet<Need>,
    pub(super) waits: bool,
}

impl Needs {
    pub(super) fn none(&self) -> bool {
        self.missing.is_empty() && !self.waits
    }
}

impl Case<'_> {
    /// What is missing for a check, given which checks above it were not made. `names` are the names at `values`.
    pub(super) fn needs(
        &self,
        check: &Check,
        values: &Values,
        names: &Names,
        unmade: &BTreeSet<&str>,
    ) -> Needs {
        let mut needs = Needs::default();
        let inputs = check.with.iter().map(|(_, expression)| expression);
        let conditions = check
            .branches
            .iter()
            .filter_map(|branch| branch.when.as_ref());
        for expression in inputs.chain(conditions) {
            self.expression_needs(
                expression,
                check.each.as_deref(),
                values,
                names,
                unmade,
                &mut needs,
            );
        }
        needs
    }

    /// What is missing for one expression.
    pub(super) fn expression_needs(
        &self,
        expression: &Expr,
        each: Option<&str>,
        values: &Values,
        names: &Names,
        unmade: &BTreeSet<&str>,
        needs: &mut Needs,
    ) {
        for name in expression.names() {
            let root = name.split('.').next().unwrap_or(name);
            if unmade.contains(root) {
                needs.waits = true;
            } else if let Some(measurement) = self.class.measurements.get(root) {
                if values.one(root).is_none() && asked(measurement, names) {
                    needs
                        .missing
                        .insert(Need::Value(Address::One(root.to_owned())));
                }
            } else if let Some(list) = each
                && self.field(list, root).is_some()
            {
                self.key_needs(list, root, values, names, needs);
            } else if let Some(fact) = facts::find(name)
                && !self.basis.facts().knows(fact.name)
                // What asks whether the fact is given can do without it.
                && !expression.names().contains(&fact.given())
            {
                needs.missing.insert(Need::Fact(fact.name));
            }
        }
    }

    fn field(&self, list: &str, field: &str) -> Option<&Measurement> {
        match &self.class.measurements.get(list)?.kind {
            Answer::Each { fields, .. } => fields.get(field),
            _ => None,
        }
    }

    fn key_needs(
        &self,
        list: &str,
        field: &str,
        values: &Values,
        names: &Names,
        needs: &mut Needs,
    ) {
        let Some(measurement) = self.field(list, field) else {
            return;
        };
        let Some(Answer::Each { keys, .. }) = self.class.measurements.get(list).map(|m| &m.kind)
        else {
            return;
        };
        for key in keys {
            let address = Address::Each(list.to_owned(), key.clone(), field.to_owned());
            if !values.data.contains_key(&address) && asked(measurement, names) {
                needs.missing.insert(Need::Value(address));
            }
        }
    }

    /// Whether an input's expression names a value that is absent without being missed: the input is then left out. `at` is the list
    /// and key of a check made for each.
    pub(super) fn left_out(
        &self,
        expression: &Expr,
        at: Option<(&str, &str)>,
        values: &Values,
    ) -> bool {
        expression.names().iter().any(|name| {
            let root = name.split('.').next().unwrap_or(name);
            if self.class.measurements.contains_key(root) {
                return values.one(root).is_none();
            }
            let Some((list, key)) = at.filter(|(list, _)| self.field(list, root).is_some()) else {
                return false;
            };
            let address = Address::Each(list.to_owned(), key.to_owned(), root.to_owned());
            !values.data.contains_key(&address)
        })
    }
}

/// Whether a measurement must be given: not optional, and its condition holds or cannot be told yet.
fn asked(measurement: &Measurement, names: &Names) -> bool {
    !measurement.optional && concerns(measurement, names)
}

/// Whether a measurement's condition holds, or cannot be told yet.
pub(super) fn concerns(measurement: &Measurement, names: &Names) -> bool {
    let condition = measurement.ask_when.as_ref();
    condition.is_none_or(|when| when.holds(&names.judge).unwrap_or(true))
}
