//! What a list or a map of the tree gives to serde, one after the other. Takes nodes; gives each as a [`Value`],
//! and adds to a [`Mistake`] which node it is about.

use serde::de::value::BorrowedStrDeserializer;
use serde::de::{DeserializeSeed, Error as _, MapAccess, SeqAccess};

use super::de::{Below, Value, What};
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
            let key = seed.deserialize(BorrowedStrDeserializer::new(key.text));
            return key.map(Some).map_err(|mistake: Mistake| mistake.at_key(id));
        }
        let Some(field) = self.missing.next() else {
            return Ok(None);
        };
        self.value = Some(Value::new(What::MadeUp));
        seed.deserialize(BorrowedStrDeserializer::new(field))
            .map(Some)
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
