//! The names that an expression or text of a rule may use, and what they stand for.
//!
//! Every name, dotted where it is a field of another, has a number for as long as the program runs: a scope is a short sorted list of
//! those, so that copying one and finding a name in it costs little. What a scope is evaluated for is left to the expressions.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use std::sync::{Arc, LazyLock, PoisonError, RwLock};

use rustc_hash::FxHashMap;

use super::term::Term;
use crate::sorted::Sorted as _;

/// Numbers by name. Names are short and looked up a hundred thousand times; nobody gains by names whose hashes meet.
type Numbers = FxHashMap<Box<str>, u32>;

/// Every name so far.
#[derive(Default)]
struct Known {
    roots: Numbers,
    /// The fields of each, by its number.
    fields: Vec<Numbers>,
    /// The number of the next field.
    next: u32,
}

static KNOWN: LazyLock<RwLock<Known>> = LazyLock::new(RwLock::default);

/// The number of a name, and before it that of the name of which it is a field; 0 for the name itself. Both are one number, since slots are
/// compared more often than anything else.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Slot(u64);

impl Slot {
    fn new(root: u32, field: u32) -> Self {
        Self(u64::from(root) << 32 | u64::from(field))
    }

    /// Whether it is that name or a field of it.
    fn is_under(self, root: Self) -> bool {
        self.0 >> 32 == root.0 >> 32
    }

    /// The number of a name, dotted where it is a field: the same whenever it is asked for.
    pub(crate) fn of(name: &str) -> Self {
        let (root, field) = match name.split_once('.') {
            Some((root, field)) => (root, Some(field)),
            None => (name, None),
        };
        let root = Self::root(root);
        field.map_or(root, |field| root.field(field))
    }

    fn root(name: &str) -> Self {
        let known = KNOWN.read().unwrap_or_else(PoisonError::into_inner);
        if let Some(&root) = known.roots.get(name) {
            return Self::new(root, 0);
        }
        drop(known);
        let mut known = KNOWN.write().unwrap_or_else(PoisonError::into_inner);
        let next = u32::try_from(known.fields.len()).unwrap_or(u32::MAX);
        let root = *known.roots.entry(name.into()).or_insert(next);
        if root == next {
            known.fields.push(Numbers::default());
        }
        Self::new(root, 0)
    }

    fn field(self, field: &str) -> Self {
        let root = u32::try_from(self.0 >> 32).unwrap_or(u32::MAX);
        let of = |known: &Known| known.fields.get(root as usize)?.get(field).copied();
        let known = KNOWN.read().unwrap_or_else(PoisonError::into_inner);
        if let Some(field) = of(&known) {
            return Self::new(root, field);
        }
        drop(known);
        let mut known = KNOWN.write().unwrap_or_else(PoisonError::into_inner);
        known.next += 1;
        let next = known.next;
        let fields = known.fields.get_mut(root as usize);
        let field = fields.map_or(next, |fields| *fields.entry(field.into()).or_insert(next));
        Self::new(root, field)
    }

    /// Fields of the name by their numbers, sorted.
    pub(in crate::rules) fn fields<F: AsRef<str>, T: Into<Term>>(
        self,
        fields: impl IntoIterator<Item = (F, T)>,
    ) -> Vec<(Self, Term)> {
        let fields = fields.into_iter();
        let fields = fields.map(|(field, term)| (self.field(field.as_ref()), term.into()));
        let mut fields: Vec<(Self, Term)> = fields.collect();
        fields.sort_by_key(|(slot, _)| *slot);
        // Of one that is given twice, the last counts.
        fields.dedup_by(|later, kept| {
            let same = later.0 == kept.0;
            if same {
                std::mem::swap(later, kept);
            }
            same
        });
        fields
    }
}

/// Names for which there is room at first: as many as a link of a class with a few measurements adds.
const ROOM: usize = 24;

/// The fields of a name, each with what it stands for.
pub(crate) type NameFields = Vec<(&'static str, Term)>;

/// The names that an expression or text may use, and what they stand for.
#[derive(Debug, Clone, Default)]
pub struct Scope {
    /// What all copies begin with, and none changes.
    ground: Arc<Vec<(Slot, Term)>>,
    /// What hides that; shared until one of the copies changes, so that evaluating an expression copies no names.
    names: Arc<Vec<(Slot, Term)>>,
}

impl Scope {
    /// The same names as the ground of copies, which each hold only what they add.
    pub(crate) fn as_ground(&self) -> Self {
        let mut all = Self {
            ground: Arc::default(),
            names: Arc::clone(&self.ground),
        };
        for (slot, term) in self.names.iter() {
            all.put(*slot, term.clone());
        }
        Self {
            ground: all.names,
            names: Arc::default(),
        }
    }

    /// Copies of both: these names, and those of the ground that they do not hide.
    pub(crate) fn over(&self, ground: &Self) -> Self {
        let mut names = Vec::with_capacity(self.names.len() + ROOM);
        names.extend_from_slice(&self.names);
        Self {
            ground: if ground.names.is_empty() {
                ground.ground.clone()
            } else {
                ground.as_ground().ground
            },
            names: Arc::new(names),
        }
    }

    /// Adds a name, dotted where it is a field, or puts another value in its place.
    pub fn set(&mut self, name: &str, term: impl Into<Term>) {
        self.put(Slot::of(name), term.into());
    }

    /// Adds the name of that number, or puts another value in its place.
    pub(crate) fn put(&mut self, slot: Slot, term: Term) {
        let names = Arc::make_mut(&mut self.names);
        if names.capacity() == 0 {
            names.reserve(ROOM);
        }
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
    pub(crate) fn set_fields<F: AsRef<str>, T: Into<Term>>(
        &mut self,
        name: &str,
        fields: impl IntoIterator<Item = (F, T)>,
    ) {
        let root = Slot::of(name);
        self.replace(root, root.fields(fields));
    }

    /// Takes the names that another scope has under a name, and those alone.
    pub(crate) fn take_fields(&mut self, name: &str, other: &Self) {
        let root = Slot::of(name);
        let of = |names: &[(Slot, Term)]| names.get(under(names, root)).map(<[_]>::to_vec);
        let fields = [of(&other.ground), of(&other.names)].into_iter().flatten();
        let fields: BTreeMap<Slot, Term> = fields.flatten().sorted_map();
        self.replace(root, fields.into_iter().collect());
    }

    /// Leaves these names alone.
    pub(crate) fn keep(&mut self, names: &BTreeSet<Slot>) {
        for all in [&mut self.ground, &mut self.names] {
            let kept = all.iter().filter(|(slot, _)| names.contains(slot));
            *all = Arc::new(kept.cloned().collect());
        }
    }

    /// Puts sorted names in the place of all that stand under one.
    pub(in crate::rules) fn replace(&mut self, root: Slot, fields: Vec<(Slot, Term)>) {
        if !under(&self.ground, root).is_empty() {
            // Nothing hides a name of the ground by not being there.
            *self = Self {
                names: self.as_ground().ground,
                ground: Arc::default(),
            };
        }
        let range = under(&self.names, root);
        if !(range.is_empty() && fields.is_empty()) {
            Arc::make_mut(&mut self.names).splice(range, fields);
        }
    }

    /// What a name stands for, dotted where it is a field.
    pub(crate) fn get(&self, name: &str) -> Option<&Term> {
        self.at(Slot::of(name))
    }

    /// What the name of that number stands for.
    pub(crate) fn at(&self, slot: Slot) -> Option<&Term> {
        [&self.names, &self.ground].into_iter().find_map(|names| {
            let at = names.binary_search_by_key(&slot, |(slot, _)| *slot);
            Some(&names.get(at.ok()?)?.1)
        })
    }

    /// Whether the name is there, or a field of it.
    pub(crate) fn has(&self, name: &str) -> bool {
        self.has_under(Slot::of(name))
    }

    /// Whether the name of that number is there, or a field of it.
    pub(crate) fn has_under(&self, root: Slot) -> bool {
        let all = [&self.names, &self.ground];
        all.iter().any(|names| !under(names, root).is_empty())
    }

    /// Whether a name stands for something itself: `vehicle.track` is the field `track` of `vehicle`.
    pub(crate) fn knows(&self, name: &str) -> bool {
        self.get(name).is_some()
    }

    /// The number that a name stands for.
    pub(crate) fn number(&self, name: &str) -> Option<f64> {
        self.get(name)?.number()
    }
}

/// Where the name of that number stands among sorted names, and its fields.
fn under(names: &[(Slot, Term)], root: Slot) -> Range<usize> {
    let first = names.partition_point(|(slot, _)| slot.0 >> 32 < root.0 >> 32);
    let fields = names.get(first..).unwrap_or_default().iter();
    first..first + fields.take_while(|(slot, _)| slot.is_under(root)).count()
}
