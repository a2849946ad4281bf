//! What a job file or a rule file may hold, told to an editor. Takes the types that read them; gives JSON Schemas (draft 2020-12),
//! made anew whenever one is asked for and at no other time.
//!
//! A schema accepts whatever the reader of `source` accepts: a text may be typed as a number, a list or a map may be left empty.
//! What the checks find (a part that is not there, a value out of its range) is left to them.

mod part;

use schemars::generate::SchemaSettings;
use schemars::transform::transform_subschemas;
use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde_json::{Map, Value, json};

use crate::job;
use crate::rules;

/// One kind of rule file.
#[derive(Debug)]
pub struct RuleFileKind {
    /// Its name on the command line: the folder that such files stand in, or the name of the one file.
    pub name: &'static str,
    /// Where such files stand below the rules folder.
    pub stands: &'static str,
    /// The reference to its schema.
    reference: fn(&mut SchemaGenerator) -> Schema,
}

/// Every kind of rule file.
pub const KINDS: [RuleFileKind; 8] = [
    RuleFileKind {
        reference: class,
        ..kind::<rules::written::Class>("connections", "connections/CLASS.yaml")
    },
    RuleFileKind {
        reference: class,
        ..kind::<rules::written::Class>("consequences", "consequences/ID.yaml")
    },
    kind::<rules::written::Limits>("limits", "limits/REGION.yaml"),
    kind::<rules::pattern::written::List>("lists", "patterns/lists/NAME.yaml"),
    kind::<rules::pattern::written::Pattern>("patterns", "patterns/NAME.yaml"),
    kind::<rules::written::Procedure>("procedure", "procedure/STAGE.yaml"),
    kind::<rules::written::Settings>("settings", "settings.yaml"),
    kind::<rules::written::States>("states", "states.yaml"),
];

const fn kind<T: JsonSchema>(name: &'static str, stands: &'static str) -> RuleFileKind {
    RuleFileKind {
        name,
        stands,
        reference: SchemaGenerator::subschema_for::<T>,
    }
}

/// A class: whole in one file, or in part and taking over the rest.
fn class(generator: &mut SchemaGenerator) -> Schema {
    let whole = generator.subschema_for::<rules::written::Class>();
    let part = part::of_class(generator);
    json_schema!({"anyOf": [whole, part]})
}

/// The schema of a job file.
///
/// ```
/// let schema = liftsheet::schema::job();
/// assert_eq!(schema["additionalProperties"], false);
/// assert!(schema["properties"]["vehicle"].is_object());
/// ```
pub fn job() -> Value {
    let mut schema = generator().into_root_schema_for::<job::written::Job>();
    schema.insert("title".to_owned(), json!("a job file of liftsheet"));
    schema.to_value()
}

/// The schema of one kind of rule file, by its name; none when there is no such kind.
///
/// ```
/// use liftsheet::schema;
/// assert!(schema::rule("procedure").is_some());
/// assert!(schema::rule("procedures").is_none());
/// ```
pub fn rule(name: &str) -> Option<Value> {
    let kind = KINDS.iter().find(|kind| kind.name == name)?;
    let mut generator = generator();
    let reference = (kind.reference)(&mut generator).to_value();
    let mut schema = head(&format!("a rule file of liftsheet: {}", kind.stands));
    if let Value::Object(reference) = reference {
        schema.extend(reference);
    }
    schema.insert(
        "$defs".to_owned(),
        Value::Object(generator.take_definitions(true)),
    );
    Some(Value::Object(schema))
}

/// One schema for every kind of rule file: each under its name in `$defs`, and a file is one of them.
///
/// ```
/// let schema = liftsheet::schema::rules();
/// assert!(schema["$defs"]["connections"].is_object());
/// ```
pub fn rules() -> Value {
    let mut generator = generator();
    let named = KINDS
        .iter()
        .map(|kind| (kind.name, (kind.reference)(&mut generator).to_value()));
    let named: Vec<(&str, Value)> = named.collect();
    let mut definitions = generator.take_definitions(true);
    let any: Vec<Value> = named
        .iter()
        .map(|(name, _)| json!({"$ref": format!("#/$defs/{name}")}))
        .collect();
    definitions.extend(
        named
            .into_iter()
            .map(|(name, schema)| (name.to_owned(), schema)),
    );
    let mut schema = head("a rule file of liftsheet, of any kind");
    schema.insert("anyOf".to_owned(), json!(any));
    schema.insert("$defs".to_owned(), Value::Object(definitions));
    Value::Object(schema)
}

fn head(title: &str) -> Map<String, Value> {
    let mut head = Map::new();
    head.insert(
        "$schema".to_owned(),
        json!("https://json-schema.org/draft/2020-12/schema"),
    );
    head.insert("title".to_owned(), json!(title));
    head
}

fn generator() -> SchemaGenerator {
    SchemaSettings::draft2020_12()
        .with_transform(as_the_reader)
        .into_generator()
}

/// Widens a schema to what the reader takes for it.
fn as_the_reader(schema: &mut Schema) {
    transform_subschemas(&mut as_the_reader, schema);
    let has = |key: &str| schema.get(key).is_some();
    let mut types: Vec<Value> = match schema.get("type") {
        Some(Value::Array(types)) => types.clone(),
        Some(one) => vec![one.clone()],
        None => return,
    };
    let is = |name: &str| types.iter().any(|one| one == name);
    let more: &[&str] = if is("string") && !has("enum") && !has("pattern") {
        // A number that stands where a text is expected is that text.
        &["number", "boolean"]
    } else if (is("array") && !has("minItems")) || (is("object") && !has("required")) {
        // A key with nothing behind it is an empty list or map; a list of a fixed length cannot be empty.
        &["null"]
    } else {
        return;
    };
    let missing = more.iter().filter(|name| !is(name));
    let missing: Vec<Value> = missing.map(|name| json!(name)).collect();
    types.extend(missing);
    schema.insert("type".to_owned(), Value::Array(types));
}
