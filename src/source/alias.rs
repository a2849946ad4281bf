//! What an alias repeats. Takes the nodes of an anchor; gives a copy of them elsewhere in the tree, as long as all copies
//! together stay within bounds: a short text of aliases to aliases could otherwise grow to billions of values.

use super::flaw::{Flaw, MOST_DEPTH};
use super::locator::{Id, Kind, Locator, MOST_NODES, Node, Span};
use crate::report::Code;

/// Bytes of text that aliases may add.
const MOST_BYTES: usize = 4 * 1024 * 1024;

/// What the aliases of a text have added so far.
#[derive(Default)]
pub(super) struct Aliases {
    bytes: usize,
}

impl Aliases {
    /// Adds a copy of a node and all below it at the end of the tree, with its topmost node replaced.
    ///
    /// Fails when that would be too much in all, or nested too deeply below the `depth` lists and maps it stands in.
    pub(super) fn repeat(
        &mut self,
        locator: &mut Locator,
        from: Id,
        depth: usize,
        span: Span,
        place: impl FnOnce(&mut Node),
    ) -> Result<(), Flaw> {
        let end = locator.node(from).map_or(from, |node| node.end);
        let range = from as usize..end as usize;
        let nodes = locator.nodes.get(range.clone()).unwrap_or_default();
        self.bytes += nodes.iter().map(text_bytes).sum::<usize>();
        if locator.nodes.len() + nodes.len() > MOST_NODES || self.bytes > MOST_BYTES {
            let message = format!(
                "with what its aliases repeat, this file holds more than {MOST_NODES} values, or too much text"
            );
            let help = "write the repeated part out, or repeat less of it";
            return Err(Flaw::new(Code::AliasBomb, span, message, help));
        }
        if depth + height(nodes) > MOST_DEPTH {
            return Err(Flaw::too_deep(span));
        }
        let to = locator.nodes.len();
        locator.nodes.extend_from_within(range);
        let moved = u32::try_from(to).unwrap_or(u32::MAX) - from;
        for node in locator.nodes.iter_mut().skip(to) {
            node.parent += moved;
            node.end += moved;
        }
        if let Some(top) = locator.nodes.get_mut(to) {
            top.span = span;
            top.dropped = false;
            place(top);
        }
        Ok(())
    }
}

fn text_bytes(node: &Node) -> usize {
    let own = match &node.kind {
        Kind::Scalar(scalar) => scalar.text.len(),
        Kind::List | Kind::Map => 0,
    };
    own + node.key.as_ref().map_or(0, |key| key.scalar.text.len())
}

/// How many lists and maps stand within each other in a node and all below it.
fn height(nodes: &[Node]) -> usize {
    let mut ends: Vec<usize> = Vec::new();
    let mut most = 0;
    let last = nodes.first().map_or(0, |node| node.end) as usize;
    let first = last.saturating_sub(nodes.len());
    for (id, node) in (first..).zip(nodes) {
        while ends.last().is_some_and(|end| *end <= id) {
            ends.pop();
        }
        if !matches!(node.kind, Kind::Scalar(_)) {
            ends.push(node.end as usize);
            most = most.max(ends.len());
        }
    }
    most
}
