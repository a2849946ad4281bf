//! The survey: exactly what is still to be measured on this vehicle, in walking order.
//!
//! Takes what assessing and planning miss; gives one [`Page`]: a table a place of the walk, and one of the mounts with a row for each. How a
//! kind of measurement is taken is explained once.

use std::collections::BTreeMap;

use minijinja::value::Serde;
use minijinja::{Value, context};
use serde::Serialize;

use super::marks::Marks;
use super::{DocumentError, Look, Made, Page, facts, sheet, survey_table, words};
use crate::assess::{self, Assessed, Missing, decides_text};
use crate::cut::Origin;
use crate::quantity::{Round, Units};
use crate::rules::Setting;
use crate::text::Text;

/// One place of the walk.
#[derive(Debug, Serialize)]
struct Area {
    heading: String,
    rows: Vec<ToMeasure>,
}

/// One thing to be measured.
#[derive(Debug, Serialize)]
struct ToMeasure {
    /// What it is measured on, where the row before is of something else.
    on: Option<String>,
    label: String,
    /// Of what is measured once for each of several directions: these, each with what it was last time.
    keys: Vec<(String, String)>,
    /// The unit and how close; of what has none the answers to choose from.
    unit: String,
    /// What it was on another vehicle of the kind.
    last: String,
    decides: String,
    /// The letters of the limits that it is held against.
    limits: String,
    place: String,
    how: usize,
}

/// Something that is measured at mounts.
#[derive(Debug, PartialEq, Serialize)]
struct Column {
    label: String,
    unit: String,
    /// What it was on another vehicle of the kind, at each mount.
    last: String,
    decides: String,
    limits: String,
    name: String,
    how: String,
}

/// What most limits are: only others are marked.
const COMMON: &str = "common practice";

/// How wide a blank of the mounts' table is, in digits: a word by hand takes as much.
const BLANK: usize = 5;

/// Makes the survey; fails only when its template is defective.
pub fn survey(made: &Made<'_>, look: Look) -> Result<Page, DocumentError> {
    let mut walk = Walk {
        made,
        units: look.units,
        marks: Marks::new(look.units),
        hows: Vec::new(),
    };
    let view = context! {
        head => Serde(sheet::head(made, look)),
        // Whether it is known what another vehicle of the kind had.
        last_time => !made.job.last_time.is_empty(),
        facts => of_measuring(facts::facts(made, look.units)),
        areas => Serde(walk.areas()),
        mounts => walk.mounts(),
        again => again(made, look),
        // How each kind of measurement is taken; the number of a row is its place here, from 1.
        hows => walk.hows,
        // The limits that readings are held against, but those that are common practice.
        decided_by => walk.marks.list(),
    };
    sheet::page(made, "Survey", "survey.md", view)
}

/// What whoever measures is to know of the job.
fn of_measuring(facts: Vec<(&'static str, String)>) -> Value {
    let all = ["Vehicle", "Identification", "Region"];
    let facts = facts.into_iter();
    facts.filter(|(name, _)| all.contains(name)).collect()
}

/// The readings that could lighten a verdict, in walking order.
fn again(made: &Made<'_>, look: Look) -> Value {
    let of_link = |link: &Assessed<'_>| {
        let again = assess::again((made.job, made.rules, made.cut), link)?;
        let (round, side) = if again.or_more {
            (Round::Up, "more")
        } else {
            (Round::Down, "less")
        };
        Some(context! {
            link => words::capital(&link.title),
            what => &again.reading.label,
            place => survey_table::fill_place(link, &again.reading),
            limit => format!("{} or {side}", again.limit.print_limit(round, look.units)),
            verdict => again.verdict.word(),
        })
    };
    let links = made.assessment.walking().into_iter();
    links.filter_map(of_link).collect()
}

/// The walk round the vehicle, with what is explained of it so far.
struct Walk<'m, 'a> {
    made: &'m Made<'a>,
    units: Units,
    marks: Marks,
    hows: Vec<String>,
}

impl Walk<'_, '_> {
    /// Everything to be measured but at mounts, place by place.
    fn areas(&mut self) -> Vec<Area> {
        let vehicle = self.made.plan.missing.iter();
        let rows = vehicle.map(|missing| self.row(missing, None)).collect();
        let mut areas = vec![Area {
            heading: "The vehicle".to_owned(),
            rows,
        }];
        let all = self.made.assessment.walking().into_iter();
        for link in all.filter(|link| link.origin != Origin::Mount) {
            let heading = words::capital(link.area.word());
            if areas.last().is_none_or(|area| area.heading != heading) {
                areas.push(Area {
                    heading,
                    rows: Vec::new(),
                });
            }
            let named = format!("{}.", link.id);
            let mut rows: Vec<ToMeasure> = Vec::new();
            for missing in link.missing.iter().filter(|missing| !missing.of_vehicle) {
                let row = self.row(missing, Some(link));
                match rows.iter_mut().find(|known| known.differs_by_key(&row)) {
                    Some(known) => known.keys.extend(row.keys),
                    None => rows.push(row),
                }
            }
            for (number, row) in rows.iter_mut().enumerate() {
                let keys: Vec<&str> = row.keys.iter().map(|(key, _)| key.as_str()).collect();
                row.place = row.place.replace('*', &keys.join("/"));
                if number > 0 {
                    row.place = row.place.trim_start_matches(&named).to_owned();
                }
            }
            if let Some(first) = rows.first_mut() {
                first.on = Some(words::capital(&link.title));
            }
            if let Some(area) = areas.last_mut() {
                area.rows.append(&mut rows);
            }
        }
        areas.retain(|area| !area.rows.is_empty());
        areas
    }

    fn row(&mut self, missing: &Missing, link: Option<&Assessed<'_>>) -> ToMeasure {
        let how = self.hows.iter().position(|how| *how == missing.how);
        let how = how.unwrap_or_else(|| {
            self.hows.push(missing.how.clone());
            self.hows.len() - 1
        });
        let (decides, limits) = self.decides(missing, link);
        let place = link.map_or_else(
            || missing.place.clone(),
            |link| survey_table::fill_place(link, missing),
        );
        let mut row = ToMeasure {
            on: None,
            label: words::capital(&missing.label),
            keys: Vec::new(),
            unit: unit(missing, self.units),
            decides,
            limits,
            last: survey_table::last(self.made, missing, &place, self.units),
            place,
            how: how + 1,
        };
        // What is measured once for each of several directions names it in its label and in its place.
        let keyed = row.label.strip_suffix(')');
        if let Some((label, key)) = keyed.and_then(|label| label.rsplit_once(" (")) {
            let named = format!(".{key}.");
            if row.place.contains(&named) {
                row.place = row.place.replacen(&named, ".*.", 1);
                let last = std::mem::take(&mut row.last);
                (row.label, row.keys) = (label.to_owned(), vec![(key.to_owned(), last)]);
            }
        }
        row
    }

    /// What a reading decides, and the letters of the limits that it is held against, but of those that are common practice.
    fn decides(&mut self, missing: &Missing, link: Option<&Assessed<'_>>) -> (String, String) {
        let decides = Text::rendered(decides_text(&missing.decides)).print(self.units);
        let Some(link) = link.filter(|_| !decides.is_empty()) else {
            return (decides, String::new());
        };
        let against = against(self.made, link, missing).into_values();
        let told = against.filter(|setting| setting.source.status != COMMON);
        (decides, self.marks.letters_of(told))
    }

    /// The mounts with what is to be measured there, a row a mount; none when nothing is.
    fn mounts(&mut self) -> Option<Value> {
        let mut columns: Vec<Column> = Vec::new();
        let mut rows: Vec<(String, Vec<(usize, String)>)> = Vec::new();
        let all = self.made.assessment.walking().into_iter();
        for link in all.filter(|link| link.origin == Origin::Mount && !link.missing.is_empty()) {
            let mut own = Vec::new();
            for missing in link.missing.iter().filter(|missing| !missing.of_vehicle) {
                let (decides, limits) = self.decides(missing, Some(link));
                let column = Column {
                    label: words::capital(&missing.label),
                    unit: unit(missing, self.units),
                    last: String::new(),
                    decides,
                    limits,
                    name: missing.place.trim_start_matches("measured.").to_owned(),
                    how: missing.how.clone(),
                };
                let known = columns.iter().position(|known| *known == column);
                let place = survey_table::fill_place(link, missing);
                let last = survey_table::last(self.made, missing, &place, self.units);
                own.push((known.unwrap_or(columns.len()), last));
                if known.is_none() {
                    columns.push(column);
                }
            }
            rows.push((survey_table::mount(link).to_owned(), own));
        }
        rows.retain(|(_, own)| !own.is_empty());
        share(&mut columns, &mut rows);
        let blanks = |own: Vec<(usize, String)>| {
            let mut all = vec![(0, String::new()); columns.len()];
            for (column, last) in own {
                if let Some(cell) = all.get_mut(column) {
                    *cell = (BLANK, last);
                }
            }
            all
        };
        if rows.is_empty() {
            return None;
        }
        let rows = rows.into_iter().map(|(id, own)| (id, blanks(own)));
        // The number of a column is its place, from 1. A row has the mount, and how wide its blank of each column is, 0 where it has none,
        // with what it was last time where the mounts differ in that.
        let rows: Value = rows.collect();
        Some(context! { columns => Serde(columns), rows })
    }
}

/// What was the same at each mount last time is said once, with its column.
fn share(columns: &mut [Column], rows: &mut [(String, Vec<(usize, String)>)]) {
    for (number, column) in columns.iter_mut().enumerate() {
        let cells = rows.iter_mut().flat_map(|(_, own)| own.iter_mut());
        let mut cells: Vec<&mut String> = cells
            .filter(|(of, _)| *of == number)
            .map(|(_, last)| last)
            .collect();
        let first = cells
            .first()
            .map_or_else(String::new, |last| (**last).clone());
        if cells.iter().all(|last| **last == first) {
            for last in &mut cells {
                last.clear();
            }
            column.last = first;
        }
    }
}

impl ToMeasure {
    /// Whether another row asks for the same in another direction.
    fn differs_by_key(&self, other: &Self) -> bool {
        let what = |row: &Self| {
            let said = (row.label.clone(), row.unit.clone(), row.decides.clone());
            (said, row.place.clone(), row.how)
        };
        !other.keys.is_empty() && what(self) == what(other)
    }
}

/// The unit of a reading and how close it is taken; the answers of a choice, but of what holds a connection, where the words of how it is
/// looked at say them.
fn unit(missing: &Missing, units: Units) -> String {
    match survey_table::unit(missing, units) {
        _ if missing.place.ends_with(".held_by") => String::new(),
        (unit, close) if close.is_empty() => unit,
        (_, close) => format!("to {close}"),
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
