//! Parser events → the tree of values. Takes a text; gives the [`Locator`] and every [`Flaw`] that stands in the way of
//! reading it: syntax, nesting, aliases, several documents, duplicate keys. It never recurses, so that no text can
//! overflow the stack, and it stops at the first thing after which the text cannot be trusted.

use std::borrow::Cow;
use std::collections::BTreeMap;

use saphyr_parser::{Event, Parser, ScalarStyle, Tag};

use super::alias::Aliases;
use super::chars::Chars;
use super::flaw::{self, Flaw, MOST_DEPTH};
use super::locator::{Id, Key, Kind, Locator, MOST_NODES, Node, ROOT, Scalar, Span};
use crate::report::Code;

/// Bytes of one text; nobody reads a longer one on a page.
const MOST_TEXT: usize = 4_000;

impl Locator {
    /// Finds every value of a text, up to the first mistake in its syntax.
    pub fn new(text: &str) -> Self {
        build(text).locator
    }
}

/// A text, read.
#[derive(Debug, Default)]
pub(super) struct Built {
    pub(super) locator: Locator,
    pub(super) flaws: Vec<Flaw>,
    /// Whether the text was read to its end, so that its values can be trusted.
    pub(super) whole: bool,
}

pub(super) fn build(text: &str) -> Built {
    if let Some(flaw) = Flaw::forbidden_character(text) {
        return Built {
            flaws: vec![flaw],
            ..Built::default()
        };
    }
    let chars = Chars::new(text);
    let mut builder = Builder::default();
    for event in Parser::new_from_str(text) {
        let taken = match event {
            Ok((event, span)) => builder.take(event, chars.span(span.start, span.end)),
            Err(error) => Err(Flaw::syntax(text, &chars, &error)),
        };
        if let Err(flaw) = taken {
            return builder.stop(flaw);
        }
    }
    builder.built.whole = true;
    builder.built
}

#[derive(Default)]
struct Builder {
    built: Built,
    /// The lists and maps not yet closed.
    open: Vec<Open>,
    /// The key whose value comes next.
    key: Option<Key>,
    /// What each anchor stands for; nothing while it is still open.
    anchors: BTreeMap<usize, Option<Id>>,
    aliases: Aliases,
    documents: usize,
}

struct Open {
    id: Id,
    children: u32,
    anchor: usize,
    is_map: bool,
}

/// What a node may carry besides its content.
struct Marks<'a> {
    /// The anchor's number, 0 for none.
    anchor: usize,
    tag: Option<Cow<'a, Tag>>,
}

impl Builder {
    fn take(&mut self, event: Event<'_>, span: Span) -> Result<(), Flaw> {
        match event {
            Event::DocumentStart(_) => self.document(span),
            Event::Scalar(text, style, anchor, tag) => {
                self.scalar(text, style, Marks { anchor, tag }, span)
            }
            Event::SequenceStart(anchor, tag) => self.open(Kind::List, Marks { anchor, tag }, span),
            Event::MappingStart(anchor, tag) => self.open(Kind::Map, Marks { anchor, tag }, span),
            Event::SequenceEnd | Event::MappingEnd => {
                self.close(span);
                Ok(())
            }
            Event::Alias(anchor) => self.alias(anchor, span),
            Event::Nothing | Event::StreamStart | Event::StreamEnd | Event::DocumentEnd => Ok(()),
        }
    }

    /// Ends the tree where reading stopped; what is open is closed, so that paths before that place can be found.
    /// What was read is trusted only where that is the whole first document.
    fn stop(mut self, flaw: Flaw) -> Built {
        while !self.open.is_empty() {
            self.close(Span::default());
        }
        self.built.whole = flaw.code == Code::SeveralDocuments;
        self.built.flaws.push(flaw);
        self.built
    }

    fn document(&mut self, span: Span) -> Result<(), Flaw> {
        self.documents += 1;
        if self.documents == 1 {
            Ok(())
        } else {
            Err(Flaw::second_document(span))
        }
    }

    /// Whether the next node is a key.
    fn wants_key(&self) -> bool {
        self.key.is_none() && self.open.last().is_some_and(|open| open.is_map)
    }

    fn scalar(
        &mut self,
        text: Cow<'_, str>,
        style: ScalarStyle,
        marks: Marks<'_>,
        span: Span,
    ) -> Result<(), Flaw> {
        let is_text = marks
            .tag
            .as_ref()
            .is_some_and(|tag| tag.is_yaml_core_schema() && tag.suffix == "str");
        if text.len() > MOST_TEXT {
            let message = format!(
                "this text has {} bytes; at most {MOST_TEXT} are read",
                text.len()
            );
            let help =
                "shorten it; a quote that is not closed where it should be also makes a text long";
            return Err(Flaw::new(Code::TooLarge, span, message, help));
        }
        let scalar = Scalar {
            text: text.into_owned().into(),
            plain: style == ScalarStyle::Plain && !is_text,
        };
        if !self.wants_key() {
            let anchor = marks.anchor;
            let id = self.add(Kind::Scalar(scalar), marks.tag, span)?;
            self.anchors
                .extend((anchor > 0).then_some((anchor, Some(id))));
            return Ok(());
        }
        if marks.anchor > 0 || marks.tag.is_some() {
            return Err(Flaw::odd_key(span));
        }
        self.key = Some(Key { scalar, span });
        Ok(())
    }

    fn open(&mut self, kind: Kind, marks: Marks<'_>, span: Span) -> Result<(), Flaw> {
        if self.wants_key() {
            return Err(Flaw::odd_key(span));
        }
        if self.open.len() >= MOST_DEPTH {
            return Err(Flaw::too_deep(span));
        }
        let anchor = marks.anchor;
        self.anchors.extend((anchor > 0).then_some((anchor, None)));
        let is_map = matches!(kind, Kind::Map);
        let id = self.add(kind, marks.tag, span)?;
        self.open.push(Open {
            id,
            children: 0,
            anchor,
            is_map,
        });
        Ok(())
    }

    fn close(&mut self, span: Span) {
        let Some(open) = self.open.pop() else { return };
        let locator = &mut self.built.locator;
        // Only a collection in brackets has bytes of its own; in block form both ends are empty.
        if let Some(node) = locator.close(open.id)
            && node.span.start < node.span.end
        {
            node.span.end = span.end.max(node.span.end);
        }
        if open.is_map {
            self.built.flaws.extend(flaw::leave_out(locator, open.id));
        }
        if open.anchor > 0 {
            self.anchors.insert(open.anchor, Some(open.id));
        }
    }

    /// Adds a node under the innermost open list or map.
    fn add(&mut self, kind: Kind, tag: Option<Cow<'_, Tag>>, span: Span) -> Result<Id, Flaw> {
        if self.built.locator.nodes.len() >= MOST_NODES {
            let message = format!("the file holds more than {MOST_NODES} values");
            let help = "look whether a list was repeated by mistake";
            return Err(Flaw::new(Code::TooLarge, span, message, help));
        }
        let (place, key) = (self.next_place(), self.key.take());
        let id = self.built.locator.add(kind, place, key);
        if let Some(node) = self.built.locator.nodes.last_mut() {
            node.span = span;
            let tag = tag.filter(|tag| !tag.is_yaml_core_schema());
            node.tag = tag.map(|tag| tag.to_string().into());
        }
        Ok(id)
    }

    fn next_place(&mut self) -> (Id, u32) {
        match self.open.last_mut() {
            None => (ROOT, 0),
            Some(open) => {
                open.children += 1;
                (open.id, open.children - 1)
            }
        }
    }

    /// Repeats what an anchor stands for. The copy keeps the bytes of the anchor, but for its topmost node.
    fn alias(&mut self, anchor: usize, span: Span) -> Result<(), Flaw> {
        if self.wants_key() {
            return Err(Flaw::odd_key(span));
        }
        let Some(Some(from)) = self.anchors.get(&anchor).copied() else {
            let message = "this alias stands inside what it repeats";
            let help = "write the repeated part out";
            return Err(Flaw::new(Code::AliasBomb, span, message, help));
        };
        let (parent, slot) = self.next_place();
        let key = self.key.take();
        let depth = self.open.len();
        let place = |node: &mut Node| (node.parent, node.slot, node.key) = (parent, slot, key);
        self.aliases
            .repeat(&mut self.built.locator, from, depth, span, place)
    }
}
