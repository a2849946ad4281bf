//! Circles, and what stands the wrong way round: the edges that states and `after` make between all tasks of the rules at once.
//!
//! Every task and every branch is taken in, because leaving some out only takes edges away: what can be ordered here can be ordered on
//! every vehicle. An edge from a later stage to an earlier one is an error, and so is a circle within a stage.

use std::collections::{BTreeMap, BTreeSet};

use petgraph::graph::{DiGraph, NodeIndex};
use petgraph::visit::{EdgeRef, IntoNodeReferences};

use super::{all_classes, rule_texts};
use crate::plan::{circle, waiting};
use crate::report::{Code, Place, Problem, Report};
use crate::rules::written::Task;
use crate::rules::{Moment, Per, ProcedureTask, Rules, Stage};

/// A task of the rules, with where in the order of work it stands.
struct RuleTask<'a> {
    title: String,
    id: Option<&'a str>,
    task: &'a Task,
    place: Place,
    rank: usize,
}

/// Every task, and why one comes before another.
type Graph<'a> = DiGraph<RuleTask<'a>, String>;

/// Reports each edge that runs backwards, or else each circle whole.
pub(super) fn check(rules: &Rules, report: &mut Report) {
    let mut graph = graph(rules);
    let mut backwards = BTreeSet::new();
    for edge in graph.edge_references() {
        let (Some(one), Some(next)) = (
            graph.node_weight(edge.source()),
            graph.node_weight(edge.target()),
        ) else {
            continue;
        };
        if one.rank > next.rank && backwards.insert(edge.target()) {
            report.push(wrong_order(one, next, edge.weight()));
        }
    }
    // What runs forward closes no circle.
    while backwards.is_empty() {
        let circle = circle(&graph);
        if circle.is_empty() {
            break;
        }
        report.push(problem(&graph, &circle));
        graph.retain_edges(|graph, edge| {
            let ends = graph.edge_endpoints(edge);
            ends.is_none_or(|(from, to)| !circle.contains(&from) && !circle.contains(&to))
        });
    }
}

/// Where a task stands: the stages in turn, a body's own tasks round those of its sides, the moments of the check round the closing up.
fn rank(stage: Stage, per: Per, task: &Task) -> usize {
    let moment = task.moment().unwrap_or(Moment::Still);
    let later = match stage {
        Stage::Raise => usize::from(per == Per::Side),
        Stage::Lower => usize::from(per == Per::Group),
        Stage::Check => moment as usize,
        Stage::HandOver => usize::from(task.due.is_some()),
        _ => 0,
    };
    let early = stage == Stage::Check && moment == Moment::Open;
    let stages = if early {
        Stage::Refit as usize * 100 + 50
    } else {
        stage as usize * 100
    };
    stages + later
}

/// The tasks of the procedure, then those of every class, with their edges.
fn graph(rules: &Rules) -> Graph<'_> {
    let mut graph = Graph::new();
    for rule in &rules.procedure {
        graph.add_node(of_procedure(rule));
    }
    for class in all_classes(rules) {
        for (task, path, stage) in rule_texts::staged(class) {
            graph.add_node(RuleTask {
                title: format!("`{}` of `{}`", stage.word(), class.id),
                id: None,
                task,
                place: class.place(&path),
                rank: rank(stage, Per::Side, task),
            });
        }
    }
    for ((before, after), why) in edges(rules, &graph) {
        graph.add_edge(before, after, why);
    }
    graph
}

fn of_procedure(rule: &ProcedureTask) -> RuleTask<'_> {
    RuleTask {
        title: format!("`{}`", rule.id),
        id: Some(&rule.id),
        task: &rule.task,
        place: rule.place.key("task"),
        rank: rank(rule.stage, rule.per, &rule.task),
    }
}

fn edges(rules: &Rules, graph: &Graph<'_>) -> BTreeMap<(NodeIndex, NodeIndex), String> {
    let nodes = || graph.node_references();
    let mut edges = BTreeMap::new();
    for (name, course) in &rules.states {
        let made = |node: &RuleTask<'_>| course.step(node.task.makes.get(name)?);
        let makers: Vec<_> = nodes()
            .filter_map(|(at, node)| Some((at, made(node)?)))
            .collect();
        for (here, node) in nodes() {
            let made = made(node).map(|step| (step.saturating_sub(1), step));
            let held = node.task.during.get(name).and_then(|run| course.run(run));
            for (reached, kept) in made.into_iter().chain(held) {
                for (maker, step) in makers.iter().filter(|(maker, _)| *maker != here) {
                    let why = format!("the course of `{name}` only goes forward");
                    if *step <= reached {
                        edges.insert((*maker, here), why);
                    } else if *step > kept {
                        edges.insert((here, *maker), why);
                    }
                }
            }
        }
    }
    for (here, node) in nodes() {
        for after in &node.task.after {
            let listed = nodes().filter(|(_, other)| other.id == Some(&after.task));
            let why = || "listed in `after`".to_owned();
            edges.extend(listed.map(|(before, _)| ((before, here), why())));
        }
    }
    edges
}

fn wrong_order(before: &RuleTask<'_>, after: &RuleTask<'_>, why: &str) -> Problem {
    let message = format!(
        "{} comes before {}, which stands in an earlier stage ({why})",
        before.title, after.title
    );
    Problem::error(Code::WrongOrder, message)
        .at(after.place.clone())
        .related(before.place.clone(), "this comes first")
        .help("move one of the two to another stage, or take the step out of it")
}

fn problem(graph: &Graph<'_>, circle: &[NodeIndex]) -> Problem {
    let nodes = || circle.iter().filter_map(|node| graph.node_weight(*node));
    let title = |node| {
        let node = graph.node_weight(node);
        node.map_or_else(String::new, |node| node.title.clone())
    };
    let mut problem =
        waiting(graph, circle, title).help("take one of these edges out of the rules");
    for (number, node) in nodes().enumerate() {
        problem = match number {
            0 => problem.at(node.place.clone()),
            _ => problem.related(node.place.clone(), "in the same circle"),
        };
    }
    problem
}
