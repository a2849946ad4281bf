//! What a check or a release reads: the values that are measured, and the checks on whose results it builds.
//!
//! Takes a class; gives its [`Reads`], found when they are first asked for. A check is judged over the tolerances of those readings alone
//! that it really uses, so that a vehicle's many readings never make one large box.

use std::collections::BTreeSet;

use super::expression::{Expr, Slot};
use super::facts;
use super::model::{Address, Check, Class, Measurement, Need, Reads};

/// The first part of a dotted name.
pub(crate) fn root(name: &str) -> &str {
    name.split('.').next().unwrap_or(name)
}

impl Class {
    /// What a check reads; of one made for a list at one of its keys, or at all of them.
    pub(crate) fn reads<'r>(&'r self, check: &'r Check, key: Option<&str>) -> &'r Reads {
        let list = check.each.as_deref();
        let keys = list.map_or(&[][..], |list| self.keys(list));
        let all = check.reads.get_or_init(|| {
            let each = keys.iter().map(|key| Some(key.as_str()));
            let of = |key| self.found(check.deciding(), Some(check), key);
            each.chain([None]).map(of).collect()
        });
        let place = keys.iter().position(|one| Some(one.as_str()) == key);
        all.get(place.unwrap_or(keys.len())).unwrap_or(&NOTHING)
    }

    pub(crate) fn release_reads(&self, when: &Expr) -> &Reads {
        let release = self.release.as_ref();
        release.map_or(&NOTHING, |release| {
            let reads = &release.reads;
            reads.get_or_init(|| self.found([when], None, None))
        })
    }

    fn found<'r>(
        &'r self,
        deciding: impl IntoIterator<Item = &'r Expr>,
        own: Option<&'r Check>,
        key: Option<&str>,
    ) -> Reads {
        let mut reads = Reads::default();
        let at = own.and_then(|check| Some((check.each.as_deref()?, key)));
        // Its own results, which its conditions read, are no check above it.
        let own = own.map(|check| check.id.as_str());
        for expression in deciding {
            self.collect(expression, at, own, &mut reads);
            reads.needs.extend(self.needs(expression, at));
        }
        reads
    }

    /// What has to be given for the names of an expression, each by the name that it gives; `each` is the list for which it is evaluated,
    /// at one of its keys or at all of them.
    pub(crate) fn needs<'r>(
        &'r self,
        expression: &'r Expr,
        each: Option<(&'r str, Option<&'r str>)>,
    ) -> impl Iterator<Item = (Slot, Need)> {
        let names = expression.names().iter().zip(expression.slots());
        names.flat_map(move |(name, slot)| {
            let values = self.addresses(root(name), each);
            let fact = values.is_empty().then(|| facts::find(name)).flatten();
            // What asks whether the fact is given can do without it.
            let fact = fact.filter(|fact| !expression.names().contains(&fact.given()));
            let needs = values.into_iter().map(Need::Value);
            let needs = needs.chain(fact.map(|fact| Need::Fact(fact.name)));
            needs.map(|need| (*slot, need))
        })
    }

    /// Where the measurement of a name stands: of a list, under one of its keys or under each of them.
    pub(crate) fn addresses(&self, root: &str, each: Option<(&str, Option<&str>)>) -> Vec<Address> {
        if self.measurements.contains_key(root) {
            return vec![Address::One(root.to_owned())];
        }
        let Some((list, key)) = each.filter(|(list, _)| self.field(list, root).is_some()) else {
            return Vec::new();
        };
        let keys = self.keys(list).iter();
        let keys = keys.filter(|one| key.is_none_or(|key| key == one.as_str()));
        let address = |key: &String| Address::Each(list.to_owned(), key.clone(), root.to_owned());
        keys.map(address).collect()
    }

    /// The turn of a value as it is read; a list has one.
    pub(crate) fn turn(&self, address: &Address) -> Option<usize> {
        let (Address::One(name) | Address::Each(name, ..)) = address;
        Some(self.measurements.get(name)?.turn)
    }

    pub(crate) fn measurement(&self, address: &Address) -> Option<&Measurement> {
        match address {
            Address::One(name) => self.measurements.get(name),
            Address::Each(list, _, field) => self.field(list, field),
        }
    }

    /// What an expression reads: its own names, and those of the checks whose results they are.
    fn collect(
        &self,
        expression: &Expr,
        each: Option<(&str, Option<&str>)>,
        own: Option<&str>,
        found: &mut Reads,
    ) {
        let names = expression.names().iter().map(|name| root(name));
        for root in names.filter(|root| own != Some(root)) {
            if let Some(place) = self.checks.iter().position(|check| check.id == root) {
                let above = self.checks.get(place).filter(|_| found.above.insert(place));
                let at = above.and_then(|above| Some((above.each.as_deref()?, None)));
                for expression in above.into_iter().flat_map(Check::deciding) {
                    self.collect(expression, at, own, found);
                }
            } else if root == "working" {
                let distance = self.measurements.iter();
                let distance = distance.filter(|(_, measurement)| measurement.role.is_some());
                let addresses = distance.map(|(name, _)| Address::One(name.clone()));
                found.values.extend(addresses);
            } else {
                found.values.extend(self.addresses(root, each));
            }
        }
    }
}

/// What something reads that is not there.
static NOTHING: Reads = Reads {
    above: BTreeSet::new(),
    values: BTreeSet::new(),
    needs: BTreeSet::new(),
};
