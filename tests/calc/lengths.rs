//! Bolt lengths, thread lengths and nut heights against published tables.

use liftsheet::calc::Value;
use liftsheet::calc::bolt_length::{in_commercial_range, nut_height, order_length, thread_length};
use liftsheet::calc::thread::Thread;

use super::ask::{ask, expect, flag, number, refusal};

fn thread(name: &str) -> Thread {
    Thread::read(name).unwrap()
}

/// Thread length b of ISO 4014 for l ≤ 125, ≤ 200 and above. M6, M8, M10: "AS 1110 Part 1 Dimensions"; M12: a maker's bolt table
/// and a data sheet of ISO 4014; M14, M16: a copy of ISO 4014; all seen, except M12 to M16 above 200 mm, which are computed.
#[test]
fn iso_4014_thread_lengths() {
    let table = [
        ("M6", [18.0, 24.0, 37.0]),
        ("M8", [22.0, 28.0, 41.0]),
        ("M10", [26.0, 32.0, 45.0]),
        ("M12", [30.0, 36.0, 49.0]),
        ("M14", [34.0, 40.0, 53.0]),
        ("M16", [38.0, 44.0, 57.0]),
    ];
    for (name, row) in table {
        let found = [120.0, 200.0, 220.0].map(|length| thread_length(thread(name), length));
        let off = found
            .iter()
            .zip(row)
            .map(|(found, row)| (found - row).abs());
        assert!(off.fold(0.0, f64::max) < 1e-9, "{name} {found:?}");
    }
}

/// The length series of ISO 4014, read in the data of package `bd_warehouse` 0.4.0: no 75, 85, 95, 170 or 190, which the older DIN
/// 931 series has.
#[test]
fn iso_4014_length_series() {
    let series = [
        12.0, 16.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 55.0, 60.0, 65.0, 70.0, 80.0, 90.0,
        100.0, 110.0, 120.0, 130.0, 140.0, 150.0, 160.0, 180.0, 200.0, 220.0, 240.0, 260.0, 280.0,
        300.0, 320.0,
    ];
    let mut ordered = Vec::new();
    for needed in 1..=320 {
        let length = order_length(thread("M12"), f64::from(needed)).unwrap();
        if ordered.last() != Some(&length) {
            ordered.push(length);
        }
    }
    assert_eq!(ordered, series);
    for missing in [75.0, 85.0, 95.0, 170.0, 190.0] {
        assert_ne!(order_length(thread("M12"), missing), Some(missing));
    }
}

/// Heights of ISO 4032 nuts, read in the data of package `bd_warehouse` 0.4.0; M8 and M10 also seen in a CAD vendor's table.
#[test]
fn iso_4032_nut_heights() {
    let table = [
        ("M6", 5.2),
        ("M8", 6.8),
        ("M10", 8.4),
        ("M12", 10.8),
        ("M14", 12.8),
        ("M16", 14.8),
    ];
    for (name, height) in table {
        assert_eq!(nut_height(thread(name)), Some(height), "{name}");
    }
}

/// Commercial ranges of ISO 4014, read in the data of package `bd_warehouse` 0.4.0.
#[test]
fn iso_4014_commercial_ranges() {
    let table = [
        ("M6", 30.0, 60.0),
        ("M8", 40.0, 80.0),
        ("M10", 45.0, 100.0),
        ("M12", 50.0, 120.0),
        ("M14", 60.0, 140.0),
        ("M16", 65.0, 160.0),
    ];
    for (name, least, most) in table {
        let stocked = |length: f64| in_commercial_range(thread(name), length).unwrap();
        assert!(stocked(least) && stocked(most), "{name}");
        assert!(!stocked(least - 1.0) && !stocked(most + 1.0), "{name}");
    }
}

/// A worked example, computed from the tables above.
#[test]
fn a_bolt_through_a_spacer_and_two_washers() {
    let found = ask("stack", "joint=nut thread=M12 grip=45 spacer=50 washers=5");
    for (name, expected) in [
        ("grip_after", 100.0),
        ("needed_length", 114.3),
        ("least_length", 114.3),
        // Ten threads beyond the nut, never exceeded: US Naval Ships' Technical Manual, chapter 075, as quoted: seen.
        ("most_length", 100.0 + 10.8 + 17.5),
        ("order_length", 120.0),
        ("thread_length", 30.0),
        ("plain_shank", 90.0),
        ("protrusion", 9.2),
        ("protruding_threads", 5.257),
    ] {
        expect(&found, name, expected, 5e-4);
    }
    assert!(flag(&found, "nut_reaches") && flag(&found, "in_commercial_range"));
    assert!(!flag(&found, "special_order"));
    assert!(found.result("engagement_after").is_none() && found.result("bottoms_out").is_none());
}

#[test]
fn a_captive_bolt_that_bottoms() {
    let found = ask(
        "stack",
        "joint=captive thread=M12 bolt_length=85 spacer=50 engagement=14 blind_depth=3",
    );
    for (name, expected) in [
        ("needed_length", 135.0),
        ("least_length", 133.0),
        ("most_length", 138.0),
        ("order_length", 140.0),
        ("extra", 5.0),
        ("engagement_after", 19.0),
        ("washer_fix", 2.0),
        ("order_shorter", 130.0),
        ("engagement_shorter", 9.0),
    ] {
        expect(&found, name, expected, 1e-9);
    }
    assert!(flag(&found, "bottoms_out") && !flag(&found, "shorter_allowed"));
    assert!(found.result("protrusion").is_none() && found.result("grip_after").is_none());
    let call = "joint=captive thread=M12 bolt_length=85 spacer=50 engagement=14";
    let deep = ask("stack", &format!("{call} blind_depth=8"));
    assert!(!flag(&deep, "bottoms_out") && deep.result("washer_fix").is_none());
    assert!(ask("stack", call).result("bottoms_out").is_none());
}

#[test]
fn a_nut_must_reach_thread() {
    let call = "joint=nut thread=M8 grip=20 spacer=10 nut_height=30";
    let found = ask("stack", call);
    expect(&found, "order_length", 65.0, 1e-9);
    expect(&found, "plain_shank", 43.0, 1e-9);
    assert!(!flag(&found, "nut_reaches"));
}

#[test]
fn a_joint_asks_for_what_it_needs() {
    assert!(refusal("stack", "joint=nut thread=M12 spacer=50").starts_with("`grip`"));
    assert!(
        refusal("stack", "joint=captive thread=M12 spacer=50 engagement=14")
            .starts_with("`bolt_length`")
    );
    assert!(
        refusal("stack", "joint=captive thread=M12 spacer=50 bolt_length=85")
            .starts_with("`engagement`")
    );
    assert!(refusal("stack", "joint=nut thread=M12 grip=600 spacer=50").starts_with("`spacer`"));
    let inch = "joint=nut thread=1/2-13 grip=45 spacer=50";
    assert!(refusal("stack", inch).starts_with("`nut_height`"));
}

/// Every bolt inside the window serves and none outside, by the accounts of the single bolt: engagement, depth, threads out.
#[test]
fn the_window_is_where_a_bolt_serves() {
    let (bolt, spacer, engagement, depth, kept) = (85.0, 40.0, 14.0, 6.0, 12.0);
    let found = ask(
        "stack",
        &format!(
            "joint=captive thread=M12 bolt_length={bolt} spacer={spacer} engagement={engagement} blind_depth={depth}"
        ),
    );
    let (least, most) = (
        number(&found, "least_length"),
        number(&found, "most_length"),
    );
    for tenth in 1100..1400 {
        let length = f64::from(tenth) / 10.0;
        let deeper = length - (bolt + spacer);
        let serves = engagement + deeper >= kept && deeper <= depth;
        assert_eq!(
            serves,
            (least - 1e-9..=most + 1e-9).contains(&length),
            "{length}"
        );
    }
}

#[test]
fn an_open_captive_nut_has_no_longest_bolt_and_a_known_grip_gives_one() {
    let call = "joint=captive thread=M12 bolt_length=85 spacer=50 engagement=14";
    assert_eq!(
        ask("stack", call).result("most_length").unwrap().value,
        Value::Nothing
    );
    let found = ask("stack", &format!("{call} grip=60"));
    // The shank of a 140 mm bolt is 104 mm long, ISO 4014, and must not reach the nut beyond a grip of 110 mm.
    expect(&found, "most_length", 110.0 + 36.0, 1e-9);
    let tall = ask(
        "stack",
        "joint=nut thread=M8 grip=20 spacer=10 nut_height=30",
    );
    assert!(number(&tall, "most_length") < number(&tall, "least_length"));
}
