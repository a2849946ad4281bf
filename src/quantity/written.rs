//! A scalar as somebody typed it in YAML: a number, a word or a quantity, kept as text until its field says what it means.

use std::fmt;

use serde::de::{self, Deserialize, Deserializer, Visitor};

/// The text of one YAML scalar; numbers and booleans keep their plain spelling.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Written(pub String);

impl Written {
    /// The text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Written {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// The answer that a text is, in any case: `yes` or `true`, `no` or `false`; none for anything else.
pub fn yes_no(text: &str) -> Option<bool> {
    let is = |word: &str| text.eq_ignore_ascii_case(word);
    if is("yes") || is("true") {
        return Some(true);
    }
    (is("no") || is("false")).then_some(false)
}

impl<'de> Deserialize<'de> for Written {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(Scalar)
    }
}

struct Scalar;

impl Visitor<'_> for Scalar {
    type Value = Written;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("one value, such as `40 mm`, `12` or `yes`")
    }

    fn visit_str<E: de::Error>(self, text: &str) -> Result<Written, E> {
        Ok(Written(text.to_owned()))
    }

    fn visit_bool<E: de::Error>(self, flag: bool) -> Result<Written, E> {
        Ok(Written(if flag { "yes" } else { "no" }.to_owned()))
    }

    fn visit_i64<E: de::Error>(self, number: i64) -> Result<Written, E> {
        Ok(Written(number.to_string()))
    }

    fn visit_u64<E: de::Error>(self, number: u64) -> Result<Written, E> {
        Ok(Written(number.to_string()))
    }

    fn visit_f64<E: de::Error>(self, number: f64) -> Result<Written, E> {
        Ok(Written(number.to_string()))
    }
}
