//! The vehicle: how it is built, what it has, what it weighs, what was already done to it.

use std::collections::BTreeMap;

use super::fields::Fields;
use crate::calc::Range;
use crate::job::Vehicle;
use crate::job::written::{self, Done};
use crate::quantity::{Quantity, Unit, Written};
use crate::report::{Code, Path};

/// Masses of road vehicles, kg.
const MASS: Range = Range::Within(1.0, 40_000.0);
/// Widths and heights of road vehicles, mm.
const SIZE: Range = Range::Within(100.0, 5_000.0);

pub(super) fn check(vehicle: &written::Vehicle, fields: &mut Fields<'_>) -> Vehicle {
    let at = Path::root().key("vehicle");
    construction(&vehicle.construction, &at, fields);
    let numbers = numbers(vehicle, &at, fields);
    masses_agree(&numbers, &at, fields);
    let wheels_hang = fields.flag(vehicle.wheels_hang.as_ref(), &at.key("wheels_hang"));
    Vehicle {
        name: vehicle.name.clone(),
        identification: vehicle.identification.clone(),
        flags: flags(vehicle, &at, fields),
        numbers,
        wheels_hang: wheels_hang.unwrap_or(false),
        tyres: tyres(&vehicle.done),
    }
}

/// A vehicle whose body is its chassis has nothing that a spacer could go between.
fn construction(given: &str, at: &Path, fields: &mut Fields<'_>) {
    let path = at.key("construction");
    if given == "unitary" {
        fields.problem(
            Code::UnitaryBody,
            &path,
            "the body of this vehicle is its chassis, so there is nothing to put a spacer between"
                .to_owned(),
            "a body lift needs a body on mounts over a ladder frame; this vehicle cannot have one",
        );
    } else {
        fields.word(given, &["ladder frame", "unitary"], &path);
    }
}

fn numbers(
    vehicle: &written::Vehicle,
    at: &Path,
    fields: &mut Fields<'_>,
) -> BTreeMap<&'static str, Quantity> {
    let lift = vehicle.done.suspension_lift.as_ref();
    let rows: [(&'static str, Option<&Written>, Unit, Range, Path); 6] = [
        (
            "body_mass",
            vehicle.body_mass.as_ref(),
            Unit::Kg,
            MASS,
            at.clone(),
        ),
        (
            "body_mass_laden",
            vehicle.body_mass_laden.as_ref(),
            Unit::Kg,
            MASS,
            at.clone(),
        ),
        (
            "total_mass",
            vehicle.total_mass.as_ref(),
            Unit::Kg,
            MASS,
            at.clone(),
        ),
        ("track", vehicle.track.as_ref(), Unit::Mm, SIZE, at.clone()),
        (
            "cg_height",
            vehicle.cg_height.as_ref(),
            Unit::Mm,
            SIZE,
            at.clone(),
        ),
        (
            "suspension_lift",
            lift,
            Unit::Mm,
            Range::Within(0.0, 300.0),
            at.key("done"),
        ),
    ];
    let mut numbers = BTreeMap::new();
    for (name, written, unit, range, under) in rows {
        let Some(written) = written else { continue };
        if let Some(quantity) = fields.quantity(written, unit, range, &under.key(name)) {
            numbers.insert(name, quantity);
        }
    }
    numbers
}

fn masses_agree(numbers: &BTreeMap<&str, Quantity>, at: &Path, fields: &mut Fields<'_>) {
    let mass = |name: &str| numbers.get(name).map(|quantity| quantity.value);
    if let (Some(body), Some(total)) = (mass("body_mass"), mass("total_mass"))
        && body >= total
    {
        fields.problem(
            Code::OutOfRange,
            &at.key("body_mass"),
            format!("the raised body weighs {body} kg, and the whole vehicle only {total} kg"),
            "body_mass is what goes up, total_mass the whole vehicle: the first is the smaller",
        );
    }
    if let (Some(body), Some(laden)) = (mass("body_mass"), mass("body_mass_laden"))
        && laden < body
    {
        fields.problem(
            Code::OutOfRange,
            &at.key("body_mass_laden"),
            format!("the laden body weighs {laden} kg, and the empty one {body} kg"),
            "body_mass_laden is body_mass with everyone and the load aboard",
        );
    }
}

fn flags(
    vehicle: &written::Vehicle,
    at: &Path,
    fields: &mut Fields<'_>,
) -> BTreeMap<&'static str, bool> {
    let mut flags = BTreeMap::new();
    let words: [(&str, &Option<String>, [&'static str; 2]); 2] = [
        ("fuel", &vehicle.fuel, ["petrol", "diesel"]),
        ("gearbox", &vehicle.gearbox, ["manual", "automatic"]),
    ];
    for (name, given, allowed) in words {
        let Some(given) = given else { continue };
        if let Some(found) = fields.word(given, &allowed, &at.key(name)) {
            flags.extend(
                allowed
                    .into_iter()
                    .enumerate()
                    .map(|(index, word)| (word, index == found)),
            );
        }
    }
    let answers: [(&'static str, &str, &Option<Written>); 4] = [
        ("transfer_case", "transfer_case", &vehicle.transfer_case),
        (
            "restraints",
            "restraint_systems",
            &vehicle.restraint_systems,
        ),
        (
            "steering_sensor",
            "steering_sensor",
            &vehicle.steering_sensor,
        ),
        ("driver_aids", "driver_aids", &vehicle.driver_aids),
    ];
    for (fact, name, given) in answers {
        if let Some(answer) = fields.flag(given.as_ref(), &at.key(name)) {
            flags.insert(fact, answer);
        }
    }
    flags
}

fn tyres(done: &Done) -> (Option<String>, Option<String>) {
    (done.tyre_before.clone(), done.tyre_after.clone())
}
