//! What an expression of a rule can come to where some of its names are known between two ends only.
//!
//! Takes an expression, its names at one point, and a range for each name that varies; gives the range of what it comes to. A condition
//! holds, does not, or may. No range is narrower than the truth: where a name stands twice it counts twice, and what is not understood
//! here can be anything.

use std::collections::BTreeMap;

use super::expression::{
    Arithmetic, Comparison, Expr, Filter, Node, Reading, Scope, Slot, Term, rounded,
};
use crate::sorted::Sorted as _;

/// What a name or an expression can be.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Range {
    /// A number from the first to the second.
    Number(f64, f64),
    /// An answer: whether it can be no, and whether it can be yes.
    Answer(bool, bool),
    /// A list of such.
    List(Vec<Range>),
    /// This and nothing else.
    Exactly(Term),
    /// Not known.
    Anything,
}

/// The names that vary, dotted where they are fields.
pub(crate) type Ranges = BTreeMap<String, Range>;

/// The range of what an expression comes to that is no condition.
pub(crate) fn range(expression: &Expr, scope: &Scope, ranges: &Ranges) -> Range {
    read(expression, (scope, Reading::Feed), ranges)
}

fn read(expression: &Expr, names: (&Scope, Reading), ranges: &Ranges) -> Range {
    let Ok(node) = expression.node() else {
        return Range::Anything;
    };
    let ranges = ranges.iter().map(|(name, range)| (Slot::of(name), range));
    let ranges = ranges.sorted_map();
    Eval { names, ranges }.of(node)
}

/// Whether a condition can be no, and whether it can be yes; numbers are rounded as they are wherever they are compared.
pub(crate) fn holds(condition: &Expr, scope: &Scope, ranges: &Ranges) -> (bool, bool) {
    let judged = ranges.iter().map(|(name, range)| {
        let range = match range {
            Range::Number(least, most) => Range::Number(rounded(*least), rounded(*most)),
            other => other.clone(),
        };
        (name.clone(), range)
    });
    read(condition, (scope, Reading::Judge), &judged.sorted_map()).answer()
}

impl Range {
    fn exactly(term: Term) -> Self {
        match term {
            Term::Flag(flag) => Self::Answer(!flag, flag),
            Term::Number(number) => Self::Number(number, number),
            other => Self::Exactly(other),
        }
    }

    fn answer(&self) -> (bool, bool) {
        match self {
            Self::Answer(no, yes) => (*no, *yes),
            _ => (true, true),
        }
    }

    /// Whatever either can be.
    #[must_use]
    pub(crate) fn or(self, other: Self) -> Self {
        match (self, other) {
            (Self::Number(a, b), Self::Number(c, d)) => Self::Number(a.min(c), b.max(d)),
            (Self::Answer(a, b), Self::Answer(c, d)) => Self::Answer(a || c, b || d),
            (one, other) if one == other => one,
            _ => Self::Anything,
        }
    }
}

struct Eval<'e> {
    names: (&'e Scope, Reading),
    ranges: BTreeMap<Slot, &'e Range>,
}

impl Eval<'_> {
    fn of(&self, node: &Node) -> Range {
        match node {
            Node::Term(term) => Range::exactly(term.clone()),
            Node::Name(slot) => self.name(*slot),
            Node::Not(of) => {
                let (no, yes) = self.of(of).answer();
                Range::Answer(yes, no)
            }
            Node::Minus(of) => match self.of(of) {
                Range::Number(least, most) => Range::Number(-most, -least),
                _ => Range::Anything,
            },
            Node::And(all) => {
                let all = all.iter().map(|one| self.of(one).answer());
                let (no, yes) = all.fold((false, true), |a, b| (a.0 || b.0, a.1 && b.1));
                Range::Answer(no, yes)
            }
            Node::Or(all) => {
                let all = all.iter().map(|one| self.of(one).answer());
                let (no, yes) = all.fold((true, false), |a, b| (a.0 && b.0, a.1 || b.1));
                Range::Answer(no, yes)
            }
            Node::Compare(first, others) => self.chained(first, others),
            Node::Two(of, two) => match two.each_ref().map(|node| self.of(node)) {
                [Range::Number(a, b), Range::Number(c, d)] => arithmetic(*of, (a, b), (c, d)),
                _ => Range::Anything,
            },
            Node::If(three) => {
                let [condition, this, other] = &**three;
                match self.of(condition).answer() {
                    (false, _) => self.of(this),
                    (_, false) => self.of(other),
                    _ => self.of(this).or(self.of(other)),
                }
            }
            Node::List(items) => Range::List(items.iter().map(|item| self.of(item)).collect()),
            Node::Filter(filter, of) => filtered(*filter, self.of(of)),
        }
    }

    fn chained(&self, first: &Node, others: &[(Comparison, Node)]) -> Range {
        let mut left = self.of(first);
        let mut all = (false, true);
        for (comparison, next) in others {
            let right = self.of(next);
            let (no, yes) = compared(*comparison, &left, &right);
            all = (all.0 || no, all.1 && yes);
            left = right;
        }
        Range::Answer(all.0, all.1)
    }

    fn name(&self, slot: Slot) -> Range {
        let range = self.ranges.get(&slot).map(|range| (*range).clone());
        let (scope, reading) = self.names;
        let here = || scope.at(slot, reading).map(Range::exactly);
        range.or_else(here).unwrap_or(Range::Anything)
    }
}

fn arithmetic(of: Arithmetic, (a, b): (f64, f64), (c, d): (f64, f64)) -> Range {
    let corners = |make: fn(f64, f64) -> f64| {
        let all = [make(a, c), make(a, d), make(b, c), make(b, d)];
        let least = all.into_iter().fold(f64::INFINITY, f64::min);
        let most = all.into_iter().fold(f64::NEG_INFINITY, f64::max);
        Range::Number(least, most)
    };
    match of {
        Arithmetic::Sum => Range::Number(a + c, b + d),
        Arithmetic::Difference => Range::Number(a - d, b - c),
        Arithmetic::Product => corners(|x, y| x * y),
        Arithmetic::Quotient if c > 0.0 || d < 0.0 => corners(|x, y| x / y),
        // Of what is not negative a power runs one way in both.
        Arithmetic::Power if a > 0.0 || (a >= 0.0 && c >= 0.0) => corners(f64::powf),
        _ => Range::Anything,
    }
}

fn compared(comparison: Comparison, left: &Range, right: &Range) -> (bool, bool) {
    if let (Range::Exactly(one), Range::Exactly(other)) = (left, right) {
        let same = one == other;
        return match comparison {
            Comparison::Equal => (!same, same),
            Comparison::Different => (same, !same),
            _ => (true, true),
        };
    }
    let (Range::Number(a, b), Range::Number(c, d)) = (left, right) else {
        return (true, true);
    };
    let apart = b < c || d < a;
    #[allow(clippy::float_cmp)]
    let one = a == b && c == d && a == c;
    match comparison {
        Comparison::Less => (b >= c, a < d),
        Comparison::AtMost => (b > c, a <= d),
        Comparison::More => (a <= d, b > c),
        Comparison::AtLeast => (a < d, b >= c),
        Comparison::Among => (true, true),
        Comparison::Equal => (!one, !apart),
        Comparison::Different => (!apart, !one),
    }
}

fn filtered(filter: Filter, of: Range) -> Range {
    match (filter, of) {
        (Filter::Abs, Range::Number(least, most)) => {
            let nearest = if least <= 0.0 && most >= 0.0 {
                0.0
            } else {
                least.abs().min(most.abs())
            };
            Range::Number(nearest, least.abs().max(most.abs()))
        }
        (Filter::Min | Filter::Max, Range::List(items)) => {
            let side = if filter == Filter::Min {
                f64::min
            } else {
                f64::max
            };
            let all = items.into_iter().reduce(|one, other| match (one, other) {
                (Range::Number(a, b), Range::Number(c, d)) => Range::Number(side(a, c), side(b, d)),
                _ => Range::Anything,
            });
            all.unwrap_or(Range::Anything)
        }
        _ => Range::Anything,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(text: &str) -> Range {
        let mut scope = Scope::default();
        scope.set("rise", 50.0);
        scope.set("sound", true);
        let ranges = Ranges::from([
            ("gap".to_owned(), Range::Number(20.0, 30.0)),
            ("fit.left".to_owned(), Range::Number(-2.0, 1.0)),
        ]);
        range(&Expr::compile(text).unwrap(), &scope, &ranges)
    }

    #[test]
    fn a_condition_holds_does_not_or_may() {
        for (condition, no, yes) in [
            ("gap >= 20", false, true),
            ("gap > 20", true, true),
            ("gap > 30", true, false),
            ("22 <= gap <= 25", true, true),
            ("not (gap > 30 and sound)", false, true),
            ("fit.left < 0 or not sound", true, true),
            ("gap == 25", true, true),
            ("rise == 50 and sound", false, true),
            ("nobody.knows > 3", true, true),
            ("gap - gap == 0", true, true),
        ] {
            assert_eq!(of(condition), Range::Answer(no, yes), "{condition}");
        }
    }

    #[test]
    fn a_number_is_never_said_to_be_narrower_than_it_is() {
        for (text, least, most) in [
            ("gap + fit.left * 2", 16.0, 32.0),
            ("rise / gap - 1", 50.0 / 30.0 - 1.0, 1.5),
            ("fit.left | abs", 0.0, 2.0),
            ("[gap, 25, fit.left] | max", 25.0, 30.0),
            ("-gap if gap > 40 else gap ** 2", 400.0, 900.0),
            ("gap if fit.left > 0 else 0 - gap", -30.0, 30.0),
        ] {
            assert_eq!(of(text), Range::Number(least, most), "{text}");
        }
        assert_eq!(of("gap / fit.left"), Range::Anything);
    }
}
