//! The names that an expression or text of a rule may use, and what they stand for.
//!
//! Every name, dotted where it is a field of another, has a number for as long as the program runs: a scope is a short sorted list of
//! those, so that copying one and finding a name in it costs little. What a scope is evaluated for is left to the expressions.

use std::collections::HashMap;
use std::sync::{Arc, LazyLock, PoisonError, RwLock};

use super::term::Term;

static SLOTS: LazyLock<RwLock<HashMap<Box<str>, Slot>>> = LazyLock::new(RwLock::default);

/// The number of a name, and that of the name of which it is a field: its own where it is no field.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Slot {
    name: u32,
    root: u32,
}

impl Slot {
    /// The number of a name, dotted where it is a field: the same whenever it is asked for.
    #[must_use]
    pub fn of(name: &str) -> Self {
        let known = SLOTS.read().unwrap_or_else(PoisonError::into_inner);
        if let Some(slot) = known.get(name) {
            return *slot;
        }
        drop(known);
        let root = name.split_once('.').map(|(root, _)| Self::of(root).name);
        let mut known = SLOTS.write().unwrap_or_else(PoisonError::into_inner);
        let next = u32::try_from(known.len()).unwrap_or(u32::MAX);
        let slot = Self {
            name: next,
            root: root.unwrap_or(next),
        };
        *known.entry(name.into()).or_insert(slot)
    }

    fn field(self, field: &str, root: &str) -> Self {
        let slot = Self::of(&[root, field].join("."));
        debug_assert_eq!(slot.root, self.name);
        slot
    }
}

/// The fields of a name, each with what it stands for.
pub type Fields = Vec<(&'static str, Term)>;

/// The names that an expression or text may use, and what they stand for.
#[derive(Debug, Clone, Default)]
pub struct Scope {
    /// Shared until one of the copies changes, so that evaluating an expression copies no names.
    names: Arc<Vec<(Slot, Term)>>,
}

impl Scope {
    /// Adds a name, dotted where it is a field, or puts another value in its place.
    pub fn set(&mut self, name: &str, term: impl Into<Term>) {
        self.put(Slot::of(name), term.into());
    }

    /// Adds the name of that number, or puts another value in its place.
    pub fn put(&mut self, slot: Slot, term: Term) {
        let names = Arc::make_mut(&mut self.names);
        match names.binary_search_by_key(&slot, |(slot, _)| *slot) {
            Ok(at) => {
                if let Some(found) = names.get_mut(at) {
                    found.1 = term;
                }
            }
            Err(at) => names.insert(at, (slot, term)),
        }
    }

    /// Gives a name these fields and no other: `working.up`.
    pub fn set_fields<F: AsRef<str>, T: Into<Term>>(
        &mut self,
        name: &str,
        fields: impl IntoIterator<Item = (F, T)>,
    ) {
        let root = Slot::of(name);
        self.remove(root);
        for (field, term) in fields {
            self.put(root.field(field.as_ref(), name), term.into());
        }
    }

    /// Takes a name and its fields away.
    fn remove(&mut self, root: Slot) {
        if self.has_under(root) {
            Arc::make_mut(&mut self.names).retain(|(slot, _)| slot.root != root.name);
        }
    }

    /// Takes the names that another scope has under a name, and those alone.
    pub fn take_fields(&mut self, name: &str, other: &Self) {
        let root = Slot::of(name);
        self.remove(root);
        let names = other.names.iter();
        let of_root = names.filter(|(slot, _)| slot.root == root.name).cloned();
        for (slot, term) in of_root {
            self.put(slot, term);
        }
    }

    /// What a name stands for, dotted where it is a field.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<&Term> {
        self.at(Slot::of(name))
    }

    /// What the name of that number stands for.
    #[must_use]
    pub fn at(&self, slot: Slot) -> Option<&Term> {
        let at = self.names.binary_search_by_key(&slot, |(slot, _)| *slot);
        Some(&self.names.get(at.ok()?)?.1)
    }

    /// Whether the name is there, or a field of it.
    #[must_use]
    pub fn has(&self, name: &str) -> bool {
        self.has_under(Slot::of(name))
    }

    /// Whether the name of that number is there, or a field of it.
    pub(super) fn has_under(&self, root: Slot) -> bool {
        self.names.iter().any(|(slot, _)| slot.root == root.name)
    }

    /// Whether a name stands for something itself: `vehicle.track` is the field `track` of `vehicle`.
    #[must_use]
    pub fn knows(&self, name: &str) -> bool {
        self.get(name).is_some()
    }

    /// The number that a name stands for.
    #[must_use]
    pub fn number(&self, name: &str) -> Option<f64> {
        self.get(name)?.number()
    }
}
