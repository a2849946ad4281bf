//! What a list, a map or an enum of the tree gives to serde, one after the other. Takes nodes; gives each as a [`Value`],
//! and adds to a [`Mistake`] which node it is about.

use serde::de::value::StrDeserializer;
use serde::de::{
    DeserializeSeed, Deserializer, EnumAccess, Error as _, IntoDeserializer, MapAccess, SeqAccess,
    VariantAccess, Visitor,
};
use serde::forward_to_deserialize_any;

use super::de::{Value, visit_meaning};
use super::locator::{Id, Locator, Node, Scalar};
use super::mistake::Mistake;
use super::stand_in::StandIn;

/// The items of a list, one after the other.
pub(super) struct Items<'de> {
    tree: &'de Locator,
    left: std::vec::IntoIter<Id>,
}

impl<'de> Items<'de> {
    pub(super) fn new(list: Value<'de>) -> Self {
        let items: Vec<Id> = list.tree.children(list.id).map(|(id, _)| id).collect();
        Self {
            tree: list.tree,
            left: items.into_iter(),
        }
    }

    /// How many are still to come.
    pub(super) fn left(&self) -> usize {
        self.left.len()
    }
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
pub(super) struct Entries<'de> {
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

impl<'de> Entries<'de> {
    pub(super) fn new(map: Value<'de>) -> Self {
        let entries: Vec<(Id, &Node)> = map.tree.children(map.id).collect();
        let missing = map.tree.stand_ins.get(&map.id);
        Self {
            map,
            left: entries.into_iter(),
            missing: missing.map_or(&[][..], Vec::as_slice).iter(),
            value: None,
        }
    }
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
pub(super) struct Choice<'de> {
    pub(super) name: &'de str,
    pub(super) content: Option<Value<'de>>,
    /// The entry whose key names the variant.
    pub(super) named_by: Option<Id>,
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
            Some(content) if !content.is_nothing() => {
                let expected = format!("the word `{}` alone", self.name);
                inside(Err(Mistake::wrong_type(&expected.as_str())), content.id)
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
