//! What a measurement, a fact or a movement may be at the points that are tried.
//!
//! Takes their descriptions; gives lists of [`Pick`]s. Putting picks together to points is left to [`super::point`].

use super::declared::plausible;
use super::subject::Subject;
use crate::quantity::Unit;
use crate::rules::expression::{Slot, Term};
use crate::rules::{Address, Answer, Measurement, facts};

/// What one dimension is at one point: a number, a yes or no, a word; nothing where it is not given.
pub(super) type Pick = Term;

/// Something that varies: a measurement, a fact, a working movement.
#[derive(Debug)]
pub(super) struct Dimension<'a> {
    pub(super) name: String,
    /// What it may be, numbers in order; never empty.
    pub(super) picks: Vec<Pick>,
    /// The measurement, and where it stands: of a list, under each of its keys.
    pub(super) measured: Option<(&'a Measurement, Vec<Address>)>,
    /// The number of its name where it is a fact of the job, and that of whether it is given where it may be left out.
    pub(super) fact: Option<(Slot, Option<Slot>)>,
}

/// Readings of threads and tyres that occur, for designations: (calculation, words).
const DESIGNATIONS: [(&str, &[&str]); 2] = [
    ("tyre", &["235/75R15", "265/70R16", "31x10.5R15"]),
    ("", &["M12x1.25", "M10", "M8", "M14x1.5", "1/2-20 UNF"]),
];

/// Heights that are looked at, mm: every 5 mm, and the least that is a lift at all.
pub(super) fn heights() -> impl Iterator<Item = f64> {
    std::iter::once(1.0).chain((1..=30_u32).map(|step| f64::from(5 * step)))
}

/// A level and its close neighbours.
pub(super) fn beside(level: f64) -> [f64; 3] {
    [level - 0.01, level, level + 0.01]
}

impl Dimension<'_> {
    /// What it may be, from both ends inward: most branches are reached at an end.
    pub(super) fn inward(&self) -> impl Iterator<Item = &Pick> {
        let last = self.picks.len().saturating_sub(1);
        let places = (0..=last).map(move |turn| {
            if turn % 2 == 0 {
                turn / 2
            } else {
                last - turn / 2
            }
        });
        places.filter_map(|place| self.picks.get(place))
    }

    /// The least and most number it may be; an empty range where it is no number.
    pub(super) fn ends(&self) -> (f64, f64) {
        let numbers = self.picks.iter().filter_map(Pick::number);
        numbers.fold(
            (f64::INFINITY, f64::NEG_INFINITY),
            |(least, most), number| (least.min(number), most.max(number)),
        )
    }

    /// Adds levels within the range, and their close neighbours.
    pub(super) fn add_levels(&mut self, levels: &[f64]) {
        let (least, most) = self.ends();
        let near = levels.iter().flat_map(|level| beside(*level));
        let near = near.filter(|level| (least..=most).contains(level));
        self.picks.extend(near.map(Pick::Number));
        self.picks.sort_by(|a, b| match (a.number(), b.number()) {
            (Some(a), Some(b)) => a.total_cmp(&b),
            (a, b) => a.is_none().cmp(&b.is_none()),
        });
        self.picks.dedup();
    }
}

/// Puts a pick in the place of another.
pub(super) fn replace(picks: &mut [Pick], place: usize, pick: Option<&Pick>) {
    if let (Some(slot), Some(pick)) = (picks.get_mut(place), pick) {
        slot.clone_from(pick);
    }
}

/// What a measurement may be. One that is optional, or that no check demands, may not be given.
pub(super) fn measured(
    measurement: &Measurement,
    name: &str,
    chain: &[&Subject<'_>],
    demanded: bool,
) -> Vec<Pick> {
    let supplied = measurement.default.is_some();
    let mut picks = match &measurement.kind {
        Answer::Number { unit, range } => numbers(*range, *unit == Unit::One),
        Answer::YesNo => vec![Pick::Flag(true), Pick::Flag(false)],
        Answer::Choice(choices) => choices
            .iter()
            .map(|choice| Pick::from(choice.as_str()))
            .collect(),
        Answer::Designation => designations(name, chain),
        Answer::Each { .. } => Vec::new(),
    };
    if (measurement.optional || !demanded) && !supplied {
        picks.push(Pick::None);
    }
    picks
}

/// Both ends of a range and seven numbers between; whole ones where a pure number has room for them.
fn numbers((least, most): (f64, f64), pure: bool) -> Vec<Pick> {
    let whole = pure && most - least >= 4.0;
    let mut picks: Vec<Pick> = (0..=8_u32)
        .map(|eighth| least + (most - least) * f64::from(eighth) / 8.0)
        .map(|number| Pick::Number(if whole { number.round() } else { number }))
        .collect();
    picks.dedup();
    picks
}

fn designations(name: &str, chain: &[&Subject<'_>]) -> Vec<Pick> {
    let taker = chain.iter().find_map(|subject| subject.taker(name));
    let calc = taker.map_or("", |(calc, _)| calc);
    let words = DESIGNATIONS
        .iter()
        .find(|(of, _)| *of == calc || of.is_empty())
        .map_or(&[][..], |(_, words)| words);
    words.iter().map(|word| Pick::from(*word)).collect()
}

/// What a fact or a movement may be. A fact that no check demands may be missing from the job.
pub(super) fn of_job(name: &str, demanded: bool) -> Vec<Pick> {
    let range = |range| numbers(range, false);
    match name {
        "travel" => range((0.0, 320.0)),
        "working.up" => range((0.0, 80.0)),
        "working.sideways" => range((0.0, 40.0)),
        "lift.mounts" | "lift.jacks" => numbers(plausible(name), true),
        "lift.spacer" | "lift.highest" => vec![Pick::Number(40.0)],
        "lift.clearance" => range(plausible(name)),
        _ => {
            let Some(fact) = facts::find(name) else {
                return Vec::new();
            };
            let mut picks = if fact.number() {
                range(plausible(name))
            } else {
                vec![Pick::Flag(true), Pick::Flag(false)]
            };
            picks.extend((!demanded).then_some(Pick::None));
            picks
        }
    }
}

/// The numbers written in an expression.
pub(super) fn literals(text: &str) -> impl Iterator<Item = f64> + '_ {
    let words = text.split(|c: char| !(c.is_ascii_alphanumeric() || "._".contains(c)));
    words
        .filter(|word| word.starts_with(|c: char| c.is_ascii_digit()))
        .filter_map(|word| word.parse().ok())
}
