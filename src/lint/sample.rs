//! Which points of a check are tried, and what was found at them.
//!
//! Takes a check with the checks it builds on and the space of what varies; gives a [`Tried`]. Points are the ends, the middle and
//! between of every range, the neighbours of every number a condition compares with, every word, yes and no; mixed in a fixed
//! order. Going after a branch that none of them reaches is left to [`super::search`].

use std::collections::{BTreeMap, BTreeSet};

use super::distance::Distance;
use super::picks::{Dimension, Pick, heights, number};
use super::pieces::Use;
use super::point::Space;
use super::search::replace;
use super::subject::Subject;
use super::trial;
use crate::assess::{Trial, Tried as Made};
use crate::calc::CalcError;
use crate::report::Path;
use crate::rules::expression::{self, Expr, Scope};

/// Points tried at one height before it counts as not covered.
const MOST_AT_HEIGHT: u64 = 150;

/// What was found at the points tried.
#[derive(Debug, Default)]
pub(super) struct Tried {
    /// Whether each branch held at some point.
    pub(super) reached: Vec<bool>,
    /// Heights at which the check could not be made at any point, with the last refusal.
    pub(super) not_covered: Vec<(f64, Option<CalcError>)>,
    /// Expressions and texts that failed: where, and what was said.
    pub(super) failed: BTreeSet<(Path, String)>,
    /// Inputs that a calculation must have and that were left out because a measurement was not given.
    pub(super) left_out: BTreeMap<String, String>,
}

/// Tries a check. `chain` are the checks it builds on, in order, and itself last.
pub(super) fn tried(chain: &[&Subject<'_>], space: &Space<'_>) -> Tried {
    let Some((target, above)) = chain.split_last() else {
        return Tried::default();
    };
    let mut search = Search::new(target, above, space);
    search.heights();
    search.answers();
    search.branches();
    search.tried
}

pub(super) struct Search<'s, 'a> {
    target: &'s Subject<'a>,
    above: &'s [&'s Subject<'a>],
    pub(super) space: &'s Space<'a>,
    /// For each branch the names that its texts use, and how far its condition is.
    text_names: Vec<Vec<String>>,
    pub(super) distances: Vec<Option<Distance>>,
    /// Branches whose texts were tried, each with which of its names were there.
    printed: BTreeSet<(usize, Vec<bool>)>,
    pub(super) points: usize,
    pub(super) tried: Tried,
}

impl<'s, 'a> Search<'s, 'a> {
    fn new(target: &'s Subject<'a>, above: &'s [&'s Subject<'a>], space: &'s Space<'a>) -> Self {
        let names = target.branches.iter().map(|way| {
            let used = way
                .texts
                .iter()
                .filter_map(|piece| trial::names(piece.what).ok());
            let used: BTreeSet<String> = used.flatten().collect();
            used.into_iter().collect()
        });
        Self {
            text_names: names.collect(),
            distances: target
                .branches
                .iter()
                .map(|way| way.when.map(Distance::of))
                .collect(),
            tried: Tried {
                reached: vec![false; target.branches.len()],
                ..Tried::default()
            },
            target,
            above,
            space,
            printed: BTreeSet::new(),
            points: 0,
        }
    }

    /// At every height points are tried until the check can be made.
    fn heights(&mut self) {
        for height in heights() {
            let mut refusal = None;
            let mut waits = true;
            let mut covered = false;
            for number in 0..MOST_AT_HEIGHT {
                let picks = self.mixed(number);
                match self.at(height, &picks) {
                    // What fails is told where it stands.
                    Made::Branch(..) | Made::Elsewhere | Made::Failed(_) => covered = true,
                    Made::Refused(error) => refusal = Some(error),
                    Made::Waits => continue,
                    Made::NoBranch => {}
                }
                waits = false;
                if covered {
                    break;
                }
            }
            if !covered && !waits {
                self.tried.not_covered.push((height, refusal));
            }
        }
    }

    /// Every answer of every yes/no and word, and every value that may be absent, at a middling height.
    fn answers(&mut self) {
        for round in 0..2 {
            for (place, dimension) in self.space.dimensions.iter().enumerate() {
                for pick in dimension.picks.iter().filter(|pick| number(pick).is_none()) {
                    let mut picks = self.mixed(round);
                    replace(&mut picks, place, Some(pick));
                    self.at(40.0, &picks);
                    self.at(0.0, &picks);
                }
            }
        }
    }

    pub(super) fn mixed(&self, number: u64) -> Vec<Pick> {
        mixed(self.space, number)
    }

    /// Makes the check at one point, and notes what came out.
    pub(super) fn at(&mut self, height: f64, picks: &[Pick]) -> Made {
        self.points += 1;
        let (trial, absent) = self.space.trial(height, picks);
        let made = self.target.make(&trial);
        match &made {
            Made::Branch(branch, names) => {
                if let Some(reached) = self.tried.reached.get_mut(*branch) {
                    *reached = true;
                }
                self.print(*branch, names.feed.clone(), &trial);
            }
            Made::Failed(error) => {
                let path = self.target.place_of(&error.text);
                self.tried.failed.insert((path, error.to_string()));
            }
            Made::Refused(error) if error.given == "missing" => {
                let absent: Vec<String> = absent.iter().map(|name| format!("`{name}`")).collect();
                let left_out = self.tried.left_out.entry(error.input.clone());
                left_out.or_insert_with(|| absent.join(", "));
            }
            _ => {}
        }
        made
    }

    /// Prints the texts of a branch where a name of theirs is not there, once for each set of names that are.
    fn print(&mut self, branch: usize, mut scope: Scope, trial: &Trial) {
        let Some(used) = self.text_names.get(branch) else {
            return;
        };
        // What its texts read of checks that it does not build on.
        for above in self.above {
            if scope.has(above.id) {
                continue;
            }
            if let Made::Branch(_, names) = above.make(trial)
                && let Some(results) = names.feed.get(above.id)
            {
                scope.set(above.id.to_owned(), results);
            }
        }
        let there: Vec<bool> = used.iter().map(|name| scope.knows(name)).collect();
        if !there.contains(&false) || !self.printed.insert((branch, there)) {
            return;
        }
        let texts = self.target.branches.get(branch).map(|way| &way.texts);
        for piece in texts.into_iter().flatten() {
            let failed = match piece.what {
                Use::Text(text) => expression::render(text, &scope).err(),
                Use::Limit(text) => Expr::compile(text)
                    .and_then(|expression| expression.limit(&scope))
                    .err(),
                _ => None,
            };
            if let Some(error) = failed {
                self.tried
                    .failed
                    .insert((piece.path.clone(), error.to_string()));
            }
        }
    }
}

/// A point that mixes the picks of all dimensions; the first is the middle of everything.
pub(super) fn mixed(space: &Space<'_>, number: u64) -> Vec<Pick> {
    let dimensions = space.dimensions.iter().enumerate();
    let pick = |(place, dimension): (usize, &Dimension<'_>)| {
        let count = dimension.picks.len();
        let index = if number == 0 {
            count.saturating_sub(1) / 2
        } else {
            turn(number, u64::try_from(place).unwrap_or(0), count)
        };
        dimension.picks.get(index).cloned().unwrap_or(Pick::Absent)
    };
    dimensions.map(pick).collect()
}

/// A number below `count` that looks drawn but is always the same (the finishing steps of `SplitMix64`, from memory).
pub(super) fn turn(number: u64, place: u64, count: usize) -> usize {
    let mut mixed = number
        .wrapping_mul(0x9E37_79B9_7F4A_7C15)
        .wrapping_add(place.wrapping_mul(0xD1B5_4A32_D192_ED03));
    mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    mixed ^= mixed >> 31;
    let count = u64::try_from(count.max(1)).unwrap_or(1);
    usize::try_from(mixed % count).unwrap_or(0)
}
