//! How much trying one assessment may do, and what it has found already.
//!
//! The search for what a missing value decides tries hundreds of values. Links in the same situation get the same answer, so it is
//! kept; and a job in which thousands of links all differ ends in bounded time all the same, by leaving the rest of the answers out.

use std::cell::{Cell, RefCell};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use super::case::Case;
use super::inverse::Decision;
use super::missing::Missing;
use super::needs::Need;
use super::values::{Address, Datum, Values};

/// Values that one assessment may try in all: some hundreds for each of two hundred different links, in a few seconds.
const MOST_TRIED: u32 = 100_000;

/// What is still to be tried at most, and what has been found.
#[derive(Debug)]
pub(super) struct Effort {
    left: Cell<u32>,
    found: RefCell<BTreeMap<Situation, Arc<[Decision]>>>,
    shared: RefCell<BTreeMap<Alike, Arc<Missing>>>,
    /// The answer where nothing more can be tried.
    not_worked_out: Arc<[Decision]>,
}

impl Effort {
    /// Enough for any vehicle.
    pub(super) fn full() -> Self {
        Self::of(MOST_TRIED)
    }

    /// None: only verdicts are asked for.
    pub(super) fn none() -> Self {
        Self::of(0)
    }

    fn of(tries: u32) -> Self {
        Self {
            left: Cell::new(tries),
            found: RefCell::default(),
            shared: RefCell::default(),
            not_worked_out: Arc::new([Decision::NotWorkedOut]),
        }
    }

    /// Takes one try of a class with so many checks, which counts once for each twenty of them: no shipped class has more. No where none
    /// is left.
    pub(super) fn spend(&self, checks: usize) -> bool {
        let left = self.left.get();
        let cost = u32::try_from(checks.div_ceil(20)).unwrap_or(u32::MAX);
        self.left.set(left.saturating_sub(cost));
        left > 0
    }

    /// Whether nothing more can be tried.
    pub(super) fn is_spent(&self) -> bool {
        self.left.get() == 0
    }

    /// The answer to a situation that came up before.
    pub(super) fn known(&self, situation: &Situation) -> Option<Arc<[Decision]>> {
        self.found.borrow().get(situation).cloned()
    }

    /// What is said of a value where nothing more can be tried.
    pub(super) fn not_worked_out(&self) -> Arc<[Decision]> {
        Arc::clone(&self.not_worked_out)
    }

    /// What is missing, once for all links of a class that miss it alike: texts of thousands of links would fill the memory.
    pub(super) fn share(&self, class: &str, missing: Missing) -> Arc<Missing> {
        let key = (
            class.to_owned(),
            missing.place.clone(),
            missing.decides.as_ptr(),
        );
        let mut shared = self.shared.borrow_mut();
        Arc::clone(shared.entry(key).or_insert_with(|| Arc::new(missing)))
    }

    /// Keeps an answer.
    pub(super) fn keep(&self, situation: Situation, decisions: Arc<[Decision]>) {
        self.found.borrow_mut().insert(situation, decisions);
    }
}

/// What is alike in two missing things: the file of the class, the place in the job file, and where the decisions are kept.
type Alike = (String, String, *const Decision);

/// All that the verdicts on one span can depend on while one value is missing; facts and settings are those of the whole job.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Situation {
    /// The file of the class: a consequence may have the id of a connection.
    class: String,
    asked: Address,
    missing: BTreeSet<Need>,
    /// Numbers by their bits, so that only what is exactly equal is the same.
    movement: Vec<u64>,
    values: Vec<(Address, Given)>,
}

#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Given {
    Number(u64, &'static str),
    Word(String),
    Flag(bool),
}

impl Situation {
    pub(super) fn new(
        case: &Case<'_>,
        asked: &Address,
        values: &Values,
        missing: &BTreeSet<Need>,
    ) -> Self {
        // Only the value of a number is judged here, not its tolerance.
        let given = |datum: &Datum| match datum {
            Datum::Number(number) => Given::Number(number.value.to_bits(), number.unit.code()),
            Datum::Word(word) => Given::Word(word.clone()),
            Datum::Flag(flag) => Given::Flag(*flag),
        };
        let values = values.data.iter();
        Self {
            class: case.class.file.clone(),
            asked: asked.clone(),
            missing: missing.clone(),
            movement: case.span.movement(),
            values: values
                .map(|(address, datum)| (address.clone(), given(datum)))
                .collect(),
        }
    }
}
