//! Neighbours of the sound consequence and region, each with one thing wrong.

use super::expect;
use crate::report::Code::{BadExpression, BadSource, MissingSource, UnknownName, UnusedName};

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
        &[(UnusedName, "measurements.drop")],
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
        &[(MissingSource, "limits[0].source")],
    );
    expect(
        &[("region", "status: read", "status: common practice")],
        &[(BadSource, "limits[0].source.status")],
    );
}
