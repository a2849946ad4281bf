//! The cut: which links a body lift pulls apart, where, when on the way, and what follows for parts bolted to both sides.

use serde_json::json;

use crate::support::geometry::worst_growth;
use crate::support::plan::Plan;
use crate::support::run::{Bench, Outcome, case};
use crate::support::vehicle::{Body, Link, Part, Vehicle, mm};

/// Runs `sheet` on a vehicle with the shipped rules.
fn shipped(vehicle: &Vehicle) -> Outcome {
    let bench = Bench::new().file("job.yaml", vehicle.yaml());
    bench.run(["sheet", "job.yaml", "--format", "json"])
}

/// Runs `sheet` on a vehicle with the few rules of `cases/rules/small`, which nobody rewords.
fn small(vehicle: &Vehicle) -> Outcome {
    let bench = Bench::new()
        .folder(&case("rules/small"), "rules")
        .file("job.yaml", vehicle.yaml());
    bench.run([
        "sheet",
        "job.yaml",
        "--format",
        "json",
        "--only-own-rules",
        "--rules",
        "rules",
    ])
}

fn plan(outcome: &Outcome) -> Plan {
    Plan(outcome.json())
}

/// The spans of a link that are disturbed, as (from, to).
fn disturbed<'a>(plan: &'a Plan, link: &str) -> Vec<(&'a str, &'a str)> {
    let spans = plan.link(link)["spans"].as_array().unwrap();
    let spans = spans.iter().filter(|span| span["disturbed"] == true);
    spans
        .map(|span| (span["from"].as_str().unwrap(), span["to"].as_str().unwrap()))
        .collect()
}

#[test]
fn a_pipe_with_both_ends_on_the_body_but_clipped_to_the_chassis_is_torn_all_the_same() {
    let pipe = |held: bool| {
        let link = Link::new("pipe", "brake-hard-line")
            .end("bulkhead", [0.0, 400.0, 500.0])
            .end("guard", [600.0, 450.0, 500.0]);
        if held {
            link.held("rail-clip", [300.0, 420.0, 60.0])
        } else {
            link.free()
        }
    };
    let vehicle = |held| {
        Vehicle::wagon(40.0)
            .part("guard", "body")
            .part("rail-clip", "chassis")
            .link(pipe(held))
    };
    let clipped = plan(&shipped(&vehicle(true)).code(0));
    assert_eq!(
        disturbed(&clipped, "pipe"),
        [("bulkhead", "rail-clip"), ("rail-clip", "guard")]
    );
    assert_eq!(clipped.link("pipe")["disturbed"], true);
    let free = plan(&shipped(&vehicle(false)).code(0));
    assert_eq!(free.link("pipe")["disturbed"], false);
    assert_eq!(free.verdict("pipe"), "leave");
}

#[test]
fn the_brake_hose_of_an_axle_rides_with_the_chassis() {
    // Fact (common practice): a body lift leaves the axle's brake hose alone, a suspension lift does not.
    let hose = Link::new("hose", "brake-flexible-line")
        .end("junction", [250.0, 400.0, 40.0])
        .end("axle", [300.0, 600.0, -100.0])
        .free();
    let vehicle = Vehicle::wagon(40.0)
        .part("junction", "chassis")
        .with_part(Part::new("axle", "chassis").droop(120.0))
        .link(hose);
    let plan = plan(&shipped(&vehicle).code(0));
    assert_eq!(plan.verdict("hose"), "leave");
    assert_eq!(plan.link("hose")["disturbed"], false);
    assert_eq!(
        plan.link("hose")["because"],
        "junction and axle ride with the chassis"
    );
    // The apprentice is told why.
    let class = include_str!("../rules/connections/brake-flexible-line.yaml");
    assert!(class.contains("a suspension lift pulls it, a body lift does not"));
}

#[test]
fn a_floating_part_is_refused_with_the_whole_chain() {
    let vehicle = Vehicle::wagon(40.0)
        .part("airbox", "inner-guard")
        .part("inner-guard", "airbox");
    let outcome = shipped(&vehicle).failed();
    outcome
        .complains("error[floating-part]: part `airbox` is fixed to `inner-guard`, but nothing of that hangs on the chassis")
        .complains("part `inner-guard` is fixed to `airbox`, but");
}

#[test]
fn a_part_bolted_to_both_sides_without_a_class_stops_the_lift() {
    let vehicle = Vehicle::wagon(40.0).with_part(Part::new("steady", "body").and_to("chassis"));
    let outcome = small(&vehicle).code(3);
    let plan = plan(&outcome);
    assert_eq!(plan.verdict("steady"), "stop");
    let because = plan.link("steady")["because"].as_str().unwrap();
    assert!(because.contains("body and chassis"), "{because}");
    assert!(
        !plan.ids().iter().any(|id| id.starts_with("steady.")),
        "nothing is to be done on it"
    );
}

#[test]
fn a_part_bolted_to_both_sides_with_a_class_is_released_and_remade() {
    let steady = Part::new("steady", "body")
        .and_to("chassis")
        .class("steady-bar");
    let outcome = small(&Vehicle::wagon(40.0).with_part(steady)).done();
    let plan = plan(&outcome);
    assert_eq!(plan.verdict("steady"), "fabricate");
    plan.in_order(&[
        "steady.release",
        "up.body.left",
        "tight.body",
        "steady.correct",
        "steady.refit",
        "steady.check",
    ]);
}

#[test]
fn what_hangs_on_a_bridging_part_rides_with_both_and_is_no_bridge_itself() {
    let vehicle = Vehicle::wagon(40.0)
        .with_part(
            Part::new("steady", "body")
                .and_to("chassis")
                .class("steady-bar"),
        )
        .part("clip", "steady")
        .link(
            Link::new("loom", "hose")
                .end("clip", [0.0, 300.0, 50.0])
                .end("steady", [0.0, 200.0, 50.0])
                .free(),
        )
        .link(
            Link::new("wire", "hose")
                .end("clip", [0.0, 300.0, 50.0])
                .end("engine", [400.0, 0.0, 300.0])
                .free(),
        );
    let plan = plan(&small(&vehicle).code(0));
    let links = plan.0["links"].as_array().unwrap();
    assert!(
        links.iter().all(|link| link["id"] != "clip"),
        "the clip is bolted to one part only"
    );
    assert_eq!(plan.link("wire")["disturbed"], true);
}

#[test]
fn a_link_whose_ends_ride_together_is_left_alone_only_once_somebody_has_looked() {
    let hose = || {
        Link::new("hose", "hose")
            .end("bulkhead", [0.0, 0.0, 500.0])
            .end("lamp", [900.0, 0.0, 500.0])
    };
    let vehicle = |link| Vehicle::wagon(40.0).part("lamp", "body").link(link);
    let looked = plan(&small(&vehicle(hose().free())).done());
    assert_eq!(looked.verdict("hose"), "leave");
    assert_eq!(looked.0["provisional"], false);
    let unseen = plan(&small(&vehicle(hose())).code(0));
    assert_eq!(unseen.verdict("hose"), "measure");
    assert_eq!(unseen.0["provisional"], true);
    assert_eq!(
        unseen.link("hose")["missing"],
        json!(["links[hose].held_by"])
    );
    assert_eq!(unseen.position("hose.measure"), 0);
}

#[test]
fn a_disturbed_link_that_would_be_left_is_measured_while_nobody_has_looked_how_it_is_held() {
    let hose = Link::new("hose", "hose")
        .end("bulkhead", [0.0, 0.0, 500.0])
        .end("engine", [200.0, 0.0, 400.0])
        .measured("slack", "200 mm");
    let plan = plan(&small(&Vehicle::wagon(40.0).link(hose)).code(0));
    assert_eq!(plan.verdict("hose"), "measure");
}

#[test]
fn how_it_is_held_is_asked_before_it_is_measured() {
    let hose = Link::new("hose", "hose")
        .end("bulkhead", [0.0, 0.0, 500.0])
        .end("engine", [200.0, 0.0, 400.0]);
    let plan = plan(&small(&Vehicle::wagon(40.0).link(hose)).code(0));
    assert_eq!(
        plan.link("hose")["missing"],
        json!(["links[hose].held_by", "measured.slack"])
    );
}

#[test]
fn what_was_measured_may_say_that_both_sides_hold_it() {
    let shafts = |bearing| {
        let link = Link::new("shafts", "propeller-shafts")
            .end("engine", [-300.0, 0.0, 100.0])
            .end("axle", [-2600.0, 0.0, 0.0]);
        let link = link.free().measured("bearing", bearing);
        let vehicle = Vehicle::wagon(40.0).with_part(Part::new("axle", "chassis").droop(120.0));
        plan(&shipped(&vehicle.link(link)).code(0))
    };
    assert_eq!(shafts("chassis").verdict("shafts"), "leave");
    let on_body = shafts("body");
    assert_eq!(on_body.verdict("shafts"), "measure");
    assert_eq!(
        on_body.link("shafts")["missing"],
        json!(["links[shafts].held_by"])
    );
}

#[test]
fn what_is_missing_on_two_stretches_adds_up() {
    let hose = |second: f64| {
        Link::new("hose", "hose")
            .end("bulkhead", [0.0, 0.0, 500.0])
            .held("rail-clip", [0.0, 300.0, 500.0])
            .end("guard", [0.0, 600.0, 500.0])
            .on_span("bulkhead", "rail-clip", "slack", "22 mm")
            .on_span("rail-clip", "guard", "slack", mm(second))
    };
    let because = |second| {
        let vehicle = Vehicle::wagon(40.0)
            .part("guard", "body")
            .part("rail-clip", "chassis");
        let plan = plan(&small(&vehicle.link(hose(second))).done());
        plan.link("hose")["because"].as_str().unwrap().to_owned()
    };
    // By hand: 25 mm are to be left and the rise takes 40 mm: 43 mm are short on the one, 33 mm or 5 mm on the other.
    assert_eq!(because(32.0), "43 mm is short; 76 mm on all its stretches");
    assert_eq!(because(60.0), "43 mm is short; 48 mm on all its stretches");
}

#[test]
fn the_axle_drops_while_the_wheels_hang() {
    let hose = Link::new("breather", "hose")
        .end("axle", [0.0, 100.0, -100.0])
        .end("bulkhead", [0.0, 100.0, 300.0])
        .free()
        .measured("slack", "150 mm");
    let vehicle = |hang| Vehicle {
        wheels_hang: hang,
        ..Vehicle::wagon(40.0)
            .with_part(Part::new("axle", "chassis").droop(120.0))
            .link(hose.clone())
    };
    let up = |plan: &Plan| {
        plan.link("breather")["spans"][0]["working_up"]["value"]
            .as_f64()
            .unwrap()
    };
    let standing = plan(&small(&vehicle(false)).done());
    let hanging = plan(&small(&vehicle(true)).done());
    assert!((up(&hanging) - up(&standing) - 120.0).abs() < 1e-9);
    assert_eq!(standing.link("breather")["release"], false);
    assert_eq!(hanging.link("breather")["release"], true);
}

#[test]
fn the_droop_of_an_axle_is_that_of_what_hangs_on_it() {
    let hose = Link::new("breather", "hose")
        .end("brake", [0.0, 100.0, -100.0])
        .end("bulkhead", [0.0, 100.0, 300.0])
        .free()
        .measured("slack", "150 mm");
    let vehicle = Vehicle {
        wheels_hang: true,
        ..Vehicle::wagon(40.0)
            .with_part(Part::new("axle", "chassis").droop(120.0))
            .part("brake", "axle")
            .link(hose)
    };
    assert_eq!(
        plan(&small(&vehicle).done()).link("breather")["release"],
        true
    );
}

#[test]
fn a_rise_without_a_place_is_the_largest_and_said_to_be_assumed() {
    let hose = |placed: bool| {
        let link = Link::new("hose", "hose").free().measured("slack", "100 mm");
        if placed {
            link.end("bulkhead", [0.0, 0.0, 500.0])
                .end("engine", [200.0, 0.0, 400.0])
        } else {
            link.end_somewhere("bulkhead").end_somewhere("engine")
        }
    };
    let mut vehicle = Vehicle::wagon(40.0).link(hose(false));
    // Front blocks 10 mm higher than rear ones: the largest rise is at the front.
    for mount in &mut vehicle.bodies[0].mounts {
        mount.spacer = Some(if mount.at[0] > 0.0 { 50.0 } else { 40.0 });
    }
    let nowhere = plan(&small(&vehicle).code(0));
    let span = &nowhere.link("hose")["spans"][0];
    assert_eq!(span["rise_assumed"], true);
    assert!((span["rise"]["value"].as_f64().unwrap() - 50.0).abs() < 1e-9);
    vehicle.links = vec![hose(true)];
    let placed = plan(&small(&vehicle).code(0));
    let span = &placed.link("hose")["spans"][0];
    assert_eq!(span["rise_assumed"], false);
    // On the line from 50 mm at x = 1200 to 40 mm at x = −1500, at x = 0: 40 + 10·1500/2700.
    assert!(
        (span["rise"]["value"].as_f64().unwrap() - (40.0 + 10.0 * 1500.0 / 2700.0)).abs() < 1e-9
    );
}

#[test]
fn groups_stand_in_the_order_in_which_they_go_up() {
    let plan = plan(&small(&Vehicle::dual_cab(40.0)).done());
    assert_eq!(
        plan.0["groups"],
        json!([{"id": "chassis"}, {"id": "cab"}, {"id": "tub"}])
    );
    let mut other = Vehicle::dual_cab(40.0);
    other.bodies.reverse();
    let other = self::plan(&small(&other).done());
    assert_eq!(
        other.0["groups"],
        json!([{"id": "chassis"}, {"id": "tub"}, {"id": "cab"}])
    );
    plan.in_order(&[
        "up.cab.left",
        "up.cab.right",
        "tight.cab",
        "up.tub.left",
        "up.tub.right",
        "tight.tub",
    ]);
    other.in_order(&["tight.tub", "up.cab.left"]);
}

#[test]
fn a_link_between_cab_and_tub_is_disturbed_only_on_the_way() {
    let loom = Link::new("loom", "hose")
        .end("cab", [-1400.0, 500.0, 60.0])
        .end("tub", [-1800.0, 500.0, 60.0])
        .free()
        .measured("slack", "1 mm");
    let plan = plan(&small(&Vehicle::dual_cab(40.0).link(loom)).done());
    let span = &plan.link("loom")["spans"][0];
    assert_eq!(span["rise"]["value"], 0.0);
    assert_eq!(span["disturbed"], true);
    assert_eq!(plan.verdict("loom"), "leave");
    assert_eq!(
        plan.link("loom")["release"],
        true,
        "it comes apart on the way, and goes together again"
    );
    plan.in_order(&["loom.release", "up.cab.left", "tight.tub", "loom.refit"]);
}

#[test]
fn the_side_that_goes_first_goes_first() {
    let mut vehicle = Vehicle::wagon(40.0);
    vehicle.bodies[0].first_side = "right";
    let plan = plan(&small(&vehicle).done());
    plan.in_order(&[
        "up.body.right",
        "blocks-in.body.right",
        "down.body.right",
        "up.body.left",
        "down.body.left",
        "tight.body",
    ]);
}

#[test]
fn a_bridging_part_needs_the_class_of_a_bridge_only_when_its_own_bolts_bridge() {
    // Bolted twice to the body: it rides with it.
    let vehicle = Vehicle::wagon(40.0).with_part(Part::new("bracket", "body").and_to("bulkhead"));
    let plan = plan(&small(&vehicle).done());
    assert!(
        plan.0["links"]
            .as_array()
            .unwrap()
            .iter()
            .all(|link| link["id"] != "bracket")
    );
}

#[test]
fn a_side_is_told_from_the_middle_of_the_mounts_wherever_the_origin_is() {
    // The same wagon with its origin at the left sill: every y is 1000 mm less.
    let mut vehicle = Vehicle::wagon(40.0);
    for mount in &mut vehicle.bodies[0].mounts {
        mount.at[1] -= 1000.0;
    }
    let plan = plan(&small(&vehicle).done());
    let left = |task: &&serde_json::Value| {
        task["side"] == "left" && task["stage"] == "space" && task["for"] != json!([])
    };
    let links: Vec<&serde_json::Value> = plan
        .tasks()
        .iter()
        .filter(left)
        .map(|task| &task["for"])
        .collect();
    assert_eq!(links, [&json!(["mount-BODY-1L", "mount-BODY-2L"])]);
}

#[test]
fn each_span_of_a_link_needs_its_own_slack() {
    let pipe = || {
        Link::new("hose", "hose")
            .end("bulkhead", [0.0, 400.0, 500.0])
            .held("engine", [300.0, 420.0, 60.0])
            .end("guard", [600.0, 450.0, 500.0])
    };
    let vehicle = |link| Vehicle::wagon(40.0).part("guard", "body").link(link);
    let whole = plan(&small(&vehicle(pipe().measured("slack", 200))).code(0));
    assert_eq!(
        whole.verdict("hose"),
        "measure",
        "one slack for two spans says nothing of either"
    );
    assert_eq!(whole.link("hose")["missing"].as_array().unwrap().len(), 2);
    let on_spans = |second: i32| {
        let link = pipe()
            .on_span("bulkhead", "engine", "slack", 200)
            .on_span("engine", "guard", "slack", second);
        plan(&small(&vehicle(link)).code(0))
    };
    assert_eq!(on_spans(200).verdict("hose"), "leave");
    assert_eq!(
        on_spans(20).verdict("hose"),
        "extend",
        "the heaviest span decides"
    );
}

#[test]
fn either_of_two_bodies_on_its_way_pulls_at_what_joins_them() {
    // The narrow body tips further than the wide one, and its fixing is the upper one: the worst pose is once the first body's and
    // once the second's.
    for (cab, tub, above) in [(350.0, 700.0, 20.0), (700.0, 350.0, -20.0)] {
        let at = ([-1400.0, 320.0, 60.0 + above], [-1400.0, 320.0, 60.0]);
        let mut vehicle = Vehicle::dual_cab(40.0);
        vehicle.bodies = vec![
            Body::new("cab", 900.0, -1400.0, cab),
            Body::new("tub", -1780.0, -3150.0, tub),
        ];
        let loom = Link::new("loom", "hose")
            .end("cab", at.0)
            .end("tub", at.1)
            .free()
            .measured("slack", 0);
        let vehicle = vehicle.link(loom);
        let worst = worst_growth(
            &vehicle,
            (Some(&vehicle.bodies[0]), at.0),
            (Some(&vehicle.bodies[1]), at.1),
        );
        let plan = plan(&small(&vehicle).done());
        let working = plan.link("loom")["spans"][0]["working"]["value"]
            .as_f64()
            .unwrap();
        assert!(
            working >= worst - 0.1,
            "{working} mm of working movement, and {worst} mm in one pose"
        );
        assert!(
            working < 2.0 * worst,
            "{working} mm is no bound worth having where {worst} mm are the worst"
        );
    }
}
