//! Every figure of the limits that were read last, on both sides of it: kept at the figure, passed a tenth of a millimetre above.

use super::trial;

/// What of a vehicle is varied until a limit is passed.
#[derive(Debug, Clone, Copy)]
enum Varied {
    /// A height that rises with the body.
    Rides(&'static str),
    /// A height that stays with the frame.
    Stays(&'static str),
    /// The blocks.
    Blocks,
    /// What the springs add to the blocks.
    Springs,
}

use Varied::{Blocks, Rides, Springs, Stays};

const CAR: &str = "passenger_car: yes";
const FLOOR: Varied = Rides("floor_over_frame");
const HIGHER: Varied = Rides("bumper_height");
const FRONT: Varied = Rides("front_bumper_height");
const FRAME: Varied = Stays("frame_height");
const FRONT_END: Varied = Stays("front_frame_end");
const REAR_END: Varied = Stays("rear_frame_end");

/// Asserts that a limit is kept at its figure (in inches, 1 in = 25.4 mm exactly) and passed above it, with what follows.
#[track_caller]
fn sides(region: &str, limit: &str, facts: &str, varied: Varied, inches: f64, verdict: &str) {
    const BLOCKS: f64 = 50.0;
    const SAME: &str = "tyre_before: 235/75R15, tyre_after: 235/75R15";
    let most = inches * 25.4;
    for (over, state) in [(0.0, "kept"), (0.1, "passed")] {
        let reached = most + over;
        let (fact, springs, blocks) = match varied {
            Rides(fact) => (format!("{fact}: {} mm, ", reached - BLOCKS), 0.0, BLOCKS),
            Stays(fact) => (format!("{fact}: {reached} mm, "), 0.0, BLOCKS),
            Blocks => (String::new(), 0.0, reached),
            Springs => (String::new(), reached - BLOCKS, BLOCKS),
        };
        let vehicle = format!(
            "{facts}, bumper_on_body: yes, {fact}done: {{body_lift: 0 mm, suspension_lift: {springs} mm, {SAME}}}"
        );
        let spacer = format!("{blocks} mm");
        let (held, _) = trial(region, &vehicle, &spacer).held();
        let out = &held[limit];
        assert_eq!(out.state, state, "{region}, {limit}, {facts}: {out:?}");
        assert!(
            (out.value - reached).abs() < 1e-6,
            "{region}, {limit}, {facts}: {out:?}"
        );
        assert!(
            (out.most - most).abs() < 1e-9,
            "{region}, {limit}, {facts}: {out:?}"
        );
        let follows = if state == "kept" { "leave" } else { verdict };
        assert_eq!(out.verdict, follows, "{region}, {limit}");
    }
}

/// The same for trucks of several gross masses in pounds.
#[track_caller]
fn by_mass(region: &str, limit: &str, varied: Varied, steps: &[(u32, f64)]) {
    for (pounds, inches) in steps {
        let facts = format!("passenger_car: no, transfer_case: no, gross_mass: {pounds} lb");
        sides(region, limit, &facts, varied, *inches, "stop");
    }
}

/// How a limit came out on a vehicle.
#[track_caller]
fn state(region: &str, limit: &str, facts: &str, blocks: &str) -> (&'static str, &'static str) {
    let (held, _) = trial(region, facts, blocks).held();
    (held[limit].state, held[limit].verdict)
}

/// Floor over frame: Ohio Administrative Code 4501-43-04 (C), 4 in, read on the state's page; secondary copies of 625 ILCS 5/12-607.1 (a)
/// (first division, 4 in), Utah Code 41-6a-1631 (1)(h) (3 in) and 13 AAC 04.005 (b)(2) of Alaska (3 in).
#[test]
fn floor_over_the_frame() {
    sides("ohio", "floor-over-frame", CAR, FLOOR, 4.0, "stop");
    sides("illinois", "floor-over-frame", CAR, FLOOR, 4.0, "stop");
    sides("utah", "floor-over-frame", CAR, FLOOR, 3.0, "stop");
    sides("alaska", "floor-over-frame", CAR, FLOOR, 3.0, "stop");
}

/// Blocks themselves, secondary copies: Municipal Code of Chicago 9-76-100 (a), 3 in; West Virginia Code 17C-15-48 (b), 3 in beside the
/// maker's spacer; Wisconsin Trans 305.21 (3), 4 in.
#[test]
fn blocks_by_height() {
    sides("chicago", "blocks", CAR, Blocks, 3.0, "stop");
    sides("west-virginia", "blocks", CAR, Blocks, 3.0, "stop");
    sides("wisconsin", "blocks", CAR, Blocks, 4.0, "stop");
}

/// What stands there already counts: 60 mm on blocks of 20 mm that stay passes Chicago's 3 in (76.2 mm), which 60 mm alone keep.
#[test]
fn a_second_lift_on_a_first_one_counts_as_both() {
    for (already, state) in [("0 mm", "kept"), ("16.2 mm", "kept"), ("20 mm", "passed")] {
        let vehicle = format!("{CAR}, done: {{body_lift: {already}}}");
        let (held, _) = trial("chicago", &vehicle, "60 mm").held();
        assert_eq!(held["blocks"].state, state, "{already}");
    }
}

/// Blocks of any height: Quebec's Highway Safety Code, 214, read; secondary copies of West Virginia's rule 81-4-2.1 (under 10 000 lb), of
/// N.J.A.C. 13:20-37.2 (a), and of 625 ILCS 5/12-607.1 (b): "No portion of the body floor shall be raised above the frame."
#[test]
fn blocks_of_any_height() {
    let light = "passenger_car: no, gross_mass: 9999 lb";
    for (region, limit, verdict) in [
        ("quebec", "inspection", "refer"),
        ("west-virginia", "inspection", "refer"),
        ("new-jersey", "blocks-certified", "refer"),
        ("illinois", "floor-raised", "stop"),
    ] {
        assert_eq!(
            state(region, limit, light, "20 mm"),
            ("passed", verdict),
            "{region}"
        );
    }
    let heavy = "passenger_car: yes, gross_mass: 10000 lb";
    let elsewhere = ("does not apply", "leave");
    assert_eq!(
        state("west-virginia", "inspection", heavy, "20 mm"),
        elsewhere
    );
    assert_eq!(state("illinois", "floor-raised", heavy, "20 mm"), elsewhere);
}

/// Height in all: General Laws of Rhode Island 31-23-13.1 (4 in up to 10 000 lb) and Minnesota Statutes 169.73, subd. 3, of 2007 (6 in), read on
/// the legislatures' pages; the page of Prince Edward Island's highway safety division (10 cm); secondary copies of Massachusetts, chapter 90,
/// section 7P (2 in up to 10 000 lb) and South Carolina 56-5-4445 (6 in, passenger vehicles).
#[test]
fn height_in_all() {
    let ten = "passenger_car: no, gross_mass: 10000 lb";
    sides("rhode-island", "height", ten, Springs, 4.0, "stop");
    sides("minnesota", "height", ten, Springs, 6.0, "stop");
    let island = 100.0 / 25.4;
    sides(
        "prince-edward-island",
        "height",
        ten,
        Springs,
        island,
        "stop",
    );
    sides("massachusetts", "height", ten, Springs, 2.0, "refer");
    sides("south-carolina", "height", CAR, Springs, 6.0, "stop");
    let heavy = "passenger_car: no, gross_mass: 10001 lb";
    for region in ["rhode-island", "massachusetts", "south-carolina"] {
        let (state, _) = state(region, "height", heavy, "100 mm");
        assert_eq!(state, "does not apply", "{region}");
    }
}

/// Tyres count half of what their diameter grows.
#[test]
fn tyres_count_half() {
    let tyres = "gross_mass: 2900 kg, done: {body_lift: 0 mm, suspension_lift: 0 mm, tyre_before: 235/75R15, tyre_after: 265/75R15}";
    trial("rhode-island", tyres, "75 mm").expect("height", "kept", 97.5, 101.6);
    let ends = "gross_mass: 2900 kg, front_frame_end: 650 mm, done: {tyre_before: 235/75R15, tyre_after: 265/75R15}";
    trial("maine", ends, "75 mm").expect("front-frame-end", "kept", 672.5, 685.8);
}

/// Frames over the ground: Maine Revised Statutes, title 29-A, 1920 (1), of 2013, read on the legislature's page; secondary copies of 625 ILCS
/// 5/12-607.1, Utah Code 41-6a-1631 (1)(d) to (f), 13 AAC 04.005 (b)(2) and the Transportation Article of Maryland, 22-105 (b).
#[test]
fn frames_over_the_ground() {
    let front = [
        (4500, 24.0),
        (4501, 27.0),
        (7500, 27.0),
        (7501, 28.0),
        (10000, 28.0),
        (10001, 29.0),
        (11500, 29.0),
    ];
    by_mass("maine", "front-frame-end", FRONT_END, &front);
    let rear = front.map(|(pounds, inches)| (pounds, inches + 2.0));
    by_mass("maine", "rear-frame-end", REAR_END, &rear);
    let frames = [
        (4500, 24.0),
        (4501, 26.0),
        (7500, 26.0),
        (7501, 28.0),
        (9999, 28.0),
    ];
    by_mass("illinois", "frame-height-truck", FRAME, &frames);
    by_mass("alaska", "frame-height", FRAME, &frames);
    let utah = [(4499, 24.0), (4500, 26.0), (7499, 26.0), (7500, 28.0)];
    by_mass("utah", "frame-height", FRAME, &utah);
    sides("illinois", "frame-height-car", CAR, FRAME, 22.0, "stop");
    sides("maryland", "frame-height-car", CAR, FRAME, 20.0, "stop");
    by_mass("maryland", "frame-height-truck", FRAME, &[(10000, 28.0)]);
}

/// Bumpers of cars: Ohio 4501-43-04 (B) 22 in, Virginia 46.2-1063 (chapter 269 of 2021) 22 in, Minnesota 169.73, subd. 4, of 2007 20 in, Illinois
/// 12-608 as enrolled 22 in (unless multipurpose), read; Idaho 49-966 (3) 22 in and Maryland 22-105 (b) 20 in, secondary copies.
#[test]
fn bumpers_of_cars() {
    for (region, inches) in [
        ("ohio", 22.0),
        ("virginia", 22.0),
        ("minnesota", 20.0),
        ("idaho", 22.0),
        ("maryland", 20.0),
    ] {
        sides(region, "bumper-height-car", CAR, HIGHER, inches, "stop");
    }
    let light = "passenger_car: yes, gross_mass: 9000 lb";
    sides(
        "illinois",
        "bumper-height-car",
        light,
        HIGHER,
        22.0,
        "refer",
    );
}

/// Bumpers of trucks by gross mass: Ohio 4501-43-04 (B) and Illinois 12-608 (a) as enrolled, read; Idaho 49-966 (3), a secondary copy.
#[test]
fn bumpers_of_trucks_by_gross_mass() {
    let front = [
        (4500, 24.0),
        (4501, 27.0),
        (7500, 27.0),
        (7501, 28.0),
        (9000, 28.0),
    ];
    let rear = front.map(|(pounds, inches)| (pounds, inches + 2.0));
    for region in ["ohio", "illinois", "idaho"] {
        by_mass(region, "front-bumper-truck", FRONT, &front);
    }
    for region in ["illinois", "idaho"] {
        by_mass(region, "rear-bumper-truck", HIGHER, &rear);
    }
    let ohio = [(4500, 26.0), (4501, 29.0), (7501, 31.0), (10000, 31.0)];
    by_mass("ohio", "rear-bumper-truck", HIGHER, &ohio);
    let driven = "passenger_car: no, transfer_case: yes, gross_mass: 4500 lb";
    sides("idaho", "front-bumper-truck", driven, FRONT, 30.0, "stop");
    sides("idaho", "rear-bumper-truck", driven, HIGHER, 31.0, "stop");
}

/// Bumpers of trucks of any mass up to one: Indiana Code 9-19-4-2 of 2019, 30 in up to 11 000 lb; Maryland 22-105 (b), 28 in up to 10 000 lb; West
/// Virginia 17C-15-48 (a), 31 in up to 10 000 lb, all secondary copies; Minnesota 169.73, subd. 4, of 2007, 25 in, read.
#[test]
fn bumpers_of_trucks() {
    by_mass("indiana", "bumper-height-truck", HIGHER, &[(11000, 30.0)]);
    by_mass("maryland", "bumper-height-truck", HIGHER, &[(10000, 28.0)]);
    by_mass("west-virginia", "bumper-height", HIGHER, &[(10000, 31.0)]);
    by_mass("minnesota", "bumper-height-truck", HIGHER, &[(6000, 25.0)]);
    for (region, limit, pounds) in [
        ("indiana", "bumper-height-truck", 11001),
        ("maryland", "bumper-height-truck", 10001),
        ("west-virginia", "bumper-height", 10001),
    ] {
        let heavy = format!("passenger_car: no, gross_mass: {pounds} lb");
        let (state, _) = state(region, limit, &heavy, "50 mm");
        assert_eq!(state, "does not apply", "{region}");
    }
}

/// Florida Statutes 2024, 316.251 (1), a secondary copy: bumpers by net weight, front and rear, up to 5000 lb.
#[test]
fn bumpers_by_net_weight() {
    let cars = [
        (2499, 22.0, 22.0),
        (2500, 24.0, 26.0),
        (3499, 24.0, 26.0),
        (3500, 27.0, 29.0),
        (5000, 27.0, 29.0),
    ];
    let trucks = [
        (1999, 24.0, 26.0),
        (2000, 27.0, 29.0),
        (3000, 27.0, 29.0),
        (3001, 28.0, 30.0),
        (5000, 28.0, 30.0),
    ];
    for (kind, word, rows) in [("car", "yes", cars), ("truck", "no", trucks)] {
        for (pounds, front, rear) in rows {
            let facts = format!("passenger_car: {word}, total_mass: {pounds} lb");
            let limit = format!("front-bumper-{kind}");
            sides("florida", &limit, &facts, FRONT, front, "stop");
            let limit = format!("rear-bumper-{kind}");
            sides("florida", &limit, &facts, HIGHER, rear, "stop");
        }
    }
}
