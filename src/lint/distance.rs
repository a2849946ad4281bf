//! How far a point is from making a condition true or false, so that a search can go toward it.
//!
//! Takes conditions as written; splits them at `or` and `and` into comparisons and yes/no questions. A condition with brackets round
//! an `and` or `or` is taken as one question. The measure serves the search alone: what holds is decided by the condition itself.

use crate::rules::expression::{Expr, Scope};

/// A condition as alternatives, each of parts that all must hold.
#[derive(Debug)]
pub(super) struct Distance(Vec<Vec<Part>>);

#[derive(Debug)]
enum Part {
    /// The first must come out above the second; at least level with it is taken as near enough.
    Above(Expr, Expr),
    /// A question with no measure.
    Question(Expr),
}

impl Distance {
    pub(super) fn of(condition: &Expr) -> Self {
        let text = condition.text();
        let bracketed = text.contains('(') && (text.contains(" and ") || text.contains(" or "));
        if bracketed || text.contains(" if ") {
            return Self(vec![part(text).into_iter().collect()]);
        }
        let alternatives = text.split(" or ");
        Self(
            alternatives
                .map(|alternative| alternative.split(" and ").filter_map(part).collect())
                .collect(),
        )
    }

    /// How far the condition is from holding: 0 where every part of an alternative holds or is level.
    pub(super) fn to_true(&self, scope: &Scope) -> f64 {
        let alternative = |parts: &Vec<Part>| parts.iter().map(|part| part.gap(scope, true)).sum();
        self.0.iter().map(alternative).fold(f64::INFINITY, f64::min)
    }

    /// How far the condition is from not holding.
    pub(super) fn to_false(&self, scope: &Scope) -> f64 {
        let alternative = |parts: &Vec<Part>| {
            let gaps = parts.iter().map(|part| part.gap(scope, false));
            gaps.fold(f64::INFINITY, f64::min)
        };
        self.0.iter().map(alternative).sum()
    }
}

impl Part {
    /// How far this part is from being so: a share of the numbers' size, or 1 for a question with the other answer.
    fn gap(&self, scope: &Scope, wanted: bool) -> f64 {
        match self {
            Self::Question(question) => match question.holds(scope) {
                Ok(holds) if holds == wanted => 0.0,
                _ => 1.0,
            },
            Self::Above(high, low) => match (high.number(scope), low.number(scope)) {
                (Ok(high), Ok(low)) => {
                    let short = if wanted { low - high } else { high - low };
                    short.max(0.0) / (high.abs() + low.abs()).max(1e-9)
                }
                _ => 1.0,
            },
        }
    }
}

fn part(text: &str) -> Option<Part> {
    for (sign, swapped) in [(">=", false), ("<=", true), (">", false), ("<", true)] {
        if let Some((left, right)) = text.split_once(sign)
            && !text.trim_start().starts_with("not ")
            && let (Ok(left), Ok(right)) = (Expr::compile(left.trim()), Expr::compile(right.trim()))
        {
            return Some(if swapped {
                Part::Above(right, left)
            } else {
                Part::Above(left, right)
            });
        }
    }
    Expr::compile(text.trim()).ok().map(Part::Question)
}
