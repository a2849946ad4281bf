//! What an expression of a rule can come to where some of its names are known between two ends only.
//!
//! Takes an expression, its names at one point, and a range for each name that varies; gives the range of what it comes to. A condition
//! holds, does not, or may. No range is narrower than the truth: where a name stands twice it counts twice, and what is not understood
//! here can be anything.

use std::collections::BTreeMap;

use minijinja::Value;
use minijinja::machinery::ast::{BinOpKind, CompareOpKind, Expr as Node, UnaryOpKind};
use minijinja::machinery::parse_expr;
use minijinja::value::ValueKind;

use super::expression::{Expr, Scope};
use super::names::rounded;

/// What a name or an expression can be.
#[derive(Debug, Clone, PartialEq)]
pub enum Range {
    /// A number from the first to the second.
    Number(f64, f64),
    /// An answer: whether it can be no, and whether it can be yes.
    Answer(bool, bool),
    /// A list of such.
    List(Vec<Range>),
    /// This and nothing else.
    Exactly(Value),
    /// Not known.
    Anything,
}

/// The names that vary, dotted where they are fields.
pub type Ranges = BTreeMap<String, Range>;

/// The range of what an expression comes to.
#[must_use]
pub fn range(expression: &Expr, scope: &Scope, ranges: &Ranges) -> Range {
    let node = parse_expr(expression.text());
    node.map_or(Range::Anything, |node| Eval { scope, ranges }.of(&node))
}

/// Whether a condition can be no, and whether it can be yes; numbers are rounded as they are wherever they are compared.
#[must_use]
pub fn holds(condition: &Expr, judge: &Scope, ranges: &Ranges) -> (bool, bool) {
    let judged = ranges.iter().map(|(name, range)| {
        let range = match range {
            Range::Number(least, most) => Range::Number(rounded(*least), rounded(*most)),
            other => other.clone(),
        };
        (name.clone(), range)
    });
    range(condition, judge, &judged.collect()).answer()
}

impl Range {
    fn exactly(value: Value) -> Self {
        match value.kind() {
            ValueKind::Bool => Self::Answer(!value.is_true(), value.is_true()),
            ValueKind::Undefined => Self::Anything,
            _ => match f64::try_from(value.clone()) {
                Ok(number) => Self::Number(number, number),
                Err(_) => Self::Exactly(value),
            },
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
    pub fn or(self, other: Self) -> Self {
        match (self, other) {
            (Self::Number(a, b), Self::Number(c, d)) => Self::Number(a.min(c), b.max(d)),
            (Self::Answer(a, b), Self::Answer(c, d)) => Self::Answer(a || c, b || d),
            (one, other) if one == other => one,
            _ => Self::Anything,
        }
    }
}

struct Eval<'e> {
    scope: &'e Scope,
    ranges: &'e Ranges,
}

impl Eval<'_> {
    fn of(&self, node: &Node<'_>) -> Range {
        match node {
            Node::Const(one) => Range::exactly(one.value.clone()),
            Node::Var(name) => self.name(name.id, None),
            Node::GetAttr(field) => match &field.expr {
                Node::Var(name) => self.name(name.id, Some(field.name)),
                _ => Range::Anything,
            },
            Node::UnaryOp(one) => match (&one.op, self.of(&one.expr)) {
                (UnaryOpKind::Not, of) => {
                    let (no, yes) = of.answer();
                    Range::Answer(yes, no)
                }
                (UnaryOpKind::Neg, Range::Number(least, most)) => Range::Number(-most, -least),
                _ => Range::Anything,
            },
            Node::BinOp(two) => combined(two.op, &self.of(&two.left), &self.of(&two.right)),
            Node::Compare(chain) => {
                let mut left = self.of(&chain.expr);
                let mut all = (false, true);
                for next in &chain.ops {
                    let right = self.of(&next.expr);
                    let (no, yes) = compared(next.op, &left, &right);
                    all = (all.0 || no, all.1 && yes);
                    left = right;
                }
                Range::Answer(all.0, all.1)
            }
            Node::IfExpr(way) => {
                let other = way.false_expr.as_ref();
                match self.of(&way.test_expr).answer() {
                    (false, _) => self.of(&way.true_expr),
                    (_, false) => other.map_or(Range::Anything, |other| self.of(other)),
                    _ => other.map_or(Range::Anything, |other| {
                        self.of(&way.true_expr).or(self.of(other))
                    }),
                }
            }
            Node::List(list) => Range::List(list.items.iter().map(|item| self.of(item)).collect()),
            Node::Filter(filter) if filter.args.is_empty() => {
                let of = filter.expr.as_ref().map(|of| self.of(of));
                filtered(filter.name, of.unwrap_or(Range::Anything))
            }
            _ => Range::Anything,
        }
    }

    fn name(&self, name: &str, field: Option<&str>) -> Range {
        let dotted = field.map_or_else(|| name.to_owned(), |field| format!("{name}.{field}"));
        if let Some(range) = self.ranges.get(&dotted) {
            return range.clone();
        }
        let value = self.scope.get(name);
        let value = match field {
            Some(field) => value.and_then(|value| value.get_attr(field).ok()),
            None => value,
        };
        value.map_or(Range::Anything, Range::exactly)
    }
}

fn combined(op: BinOpKind, left: &Range, right: &Range) -> Range {
    let answer = |(no, yes)| Range::Answer(no, yes);
    let compare = |op| answer(compared(op, left, right));
    match op {
        BinOpKind::ScAnd | BinOpKind::ScOr => {
            let (one, other) = (left.answer(), right.answer());
            answer(if matches!(op, BinOpKind::ScAnd) {
                (one.0 || other.0, one.1 && other.1)
            } else {
                (one.0 && other.0, one.1 || other.1)
            })
        }
        BinOpKind::Eq => compare(CompareOpKind::Eq),
        BinOpKind::Ne => compare(CompareOpKind::Ne),
        BinOpKind::Lt => compare(CompareOpKind::Lt),
        BinOpKind::Lte => compare(CompareOpKind::Lte),
        BinOpKind::Gt => compare(CompareOpKind::Gt),
        BinOpKind::Gte => compare(CompareOpKind::Gte),
        _ => match (left, right) {
            (Range::Number(a, b), Range::Number(c, d)) => arithmetic(op, (*a, *b), (*c, *d)),
            _ => Range::Anything,
        },
    }
}

fn arithmetic(op: BinOpKind, (a, b): (f64, f64), (c, d): (f64, f64)) -> Range {
    let corners = |of: fn(f64, f64) -> f64| {
        let all = [of(a, c), of(a, d), of(b, c), of(b, d)];
        let least = all.into_iter().fold(f64::INFINITY, f64::min);
        let most = all.into_iter().fold(f64::NEG_INFINITY, f64::max);
        Range::Number(least, most)
    };
    match op {
        BinOpKind::Add => Range::Number(a + c, b + d),
        BinOpKind::Sub => Range::Number(a - d, b - c),
        BinOpKind::Mul => corners(|x, y| x * y),
        BinOpKind::Div if c > 0.0 || d < 0.0 => corners(|x, y| x / y),
        // Of what is not negative a power runs one way in both.
        BinOpKind::Pow if a > 0.0 || (a >= 0.0 && c >= 0.0) => corners(f64::powf),
        _ => Range::Anything,
    }
}

fn compared(op: CompareOpKind, left: &Range, right: &Range) -> (bool, bool) {
    if let (Range::Exactly(one), Range::Exactly(other)) = (left, right) {
        let same = one == other;
        return match op {
            CompareOpKind::Eq => (!same, same),
            CompareOpKind::Ne => (same, !same),
            _ => (true, true),
        };
    }
    let (Range::Number(a, b), Range::Number(c, d)) = (left, right) else {
        return (true, true);
    };
    let apart = b < c || d < a;
    #[allow(clippy::float_cmp)]
    let one = a == b && c == d && a == c;
    match op {
        CompareOpKind::Lt => (b >= c, a < d),
        CompareOpKind::Lte => (b > c, a <= d),
        CompareOpKind::Gt => (a <= d, b > c),
        CompareOpKind::Gte => (a < d, b >= c),
        CompareOpKind::Eq => (!one, !apart),
        CompareOpKind::Ne => (!apart, !one),
        CompareOpKind::In | CompareOpKind::NotIn => (true, true),
    }
}

fn filtered(name: &str, of: Range) -> Range {
    match (name, of) {
        ("abs", Range::Number(least, most)) => {
            let nearest = if least <= 0.0 && most >= 0.0 {
                0.0
            } else {
                least.abs().min(most.abs())
            };
            Range::Number(nearest, least.abs().max(most.abs()))
        }
        ("min" | "max", Range::List(items)) => {
            let side = if name == "min" { f64::min } else { f64::max };
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
        assert_eq!(of("gap % 7"), Range::Anything);
    }
}
