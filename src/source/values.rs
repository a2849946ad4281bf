//! Values that stand in no text of their own → the tree that they would be read from. Takes JSON values; gives a [`Locator`] without
//! bytes. How deep they are nested was looked at when they were read from their texts.

use serde_json::Value;

use super::locator::{Id, Key, Kind, Locator, ROOT, Scalar, Span};

pub(super) fn locator(values: &Value) -> Locator {
    let mut locator = Locator::default();
    add(&mut locator, values, (ROOT, 0), None);
    locator
}

fn add(locator: &mut Locator, value: &Value, place: (Id, u32), key: Option<&String>) {
    let key = key.map(|key| Key {
        scalar: Scalar::new(key.clone(), true),
        span: Span::default(),
    });
    let kind = match value {
        Value::Array(_) => Kind::List,
        Value::Object(_) => Kind::Map,
        Value::String(text) => Kind::Scalar(Scalar::new(text.clone(), false)),
        one => Kind::Scalar(Scalar::new(one.to_string(), true)),
    };
    let id = locator.add(kind, place, key);
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
    locator.close(id);
}
