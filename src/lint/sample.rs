//! Which points of a check are tried, and what was found at them.
//!
//! Takes a check with the checks it builds on and the space of what varies; gives a [`Tried`]. Points are the ends, the middle and
//! between of every range, the neighbours of every number a condition compares with, every word, yes and no; mixed in a fixed
//! order. Going after a branch that none of them reaches is left to [`super::search`].

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use rustc_hash::FxHashMap;

use super::moving::Moving;
use super::picks::{Pick, heights, replace};
use super::point::Space;
use super::rule_texts::Use;
use super::subject::{Subject, behind};
use crate::assess::Tried as Made;
use crate::calc::CalcError;
use crate::report::Path;
use crate::rules::expression::{Expr, Scope, Slot};
use crate::rules::root;

/// Points tried at one height before it counts as not covered.
const MOST_AT_HEIGHT: u64 = 150;

/// What was found at the points tried.
#[derive(Debug, Default)]
pub(super) struct Tried {
    /// The first point at which each branch held, if possible one at which all else was made too.
    pub(super) reached: Vec<Option<(Vec<Pick>, bool)>>,
    /// Heights at which the check could not be made at any point, with the last refusal.
    pub(super) not_covered: Vec<(f64, CalcError)>,
    /// Expressions and texts that failed: where, and what was said.
    pub(super) failed: BTreeSet<(Path, String)>,
    /// Inputs that a calculation must have and that were left out because a measurement was not given.
    pub(super) left_out: BTreeMap<String, String>,
}

/// Tries a check. `chain` are the checks it builds on, in order, and itself last.
pub(super) fn tried(chain: &[&Subject<'_>], space: &Space<'_>) -> Tried {
    let Some(target) = chain.last() else {
        return Tried::default();
    };
    let mut search = Search {
        target,
        chain,
        space,
        moving: Moving::new(space),
        read: read(target, chain, space),
        known: FxHashMap::default(),
        printed: BTreeSet::new(),
        points: 0,
        tried: Tried {
            reached: vec![None; target.branches.len()],
            ..Tried::default()
        },
    };
    search.heights();
    let everywhere: Vec<usize> = (0..space.dimensions.len()).collect();
    let heights = [40.0, 0.0]
        .into_iter()
        .take(if space.rises { 2 } else { 1 });
    for height in heights {
        search.answers(&space.mixed_at(height, 0), &everywhere);
    }
    search.branches();
    for (branch, reached) in search.tried.reached.clone().into_iter().enumerate() {
        if let Some((point, _)) = reached {
            let names = behind(target.to_branch(branch), chain, space.class);
            search.answers(&point, &space.places(&names));
        }
    }
    search.tried
}

/// For each dimension whether anything is made by it: the check, and what its texts read beside what it builds on.
fn read(target: &Subject<'_>, chain: &[&Subject<'_>], space: &Space<'_>) -> Vec<bool> {
    let expressions = target.expressions().flat_map(Expr::names);
    let mut names = behind(expressions, chain, space.class);
    let built_on = |subject: &Subject<'_>| names.iter().any(|name| root(name) == subject.id);
    let others = chain.iter().filter(|subject| !built_on(subject));
    let others = others.flat_map(|subject| subject.expressions());
    let others = behind(others.flat_map(Expr::names), chain, space.class);
    names.extend(others);
    let places = space.places(&names);
    let all = 0..space.dimensions.len();
    all.map(|place| places.contains(&place)).collect()
}

pub(super) struct Search<'s, 'a> {
    pub(super) target: &'s Subject<'a>,
    /// The checks that it builds on, in order, and itself last.
    pub(super) chain: &'s [&'s Subject<'a>],
    pub(super) space: &'s Space<'a>,
    moving: Moving<'s, 'a>,
    /// For each dimension whether anything is made by it; of the others it matters alone whether they are given, for texts.
    read: Vec<bool>,
    /// What came out at each point, by what of it matters.
    known: FxHashMap<Vec<u64>, Rc<Made>>,
    /// Branches whose texts were tried, each with which of its names were there.
    printed: BTreeSet<(usize, Vec<bool>)>,
    pub(super) points: usize,
    pub(super) tried: Tried,
}

impl Search<'_, '_> {
    /// Heights at which the check cannot be made are looked for; closely where there is one.
    fn heights(&mut self) {
        let expressions = self.chain.iter().flat_map(|subject| subject.expressions());
        let some = self.space.heights(expressions);
        if some
            .into_iter()
            .any(|height| self.not_covered(height).is_some())
        {
            let refused = |height| Some((height, self.not_covered(height)?));
            let refused: Vec<_> = heights().filter_map(refused).collect();
            self.tried.not_covered = refused;
        }
    }

    /// The last refusal at a height, where the check cannot be made at any point that is tried there.
    fn not_covered(&mut self, height: f64) -> Option<CalcError> {
        let mut refusal = None;
        for number in 0..MOST_AT_HEIGHT {
            match &*self.at(&self.space.mixed_at(height, number)) {
                // What fails is told where it stands.
                Made::Branch(..) | Made::Elsewhere | Made::Failed(_) => return None,
                Made::Refused(error) => refusal = Some(error.clone()),
                Made::Waits => {}
            }
        }
        refusal
    }

    /// Every answer of the yes/no and words among these dimensions, and every value of them that may be absent, all else as at a point.
    fn answers(&mut self, point: &[Pick], places: &[usize]) {
        for &place in places {
            let Some(dimension) = self.space.dimensions.get(place) else {
                continue;
            };
            let other = |pick: &&Pick| pick.number().is_none() && point.get(place) != Some(pick);
            for pick in dimension.picks.iter().filter(other) {
                let mut picks = point.to_vec();
                replace(&mut picks, place, Some(pick));
                self.at(&picks);
            }
        }
    }

    /// What comes out at one point.
    pub(super) fn at(&mut self, picks: &[Pick]) -> Rc<Made> {
        self.points += 1;
        let dimensions = self.space.dimensions.iter().zip(&self.read);
        let key = dimensions.zip(picks).map(|((dimension, read), pick)| {
            let place = || dimension.picks.iter().position(|one| one == pick);
            match pick {
                Pick::None => u64::MAX,
                _ if !read => 0,
                Pick::Number(number) => number.to_bits(),
                _ => place().map_or(0, |place| place as u64),
            }
        });
        let key: Vec<u64> = key.collect();
        if let Some(known) = self.known.get(&key) {
            return Rc::clone(known);
        }
        let made = Rc::new(self.make(picks));
        self.known.insert(key, Rc::clone(&made));
        made
    }

    /// Makes the check at one point, and notes what came out.
    fn make(&mut self, picks: &[Pick]) -> Made {
        self.moving.to(picks);
        let made = self.target.make(&self.moving.trial);
        match &made {
            Made::Branch(branch, names) => {
                let whole = self.print(*branch, names.clone());
                if let Some(reached) = self.tried.reached.get_mut(*branch)
                    && reached.as_ref().is_none_or(|(_, known)| whole && !known)
                {
                    *reached = Some((picks.to_vec(), whole));
                }
            }
            Made::Failed(error) => {
                let path = self.target.place_of(&error.text);
                self.tried.failed.insert((path, error.to_string()));
            }
            Made::Refused(error) if error.given == "missing" => {
                let absent = self.moving.absent();
                let absent: Vec<String> = absent.iter().map(|name| format!("`{name}`")).collect();
                let left_out = self.tried.left_out.entry(error.input.clone());
                left_out.or_insert_with(|| absent.join(", "));
            }
            _ => {}
        }
        made
    }

    /// Prints the texts of a branch where a name of theirs is not there, once for each set of names that are; false where a check that
    /// they read cannot be made, for then nothing is printed of the link.
    fn print(&mut self, branch: usize, mut scope: Scope) -> bool {
        let Some(way) = self.target.branches.get(branch) else {
            return false;
        };
        // What its texts read of checks that it does not build on.
        for above in self.chain {
            if above.id == self.target.id || scope.has_under(Slot::of(above.id)) {
                continue;
            }
            match above.make(&self.moving.trial) {
                Made::Branch(_, names) => scope.take_found(above.id, &names),
                Made::Elsewhere => {}
                _ => return false,
            }
        }
        let there = way.slots.iter();
        let there: Vec<bool> = there.map(|slot| scope.have_all([slot])).collect();
        if !there.contains(&false) || !self.printed.insert((branch, there)) {
            return true;
        }
        for piece in &way.texts {
            let failed = match &piece.what {
                Use::Text(_, Ok(template)) => template.render(&scope).err(),
                Use::Limit(expression) => expression.limit(&scope).err(),
                _ => None,
            };
            if let Some(error) = failed {
                self.tried
                    .failed
                    .insert((piece.path.clone(), error.to_string()));
            }
        }
        true
    }
}
