//! Drafts with their edges → tasks in the one order of work.
//!
//! Takes drafts; gives tasks sorted so that every task stands after what it depends on. Ties go by slot, area in walking
//! order, place in the procedure, id: the same drafts always give the same order. A cycle is reported whole.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet, BinaryHeap};
use std::fmt::Write as _;

use petgraph::Direction;
use petgraph::algo::kosaraju_scc;
use petgraph::graph::{DiGraph, NodeIndex};
use petgraph::visit::EdgeRef;

use super::draft::Draft;
use super::states;
use super::task::{Task, Wait};
use crate::report::{Code, Problem, Report};
use crate::rules::Area;

/// A task, or the end of a slot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Node {
    Task(usize),
    EndOf(usize),
}

type Graph = DiGraph<Node, &'static str>;
/// Decides between tasks that may both come next.
type Key<'a> = (usize, Option<Area>, usize, &'a str);

/// Orders the drafts; gives nothing when they cannot be ordered, and the report then says why.
pub(super) fn order(mut drafts: Vec<Draft>, report: &mut Report) -> Option<Vec<Task>> {
    drafts.sort_by(|a, b| a.task.id.cmp(&b.task.id));
    if twice(&drafts, report) {
        return None;
    }
    let inner = inner_edges(&drafts);
    let (graph, nodes) = graph(&drafts, &inner);
    let Some(order) = sorted(&graph, &drafts) else {
        report.push(cycle(&graph, &drafts));
        return None;
    };
    let after = predecessors(&graph, &nodes, &drafts);
    let waits: Vec<Vec<Wait>> = drafts.iter().map(|draft| waits(draft, &drafts)).collect();
    let tasks = drafts.into_iter().zip(after).zip(waits);
    let tasks = tasks.map(|((draft, after), waits)| Task {
        after,
        waits,
        ..draft.task
    });
    let mut tasks: Vec<Option<Task>> = tasks.map(Some).collect();
    let in_order = order.into_iter();
    let in_order = in_order.filter_map(|number| tasks.get_mut(number)?.take());
    Some(in_order.collect())
}

/// The earlier tasks that must lie some time back before a draft begins.
fn waits(draft: &Draft, drafts: &[Draft]) -> Vec<Wait> {
    let waits = draft.after.iter().filter_map(|after| {
        let hours = after.hours?;
        let of_rule = drafts
            .iter()
            .filter(|other| other.rule.as_ref() == Some(&after.task));
        let earlier = of_rule.filter(|other| other.task.slot <= draft.task.slot);
        let waits = earlier.map(|other| Wait {
            hours,
            task: other.task.id.clone(),
        });
        Some(waits.collect::<Vec<_>>())
    });
    waits.flatten().collect()
}

fn twice(drafts: &[Draft], report: &mut Report) -> bool {
    let mut found = false;
    for pair in drafts.windows(2) {
        if let [a, b] = pair
            && a.task.id == b.task.id
        {
            found = true;
            let message = format!("two tasks are called `{}`", a.task.id);
            let problem = Problem::error(Code::DuplicateTask, message)
                .help("give one of the rule's tasks another id");
            report.push(match &b.task.origin {
                Some(place) => problem.at(place.clone()),
                None => problem,
            });
        }
    }
    found
}

/// Edges between tasks: what each names, and what opens or closes its slot.
fn inner_edges(drafts: &[Draft]) -> BTreeMap<(usize, usize), &'static str> {
    let forward = "a course only goes forward";
    let states = states::edges(drafts).into_iter();
    let mut edges: BTreeMap<(usize, usize), &'static str> =
        states.map(|edge| (edge, forward)).collect();
    let mut slots: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (number, draft) in drafts.iter().enumerate() {
        slots.entry(draft.task.slot).or_default().push(number);
        // A rule done for each side has one task a side; only those of this slot or an earlier one are meant.
        let listed = drafts.iter().enumerate().filter(|(before, other)| {
            let named = other
                .rule
                .as_ref()
                .is_some_and(|rule| draft.after.iter().any(|after| after.task == *rule));
            named && *before != number && other.task.slot <= draft.task.slot
        });
        for (before, _) in listed {
            edges.entry((before, number)).or_insert("listed in `after`");
        }
    }
    for members in slots.values() {
        frame(drafts, members, &mut edges);
    }
    edges
}

/// Puts what opens a slot before all else in it, and what closes it after; what is due later comes after that.
fn frame(drafts: &[Draft], members: &[usize], edges: &mut BTreeMap<(usize, usize), &'static str>) {
    let within: BTreeSet<usize> = members.iter().copied().collect();
    let inside = |(a, b): &(usize, usize)| within.contains(a) && within.contains(b);
    let own: Vec<(usize, usize)> = edges.keys().filter(|edge| inside(edge)).copied().collect();
    let is = |number: usize, what: fn(&Draft) -> bool| drafts.get(number).is_some_and(what);
    let due = |number: usize| is(number, |draft| draft.task.due.is_some());
    let has_before: BTreeSet<usize> = own.iter().map(|(_, after)| *after).collect();
    // A task that only something due later follows is still one of the last.
    let goes_on = own.iter().filter(|(_, after)| !due(*after));
    let goes_on: BTreeSet<usize> = goes_on.map(|(before, _)| *before).collect();
    for &opener in members.iter().filter(|n| is(**n, |draft| draft.opens)) {
        for &other in members
            .iter()
            .filter(|n| **n != opener && !has_before.contains(n))
        {
            edges.entry((opener, other)).or_insert("it opens the stage");
        }
    }
    for &closer in members.iter().filter(|n| is(**n, |draft| draft.closes)) {
        for &other in members.iter().filter(|n| **n != closer) {
            if due(other) {
                edges
                    .entry((closer, other))
                    .or_insert("it is due after the hand-over");
            } else if !goes_on.contains(&other) {
                edges
                    .entry((other, closer))
                    .or_insert("it closes the stage");
            }
        }
    }
}

/// The graph with an end after each slot, so that a stage waits for the whole stage before it at the price of one edge a task.
fn graph(
    drafts: &[Draft],
    edges: &BTreeMap<(usize, usize), &'static str>,
) -> (Graph, Vec<NodeIndex>) {
    let mut graph = Graph::new();
    let nodes: Vec<NodeIndex> = (0..drafts.len())
        .map(|number| graph.add_node(Node::Task(number)))
        .collect();
    let slots: BTreeSet<usize> = drafts.iter().map(|draft| draft.task.slot).collect();
    let ends: BTreeMap<usize, NodeIndex> = slots
        .iter()
        .map(|&slot| (slot, graph.add_node(Node::EndOf(slot))))
        .collect();
    for (node, draft) in nodes.iter().zip(drafts) {
        let slot = draft.task.slot;
        if let Some(end) = ends.get(&slot) {
            graph.add_edge(*node, *end, "the stages follow one another");
        }
        if let Some((_, before)) = ends.range(..slot).next_back() {
            graph.add_edge(*before, *node, "the stages follow one another");
        }
    }
    for (&(before, after), &why) in edges {
        if let (Some(before), Some(after)) = (nodes.get(before), nodes.get(after)) {
            graph.add_edge(*before, *after, why);
        }
    }
    (graph, nodes)
}

/// The numbers of the drafts in order; nothing when there is a cycle.
fn sorted(graph: &Graph, drafts: &[Draft]) -> Option<Vec<usize>> {
    let key = |node: NodeIndex| -> Key<'_> {
        match graph.node_weight(node) {
            Some(Node::Task(number)) => {
                let draft = drafts.get(*number);
                draft.map_or((0, None, 0, ""), |draft| {
                    (
                        draft.task.slot,
                        draft.task.area,
                        draft.number,
                        draft.task.id.as_str(),
                    )
                })
            }
            Some(Node::EndOf(slot)) => (*slot, None, 0, ""),
            None => (0, None, 0, ""),
        }
    };
    let mut open: BTreeMap<NodeIndex, usize> = graph
        .node_indices()
        .map(|node| {
            (
                node,
                graph.edges_directed(node, Direction::Incoming).count(),
            )
        })
        .collect();
    let ready = open.iter().filter(|(_, before)| **before == 0);
    let mut ready: BinaryHeap<Reverse<(Key<'_>, NodeIndex)>> = ready
        .map(|(node, _)| Reverse((key(*node), *node)))
        .collect();
    let mut order = Vec::new();
    let mut seen = 0;
    while let Some(Reverse((_, node))) = ready.pop() {
        seen += 1;
        if let Some(Node::Task(number)) = graph.node_weight(node) {
            order.push(*number);
        }
        for next in graph.neighbors(node) {
            if let Some(before) = open.get_mut(&next) {
                *before -= 1;
                if *before == 0 {
                    ready.push(Reverse((key(next), next)));
                }
            }
        }
    }
    (seen == graph.node_count()).then_some(order)
}

/// For each draft the ids it directly waits for. Only a task with nothing before it in its own slot waits for the slot before.
fn predecessors(graph: &Graph, nodes: &[NodeIndex], drafts: &[Draft]) -> Vec<Vec<String>> {
    let task = |node: NodeIndex| match graph.node_weight(node) {
        Some(Node::Task(number)) => drafts.get(*number),
        _ => None,
    };
    // What a slot ends with: its tasks after which nothing else of the slot comes.
    let lasts = |end: NodeIndex| -> Vec<String> {
        let members = graph
            .neighbors_directed(end, Direction::Incoming)
            .filter_map(|node| {
                let draft = task(node)?;
                let goes_on = graph
                    .neighbors(node)
                    .any(|next| task(next).is_some_and(|next| next.task.slot == draft.task.slot));
                (!goes_on).then(|| draft.task.id.clone())
            });
        members.collect()
    };
    let mut ends: BTreeMap<NodeIndex, Vec<String>> = BTreeMap::new();
    let mut all = Vec::new();
    for (node, draft) in nodes.iter().zip(drafts) {
        let mut after = BTreeSet::new();
        let mut within = false;
        let mut end = None;
        for before in graph.neighbors_directed(*node, Direction::Incoming) {
            match task(before) {
                Some(before) => {
                    within |= before.task.slot == draft.task.slot;
                    after.insert(before.task.id.clone());
                }
                None => end = Some(before),
            }
        }
        if let Some(end) = end.filter(|_| !within) {
            after.extend(
                ends.entry(end)
                    .or_insert_with(|| lasts(end))
                    .iter()
                    .cloned(),
            );
        }
        all.push(after.into_iter().collect());
    }
    all
}

/// The problem that prints one cycle whole, with the reason of every edge.
fn cycle(graph: &Graph, drafts: &[Draft]) -> Problem {
    let name = |node: NodeIndex| match graph.node_weight(node) {
        Some(Node::Task(number)) => drafts
            .get(*number)
            .map_or_else(String::new, |draft| format!("`{}`", draft.task.id)),
        Some(Node::EndOf(slot)) => {
            let of = drafts.iter().find(|draft| draft.task.slot == *slot);
            of.map_or_else(String::new, |draft| {
                format!("end of {}", draft.task.stage.word())
            })
        }
        None => String::new(),
    };
    let circle = circle(graph);
    let mut text = circle.first().map(|first| name(*first)).unwrap_or_default();
    for (from, to) in circle.iter().zip(circle.iter().cycle().skip(1)) {
        let why = graph
            .edges_connecting(*from, *to)
            .next()
            .map_or("", |edge| *edge.weight());
        // Writing to a String cannot fail.
        let _ = write!(text, " → {} ({why})", name(*to));
    }
    let place = circle
        .iter()
        .find_map(|node| match graph.node_weight(*node) {
            Some(Node::Task(number)) => drafts.get(*number)?.task.origin.clone(),
            _ => None,
        });
    let problem = Problem::error(
        Code::Cycle,
        format!("these tasks wait for one another: {text}"),
    )
    .help("take one of the edges out of the rules");
    match place {
        Some(place) => problem.at(place),
        None => problem,
    }
}

/// One cycle of the graph, found by walking inside a strongly connected component until a node comes again.
fn circle(graph: &Graph) -> Vec<NodeIndex> {
    let components = kosaraju_scc(graph);
    let Some(component) = components
        .iter()
        .filter(|c| c.len() > 1)
        .min_by_key(|c| c.len())
    else {
        let own = graph
            .node_indices()
            .find(|node| graph.contains_edge(*node, *node));
        return own.into_iter().collect();
    };
    let inside: BTreeSet<NodeIndex> = component.iter().copied().collect();
    let mut path: Vec<NodeIndex> = Vec::new();
    let mut here = inside.first().copied();
    while let Some(node) = here {
        if let Some(start) = path.iter().position(|seen| *seen == node) {
            return path.split_off(start);
        }
        path.push(node);
        let next = graph.edges(node).map(|edge| edge.target());
        here = next.filter(|next| inside.contains(next)).min();
    }
    path
}
