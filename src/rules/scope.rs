//! The names that an expression or text of a rule may use, and what they stand for.
//!
//! Takes names and values; gives them to the expression engine. Thousands of links share the facts of one job: a scope that is copied
//! and added to keeps what it was copied from as a layer beneath, so that a copy costs only what is new in it.

use std::collections::BTreeMap;
use std::sync::Arc;

use minijinja::Value;
use minijinja::value::Object;

/// Layers on one another, at most: a job's facts, a class's settings, a link's values, a check's results.
const MOST_LAYERS: usize = 4;

/// The names that an expression or text may use, and what they stand for.
#[derive(Debug, Clone, Default)]
pub struct Scope {
    /// Shared, so that evaluating an expression copies no names.
    top: Arc<Layer>,
}

#[derive(Debug, Clone, Default)]
struct Layer {
    own: BTreeMap<Arc<str>, Value>,
    beneath: Option<Arc<Layer>>,
}

impl Layer {
    /// This layer and those beneath it, from the top.
    fn all(&self) -> impl Iterator<Item = &Self> {
        std::iter::successors(Some(self), |layer| layer.beneath.as_deref())
    }

    fn find(&self, name: &str) -> Option<&Value> {
        self.all().find_map(|layer| layer.own.get(name))
    }
}

impl Object for Layer {
    fn get_value(self: &Arc<Self>, name: &Value) -> Option<Value> {
        self.find(name.as_str()?).cloned()
    }
}

impl Scope {
    /// The names that can be added to: a layer of its own, on what others share.
    fn own(&mut self) -> &mut BTreeMap<Arc<str>, Value> {
        let shared = Arc::get_mut(&mut self.top).is_none();
        if shared && self.top.all().count() < MOST_LAYERS {
            self.top = Arc::new(Layer {
                own: BTreeMap::new(),
                beneath: Some(Arc::clone(&self.top)),
            });
        }
        &mut Arc::make_mut(&mut self.top).own
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
        let mut own = BTreeMap::new();
        for layer in self.top.all() {
            for (other, value) in &layer.own {
                if &**other != name {
                    own.entry(Arc::clone(other))
                        .or_insert_with(|| value.clone());
                }
            }
        }
        self.top = Arc::new(Layer { own, beneath: None });
    }

    /// What a name stands for.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<Value> {
        self.top.find(name).cloned()
    }

    /// Whether the name is there.
    #[must_use]
    pub fn has(&self, name: &str) -> bool {
        self.top.find(name).is_some()
    }

    /// Whether the name is there and has the field.
    #[must_use]
    pub fn has_field(&self, name: &str, field: &str) -> bool {
        let found = self.top.find(name).map(|value| value.get_attr(field));
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
        let value = self.top.find(name)?.get_attr(field).ok()?;
        f64::try_from(value).ok()
    }

    /// The names with another scope's laid over them.
    #[must_use]
    pub fn with(mut self, other: &Self) -> Self {
        let layers: Vec<&Layer> = other.top.all().collect();
        for layer in layers.into_iter().rev() {
            let names = layer.own.iter();
            let names = names.map(|(name, value)| (Arc::clone(name), value.clone()));
            self.own().extend(names);
        }
        self
    }

    /// The names as the expression engine reads them.
    pub(super) fn value(&self) -> Value {
        Value::from_dyn_object(Arc::clone(&self.top))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn number(scope: &Scope, name: &str) -> Option<f64> {
        let value = scope.value().get_attr(name).ok()?;
        f64::try_from(value).ok()
    }

    #[test]
    fn a_copy_adds_and_hides_names_without_changing_what_it_was_copied_from() {
        let mut facts = Scope::default();
        facts.set("a", 1);
        facts.set("b", 2);
        let mut copies = vec![facts.clone()];
        for number in 0..5 {
            let mut copy = copies.last().unwrap().clone();
            copy.set("b", 10 + number);
            copies.push(copy);
        }
        assert_eq!(number(&facts, "b"), Some(2.0));
        for (copy, expected) in copies.iter().skip(1).zip([10.0, 11.0, 12.0, 13.0, 14.0]) {
            assert_eq!(
                (number(copy, "a"), number(copy, "b")),
                (Some(1.0), Some(expected))
            );
            assert!(copy.top.all().count() <= MOST_LAYERS);
        }
    }

    #[test]
    fn a_name_taken_away_is_gone_from_every_layer_and_from_no_other_scope() {
        let mut facts = Scope::default();
        facts.set("a", 1);
        let mut copy = facts.clone();
        copy.set("a", 2);
        copy.set("b", 3);
        copy.remove("a");
        assert!(!copy.has("a") && copy.has("b") && facts.has("a"));
        let laid = facts.clone().with(&copy);
        assert_eq!(
            (number(&laid, "a"), number(&laid, "b")),
            (Some(1.0), Some(3.0))
        );
    }
}
