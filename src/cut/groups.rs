//! Parts and what each is bolted to → the rigid group each rides with.
//!
//! A part hangs on what it is bolted to, and so in the end on the chassis or on a raised body. A part that hangs on two of
//! them bridges the cut; a part that hangs on none floats, and is an error.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use petgraph::algo::kosaraju_scc;
use petgraph::graph::{DiGraph, NodeIndex};

use crate::job::{CHASSIS, Job, Part, PartId};
use crate::report::{Code, Problem, Report};
use crate::sorted::Sorted as _;

/// What a part rides with.
#[derive(Debug, Clone, Default)]
pub struct Hung {
    /// The bodies it hangs on: one for a part that rides with it, two or more for one that bridges the cut.
    pub groups: BTreeSet<PartId>,
    /// From the part to the body it hangs on, both included: `airbox → inner guard → cab`. No page prints more than its first
    /// hundred parts, so no more are kept.
    pub chain: Vec<PartId>,
    /// Whether its own bolts bridge the cut, rather than those of a part it is bolted to.
    pub bridges: bool,
    /// How far it drops when the wheels hang, mm.
    pub droop: f64,
}

/// Parts of a chain that are kept.
const LONGEST_CHAIN: usize = 100;

/// A part's shortest way to a root.
#[derive(Clone, Copy)]
struct Way<'a> {
    /// The next part on it; none for a root.
    on: Option<&'a str>,
    /// The largest droop of the parts it leads over, its own included, mm.
    droop: f64,
}

/// Finds what every part rides with; a floating part goes to the report.
pub(super) fn groups(job: &Job, report: &mut Report) -> BTreeMap<PartId, Hung> {
    let sets = group_sets(job);
    let ways = ways(job);
    let mut hung = BTreeMap::new();
    for (id, part) in &job.parts {
        let groups = sets.get(id).cloned().unwrap_or_default();
        if groups.is_empty() {
            // A part bolted to one that is not there was reported for that already.
            if part.fixed_to.iter().all(|on| job.parts.contains_key(on)) {
                report.push(floats(job, id, part));
            }
            continue;
        }
        let bridges =
            groups.len() > 1 && part.fixed_to.iter().any(|on| sets.get(on) != Some(&groups));
        hung.insert(
            id.clone(),
            Hung {
                groups,
                chain: chain(id, &ways),
                bridges,
                droop: ways.get(id.as_str()).map_or(0.0, |way| way.droop),
            },
        );
    }
    hung
}

fn roots(job: &Job) -> BTreeSet<&str> {
    let bodies = job.lift.raise.iter().map(|raise| raise.group.as_str());
    bodies.chain([CHASSIS]).sorted_set()
}

/// For each part the roots that can be reached over its bolts.
fn group_sets(job: &Job) -> BTreeMap<PartId, BTreeSet<PartId>> {
    let mut graph = DiGraph::<&str, ()>::new();
    let nodes: BTreeMap<&str, NodeIndex> = job
        .parts
        .keys()
        .map(|id| (id.as_str(), graph.add_node(id)))
        .sorted_map();
    for (id, part) in &job.parts {
        for on in &part.fixed_to {
            if let (Some(&from), Some(&to)) = (nodes.get(id.as_str()), nodes.get(on.as_str())) {
                graph.add_edge(from, to, ());
            }
        }
    }
    let roots = roots(job);
    let mut sets: BTreeMap<PartId, BTreeSet<PartId>> = BTreeMap::new();
    // Components come with those they hang on first, so one pass is enough.
    for component in kosaraju_scc(&graph) {
        let mut reached = BTreeSet::new();
        for &node in &component {
            let id = graph.node_weight(node).copied().unwrap_or_default();
            if roots.contains(id) {
                reached.insert(id.to_owned());
            }
            for on in graph.neighbors(node) {
                let on = graph.node_weight(on).copied().unwrap_or_default();
                reached.extend(sets.get(on).into_iter().flatten().cloned());
            }
        }
        for &node in &component {
            let id = graph.node_weight(node).copied().unwrap_or_default();
            sets.insert(id.to_owned(), reached.clone());
        }
    }
    sets
}

/// For each part that hangs on a root, its shortest way there; ties go to the first id.
fn ways(job: &Job) -> BTreeMap<&str, Way<'_>> {
    let mut carried: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for (id, part) in &job.parts {
        for on in &part.fixed_to {
            carried.entry(on).or_default().push(id);
        }
    }
    let own = |id: &str| job.parts.get(id).map_or(0.0, |part| part.droop.max(0.0));
    let mut ways = BTreeMap::new();
    let mut queue: VecDeque<&str> = roots(job).into_iter().collect();
    for root in &queue {
        let droop = own(root);
        ways.insert(*root, Way { on: None, droop });
    }
    while let Some(on) = queue.pop_front() {
        let over = ways.get(on).map_or(0.0, |way| way.droop);
        for &id in carried.get(on).into_iter().flatten() {
            if !ways.contains_key(id) {
                let droop = own(id).max(over);
                ways.insert(
                    id,
                    Way {
                        on: Some(on),
                        droop,
                    },
                );
                queue.push_back(id);
            }
        }
    }
    ways
}

fn chain(id: &str, ways: &BTreeMap<&str, Way<'_>>) -> Vec<PartId> {
    let on = |id: &&str| ways.get(id).and_then(|way| way.on);
    let chain = std::iter::successors(Some(id), on).take(LONGEST_CHAIN);
    chain.map(ToOwned::to_owned).collect()
}

fn floats(job: &Job, id: &str, part: &Part) -> Problem {
    let message = if part.fixed_to.is_empty() {
        format!("part `{id}` is fixed to nothing")
    } else {
        let on: Vec<&str> = part.fixed_to.iter().map(String::as_str).collect();
        format!(
            "part `{id}` is fixed to `{}`, but nothing of that hangs on the chassis or on a raised body",
            on.join("` and `")
        )
    };
    let problem = Problem::error(Code::FloatingPart, message)
        .help("say with `fixed_to` what it is bolted to, up to the chassis or a raised body");
    let at = part.path.as_ref().map(|path| job.place(path));
    Problem { at, ..problem }
}
