//! A class at one point, moved from there to the next: only what differs is given anew.
//!
//! Takes a [`Space`] and points of it; gives the [`Trial`] that `assess` judges there. Which points these are is left to the callers.

use std::collections::BTreeSet;

use super::picks::{Dimension, Pick};
use super::point::Space;
use crate::assess::{Address, Datum, Trial};
use crate::cut::Span;
use crate::quantity::{Quantity, Unit};
use crate::rules::expression::Term;
use crate::rules::{Answer, Measurement};
use crate::sorted::Sorted as _;

/// A class at a point.
pub(super) struct Moving<'s, 'a> {
    space: &'s Space<'a>,
    /// The point, a pick of each dimension; none before the first.
    picks: Vec<Pick>,
    pub(super) trial: Trial<'a>,
    unasked: BTreeSet<Address>,
}

impl<'s, 'a> Moving<'s, 'a> {
    pub(super) fn new(space: &'s Space<'a>) -> Self {
        Self {
            space,
            picks: Vec::new(),
            trial: space.begun(),
            unasked: BTreeSet::new(),
        }
    }

    /// Moves it to a point.
    pub(super) fn to(&mut self, picks: &[Pick]) {
        if self.picks == picks {
            return;
        }
        let dimensions = &self.space.dimensions;
        let lost = |((dimension, old), new): ((&Dimension<'_>, &Pick), &Pick)| {
            dimension.fact.is_some() && old != new && *new == Pick::None
        };
        if dimensions.iter().zip(&self.picks).zip(picks).any(lost) {
            // A name that nobody gives is not there.
            *self = Self::new(self.space);
        }
        let rise = picks.last().and_then(Pick::number).unwrap_or(0.0);
        let raised = self.picks.last() != picks.last();
        let mut pulled = raised;
        for (place, (dimension, pick)) in dimensions.iter().zip(picks).enumerate() {
            if self.picks.get(place) != Some(pick) {
                pulled |= dimension.pulls();
                self.give(dimension, pick, rise);
            } else if raised && dimension.name.starts_with("lift.") {
                self.give(dimension, pick, rise);
            }
        }
        if pulled {
            self.trial.pull(self.span(picks, rise));
        }
        self.unasked = self.trial.ask();
        picks.clone_into(&mut self.picks);
    }

    /// The measurements that are not given.
    pub(super) fn absent(&self) -> BTreeSet<String> {
        let all = self.space.dimensions.iter().zip(&self.picks);
        let absent =
            all.filter(|(dimension, pick)| dimension.measured.is_some() && **pick == Pick::None);
        let absent = absent.map(|(dimension, _)| dimension.name.clone());
        let unasked = self.unasked.iter().map(|address| match address {
            Address::One(name) | Address::Each(.., name) => name.clone(),
        });
        absent.chain(unasked).sorted_set()
    }

    fn give(&mut self, dimension: &Dimension<'_>, pick: &Pick, rise: f64) {
        if let Some((measurement, addresses)) = &dimension.measured {
            for address in addresses {
                self.trial.give(address, datum(measurement, pick));
            }
        } else if let Some((slot, given)) = dimension.fact
            && *pick != Pick::None
        {
            let fact = of_fact(&dimension.name, pick, rise);
            self.trial.fact(slot, &fact);
            if let Some(given) = given {
                self.trial.fact(given, &Term::Flag(true));
            }
        }
    }

    fn span(&self, picks: &[Pick], rise: f64) -> Span {
        let of = |name: &str| {
            let mut dimensions = self.space.dimensions.iter();
            let place = dimensions.position(|dimension| dimension.name == name)?;
            picks.get(place)?.number()
        };
        let up = of("working.up").map_or(rise, |more| rise + more);
        let sideways = of("working.sideways").unwrap_or(0.0);
        Span::moved(rise, of("travel").unwrap_or(0.0), vec![(sideways, up)])
    }
}

impl Dimension<'_> {
    /// Whether it says how far the fixings move apart.
    fn pulls(&self) -> bool {
        let measured = self.measured.as_ref();
        matches!(
            self.name.as_str(),
            "travel" | "working.up" | "working.sideways"
        ) || measured.is_some_and(|(measurement, _)| measurement.role.is_some())
    }
}

/// A measurement as it was picked; none where it is not given.
fn datum(measurement: &Measurement, pick: &Pick) -> Option<Datum> {
    match (pick, &measurement.kind) {
        (Pick::Number(number), Answer::Number { unit, .. }) => {
            Some(Datum::Number(Quantity::exact(*number, *unit)))
        }
        (Pick::Number(number), _) => Some(Datum::Number(Quantity::exact(*number, Unit::One))),
        (Pick::Flag(flag), _) => Some(Datum::Flag(*flag)),
        (Pick::Word(word), _) => Some(Datum::Word(word.to_string())),
        (Pick::None | Pick::List(_), _) => None,
    }
}

/// A fact at a height: where there is a lift, its blocks are as high as it.
fn of_fact(name: &str, pick: &Pick, rise: f64) -> Term {
    if matches!(name, "lift.spacer" | "lift.highest") && rise > 0.0 {
        return Term::Number(rise);
    }
    pick.clone()
}
