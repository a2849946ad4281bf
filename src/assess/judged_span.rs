//! One span of one link at one set of values: the names that its rule's expressions may use, and what they stand for.

use std::sync::LazyLock;

use super::types::{Address, Datum, Values};
use crate::cut::Span;
use crate::rules::Slots;
use crate::rules::expression::{Scope, Slot, Term};
use crate::rules::names::Names;
use crate::rules::{Answer, Class, Measurement, SpanRole};
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

impl Names {
    /// Adds a measured value under the names of its measurement.
    fn datum(&mut self, slots: &Slots, datum: &Datum) {
        match datum {
            Datum::Number(quantity) => self.number_at(slots.own, quantity.value),
            Datum::Flag(flag) => self.flag_at(slots.own, *flag),
            Datum::Word(word) => self.word_at(slots, word),
        }
    }
}

/// The names of a class while nothing is measured: facts, settings, titles of the link and of the fixings.
pub(super) fn unmeasured(
    class: &Class,
    facts: &Scope,
    (link, from, to): (&str, &str, &str),
) -> Names {
    let (feed, judge) = class.names.get_or_init(|| of_class(class));
    let mut names = Names {
        feed: feed.over(facts),
        judge: judge.over(facts),
    };
    // A fact of that name must not stand in for it either; there is none among ours.
    let measured = class.measurements.iter();
    let measured = measured.map(|(name, measurement)| measurement.slots(name));
    for slots in measured.filter(|slots| facts.has_under(slots.own)) {
        names.forget(slots);
    }
    names.feed.set("link", text::within(&text::clean(link)));
    names.feed.set("from", text::clean(from));
    names.feed.set("to", text::clean(to));
    names
}

/// The names that a class has of itself: its settings, and that nothing is measured.
fn of_class(class: &Class) -> (Scope, Scope) {
    let mut names = Names::default();
    for (name, setting) in &class.settings {
        names.number(name, setting.value.value);
    }
    // Rules that nobody checked may call a setting like a measurement, and it must not stand in for what is missing.
    for (name, measurement) in &class.measurements {
        names.forget(measurement.slots(name));
    }
    (names.feed, names.judge)
}

impl<'a> JudgedSpan<'a> {
    /// The names at the values given; of a number only its value counts.
    pub(super) fn names(&self, values: &Values) -> Names {
        let mut names = unmeasured(self.class, self.basis, self.titles);
        self.measured(values, &mut names);
        names
    }

    /// Adds the names of a span and its values to those that hold whatever they are.
    pub(super) fn measured(&self, values: &Values, names: &mut Names) {
        for (address, datum) in &values.data {
            self.value(address, Some(datum), names);
        }
        self.pulled(values, names);
    }

    /// Adds a value under the names of its measurement, or takes them away where it is not given.
    pub(super) fn value(&self, address: &Address, datum: Option<&Datum>, names: &mut Names) {
        if let Address::One(name) = address
            && let Some(measurement) = self.class.measurements.get(name)
        {
            let slots = measurement.slots(name);
            match datum {
                Some(datum) => {
                    names.flag_at(slots.known, true);
                    names.datum(slots, datum);
                }
                None => names.forget(slots),
            }
        }
    }

    /// Adds the names of the span: how far its fixings move apart.
    pub(super) fn pulled(&self, values: &Values, names: &mut Names) {
        static SLOTS: LazyLock<[Slot; 3]> =
            LazyLock::new(|| ["rise", "travel", "at_end"].map(Slot::of));
        let [rise, travel, at_end] = *SLOTS;
        names.number_at(rise, self.span.rise);
        names.number_at(travel, self.span.travel);
        names.flag_at(at_end, self.span.at_end());
        self.working(values, names);
    }

    /// The names at another point of the tolerances: those at the stated values, with the numbers that differ.
    pub(super) fn names_at(&self, stated: &Names, values: &Values, moved: &[Address]) -> Names {
        let mut names = stated.clone();
        let mut distance = false;
        for address in moved {
            if let (Address::One(name), Some(number)) = (address, values.number(address)) {
                names.number(name, number.value);
                let measurement = self.class.measurements.get(name);
                distance |= measurement.is_some_and(|measurement| measurement.role.is_some());
            }
        }
        if distance {
            self.working(values, &mut names);
        }
        names
    }

    fn working(&self, values: &Values, names: &mut Names) {
        static SLOTS: LazyLock<[Slot; 4]> = LazyLock::new(|| {
            ["", ".length", ".up", ".sideways"].map(|field| Slot::of(&format!("working{field}")))
        });
        let [root, length, up, sideways] = *SLOTS;
        let working = self.span.working(self.distance(values));
        let mut fields = vec![
            (length, Term::from(working.length)),
            (up, Term::from(working.up)),
            (sideways, Term::from(working.sideways)),
        ];
        fields.sort_unstable_by_key(|(slot, _)| *slot);
        names.fields_at(root, fields);
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
        names: &Names,
        values: &Values,
        list: &str,
        key: &str,
    ) -> Names {
        let mut names = names.clone();
        names.feed.set("key", key);
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

    /// The measurement at an address.
    pub(super) fn measurement(&self, address: &Address) -> Option<&'a Measurement> {
        match address {
            Address::One(name) => self.class.measurements.get(name),
            Address::Each(list, _, field) => self.class.field(list, field),
        }
    }
}
