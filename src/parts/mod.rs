//! What has to be on the bench before the work starts: parts summed over all tasks, special tools, trades to book.
//!
//! Takes everything that was made of a job; gives a [`Bench`]. Parts that are the same in kind, name and sizes are one line with
//! every task that uses them. How it looks is left to `document`.

mod csv;
mod json;

use std::collections::BTreeMap;

pub(crate) use csv::to_csv;
pub(crate) use json::to_json;

use serde::{Serialize, Serializer};

use crate::job::Block;
use crate::pipeline::Made;
use crate::plan::{BenchPart, Minutes, Sized, Task};
use crate::rules::{PartKind, Size};
use crate::sorted::each_once;
use crate::text::Text;

/// What has to be on the bench.
#[derive(Debug)]
pub(crate) struct Bench<'a> {
    /// The parts, by kind, name and size.
    pub lines: Vec<BenchLine<'a>>,
    /// The special tools, each with the tasks that use it, by name.
    pub tools: Vec<Tool<'a>>,
    /// Things that serve one task at a time: hoist, press, pressure bleeder, welder.
    pub uses: Vec<Tool<'a>>,
    pub trades: Vec<Booking<'a>>,
}

/// One line of parts.
#[derive(Debug)]
pub(crate) struct BenchLine<'a> {
    /// What it is; every task of the line has the same.
    pub part: &'a BenchPart,
    /// What it is made of, for the job's own blocks.
    pub material: Option<&'a str>,
    /// How many: the sum over its tasks, or the most that one of them needs when one part serves them all.
    pub count: u32,
    /// The tasks that use it, in the order of work, each with how many it needs.
    pub tasks: Vec<(&'a Task, u32)>,
}

/// A tool and the tasks that use it.
#[derive(Debug, Serialize)]
pub(crate) struct Tool<'a> {
    pub what: Text,
    /// The tasks, in the order of work.
    #[serde(serialize_with = "by_id")]
    pub tasks: Vec<&'a Task>,
}

impl BenchLine<'_> {
    /// The length of all pieces together, mm, when one has a known length and is cut.
    pub(crate) fn to_cut(&self) -> Option<f64> {
        let cut = matches!(
            self.part.kind,
            PartKind::Hose | PartKind::Tube | PartKind::Cable
        );
        match self.part.sizes.get(&Size::Length) {
            Some(Sized::Mm(length)) if cut => Some(f64::from(self.count) * length),
            _ => None,
        }
    }

    /// The links that it is for, each once, in the order of work.
    pub(crate) fn links(&self) -> Vec<&str> {
        let links = self.tasks.iter().flat_map(|(task, _)| &task.links);
        each_once(links.map(String::as_str))
    }
}

/// Collects it.
pub(crate) fn collect<'a>(made: &Made<'a>) -> Bench<'a> {
    Bench {
        lines: lines(&made.plan.tasks, &made.job.lift.block),
        tools: tools(&made.plan.tasks, |task| task.tools.clone()),
        uses: tools(&made.plan.tasks, |task| {
            task.uses.iter().map(|thing| Text::plain(thing)).collect()
        }),
        trades: bookings(made),
    }
}

/// Tasks as JSON names them.
fn by_id<S: Serializer>(tasks: &[&Task], serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_seq(tasks.iter().map(|task| &task.id))
}

fn ids<'a>(tasks: &[&'a Task]) -> Vec<&'a str> {
    tasks.iter().map(|task| task.id.as_str()).collect()
}

/// What makes two parts the same: kind, name, what is counted, sizes to a thousandth of a millimetre.
type SamePart = (PartKind, Vec<(Size, String)>, String, &'static str, bool);

fn key(part: &BenchPart) -> SamePart {
    let size = |(size, value): (&Size, &Sized)| {
        let value = match value {
            Sized::Word(word) => word.clone(),
            // Padded, so that lengths sort as numbers.
            Sized::Mm(value) => format!("{value:012.3}"),
        };
        (*size, value)
    };
    let what = part.what.written();
    let sizes = part.sizes.iter().map(size).collect();
    (part.kind, sizes, what, part.counted, part.shared)
}

/// What a part is made of, when it is one of the job's own blocks.
fn material<'a>(part: &BenchPart, block: &'a Block) -> Option<&'a str> {
    let is = |size, own: Option<f64>| match part.sizes.get(&size) {
        Some(Sized::Mm(value)) => own.is_some_and(|own| (own - value).abs() < 1e-6),
        _ => false,
    };
    let own = part.kind == PartKind::Spacer
        && is(Size::Outer, block.outer)
        && is(Size::Inner, block.inner);
    block.material.as_deref().filter(|_| own)
}

/// The parts of tasks, by kind, name and size.
pub(crate) fn lines<'a>(
    tasks: impl IntoIterator<Item = &'a Task>,
    block: &'a Block,
) -> Vec<BenchLine<'a>> {
    let mut lines: BTreeMap<SamePart, BenchLine<'a>> = BTreeMap::new();
    for task in tasks {
        for part in &task.parts {
            let line = lines.entry(key(part)).or_insert_with(|| BenchLine {
                part,
                material: material(part, block),
                count: 0,
                tasks: Vec::new(),
            });
            line.count = if part.shared {
                line.count.max(part.count)
            } else {
                line.count.saturating_add(part.count)
            };
            line.tasks.push((task, part.count));
        }
    }
    lines.into_values().collect()
}

fn tools(tasks: &[Task], of: impl Fn(&Task) -> Vec<Text>) -> Vec<Tool<'_>> {
    let mut tools: BTreeMap<String, Tool<'_>> = BTreeMap::new();
    for task in tasks {
        for what in of(task) {
            let name = what.written();
            let tool = tools.entry(name).or_insert_with(|| Tool {
                what,
                tasks: Vec::new(),
            });
            tool.tasks.push(task);
        }
    }
    tools.into_values().collect()
}

/// One trade.
#[derive(Debug, Serialize)]
pub(crate) struct Booking<'a> {
    /// The trade, as rules name it.
    pub trade: &'a str,
    /// The people of the job who hold its licence, by name.
    pub people: Vec<&'a str>,
    /// Its tasks, in the order of work.
    #[serde(serialize_with = "by_id")]
    pub tasks: Vec<&'a Task>,
    /// The minutes of its tasks up to the hand-over.
    pub minutes: Minutes,
}

/// The trades of a job, by name.
pub(crate) fn bookings<'a>(made: &Made<'a>) -> Vec<Booking<'a>> {
    let mut bookings: BTreeMap<&str, Booking<'a>> = BTreeMap::new();
    for task in &made.plan.tasks {
        let Some(trade) = task.trade.as_deref() else {
            continue;
        };
        let booking = bookings.entry(trade).or_insert_with(|| Booking {
            trade,
            people: licensed(made, trade),
            tasks: Vec::new(),
            minutes: Minutes::default(),
        });
        booking.tasks.push(task);
        if task.due.is_none() {
            booking.minutes = booking.minutes.plus(task.minutes);
        }
    }
    bookings.into_values().collect()
}

fn licensed<'a>(made: &Made<'a>, trade: &str) -> Vec<&'a str> {
    let people = made.job.people.values();
    let licensed = people.filter(|person| person.licences.contains(trade));
    licensed.map(|person| person.name.as_str()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_job_s_own_blocks_have_its_material() {
        let block = Block {
            material: Some("aluminium".to_owned()),
            outer: Some(70.0),
            inner: Some(14.0),
            bearing_limit: None,
        };
        let sized = |outer| BenchPart {
            what: Text::plain("block"),
            count: 1,
            counted: "piece",
            kind: PartKind::Spacer,
            sizes: BTreeMap::from([
                (Size::Outer, Sized::Mm(outer)),
                (Size::Inner, Sized::Mm(14.0)),
            ]),
            shared: false,
        };
        assert_eq!(material(&sized(70.0), &block), Some("aluminium"));
        assert_eq!(material(&sized(60.0), &block), None);
    }
}
