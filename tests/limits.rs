//! Local limits held against worked vehicles, each figure with the document that it was read in and how firm that is. Metric figures are
//! computed: 1 in = 25.4 mm and 1 lb = 0.45359237 kg exactly.

use std::collections::{BTreeMap, BTreeSet};

use liftsheet::assess::State;
use liftsheet::job;
use liftsheet::pipeline;
use liftsheet::plan;
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
                let json = plan::to_json(made.job, made.cut, made.assessment, made.plan);
                let limits = made.assessment.limits.iter();
                let limits = limits.map(|held| {
                    let (state, compared, missing) = match &held.state {
                        State::Elsewhere => ("does not apply", None, Vec::new()),
                        State::Kept { value, most } => ("kept", Some((value, most)), Vec::new()),
                        State::Passed { value, most, .. } => {
                            ("passed", Some((value, most)), Vec::new())
                        }
                        State::NotChecked(missing) => {
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

/// California, Vehicle Code s. 24008.5 (b), (c), (d), effective 1988, read on the state's page: the body's floor not more than 5 in above
/// the top of the frame; 5 in = 127.0 mm.
#[test]
fn california_floor_over_frame() {
    let at = |floor: &'static str| trial("california", floor, "50 mm");
    at("floor_over_frame: 77 mm").expect("floor-over-frame", "kept", 127.0, 127.0);
    at("floor_over_frame: 77.1 mm").expect("floor-over-frame", "passed", 127.1, 127.0);
    at("floor_over_frame: 3 in").expect("floor-over-frame", "kept", 126.2, 127.0);
    let (held, plan) = at("floor_over_frame: 90 mm").held();
    assert_eq!(held["floor-over-frame"].verdict, "stop");
    assert_eq!(plan["limits"][0]["verdict"], "stop");
}

/// The same, frame heights: passenger vehicle 23 in; others up to 4 500 lb 27 in, 4 501 to 7 500 lb 30 in, 7 501 to 10 000 lb 31 in.
#[test]
fn california_frame_heights() {
    const SAME: &str = "done: {tyre_before: 235/75R15, tyre_after: 235/75R15}";
    let expect = |facts: &str, limit, state, value, most| {
        trial("california", &format!("{facts}, {SAME}"), "40 mm").expect(limit, state, value, most);
    };
    let car = "passenger_car: yes, gross_mass: 4000 lb";
    expect(
        &format!("{car}, frame_height: 23 in"),
        "frame-height-car",
        "kept",
        584.2,
        584.2,
    );
    expect(
        &format!("{car}, frame_height: 585 mm"),
        "frame-height-car",
        "passed",
        585.0,
        584.2,
    );
    for (mass, most) in [
        ("4500 lb", 685.8),
        ("4501 lb", 762.0),
        ("7500 lb", 762.0),
        ("7501 lb", 787.4),
        ("10000 lb", 787.4),
    ] {
        let truck = format!("passenger_car: no, gross_mass: {mass}, frame_height: 700 mm");
        let state = if most < 700.0 { "passed" } else { "kept" };
        expect(&truck, "frame-height-truck", state, 700.0, most);
    }
    let heavy =
        "passenger_car: no, gross_mass: 10001 lb, frame_height: 900 mm, floor_over_frame: 50 mm";
    let words = trial("california", &format!("{heavy}, {SAME}"), "40 mm").words();
    let heavy: Vec<&str> = words.iter().map(|(_, state, _)| *state).collect();
    assert_eq!(heavy, ["kept", "does not apply", "does not apply"]);
}

/// A body lift leaves the frame where it is; bigger tyres raise it by half of what their diameter grows.
#[test]
fn tyres_and_not_blocks_raise_the_frame() {
    let facts = "passenger_car: no, gross_mass: 6000 lb, frame_height: 500 mm, done: {tyre_before: 235/75R15, tyre_after: 265/75R15}";
    trial("california", facts, "75 mm").expect("frame-height-truck", "kept", 522.5, 762.0);
}

/// Nevada, NRS 484.7385, 2006 text, secondary copy: lowest portion of the body, cars 24 in; trucks up to 4 500 lb 28 in, 4 501 to 7 500 lb
/// 30 in, 7 501 to 10 000 lb 32 in.
#[test]
fn nevada_body_heights() {
    const SAME: &str = "done: {tyre_before: 235/75R15, tyre_after: 235/75R15}";
    let expect = |facts: &str, limit, state, value, most| {
        trial("nevada", &format!("{facts}, {SAME}"), "40 mm").expect(limit, state, value, most);
    };
    let car = "passenger_car: yes, gross_mass: 4000 lb";
    expect(
        &format!("{car}, body_height: 569.6 mm"),
        "body-height-car",
        "kept",
        609.6,
        609.6,
    );
    expect(
        &format!("{car}, body_height: 569.7 mm"),
        "body-height-car",
        "passed",
        609.7,
        609.6,
    );
    for (mass, most) in [
        ("4500 lb", 711.2),
        ("4501 lb", 762.0),
        ("7501 lb", 812.8),
        ("10000 lb", 812.8),
    ] {
        let truck = format!("passenger_car: no, gross_mass: {mass}, body_height: 710 mm");
        let state = if most < 750.0 { "passed" } else { "kept" };
        expect(&truck, "body-height-truck", state, 750.0, most);
    }
}

/// North Dakota, NDCC 39-21-45.1, read on the highway patrol's page: bumper 27 in (685.8 mm), cargo floor 42 in (1066.8 mm).
#[test]
fn north_dakota_bumper_and_floor() {
    const SAME: &str = "done: {tyre_before: 235/75R15, tyre_after: 235/75R15}";
    let at = |facts: &str| trial("north-dakota", &format!("{facts}, {SAME}"), "50 mm").held();
    let (held, _) = at("bumper_height: 635.8 mm, bumper_on_body: yes, floor_height: 1016.8 mm");
    assert_eq!(held["bumper-height"].state, "kept");
    assert_eq!(held["floor-height"].state, "kept");
    let (held, _) = at("bumper_height: 636 mm, bumper_on_body: yes, floor_height: 1017 mm");
    assert_eq!(
        (held["bumper-height"].state, held["bumper-height"].verdict),
        ("passed", "stop")
    );
    assert_eq!(held["floor-height"].state, "passed");
    // On the chassis the bumper stays where it is.
    let (held, _) = at("bumper_height: 685.8 mm, bumper_on_body: no, floor_height: 800 mm");
    assert_eq!(held["bumper-height"].state, "kept");
}

/// Queensland, from October 2018 (ministerial release, copies) and 2019 (police statement in a newspaper), secondary copies: body blocks
/// never without certification; certified 150 mm = at most 75 suspension + 25 tyre + 50 body blocks. The combinations are computed.
#[test]
fn queensland_combinations() {
    // 25 mm by tyres are 50 mm in diameter: 29 in to 30.9685 in.
    const TYRES_25: &str = "tyre_before: 29x9R15, tyre_after: 30.968503937x9R15";
    const TYRES_26: &str = "tyre_before: 29x9R15, tyre_after: 31.047244094x9R15";
    let passed = |springs: &str, tyres: &str, blocks: &str| {
        let vehicle = format!("done: {{suspension_lift: {springs}, {tyres}}}");
        let words = trial("queensland", &vehicle, blocks).words();
        let all = words.len();
        let passed: Vec<String> = words
            .into_iter()
            .filter(|(_, state, _)| *state == "passed")
            .map(|(id, _, verdict)| format!("{id}: {verdict}"))
            .collect();
        assert_eq!(all, 5);
        passed
    };
    let certificate = "blocks-certified: refer";
    assert_eq!(passed("50 mm", TYRES_25, "50 mm"), [certificate]);
    assert_eq!(
        passed(
            "50 mm",
            "tyre_before: 29x9R15, tyre_after: 29x9R15",
            "60 mm"
        ),
        ["blocks: stop", certificate]
    );
    assert_eq!(passed("75 mm", TYRES_25, "50 mm"), [certificate]);
    assert_eq!(
        passed("75 mm", TYRES_26, "50 mm"),
        [certificate, "combined: stop", "tyres: stop"]
    );
}

/// A lift that only a certificate allows brings the engineer's task into the plan.
#[test]
fn what_needs_a_certificate_is_put_to_an_engineer() {
    let vehicle = "done: {suspension_lift: 0 mm, tyre_before: 235/75R15, tyre_after: 235/75R15}";
    let has = |region| {
        let (_, plan) = trial(region, vehicle, "40 mm").held();
        let tasks = plan["tasks"].as_array().unwrap().clone();
        tasks
            .iter()
            .any(|task| task["id"] == "register-with-engineer")
    };
    assert!(has("queensland"));
    assert!(!has("australia-national"));
}

/// The national figures of Australia: up to 50 mm without certification (VSB 14 LS 2.0, a quotation), at most 150 mm with it (read on a
/// Queensland government page).
#[test]
fn australia_national_figures() {
    let vehicle = |springs: &str| {
        format!(
            "done: {{suspension_lift: {springs}, tyre_before: 235/75R15, tyre_after: 235/75R15}}"
        )
    };
    let words = |springs: &str, blocks: &str| {
        let vehicle = vehicle(springs);
        let words = trial("australia-national", &vehicle, blocks).words();
        words
            .into_iter()
            .map(|(id, state, verdict)| format!("{id}: {state}, {verdict}"))
            .collect::<Vec<_>>()
    };
    assert_eq!(
        words("0 mm", "50 mm"),
        [
            "with-certification: kept, leave",
            "without-certification: kept, leave"
        ]
    );
    assert_eq!(
        words("50 mm", "50 mm"),
        [
            "with-certification: kept, leave",
            "without-certification: passed, refer"
        ]
    );
    assert_eq!(
        words("100 mm", "51 mm"),
        [
            "with-certification: passed, stop",
            "without-certification: passed, refer"
        ]
    );
}

/// What is said of springs and tyres is not stretched to blocks: a body lift alone passes nothing in Victoria or New South Wales.
#[test]
fn limits_on_springs_say_nothing_of_blocks() {
    let vehicle = "done: {suspension_lift: 0 mm, tyre_before: 235/75R15, tyre_after: 235/75R15}";
    for region in ["victoria", "new-south-wales"] {
        for (id, state, _) in trial(region, vehicle, "100 mm").words() {
            assert_eq!(state, "kept", "{region}: {id}");
        }
    }
    let springs = "done: {suspension_lift: 51 mm, tyre_before: 235/75R15, tyre_after: 265/75R15}";
    for region in ["victoria", "new-south-wales"] {
        let (held, _) = trial(region, springs, "40 mm").held();
        assert_eq!(held["suspension"].verdict, "refer", "{region}");
        assert_eq!(held["tyre-diameter"].state, "kept", "{region}");
        assert_eq!(held["springs-and-tyres"].state, "kept", "{region}");
    }
}

/// The highest block counts, wherever it stands.
#[test]
fn a_mount_with_a_higher_block_counts() {
    let own = Trial {
        own: Some("60 mm"),
        ..trial("queensland", "body_mass: 700 kg", "40 mm")
    };
    own.expect("blocks", "passed", 60.0, 50.0);
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

/// A jurisdiction of which nothing was read has no limit, and says so.
#[test]
fn what_was_not_read_is_no_limit() {
    for region in ["new-zealand", "new-jersey", "south-australia"] {
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
            region.id
        );
        for limit in &region.limits {
            count += 1;
            let firm = ["read", "secondary copy"].contains(&limit.source.status.as_str());
            assert!(firm, "{}: {}", region.id, limit.id);
        }
    }
    assert!(regions.len() >= 10 && count >= 20, "{regions:?}: {count}");
}
