//! The tree of values as a serde deserializer. Takes a node; gives what its type asks for, or a [`Mistake`] that names
//! the node. What was left out of the tree is passed over.
//!
//! A text field takes a number or boolean as it was typed, so that `1.10` stays `1.10`; it never takes a value that is
//! not there. A list or map field takes nothing as an empty one. An enum is a word, `!word value`, or `word: value`.

use serde::de::{Deserializer, Error as _, Visitor};
use serde::forward_to_deserialize_any;

use super::de_entries::{Choice, Entries, Items};
use super::locator::{Id, Kind, Locator, Node, ROOT, Scalar};
use super::mistake::Mistake;
use super::scalar::{Meaning, meaning};

/// A node to read a value from.
#[derive(Clone, Copy)]
pub(super) struct Value<'de> {
    pub(super) tree: &'de Locator,
    pub(super) id: Id,
    /// The tag has done its work: it named the variant of an enum.
    tag_used: bool,
}

/// Reads the whole text.
pub(super) fn whole<'de, T: serde::Deserialize<'de>>(tree: &'de Locator) -> Result<T, Mistake> {
    T::deserialize(Value::new(tree, ROOT)).map_err(|mistake| mistake.at(ROOT))
}

impl<'de> Value<'de> {
    pub(super) fn new(tree: &'de Locator, id: Id) -> Self {
        Self {
            tree,
            id,
            tag_used: false,
        }
    }

    /// The node, if no tag stands in the way of reading it.
    fn node(self) -> Result<&'de Node, Mistake> {
        let node = self.any_node()?;
        match &node.tag {
            Some(tag) if !self.tag_used => Err(Mistake::custom(format!(
                "the tag `{tag}` has no meaning here"
            ))),
            _ => Ok(node),
        }
    }

    fn any_node(self) -> Result<&'de Node, Mistake> {
        // Ids come from the tree itself, so that this does not fail.
        self.tree
            .node(self.id)
            .ok_or_else(|| Mistake::custom("there is no value here"))
    }

    pub(super) fn is_nothing(self) -> bool {
        self.any_node().is_ok_and(|node| {
            (node.tag.is_none() || self.tag_used)
                && matches!(&node.kind, Kind::Scalar(scalar) if understood(scalar) == Meaning::Null)
        })
    }

    fn list<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        let mut items = Items::new(self);
        let count = items.left();
        let value = visitor.visit_seq(&mut items)?;
        match items.left() {
            0 => Ok(value),
            left => Err(Mistake::invalid_length(count, &Fewer(count - left))),
        }
    }

    fn map<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        visitor.visit_map(Entries::new(self))
    }
}

/// What a list that is too long should have been.
struct Fewer(usize);

impl serde::de::Expected for Fewer {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "a list of {}", crate::report::numbered(self.0, "item"))
    }
}

/// A text in quotes is text, whatever it looks like.
fn understood(scalar: &Scalar) -> Meaning<'_> {
    if scalar.plain {
        meaning(&scalar.text)
    } else {
        Meaning::Text(&scalar.text)
    }
}

pub(super) fn visit_meaning<'de, V: Visitor<'de>>(
    scalar: &'de Scalar,
    visitor: V,
) -> Result<V::Value, Mistake> {
    match understood(scalar) {
        Meaning::Null => visitor.visit_unit(),
        Meaning::Bool(value) => visitor.visit_bool(value),
        Meaning::Unsigned(value) => visitor.visit_u64(value),
        Meaning::Signed(value) => visitor.visit_i64(value),
        Meaning::Float(value) => visitor.visit_f64(value),
        Meaning::Text(value) => visitor.visit_borrowed_str(value),
    }
}

fn visit_text<'de, V: Visitor<'de>>(scalar: &'de Scalar, visitor: V) -> Result<V::Value, Mistake> {
    match understood(scalar) {
        Meaning::Null => Err(Mistake::wrong_type(&visitor)),
        _ => visitor.visit_borrowed_str(&scalar.text),
    }
}

impl<'de> Deserializer<'de> for Value<'de> {
    type Error = Mistake;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        match &self.node()?.kind {
            Kind::Scalar(scalar) => visit_meaning(scalar, visitor),
            Kind::List => self.list(visitor),
            Kind::Map => self.map(visitor),
        }
    }

    fn deserialize_str<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        match &self.node()?.kind {
            Kind::Scalar(scalar) => visit_text(scalar, visitor),
            Kind::List | Kind::Map => Err(Mistake::wrong_type(&visitor)),
        }
    }

    fn deserialize_string<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        self.deserialize_str(visitor)
    }

    fn deserialize_char<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
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

    fn deserialize_newtype_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        visitor: V,
    ) -> Result<V::Value, Mistake> {
        visitor.visit_newtype_struct(self)
    }

    fn deserialize_seq<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        match self.node()?.kind {
            Kind::List => self.list(visitor),
            _ if self.is_nothing() => self.list(visitor),
            _ => Err(Mistake::wrong_type(&visitor)),
        }
    }

    fn deserialize_tuple<V: Visitor<'de>>(self, _: usize, visitor: V) -> Result<V::Value, Mistake> {
        match self.node()?.kind {
            Kind::List => self.list(visitor),
            _ => Err(Mistake::wrong_type(&visitor)),
        }
    }

    fn deserialize_tuple_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        length: usize,
        visitor: V,
    ) -> Result<V::Value, Mistake> {
        self.deserialize_tuple(length, visitor)
    }

    fn deserialize_map<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        match self.node()?.kind {
            Kind::Map => self.map(visitor),
            _ if self.is_nothing() => self.map(visitor),
            _ => Err(Mistake::wrong_type(&visitor)),
        }
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Mistake> {
        self.deserialize_map(visitor)
            .map_err(|mistake| mistake.among(fields))
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        _: &'static str,
        _: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Mistake> {
        let node = self.any_node()?;
        if let Some(tag) = &node.tag {
            let content = Some(Self {
                tag_used: true,
                ..self
            });
            return visitor.visit_enum(Choice {
                name: tag.trim_start_matches('!'),
                content,
                named_by: None,
            });
        }
        let mut children = self.tree.children(self.id);
        match (&node.kind, children.next(), children.next()) {
            (Kind::Scalar(scalar), ..) if !self.is_nothing() => visitor.visit_enum(Choice {
                name: &scalar.text,
                content: None,
                named_by: None,
            }),
            (Kind::Map, Some((id, Node { key: Some(key), .. })), None) => {
                visitor.visit_enum(Choice {
                    name: &key.scalar.text,
                    content: Some(Self::new(self.tree, id)),
                    named_by: Some(id),
                })
            }
            _ => Err(Mistake::wrong_type(
                &"one choice, as a word or as `word: value`",
            )),
        }
    }

    fn deserialize_unit<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        if self.is_nothing() {
            visitor.visit_unit()
        } else {
            Err(Mistake::wrong_type(&visitor))
        }
    }

    fn deserialize_ignored_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        visitor.visit_unit()
    }

    forward_to_deserialize_any! {
        bool i8 i16 i32 i64 i128 u8 u16 u32 u64 u128 f32 f64 bytes byte_buf unit_struct
    }
}
