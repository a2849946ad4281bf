//! Neighbours of the sound consequence and region, each with one thing wrong.

use super::expect;
use crate::report::Code::{
    BadExpression, BadRule, BadSource, BadVerdicts, DuplicateId, MissingSource, UnknownChoice,
    UnknownName, UnknownState, UnusedName,
};

#[test]
fn a_consequence_is_held_to_what_classes_are() {
    let said = expect(
        &[(
            "aim",
            "or not vehicle.tyres_changed",
            "or not vehicle.tyre_changed",
        )],
        &[(UnknownName, "only_when")],
    );
    assert!(
        said.contains("did you mean `vehicle.tyres_changed`?"),
        "{said}"
    );
    // Its condition is asked before anything is measured.
    expect(
        &[("aim", "or not vehicle.tyres_changed", "or drop > 5")],
        &[(UnknownName, "only_when")],
    );
    expect(
        &[
            ("aim", "drop > rise", "rise > 50"),
            ("aim", "{{ drop | mm }}", "too little"),
            ("aim", "{{ drop | mm }}", "too little"),
        ],
        &[(BadVerdicts, "checks"), (UnusedName, "measurements.drop")],
    );
}

#[test]
fn limits_are_numbers_over_facts() {
    expect(
        &[(
            "region",
            "floor_over_frame + lift",
            "floor_over_fram + lift",
        )],
        &[
            (UnknownName, "limits[0].value"),
            (BadExpression, "limits[0].because"),
        ],
    );
    expect(
        &[("region", "most: 127", "most: \"'low'\"")],
        &[(BadExpression, "limits[0].most")],
    );
    expect(
        &[(
            "region",
            "not vehicle.passenger_car",
            "vehicle.frame_height",
        )],
        &[(BadExpression, "limits[0].applies")],
    );
    // Of a fact that no expression of the limit asks for, the job may say nothing.
    expect(
        &[(
            "region",
            "{{ vehicle.floor_over_frame | mm }} before",
            "{{ vehicle.track | mm }} before",
        )],
        &[(BadExpression, "limits[0].because")],
    );
}

#[test]
fn limits_name_their_source() {
    expect(
        &[("region", "document: Invented code", "document: \"\"")],
        &[(MissingSource, "limits[0].source.document")],
    );
    expect(
        &[("region", "status: read", "status: common practice")],
        &[(UnknownChoice, "limits[0].source.status")],
    );
}

#[test]
fn a_consequence_is_no_connection_and_a_connection_no_consequence() {
    expect(
        &[("aim", "checks:", "bridges: true\nchecks:")],
        &[(BadRule, "bridges")],
    );
    expect(
        &[(
            "aim",
            "checks:",
            "release: {task: {title: Undo it, minutes: [1, 2, 3]}}\nchecks:",
        )],
        &[(BadRule, "release")],
    );
    expect(
        &[(
            "trial-lever",
            "area:",
            "only_when: vehicle.tyres_changed\narea:",
        )],
        &[(BadRule, "only_when")],
    );
}

#[test]
fn the_procedure_may_do_the_work_of_a_verdict() {
    const TASK: &str = "        task: {title: Aim the lamps, minutes: [5, 10, 15]}\n";
    const CHECK: &str = "        check:\n          title: Look at the wall\n          minutes: [1, 2, 3]\n          evidence: [{name: drop, ask: drop, kind: number, unit: mm}]\n";
    let left = |state: &str| format!("        leaves: {{{state}: out}}\n");
    expect(&[("aim", TASK, &left("seats")), ("aim", CHECK, "")], &[]);
    let said = expect(
        &[("aim", TASK, &left("seat")), ("aim", CHECK, "")],
        &[(UnknownState, "checks[0].verdicts[1].leaves.seat")],
    );
    assert!(said.contains("did you mean `seats`?"), "{said}");
    // What is left alone has no work, whoever would do it.
    let left = "verdict: leave\n        leaves: {seats: out}";
    expect(
        &[("aim", "verdict: leave", left)],
        &[(BadVerdicts, "checks[0].verdicts[0].leaves")],
    );
    // Work that is done after the checks is checked by what is written down then.
    let also = "        also: [{id: later, stage: hand over, task: {title: Aim, minutes: [1, 2, 3], evidence: [{name: a, ask: aimed, kind: \"yes\"}]}}]\n";
    expect(&[("aim", TASK, also), ("aim", CHECK, "")], &[]);
    let unsaid =
        "        also: [{id: later, stage: hand over, task: {title: Aim, minutes: [1, 2, 3]}}]\n";
    expect(
        &[("aim", TASK, unsaid), ("aim", CHECK, "")],
        &[
            (BadVerdicts, "checks[0].verdicts[1].verdict"),
            (BadVerdicts, "checks[0].verdicts[1].verdict"),
        ],
    );
}

#[test]
fn a_fact_that_may_be_missing_is_asked_for_first() {
    const FIRST: &str = "  - id: aim\n    verdicts:\n      - when: drop > rise";
    let known = "  - id: aim\n    applies: given.cg_height\n    verdicts:\n      - when: drop > rise and vehicle.cg_height > 500";
    expect(&[("aim", FIRST, known)], &[]);
    let guarded = "  - id: aim\n    verdicts:\n      - when: drop > rise and (vehicle.cg_height > 500 if given.cg_height else true)";
    expect(&[("aim", FIRST, guarded)], &[]);
    let said = expect(
        &[(
            "aim",
            FIRST,
            &known.replace("given.cg_height", "given.cg_hight"),
        )],
        &[(UnknownName, "checks[0].applies")],
    );
    assert!(said.contains("did you mean `given.cg_height`?"), "{said}");
}

#[test]
fn a_region_says_something_and_each_limit_one_thing() {
    let limits = include_str!("region.yaml");
    let limits = limits.split_once("limits:\n").unwrap().1;
    let all = format!("limits:\n{limits}");
    expect(&[("region", &all, "limits: []\n")], &[(BadRule, "limits")]);
    expect(
        &[("region", &all, "note: Nothing was read.\nlimits: []\n")],
        &[],
    );
    expect(
        &[("region", limits, &format!("{limits}{limits}"))],
        &[(DuplicateId, "limits[1].id")],
    );
    expect(
        &[
            ("region", "vehicle.floor_over_frame + lift.spacer", "100"),
            ("region", ", {{ vehicle.floor_over_frame | mm }} before", ""),
        ],
        &[(BadRule, "limits[0].value")],
    );
    expect(
        &[("region", "year: 2000", "year: 200")],
        &[(BadSource, "limits[0].source.year")],
    );
}
