//! The cut as the apprentice's page shows it: what rides with what, what crosses, and two links that are easily judged wrongly.
//!
//! Takes the vehicle as it was cut; gives plain views for the template.

use std::collections::BTreeSet;

use minijinja::{Value, context};

use super::links::{joins, phrase};
use super::{Look, Made, words};
use crate::assess::Assessed;
use crate::cut::{CutLink, Origin, Span};
use crate::quantity::{Quantity, Unit};
use crate::sorted::each_once;
use crate::study;

pub(super) fn view(made: &Made<'_>, look: Look) -> Value {
    let example = |(link, cut): (&Assessed<'_>, &CutLink)| example(made, (link, cut), look);
    context! {
        groups => groups(made),
        crossing => crossing(made, look),
        clipped => study::clipped(made).map(example),
        left => study::left_alone(made).map(example),
    }
}

/// The rigid groups, each with the parts that hang on it; what is bolted to several comes last.
fn groups(made: &Made<'_>) -> Value {
    let rigid = made.cut.groups.iter();
    let rigid = rigid.map(|id| BTreeSet::from([id.clone()]));
    let hung = made.cut.parts.values().map(|hung| hung.groups.clone());
    let sets = each_once(rigid.chain(hung));
    let group = |set: &BTreeSet<String>| {
        let parts = made.cut.parts.iter();
        let parts = parts.filter(|(id, hung)| hung.groups == *set && !made.cut.groups.contains(id));
        let parts: Vec<&str> = parts.map(|(id, _)| made.job.part_title(id)).collect();
        let parts = if parts.is_empty() {
            "nothing else".to_owned()
        } else {
            parts.join(", ")
        };
        context! { title => rides(made, set), parts }
    };
    sets.iter().map(group).collect()
}

/// What a part rides with: `cab`, or `cab and chassis` for one bolted to both.
fn rides(made: &Made<'_>, groups: &BTreeSet<String>) -> String {
    let titles: Vec<&str> = groups
        .iter()
        .map(|group| made.job.part_title(group))
        .collect();
    titles.join(" and ")
}

/// Every stretch that the lift pulls apart, in walking order; what is not a connection (mounts, consequences) has no line of its own.
fn crossing(made: &Made<'_>, look: Look) -> Value {
    let links = made
        .assessment
        .walking()
        .into_iter()
        .filter(|link| link.origin != Origin::Consequence);
    let stretches = links.flat_map(|link| {
        let cut = made.cut.links.get(&link.id);
        let spans = cut.into_iter().flat_map(CutLink::disturbed_spans);
        spans.map(move |(_, span)| (one_crossing(made, link, span, look), link))
    });
    let crossing = words::drawn_together(stretches).into_iter();
    let crossing = crossing.map(|([between, rise, working], links)| {
        context! { title => phrase(&links), between, rise, working }
    });
    crossing.collect()
}

/// Between what a stretch lies, how far that ends up apart, and how much it grows on the way.
fn one_crossing(made: &Made<'_>, link: &Assessed<'_>, span: &Span, look: Look) -> [String; 3] {
    let print = |value: f64| Quantity::exact(value, Unit::Mm).print(look.units);
    let end = |part: &str, groups| {
        let (part, rides) = (made.job.part_title(part), rides(made, groups));
        if part == rides {
            rides
        } else {
            format!("{part} ({rides})")
        }
    };
    let assumed = if span.assumed {
        " (assumed: no place is given)"
    } else {
        ""
    };
    let moves = if link.origin == Origin::Mount {
        "–".to_owned()
    } else {
        print(span.working(span.geometry()).length)
    };
    let (from, to) = (
        end(&span.from, &span.groups.0),
        end(&span.to, &span.groups.1),
    );
    [
        format!("{from} – {to}"),
        format!("{}{assumed}", print(span.rise)),
        moves,
    ]
}

/// A link followed fixing by fixing.
fn example(made: &Made<'_>, (link, cut): (&Assessed<'_>, &CutLink), look: Look) -> Value {
    let stretch = |span: &Span| {
        context! {
            from => made.job.part_title(&span.from),
            from_rides => rides(made, &span.groups.0),
            to => made.job.part_title(&span.to),
            to_rides => rides(made, &span.groups.1),
            pulled => span.disturbed(),
            rise => Quantity::exact(span.rise, Unit::Mm).print(look.units),
        }
    };
    let ends = cut.spans.first().map(|span| rides(made, &span.groups.0));
    context! {
        title => words::capital(&link.title),
        joins => joins(made, &link.id),
        // What its ends ride with.
        ends => ends.unwrap_or_default(),
        reason => words::capital(&link.because.print(look.units)),
        axle => study::on_axle(made, cut),
        stretches => cut.spans.iter().map(stretch).collect::<Value>(),
    }
}
