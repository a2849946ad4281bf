//! How far a point is from making a condition true or false, so that a search can go toward it.
//!
//! Takes a condition; measures its comparisons of numbers, adds up what must all be so, and takes the nearest of what may. The measure
//! serves the search alone: what holds is decided by the condition itself.

use crate::rules::expression::{Comparison, Expr, Node, Scope};

/// How far a condition is from the answer wanted: 0 where it gives it or is level.
pub(super) fn to(wanted: bool, condition: &Expr, scope: &Scope) -> f64 {
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
