//! The names that an expression or text of a rule may use, and what they stand for.
//!
//! Every name, dotted where it is a field of another, has a number for as long as the program runs: a scope is a short sorted list of
//! those, so that copying one and finding a name in it costs little. What a scope is evaluated for is left to the expressions.

use std::ops::Range;
use std::sync::{Arc, LazyLock, PoisonError, RwLock};

use rustc_hash::FxHashMap;

use super::term::{Meaning, Reading, Term};

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

    /// The number of a field of the name.
    pub(in crate::rules) fn field(self, field: &str) -> Self {
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
}

/// Names for which there is room at first: as many as a link of a class with a few measurements adds.
const ROOM: usize = 24;

/// Names by their numbers, sorted by those.
type Names = Vec<(Slot, Meaning)>;

/// The names that an expression or text may use, and what they stand for.
#[derive(Debug, Clone, Default)]
pub struct Scope {
    /// What all copies begin with, and none changes.
    ground: Arc<Names>,
    /// What hides that; shared until one of the copies changes, so that evaluating an expression copies no names.
    names: Arc<Names>,
    /// What checks gave, apart, so that making a check copies none of the others either.
    found: Arc<Names>,
}

impl Scope {
    /// The same names as the ground of copies, which each hold only what they add.
    pub(crate) fn as_ground(&self) -> Self {
        let mut all = Self {
            ground: Arc::default(),
            names: self.ground.clone(),
            found: self.found.clone(),
        };
        for (slot, meaning) in self.names.iter() {
            all.mean(*slot, meaning.clone());
        }
        std::mem::swap(&mut all.ground, &mut all.names);
        all
    }

    /// These names, and those of the ground that they do not hide.
    pub(crate) fn over(&self, ground: &Self) -> Self {
        Self {
            ground: ground.as_ground().ground,
            ..self.clone()
        }
    }

    /// Adds a name, dotted where it is a field, or puts another value in its place.
    pub fn set(&mut self, name: &str, term: impl Into<Term>) {
        self.put(Slot::of(name), term);
    }

    /// The same by the number of the name.
    pub(crate) fn put(&mut self, slot: Slot, term: impl Into<Term>) {
        self.mean(slot, Meaning::Alike(term.into()));
    }

    /// Adds the name of that number, or puts another meaning in its place.
    pub(crate) fn mean(&mut self, slot: Slot, meaning: Meaning) {
        let names = own(&mut self.names);
        match names.binary_search_by_key(&slot, |(slot, _)| *slot) {
            Ok(at) => {
                if let Some(found) = names.get_mut(at) {
                    found.1 = meaning;
                }
            }
            Err(at) => names.insert(at, (slot, meaning)),
        }
    }

    /// Gives a name these fields and no other: `working.up`.
    pub(crate) fn set_fields<F: AsRef<str>, T: Into<Term>>(
        &mut self,
        name: &str,
        fields: impl IntoIterator<Item = (F, T)>,
    ) {
        let root = Slot::of(name);
        let fields = fields.into_iter();
        let fields = fields.map(|(field, term)| {
            let slot = root.field(field.as_ref());
            (slot, Meaning::Alike(term.into()))
        });
        self.replace(root, fields.collect());
    }

    /// Takes what a check gave from another scope.
    pub(crate) fn take_found(&mut self, check: &str, other: &Self) {
        let root = Slot::of(check);
        let found = other.found.get(under(&other.found, root));
        self.replace_found(root, found.unwrap_or_default().to_vec());
    }

    /// Puts names in the place of all that stand under one; of one that is given twice, the last counts.
    pub(crate) fn replace(&mut self, root: Slot, fields: Names) {
        if !under(&self.ground, root).is_empty() {
            // Nothing hides a name of the ground by not being there.
            *self = self.as_ground();
            std::mem::swap(&mut self.ground, &mut self.names);
        }
        put_under(&mut self.names, root, fields);
    }

    /// The same with what a check gives.
    pub(in crate::rules) fn replace_found(&mut self, root: Slot, fields: Names) {
        put_under(&mut self.found, root, fields);
    }

    /// Adds to a number that a check gave.
    pub(crate) fn add_found(&mut self, slot: Slot, more: f64) {
        let at = self.found.binary_search_by_key(&slot, |(slot, _)| *slot);
        let found = at.ok().filter(|_| more != 0.0);
        if let Some((_, Meaning::Alike(Term::Number(number)))) =
            found.and_then(|at| own(&mut self.found).get_mut(at))
        {
            *number += more;
        }
    }

    fn layers(&self) -> [&Arc<Names>; 3] {
        [&self.found, &self.names, &self.ground]
    }

    fn find(&self, slot: Slot) -> Option<&Meaning> {
        self.layers().into_iter().find_map(|names| {
            let at = names.binary_search_by_key(&slot, |(slot, _)| *slot);
            Some(&names.get(at.ok()?)?.1)
        })
    }

    /// What the name of that number stands for.
    pub(crate) fn at(&self, slot: Slot, reading: Reading) -> Option<Term> {
        self.find(slot)?.read(reading)
    }

    /// Whether the names of all these numbers stand for something, in one reading or the other: then nothing that reads them is missing.
    pub(crate) fn have_all<'s>(&self, slots: impl IntoIterator<Item = &'s Slot>) -> bool {
        let mut slots = slots.into_iter();
        slots.all(|slot| self.find(*slot).is_some())
    }

    /// Whether the name of that number is there, or a field of it.
    pub(crate) fn has_under(&self, root: Slot) -> bool {
        let mut all = self.layers().into_iter();
        all.any(|names| !under(names, root).is_empty())
    }

    /// Whether a name stands for something itself: `vehicle.track` is the field `track` of `vehicle`.
    pub(crate) fn knows(&self, name: &str) -> bool {
        self.at(Slot::of(name), Reading::Feed).is_some()
    }

    pub(crate) fn number(&self, name: &str) -> Option<f64> {
        self.at(Slot::of(name), Reading::Feed)?.number()
    }
}

/// The names, copied where another scope shares them.
fn own(names: &mut Arc<Names>) -> &mut Names {
    let room = names.capacity() > names.len();
    if !room || Arc::get_mut(names).is_none() {
        let mut own = Vec::with_capacity(names.len() + ROOM);
        own.extend_from_slice(names);
        *names = Arc::new(own);
    }
    Arc::make_mut(names)
}

fn put_under(names: &mut Arc<Names>, root: Slot, mut fields: Names) {
    let range = under(names, root);
    if range.is_empty() && fields.is_empty() {
        return;
    }
    fields.sort_by_key(|(slot, _)| *slot);
    fields.dedup_by(|later, kept| {
        let same = later.0 == kept.0;
        if same {
            std::mem::swap(later, kept);
        }
        same
    });
    own(names).splice(range, fields);
}

/// Where the name of that number stands among sorted names, and its fields.
fn under(names: &Names, root: Slot) -> Range<usize> {
    let first = names.partition_point(|(slot, _)| slot.0 >> 32 < root.0 >> 32);
    let fields = names.get(first..).unwrap_or_default().iter();
    first..first + fields.take_while(|(slot, _)| slot.is_under(root)).count()
}
