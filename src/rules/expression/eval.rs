//! What an expression comes to: tree and names → a term, or why there is none.

use std::borrow::Cow;
use std::cmp::Ordering;

use super::scope::Scope;
use super::syntax::{Arithmetic, Comparison, Filter, Node};
use super::term::{Reading, Term, rounded};
use crate::quantity::Quantity;
use crate::text;

type Reason = Cow<'static, str>;

/// The names of a piece, and how it reads them.
type Names<'n> = (&'n Scope, Reading);

/// What an expression comes to; fails with the reason.
pub(super) fn eval(node: &Node, names: Names<'_>) -> Result<Term, Reason> {
    match node {
        Node::Term(term) => Ok(term.clone()),
        Node::Name(slot) => {
            let (scope, reading) = names;
            scope.at(*slot, reading).ok_or_else(|| {
                Cow::Borrowed(if scope.has_under(*slot) {
                    "it names a list of answers, not yes or no: one of them is `name.answer`"
                } else {
                    "it names something that is not there"
                })
            })
        }
        Node::Not(of) => Ok(Term::Flag(!holds(of, names)?)),
        Node::Minus(of) => Ok(Term::Number(-number(of, names)?)),
        Node::And(all) => {
            for one in all {
                if !holds(one, names)? {
                    return Ok(Term::Flag(false));
                }
            }
            Ok(Term::Flag(true))
        }
        Node::Or(all) => {
            for one in all {
                if holds(one, names)? {
                    return Ok(Term::Flag(true));
                }
            }
            Ok(Term::Flag(false))
        }
        Node::Compare(first, others) => chained(first, others, names).map(Term::Flag),
        Node::Two(arithmetic, two) => {
            let [left, right] = &**two;
            let (left, right) = (number(left, names)?, number(right, names)?);
            let found = arithmetic.of(left, right);
            // What is endless is above every limit, and would lighten a verdict.
            if !found.is_finite() {
                let reason = "it comes to no number: something is divided by nought, or too large";
                return Err(Cow::Borrowed(reason));
            }
            Ok(Term::Number(found))
        }
        Node::If(three) => {
            let [condition, this, other] = &**three;
            let way = if holds(condition, names)? {
                this
            } else {
                other
            };
            eval(way, names)
        }
        Node::List(items) => {
            let items: Result<_, _> = items.iter().map(|item| eval(item, names)).collect();
            Ok(Term::List(items?))
        }
        Node::Filter(filter, of) => filtered(*filter, of, names),
    }
}

/// Whether a condition holds; fails where it is no yes/no question.
pub(super) fn holds(node: &Node, names: Names<'_>) -> Result<bool, Reason> {
    match eval(node, names)? {
        Term::Flag(flag) => Ok(flag),
        other => Err(format!("it gives {}, not yes or no", other.kind()).into()),
    }
}

fn number(node: &Node, names: Names<'_>) -> Result<f64, Reason> {
    as_number(&eval(node, names)?)
}

fn as_number(term: &Term) -> Result<f64, Reason> {
    match term {
        Term::Number(number) => Ok(*number),
        other => Err(format!("it reckons with {} instead of a number", other.kind()).into()),
    }
}

fn chained(first: &Node, others: &[(Comparison, Node)], names: Names<'_>) -> Result<bool, Reason> {
    let mut left = eval(first, names)?;
    for (comparison, right) in others {
        let right = eval(right, names)?;
        if !compared(*comparison, &left, &right)? {
            return Ok(false);
        }
        left = right;
    }
    Ok(true)
}

fn compared(comparison: Comparison, left: &Term, right: &Term) -> Result<bool, Reason> {
    let number = |term| as_number(term).map(rounded);
    let numbers = || Ok::<_, Reason>((number(left)?, number(right)?));
    Ok(match comparison {
        Comparison::Equal => same(left, right),
        Comparison::Different => !same(left, right),
        Comparison::Less => numbers().map(|(left, right)| left < right)?,
        Comparison::AtMost => numbers().map(|(left, right)| left <= right)?,
        Comparison::More => numbers().map(|(left, right)| left > right)?,
        Comparison::AtLeast => numbers().map(|(left, right)| left >= right)?,
        Comparison::Among => match right {
            Term::List(items) => items.iter().any(|item| same(left, item)),
            other => return Err(format!("it looks in {}, not in a list", other.kind()).into()),
        },
    })
}

fn same(left: &Term, right: &Term) -> bool {
    match (left, right) {
        (Term::Number(left), Term::Number(right)) => {
            rounded(*left).partial_cmp(&rounded(*right)) == Some(Ordering::Equal)
        }
        _ => left == right,
    }
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

fn filtered(filter: Filter, of: &Node, names: Names<'_>) -> Result<Term, Reason> {
    let of = eval(of, names)?;
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
        holds(self, (scope, Reading::Judge)).ok()
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

    /// The number that this piece of a condition comes to; none where it is none.
    pub(crate) fn number(&self, scope: &Scope) -> Option<f64> {
        eval(self, (scope, Reading::Judge)).ok()?.number()
    }
}
