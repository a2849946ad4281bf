//! The survey: exactly what is still to be measured on this vehicle, in walking order.
//!
//! Takes what assessing and planning miss; gives one [`Page`]. The same thing to be measured on several links of a class
//! (the gap at every mount) is explained once and has a blank for each.

use std::collections::BTreeMap;

use serde::Serialize;

use super::marks::{self, Marks};
use super::sheet::{self, Head};
use super::{DocumentError, Look, Made, Page, facts, links, words};
use crate::assess::{Assessed, Missing, decides_text};
use crate::cut::Origin;
use crate::quantity::{Quantity, Round, Units};
use crate::rules::Setting;
use crate::text::Text;

#[derive(Debug, Serialize)]
struct Survey {
    head: Head,
    facts: Vec<(&'static str, String)>,
    areas: Vec<Area>,
    /// The limits that readings are held against.
    decided_by: Vec<marks::Origin>,
}

/// One place of the walk.
#[derive(Debug, Serialize)]
struct Area {
    heading: String,
    items: Vec<Item>,
}

/// One thing to be measured.
#[derive(Debug, Serialize)]
struct Item {
    label: String,
    /// What it is measured on, when that is one thing.
    on: String,
    how: String,
    tolerance: Option<String>,
    answers: Vec<String>,
    unit: Option<&'static str>,
    decides: String,
    /// The letters of the limits that it is held against.
    limits: String,
    blanks: Vec<Blank>,
}

/// Where one reading is written.
#[derive(Debug, Serialize)]
struct Blank {
    link: String,
    place: String,
}

/// Makes the survey; fails only when its template is defective.
pub fn survey(made: &Made<'_>, look: Look) -> Result<Page, DocumentError> {
    let mut marks = Marks::new(look.units);
    let view = Survey {
        head: sheet::head(made, look),
        facts: facts::facts(made, look.units),
        areas: areas(made, look.units, &mut marks),
        decided_by: marks.list(),
    };
    sheet::page(made, "Survey", "survey.md", view)
}

fn areas(made: &Made<'_>, units: Units, marks: &mut Marks) -> Vec<Area> {
    let mut places = Places::new();
    let mut vehicle = Area::new("The vehicle".to_owned());
    for missing in &made.plan.missing {
        vehicle.add(item(missing, None, units), &mut places);
    }
    let mut areas = vec![vehicle];
    for link in links::walking(made) {
        let heading = words::capital(link.area.word());
        if areas.last().is_none_or(|area| area.heading != heading) {
            areas.push(Area::new(heading));
            places.clear();
        }
        let own = link.missing.iter().filter(|missing| !missing.of_vehicle);
        if let Some(area) = areas.last_mut() {
            for missing in own {
                let mut item = item(missing, Some(link), units);
                if !item.decides.is_empty() {
                    item.limits = marks.letters_of(against(made, link, missing).into_values());
                }
                area.add(item, &mut places);
            }
        }
    }
    areas.retain(|area| !area.items.is_empty());
    areas
}

/// Where in its area an item stands, by what it asks: label, how, what it decides, unit.
type Places = BTreeMap<(String, String, String, Option<&'static str>), usize>;

impl Area {
    fn new(heading: String) -> Self {
        Self {
            heading,
            items: Vec::new(),
        }
    }

    /// Adds an item. Items that ask for the same are one with a blank for each; the first keeps its place.
    fn add(&mut self, mut item: Item, places: &mut Places) {
        let asks = (
            item.label.clone(),
            item.how.clone(),
            item.decides.clone(),
            item.unit,
        );
        let place = *places.entry(asks).or_insert(self.items.len());
        if let Some(first) = self.items.get_mut(place) {
            first.on.clear();
            first.blanks.append(&mut item.blanks);
        } else {
            self.items.push(item);
        }
    }
}

fn item(missing: &Missing, link: Option<&Assessed<'_>>, units: Units) -> Item {
    let on = link.map_or_else(String::new, |link| words::capital(&link.title));
    let tolerance = missing.tolerance.zip(missing.unit);
    let tolerance = tolerance
        .map(|(value, unit)| Quantity::exact(value, unit).print_limit(Round::Nearest, units));
    let unit = missing.unit.map(|unit| units.suffix(unit));
    Item {
        label: words::capital(&missing.label),
        how: missing.how.clone(),
        tolerance,
        answers: missing.answers.clone(),
        unit: unit.filter(|unit| !unit.is_empty()),
        decides: Text::rendered(decides_text(&missing.decides)).print(units),
        limits: String::new(),
        blanks: vec![Blank {
            link: on.clone(),
            place: place(missing, link),
        }],
        on,
    }
}

/// The limits that a reading is held against.
fn against<'a>(
    made: &Made<'a>,
    link: &Assessed<'a>,
    missing: &Missing,
) -> BTreeMap<String, &'a Setting> {
    let name = missing.place.rsplit_once("measured.");
    let name = name.map(|(_, name)| name.split('.').next().unwrap_or(name));
    let found = link.class.zip(name);
    found.map_or_else(BTreeMap::new, |(class, name)| {
        class.settings_against(made.rules, name)
    })
}

/// Where the reading goes in the job file.
fn place(missing: &Missing, link: Option<&Assessed<'_>>) -> String {
    let place = &missing.place;
    let Some(link) = link.filter(|_| !place.starts_with("links[")) else {
        return place.clone();
    };
    match link.origin {
        Origin::Link => format!("links[{}].{place}", link.id),
        Origin::Mount => {
            let id = link.id.strip_prefix("mount-").unwrap_or(&link.id);
            format!("mounts[{id}].{place}")
        }
        Origin::Bridge => format!("parts.{}.{place}", link.id),
        Origin::Consequence => {
            let name = place.strip_prefix("measured.").unwrap_or(place);
            format!("consequences.{}.{name}", link.id)
        }
    }
}
