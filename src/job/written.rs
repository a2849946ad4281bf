//! A job file as its author types it: plain data read from YAML, nothing resolved and nothing checked.
//!
//! Every number is still text here ([`Written`]), so that its field can say what it means and where it is wrong;
//! `check` does so and gives the types of `model`.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::fmt;

use schemars::{JsonSchema, Schema, SchemaGenerator, json_schema};
use serde::Deserialize;
use serde::de::{self, Deserializer, MapAccess, Visitor};

use crate::quantity::{Amount, Written, YesNo};
use crate::source::{More, OneOr, with_help};

/// A whole job file.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Job {
    /// What the workshop calls the job.
    pub job: String,
    /// A remark printed under the title.
    pub note: Option<String>,
    /// The vehicle.
    pub vehicle: Vehicle,
    /// What is to be done.
    pub lift: Lift,
    /// Measurements that every mount shares; a mount's own come first.
    #[serde(default)]
    #[serde(deserialize_with = "every_mount")]
    pub every_mount: BTreeMap<String, Measured>,
    /// The body mounts.
    pub mounts: Vec<Mount>,
    /// Every part that a link is fixed to, by id.
    pub parts: BTreeMap<String, Part>,
    /// What joins the parts.
    #[serde(default)]
    pub links: Vec<Link>,
    /// What was measured for what the lift brings about beside the connections, by consequence.
    #[serde(default)]
    pub consequences: BTreeMap<String, BTreeMap<String, Measured>>,
    /// Who works on it.
    #[serde(default)]
    pub people: Vec<Person>,
    /// When the work starts: a date, or a date and a time of day.
    pub start: Option<Written>,
    /// The time zone of the workshop by its name in the tz database, such as `Australia/Hobart`.
    pub zone: Option<String>,
    /// How many there are of each thing that serves one task at a time.
    #[serde(default)]
    pub things: BTreeMap<String, Written>,
    /// The jurisdiction whose limits apply.
    pub region: Option<String>,
    /// What was measured on another vehicle of the kind, by place: it is shown beside each question, and used for nothing else.
    #[serde(default)]
    pub last_time: BTreeMap<String, Written>,
}

/// The vehicle, as far as the rules ask.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Vehicle {
    /// What the vehicle is called on the pages.
    pub name: String,
    /// Number plate or identification number.
    pub identification: Option<String>,
    /// `ladder frame` or `unitary`.
    #[schemars(extend("enum" = ["ladder frame"]))]
    pub construction: String,
    /// `petrol`, `diesel`, or `lpg` for an engine that runs on liquefied gas, alone or beside petrol.
    #[schemars(extend("enum" = ["petrol", "diesel", "lpg", null]))]
    pub fuel: Option<String>,
    /// `manual` or `automatic`.
    #[schemars(extend("enum" = ["manual", "automatic", null]))]
    pub gearbox: Option<String>,
    /// Whether it has a transfer case.
    #[schemars(with = "Option<YesNo>")]
    pub transfer_case: Option<Written>,
    /// Whether it has airbags or belt tensioners.
    #[schemars(with = "Option<YesNo>")]
    pub restraint_systems: Option<Written>,
    /// Whether it has a steering-angle sensor or stability control.
    #[schemars(with = "Option<YesNo>")]
    pub steering_sensor: Option<Written>,
    /// Whether a high-voltage battery and a motor drive it too.
    #[schemars(with = "Option<YesNo>")]
    pub hybrid: Option<Written>,
    /// Whether cameras or radars look ahead.
    #[schemars(with = "Option<YesNo>")]
    pub driver_aids: Option<Written>,
    /// Mass of all that is raised, kg.
    #[schemars(with = "Option<Amount>")]
    pub body_mass: Option<Written>,
    /// The same with everyone and the load aboard, kg.
    #[schemars(with = "Option<Amount>")]
    pub body_mass_laden: Option<Written>,
    /// Mass of the whole vehicle, kg.
    #[schemars(with = "Option<Amount>")]
    pub total_mass: Option<Written>,
    /// Distance between the wheels of an axle, mm.
    #[schemars(with = "Option<Amount>")]
    pub track: Option<Written>,
    /// Height of the centre of mass, mm.
    #[schemars(with = "Option<Amount>")]
    pub cg_height: Option<Written>,
    /// Mass that the vehicle may have at the most, kg.
    #[schemars(with = "Option<Amount>")]
    pub gross_mass: Option<Written>,
    /// Whether it is registered as a passenger car (else as a truck or utility).
    #[schemars(with = "Option<YesNo>")]
    pub passenger_car: Option<Written>,
    /// Lowest part of the body's floor above the top of the frame, before the lift, mm.
    #[schemars(with = "Option<Amount>")]
    pub floor_over_frame: Option<Written>,
    /// Lowest point of the frame midway between the axles above the ground, before the lift, mm.
    #[schemars(with = "Option<Amount>")]
    pub frame_height: Option<Written>,
    /// Lowest part of the body above the ground, before the lift, mm.
    #[schemars(with = "Option<Amount>")]
    pub body_height: Option<Written>,
    /// Floor of the load space above the ground, before the lift, mm.
    #[schemars(with = "Option<Amount>")]
    pub floor_height: Option<Written>,
    /// Lower edge of the higher bumper above the ground, before the lift, mm.
    #[schemars(with = "Option<Amount>")]
    pub bumper_height: Option<Written>,
    /// Lower edge of the front bumper above the ground, before the lift, mm.
    #[schemars(with = "Option<Amount>")]
    pub front_bumper_height: Option<Written>,
    /// Bottom of the frame's front end above the ground, before the lift, mm.
    #[schemars(with = "Option<Amount>")]
    pub front_frame_end: Option<Written>,
    /// Bottom of the frame's rear end above the ground, before the lift, mm.
    #[schemars(with = "Option<Amount>")]
    pub rear_frame_end: Option<Written>,
    /// Whether the bumpers are fixed to the body and rise with it.
    #[schemars(with = "Option<YesNo>")]
    pub bumper_on_body: Option<Written>,
    /// Whether the wheels hang while the body is raised.
    #[schemars(with = "Option<YesNo>")]
    pub wheels_hang: Option<Written>,
    /// What was already done to it.
    #[serde(default)]
    pub done: Done,
}

/// What was already done to the vehicle.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Done {
    /// How high blocks and packers of an earlier lift stand under the highest mount, and stay, mm.
    #[schemars(with = "Option<Amount>")]
    pub body_lift: Option<Written>,
    /// How much longer springs raised it, mm.
    #[schemars(with = "Option<Amount>")]
    pub suspension_lift: Option<Written>,
    /// The tyre size it left the maker with.
    pub tyre_before: Option<String>,
    /// The tyre size it has, or will have after the lift.
    pub tyre_after: Option<String>,
}

/// What is to be done.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Lift {
    /// Height of the blocks, mm; a mount may have its own.
    #[schemars(with = "Amount")]
    pub spacer: Written,
    /// The bodies to raise, in the order in which they go up.
    pub raise: Vec<Raise>,
    /// How far above its block each side is held while the block goes in, mm.
    #[schemars(with = "Option<Amount>")]
    pub insertion_clearance: Option<Written>,
    /// Depth of the block's locating spigot, mm.
    #[schemars(with = "Option<Amount>")]
    pub spigot_depth: Option<Written>,
    /// How many jacks a side of a body takes at a time, each with somebody at it; 1, under one long timber, when left out.
    #[schemars(with = "Option<Amount>")]
    pub jacks: Option<Written>,
    /// How many hours the coat on a mount's seat dries before the block goes down on it.
    #[schemars(with = "Option<Amount>")]
    pub coat_hours: Option<Written>,
    /// The blocks.
    #[serde(default)]
    pub block: Block,
}

/// One body that goes up.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Raise {
    /// The part that is the body.
    pub group: String,
    /// `left`, `right` or `either`.
    #[schemars(extend("enum" = ["left", "right", "either", null]))]
    pub first_side: Option<String>,
}

/// The blocks that go between body and chassis.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Block {
    /// `steel`, `aluminium` or `plastic`.
    #[schemars(extend("enum" = ["steel", "aluminium", "plastic", null]))]
    pub material: Option<String>,
    /// Outer diameter, mm.
    #[schemars(with = "Option<Amount>")]
    pub outer: Option<Written>,
    /// Inner diameter, mm.
    #[schemars(with = "Option<Amount>")]
    pub inner: Option<Written>,
    /// Permissible surface pressure of the softer material there, `MPa`.
    #[schemars(with = "Option<Amount>")]
    pub bearing_limit: Option<Written>,
}

/// One body mount.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Mount {
    /// Its id.
    pub id: String,
    /// The body that stands on it.
    pub group: String,
    /// Its class of connection; `body-mount` when left out.
    pub class: Option<String>,
    /// Its place: x forward, y left, z up, mm.
    #[schemars(with = "[Amount; 3]")]
    pub at: [Written; 3],
    /// Its own block height, mm.
    #[schemars(with = "Option<Amount>")]
    pub spacer: Option<Written>,
    /// What was measured there.
    #[serde(default)]
    pub measured: BTreeMap<String, Measured>,
}

/// One part that links are fixed to.
#[derive(Debug, Clone, Default, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Part {
    /// What it is called on the pages.
    pub title: Option<String>,
    /// What it is bolted to.
    pub fixed_to: Option<OneOrMore>,
    /// Its class of connection, when it is bolted to both sides of the cut.
    pub class: Option<String>,
    /// How far it drops when the wheels hang, mm (an axle).
    #[schemars(with = "Option<Amount>")]
    pub droop: Option<Written>,
    /// What was measured on it, when it has a class.
    #[serde(default)]
    pub measured: BTreeMap<String, Measured>,
}

/// A hose, pipe, cable, loom, lever, shaft, duct or bracket.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Link {
    /// Its id.
    pub id: String,
    /// Its class of connection.
    pub class: String,
    /// What it is called on the pages; the class's title when left out.
    pub title: Option<String>,
    /// Where it begins and where it ends.
    pub ends: (Fixing, Fixing),
    /// What holds it between its ends, from the first to the second; `none` when nothing does.
    pub held_by: Option<HeldBy>,
    /// Its place, mm, when its fixings have none of their own.
    #[schemars(with = "Option<[Amount; 3]>")]
    pub at: Option<[Written; 3]>,
    /// Its area, when it is not the class's.
    pub area: Option<String>,
    /// Whether it is taken apart whatever is measured on it, and so put together and checked again.
    #[schemars(with = "Option<YesNo>")]
    pub apart: Option<Written>,
    /// What was measured on it.
    #[serde(default)]
    pub measured: BTreeMap<String, Measured>,
    /// What was measured on one of its spans.
    #[serde(default)]
    pub spans: Vec<Span>,
}

/// One stretch of a link between two neighbouring fixings.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Span {
    /// The first fixing's part.
    pub from: String,
    /// The next fixing's part.
    pub to: String,
    /// What was measured there.
    pub measured: BTreeMap<String, Measured>,
}

/// A person who works on the job.
#[derive(Debug, Clone, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub(crate) struct Person {
    /// The short name that signs.
    pub id: String,
    /// The name on the pages.
    pub name: String,
    /// `fitter`, `supervisor`, `apprentice` or `tradesperson`, one or more.
    pub roles: OneOrMore,
    /// The licences held.
    #[serde(default)]
    pub licences: OneOrMore,
    /// Hours of work of every day, or of each day of the week.
    pub hours: Option<Hours>,
    /// The days of the week on which the hours hold: `mon-fri`, or a list.
    pub days: Option<OneOrMore>,
    /// When the person is not there: dates, or times from and to.
    pub away: Option<OneOrMore>,
    /// Whether the person comes only when called.
    #[schemars(with = "Option<YesNo>")]
    pub on_call: Option<Written>,
}

/// Hours of work such as `07:30-12:00, 12:30-16:00`, or a map of them by day of the week.
#[derive(Debug, Clone, PartialEq, Eq, JsonSchema)]
#[schemars(untagged)]
pub(crate) enum Hours {
    /// The same on every day of work.
    Daily(String),
    /// By day of the week.
    ByDay(BTreeMap<String, String>),
}

/// One word, or a list of words.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(crate) struct OneOrMore(pub Vec<String>);

/// `none`, one fixing, or a list of fixings.
#[derive(Debug, Clone)]
pub(crate) struct HeldBy(pub Vec<Fixing>);

/// A part that a link is fixed to, with the place of the fixing when it is known.
#[derive(Debug, Clone)]
pub(crate) struct Fixing {
    /// The part's id.
    pub part: String,
    /// The fixing's place, mm.
    pub at: Option<[Written; 3]>,
}

/// One measured value, such as `40 mm` or `yes`, or one set of values for each key of a list.
#[derive(Debug, Clone, PartialEq, JsonSchema)]
#[schemars(untagged)]
pub enum Measured {
    /// One value.
    One(Written),
    /// For each key, its fields.
    Each(BTreeMap<String, BTreeMap<String, Written>>),
}

/// The measurements of every mount. Whoever writes `measured` before them, as at a single mount, is told of that and of nothing else.
fn every_mount<'de, D: Deserializer<'de>>(
    deserializer: D,
) -> Result<BTreeMap<String, Measured>, D::Error> {
    struct Entries;
    impl<'de> Visitor<'de> for Entries {
        type Value = BTreeMap<String, Measured>;
        fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
            f.write_str("measurements by their names")
        }
        fn visit_unit<E: de::Error>(self) -> Result<Self::Value, E> {
            Ok(BTreeMap::new())
        }
        fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
            let mut entries = BTreeMap::new();
            while let Some(name) = map.next_key::<String>()? {
                if name == "measured" {
                    let message =
                        "the measurements of every mount stand under `every_mount` itself";
                    let help = "take `measured` out: `every_mount: {bolt_length: 85 mm}`";
                    return Err(de::Error::custom(with_help(message, help)));
                }
                entries.insert(name, map.next_value()?);
            }
            Ok(entries)
        }
    }
    deserializer.deserialize_map(Entries)
}

impl<'de> Deserialize<'de> for OneOrMore {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(OneOr {
            expected: "a word or a list of words",
            one: |word| Self(vec![word]),
            more: More::List(Self),
        })
    }
}

impl<'de> Deserialize<'de> for Hours {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(OneOr {
            expected: "hours such as `07:30-12:00, 12:30-16:00`, or a map of them by day",
            one: Self::Daily,
            more: More::Map(Self::ByDay),
        })
    }
}

impl<'de> Deserialize<'de> for HeldBy {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(OneOr {
            expected: "`none`, or a list of the parts that hold it in order",
            one: |word: String| match word.as_str() {
                "none" => Self(Vec::new()),
                _ => Self(vec![Fixing::on(word)]),
            },
            more: More::List(Self),
        })
    }
}

/// A fixing with its place.
#[derive(Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
struct Placed {
    /// The part's id.
    part: String,
    /// The fixing's place: x forward, y left, z up, mm.
    #[schemars(with = "[Amount; 3]")]
    at: [Written; 3],
}

impl Fixing {
    fn on(part: String) -> Self {
        Self { part, at: None }
    }
}

impl<'de> Deserialize<'de> for Fixing {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(OneOr {
            expected: "a part's id, or `{part: …, at: [x, y, z]}`",
            one: Self::on,
            more: More::Map(|placed: Placed| Self {
                part: placed.part,
                at: Some(placed.at),
            }),
        })
    }
}

impl<'de> Deserialize<'de> for Measured {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(OneOr {
            expected: "one value, such as `40 mm` or `yes`, or a map of them by key",
            one: Self::One,
            more: More::Map(Self::Each),
        })
    }
}

impl JsonSchema for OneOrMore {
    fn schema_name() -> Cow<'static, str> {
        "OneOrMore".into()
    }

    fn inline_schema() -> bool {
        true
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        json_schema!({"anyOf": [
            generator.subschema_for::<String>(),
            {"type": "array", "items": generator.subschema_for::<String>()},
        ]})
    }
}

impl JsonSchema for HeldBy {
    fn schema_name() -> Cow<'static, str> {
        "HeldBy".into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "description": "`none`, one part, or a list of the parts that hold it, in order.",
            "anyOf": [
                {"const": "none"},
                generator.subschema_for::<String>(),
                {"type": "array", "items": generator.subschema_for::<Fixing>()},
            ],
        })
    }
}

impl JsonSchema for Fixing {
    fn schema_name() -> Cow<'static, str> {
        "Fixing".into()
    }

    fn json_schema(generator: &mut SchemaGenerator) -> Schema {
        json_schema!({
            "description": "A part's id, or the part with the place of the fixing.",
            "anyOf": [
                generator.subschema_for::<String>(),
                generator.subschema_for::<Placed>(),
            ],
        })
    }
}
