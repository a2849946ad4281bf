//! Promises that hold for every vehicle: invented ones are made at random, and the plan is asked whether it keeps them.
//!
//! Vehicles are job files in text, so that they go the whole way. Rules are read once; only what concerns the program itself (its
//! options, its bytes) runs the executable, which the last tests do.

use proptest::prelude::*;
use serde_yaml::Value as Yaml;

use crate::support::geometry::worst_growth;
use crate::support::in_process::json;
use crate::support::plan::{Plan, after, id, weight};
use crate::support::run::Bench;
use crate::support::vehicle::{Body, Link, Mount, Part, Point, Vehicle};

/// What a tape does not tell, mm: the program takes the mounts of a side as level when it works out the angle.
const TAPE: f64 = 1.0;

/// Classes that are judged by slack alone, with what else they ask for.
const RUNS: &[(&str, &[(&str, &str)])] = &[
    ("heater-hoses", &[("sound", "yes")]),
    ("accelerator-cable", &[]),
    ("clutch-cable", &[]),
    ("kickdown-cable", &[]),
    ("gearbox-breather", &[]),
    ("brake-booster-vacuum-hose", &[]),
    ("oxygen-sensor-loom", &[]),
    ("power-steering-hoses", &[("pressure", "no")]),
    ("engine-loom", &[("screened", "no"), ("gain", "0 mm")]),
];

fn planned(vehicle: &Vehicle) -> Plan {
    Plan(serde_json::from_str(&json(&vehicle.yaml())).unwrap())
}

/// A whole number of millimetres, as a tape gives it.
fn mm(least: i32, most: i32) -> impl Strategy<Value = f64> {
    (least..=most).prop_map(f64::from)
}

/// A place on a body or near it.
fn place() -> impl Strategy<Value = Point> {
    (mm(-3000, 1500), mm(-700, 700), mm(-100, 900)).prop_map(|(x, y, z)| [x, y, z])
}

/// A place within reach of another, never the same.
fn near() -> impl Strategy<Value = (Point, Point)> {
    (place(), mm(-400, 400), mm(-400, 400), mm(10, 400))
        .prop_map(|(at, x, y, z)| (at, [at[0] + x, at[1] + y, at[2] - z]))
}

/// A body on four mounts or six, not always as wide in front as behind.
fn body(id: &'static str, front: f64) -> impl Strategy<Value = Body> {
    let side = prop::sample::select(vec!["left", "right", "either"]);
    let place = (mm(350, 700), mm(350, 700), mm(0, 80), any::<bool>());
    (place, side).prop_map(move |((half_front, half_rear, high, six), first_side)| {
        let mut body = Body::new(id, front, front - 2000.0, half_rear);
        for mount in &mut body.mounts {
            if mount.at[0] == front {
                mount.at = [front, half_front.copysign(mount.at[1]), high];
            }
        }
        if six {
            let middle = |name: &str, y: f64| Mount {
                id: format!("{}-3{name}", id.to_uppercase()),
                at: [front - 1000.0, y, 0.0],
                spacer: None,
            };
            body.mounts
                .extend([middle("L", half_rear), middle("R", -half_rear)]);
        }
        body.first_side = first_side;
        body
    })
}

/// A vehicle with one or two raised bodies and without links.
fn bare() -> impl Strategy<Value = Vehicle> {
    let bodies = prop_oneof![
        body("cab", 900.0).prop_map(|cab| vec![cab]),
        (body("cab", 900.0), body("tub", -1300.0)).prop_map(|(cab, tub)| vec![cab, tub]),
    ];
    let clearance = prop_oneof![Just(None), mm(15, 40).prop_map(Some)];
    (mm(20, 75), clearance, bodies).prop_map(|(spacer, clearance, bodies)| Vehicle {
        clearance,
        bodies,
        ..Vehicle::dual_cab(spacer)
    })
}

/// A link of a run-type class from the chassis to a body, or between two bodies, with its slack.
fn run_link() -> impl Strategy<Value = (Link, usize, usize)> {
    let class = prop::sample::select(RUNS);
    (class, near(), mm(0, 150), 0..3_usize, 0..3_usize).prop_map(
        |((class, others), (upper, lower), slack, one, other)| {
            let mut link = Link::new("", class)
                .end("", upper)
                .end("", lower)
                .free()
                .measured("slack", slack);
            for (name, value) in others {
                link = link.measured(name, *value);
            }
            (link, one, other)
        },
    )
}

/// A vehicle with links between its groups; a group that is not there is the chassis.
fn vehicle() -> impl Strategy<Value = Vehicle> {
    (bare(), prop::collection::vec(run_link(), 1..6)).prop_map(|(mut vehicle, links)| {
        let groups: Vec<String> = vehicle.bodies.iter().map(|body| body.id.clone()).collect();
        let part = |group: usize| {
            groups
                .get(group)
                .cloned()
                .unwrap_or_else(|| "engine".to_owned())
        };
        for (number, (mut link, one, other)) in links.into_iter().enumerate() {
            link.id = format!("link-{number}");
            link.ends[0].part = part(one);
            link.ends[1].part = part(other);
            vehicle.links.push(link);
        }
        vehicle
    })
}

/// The raised body of a part, none when it rides with the chassis.
fn body_of<'a>(vehicle: &'a Vehicle, part: &str) -> Option<&'a Body> {
    vehicle.bodies.iter().find(|body| body.id == part)
}

/// Puts entries of maps, and of the lists whose order means nothing, into another order.
fn shuffled(yaml: &Yaml, free: bool, dice: &mut impl FnMut(usize) -> usize) -> Yaml {
    let mut shuffle = |count: usize| {
        let mut order: Vec<usize> = (0..count).collect();
        for last in (1..count).rev() {
            order.swap(last, dice(last + 1));
        }
        order
    };
    match yaml {
        Yaml::Mapping(map) => {
            let entries: Vec<(&Yaml, &Yaml)> = map.iter().collect();
            let order = shuffle(entries.len());
            let mut to = serde_yaml::Mapping::new();
            for index in order {
                let (key, value) = entries[index];
                let free = matches!(key.as_str(), Some("links" | "mounts" | "people" | "spans"));
                to.insert(key.clone(), shuffled(value, free, dice));
            }
            Yaml::Mapping(to)
        }
        Yaml::Sequence(list) => {
            let order = if free {
                shuffle(list.len())
            } else {
                (0..list.len()).collect()
            };
            Yaml::Sequence(
                order
                    .into_iter()
                    .map(|index| shuffled(&list[index], false, dice))
                    .collect(),
            )
        }
        other => other.clone(),
    }
}

/// Dice that fall the same for the same seed (Lehmer's generator with Park and Miller's multiplier 48271).
pub(crate) fn dice(seed: u32) -> impl FnMut(usize) -> usize {
    let mut state = u64::from(seed % 2_147_483_646) + 1;
    move |sides| {
        state = state * 48_271 % 2_147_483_647;
        usize::try_from(state).unwrap() % sides
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 32, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_vehicle_s_states_hold_task_by_task(vehicle in vehicle()) {
        let faults = crate::support::reader::faults(&planned(&vehicle).0);
        prop_assert!(faults.is_empty(), "{:#?}", faults);
    }

    #[test]
    fn the_order_respects_every_edge_and_names_earlier_tasks_only(vehicle in vehicle()) {
        let plan = planned(&vehicle);
        let ids = plan.ids();
        for (position, task) in plan.tasks().iter().enumerate() {
            for before in after(task) {
                let found = ids.iter().position(|id| *id == before);
                prop_assert!(found.is_some_and(|found| found < position), "`{}` waits for `{before}`", id(task));
            }
            prop_assert!(!ids[..position].contains(&id(task)), "`{}` stands twice", id(task));
        }
    }

    #[test]
    fn the_order_of_lists_and_keys_in_the_job_file_changes_no_byte(vehicle in vehicle(), seed: u32) {
        let yaml: Yaml = serde_yaml::from_str(&vehicle.yaml()).unwrap();
        let other = serde_yaml::to_string(&shuffled(&yaml, false, &mut dice(seed))).unwrap();
        prop_assert_eq!(json(&vehicle.yaml()), json(&other));
    }

    #[test]
    fn a_higher_block_never_lightens_what_is_pulled(vehicle in vehicle(), more in mm(1, 60)) {
        // Upper end on the body: its level is above the other, so that the distance grows with the rise.
        let mut low = vehicle;
        for link in &mut low.links {
            "cab".clone_into(&mut link.ends[0].part);
            "engine".clone_into(&mut link.ends[1].part);
        }
        let high = Vehicle { spacer: low.spacer + more, ..low.clone() };
        let (before, after) = (planned(&low), planned(&high));
        for link in &low.links {
            let (a, b) = (before.verdict(&link.id), after.verdict(&link.id));
            prop_assert!(weight(a) <= weight(b), "{}: {a} at {}, {b} at {}", link.class, low.spacer, high.spacer);
        }
    }

    #[test]
    fn a_higher_block_never_lightens_a_fan_that_sits_low(
        low in mm(5, 60), more in mm(1, 60), shroud in mm(215, 300), offset in mm(-30, 0), lowering in mm(0, 80),
    ) {
        let fan = Link::new("fan", "fan-and-shroud")
            .end("bulkhead", [700.0, 0.0, 300.0])
            .end("engine", [690.0, 0.0, 300.0])
            .free()
            .measured("shroud_radius", shroud)
            .measured("fan_radius", 150)
            .measured("offset", offset)
            .measured("lowering", lowering);
        let at = |spacer| planned(&Vehicle::wagon(spacer).link(fan.clone()));
        let (before, after) = (at(low), at(low + more));
        prop_assert!(weight(before.verdict("fan")) <= weight(after.verdict("fan")));
    }

    #[test]
    fn nothing_is_torn_on_the_way_up(vehicle in vehicle()) {
        let plan = planned(&vehicle);
        for link in &vehicle.links {
            let [one, other] = &link.ends[..] else { unreachable!() };
            let (at_one, at_other) = (one.at.unwrap(), other.at.unwrap());
            let worst = worst_growth(
                &vehicle,
                (body_of(&vehicle, &one.part), at_one),
                (body_of(&vehicle, &other.part), at_other),
            );
            let slack = link.measured["slack"].as_f64().unwrap();
            let found = plan.link(&link.id);
            if one.part == other.part {
                prop_assert_eq!(&found["disturbed"], false);
                continue;
            }
            let working = found["spans"][0]["working"]["value"].as_f64().unwrap();
            prop_assert!(
                working >= worst - TAPE,
                "`{}` from {} to {}: {working} mm of working movement, and {worst} mm in one pose", link.id, one.part, other.part
            );
            if worst > slack + TAPE {
                prop_assert_eq!(&found["release"], true, "`{}` has {} mm of slack and is pulled {}", link.id, slack, worst);
                let release = format!("{}.release", link.id);
                let raised = plan.tasks().iter().position(|task| task["stage"] == "raise").unwrap();
                prop_assert!(plan.ids()[..raised].contains(&release.as_str()), "it is not taken off before the body goes up");
            }
        }
    }

    #[test]
    fn between_two_bodies_a_link_is_disturbed_only_on_the_way(vehicle in vehicle()) {
        let plan = planned(&vehicle);
        for link in &vehicle.links {
            let both = link.ends.iter().all(|end| body_of(&vehicle, &end.part).is_some());
            if !both || link.ends[0].part == link.ends[1].part {
                continue;
            }
            let span = &plan.link(&link.id)["spans"][0];
            prop_assert_eq!(&span["disturbed"], true);
            // Blocks of one height: both bodies end one block up, so nothing stays apart (`common practice`).
            prop_assert!(span["rise"]["value"].as_f64().unwrap().abs() < 1e-6);
            prop_assert_eq!(plan.verdict(&link.id), "leave");
        }
    }

    #[test]
    fn even_blocks_raise_every_point_by_their_height(vehicle in bare(), at in place()) {
        let spacer = vehicle.spacer;
        let link = Link::new("hose", "heater-hoses").end("bulkhead", at).end("engine", [at[0], at[1], at[2] - 50.0]).free();
        let plan = planned(&vehicle.link(link));
        let rise = plan.link("hose")["spans"][0]["rise"]["value"].as_f64().unwrap();
        prop_assert!((rise - spacer).abs() < 1e-9, "level blocks, level body (`common practice`): {rise}");
    }

    #[test]
    fn uneven_blocks_raise_every_point_to_their_plane(
        base in mm(30, 60), nose_up in -0.004..0.004_f64, left_up in -0.004..0.004_f64, at in place(),
    ) {
        let mut vehicle = Vehicle::wagon(base);
        let plane = |at: Point| base + nose_up * at[0] + left_up * at[1];
        for mount in &mut vehicle.bodies[0].mounts {
            mount.spacer = Some(plane(mount.at));
        }
        let link = Link::new("hose", "heater-hoses").end("bulkhead", at).end("engine", [at[0], at[1], at[2] - 50.0]).free();
        let plan = planned(&vehicle.link(link));
        let rise = plan.link("hose")["spans"][0]["rise"]["value"].as_f64().unwrap();
        prop_assert!((rise - plane(at).abs()).abs() < 1e-6, "{rise} is not {}", plane(at));
    }

    #[test]
    fn wheels_that_hang_only_add(vehicle in vehicle(), droop in mm(0, 200)) {
        let with_axle = |hang| {
            let mut vehicle = vehicle.clone();
            vehicle.wheels_hang = hang;
            vehicle.parts.push(Part::new("axle", "chassis").droop(droop));
            // The axle is below: where it were above the body, its drop would first bring the two together.
            for link in &mut vehicle.links {
                "cab".clone_into(&mut link.ends[0].part);
                "axle".clone_into(&mut link.ends[1].part);
            }
            planned(&vehicle)
        };
        let (standing, hanging) = (with_axle(false), with_axle(true));
        for link in &vehicle.links {
            let up = |plan: &Plan| plan.link(&link.id)["spans"][0]["working_up"]["value"].as_f64().unwrap();
            prop_assert!(up(&hanging) >= up(&standing) - 1e-9);
            let released = |plan: &Plan| plan.link(&link.id)["release"] == true;
            prop_assert!(released(&hanging) || !released(&standing));
        }
    }
}

/// The demo, whose measurements are complete.
fn demo() -> String {
    let path =
        std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("rules/demo/forestry-crew.yaml");
    std::fs::read_to_string(path).unwrap()
}

#[test]
fn the_same_job_gives_the_same_bytes() {
    let bench = Bench::new().file("job.yaml", demo());
    for format in ["json", "md", "html"] {
        let run = || bench.run(["sheet", "job.yaml", "--format", format]).stdout;
        let first = run();
        assert!(first.len() > 1000, "{format}");
        assert_eq!(first, run(), "{format}");
    }
}

#[test]
fn units_change_no_byte_of_json_and_no_digest() {
    let bench = Bench::new().file("job.yaml", demo());
    let json = |units| {
        bench
            .run(["sheet", "job.yaml", "--format", "json", "--units", units])
            .stdout
    };
    let metric = json("mm");
    assert_eq!(metric, json("in"));
    let page = |units| {
        bench
            .run(["sheet", "job.yaml", "--format", "md", "--units", units])
            .stdout
    };
    let (mm, inches) = (page("mm"), page("in"));
    assert_ne!(mm, inches, "the page does change");
    let digest = serde_json::from_str::<serde_json::Value>(&metric).unwrap()["plan_digest"]
        .as_str()
        .unwrap()
        .to_owned();
    let short = digest
        .strip_prefix("sha256:")
        .unwrap()
        .get(..12)
        .unwrap()
        .to_owned();
    assert!(
        mm.contains(&short) && inches.contains(&short),
        "both pages carry the digest {short}"
    );
}

#[test]
fn the_order_of_the_demo_file_changes_no_byte() {
    let yaml: Yaml = serde_yaml::from_str(&demo()).unwrap();
    let bench = |text: String| Bench::new().file("job.yaml", text);
    let json = |text| {
        bench(text)
            .run(["sheet", "job.yaml", "--format", "json"])
            .code(0)
            .stdout
    };
    let first = json(demo());
    for seed in [1, 2, 3] {
        let other = serde_yaml::to_string(&shuffled(&yaml, false, &mut dice(seed))).unwrap();
        assert_eq!(first, json(other), "seed {seed}");
    }
}

#[test]
fn another_order_of_bodies_is_another_plan() {
    let vehicle = Vehicle::dual_cab(40.0);
    let mut other = vehicle.clone();
    other.bodies.reverse();
    assert_ne!(json(&vehicle.yaml()), json(&other.yaml()));
}
