//! Lifts that Australian rules certify or refuse, combined of blocks, springs and tyres.

use super::{Trial, trial};

/// Queensland, from October 2018 (ministerial release, copies) and 2019 (police statement in a newspaper), secondary copies: body blocks
/// never without certification; certified 150 mm = at most 75 suspension + 25 tyre + 50 body blocks. The combinations are computed.
#[test]
fn queensland_combinations() {
    // 25 mm by tyres are 50 mm in diameter: 29 in to 30.9685 in.
    const TYRES_25: &str = "tyre_before: 29x9R15, tyre_after: 30.968503937x9R15";
    const TYRES_26: &str = "tyre_before: 29x9R15, tyre_after: 31.047244094x9R15";
    let passed = |springs: &str, tyres: &str, blocks: &str| {
        let vehicle = format!("done: {{body_lift: 0 mm, suspension_lift: {springs}, {tyres}}}");
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
    let vehicle = "done: {body_lift: 0 mm, suspension_lift: 0 mm, tyre_before: 235/75R15, tyre_after: 235/75R15}";
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
            "done: {{body_lift: 0 mm, suspension_lift: {springs}, tyre_before: 235/75R15, tyre_after: 235/75R15}}"
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
    let vehicle = "done: {body_lift: 0 mm, suspension_lift: 0 mm, tyre_before: 235/75R15, tyre_after: 235/75R15}";
    for region in ["victoria", "new-south-wales"] {
        for (id, state, _) in trial(region, vehicle, "100 mm").words() {
            assert_eq!(state, "kept", "{region}: {id}");
        }
    }
    let springs = "done: {body_lift: 0 mm, suspension_lift: 51 mm, tyre_before: 235/75R15, tyre_after: 265/75R15}";
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
