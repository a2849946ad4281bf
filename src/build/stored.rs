//! Values → bytes from which the program builds the tree that it reads them from.
//!
//! Each value is one number, with seven bits to a byte and the last byte below 128: its two lowest bits say what it is, the others which
//! text, or how many items or fields follow; before a field's value stands the number of its key.

use std::collections::BTreeMap;

use serde_json::Value;

const PLAIN: usize = 0;
const QUOTED: usize = 1;
const LIST: usize = 2;
const MAP: usize = 3;

/// The texts of all values, each once.
#[derive(Default)]
pub(crate) struct Texts {
    numbers: BTreeMap<String, usize>,
    /// All of them, one behind the other.
    pub(crate) all: String,
    /// Where each of them ends.
    pub(crate) ends: Vec<usize>,
}

impl Texts {
    /// Writes a value down.
    pub(crate) fn store(&mut self, value: &Value, bytes: &mut Vec<u8>) {
        let (kind, number) = match value {
            Value::Array(items) => (LIST, items.len()),
            Value::Object(fields) => (MAP, fields.len()),
            Value::String(text) => (QUOTED, self.number(text)),
            one => (PLAIN, self.number(&one.to_string())),
        };
        push(number * 4 + kind, bytes);
        for item in value.as_array().into_iter().flatten() {
            self.store(item, bytes);
        }
        for (key, field) in value.as_object().into_iter().flatten() {
            push(self.number(key), bytes);
            self.store(field, bytes);
        }
    }

    fn number(&mut self, text: &str) -> usize {
        let next = self.ends.len();
        let number = *self.numbers.entry(text.to_owned()).or_insert(next);
        if number == next {
            self.all.push_str(text);
            self.ends.push(self.all.len());
        }
        number
    }
}

fn push(number: usize, bytes: &mut Vec<u8>) {
    let [low, ..] = number.to_le_bytes();
    if number < 0x80 {
        bytes.push(low);
    } else {
        bytes.push(low | 0x80);
        push(number >> 7, bytes);
    }
}
