//! How a scalar that somebody types is described to an editor: any value, a quantity, yes or no. Takes nothing; gives JSON Schemas.
//!
//! A schema is a first help while typing and never stricter than the reader: which unit a field takes and what range it allows
//! is left to the checks.

use std::borrow::Cow;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};

use super::Written;

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
