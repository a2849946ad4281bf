//! Circles, and what stands the wrong way round: the edges that states and `after` make between all tasks of the rules at once.
//!
//! Every task and every branch is taken in, because leaving some out only takes edges away: what can be ordered here can be ordered on
//! every vehicle. An edge from a later stage to an earlier one is an error, and so is a circle within a stage.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

use super::{all_classes, pieces};
use crate::report::{Code, Place, Problem, Report};
use crate::rules::written::Task;
use crate::rules::{Moment, Per, ProcedureTask, Rules, Stage};

/// A task of the rules, with where in the order of work it stands.
struct Node<'a> {
    title: String,
    id: Option<&'a str>,
    task: &'a Task,
    place: Place,
    rank: usize,
}

/// For each task what comes after it, and why.
type Edges = BTreeMap<usize, BTreeMap<usize, String>>;

/// Reports each edge that runs backwards, or else each circle whole.
pub(super) fn check(rules: &Rules, report: &mut Report) {
    let nodes = nodes(rules);
    let all = edges(rules, &nodes);
    let mut within = Edges::new();
    let mut backwards = BTreeSet::new();
    for (before, afters) in &all {
        for (after, why) in afters {
            let (Some(one), Some(next)) = (nodes.get(*before), nodes.get(*after)) else {
                continue;
            };
            if one.rank > next.rank && backwards.insert(*after) {
                report.push(wrong_order(one, next, why));
            } else if one.rank == next.rank {
                within
                    .entry(*before)
                    .or_default()
                    .insert(*after, why.clone());
            }
        }
    }
    if backwards.is_empty() {
        each_circle(&nodes, within, report);
    }
}

/// Where a task stands: the stages in turn, a body's own tasks round those of its sides, the moments of the check round the closing up.
fn rank(stage: Stage, per: Per, task: &Task) -> usize {
    let moment = task.moment.as_deref().and_then(Moment::from_word);
    let moment = moment.unwrap_or(Moment::Still);
    let stages = Stage::ALL.iter().position(|one| *one == stage);
    let later = match stage {
        Stage::Raise => usize::from(per == Per::Side),
        Stage::Lower => usize::from(per == Per::Group),
        Stage::Check => moment as usize,
        Stage::HandOver => usize::from(task.due.is_some()),
        _ => 0,
    };
    let early = stage == Stage::Check && moment == Moment::Open;
    let stages = if early {
        Stage::ALL
            .iter()
            .position(|one| *one == Stage::Refit)
            .map(|at| at * 100 + 50)
    } else {
        stages.map(|at| at * 100)
    };
    stages.unwrap_or_default() + later
}

fn nodes(rules: &Rules) -> Vec<Node<'_>> {
    let mut nodes: Vec<Node<'_>> = rules.procedure.iter().map(of_procedure).collect();
    for class in all_classes(rules) {
        for (task, path, stage) in pieces::staged(class) {
            nodes.push(Node {
                title: format!("`{}` of `{}`", stage.word(), class.id),
                id: None,
                task,
                place: class.place(&path),
                rank: rank(stage, Per::Side, task),
            });
        }
    }
    nodes
}

fn of_procedure(rule: &ProcedureTask) -> Node<'_> {
    Node {
        title: format!("`{}`", rule.id),
        id: Some(&rule.id),
        task: &rule.task,
        place: Place::new(rule.place.file.clone(), rule.place.path.key("task")),
        rank: rank(rule.stage, rule.per, &rule.task),
    }
}

fn edges(rules: &Rules, nodes: &[Node<'_>]) -> Edges {
    let mut edges = Edges::new();
    for (name, course) in &rules.states {
        let mut makers: Vec<(usize, usize)> = Vec::new();
        for (number, node) in nodes.iter().enumerate() {
            let made = node.task.makes.get(name);
            makers.extend(made.and_then(|step| Some((number, course.step(step)?))));
        }
        for (number, node) in nodes.iter().enumerate() {
            let made = node.task.makes.get(name).and_then(|step| course.step(step));
            let made = made.map(|step| (step.saturating_sub(1), step));
            let held = node.task.during.get(name).and_then(|run| course.run(run));
            for (reached, kept) in made.into_iter().chain(held) {
                for (maker, step) in makers.iter().filter(|(maker, _)| *maker != number) {
                    let why = format!("the course of `{name}` only goes forward");
                    if *step <= reached {
                        edges.entry(*maker).or_default().insert(number, why);
                    } else if *step > kept {
                        edges.entry(number).or_default().insert(*maker, why);
                    }
                }
            }
        }
    }
    for (number, node) in nodes.iter().enumerate() {
        for (before, other) in nodes.iter().enumerate() {
            let listed = |id| node.task.after.iter().any(|after| after.task == id);
            if other.id.is_some_and(listed) {
                let why = "listed in `after`".to_owned();
                edges.entry(before).or_default().insert(number, why);
            }
        }
    }
    edges
}

fn wrong_order(before: &Node<'_>, after: &Node<'_>, why: &str) -> Problem {
    let message = format!(
        "{} comes before {}, which stands in an earlier stage ({why})",
        before.title, after.title
    );
    Problem::error(Code::WrongOrder, message)
        .at(after.place.clone())
        .related(before.place.clone(), "this comes first")
        .help("move one of the two to another stage, or take the step out of it")
}

fn each_circle(nodes: &[Node<'_>], mut edges: Edges, report: &mut Report) {
    while let Some(circle) = circle(&mut edges) {
        report.push(problem(nodes, &edges, &circle));
        for node in &circle {
            edges.remove(node);
        }
    }
}

/// Takes away everything that no circle goes through, then walks what is left until a node comes again.
fn circle(edges: &mut Edges) -> Option<Vec<usize>> {
    loop {
        let before = edges.len();
        let entered: BTreeSet<usize> = edges.values().flat_map(BTreeMap::keys).copied().collect();
        edges.retain(|node, _| entered.contains(node));
        let left: BTreeSet<usize> = edges.keys().copied().collect();
        for after in edges.values_mut() {
            after.retain(|node, _| left.contains(node));
        }
        edges.retain(|_, after| !after.is_empty());
        if edges.len() == before {
            break;
        }
    }
    let mut path: Vec<usize> = Vec::new();
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

fn problem(nodes: &[Node<'_>], edges: &Edges, circle: &[usize]) -> Problem {
    let title = |node: &usize| nodes.get(*node).map_or("", |node| node.title.as_str());
    let mut text = circle.first().map(title).unwrap_or_default().to_owned();
    let nexts = circle.iter().cycle().skip(1);
    for (from, to) in circle.iter().zip(nexts) {
        let why = edges.get(from).and_then(|after| after.get(to));
        let why = why.map(String::as_str).unwrap_or_default();
        // Writing to a String cannot fail.
        let _ = write!(text, " → {} ({why})", title(to));
    }
    let mut problem = Problem::error(
        Code::Cycle,
        format!("these tasks wait for one another: {text}"),
    )
    .help("take one of these edges out of the rules");
    let mut places = circle.iter().filter_map(|node| nodes.get(*node));
    if let Some(first) = places.next() {
        problem = problem.at(first.place.clone());
    }
    for other in places {
        problem = problem.related(other.place.clone(), "in the same circle");
    }
    problem
}
