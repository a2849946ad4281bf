//! Local limits held against worked vehicles, each figure with the document that it was read in and how firm that is. Metric figures are
//! computed: 1 in = 25.4 mm and 1 lb = 0.45359237 kg exactly.

mod australia;
mod by_number;
mod united_states;

use std::collections::{BTreeMap, BTreeSet};

use liftsheet::assess::LimitState;
use liftsheet::job;
use liftsheet::pipeline;
use liftsheet::report::Report;
use liftsheet::rules::{self, Files, Wanted};
use liftsheet::source::Source;
use serde_json::Value;

use crate::support::run::case;

/// How one limit came out: its word, what was compared and the most allowed (mm or %), what follows.
#[derive(Debug, Clone, PartialEq)]
struct Out {
    state: &'static str,
    value: f64,
    most: f64,
    verdict: &'static str,
    missing: Vec<String>,
}

/// A job in a region: fields of `vehicle`, the height of the blocks and of one mount's own, as YAML.
struct Trial<'a> {
    region: &'a str,
    vehicle: &'a str,
    spacer: &'a str,
    own: Option<&'a str>,
}

impl Trial<'_> {
    fn text(&self) -> String {
        let own = self
            .own
            .map(|own| format!(", spacer: {own}"))
            .unwrap_or_default();
        let Self {
            region,
            vehicle,
            spacer,
            ..
        } = self;
        format!(
            "job: Trial\nregion: {region}\nvehicle: {{name: Trial, construction: ladder frame, {vehicle}}}\n\
             lift: {{spacer: {spacer}, raise: [{{group: body, first_side: left}}]}}\n\
             mounts:\n  - {{id: a, group: body, at: [1000, 500, 0]}}\n  - {{id: b, group: body, at: [1000, -500, 0]}}\n  \
             - {{id: c, group: body, at: [-1000, 500, 0]}}\n  - {{id: d, group: body, at: [-1000, -500, 0]{own}}}\n\
             parts: {{}}\n"
        )
    }

    /// Every limit by its id, and the plan.
    #[track_caller]
    fn held(&self) -> (BTreeMap<String, Out>, Value) {
        let mounts = Source::read(&case("rules/small/connections/body-mount.yaml")).unwrap();
        let own = BTreeMap::from([("connections/body-mount.yaml".to_owned(), mounts)]);
        let wanted = Wanted {
            classes: BTreeSet::from(["body-mount"]),
            regions: BTreeSet::from([self.region]),
        };
        let mut report = Report::new();
        let rules = rules::load(&Files::overlaid(own, true), &wanted, &mut report);
        let source = Source::from_text("job.yaml", self.text());
        let job = job::read(&source, false, &mut report);
        let held = job.and_then(|job| {
            pipeline::run(&job, &rules, &mut report, |made| {
                let json = made.json();
                let limits = made.assessment.limits.iter();
                let limits = limits.map(|held| {
                    let (state, compared, missing) = match &held.state {
                        LimitState::Elsewhere => ("does not apply", None, Vec::new()),
                        LimitState::Kept { value, most } => {
                            ("kept", Some((value, most)), Vec::new())
                        }
                        LimitState::Passed { value, most, .. } => {
                            ("passed", Some((value, most)), Vec::new())
                        }
                        LimitState::NotChecked(missing) => {
                            let places = missing.iter().map(|missing| missing.place.clone());
                            ("not checked", None, places.collect())
                        }
                    };
                    let number = compared.map_or((f64::NAN, f64::NAN), |(value, most)| {
                        (value.value, most.value)
                    });
                    let out = Out {
                        state,
                        value: number.0,
                        most: number.1,
                        verdict: held.verdict().word(),
                        missing,
                    };
                    (held.limit.id.clone(), out)
                });
                (limits.collect(), json)
            })
        });
        held.unwrap_or_else(|| panic!("{:?}\n{}", report.problems, self.text()))
    }

    /// Asserts how one limit came out, with what was compared and the most allowed.
    #[track_caller]
    fn expect(&self, limit: &str, state: &str, value: f64, most: f64) {
        let (held, _) = self.held();
        let out = held
            .get(limit)
            .unwrap_or_else(|| panic!("no limit `{limit}`"));
        assert_eq!(out.state, state, "{out:?}");
        assert!((out.value - value).abs() < 1e-9, "{out:?}");
        assert!((out.most - most).abs() < 1e-9, "{out:?}");
    }

    /// The words of all limits, in the order of their ids.
    #[track_caller]
    fn words(&self) -> Vec<(String, &'static str, &'static str)> {
        let (held, _) = self.held();
        held.into_iter()
            .map(|(id, out)| (id, out.state, out.verdict))
            .collect()
    }
}

const fn trial<'a>(region: &'a str, vehicle: &'a str, spacer: &'a str) -> Trial<'a> {
    Trial {
        region,
        vehicle,
        spacer,
        own: None,
    }
}

/// A fact that the job does not give leaves a limit unchecked, and is named.
#[test]
fn what_is_not_known_is_not_checked() {
    let (held, plan) = trial(
        "california",
        "passenger_car: no, gross_mass: 6000 lb",
        "40 mm",
    )
    .held();
    let floor = &held["floor-over-frame"];
    assert_eq!((floor.state, floor.verdict), ("not checked", "leave"));
    assert_eq!(floor.missing, ["vehicle.floor_over_frame"]);
    let truck = &held["frame-height-truck"];
    assert_eq!(
        truck.missing,
        ["vehicle.done.tyre_after", "vehicle.frame_height"]
    );
    assert_eq!(held["frame-height-car"].state, "does not apply");
    assert_eq!(plan["limits"][0]["state"], "not checked");
}

/// A jurisdiction of which nothing was read on the height of a body has no limit, and says so.
#[test]
fn what_was_not_read_is_no_limit() {
    for region in ["new-zealand", "north-carolina", "south-australia"] {
        let (held, _) = trial(region, "body_mass: 700 kg", "100 mm").held();
        assert!(held.is_empty(), "{region}: {held:?}");
    }
}

/// Every limit names its document and how firmly it is known; what is only remembered is never a stop.
#[test]
fn every_limit_says_where_it_was_read() {
    let files = Files::builtin();
    let regions = files.ids("limits");
    let wanted = Wanted {
        classes: BTreeSet::new(),
        regions: regions.iter().map(String::as_str).collect(),
    };
    let mut report = Report::new();
    let rules = rules::load(&files, &wanted, &mut report);
    let mut count = 0;
    for region in rules.regions.values() {
        assert!(
            region.note.is_some(),
            "{}: says nothing of what was not read",
            region.file
        );
        for limit in &region.limits {
            count += 1;
            let firm = ["read", "secondary copy"].contains(&limit.source.status.as_str());
            assert!(firm, "{}: {}", region.file, limit.id);
        }
    }
    assert!(regions.len() >= 30 && count >= 60, "{regions:?}: {count}");
}
