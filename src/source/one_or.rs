//! A value that may be typed in two ways: as one word, or as a list or map of more. Takes how each is read; gives the visitor that reads
//! whichever is there.

use std::fmt;

use serde::de::value::{MapAccessDeserializer, SeqAccessDeserializer};
use serde::de::{Deserialize, Error, IntoDeserializer, MapAccess, SeqAccess, Unexpected, Visitor};

/// One value is read as an `S`, more of them as an `M`.
pub(crate) struct OneOr<S, M, T> {
    /// Both ways in one phrase.
    pub(crate) expected: &'static str,
    /// What one value comes to.
    pub(crate) one: fn(S) -> T,
    /// What more of them come to.
    pub(crate) more: More<M, T>,
}

/// How more than one value is typed, and what comes of it.
pub(crate) enum More<M, T> {
    List(fn(M) -> T),
    Map(fn(M) -> T),
}

impl<'de, S: Deserialize<'de>, M: Deserialize<'de>, T> OneOr<S, M, T> {
    fn scalar<E: Error>(self, value: impl IntoDeserializer<'de, E>) -> Result<T, E> {
        let one = S::deserialize(value.into_deserializer());
        let unfit = |_| E::invalid_type(Unexpected::Other("one value"), &self);
        one.map_err(unfit).map(self.one)
    }
}

impl<'de, S: Deserialize<'de>, M: Deserialize<'de>, T> Visitor<'de> for OneOr<S, M, T> {
    type Value = T;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.expected)
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<T, E> {
        self.scalar(text)
    }

    fn visit_bool<E: Error>(self, flag: bool) -> Result<T, E> {
        self.scalar(flag)
    }

    fn visit_i64<E: Error>(self, number: i64) -> Result<T, E> {
        self.scalar(number)
    }

    fn visit_u64<E: Error>(self, number: u64) -> Result<T, E> {
        self.scalar(number)
    }

    fn visit_f64<E: Error>(self, number: f64) -> Result<T, E> {
        self.scalar(number)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, list: A) -> Result<T, A::Error> {
        match self.more {
            More::List(all) => M::deserialize(SeqAccessDeserializer::new(list)).map(all),
            More::Map(_) => Err(Error::invalid_type(Unexpected::Seq, &self)),
        }
    }

    fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<T, A::Error> {
        match self.more {
            More::Map(all) => M::deserialize(MapAccessDeserializer::new(map)).map(all),
            More::List(_) => Err(Error::invalid_type(Unexpected::Map, &self)),
        }
    }
}
