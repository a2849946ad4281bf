//! The settings behind a check: the limits and margins of the rules by which it decides.
//!
//! Takes checked rules; gives the settings that a check reads, itself or through the checks whose results it reads, with where each comes
//! from. How they are marked on pages is left to `document`.

use std::collections::{BTreeMap, BTreeSet};

use super::expression::Expr;
use super::{Answer, Check, Class, Rules, Setting, root};
use crate::sorted::Sorted as _;

impl Check {
    /// The expressions that decide it: when it is made, what its calculation is given, and the conditions of its branches.
    pub(crate) fn deciding(&self) -> impl Iterator<Item = &Expr> {
        let inputs = self.with.iter().map(|(_, expression)| expression);
        let branches = self.branches.iter();
        let conditions = branches.filter_map(|branch| branch.when.as_ref());
        self.applies.iter().chain(inputs).chain(conditions)
    }
}

impl Class {
    /// The conditions of what is measured: whether it is asked for.
    pub(crate) fn asking(&self) -> impl Iterator<Item = &Expr> {
        let all = self.measurements.values().flat_map(|measurement| {
            let fields = match &measurement.kind {
                Answer::Each { fields, .. } => Some(fields.values()),
                _ => None,
            };
            fields.into_iter().flatten().chain([measurement])
        });
        all.filter_map(|measurement| measurement.ask_when.as_ref())
    }

    /// The settings that a check decides by, by the names under which a workshop lays its own over them.
    pub(crate) fn settings_behind<'r>(
        &'r self,
        rules: &'r Rules,
        check: &'r Check,
    ) -> BTreeMap<String, &'r Setting> {
        let roots = self.roots_behind(check);
        let own = self.settings.iter();
        let own = own.map(|(name, setting)| (name, format!("{}.{name}", self.id), setting));
        let of_all = rules.settings.iter();
        let of_all = of_all
            .filter(|(name, _)| !self.settings.contains_key(*name))
            .map(|(name, setting)| (name, name.clone(), setting));
        own.chain(of_all)
            .filter(|(name, ..)| roots.contains(name.as_str()))
            .map(|(_, full, setting)| (full, setting))
            .sorted_map()
    }

    /// The settings that a measurement is held against: those behind every check that reads it.
    pub(crate) fn settings_against<'r>(
        &'r self,
        rules: &'r Rules,
        measurement: &str,
    ) -> BTreeMap<String, &'r Setting> {
        let checks = self.checks.iter();
        let reads = |check: &&Check| self.roots_behind(check).contains(measurement);
        let checks = checks.filter(reads);
        checks
            .flat_map(|check| self.settings_behind(rules, check))
            .sorted_map()
    }

    /// The first words of all names behind a check.
    fn roots_behind<'r>(&'r self, check: &'r Check) -> BTreeSet<&'r str> {
        let mut roots = BTreeSet::new();
        let mut open = vec![check];
        while let Some(check) = open.pop() {
            let names = check.deciding().flat_map(super::expression::Expr::names);
            for name in names {
                let root = root(name);
                if roots.insert(root) {
                    open.extend(self.checks.iter().find(|above| above.id == root));
                }
            }
        }
        roots
    }
}
