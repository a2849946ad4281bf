//! What is still to be measured → measuring tasks, one a link, each with what the value decides.

use std::collections::BTreeSet;

use super::draft::Draft;
use super::slots::Slots;
use super::task::{Evidence, Minutes, Sign, Task};
use crate::assess::{Assessed, Assessment, Missing, fact_missing};
use crate::job::Job;
use crate::rules::{Area, Spot, Stage};
use crate::text::Text;

/// Minutes to take one measurement with a tape: low, likely, high (common practice).
const ONE: Minutes = Minutes {
    low: 2.0,
    likely: 4.0,
    high: 8.0,
};

/// The facts of the vehicle that links or the procedure ask for and nobody gave, each once.
pub(super) fn missing_facts(
    job: &Job,
    assessment: &Assessment<'_>,
    wanted: &BTreeSet<&str>,
) -> Vec<Missing> {
    let mut places = BTreeSet::new();
    let of_links = assessment.links.values().flat_map(|link| &link.missing);
    let of_links = of_links.filter(|missing| missing.of_vehicle);
    let of_links = of_links.cloned();
    let of_procedure = wanted.iter().map(|name| fact_missing(name));
    of_links
        .chain(of_procedure)
        .flat_map(|missing| sizes(job, missing))
        .filter(|missing| places.insert(missing.place.clone()))
        .collect()
}

/// What follows from both sizes of the tyres: those of them that nobody gave, each in its place.
fn sizes(job: &Job, missing: Missing) -> Vec<Missing> {
    let (before, after) = &job.vehicle.tyres;
    let both = [
        ("vehicle.tyre_before", before),
        ("vehicle.tyre_after", after),
    ];
    let not_given = both.into_iter().filter(|(_, size)| size.is_none());
    let not_given: Vec<Missing> = not_given.map(|(name, _)| fact_missing(name)).collect();
    let of_both = missing.place == TYRE_AFTER && !not_given.is_empty();
    if of_both { not_given } else { vec![missing] }
}

/// Where what follows from both sizes is asked for.
const TYRE_AFTER: &str = "vehicle.done.tyre_after";

/// The measuring tasks.
pub(super) fn drafts(
    job: &Job,
    assessment: &Assessment<'_>,
    facts: &[Missing],
    slots: &Slots,
) -> Vec<Draft> {
    let of_vehicle: (_, Vec<&Missing>) = (None, facts.iter().collect());
    let of_links = assessment.links.values().map(|link| {
        let own = link.missing.iter();
        let own = own.filter(|missing| !missing.of_vehicle);
        (Some(link), own.collect())
    });
    std::iter::once(of_vehicle)
        .chain(of_links)
        .filter(|(_, missing)| !missing.is_empty())
        .filter_map(|(link, missing)| draft(job, link, &missing, slots))
        .collect()
}

fn draft(
    job: &Job,
    link: Option<&Assessed<'_>>,
    missing: &[&Missing],
    slots: &Slots,
) -> Option<Draft> {
    let slot = slots.find(Stage::Measure, None, None)?;
    let area: Option<Area> = link.map(|link| link.area);
    // A link has a handful of measurements, so the count is exact as a float.
    #[allow(clippy::cast_precision_loss)]
    let count = missing.len() as f64;
    let evidence = missing.iter().map(|missing| evidence(missing));
    let (whose, title) = match link {
        Some(link) => (link.id.as_str(), format!("Measure {}", link.title)),
        None => ("vehicle", "Find what is missing of the vehicle".to_owned()),
    };
    let task = Task {
        id: format!("{whose}.measure"),
        slot: slot.number,
        stage: slot.stage,
        place: Spot::of(area),
        sign: Sign::Done,
        overnight: true,
        area,
        title: Text::plain(&title),
        links: link.map(|link| link.id.clone()).into_iter().collect(),
        steps: missing.iter().map(|missing| step(missing)).collect(),
        tools: vec![Text::plain("tape")],
        minutes: ONE.times(count),
        people: 1,
        apprentice: true,
        evidence: evidence.collect(),
        origin: link.map(|_| job.place(&crate::report::Path::root())),
        ..Task::default()
    };
    Some(Draft {
        task,
        makes: Vec::new(),
        during: Vec::new(),
        after: Vec::new(),
        opens: false,
        earliest: None,
        closes: false,
        rule: None,
        number: usize::MAX,
    })
}

/// How to take a measurement and what it decides.
fn step(missing: &Missing) -> Text {
    let decides = crate::assess::decides_text(&missing.decides);
    let how = crate::text::clean(&missing.how);
    let label = crate::text::clean(&missing.label);
    if decides.is_empty() {
        Text::rendered(format!("{label}: {how}"))
    } else {
        Text::rendered(format!("{label}: {how} It decides: {decides}."))
    }
}

fn evidence(missing: &Missing) -> Evidence {
    Evidence {
        name: missing.place.clone(),
        ask: Text::plain(&missing.label),
        item: None,
        kind: if missing.unit.is_some() {
            "number"
        } else {
            "text"
        }
        .to_owned(),
        unit: missing.unit,
        least: None,
        most: None,
    }
}
