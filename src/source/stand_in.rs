//! A value made up for a field that is missing, so that reading can go on and find which others are missing too. Takes
//! what the type asks for and gives the plainest value of that kind; a value that holds one is never handed on.

use serde::de::value::{MapDeserializer, SeqDeserializer, StrDeserializer};
use serde::de::{
    DeserializeSeed, Deserializer, EnumAccess, Error, IntoDeserializer, VariantAccess, Visitor,
};
use serde::forward_to_deserialize_any;

use super::mistake::Mistake;

/// The made-up value: a 1, an `x`, nothing in a list. It fails where the type has a rule that such a value breaks.
#[derive(Clone, Copy)]
pub(super) struct StandIn;

impl IntoDeserializer<'_, Mistake> for StandIn {
    type Deserializer = Self;

    fn into_deserializer(self) -> Self {
        self
    }
}

impl<'de> Deserializer<'de> for StandIn {
    type Error = Mistake;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        visitor.visit_u64(1)
    }

    fn deserialize_bool<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        visitor.visit_bool(false)
    }

    fn deserialize_str<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        visitor.visit_str("x")
    }

    fn deserialize_string<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        visitor.visit_str("x")
    }

    fn deserialize_char<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        visitor.visit_str("x")
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        visitor.visit_none()
    }

    fn deserialize_unit<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        visitor.visit_unit()
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        visitor: V,
    ) -> Result<V::Value, Mistake> {
        visitor.visit_newtype_struct(self)
    }

    fn deserialize_seq<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mistake> {
        self.deserialize_tuple(0, visitor)
    }

    fn deserialize_tuple<V: Visitor<'de>>(
        self,
        length: usize,
        visitor: V,
    ) -> Result<V::Value, Mistake> {
        visitor.visit_seq(SeqDeserializer::new(std::iter::repeat_n(self, length)))
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
        self.deserialize_struct("", &[], visitor)
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        _: &'static str,
        fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Mistake> {
        visitor.visit_map(MapDeserializer::new(
            fields.iter().map(|field| (*field, self)),
        ))
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        _: &'static str,
        names: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Mistake> {
        let name = names
            .first()
            .ok_or_else(|| Mistake::custom("an enum without choices"))?;
        visitor.visit_enum(FirstChoice(name))
    }

    forward_to_deserialize_any! {
        i8 i16 i32 i64 i128 u8 u16 u32 u64 u128 f32 f64 bytes byte_buf unit_struct identifier ignored_any
    }
}

/// The first variant of an enum, holding made-up values.
struct FirstChoice(&'static str);

impl<'de> EnumAccess<'de> for FirstChoice {
    type Error = Mistake;
    type Variant = StandIn;

    fn variant_seed<V: DeserializeSeed<'de>>(
        self,
        seed: V,
    ) -> Result<(V::Value, StandIn), Mistake> {
        let name: StrDeserializer<'_, Mistake> = self.0.into_deserializer();
        Ok((seed.deserialize(name)?, StandIn))
    }
}

impl<'de> VariantAccess<'de> for StandIn {
    type Error = Mistake;

    fn unit_variant(self) -> Result<(), Mistake> {
        Ok(())
    }

    fn newtype_variant_seed<T: DeserializeSeed<'de>>(self, seed: T) -> Result<T::Value, Mistake> {
        seed.deserialize(self)
    }

    fn tuple_variant<V: Visitor<'de>>(
        self,
        length: usize,
        visitor: V,
    ) -> Result<V::Value, Mistake> {
        self.deserialize_tuple(length, visitor)
    }

    fn struct_variant<V: Visitor<'de>>(
        self,
        fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Mistake> {
        self.deserialize_struct("", fields, visitor)
    }
}
