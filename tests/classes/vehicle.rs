//! The small invented vehicle that cases are tried on, as the text of a job file: a cab and a tub on four mounts each, and two parts on
//! everything that a link can hang on.

use liftsheet::rules::Class;
use serde_json::{Map, Value, json};

use super::Case;

/// How a class is put to the vehicle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Kind {
    Link,
    Mount,
    Bridge,
    Consequence,
}

/// How this class is put to the vehicle.
pub(super) fn kind(class: &Class) -> Kind {
    if class.file.contains("/consequences/") {
        Kind::Consequence
    } else if class.bridges {
        Kind::Bridge
    } else if class.id == "body-mount" {
        Kind::Mount
    } else {
        Kind::Link
    }
}

/// The small vehicle: a cab and a tub on four mounts each, two parts on everything that a link can hang on.
pub(super) fn job_file(class: &Class, case: &Case) -> String {
    let kind = kind(class);
    let mut vehicle = json!({
        "name": "Trial", "construction": "ladder frame", "fuel": "diesel", "gearbox": "manual", "transfer_case": "yes",
        "restraint_systems": "yes", "steering_sensor": "no", "hybrid": "no", "driver_aids": "no", "body_mass": "760 kg",
        "body_mass_laden": "1420 kg", "total_mass": "2050 kg", "track": "1520 mm", "cg_height": "720 mm",
        "done": {"suspension_lift": "0 mm", "tyre_before": "235/75R15", "tyre_after": "235/75R15"},
    });
    let mut block = json!({"material": "aluminium", "outer": "70 mm", "inner": "14 mm", "bearing_limit": "230 MPa"});
    lay_over(&mut vehicle, &case.vehicle);
    lay_over(&mut block, &case.block);
    let mut parts = Map::new();
    for (group, on) in [
        ("cab", "cab"),
        ("tub", "tub"),
        ("chassis", "chassis"),
        ("axle", "chassis"),
    ] {
        for end in ["from", "to"] {
            let droop = (group == "axle").then_some("100 mm");
            parts.insert(
                format!("{group}-{end}"),
                json!({"fixed_to": on, "droop": droop}),
            );
        }
    }
    let (from, to) = (
        format!("{}-from", case.ends.0),
        format!("{}-to", case.ends.1),
    );
    let mut mounts = simple_mounts();
    let mut links = Vec::new();
    let mut consequences = Map::new();
    match kind {
        Kind::Link => links.push(
            json!({"id": "tried", "class": class.id, "ends": [from, to], "held_by": "none", "measured": case.measured}),
        ),
        Kind::Bridge => {
            let on = [&case.ends.0, &case.ends.1];
            parts.insert("tried".to_owned(), json!({"fixed_to": on, "class": class.id, "measured": case.measured}));
        }
        Kind::Mount => mounts.push(
            json!({"id": "tried", "group": "cab", "class": class.id, "at": [0, 550, 0], "measured": case.measured}),
        ),
        Kind::Consequence => {
            consequences.insert(class.id.clone(), json!(case.measured));
        }
    }
    let raise =
        json!([{"group": "cab", "first_side": "left"}, {"group": "tub", "first_side": "left"}]);
    json!({
        "job": format!("{}: {}", class.id, case.name), "vehicle": vehicle,
        "lift": {"spacer": format!("{} mm", case.spacer), "raise": raise, "block": block},
        "mounts": mounts, "parts": without_nulls(parts), "links": links, "consequences": consequences,
    })
    .to_string()
}

fn simple_mounts() -> Vec<Value> {
    let mut mounts = Vec::new();
    for (group, ends) in [("cab", [900, -1400]), ("tub", [-1780, -3150])] {
        for x in ends {
            for y in [550, -550] {
                let id = format!("{group}{}", mounts.len());
                mounts.push(
                    json!({"id": id, "group": group, "class": "simple-mount", "at": [x, y, 0]}),
                );
            }
        }
    }
    mounts
}

fn without_nulls(parts: Map<String, Value>) -> Map<String, Value> {
    let part = |(id, mut part): (String, Value)| {
        part.as_object_mut()
            .unwrap()
            .retain(|_, value| !value.is_null());
        (id, part)
    };
    parts.into_iter().map(part).collect()
}

/// Lays fields over others; a field that is null is taken away.
fn lay_over(base: &mut Value, over: &Map<String, Value>) {
    let fields = base.as_object_mut().unwrap();
    for (name, value) in over {
        match value {
            Value::Object(inner) => {
                lay_over(
                    fields.entry(name.clone()).or_insert_with(|| json!({})),
                    inner,
                );
            }
            Value::Null => {
                fields.remove(name);
            }
            _ => {
                fields.insert(name.clone(), value.clone());
            }
        }
    }
}
