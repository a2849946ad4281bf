//! What a check still needs before it can be made: measurements and facts that nobody has given yet.

use std::collections::BTreeSet;

use super::judged_span::JudgedSpan;
use super::types::{Address, Need, Values};
use crate::rules::expression::{Expr, Scope, Slot};
use crate::rules::{Check, Measurement, facts, root};
use crate::sorted::Sorted as _;

impl JudgedSpan<'_> {
    /// What is missing for a check, of one made for a list at one key or at all. `names` are the names at `values`.
    pub(super) fn needs(
        &self,
        (check, key): (&Check, Option<&str>),
        values: &Values,
        names: &Scope,
    ) -> BTreeSet<Need> {
        let needs = &self.class.reads(check, key).needs;
        let unmet = needs
            .iter()
            .filter(|need| self.is_unmet(need, (values, names)));
        unmet.map(|(_, need)| need.clone()).sorted_set()
    }

    pub(super) fn expression_needs(
        &self,
        expression: &Expr,
        (values, names): (&Values, &Scope),
    ) -> BTreeSet<Need> {
        if names.have_all(expression.slots()) {
            return BTreeSet::new();
        }
        let needs = self.class.needs(expression, None);
        let unmet = needs.filter(|need| self.is_unmet(need, (values, names)));
        unmet.map(|(_, need)| need).sorted_set()
    }

    /// Whether what a name needs must be given here and is not.
    fn is_unmet(&self, (slot, need): &(Slot, Need), (values, names): (&Values, &Scope)) -> bool {
        !names.have_all([slot])
            && match need {
                Need::Value(address) => {
                    let measurement = self.class.measurement(address);
                    !values.data.contains_key(address)
                        && measurement.is_some_and(|measurement| asked(measurement, names))
                }
                Need::Fact(name) => !self.basis.knows(name),
            }
    }

    /// What would let a check of the class apply, were it given: the optional measurements and the facts that its conditions ask for.
    pub(super) fn could_apply(&self, values: &Values, names: &Scope) -> BTreeSet<Need> {
        let conditions = self
            .class
            .checks
            .iter()
            .filter_map(|check| check.applies.as_ref());
        let asked = conditions.flat_map(Expr::names).filter_map(|name| {
            if let Some(fact) = facts::asked_for(name) {
                let given = self.basis.knows(fact.name);
                return (!given).then_some(Need::Fact(fact.name));
            }
            let measured = name.strip_prefix("known.")?;
            let measurement = self.class.measurements.get(measured)?;
            let open = values.datum(measured).is_none() && concerns(measurement, names);
            open.then(|| Need::Value(Address::One(measured.to_owned())))
        });
        asked.sorted_set()
    }

    /// Whether an input's expression names a value that is absent without being missed: the input is then left out. `at` is the list
    /// and key of a check made for each, `names` those at the values of that key.
    pub(super) fn left_out(
        &self,
        expression: &Expr,
        at: Option<(&str, &str)>,
        (values, names): (&Values, &Scope),
    ) -> bool {
        let absent = |name: &String| {
            let root = root(name);
            if self.class.measurements.contains_key(root) {
                return values.datum(root).is_none();
            }
            let Some((list, key)) = at.filter(|(list, _)| self.class.field(list, root).is_some())
            else {
                return false;
            };
            let address = Address::Each(list.to_owned(), key.to_owned(), root.to_owned());
            !values.data.contains_key(&address)
        };
        !names.have_all(expression.slots()) && expression.names().iter().any(absent)
    }
}

/// Whether a measurement must be given: not optional, and its condition holds or cannot be told yet.
fn asked(measurement: &Measurement, names: &Scope) -> bool {
    !measurement.optional && concerns(measurement, names)
}

/// Whether a measurement's condition holds, or cannot be told yet.
pub(super) fn concerns(measurement: &Measurement, names: &Scope) -> bool {
    let condition = measurement.ask_when.as_ref();
    condition.is_none_or(|when| when.holds(names).unwrap_or(true))
}
