//! Drafts with their edges → drafts in the one order of work.
//!
//! Takes drafts; gives them sorted so that every task stands after what it depends on, and names that. Ties go by slot, what can be
//! printed as one task, area in walking order, place in the procedure, id: the same drafts always give the same order. A cycle is reported whole.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;
use std::sync::Arc;

use petgraph::Direction;
use petgraph::algo::kosaraju_scc;
use petgraph::graph::{DiGraph, NodeIndex};
use petgraph::visit::EdgeRef;

use super::brought;
use super::draft::Draft;
use super::entries::{self, InCommon};
use super::task::{After, TaskId};
use crate::report::{Code, Problem, Report};
use crate::rules::Area;
use crate::sorted::Sorted as _;

/// A task, or the end of a slot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum OrderNode {
    Task(usize),
    EndOf(usize),
}

type Graph = DiGraph<OrderNode, &'static str>;
/// Decides between tasks that may both come next.
type Precedence<'a> = (usize, Option<Area>, usize, &'a str);

/// Orders the drafts; gives nothing when they cannot be ordered, and the report then says why.
pub(super) fn order(mut drafts: Vec<Draft>, report: &mut Report) -> Option<Vec<Draft>> {
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
    for (draft, after) in drafts.iter_mut().zip(after) {
        draft.task.after = after;
    }
    let mut drafts: Vec<Option<Draft>> = drafts.into_iter().map(Some).collect();
    let in_order = order.into_iter();
    let in_order = in_order.filter_map(|number| drafts.get_mut(number)?.take());
    Some(in_order.collect())
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
            let at = b.task.origin.clone();
            report.push(Problem { at, ..problem });
        }
    }
    found
}

/// Edges between tasks: what each names, and what opens or closes its slot.
fn inner_edges(drafts: &[Draft]) -> BTreeMap<(usize, usize), &'static str> {
    let forward = "a course only goes forward";
    let states = brought::edges(drafts).into_iter();
    let mut edges: BTreeMap<(usize, usize), &'static str> =
        states.map(|edge| (edge, forward)).sorted_map();
    let mut slots: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    let mut rules: BTreeMap<&String, Vec<(usize, usize)>> = BTreeMap::new();
    for (number, draft) in drafts.iter().enumerate() {
        slots.entry(draft.task.slot).or_default().push(number);
        if let Some(rule) = &draft.rule {
            let of_rule = rules.entry(rule).or_default();
            of_rule.push((number, draft.task.slot));
        }
    }
    for (number, draft) in drafts.iter().enumerate() {
        // A rule done for each side has one task a side; only those of this slot or an earlier one are meant.
        let listed = draft.after.iter().filter_map(|rule| rules.get(rule));
        for (before, slot) in listed.flatten() {
            if *before != number && *slot <= draft.task.slot {
                let edge = edges.entry((*before, number));
                edge.or_insert("listed in `after`");
            }
        }
    }
    for members in slots.values() {
        frame(drafts, members, &mut edges);
    }
    edges
}

/// Puts what opens a slot before all else in it, and what closes it after; what is due later comes after that.
fn frame(drafts: &[Draft], members: &[usize], edges: &mut BTreeMap<(usize, usize), &'static str>) {
    let within: BTreeSet<usize> = members.iter().copied().sorted_set();
    let inside = |(a, b): &(usize, usize)| within.contains(a) && within.contains(b);
    let own: Vec<(usize, usize)> = edges.keys().filter(|edge| inside(edge)).copied().collect();
    let is = |number: usize, what: fn(&Draft) -> bool| drafts.get(number).is_some_and(what);
    let due = |number: usize| is(number, |draft| draft.task.due.is_some());
    let has_before: BTreeSet<usize> = own.iter().map(|(_, after)| *after).sorted_set();
    // A task that only something due later follows is still one of the last.
    let goes_on = own.iter().filter(|(_, after)| !due(*after));
    let goes_on: BTreeSet<usize> = goes_on.map(|(before, _)| *before).sorted_set();
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
        .map(|number| graph.add_node(OrderNode::Task(number)))
        .collect();
    let slots: BTreeSet<usize> = drafts.iter().map(|draft| draft.task.slot).sorted_set();
    let ends: BTreeMap<usize, NodeIndex> = slots
        .iter()
        .map(|&slot| (slot, graph.add_node(OrderNode::EndOf(slot))))
        .sorted_map();
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

/// The numbers of the drafts in order; nothing when there is a cycle. What can be printed as one task stays together.
fn sorted(graph: &Graph, drafts: &[Draft]) -> Option<Vec<usize>> {
    let mut open: BTreeMap<NodeIndex, usize> = graph
        .node_indices()
        .map(|node| {
            (
                node,
                graph.edges_directed(node, Direction::Incoming).count(),
            )
        })
        .sorted_map();
    let mut ready = Ready::of(drafts);
    for (node, _) in open.iter().filter(|(_, before)| **before == 0) {
        ready.add(*node, graph, drafts);
    }
    let mut order = Vec::new();
    let mut seen = 0;
    while let Some(node) = ready.next() {
        seen += 1;
        if let Some(OrderNode::Task(number)) = graph.node_weight(node) {
            order.push(*number);
        }
        for next in graph.neighbors(node) {
            if let Some(before) = open.get_mut(&next) {
                *before -= 1;
                if *before == 0 {
                    ready.add(next, graph, drafts);
                }
            }
        }
    }
    (seen == graph.node_count()).then_some(order)
}

/// What may come next: ends of slots at once, tasks by their kinds.
#[derive(Default)]
struct Ready<'a> {
    ends: Vec<NodeIndex>,
    kinds: BTreeMap<InCommon<'a>, BTreeSet<(Precedence<'a>, NodeIndex)>>,
    /// How many of each kind are still to come.
    left: BTreeMap<InCommon<'a>, usize>,
    last: Option<InCommon<'a>>,
}

impl<'a> Ready<'a> {
    fn of(drafts: &'a [Draft]) -> Self {
        let mut ready = Self::default();
        for draft in drafts {
            *ready.left.entry(entries::kind(&draft.task)).or_default() += 1;
        }
        ready
    }

    fn add(&mut self, node: NodeIndex, graph: &Graph, drafts: &'a [Draft]) {
        let Some(OrderNode::Task(number)) = graph.node_weight(node) else {
            self.ends.push(node);
            return;
        };
        if let Some(draft) = drafts.get(*number) {
            let task = &draft.task;
            let key = (task.slot, task.area, draft.number, task.id.as_str());
            let kind = self.kinds.entry(entries::kind(task)).or_default();
            kind.insert((key, node));
        }
    }

    /// The next of the same kind as the last; else the first of a kind that nothing more is waited for, so that it need not be begun twice;
    /// else the first of all.
    fn next(&mut self) -> Option<NodeIndex> {
        if let Some(end) = self.ends.pop() {
            return Some(end);
        }
        let same = self
            .last
            .take()
            .filter(|last| self.kinds.contains_key(last));
        let slot = self.kinds.values().filter_map(|ready| ready.first());
        let slot = slot.map(|((slot, ..), _)| *slot).min();
        let first = || {
            let of_slot = self
                .kinds
                .iter()
                .filter(|(kind, _)| Some(kind.slot) == slot);
            of_slot.min_by_key(|(kind, ready)| {
                let waited_for = self.left.get(kind) != Some(&ready.len());
                (waited_for, ready.first())
            })
        };
        let kind = same.or_else(|| first().map(|(kind, _)| kind.clone()))?;
        let ready = self.kinds.get_mut(&kind)?;
        let (_, node) = ready.pop_first()?;
        if let Some(left) = self.left.get_mut(&kind) {
            *left -= 1;
        }
        if ready.is_empty() {
            self.kinds.remove(&kind);
        }
        self.last = Some(kind);
        Some(node)
    }
}

/// For each draft the ids it directly waits for. Only a task with nothing before it in its own slot waits for the slot before.
fn predecessors(graph: &Graph, nodes: &[NodeIndex], drafts: &[Draft]) -> Vec<After> {
    let task = |node: NodeIndex| match graph.node_weight(node) {
        Some(OrderNode::Task(number)) => drafts.get(*number),
        _ => None,
    };
    // What a slot ends with: its tasks after which nothing else of the slot comes.
    let lasts = |end: NodeIndex| -> Arc<[TaskId]> {
        let members = graph.neighbors_directed(end, Direction::Incoming);
        let members = members.filter_map(|node| {
            let draft = task(node)?;
            let goes_on = graph
                .neighbors(node)
                .any(|next| task(next).is_some_and(|next| next.task.slot == draft.task.slot));
            (!goes_on).then(|| draft.task.id.clone())
        });
        let members: BTreeSet<TaskId> = members.sorted_set();
        members.into_iter().collect()
    };
    let mut ends: BTreeMap<NodeIndex, Arc<[TaskId]>> = BTreeMap::new();
    let mut all = Vec::new();
    for (node, draft) in nodes.iter().zip(drafts) {
        let mut own = BTreeSet::new();
        let mut within = false;
        let mut end = None;
        for before in graph.neighbors_directed(*node, Direction::Incoming) {
            match task(before) {
                Some(before) => {
                    within |= before.task.slot == draft.task.slot;
                    own.insert(before.task.id.clone());
                }
                None => end = Some(before),
            }
        }
        let end = end.filter(|_| !within);
        let slot = end.map(|end| Arc::clone(ends.entry(end).or_insert_with(|| lasts(end))));
        all.push(After::new(own, slot.unwrap_or_default()));
    }
    all
}

/// The problem of one cycle, at the first of its tasks that a rule gave.
fn cycle(graph: &Graph, drafts: &[Draft]) -> Problem {
    let name = |node: NodeIndex| match graph.node_weight(node) {
        Some(OrderNode::Task(number)) => drafts
            .get(*number)
            .map_or_else(String::new, |draft| format!("`{}`", draft.task.id)),
        Some(OrderNode::EndOf(slot)) => {
            let of = drafts.iter().find(|draft| draft.task.slot == *slot);
            of.map_or_else(String::new, |draft| {
                format!("end of {}", draft.task.stage.word())
            })
        }
        None => String::new(),
    };
    let circle = circle(graph);
    let at = circle
        .iter()
        .find_map(|node| match graph.node_weight(*node) {
            Some(OrderNode::Task(number)) => drafts.get(*number)?.task.origin.clone(),
            _ => None,
        });
    let problem = waiting(graph, &circle, name).help("take one of the edges out of the rules");
    Problem { at, ..problem }
}

/// The problem that prints one cycle whole, with the reason of every edge.
pub(crate) fn waiting<N, E: AsRef<str>>(
    graph: &DiGraph<N, E>,
    circle: &[NodeIndex],
    name: impl Fn(NodeIndex) -> String,
) -> Problem {
    let mut text = circle.first().map(|first| name(*first)).unwrap_or_default();
    for (from, to) in circle.iter().zip(circle.iter().cycle().skip(1)) {
        let why = graph.edges_connecting(*from, *to).next();
        let why = why.map_or("", |edge| edge.weight().as_ref());
        // Writing to a String cannot fail.
        let _ = write!(text, " → {} ({why})", name(*to));
    }
    let message = format!("these tasks wait for one another: {text}");
    Problem::error(Code::Cycle, message)
}

/// One cycle of the graph, found by walking inside a strongly connected component until a node comes again.
pub(crate) fn circle<N, E>(graph: &DiGraph<N, E>) -> Vec<NodeIndex> {
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
    let inside: BTreeSet<NodeIndex> = component.iter().copied().sorted_set();
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
