//! What is judged together: one check (for a list, of one key) or the release, with the checks it builds on and the readings it uses.
//!
//! Takes a class; gives its [`Unit`]s. A check is judged over the tolerances of those readings alone that it really uses, directly or
//! through the checks that it reads, so that a vehicle's many readings never make one large box.

use std::collections::BTreeSet;

use super::judged_span::JudgedSpan;
use super::types::{Address, Values};
use crate::rules::expression::Expr;
use crate::rules::{Check, Class};

/// What a unit makes in the end.
#[derive(Debug, Clone, Copy)]
pub(super) enum Target<'r> {
    /// A check, at one key of its list where it has one.
    Check(&'r Check, Option<&'r str>),
    Release(&'r Expr),
}

/// Something that is judged over the tolerances of the readings it uses.
#[derive(Debug)]
pub(super) struct Unit<'r> {
    pub(super) target: Target<'r>,
    /// The checks whose results it reads, in order.
    pub(super) above: Vec<&'r Check>,
    pub(super) reads: &'r BTreeSet<Address>,
}

impl Unit<'_> {
    /// The readings with a tolerance among the values it uses.
    pub(super) fn loose(&self, values: &Values) -> Vec<Address> {
        let loose = |address: &&Address| {
            let number = values.number(address);
            number.is_some_and(|number| number.tolerance > 0.0)
        };
        self.reads.iter().filter(loose).cloned().collect()
    }
}

impl<'r> JudgedSpan<'r> {
    /// The units of the class, checks in order, the release last.
    pub(super) fn units(&self) -> Vec<Unit<'r>> {
        let class = self.class;
        let mut units = Vec::new();
        for check in &class.checks {
            let Some(list) = &check.each else {
                units.push(class.unit(Target::Check(check, None)));
                continue;
            };
            let keys = class.keys(list).iter();
            units.extend(keys.map(|key| class.unit(Target::Check(check, Some(key)))));
        }
        units.extend(class.unit_of_release());
        units
    }
}

impl Class {
    /// Its release, where it hangs on a condition.
    pub(super) fn unit_of_release(&self) -> Option<Unit<'_>> {
        let when = self.release.as_ref()?.when.as_ref()?;
        Some(self.unit(Target::Release(when)))
    }

    pub(super) fn unit<'r>(&'r self, target: Target<'r>) -> Unit<'r> {
        let reads = match target {
            Target::Check(check, key) => self.reads(check, key),
            Target::Release(when) => self.release_reads(when),
        };
        let above = reads.above.iter();
        Unit {
            target,
            above: above.filter_map(|above| self.checks.get(*above)).collect(),
            reads: &reads.values,
        }
    }
}

pub(super) fn has_key(values: &Values, list: &str, key: &str) -> bool {
    let under =
        |address: &Address| matches!(address, Address::Each(l, k, _) if l == list && k == key);
    values.data.keys().any(under)
}
