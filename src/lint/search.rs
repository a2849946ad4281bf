//! Going after a branch that was not reached yet: toward it, one dimension after the other, then closely round the nearest place.
//!
//! Takes a [`Search`]; notes in it what is found. Between two neighbours with different outcomes the change is narrowed down, so that a
//! narrow branch is found too. Everything is tried in a fixed order.

use super::picks::{Pick, replace};
use super::sample::Search;
use super::subject;
use crate::assess::Tried;
use crate::rules::expression::{Comparison, Expr, Node, Scope};

/// Points after which no further branch of a check is looked for.
const MOST: usize = 8_000;
/// Places from which a branch is looked for.
const STARTS: u64 = 6;
/// Picks from the ends of a dimension that are tried at first.
const ENDS: usize = 4;
/// Times that a change between two points, or a step, is halved.
const HALVINGS: usize = 14;

/// How far a point is from a branch, and the branch that holds there.
type Score = (f64, Option<usize>);

impl Search<'_, '_> {
    /// Branches that have not been reached yet are looked for from several places each: by a few picks at the ends of what varies, by
    /// all picks, then closely round the nearest places.
    pub(super) fn branches(&mut self) {
        self.every_place(ENDS);
        let mut near = self.every_place(usize::MAX);
        near.sort_by(|(.., a), (.., b)| a.total_cmp(b));
        for (branch, picks, best) in near {
            self.closely(branch, &picks, best);
        }
    }

    /// Looks for every open branch from every place; gives the nearest points of those that stay open.
    fn every_place(&mut self, most: usize) -> Vec<(usize, Vec<Pick>, f64)> {
        let mut near = Vec::new();
        for start in 0..STARTS {
            for branch in 0..self.target.branches.len() {
                if self.open(branch) {
                    let (picks, best) = self.look_for(branch, start, most);
                    near.push((branch, picks, best));
                }
            }
        }
        near
    }

    /// Whether a branch has not been reached and is looked for.
    fn open(&self, branch: usize) -> bool {
        matches!(self.tried.reached.get(branch), Some(None)) && self.points < MOST
    }

    /// Moves one after the other of the dimensions that hold it up to where the branch is nearest, until no move brings it nearer.
    fn look_for(&mut self, branch: usize, start: u64, most: usize) -> (Vec<Pick>, f64) {
        let mut picks = self.space.mixed(start);
        let mut best = self.score(branch, &picks);
        let mut held = None;
        while held.replace(best.1) != Some(best.1) {
            let places = self.in_the_way(branch, best.1);
            let mut in_vain = 0;
            for place in places.iter().cycle() {
                let before = best;
                self.along(branch, (*place, most), (&mut picks, &mut best));
                in_vain = if best == before { in_vain + 1 } else { 1 };
                if in_vain >= places.len() || best.1 != before.1 {
                    break;
                }
            }
        }
        (picks, best.0)
    }

    /// Looks closely at the changes round a place.
    fn closely(&mut self, branch: usize, picks: &[Pick], best: f64) {
        if self.open(branch) {
            self.refine(branch, picks.to_vec(), best);
            for place in 0..self.space.dimensions.len() {
                self.sweep(branch, place, picks.to_vec());
            }
        }
    }

    /// Moves one dimension to where the branch is nearest, by so many picks at most.
    fn along(
        &mut self,
        branch: usize,
        (place, most): (usize, usize),
        (picks, best): (&mut [Pick], &mut Score),
    ) {
        let Some(dimension) = self.space.dimensions.get(place) else {
            return;
        };
        let here = picks.get(place).cloned();
        let mut kept = here.clone();
        for pick in dimension
            .inward()
            .take(most)
            .filter(|pick| here.as_ref() != Some(pick))
        {
            if !self.open(branch) {
                return;
            }
            replace(picks, place, Some(pick));
            let score = self.score(branch, picks);
            if score.0 < best.0 {
                (*best, kept) = (score, Some(pick.clone()));
            }
        }
        replace(picks, place, kept.as_ref());
    }

    /// The dimensions by which a branch is held up where another holds, or none: those behind the condition in the way, or all.
    fn in_the_way(&self, branch: usize, here: Option<usize>) -> Vec<usize> {
        let Some(here) = here else {
            return (0..self.space.dimensions.len()).collect();
        };
        let way = self.target.branches.get(here.min(branch));
        let when = way.and_then(|way| way.when).into_iter();
        let names = subject::behind(when.flat_map(Expr::names), self.chain, self.space.class);
        self.space.places(&names)
    }

    /// Goes from a pick into the gaps beside it, by ever smaller steps, wherever that brings the branch nearer.
    fn refine(&mut self, branch: usize, mut picks: Vec<Pick>, mut best: f64) {
        for (place, dimension) in self.space.dimensions.iter().enumerate() {
            let Some(mut here) = picks.get(place).and_then(Pick::number) else {
                continue;
            };
            let (least, most) = dimension.ends();
            let mut step = (most - least) / 16.0;
            for _ in 0..HALVINGS {
                for there in [here - step, here + step] {
                    if !self.open(branch) || !(least..=most).contains(&there) {
                        continue;
                    }
                    replace(&mut picks, place, Some(&Pick::Number(there)));
                    let (score, _) = self.score(branch, &picks);
                    if score < best {
                        (best, here) = (score, there);
                    }
                }
                step /= 2.0;
            }
            replace(&mut picks, place, Some(&Pick::Number(here)));
        }
    }

    /// How far a point is from a branch: how far those before it are from not holding, and its own condition from holding.
    fn score(&mut self, branch: usize, picks: &[Pick]) -> Score {
        let made = self.at(picks);
        let Tried::Branch(here, names) = &*made else {
            return (f64::INFINITY, None);
        };
        let turn = |number: usize, wanted| {
            let way = self.target.branches.get(number);
            let when = way.and_then(|way| way.when);
            when.map_or(0.0, |when| distance(wanted, when, names))
        };
        let in_the_way: f64 = (0..branch).map(|number| turn(number, false)).sum();
        (in_the_way + turn(branch, true), Some(*here))
    }

    /// Moves one dimension through all its picks; a stretch at whose ends different branches hold is halved.
    fn sweep(&mut self, branch: usize, place: usize, mut picks: Vec<Pick>) {
        let Some(dimension) = self.space.dimensions.get(place) else {
            return;
        };
        let mut before: Option<(f64, Option<usize>)> = None;
        for pick in &dimension.picks {
            if !self.open(branch) {
                return;
            }
            replace(&mut picks, place, Some(pick));
            let here = self.at(&picks).branch();
            let Some(level) = pick.number() else { continue };
            if let Some((mut low, then)) = before
                && then != here
            {
                let mut high = level;
                for _ in 0..HALVINGS {
                    let middle = f64::midpoint(low, high);
                    replace(&mut picks, place, Some(&Pick::Number(middle)));
                    if self.at(&picks).branch() == then {
                        low = middle;
                    } else {
                        high = middle;
                    }
                }
            }
            before = Some((level, here));
        }
    }
}

/// How far a condition is from the answer wanted: 0 where it gives it or is level.
fn distance(wanted: bool, condition: &Expr, scope: &Scope) -> f64 {
    condition
        .node()
        .map_or(1.0, |node| gap(node, scope, wanted))
}

/// How far a piece is from the answer wanted: a share of the numbers' size, or 1 for a question with the other answer.
fn gap(node: &Node, scope: &Scope, wanted: bool) -> f64 {
    let sum = |all: &[Node]| all.iter().map(|one| gap(one, scope, wanted)).sum();
    let nearest = |all: &[Node]| {
        let gaps = all.iter().map(|one| gap(one, scope, wanted));
        gaps.fold(f64::INFINITY, f64::min)
    };
    match node {
        Node::Not(of) => gap(of, scope, !wanted),
        Node::And(all) if wanted => sum(all),
        Node::And(all) => nearest(all),
        Node::Or(all) if wanted => nearest(all),
        Node::Or(all) => sum(all),
        Node::Compare(first, others) => match others.as_slice() {
            [(comparison, second)] => apart((first, *comparison, second), scope, wanted),
            _ => None,
        }
        .unwrap_or_else(|| question(node, scope, wanted)),
        _ => question(node, scope, wanted),
    }
}

fn question(node: &Node, scope: &Scope, wanted: bool) -> f64 {
    match node.holds(scope) {
        Some(holds) if holds == wanted => 0.0,
        _ => 1.0,
    }
}

/// What a comparison of two numbers lacks; none where it is none.
fn apart(
    (first, comparison, second): (&Node, Comparison, &Node),
    scope: &Scope,
    wanted: bool,
) -> Option<f64> {
    let (high, low) = match comparison {
        Comparison::More | Comparison::AtLeast => (first, second),
        Comparison::Less | Comparison::AtMost => (second, first),
        Comparison::Equal | Comparison::Different | Comparison::Among => return None,
    };
    let (high, low) = (high.number(scope)?, low.number(scope)?);
    let short = if wanted { low - high } else { high - low };
    Some(short.max(0.0) / (high.abs() + low.abs()).max(1e-9))
}
