//! One span of one link at one set of values: the names that its rule's expressions may use, and what they stand for.

use std::sync::LazyLock;

use super::types::{Address, Datum, Values};
use crate::cut::Span;
use crate::rules::expression::{Meaning, Scope, Slot};
use crate::rules::{Answer, Class, Slots, SpanRole};
use crate::text;

/// One span of one link under its class.
#[derive(Clone, Copy)]
pub(super) struct JudgedSpan<'a> {
    pub(super) class: &'a Class,
    pub(super) id: &'a str,
    pub(super) span: &'a Span,
    /// What the texts call the link and the fixings of the span.
    pub(super) titles: (&'a str, &'a str, &'a str),
    /// Facts of the job and settings of the rule set.
    pub(super) basis: &'a Scope,
}

impl Scope {
    /// Adds a measured value under the names of its measurement.
    fn datum(&mut self, slots: &Slots, datum: &Datum) {
        match datum {
            Datum::Number(quantity) => self.put(slots.own, quantity.value),
            Datum::Flag(flag) => self.put(slots.own, *flag),
            Datum::Word(word) => self.word_at(slots, word),
        }
    }
}

/// The names of a class while nothing is measured: facts, settings, titles of the link and of the fixings.
pub(super) fn unmeasured(
    class: &Class,
    facts: &Scope,
    (link, from, to): (&str, &str, &str),
) -> Scope {
    let own = class.names.get_or_init(|| of_class(class));
    let mut names = own.over(facts);
    // A fact of that name must not stand in for it either; there is none among ours.
    let measured = class.measurements.iter();
    let measured = measured.map(|(name, measurement)| measurement.slots(name));
    for slots in measured.filter(|slots| facts.has_under(slots.own)) {
        names.forget(slots);
    }
    let titles = [
        ("link", text::within(&text::clean(link))),
        ("from", text::clean(from)),
        ("to", text::clean(to)),
    ];
    for (name, title) in titles {
        names.mean(Slot::of(name), Meaning::Word(title.into()));
    }
    names
}

/// The names that a class has of itself: its settings, and that nothing is measured.
fn of_class(class: &Class) -> Scope {
    let mut names = Scope::default();
    for (name, setting) in &class.settings {
        names.put(Slot::of(name), setting.value.value);
    }
    // Rules that nobody checked may call a setting like a measurement, and it must not stand in for what is missing.
    for (name, measurement) in &class.measurements {
        names.forget(measurement.slots(name));
    }
    names
}

impl JudgedSpan<'_> {
    /// The names at the values given; of a number only its value counts.
    pub(super) fn names(&self, values: &Values) -> Scope {
        let mut names = unmeasured(self.class, self.basis, self.titles);
        for (address, datum) in &values.data {
            self.value(address, Some(datum), &mut names);
        }
        self.pulled(values, &mut names);
        names
    }

    /// Adds a value under the names of its measurement, or takes them away where it is not given.
    pub(super) fn value(&self, address: &Address, datum: Option<&Datum>, names: &mut Scope) {
        if let Address::One(name) = address
            && let Some(measurement) = self.class.measurements.get(name)
        {
            let slots = measurement.slots(name);
            match datum {
                Some(datum) => {
                    names.put(slots.known, true);
                    names.datum(slots, datum);
                }
                None => names.forget(slots),
            }
        }
    }

    /// Adds the names of the span: how far its fixings move apart.
    pub(super) fn pulled(&self, values: &Values, names: &mut Scope) {
        static SLOTS: LazyLock<[Slot; 3]> =
            LazyLock::new(|| ["rise", "travel", "at_end"].map(Slot::of));
        let [rise, travel, at_end] = *SLOTS;
        names.put(rise, self.span.rise);
        names.put(travel, self.span.travel);
        names.put(at_end, self.span.at_end());
        self.working(values, names);
    }

    /// The names at another point of the tolerances: those at the stated values, with the numbers that differ.
    pub(super) fn names_at(&self, stated: &Scope, values: &Values, moved: &[Address]) -> Scope {
        let mut names = stated.clone();
        let mut distance = false;
        for address in moved {
            if let (Address::One(name), Some(number)) = (address, values.number(address))
                && let Some(measurement) = self.class.measurements.get(name)
            {
                names.put(measurement.slots(name).own, number.value);
                distance |= measurement.role.is_some();
            }
        }
        if distance {
            self.working(values, &mut names);
        }
        names
    }

    /// Adds how far they move apart on the way there, which hangs on their distance.
    pub(super) fn working(&self, values: &Values, names: &mut Scope) {
        static SLOTS: LazyLock<[Slot; 3]> =
            LazyLock::new(|| ["working.length", "working.up", "working.sideways"].map(Slot::of));
        let [length, up, sideways] = *SLOTS;
        let working = self.span.working(self.distance(values));
        names.put(length, working.length);
        names.put(up, working.up);
        names.put(sideways, working.sideways);
    }

    /// Horizontal distance and level difference of the fixings: as measured, else from their places.
    fn distance(&self, values: &Values) -> Option<(f64, f64)> {
        let of = |role| {
            let (name, _) = self.class.of_role(role)?;
            Some(values.number(&Address::One(name.clone()))?.value)
        };
        match (of(SpanRole::Plan), of(SpanRole::Level)) {
            (Some(plan), Some(level)) if plan.hypot(level) > 0.0 => Some((plan, level)),
            _ => self.span.geometry(),
        }
    }

    /// The names with those of one key of a list laid over them.
    pub(super) fn names_for_key(
        &self,
        names: &Scope,
        values: &Values,
        list: &str,
        key: &str,
    ) -> Scope {
        let mut names = names.clone();
        names.mean(Slot::of("key"), Meaning::Word(key.into()));
        if let Some(measurement) = self.class.measurements.get(list)
            && let Answer::Each { fields, .. } = &measurement.kind
        {
            for (field, measurement) in fields {
                let address = Address::Each(list.to_owned(), key.to_owned(), field.clone());
                if let Some(datum) = values.data.get(&address) {
                    names.datum(measurement.slots(field), datum);
                }
            }
        }
        names
    }
}
