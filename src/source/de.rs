//! The tree of values as a serde deserializer. Takes a node; gives what its type asks for, or a [`Mistake`] that names
//! the node. What was left out of the tree is passed over.
//!
//! A text field takes a number or boolean as it was typed, so that `1.10` stays `1.10`; it never takes a value that is
//! not there. A list or map field takes nothing as an empty one. An enum is a word, `!word value`, or `word: value`.

use serde::de::value::StrDeserializer;
use serde::de::{
    DeserializeSeed, Deserializer, EnumAccess, Error as _, IntoDeserializer, MapAccess, SeqAccess,
    Unexpected, VariantAccess, Visitor,
};
use serde::forward_to_deserialize_any;

use super::locator::{Id, Kind, Locator, Node, ROOT, Scalar};
use super::mistake::Mistake;
use super::scalar::{Meaning, meaning};
use super::stand_in::StandIn;

/// A node to read a value from.
#[derive(Clone, Copy)]
pub(super) struct Value<'de> {
    tree: &'de Locator,
    id: Id,
    /// The tag has done its work: it named the variant of an enum.
    tag_used: bool,
}

/// Reads the whole text.
pub(super) fn whole<'de, T: serde::Deserialize<'de>>(tree: &'de Locator) -> Result<T, Mistake> {
    T::deserialize(Value::new(tree, ROOT)).map_err(|mistake| mistake.at(ROOT))
}

impl<'de> Value<'de> {
    fn new(tree: &'de Locator, id: Id) -> Self {
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

    fn is_nothing(self) -> bool {
        self.any_node().is_ok_and(|node| {
            node.tag.is_none()
                && matches!(&node.kind, Kind::Scalar(scalar) if understood(scalar) == Meaning::Null)
        })
    }

    fn list<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        let mut items = Items {
            tree: self.tree,
            left: self
                .tree
                .children(self.id)
                .map(|(id, _)| id)
                .collect::<Vec<_>>()
                .into_iter(),
        };
        let count = items.left.len();
        let value = visitor.visit_seq(&mut items)?;
        if items.left.len() == 0 {
            Ok(value)
        } else {
            Err(Mistake::invalid_length(
                count,
                &Fewer(count - items.left.len()),
            ))
        }
    }

    fn map<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        let stand_ins = self.tree.stand_ins.get(&self.id);
        visitor.visit_map(Entries {
            map: self,
            left: self.tree.children(self.id).collect::<Vec<_>>().into_iter(),
            missing: stand_ins.map_or(&[][..], Vec::as_slice).iter(),
            value: None,
        })
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

fn visit_meaning<'de, V: Visitor<'de>>(
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

/// The items of a list, one after the other.
struct Items<'de> {
    tree: &'de Locator,
    left: std::vec::IntoIter<Id>,
}

impl<'de> SeqAccess<'de> for Items<'de> {
    type Error = Mistake;

    fn next_element_seed<T: DeserializeSeed<'de>>(
        &mut self,
        seed: T,
    ) -> Result<Option<T::Value>, Mistake> {
        let Some(id) = self.left.next() else {
            return Ok(None);
        };
        let value = seed.deserialize(Value::new(self.tree, id));
        value.map(Some).map_err(|mistake| mistake.at(id))
    }

    fn size_hint(&self) -> Option<usize> {
        Some(self.left.len())
    }
}

/// The entries of a map, one after the other, and then the fields that are stood in for.
struct Entries<'de> {
    map: Value<'de>,
    left: std::vec::IntoIter<(Id, &'de Node)>,
    missing: std::slice::Iter<'de, &'static str>,
    value: Option<Next>,
}

/// Where the next value of a map comes from.
enum Next {
    Node(Id),
    StandIn,
}

impl<'de> MapAccess<'de> for Entries<'de> {
    type Error = Mistake;

    fn next_key_seed<K: DeserializeSeed<'de>>(
        &mut self,
        seed: K,
    ) -> Result<Option<K::Value>, Mistake> {
        if let Some((id, node)) = self.left.next() {
            self.value = Some(Next::Node(id));
            let key = node
                .key
                .as_ref()
                .ok_or_else(|| Mistake::custom("an entry without a key").at(id))?;
            let value = seed.deserialize(MapKey(&key.scalar));
            return value.map(Some).map_err(|mistake| mistake.at_key(id));
        }
        let Some(field) = self.missing.next() else {
            return Ok(None);
        };
        self.value = Some(Next::StandIn);
        let name: StrDeserializer<'_, Mistake> = (*field).into_deserializer();
        seed.deserialize(name).map(Some)
    }

    fn next_value_seed<V: DeserializeSeed<'de>>(&mut self, seed: V) -> Result<V::Value, Mistake> {
        match self.value.take() {
            Some(Next::Node(id)) => seed
                .deserialize(Value::new(self.map.tree, id))
                .map_err(|mistake| mistake.at(id)),
            // Whatever is wrong with what was made up is only known as a gap of its map.
            Some(Next::StandIn) => seed
                .deserialize(StandIn)
                .map_err(|_| Mistake::custom("a stand-in that does not fit").at(self.map.id)),
            None => Err(Mistake::custom("a value is asked for before its key")),
        }
    }

    fn size_hint(&self) -> Option<usize> {
        Some(self.left.len() + self.missing.len())
    }
}

/// A key, read into the key type of a map.
struct MapKey<'de>(&'de Scalar);

impl<'de> Deserializer<'de> for MapKey<'de> {
    type Error = Mistake;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        visitor.visit_borrowed_str(&self.0.text)
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        visitor: V,
    ) -> Result<V::Value, Mistake> {
        visitor.visit_newtype_struct(self)
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        _: &'static str,
        _: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Mistake> {
        visitor.visit_enum(StrDeserializer::new(&self.0.text))
    }

    fn deserialize_u64<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        visit_meaning(self.0, visitor)
    }

    fn deserialize_i64<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        visit_meaning(self.0, visitor)
    }

    fn deserialize_u32<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        visit_meaning(self.0, visitor)
    }

    forward_to_deserialize_any! {
        bool i8 i16 i32 i128 u8 u16 u128 f32 f64 char str string bytes byte_buf option unit unit_struct seq tuple
        tuple_struct map struct identifier ignored_any
    }
}

/// An enum's variant and what belongs to it.
struct Choice<'de> {
    name: &'de str,
    content: Option<Value<'de>>,
    /// The entry whose key names the variant.
    named_by: Option<Id>,
}

impl<'de> EnumAccess<'de> for Choice<'de> {
    type Error = Mistake;
    type Variant = Self;

    fn variant_seed<V: DeserializeSeed<'de>>(self, seed: V) -> Result<(V::Value, Self), Mistake> {
        let name: StrDeserializer<'_, Mistake> = self.name.into_deserializer();
        match (seed.deserialize(name), self.named_by) {
            (Ok(value), _) => Ok((value, self)),
            (Err(mistake), Some(id)) => Err(mistake.at_key(id)),
            (Err(mistake), None) => Err(mistake),
        }
    }
}

impl<'de> Choice<'de> {
    fn content(self) -> Result<Value<'de>, Mistake> {
        let needs = || {
            Mistake::custom(format!(
                "the choice `{0}` needs a value: `{0}: …`",
                self.name
            ))
        };
        self.content.ok_or_else(needs)
    }
}

/// A mistake in what belongs to the variant is about the entry that names it.
fn inside<T>(result: Result<T, Mistake>, id: Id) -> Result<T, Mistake> {
    result.map_err(|mistake| mistake.at(id))
}

impl<'de> VariantAccess<'de> for Choice<'de> {
    type Error = Mistake;

    fn unit_variant(self) -> Result<(), Mistake> {
        match self.content {
            Some(content)
                if !(content.is_nothing() || content.tag_used && content.is_empty_scalar()) =>
            {
                let expected = format!("the word `{}` alone", self.name);
                inside(
                    Err(Mistake::invalid_type(
                        Unexpected::Other("a value"),
                        &expected.as_str(),
                    )),
                    content.id,
                )
            }
            _ => Ok(()),
        }
    }

    fn newtype_variant_seed<T: DeserializeSeed<'de>>(self, seed: T) -> Result<T::Value, Mistake> {
        let content = self.content()?;
        inside(seed.deserialize(content), content.id)
    }

    fn tuple_variant<V: Visitor<'de>>(
        self,
        length: usize,
        visitor: V,
    ) -> Result<V::Value, Mistake> {
        let content = self.content()?;
        inside(content.deserialize_tuple(length, visitor), content.id)
    }

    fn struct_variant<V: Visitor<'de>>(
        self,
        fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Mistake> {
        let content = self.content()?;
        inside(content.deserialize_struct("", fields, visitor), content.id)
    }
}

impl Value<'_> {
    fn is_empty_scalar(self) -> bool {
        self.any_node().is_ok_and(|node| matches!(&node.kind, Kind::Scalar(scalar) if scalar.plain && scalar.text.is_empty()))
    }
}
