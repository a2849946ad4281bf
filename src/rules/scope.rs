//! The names that an expression or text of a rule may use, and what they stand for.
//!
//! Takes names and values; gives them to the expression engine.

use std::collections::BTreeMap;
use std::sync::Arc;

use minijinja::Value;
use minijinja::value::Object;

/// The names that an expression or text may use, and what they stand for.
#[derive(Debug, Clone, Default)]
pub struct Scope {
    /// Shared until one of the copies changes, so that evaluating an expression copies no names.
    names: Arc<Names>,
}

#[derive(Debug, Clone, Default)]
struct Names(BTreeMap<Arc<str>, Value>);

impl Object for Names {
    fn get_value(self: &Arc<Self>, name: &Value) -> Option<Value> {
        self.0.get(name.as_str()?).cloned()
    }
}

impl Scope {
    fn own(&mut self) -> &mut BTreeMap<Arc<str>, Value> {
        &mut Arc::make_mut(&mut self.names).0
    }

    /// Adds a name, or replaces it.
    pub fn set(&mut self, name: impl Into<Arc<str>>, value: impl Into<Value>) {
        self.own().insert(name.into(), value.into());
    }

    /// Adds a name with fields of its own: `working.up`.
    pub fn set_fields<V: Into<Value>>(
        &mut self,
        name: impl Into<Arc<str>>,
        fields: impl IntoIterator<Item = (&'static str, V)>,
    ) {
        let fields = fields
            .into_iter()
            .map(|(field, value)| (field, value.into()));
        let fields: BTreeMap<&str, Value> = fields.collect();
        self.set(name, Value::from(fields));
    }

    /// Puts a number in the place of a name, or of one field of it, that is there.
    pub(super) fn set_dotted(&mut self, dotted: &str, number: f64) {
        let Some((name, field)) = dotted.split_once('.') else {
            return self.set(dotted, number);
        };
        let Some(value) = self.get(name) else { return };
        let fields = value.try_iter().into_iter().flatten();
        let fields = fields.filter_map(|key| Some((key.to_string(), value.get_item(&key).ok()?)));
        let mut fields: BTreeMap<String, Value> = fields.collect();
        fields.insert(field.to_owned(), Value::from(number));
        self.set(name, Value::from(fields));
    }

    /// Takes a name away.
    pub fn remove(&mut self, name: &str) {
        self.own().remove(name);
    }

    /// What a name stands for.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<Value> {
        self.names.0.get(name).cloned()
    }

    /// Whether the name is there.
    #[must_use]
    pub fn has(&self, name: &str) -> bool {
        self.names.0.contains_key(name)
    }

    /// Whether the name is there and has the field.
    #[must_use]
    pub fn has_field(&self, name: &str, field: &str) -> bool {
        let found = self.names.0.get(name).map(|value| value.get_attr(field));
        matches!(found, Some(Ok(value)) if !value.is_undefined())
    }

    /// Whether a dotted name stands for something: `vehicle.track` is the field `track` of `vehicle`.
    #[must_use]
    pub fn knows(&self, dotted: &str) -> bool {
        match dotted.split_once('.') {
            Some((name, field)) => self.has_field(name, field),
            None => self.has(dotted),
        }
    }

    /// The number that a field of a name stands for.
    #[must_use]
    pub fn number(&self, name: &str, field: &str) -> Option<f64> {
        let value = self.names.0.get(name)?.get_attr(field).ok()?;
        f64::try_from(value).ok()
    }

    /// The names with another scope's laid over them.
    #[must_use]
    pub fn with(mut self, other: &Self) -> Self {
        let names = other.names.0.iter();
        self.own()
            .extend(names.map(|(name, value)| (Arc::clone(name), value.clone())));
        self
    }

    /// The names as the expression engine reads them.
    pub(super) fn value(&self) -> Value {
        Value::from_dyn_object(Arc::clone(&self.names))
    }
}
