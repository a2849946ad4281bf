//! The tree of values as a serde deserializer. Takes a node, or a value that was stored when the program was built; gives what its type
//! asks for, or a [`Mistake`] that names the node. What was left out of the tree is passed over.
//!
//! A text field takes a number or boolean as it was typed, so that `1.10` stays `1.10`; it never takes a value that is
//! not there. A list or map field takes nothing as an empty one. No type of a file is read as an enum, a newtype or a number other
//! than `f64` and `u32`, so none of these has its words here.

use serde::de::{Deserialize, Deserializer, Error as _, Visitor};
use serde::forward_to_deserialize_any;

use super::de_entries::Entries;
use super::locator::{Children, Id, Kind, Locator, Node, ROOT, Scalar};
use super::mistake::Mistake;
use super::scalar::{Meaning, meaning};
use super::stored::Stored;
use crate::report::{in_message, numbered};

pub(super) struct Value<'de> {
    pub(super) id: Id,
    /// A tag that is left after `!!str`; none of these has a meaning.
    tag: Option<&'de str>,
    pub(super) what: What<'de>,
    /// Fields that are missing and stood in for.
    missing: &'de [&'static str],
}

pub(super) enum What<'de> {
    Word(Word<'de>),
    List(Below<'de>),
    Map(Below<'de>),
    /// It stands in for a field that is missing, so that reading can go on and find which others are missing too: a 1, an `x`, nothing in
    /// a list. It fails where the type has a rule that such a value breaks; a value that holds one is never handed on.
    MadeUp,
}

/// A text, or what a text without quotes means.
#[derive(Clone, Copy)]
pub(super) struct Word<'de> {
    pub(super) text: &'de str,
    pub(super) plain: bool,
}

/// What stands below a list or map, one after the other.
pub(super) enum Below<'de> {
    Nodes(Children<'de>),
    /// So many of what was stored.
    Stored(&'de Stored, u32),
    MadeUp(usize),
}

/// Reads the whole text.
pub(super) fn whole<'de, T: Deserialize<'de>>(tree: &'de Locator) -> Result<T, Mistake> {
    let nothing = || Mistake::custom("there is no value here");
    let root = tree.node(ROOT).ok_or_else(nothing);
    let value = root.and_then(|root| T::deserialize(Value::of(tree, (ROOT, root))));
    value.map_err(|mistake| mistake.at(ROOT))
}

impl<'de> Below<'de> {
    /// The next value, and in a map its key.
    pub(super) fn next(&mut self, in_map: bool) -> Option<(Option<Word<'de>>, Value<'de>)> {
        match self {
            Self::Nodes(children) => {
                let (id, node) = children.next()?;
                let key = node.key.as_ref().map(|key| Word::of(&key.scalar));
                Some((key, Value::of(children.tree, (id, node))))
            }
            Self::Stored(stored, left) => {
                *left = left.checked_sub(1)?;
                let key = if in_map { Some(stored.key()?) } else { None };
                Some((key, stored.value()?))
            }
            Self::MadeUp(left) => {
                *left = left.checked_sub(1)?;
                Some((None, Value::new(What::MadeUp)))
            }
        }
    }

    /// How many are still to come.
    pub(super) fn left(&self) -> usize {
        match self {
            Self::Nodes(children) => children.clone().count(),
            Self::Stored(_, left) => *left as usize,
            Self::MadeUp(left) => *left,
        }
    }
}

impl<'de> Word<'de> {
    fn of(scalar: &'de Scalar) -> Self {
        Self {
            text: &scalar.text,
            plain: scalar.plain,
        }
    }

    /// A text in quotes is text, whatever it looks like.
    fn meaning(self) -> Meaning<'de> {
        if self.plain {
            meaning(self.text)
        } else {
            Meaning::Text(self.text)
        }
    }

    fn visit<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        match self.meaning() {
            Meaning::Null => visitor.visit_unit(),
            Meaning::Bool(value) => visitor.visit_bool(value),
            Meaning::Unsigned(value) => visitor.visit_u64(value),
            Meaning::Signed(value) => visitor.visit_i64(value),
            Meaning::Float(value) => visitor.visit_f64(value),
            Meaning::Text(value) => visitor.visit_borrowed_str(value),
        }
    }
}

impl<'de> Value<'de> {
    fn of(tree: &'de Locator, (id, node): (Id, &'de Node)) -> Self {
        let below = || Below::Nodes(tree.children(id));
        let what = match &node.kind {
            Kind::Scalar(scalar) => What::Word(Word::of(scalar)),
            Kind::List => What::List(below()),
            Kind::Map => What::Map(below()),
        };
        Self {
            id,
            tag: node.tag.as_deref(),
            what,
            missing: tree.stand_ins.get(&id).map_or(&[], Vec::as_slice),
        }
    }

    /// A value that stands in no text.
    pub(super) fn new(what: What<'de>) -> Self {
        Self {
            id: ROOT,
            tag: None,
            what,
            missing: &[],
        }
    }

    /// What it is, if no tag stands in the way of reading it.
    fn what(self) -> Result<What<'de>, Mistake> {
        match self.tag {
            Some(tag) => Err(Mistake::custom(format!(
                "the tag `{}` has no meaning here",
                in_message(tag)
            ))),
            None => Ok(self.what),
        }
    }

    fn is_nothing(&self) -> bool {
        self.tag.is_none()
            && match &self.what {
                What::Word(word) => word.meaning() == Meaning::Null,
                What::MadeUp => true,
                What::List(_) | What::Map(_) => false,
            }
    }

    /// A map; of a made-up one, these fields.
    fn map<V: Visitor<'de>>(
        self,
        fields: &'de [&'static str],
        visitor: V,
    ) -> Result<V::Value, Mistake> {
        let (id, missing) = (self.id, self.missing);
        let (below, missing) = match self.what()? {
            What::Map(below) => (below, missing),
            What::MadeUp => (Below::MadeUp(0), fields),
            What::Word(word) if word.meaning() == Meaning::Null => (Below::MadeUp(0), missing),
            _ => return Err(Mistake::wrong_type(&visitor)),
        };
        visitor.visit_map(Entries::new(id, below, missing))
    }
}

fn list<'de, V: Visitor<'de>>(mut below: Below<'de>, visitor: V) -> Result<V::Value, Mistake> {
    let count = below.left();
    let value = visitor.visit_seq(&mut below)?;
    match below.left() {
        0 => Ok(value),
        left => {
            let fewer = format!("a list of {}", numbered(count - left, "item"));
            Err(Mistake::invalid_length(count, &fewer.as_str()))
        }
    }
}

impl<'de> Deserializer<'de> for Value<'de> {
    type Error = Mistake;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        match self.what {
            What::Map(_) => self.map(&[], visitor),
            _ => match self.what()? {
                What::Word(word) => word.visit(visitor),
                What::List(below) => list(below, visitor),
                _ => visitor.visit_u64(1),
            },
        }
    }

    fn deserialize_bool<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        match self.what {
            What::MadeUp => visitor.visit_bool(false),
            _ => self.deserialize_any(visitor),
        }
    }

    fn deserialize_str<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        match self.what()? {
            What::Word(word) if word.meaning() != Meaning::Null => {
                visitor.visit_borrowed_str(word.text)
            }
            What::MadeUp => visitor.visit_borrowed_str("x"),
            _ => Err(Mistake::wrong_type(&visitor)),
        }
    }

    fn deserialize_string<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        self.deserialize_str(visitor)
    }

    fn deserialize_identifier<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        self.deserialize_str(visitor)
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        if self.is_nothing() {
            visitor.visit_none()
        } else {
            visitor.visit_some(self)
        }
    }

    fn deserialize_seq<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        if self.is_nothing() {
            return list(Below::MadeUp(0), visitor);
        }
        self.deserialize_tuple(0, visitor)
    }

    fn deserialize_tuple<V: Visitor<'de>>(
        self,
        length: usize,
        visitor: V,
    ) -> Result<V::Value, Mistake> {
        match self.what()? {
            What::List(below) => list(below, visitor),
            What::MadeUp => list(Below::MadeUp(length), visitor),
            _ => Err(Mistake::wrong_type(&visitor)),
        }
    }

    fn deserialize_map<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        self.map(&[], visitor)
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Mistake> {
        self.map(fields, visitor)
            .map_err(|mistake| mistake.among(fields))
    }

    forward_to_deserialize_any! {
        i8 i16 i32 i64 i128 u8 u16 u32 u64 u128 f32 f64 char bytes byte_buf unit unit_struct newtype_struct tuple_struct
        enum ignored_any
    }
}
