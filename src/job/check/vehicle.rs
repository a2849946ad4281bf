//! The vehicle: how it is built, what it has, what it weighs, what was already done to it.

use std::collections::BTreeMap;

use super::fields::Fields;
use crate::calc::Range;
use crate::calc::tyre::diameter;
use crate::job::{Vehicle, written};
use crate::quantity::{Quantity, Unit, Written};
use crate::report::{Code, Path};

/// Masses of road vehicles and of their bodies, kg. A thousand times less is a slip of the comma.
const MASS: Range = Range::Within(50.0, 40_000.0);
/// Widths and heights of road vehicles, mm.
const SIZE: Range = Range::Within(100.0, 5_000.0);
/// Heights of its parts over the ground or one another, mm.
const HEIGHT: Range = Range::Within(0.0, 3_000.0);

pub(super) fn check(vehicle: &written::Vehicle, fields: &mut Fields<'_>) -> Vehicle {
    let at = Path::root().key("vehicle");
    construction(&vehicle.construction, &at, fields);
    let numbers = numbers(vehicle, &at, fields);
    masses_agree(&numbers, &at, fields);
    let done = &vehicle.done;
    let wheels_hang = fields.flag(vehicle.wheels_hang.as_ref(), &at.key("wheels_hang"));
    Vehicle {
        name: vehicle.name.clone(),
        identification: vehicle.identification.clone(),
        flags: flags(vehicle, &at, fields),
        numbers,
        wheels_hang: wheels_hang.unwrap_or(false),
        tyres: tyres(done),
    }
}

/// The tyres before and after; one size that is spelled in two ways is one.
fn tyres(done: &written::Done) -> (Option<String>, Option<String>) {
    let plain = |size: &String| size.to_uppercase().replace(' ', "");
    let (before, mut after) = (done.tyre_before.clone(), done.tyre_after.clone());
    if before.as_ref().map(plain) == after.as_ref().map(plain) {
        after.clone_from(&before);
    }
    (before, after)
}

/// A vehicle whose body is its chassis has nothing that a spacer could go between.
fn construction(given: &str, at: &Path, fields: &mut Fields<'_>) {
    let path = at.key("construction");
    if given == "unitary" {
        let message =
            "the body of this vehicle is its chassis, so there is nothing to put a spacer between";
        let help =
            "a body lift needs a body on mounts over a ladder frame; this vehicle cannot have one";
        fields.error(Code::UnitaryBody, &path, message, help);
    } else {
        fields.word(given, &["ladder frame", "unitary"], &path);
    }
}

/// A number of the vehicle: its name and what was typed.
type VehicleNumber<'a> = (&'static str, &'a Option<Written>);

fn numbers(
    vehicle: &written::Vehicle,
    at: &Path,
    fields: &mut Fields<'_>,
) -> BTreeMap<&'static str, Quantity> {
    let done = at.key("done");
    let masses = [
        ("body_mass", &vehicle.body_mass),
        ("body_mass_laden", &vehicle.body_mass_laden),
        ("total_mass", &vehicle.total_mass),
        ("gross_mass", &vehicle.gross_mass),
    ];
    let sizes = [("track", &vehicle.track), ("cg_height", &vehicle.cg_height)];
    let heights = [
        ("floor_over_frame", &vehicle.floor_over_frame),
        ("frame_height", &vehicle.frame_height),
        ("body_height", &vehicle.body_height),
        ("floor_height", &vehicle.floor_height),
        ("bumper_height", &vehicle.bumper_height),
        ("front_bumper_height", &vehicle.front_bumper_height),
        ("front_frame_end", &vehicle.front_frame_end),
        ("rear_frame_end", &vehicle.rear_frame_end),
    ];
    let mut numbers = BTreeMap::new();
    let mut read = |at: &Path, written: &[VehicleNumber<'_>], unit: Unit, range: Range| {
        for (name, written) in written {
            if let Some(written) = written
                && let Some(quantity) = fields.quantity(written, unit, range, &at.key(*name))
            {
                numbers.insert(*name, quantity);
            }
        }
    };
    read(at, &masses, Unit::Kg, MASS);
    read(at, &sizes, Unit::Mm, SIZE);
    read(at, &heights, Unit::Mm, HEIGHT);
    read(
        &done,
        &[("body_lift", &vehicle.done.body_lift)],
        Unit::Mm,
        Range::Within(0.0, 150.0),
    );
    read(
        &done,
        &[("suspension_lift", &vehicle.done.suspension_lift)],
        Unit::Mm,
        Range::Within(0.0, 300.0),
    );
    let tyres = [
        ("tyre_before", &vehicle.done.tyre_before),
        ("tyre_after", &vehicle.done.tyre_after),
    ];
    for (name, size) in tyres {
        let diameter = size
            .as_ref()
            .and_then(|size| tyre(size, &done.key(name), fields));
        numbers.extend(diameter.map(|diameter| (name, diameter)));
    }
    numbers
}

/// The diameter of a tyre by its size.
fn tyre(size: &str, path: &Path, fields: &mut Fields<'_>) -> Option<Quantity> {
    match diameter("size", size) {
        Ok(diameter) => Some(Quantity::exact(diameter, Unit::Mm)),
        Err(error) => {
            let message = format!("`{size}` is no tyre size that is known here");
            let help = format!("write {}", error.allowed);
            fields.error(Code::BadValue, path, message, help);
            None
        }
    }
}

fn masses_agree(numbers: &BTreeMap<&str, Quantity>, at: &Path, fields: &mut Fields<'_>) {
    let mass = |name: &str| numbers.get(name).map(|quantity| quantity.value);
    if let (Some(body), Some(total)) = (mass("body_mass"), mass("total_mass"))
        && body >= total
    {
        let message =
            format!("the raised body weighs {body} kg, and the whole vehicle only {total} kg");
        let help =
            "body_mass is what goes up, total_mass the whole vehicle: the first is the smaller";
        fields.error(Code::OutOfRange, &at.key("body_mass"), message, help);
    }
    if let (Some(body), Some(laden)) = (mass("body_mass"), mass("body_mass_laden"))
        && laden < body
    {
        let message = format!("the laden body weighs {laden} kg, and the empty one {body} kg");
        let help = "body_mass_laden is body_mass with everyone and the load aboard";
        fields.error(Code::OutOfRange, &at.key("body_mass_laden"), message, help);
    }
}

fn flags(
    vehicle: &written::Vehicle,
    at: &Path,
    fields: &mut Fields<'_>,
) -> BTreeMap<&'static str, bool> {
    let mut flags = BTreeMap::new();
    let words: [(&str, &Option<String>, &[&'static str]); 2] = [
        ("fuel", &vehicle.fuel, &["petrol", "diesel", "lpg"]),
        ("gearbox", &vehicle.gearbox, &["manual", "automatic"]),
    ];
    for (name, given, allowed) in words {
        let Some(given) = given else { continue };
        if let Some(found) = fields.word(given, allowed, &at.key(name)) {
            flags.extend(
                allowed
                    .iter()
                    .enumerate()
                    .map(|(index, word)| (*word, index == found)),
            );
        }
    }
    let answers = [
        ("passenger_car", &vehicle.passenger_car),
        ("bumper_on_body", &vehicle.bumper_on_body),
        ("transfer_case", &vehicle.transfer_case),
        ("restraint_systems", &vehicle.restraint_systems),
        ("steering_sensor", &vehicle.steering_sensor),
        ("hybrid", &vehicle.hybrid),
        ("driver_aids", &vehicle.driver_aids),
    ];
    for (name, given) in answers {
        if let Some(answer) = fields.flag(given.as_ref(), &at.key(name)) {
            let fact = if name == "restraint_systems" {
                "restraints"
            } else {
                name
            };
            flags.insert(fact, answer);
        }
    }
    flags
}
