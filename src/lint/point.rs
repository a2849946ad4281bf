//! What varies from one point to the next.
//!
//! Takes a class and the names that a check reads, its own and those of the checks it builds on; gives its [`Dimension`]s, and points that
//! mix their picks. The class at a point is left to [`super::moving`], which points are tried to [`super::sample`].

use std::collections::{BTreeSet, VecDeque};

use super::picks::{self, Dimension, Pick, replace};
use super::subject::Subject;
use crate::assess::{Trial, facts as of_job};
use crate::lots::Lots;
use crate::rules::expression::{Expr, Scope, Slot};
use crate::rules::{Class, Measurement, Rules, facts};
use crate::sorted::Sorted as _;

/// Everything that varies of a check.
pub(super) struct Space<'a> {
    pub(super) class: &'a Class,
    pub(super) dimensions: Vec<Dimension<'a>>,
    /// The list for whose keys the check, or one that it builds on, is made.
    list: Option<&'a str>,
    /// What holds at every point.
    begun: Scope,
    /// Whether anything that is read changes with the height.
    pub(super) rises: bool,
}

/// The settings of the rules, with no fact of a job given.
pub(super) fn settings(rules: &Rules) -> Scope {
    let mut settings = Scope::default();
    for (name, setting) in &rules.settings {
        settings.set(name, setting.value.value);
    }
    of_job::say_what_is_given(&mut settings);
    settings.as_ground()
}

/// Heights that are looked at first: every so many.
const APART: usize = 6;

impl<'a> Space<'a> {
    /// The space of names that a chain of checks uses: what they stand for, and last the rise. `demanded` are the names that any check of
    /// the class demands, so that the survey asks for them.
    pub(super) fn new(
        (settings, class): (&Scope, &'a Class),
        chain: &[&Subject<'a>],
        used: &BTreeSet<String>,
        demanded: &BTreeSet<String>,
    ) -> Self {
        let mut space = Space {
            class,
            dimensions: Vec::new(),
            list: chain.iter().find_map(|subject| subject.each),
            begun: Trial::beginning(class, settings),
            rises: used.iter().any(|name| of_height(name)),
        };
        let mut seen = BTreeSet::new();
        let mut open: VecDeque<String> = used.iter().flat_map(|name| space.plain(name)).collect();
        while let Some(plain) = open.pop_front() {
            if seen.insert(plain.clone()) {
                space.add(&plain, chain, demanded);
                // Whether it is asked for varies with what that hangs on.
                let asked = space
                    .measurement(&plain)
                    .and_then(|it| it.ask_when.as_ref());
                let names = asked.into_iter().flat_map(Expr::names);
                open.extend(names.flat_map(|name| space.plain(name)));
            }
        }
        let heights = std::iter::once(0.0).chain(picks::heights());
        space.dimensions.push(Dimension {
            name: "rise".to_owned(),
            picks: heights.map(Pick::Number).collect(),
            measured: None,
            fact: None,
        });
        space.breaks(chain);
        space
    }

    /// The dimensions that names stand for.
    pub(super) fn places(&self, names: &BTreeSet<String>) -> Vec<usize> {
        let plain: BTreeSet<String> = names.iter().flat_map(|name| self.plain(name)).sorted_set();
        let rises = names.iter().any(|name| of_height(name));
        let stands = |dimension: &Dimension<'_>| match dimension.name.as_str() {
            "rise" => rises,
            name => plain.contains(name),
        };
        let dimensions = self.dimensions.iter().enumerate();
        let dimensions = dimensions.filter(|(_, dimension)| stands(dimension));
        dimensions.map(|(place, _)| place).collect()
    }

    /// Heights that stand for all between them: some, and those beside the numbers with which expressions compare a height.
    pub(super) fn heights<'e>(&self, expressions: impl IntoIterator<Item = &'e Expr>) -> Vec<f64> {
        let named = expressions.into_iter();
        let named = named.filter(|one| one.names().iter().any(|name| of_height(name)));
        let own = named
            .flat_map(|one| self.levels(one))
            .flat_map(picks::beside);
        let own = own.filter(|height| (1.0..=150.0).contains(height));
        let some = picks::heights().step_by(APART);
        let mut all: Vec<f64> = some.chain(own).collect();
        all.sort_by(f64::total_cmp);
        all.dedup();
        all.truncate(if self.rises { all.len() } else { 1 });
        all
    }

    /// The point nearest to one of another space: its picks where this has them, too, else the middle.
    pub(super) fn like(&self, other: &Self, picks: &[Pick]) -> Vec<Pick> {
        let mut point = self.mixed(0);
        for (dimension, pick) in other.dimensions.iter().zip(picks) {
            let same = |own: &Dimension<'_>| own.name == dimension.name;
            if let Some(place) = self.dimensions.iter().position(same) {
                replace(&mut point, place, Some(pick));
            }
        }
        point
    }

    /// A point that mixes the picks of all dimensions; the first is the middle of everything.
    pub(super) fn mixed(&self, number: u64) -> Vec<Pick> {
        let dimensions = self.dimensions.iter().enumerate();
        let pick = |(place, dimension): (usize, &Dimension<'_>)| {
            let count = dimension.picks.len();
            let index = if number == 0 {
                count.saturating_sub(1) / 2
            } else {
                Lots::apart(number, u64::try_from(place).unwrap_or(0)).below(count)
            };
            dimension.picks.get(index).cloned().unwrap_or_default()
        };
        dimensions.map(pick).collect()
    }

    pub(super) fn mixed_at(&self, height: f64, number: u64) -> Vec<Pick> {
        raised(&self.mixed(number), height)
    }

    /// What varies behind a name: a movement on the way has two parts and the distance of the fixings, a choice its measurement.
    fn plain(&self, name: &str) -> Vec<String> {
        let (root, field) = name.split_once('.').unwrap_or((name, ""));
        match root {
            "known" => vec![field.to_owned()],
            "given" => facts::asked_for(name)
                .map(|fact| fact.name.to_owned())
                .into_iter()
                .collect(),
            "working" => {
                let distance = self.class.measurements.iter();
                let distance = distance.filter(|(_, measurement)| measurement.role.is_some());
                let parts = ["working.up", "working.sideways"].map(ToOwned::to_owned);
                parts
                    .into_iter()
                    .chain(distance.map(|(name, _)| name.clone()))
                    .collect()
            }
            _ if self.measurement(root).is_some() => vec![root.to_owned()],
            _ => vec![name.to_owned()],
        }
    }

    fn measurement(&self, name: &str) -> Option<&'a Measurement> {
        let field = || self.class.field(self.list?, name);
        self.class.measurements.get(name).or_else(field)
    }

    fn add(&mut self, name: &str, chain: &[&Subject<'a>], demanded: &BTreeSet<String>) {
        let measurement = self.measurement(name);
        let picks = if let Some(measurement) = measurement {
            picks::measured(measurement, name, chain, demanded.contains(name))
        } else {
            // A fact that is asked for by `given` may be missing, whoever demands it where it is given.
            let asked = facts::find(name).is_some_and(|fact| demanded.contains(&fact.given()));
            picks::of_job(name, demanded.contains(name) && !asked)
        };
        if !picks.is_empty() {
            let root = name.split_once('.').map(|(root, _)| root);
            let of_job = matches!(root, Some("lift" | "block" | "vehicle"));
            let given = facts::find(name).map(|fact| Slot::of(&fact.given()));
            let each = self.list.map(|list| (list, None));
            let measured =
                measurement.map(|measurement| (measurement, self.class.addresses(name, each)));
            self.dimensions.push(Dimension {
                name: name.to_owned(),
                picks,
                measured,
                fact: of_job.then(|| (Slot::of(name), given)),
            });
        }
    }

    /// Adds what stands beside a number in a condition, and its close neighbours, to what the number may be.
    fn breaks(&mut self, chain: &[&Subject<'_>]) {
        for condition in chain.iter().flat_map(|subject| subject.conditions()) {
            let mut levels = self.levels(condition);
            levels.extend(levels.clone().iter().map(|level| -level));
            for dimension in &mut self.dimensions {
                if condition.names().contains(&dimension.name) {
                    dimension.add_levels(&levels);
                }
            }
        }
    }

    /// The numbers that stand in an expression, written or as settings.
    fn levels(&self, expression: &Expr) -> Vec<f64> {
        let settings = expression.names().iter();
        let settings = settings.filter_map(|name| self.begun.number(name));
        settings.chain(picks::literals(expression.text())).collect()
    }

    /// The class where nothing is given yet.
    pub(super) fn begun(&self) -> Trial<'a> {
        Trial::begun(self.class, self.begun.clone())
    }
}

/// The same point at a height.
pub(super) fn raised(picks: &[Pick], height: f64) -> Vec<Pick> {
    let mut picks = picks.to_vec();
    if let Some(rise) = picks.last_mut() {
        *rise = Pick::Number(height);
    }
    picks
}

/// Whether a name stands for something else at another height.
pub(super) fn of_height(name: &str) -> bool {
    matches!(name, "rise" | "at_end" | "lift.spacer" | "lift.highest")
        || name.starts_with("working.")
}
