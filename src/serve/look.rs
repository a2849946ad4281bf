//! How this server's pages look to whoever asks.
//!
//! Takes a template's name and its values; gives the page, with the person's name on it and what the last form is answered with.

use serde_json::{Value, json};

use super::answer::Answer;
use super::ask::Ask;
use super::house::House;
use super::sessions::locked;
use super::templates::filled;

/// A page of this server for whoever asks.
pub(super) fn page(name: &str, (house, ask): (&House, &Ask), mut values: Value) -> Answer {
    if let Value::Object(fields) = &mut values {
        let person = ask
            .person()
            .map(|id| json!({"id": id, "name": ask.session.name}));
        fields.insert("person".to_owned(), json!(person));
        fields.insert("form".to_owned(), json!(ask.session.form));
        let told = locked(&house.sessions).told(&ask.session.token);
        let wrote = ask.session.wrote.as_ref().filter(|_| !told.is_empty());
        fields.insert("wrote".to_owned(), json!(wrote.map(|(job, _)| job)));
        fields.insert("told".to_owned(), json!(told));
        let faults = fields.get("faults").and_then(Value::as_array);
        let again = faults.filter(|faults| !faults.is_empty());
        let again = again.map(|_| ask.form.shown());
        fields.insert("again".to_owned(), json!(again));
        fields.entry("live").or_insert(Value::Bool(false));
        fields.insert("here".to_owned(), json!(ask.here()));
        fields.entry("job").or_insert(Value::Null);
    }
    Answer::Page(filled(name, &values))
}
