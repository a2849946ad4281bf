//! What a body lift gains in numbers: room in the guards and height of the body by the blocks, clearance under the axles by the
//! tyres alone.

use crate::pipeline::Made;
use crate::quantity::{Quantity, Unit};

/// What the lift gains.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Gains {
    /// The highest block.
    pub blocks: Quantity,
    /// The tyres, when both sizes are known and differ.
    pub tyres: Option<Tyres>,
    /// How much higher the body stands above the ground.
    pub body: Quantity,
}

/// The tyres before and after.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Tyres {
    /// The size before, as typed.
    pub before: String,
    pub diameter_before: Quantity,
    /// The size after, as typed.
    pub after: String,
    pub diameter_after: Quantity,
    /// What the clearance under the axles gains: half of the difference; less than nothing for a smaller tyre.
    pub axle: Quantity,
}

/// Works it out.
pub(crate) fn gains(made: &Made<'_>) -> Gains {
    let mm = |value: f64| Quantity::exact(value, Unit::Mm);
    let mounts = made.job.mounts.values();
    let highest = mounts
        .map(|mount| mount.spacer)
        .fold(made.job.lift.spacer.value, f64::max);
    let tyres = tyres(made);
    let axle = tyres.as_ref().map_or(0.0, |tyres| tyres.axle.value);
    Gains {
        blocks: mm(highest),
        body: mm(highest + axle),
        tyres,
    }
}

fn tyres(made: &Made<'_>) -> Option<Tyres> {
    let vehicle = &made.job.vehicle;
    let (before, after) = (vehicle.tyres.0.clone()?, vehicle.tyres.1.clone()?);
    if before == after {
        return None;
    }
    let diameter_before = *vehicle.numbers.get("tyre_before")?;
    let diameter_after = *vehicle.numbers.get("tyre_after")?;
    let growth = diameter_after.value - diameter_before.value;
    Some(Tyres {
        before,
        diameter_before,
        after,
        diameter_after,
        axle: Quantity::exact(growth / 2.0, Unit::Mm),
    })
}
