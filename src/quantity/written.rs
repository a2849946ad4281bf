//! A scalar as somebody typed it in YAML: a number, a word or a quantity, kept as text until its field says what it means; and how it is
//! described to an editor.
//!
//! A schema is a first help while typing and never stricter than the reader: which unit a field takes and what range it allows
//! is left to the checks.

use std::borrow::Cow;
use std::fmt;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
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

/// A number, whole, decimal or broken, with a unit behind it where there is one.
const NUMBER: &str = r"[+-]?(\d+(\.\d+)?|\.\d+)([eE][+-]?\d+)?(\s*/\s*\d+(\.\d+)?|\s+\d+/\d+)?(\s*[^\s\d.,±+/-][^,±]*?)?";

/// Stands for a quantity in the schema of a field that is read as [`Written`].
///
/// ```
/// let schema = schemars::schema_for!(liftsheet::quantity::Amount);
/// assert!(schema.get("pattern").is_some());
/// ```
#[derive(Debug)]
pub struct Amount;

/// Stands for yes or no in the schema of a field that is read as [`Written`].
#[derive(Debug)]
pub struct YesNo;

impl JsonSchema for Written {
    fn schema_name() -> Cow<'static, str> {
        "Written".into()
    }

    fn inline_schema() -> bool {
        true
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({"type": ["string", "number", "boolean"]})
    }
}

impl JsonSchema for Amount {
    fn schema_name() -> Cow<'static, str> {
        "Amount".into()
    }

    fn inline_schema() -> bool {
        true
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": ["string", "number"],
            "pattern": format!(r"^\s*{NUMBER}\s*((±|\+/-|\+-)\s*{NUMBER}\s*)?$"),
            "examples": ["40 mm", "1 1/2 in", "38 mm ±2"],
        })
    }
}

impl JsonSchema for YesNo {
    fn schema_name() -> Cow<'static, str> {
        "YesNo".into()
    }

    fn inline_schema() -> bool {
        true
    }

    fn json_schema(_: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "type": ["string", "boolean"],
            "pattern": "^([Yy][Ee][Ss]|[Nn][Oo]|[Tt][Rr][Uu][Ee]|[Ff][Aa][Ll][Ss][Ee])$",
            "examples": ["yes", "no"],
        })
    }
}
