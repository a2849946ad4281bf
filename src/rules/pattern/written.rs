//! Pattern files as their author types them: plain data read from YAML, nothing resolved and nothing checked.
//!
//! Each type is one shape of the manual, `rule-files`, "A pattern". Conditions and texts are still strings here;
//! `check` compiles them.

use std::collections::BTreeMap;

use schemars::JsonSchema;
use serde::Deserialize;

use crate::job::written::OneOrMore;
use crate::quantity::{Amount, Written};

/// `rules/patterns/<name>.yaml`: a generic vehicle, nobody's model.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Pattern {
    /// What the trade calls such a vehicle.
    pub title: String,
    /// What it is, in a sentence.
    pub what: String,
    /// Shared lists that it takes parts and links from, each a file of `rules/patterns/lists/`.
    #[serde(default)]
    pub lists: Vec<String>,
    /// What may be chosen, by name; one of the same name in a shared list is replaced.
    #[serde(default)]
    pub options: BTreeMap<String, Choice>,
    /// Fields of the job's `vehicle` that the pattern or its options settle, each a text over the options.
    #[serde(default)]
    pub vehicle: BTreeMap<String, Written>,
    /// The lift.
    pub lift: Lift,
    /// The body mounts at their usual places.
    pub mounts: Vec<Mount>,
    /// Its parts by id; one of the same id in a shared list is replaced.
    #[serde(default)]
    pub parts: BTreeMap<String, Part>,
    /// Its links; one of the same id in a shared list is replaced.
    #[serde(default)]
    pub links: Vec<Link>,
}

/// `rules/patterns/lists/<name>.yaml`: parts and links that several patterns share.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct List {
    /// What may be chosen, by name.
    #[serde(default)]
    pub options: BTreeMap<String, Choice>,
    /// Fields of the job's `vehicle`.
    #[serde(default)]
    pub vehicle: BTreeMap<String, Written>,
    /// Parts by id.
    #[serde(default)]
    pub parts: BTreeMap<String, Part>,
    /// Links.
    #[serde(default)]
    pub links: Vec<Link>,
}

/// One thing that is chosen when a job file is made from the pattern.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Choice {
    /// What is chosen.
    pub label: String,
    /// The words to choose from.
    pub choices: Option<Vec<String>>,
    /// True when it is answered yes or no.
    #[serde(default)]
    pub yes_no: bool,
    /// What holds when nothing is chosen.
    pub default: Written,
}

/// The lift.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Lift {
    /// A usual height of the blocks, mm.
    #[schemars(with = "Amount")]
    pub spacer: Written,
    /// The bodies that go up, in their order.
    pub raise: Vec<Raise>,
}

/// One body that goes up.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Raise {
    /// The part that is the body.
    pub group: String,
    /// `left`, `right` or `either`.
    pub first_side: Option<String>,
    /// It goes up only when this holds.
    pub when: Option<String>,
}

/// One body mount.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Mount {
    /// Its id.
    pub id: String,
    /// The body that stands on it.
    pub group: String,
    /// Its usual place: x forward, y left, z up, mm.
    pub at: [f64; 3],
    /// Where to look for it.
    #[serde(rename = "where")]
    pub whereabouts: Option<String>,
    /// It is there only when this holds.
    pub when: Option<String>,
}

/// One part.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Part {
    /// What it is called on the pages.
    pub title: Option<String>,
    /// What it is bolted to; nothing for a body.
    pub fixed_to: Option<OneOrMore>,
    /// Its class of connection, when it is bolted to both sides of the cut.
    pub class: Option<String>,
    /// Whether it is an axle, which drops when the wheels hang.
    #[serde(default)]
    pub axle: bool,
    /// It is there only when this holds.
    pub when: Option<String>,
}

/// One link.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Link {
    /// Its id.
    pub id: String,
    /// Its class of connection.
    pub class: String,
    /// What it is called on the pages; the class's title when left out.
    pub title: Option<String>,
    /// Its area, when it is not the class's.
    pub area: Option<String>,
    /// The parts where it begins and where it ends.
    pub ends: (String, String),
    /// It is there only when this holds.
    pub when: Option<String>,
}
