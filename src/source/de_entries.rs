//! What a list, a map or an enum of the tree gives to serde, one after the other. Takes nodes; gives each as a [`Value`],
//! and adds to a [`Mistake`] which node it is about.

use serde::de::value::StrDeserializer;
use serde::de::{
    DeserializeSeed, Deserializer, EnumAccess, Error as _, IntoDeserializer, MapAccess, SeqAccess,
    VariantAccess, Visitor,
};
use serde::forward_to_deserialize_any;

use super::de::{Below, Value, What, Word};
use super::locator::Id;
use super::mistake::Mistake;

impl<'de> SeqAccess<'de> for Below<'de> {
    type Error = Mistake;

    fn next_element_seed<T: DeserializeSeed<'de>>(
        &mut self,
        seed: T,
    ) -> Result<Option<T::Value>, Mistake> {
        let Some((_, item)) = self.next(false) else {
            return Ok(None);
        };
        let id = item.id;
        let value = seed.deserialize(item);
        value.map(Some).map_err(|mistake| mistake.at(id))
    }

    fn size_hint(&self) -> Option<usize> {
        Some(self.left())
    }
}

/// The entries of a map, one after the other, and then the fields that are stood in for.
pub(super) struct Entries<'de> {
    map: Id,
    below: Below<'de>,
    missing: std::slice::Iter<'de, &'static str>,
    value: Option<Value<'de>>,
}

impl<'de> Entries<'de> {
    pub(super) fn new(map: Id, below: Below<'de>, missing: &'de [&'static str]) -> Self {
        Self {
            map,
            below,
            missing: missing.iter(),
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
        if let Some((key, value)) = self.below.next(true) {
            let id = value.id;
            self.value = Some(value);
            let key = key.ok_or_else(|| Mistake::custom("an entry without a key").at(id))?;
            let key = seed.deserialize(MapKey(key));
            return key.map(Some).map_err(|mistake| mistake.at_key(id));
        }
        let Some(field) = self.missing.next() else {
            return Ok(None);
        };
        self.value = Some(Value::new(What::MadeUp));
        let name: StrDeserializer<'_, Mistake> = (*field).into_deserializer();
        seed.deserialize(name).map(Some)
    }

    fn next_value_seed<V: DeserializeSeed<'de>>(&mut self, seed: V) -> Result<V::Value, Mistake> {
        let untimely = || Mistake::custom("a value is asked for before its key");
        let value = self.value.take().ok_or_else(untimely)?;
        let (id, made_up) = (value.id, matches!(value.what, What::MadeUp));
        seed.deserialize(value).map_err(|mistake| {
            if made_up {
                // Whatever is wrong with what was made up is only known as a gap of its map.
                Mistake::custom("a stand-in that does not fit").at(self.map)
            } else {
                mistake.at(id)
            }
        })
    }
}

/// A key, read into the key type of a map.
struct MapKey<'de>(Word<'de>);

impl<'de> Deserializer<'de> for MapKey<'de> {
    type Error = Mistake;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        visitor.visit_borrowed_str(self.0.text)
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
        visitor.visit_enum(StrDeserializer::new(self.0.text))
    }

    fn deserialize_u64<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        self.0.visit(visitor)
    }

    fn deserialize_i64<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        self.0.visit(visitor)
    }

    fn deserialize_u32<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        self.0.visit(visitor)
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
    /// What belongs to the variant. A mistake in it is about the entry that names it.
    fn content(self) -> Result<(Value<'de>, Id), Mistake> {
        let needs = || {
            Mistake::custom(format!(
                "the choice `{0}` needs a value: `{0}: …`",
                self.name
            ))
        };
        let content = self.content.ok_or_else(needs)?;
        let id = content.id;
        Ok((content, id))
    }
}

impl<'de> VariantAccess<'de> for Choice<'de> {
    type Error = Mistake;

    fn unit_variant(self) -> Result<(), Mistake> {
        match self.content {
            Some(content) if !content.is_nothing() => {
                let expected = format!("the word `{}` alone", self.name);
                Err(Mistake::wrong_type(&expected.as_str()).at(content.id))
            }
            _ => Ok(()),
        }
    }

    fn newtype_variant_seed<T: DeserializeSeed<'de>>(self, seed: T) -> Result<T::Value, Mistake> {
        let (content, id) = self.content()?;
        seed.deserialize(content).map_err(|mistake| mistake.at(id))
    }

    fn tuple_variant<V: Visitor<'de>>(
        self,
        length: usize,
        visitor: V,
    ) -> Result<V::Value, Mistake> {
        let (content, id) = self.content()?;
        let value = content.deserialize_tuple(length, visitor);
        value.map_err(|mistake| mistake.at(id))
    }

    fn struct_variant<V: Visitor<'de>>(
        self,
        fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Mistake> {
        let (content, id) = self.content()?;
        let value = content.deserialize_struct("", fields, visitor);
        value.map_err(|mistake| mistake.at(id))
    }
}
