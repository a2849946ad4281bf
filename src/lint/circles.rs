//! Circles: tasks of the procedure that wait for one another, through access, `after` and refits, so that none could begin.
//!
//! Every task on call is taken in, because some vehicle may call them all. Links' own tasks wait for the procedure and nothing of the
//! procedure waits for them, so they make no circle.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

use crate::report::{Code, Place, Problem, Report};
use crate::rules::ProcedureTask;
use crate::rules::{Rules, Stage};

/// A task, or its refit.
type Node<'a> = (&'a str, bool);
/// For each node what comes after it, and why.
type Edges<'a> = BTreeMap<Node<'a>, BTreeMap<Node<'a>, &'static str>>;

/// Reports each circle whole. Where removals go round, their refits do so too; that follows, and is not told again.
pub(super) fn check(rules: &Rules, report: &mut Report) {
    let all = edges(&rules.procedure);
    let removals = all.iter().filter(|((_, refit), _)| !refit);
    let removals = removals.map(|(node, after)| (*node, after.clone()));
    if each_circle(rules, removals.collect(), report) == 0 {
        each_circle(rules, all, report);
    }
}

fn each_circle(rules: &Rules, mut edges: Edges<'_>, report: &mut Report) -> usize {
    let mut count = 0;
    while let Some(circle) = circle(&mut edges) {
        report.push(problem(rules, &edges, &circle));
        for node in &circle {
            edges.remove(node);
        }
        count += 1;
    }
    count
}

fn edges<'a>(procedure: &'a [ProcedureTask]) -> Edges<'a> {
    let mut edges = Edges::new();
    let mut add = |before: Node<'a>, after: Node<'a>, why| {
        edges.entry(before).or_default().insert(after, why);
    };
    let mut givers: BTreeMap<&str, &ProcedureTask> = BTreeMap::new();
    for task in procedure {
        for access in &task.task.gives {
            givers.entry(access).or_insert(task);
        }
    }
    for task in procedure {
        let own = (task.id.as_str(), false);
        for before in procedure
            .iter()
            .filter(|other| task.task.after.contains(&other.id))
        {
            add((&before.id, false), own, "listed in `after`");
        }
        if task.refit.is_some() {
            add(own, (&task.id, true), "a refit follows its removal");
        }
        for giver in task
            .task
            .needs
            .iter()
            .filter_map(|access| givers.get(access.as_str()))
        {
            add((&giver.id, false), own, "access is made first");
            if giver.refit.is_some() && task.stage <= Stage::Refit {
                let first = (task.id.as_str(), task.refit.is_some());
                add(first, (&giver.id, true), "refits mirror removals");
            }
        }
    }
    edges
}

/// Takes away everything that no circle goes through, then walks what is left until a node comes again.
fn circle<'a>(edges: &mut Edges<'a>) -> Option<Vec<Node<'a>>> {
    loop {
        let before = edges.len();
        let entered: BTreeSet<Node<'a>> =
            edges.values().flat_map(BTreeMap::keys).copied().collect();
        edges.retain(|node, _| entered.contains(node));
        let left: BTreeSet<Node<'a>> = edges.keys().copied().collect();
        for after in edges.values_mut() {
            after.retain(|node, _| left.contains(node));
        }
        edges.retain(|_, after| !after.is_empty());
        if edges.len() == before {
            break;
        }
    }
    let mut path: Vec<Node<'a>> = Vec::new();
    let mut here = edges.keys().next().copied();
    while let Some(node) = here {
        if let Some(start) = path.iter().position(|seen| *seen == node) {
            return Some(path.split_off(start));
        }
        path.push(node);
        here = edges
            .get(&node)
            .and_then(|after| after.keys().next())
            .copied();
    }
    None
}

fn problem(rules: &Rules, edges: &Edges<'_>, circle: &[Node<'_>]) -> Problem {
    let name = |(id, refit): Node<'_>| {
        if refit {
            format!("the refit of `{id}`")
        } else {
            format!("`{id}`")
        }
    };
    let mut text = circle.first().map(|first| name(*first)).unwrap_or_default();
    let nexts = circle.iter().cycle().skip(1);
    for (from, to) in circle.iter().zip(nexts) {
        let why = edges
            .get(from)
            .and_then(|after| after.get(to))
            .copied()
            .unwrap_or_default();
        // Writing to a String cannot fail.
        let _ = write!(text, " → {} ({why})", name(*to));
    }
    let mut problem = Problem::error(
        Code::Cycle,
        format!("these tasks wait for one another: {text}"),
    )
    .help("take one of these edges out of the rules");
    let mut places = circle.iter().filter_map(|node| place(rules, *node));
    if let Some(first) = places.next() {
        problem = problem.at(first);
    }
    for other in places {
        problem = problem.related(other, "in the same circle");
    }
    problem
}

fn place(rules: &Rules, (id, refit): Node<'_>) -> Option<Place> {
    let task = rules.procedure.iter().find(|task| task.id == id)?;
    let path = if refit {
        task.place.path.key("refit")
    } else {
        task.place.path.key("id")
    };
    Some(Place::new(task.place.file.clone(), path))
}
