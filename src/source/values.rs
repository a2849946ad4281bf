//! Values that stand in no text of their own → the tree that they would be read from. Takes JSON values; gives a [`Locator`] without
//! bytes. How deep they are nested was looked at when they were read from their texts.

use std::sync::Arc;

use serde_json::Value;

use super::locator::{Id, Key, Kind, Locator, Node, ROOT, Scalar, Span};

pub(super) fn locator(values: &Value) -> Locator {
    let mut locator = Locator::default();
    add(&mut locator, values, (ROOT, 0), None);
    locator
}

fn add(locator: &mut Locator, value: &Value, (parent, slot): (Id, u32), key: Option<&str>) {
    // No text has more values than fit.
    let id = Id::try_from(locator.nodes.len()).unwrap_or(Id::MAX);
    let key = key.map(|key| Key {
        scalar: scalar(key, true),
        span: Span::default(),
    });
    locator.nodes.push(Node {
        parent,
        end: id + 1,
        slot,
        dropped: false,
        span: Span::default(),
        key,
        tag: None,
        kind: kind(value),
    });
    match value {
        Value::Array(items) => {
            for (slot, item) in (0..).zip(items) {
                add(locator, item, (id, slot), None);
            }
        }
        Value::Object(fields) => {
            for (slot, (key, field)) in (0..).zip(fields) {
                add(locator, field, (id, slot), Some(key));
            }
        }
        _ => {}
    }
    let end = Id::try_from(locator.nodes.len()).unwrap_or(Id::MAX);
    if let Some(node) = locator.nodes.get_mut(id as usize) {
        node.end = end;
    }
}

fn kind(value: &Value) -> Kind {
    match value {
        Value::Array(_) => Kind::List,
        Value::Object(_) => Kind::Map,
        Value::String(text) => Kind::Scalar(scalar(text, false)),
        one => Kind::Scalar(scalar(&one.to_string(), true)),
    }
}

fn scalar(text: &str, plain: bool) -> Scalar {
    Scalar {
        text: Arc::from(text),
        plain,
    }
}
