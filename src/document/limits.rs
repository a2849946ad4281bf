//! Local limits as rows of a page: what was compared with what, where the limit was read, and how it came out.
//!
//! Takes the limits of the job's region as they were held against the lift; gives plain views for templates.

use minijinja::{Value, context};

use super::{Look, Made, words};
use crate::assess::{Held, LimitState};
use crate::quantity::Units;
use crate::report::numbered;
use crate::rules::written::LimitSource;
use crate::rules::{Region, Verdict};

/// The limits of the job's region; none when it names none.
pub(super) fn limits(made: &Made<'_>, look: Look) -> Option<Value> {
    let region = made.assessment.region?;
    let held = concerning(made);
    Some(context! {
        region => &region.title,
        authority => &region.authority,
        note => &region.note,
        // Whether there are any, and the lift keeps them all.
        kept => concerning(made).count() > 0 && all_kept(made),
        rows => held.map(|held| row(held, look.units)).collect::<Value>(),
        // What is printed when there is no row.
        none => if region.limits.is_empty() {
            "No limit on such a lift was read for this region, so none was checked."
        } else {
            "None of the limits that were read concerns this vehicle."
        },
    })
}

/// Whether the lift keeps every limit that concerns the vehicle.
fn all_kept(made: &Made<'_>) -> bool {
    concerning(made).all(|held| matches!(held.state, LimitState::Kept { .. }))
}

/// The limits that concern the vehicle.
fn concerning<'a>(made: &Made<'a>) -> impl Iterator<Item = &'a Held<'a>> {
    let held = made.assessment.limits.iter();
    held.filter(|held| !matches!(held.state, LimitState::Elsewhere))
}

/// The region in one line, and how many of its limits could be checked.
pub(super) fn summary(made: &Made<'_>) -> String {
    let Some(region) = made.assessment.region else {
        let none = "no local limit was checked; confirm with the registering authority";
        return match &made.job.region {
            Some(region) => format!("{region}; {none}"),
            None => format!("none named; {none}"),
        };
    };
    let Region {
        title, authority, ..
    } = region;
    let open = |held: &&Held<'_>| matches!(held.state, LimitState::NotChecked(_));
    let checked = match concerning(made).count() {
        0 => return format!("{title}; no local limit was checked; confirm with {authority}"),
        count => numbered(count, "local limit"),
    };
    let open = match concerning(made).filter(open).count() {
        0 if all_kept(made) => "all of them kept".to_owned(),
        0 => "all of them checked".to_owned(),
        open => format!("{open} of them not checked"),
    };
    format!("{title}; {checked}, {open}; confirm with {authority}")
}

fn row(held: &Held<'_>, units: Units) -> Value {
    let verdict = Some(held.verdict()).filter(|verdict| *verdict != Verdict::Leave);
    let none = || "–".to_owned();
    let (here, most, outcome) = match &held.state {
        LimitState::Elsewhere => (none(), none(), "does not concern it".to_owned()),
        LimitState::Kept { value, most } => {
            (value.print(units), most.print(units), "kept".to_owned())
        }
        LimitState::Passed {
            value,
            most,
            because,
        } => (value.print(units), most.print(units), because.print(units)),
        LimitState::NotChecked(missing) => {
            let labels: Vec<&str> = missing.iter().map(|one| one.label.as_str()).collect();
            let reason = format!("not checked: {} not known", labels.join(" and "));
            (none(), none(), reason)
        }
    };
    context! {
        title => words::capital(&held.limit.title),
        source => source(&held.limit.source),
        here,
        most,
        // What follows from it, when it is passed.
        verdict => verdict.map(Verdict::word),
        outcome,
    }
}

/// The document with what is known of the reading.
fn source(source: &LimitSource) -> String {
    let clause = source.clause.iter().cloned();
    let year = source.year.map(|year| year.to_string());
    let parts: Vec<String> = [source.document.clone()]
        .into_iter()
        .chain(clause)
        .chain(year)
        .collect();
    format!("{} ({})", parts.join(", "), source.status)
}
