//! Every value of a YAML text with its bytes. Takes what the builder found; gives nodes to read values from, the path
//! of a node, and the bytes that a path points at. It knows nothing of types or problems.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::ops::Range;

use crate::report::{Path, PathStep, Point};

/// The number of a node: its place in the order of the text.
pub(super) type Id = u32;

/// The root's number, if the text holds a document.
pub(super) const ROOT: Id = 0;

/// Values in all: a job of a thousand links has thirty thousand.
pub(super) const MOST_NODES: usize = 100_000;
/// A YAML text as a tree of values, each with the bytes it was written in and those of its key.
///
/// ```
/// use liftsheet::{report::Path, source::Locator};
/// let text = "links:\n  - { slack: 62 mm }\n";
/// let range = Locator::new(text).range(&Path::root().key("links").index(0).key("slack"));
/// assert_eq!(&text[range.unwrap()], "62 mm");
/// ```
#[derive(Debug, Default)]
pub struct Locator {
    pub(super) nodes: Vec<Node>,
    /// Fields that are missing from a map and stood in for, so that reading can go on.
    pub(super) stand_ins: BTreeMap<Id, Vec<&'static str>>,
}

/// A value: a scalar, a list or a map. The nodes below it follow it in the tree, up to `end`.
#[derive(Debug, Clone)]
pub(super) struct Node {
    pub(super) parent: Id,
    /// The number after the last node below this one.
    pub(super) end: Id,
    /// The place among the parent's children, counted from 0.
    pub(super) slot: u32,
    /// Left out of the value: a duplicate, or an entry that was already reported.
    pub(super) dropped: bool,
    pub(super) span: Span,
    pub(super) key: Option<Key>,
    pub(super) tag: Option<Cow<'static, str>>,
    pub(super) kind: Kind,
}

/// The key before a value.
#[derive(Debug, Clone)]
pub(super) struct Key {
    pub(super) scalar: Scalar,
    pub(super) span: Span,
}

/// A text as it reads once quotes and escapes are gone.
#[derive(Debug, Clone)]
pub(super) struct Scalar {
    pub(super) text: Cow<'static, str>,
    /// Written without quotes, so that it may be a number, a boolean or null.
    pub(super) plain: bool,
}

#[derive(Debug, Clone)]
pub(super) enum Kind {
    Scalar(Scalar),
    List,
    Map,
}

/// Bytes of the text, which is never so long that 32 bits are not enough.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) struct Span {
    pub(super) start: u32,
    pub(super) end: u32,
}

impl Span {
    pub(super) fn range(self) -> Range<usize> {
        self.start as usize..self.end as usize
    }
}

impl Scalar {
    /// A value that stands in no text of its own.
    pub(super) fn new(text: impl Into<Cow<'static, str>>, plain: bool) -> Self {
        let text = text.into();
        Self { text, plain }
    }
}

/// The children of a node that are not left out, one after the other.
#[derive(Clone)]
pub(super) struct Children<'a> {
    pub(super) tree: &'a Locator,
    next: Id,
    end: Id,
}

impl<'a> Children<'a> {
    /// The next child, also one that is left out.
    fn any(&mut self) -> Option<(Id, &'a Node)> {
        let child = self.next;
        let node = self.tree.node(child).filter(|_| child < self.end)?;
        self.next = node.end;
        Some((child, node))
    }
}

impl<'a> Iterator for Children<'a> {
    type Item = (Id, &'a Node);

    fn next(&mut self) -> Option<Self::Item> {
        loop {
            let child = self.any()?;
            if !child.1.dropped {
                return Some(child);
            }
        }
    }
}

impl Locator {
    pub(super) fn node(&self, id: Id) -> Option<&Node> {
        self.nodes.get(id as usize)
    }

    /// The children of a node that are not left out, in the order of the text.
    pub(super) fn children(&self, id: Id) -> Children<'_> {
        Children {
            tree: self,
            next: id + 1,
            end: self.node(id).map_or(0, |node| node.end),
        }
    }

    fn all_children(&self, id: Id) -> impl Iterator<Item = (Id, &Node)> {
        let mut children = self.children(id);
        std::iter::from_fn(move || children.any())
    }

    /// Adds a node that ends with itself.
    pub(super) fn add(&mut self, kind: Kind, (parent, slot): (Id, u32), key: Option<Key>) -> Id {
        // No text has more values than fit.
        let id = Id::try_from(self.nodes.len()).unwrap_or(Id::MAX);
        self.nodes.push(Node {
            parent,
            end: id + 1,
            slot,
            dropped: false,
            span: Span::default(),
            key,
            tag: None,
            kind,
        });
        id
    }

    /// Ends a list or map behind the nodes that there are.
    pub(super) fn close(&mut self, id: Id) -> Option<&mut Node> {
        let end = Id::try_from(self.nodes.len()).unwrap_or(Id::MAX);
        let node = self.nodes.get_mut(id as usize)?;
        node.end = end;
        Some(node)
    }

    /// Leaves a node out of the value.
    pub(super) fn leave_out(&mut self, id: Id) {
        if let Some(node) = self.nodes.get_mut(id as usize) {
            node.dropped = true;
        }
    }

    /// Whether something at or below a node is left out or stood in for.
    pub(super) fn has_gaps(&self, id: Id) -> bool {
        let end = self.node(id).map_or(id, |node| node.end);
        let below = self.nodes.get(id as usize + 1..end as usize);
        self.stand_ins.range(id..end).next().is_some()
            || below.unwrap_or_default().iter().any(|node| node.dropped)
    }

    /// Stands in for a missing field of a map; not again for the same one.
    pub(super) fn stand_in(&mut self, id: Id, field: &'static str) -> bool {
        let fields = self.stand_ins.entry(id).or_default();
        let new = !fields.contains(&field);
        if new {
            fields.push(field);
        }
        new
    }

    pub(super) fn path(&self, id: Id) -> Path {
        let mut steps = Vec::new();
        let mut at = id;
        while let Some(node) = self.node(at).filter(|_| at != ROOT) {
            steps.push(match &node.key {
                Some(key) => PathStep::Key(key.scalar.text.as_ref().into()),
                None => PathStep::Index(node.slot as usize),
            });
            at = node.parent;
        }
        steps.reverse();
        Path::from_steps(steps)
    }

    /// The node at a path; of two entries with the same key, the first.
    pub(super) fn find(&self, path: &Path) -> Option<Id> {
        let mut at = ROOT;
        self.node(at)?;
        for step in path.steps() {
            let here = |node: &Node| match step {
                PathStep::Key(wanted) => node
                    .key
                    .as_ref()
                    .is_some_and(|key| *key.scalar.text == **wanted),
                PathStep::Index(wanted) => node.key.is_none() && node.slot as usize == *wanted,
            };
            let found = self.all_children(at).find(|(_, node)| here(node));
            let list = matches!(self.node(at)?.kind, Kind::List);
            // What may stand without brackets is the first of its list.
            if found.is_some() || list || *step != PathStep::Index(0) {
                at = found?.0;
            }
        }
        Some(at)
    }

    /// The bytes to point at for a path, or nothing if the text has no such value.
    pub fn range(&self, path: &Path) -> Option<Range<usize>> {
        match path.point() {
            Point::Bytes { start, end } => Some(start..end),
            Point::Value => Some(self.value_span(self.find(path)?).range()),
            Point::Key => Some(self.key_span(self.find(path)?).range()),
        }
    }

    /// The bytes of a value. A map or list in block form has none of its own: its key stands for it, or else its first
    /// entry; a missing value is pointed at by its key.
    pub(super) fn value_span(&self, id: Id) -> Span {
        let Some(node) = self.node(id) else {
            return Span::default();
        };
        if node.span.start < node.span.end {
            return node.span;
        }
        if let Some(key) = &node.key {
            return key.span;
        }
        match self.node(id + 1).filter(|_| id + 1 < node.end) {
            Some(first) => first
                .key
                .as_ref()
                .map_or_else(|| self.value_span(id + 1), |key| key.span),
            None => node.span,
        }
    }

    /// The bytes of the key before a value; of the value itself in a list.
    pub(super) fn key_span(&self, id: Id) -> Span {
        let key = self.node(id).and_then(|node| node.key.as_ref());
        key.map_or_else(|| self.value_span(id), |key| key.span)
    }
}
