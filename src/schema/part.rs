//! The schema of a class that shares with others. Takes the schemas of what a whole class is made of; gives the same in which nothing must
//! be there, since it may be taken over, and what only such a class has.

use schemars::{Schema, SchemaGenerator};
use serde_json::{Map, Value, json};

use crate::rules;

/// What is added to a type's name.
const SUFFIX: &str = "InPart";

/// A reference to the schema of a class in part; what it is made of is added to the generator's definitions.
pub(super) fn of_class(generator: &mut SchemaGenerator) -> Schema {
    let name = "ClassInPart";
    generator.subschema_for::<rules::written::Class>();
    if !generator.definitions().contains_key(name) {
        let mut parts = Map::new();
        let definitions = generator.definitions().clone();
        add("Class", &definitions, &mut parts);
        more(&mut parts);
        generator.definitions_mut().extend(parts);
    }
    Schema::new_ref(format!("#/$defs/{name}"))
}

/// Adds the loosened definition of a type, and of all that it is made of.
fn add(name: &str, definitions: &Map<String, Value>, parts: &mut Map<String, Value>) {
    let own = format!("{name}{SUFFIX}");
    let Some(definition) = definitions.get(name).filter(|_| !parts.contains_key(&own)) else {
        return;
    };
    let mut named = Vec::new();
    let mut part = definition.clone();
    loosen(&mut part, &mut named);
    parts.insert(own, part);
    for name in named {
        add(&name, definitions, parts);
    }
}

/// Takes away what must be there, and turns references to those of parts; gives the names of the types that it refers to.
fn loosen(schema: &mut Value, named: &mut Vec<String>) {
    match schema {
        Value::Object(fields) => {
            fields.remove("required");
            if let Some(Value::String(reference)) = fields.get_mut("$ref")
                && let Some(name) = reference.strip_prefix("#/$defs/")
            {
                let name = name.to_owned();
                reference.push_str(SUFFIX);
                named.push(name);
            }
            if let Some(Value::Object(properties)) = fields.get_mut("properties") {
                properties.values_mut().for_each(taken_over);
            }
            fields.values_mut().for_each(|field| loosen(field, named));
        }
        Value::Array(items) => items.iter_mut().for_each(|item| loosen(item, named)),
        _ => {}
    }
}

/// A property as it may be taken over: with nothing behind its key what is taken over is taken away, and where one of some words is
/// expected a class may give its own, by a name in angle brackets.
fn taken_over(property: &mut Value) {
    let mut taken = property.take();
    let mut described = Value::Null;
    let mut may = vec![json!({"type": "null"})];
    if let Value::Object(taken) = &mut taken {
        described = taken.remove("description").unwrap_or_default();
        if taken.contains_key("enum") {
            may.push(json!({"type": "string", "pattern": "^<[a-z_]+>$"}));
        }
    }
    may.insert(0, taken);
    *property = json!({"description": described, "anyOf": may});
}

/// What only a class in part has.
fn more(parts: &mut Map<String, Value>) {
    let text = json!({"type": ["string", "number", "boolean"]});
    let task = json!({"description": "How it is checked; `none` where the class's check is not for this branch.", "anyOf": [{"$ref": "#/$defs/TaskInPart"}, {"type": ["string", "null"], "enum": ["none", null]}]});
    let branch = json!({"anyOf": [{"$ref": "#/$defs/VerdictRuleInPart"}, {"type": "null"}]});
    let class = json!({
        "like": {"description": "What it takes over: names of files of connections/like/.", "anyOf": [text, {"type": "array", "items": text}]},
        "words": {"description": "Texts by name, which stand wherever a text has the name in angle brackets.", "type": ["object", "null"], "additionalProperties": text},
        "branches": {"description": "Changes to branches by their names.", "type": ["object", "null"], "additionalProperties": branch},
        "check": {"description": "The check of every branch that has none of its own.", "$ref": "#/$defs/TaskInPart"},
    });
    let verdict = json!({
        "as": {"description": "The branch's name, by which a class that takes it over changes it.", "type": "string"},
        "before": {"description": "For a new branch: the name of the one that it stands before.", "type": "string"},
        "check": task,
    });
    for (name, added) in [("ClassInPart", class), ("VerdictRuleInPart", verdict)] {
        let properties = parts
            .get_mut(name)
            .and_then(|part| part.get_mut("properties"));
        if let (Some(Value::Object(properties)), Value::Object(added)) = (properties, added) {
            properties.extend(added);
        }
    }
    // A file that is only shared has neither a title nor a part of the vehicle of its own.
    let own = json!({"anyOf": [{"required": ["title"]}, {"required": ["area"]}]});
    let shared = json!({"required": ["checks"], "not": own});
    let helped = rules::SHARING_KEYS.iter();
    let helped = helped.map(|key| json!({"required": [key]}));
    let helped: Vec<Value> = helped.chain([shared]).collect();
    if let Some(Value::Object(class)) = parts.get_mut("ClassInPart") {
        class.insert("anyOf".to_owned(), json!(helped));
    }
}
