//! What varies from one point to the next, and the names at one point.
//!
//! Takes a class and the names that a check reads, its own and those of the checks it builds on; gives its [`Dimension`]s,
//! and for one pick of each the [`Names`] that `assess` would set. Which points are tried is left to [`super::sample`].

use std::collections::{BTreeMap, BTreeSet};

use minijinja::Value as Name;

use super::picks::{self, Dimension, Pick};
use super::subject::Subject;
use crate::rules::model::{Class, Measurement};
use crate::rules::names::Names;
use crate::rules::{Answer, Rules, facts};

/// Everything that varies of a check.
#[derive(Debug)]
pub(super) struct Space<'a> {
    pub(super) dimensions: Vec<Dimension<'a>>,
    /// Measurements that are known when asked for by `known`.
    known: BTreeSet<String>,
    /// Facts that `given` asks for.
    given: BTreeSet<&'static str>,
    settings: Names,
}

impl<'a> Space<'a> {
    /// The space of a check. `chain` are the checks it builds on and itself; `demanded` the names that any check of the class
    /// demands, so that the survey asks for them.
    pub(super) fn new(
        rules: &Rules,
        class: &'a Class,
        chain: &[&Subject<'a>],
        used: &BTreeSet<String>,
        demanded: &BTreeSet<String>,
    ) -> Self {
        let mut space = Space {
            dimensions: Vec::new(),
            known: BTreeSet::new(),
            given: used
                .iter()
                .filter_map(|name| Some(facts::asked_for(name)?.name))
                .collect(),
            settings: Names::default(),
        };
        let settings = rules.settings.iter().chain(&class.settings);
        for (name, setting) in settings.filter(|(name, _)| used.contains(*name)) {
            space.settings.number(name, setting.value.value);
        }
        let is_choice = |root: &str, name: &str| {
            let measured = class.measurements.contains_key(root);
            root != name && (measured || field(class, chain, root).is_some())
        };
        let mut seen = BTreeSet::new();
        for name in used {
            let (root, field) = name.split_once('.').unwrap_or((name, ""));
            let plain = match root {
                "known" => {
                    space.known.insert(field.to_owned());
                    field
                }
                "given" => facts::asked_for(name).map_or(name.as_str(), |fact| fact.name),
                _ if is_choice(root, name) => root,
                _ => name,
            };
            if seen.insert(plain) {
                space.add(class, chain, plain, demanded);
            }
        }
        space.breaks(rules, class, chain);
        space
    }

    fn add(
        &mut self,
        class: &'a Class,
        chain: &[&Subject<'a>],
        name: &str,
        demanded: &BTreeSet<String>,
    ) {
        let measurement = class
            .measurements
            .get(name)
            .or_else(|| field(class, chain, name));
        let picks = match measurement {
            Some(measurement) => picks::measured(measurement, name, chain, demanded.contains(name)),
            // A fact that is asked for by `given` may be missing, whoever demands it where it is given.
            None => picks::of_job(name, demanded.contains(name) && !self.given.contains(name)),
        };
        if !picks.is_empty() {
            self.dimensions.push(Dimension {
                name: name.to_owned(),
                picks,
                measurement,
            });
        }
    }

    /// Adds what stands beside a number in a condition, and its close neighbours, to what the number may be.
    fn breaks(&mut self, rules: &Rules, class: &Class, chain: &[&Subject<'_>]) {
        for condition in chain.iter().flat_map(|subject| subject.conditions()) {
            let setting = |name: &String| {
                let setting = class
                    .settings
                    .get(name)
                    .or_else(|| rules.settings.get(name));
                setting.map(|setting| setting.value.value)
            };
            let mut levels: Vec<f64> = condition.names().iter().filter_map(setting).collect();
            levels.extend(picks::literals(condition.text()));
            levels.extend(levels.clone().iter().map(|level| -level));
            for dimension in &mut self.dimensions {
                if condition.names().contains(&dimension.name) {
                    dimension.add_levels(&levels);
                }
            }
        }
    }

    /// The names at one point, and the measurements that are not given there. `picks` stand in the order of the dimensions.
    pub(super) fn names(&'_ self, rise: f64, picks: &[Pick]) -> (Names, BTreeSet<&'_ str>) {
        let mut names = self.settings.clone();
        names.number("rise", rise);
        names.flag("at_end", rise > 0.0);
        let mut roots: BTreeMap<&str, Vec<(&str, Name)>> = BTreeMap::new();
        let mut absent = BTreeSet::new();
        for (dimension, pick) in self.dimensions.iter().zip(picks) {
            let name = dimension.name.as_str();
            match (dimension.measurement, name.split_once('.')) {
                (Some(measurement), _) => {
                    set(&mut names, name, measurement, pick);
                    if *pick == Pick::Absent {
                        absent.insert(name);
                    }
                }
                (None, Some((root, field))) => {
                    let value = of_root(root, field, pick, rise);
                    roots
                        .entry(root)
                        .or_default()
                        .extend(value.map(|value| (field, value)));
                }
                (None, None) => plain(&mut names, name, pick),
            }
        }
        for (root, fields) in roots {
            let fields: BTreeMap<&str, Name> = fields.into_iter().collect();
            names.feed.set(root, Name::from(fields.clone()));
            names.judge.set(root, Name::from(fields));
        }
        self.set_given(&mut names);
        self.drop_unasked(&mut names, picks, &mut absent);
        for name in ["link", "from", "to", "key"] {
            names.feed.set(name, name);
        }
        (names, absent)
    }

    /// What need not be asked is not given; then says what is known.
    fn drop_unasked<'s>(
        &'s self,
        names: &mut Names,
        picks: &[Pick],
        absent: &mut BTreeSet<&'s str>,
    ) {
        self.set_known(names, absent);
        for (dimension, pick) in self.dimensions.iter().zip(picks) {
            let when = dimension.measurement.and_then(|m| m.ask_when.as_ref());
            let Some(when) = when.filter(|_| *pick != Pick::Absent) else {
                continue;
            };
            let default = dimension.measurement.is_some_and(|m| m.default.is_some());
            if !default && matches!(when.holds(&names.judge), Ok(false)) {
                absent.insert(&dimension.name);
            }
        }
        if !absent.is_empty() {
            for name in absent.iter() {
                names.feed.remove(name);
                names.judge.remove(name);
            }
            self.set_known(names, absent);
        }
    }

    fn set_given(&self, names: &mut Names) {
        let fact = |name: &&'static str| {
            let field = facts::find(name).map_or(*name, |fact| fact.field());
            (field, names.judge.knows(name))
        };
        let given: Vec<(&str, bool)> = self.given.iter().map(fact).collect();
        names.feed.set_fields("given", given.clone());
        names.judge.set_fields("given", given);
    }

    fn set_known(&self, names: &mut Names, absent: &BTreeSet<&str>) {
        let known: BTreeMap<&str, bool> = self
            .known
            .iter()
            .map(|name| (name.as_str(), !absent.contains(name.as_str())))
            .collect();
        names.feed.set("known", Name::from(known.clone()));
        names.judge.set("known", Name::from(known));
    }
}

/// The field of a list that one of the checks is made for.
fn field<'a>(class: &'a Class, chain: &[&Subject<'a>], name: &str) -> Option<&'a Measurement> {
    let lists = chain.iter().filter_map(|subject| subject.stand.each);
    lists
        .filter_map(|list| class.measurements.get(list))
        .find_map(|list| match &list.kind {
            Answer::Each { fields, .. } => fields.get(name),
            _ => None,
        })
}

/// A fact or movement at a height. Movement on the way grows with the height: `working.length` is picked as a share of the height
/// and the clearance together, `working.up` as what comes on top of the height.
fn of_root(root: &str, field: &str, pick: &Pick, rise: f64) -> Option<Name> {
    let number = |number: f64| match (root, field) {
        ("working", "length") => number * (rise + 20.0),
        ("working", "up") => rise + number,
        ("lift", "spacer" | "highest") if rise > 0.0 => rise,
        _ => number,
    };
    match pick {
        Pick::Number(picked) => Some(Name::from(number(*picked))),
        Pick::Flag(flag) => Some(Name::from(*flag)),
        Pick::Word(word) => Some(Name::from(word.as_str())),
        Pick::Absent => None,
    }
}

fn set(names: &mut Names, name: &str, measurement: &Measurement, pick: &Pick) {
    match pick {
        Pick::Word(word) => {
            let choices = match &measurement.kind {
                Answer::Choice(choices) => Some(choices.as_slice()),
                _ => None,
            };
            names.word(name, choices, word);
        }
        _ => plain(names, name, pick),
    }
}

fn plain(names: &mut Names, name: &str, pick: &Pick) {
    match pick {
        Pick::Number(number) => names.number(name, *number),
        Pick::Flag(flag) => names.flag(name, *flag),
        Pick::Word(word) => names.word(name, None, word),
        Pick::Absent => {}
    }
}
