//! One span of one link at one set of values: the names that its rule's expressions may use, and what they stand for.

use minijinja::Value;

use super::basis::Basis;
use super::values::{Address, Datum, Values};
use crate::cut::Span;
use crate::rules::names::Names;
use crate::rules::{Answer, Class};
use crate::text;

/// One span of one link under its class.
#[derive(Clone, Copy)]
pub(super) struct Case<'a> {
    pub(super) class: &'a Class,
    pub(super) id: &'a str,
    pub(super) span: &'a Span,
    /// What the texts call the link and the fixings of the span.
    pub(super) titles: (&'a str, &'a str, &'a str),
    /// Facts of the job and settings of the rule set.
    pub(super) basis: &'a Basis,
}

impl Names {
    /// Adds a measured value under a name; a word with choices becomes one yes/no for each of them.
    pub(super) fn datum(&mut self, name: &str, kind: &Answer, datum: &Datum) {
        let choices = match kind {
            Answer::Choice(choices) => Some(choices.as_slice()),
            _ => None,
        };
        match datum {
            Datum::Number(quantity) => self.number(name, quantity.value),
            Datum::Flag(flag) => self.flag(name, *flag),
            Datum::Word(word) => self.word(name, choices, word),
        }
    }
}

impl Case<'_> {
    /// The names at the values given; of a number only its value counts.
    pub(super) fn names(&self, values: &Values) -> Names {
        let measured = |name: &String| values.one(name).is_some();
        let known = self.class.measurements.keys().map(measured);
        let mut names = self.basis.names(self.class, known.collect());
        for (name, measurement) in &self.class.measurements {
            if let Some(datum) = values.one(name) {
                names.datum(name, &measurement.kind, datum);
            }
        }
        self.span_names(values, &mut names);
        names
    }

    fn span_names(&self, values: &Values, names: &mut Names) {
        names.number("rise", self.span.rise);
        names.number("travel", self.span.travel);
        let working = self.span.working(self.distance(values));
        let fields = [
            ("length", Value::from(working.length)),
            ("up", Value::from(working.up)),
            ("sideways", Value::from(working.sideways)),
        ];
        names.fields("working", &fields);
        names.flag("at_end", self.span.at_end());
        let (link, from, to) = self.titles;
        names.feed.set("link", text::clean(link));
        names.feed.set("from", text::clean(from));
        names.feed.set("to", text::clean(to));
    }

    /// Horizontal distance and level difference of the fixings: as measured, else from their places.
    fn distance(&self, values: &Values) -> Option<(f64, f64)> {
        match (values.one("plan"), values.one("level")) {
            (Some(Datum::Number(plan)), Some(Datum::Number(level)))
                if plan.value.hypot(level.value) > 0.0 =>
            {
                Some((plan.value, level.value))
            }
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
                    names.datum(field, &measurement.kind, datum);
                }
            }
        }
        names
    }
}
