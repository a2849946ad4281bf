//! Values as the build script wrote them down (`src/build/stored.rs`), one after the other. They were looked at when the program was built.

use std::cell::Cell;

use serde::de::DeserializeOwned;

use super::de::{Below, Value, What, Word};

/// What is still to be read of one value, and the texts of all values: one behind the other, and where each ends.
pub(crate) struct Stored {
    pub(crate) bytes: Cell<&'static [u8]>,
    pub(crate) texts: &'static str,
    pub(crate) ends: &'static [u32],
}

/// Reads what is stored into a type; none when it does not fit.
pub(crate) fn read_stored<T: DeserializeOwned>(stored: &Stored) -> Option<T> {
    T::deserialize(stored.value()?).ok()
}

impl Stored {
    /// The next value. What stands below a list or map comes after it.
    pub(super) fn value(&self) -> Option<Value<'_>> {
        let what = self.number()?;
        let number = what / 4;
        Some(Value::new(match what % 4 {
            2 => What::List(Below::Stored(self, number)),
            3 => What::Map(Below::Stored(self, number)),
            kind => What::Word(self.word(number, kind == 0)?),
        }))
    }

    /// The next value's key.
    pub(super) fn key(&self) -> Option<Word<'_>> {
        self.word(self.number()?, true)
    }

    fn word(&self, number: u32, plain: bool) -> Option<Word<'_>> {
        let end = |number: usize| self.ends.get(number).map(|end| *end as usize);
        let number = number as usize;
        let start = number.checked_sub(1).map_or(Some(0), end)?;
        let text = self.texts.get(start..end(number)?)?;
        Some(Word { text, plain })
    }

    fn number(&self) -> Option<u32> {
        let mut number = 0;
        for shift in (0..u32::BITS).step_by(7) {
            let (byte, left) = self.bytes.get().split_first()?;
            self.bytes.set(left);
            number |= u32::from(byte & 0x7f) << shift;
            if *byte < 0x80 {
                return Some(number);
            }
        }
        None
    }
}
