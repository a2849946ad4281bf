//! What an expression comes to: tree and names → a term, or why there is none.

use std::borrow::Cow;

use super::scope::Scope;
use super::syntax::{Arithmetic, Comparison, Filter, Node};
use super::term::Term;
use crate::quantity::Quantity;
use crate::text;

type Reason = Cow<'static, str>;

/// What an expression comes to; fails with the reason.
pub(super) fn eval(node: &Node, scope: &Scope) -> Result<Term, Reason> {
    match node {
        Node::Term(term) => Ok(term.clone()),
        Node::Name(slot) => {
            let found = scope.at(*slot).cloned();
            found.ok_or(Cow::Borrowed(if scope.has_under(*slot) {
                "it names a list of answers, not yes or no: one of them is `name.answer`"
            } else {
                "it names something that is not there"
            }))
        }
        Node::Not(of) => Ok(Term::Flag(!holds(of, scope)?)),
        Node::Minus(of) => Ok(Term::Number(-number(of, scope)?)),
        Node::And(all) => {
            for one in all {
                if !holds(one, scope)? {
                    return Ok(Term::Flag(false));
                }
            }
            Ok(Term::Flag(true))
        }
        Node::Or(all) => {
            for one in all {
                if holds(one, scope)? {
                    return Ok(Term::Flag(true));
                }
            }
            Ok(Term::Flag(false))
        }
        Node::Compare(first, others) => chained(first, others, scope).map(Term::Flag),
        Node::Two(arithmetic, two) => {
            let [left, right] = &**two;
            let (left, right) = (number(left, scope)?, number(right, scope)?);
            Ok(Term::Number(arithmetic.of(left, right)))
        }
        Node::If(three) => {
            let [condition, this, other] = &**three;
            let way = if holds(condition, scope)? {
                this
            } else {
                other
            };
            eval(way, scope)
        }
        Node::List(items) => {
            let items: Result<_, _> = items.iter().map(|item| eval(item, scope)).collect();
            Ok(Term::List(items?))
        }
        Node::Filter(filter, of) => filtered(*filter, of, scope),
    }
}

/// Whether a condition holds; fails where it is no yes/no question.
pub(super) fn holds(node: &Node, scope: &Scope) -> Result<bool, Reason> {
    match eval(node, scope)? {
        Term::Flag(flag) => Ok(flag),
        other => Err(format!("it gives {}, not yes or no", other.kind()).into()),
    }
}

fn number(node: &Node, scope: &Scope) -> Result<f64, Reason> {
    as_number(&eval(node, scope)?)
}

fn as_number(term: &Term) -> Result<f64, Reason> {
    match term {
        Term::Number(number) => Ok(*number),
        other => Err(format!("it reckons with {} instead of a number", other.kind()).into()),
    }
}

fn chained(first: &Node, others: &[(Comparison, Node)], scope: &Scope) -> Result<bool, Reason> {
    let mut left = eval(first, scope)?;
    for (comparison, right) in others {
        let right = eval(right, scope)?;
        if !compared(*comparison, &left, &right)? {
            return Ok(false);
        }
        left = right;
    }
    Ok(true)
}

fn compared(comparison: Comparison, left: &Term, right: &Term) -> Result<bool, Reason> {
    let numbers = || Ok::<_, Reason>((as_number(left)?, as_number(right)?));
    Ok(match comparison {
        Comparison::Equal => left == right,
        Comparison::Different => left != right,
        Comparison::Less => numbers().map(|(left, right)| left < right)?,
        Comparison::AtMost => numbers().map(|(left, right)| left <= right)?,
        Comparison::More => numbers().map(|(left, right)| left > right)?,
        Comparison::AtLeast => numbers().map(|(left, right)| left >= right)?,
        Comparison::Among => match right {
            Term::List(items) => items.contains(left),
            other => return Err(format!("it looks in {}, not in a list", other.kind()).into()),
        },
    })
}

impl Arithmetic {
    fn of(self, left: f64, right: f64) -> f64 {
        match self {
            Self::Sum => left + right,
            Self::Difference => left - right,
            Self::Product => left * right,
            Self::Quotient => left / right,
            Self::Power => left.powf(right),
        }
    }
}

fn filtered(filter: Filter, of: &Node, scope: &Scope) -> Result<Term, Reason> {
    let of = eval(of, scope)?;
    match filter {
        Filter::Unit(unit, side) => {
            let quantity = Quantity::exact(as_number(&of)?, unit);
            Ok(Term::from(text::mark(quantity, side)))
        }
        Filter::Abs => Ok(Term::Number(as_number(&of)?.abs())),
        Filter::Round => Ok(Term::Number(as_number(&of)?.round_ties_even())),
        Filter::Min => among(&of, f64::min),
        Filter::Max => among(&of, f64::max),
    }
}

fn among(list: &Term, side: fn(f64, f64) -> f64) -> Result<Term, Reason> {
    let Term::List(items) = list else {
        return Err(format!("it takes the largest or smallest of {}", list.kind()).into());
    };
    let numbers: Result<Vec<f64>, Reason> = items.iter().map(as_number).collect();
    let found = numbers?.into_iter().reduce(side);
    let found = found.map(Term::Number);
    found.ok_or(Cow::Borrowed("it takes the largest or smallest of no list"))
}

impl Node {
    /// Whether this piece of a condition holds; none where it is no question.
    pub(crate) fn holds(&self, scope: &Scope) -> Option<bool> {
        holds(self, scope).ok()
    }

    /// How each question of this condition is answered, whatever the others say.
    pub(crate) fn answers(&self, scope: &Scope, answers: &mut Vec<Option<bool>>) {
        match self {
            Self::Not(of) => of.answers(scope, answers),
            Self::And(all) | Self::Or(all) => {
                for one in all {
                    one.answers(scope, answers);
                }
            }
            _ => answers.push(self.holds(scope)),
        }
    }

    /// The number that this piece comes to; none where it is none.
    pub(crate) fn number(&self, scope: &Scope) -> Option<f64> {
        eval(self, scope).ok()?.number()
    }
}
