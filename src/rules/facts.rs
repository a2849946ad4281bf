//! The facts of a whole job that rules may use: their names, their places in a job file, how to find them.
//!
//! A table and a look-up. Which facts a job gives is left to `assess`; a fact that it does not give is absent, never guessed.

use std::sync::LazyLock;

use rustc_hash::FxHashMap;

use crate::quantity::Unit::{self, Kg, Megapascal, Mm};

/// A fact that a job may leave out: its name in rules, its place in the job file, what it is, how to find it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Fact {
    /// The name in expressions.
    pub name: &'static str,
    /// Where it stands in the job file.
    pub place: &'static str,
    /// What it is called on the survey.
    pub label: &'static str,
    /// How to find it.
    pub how: &'static str,
    /// The unit of a number that a job gives; none for yes/no and words.
    pub unit: Option<Unit>,
}

// What several facts follow from.
const FUEL: Fact = answer(
    "vehicle.fuel",
    "fuel",
    "Read the filler flaps: petrol, diesel, or lpg where it has a filler for liquefied gas.",
);
const GEARBOX: Fact = answer(
    "vehicle.gearbox",
    "gearbox",
    "Look at the pedals: manual or automatic.",
);
const TYRE_SIZES: Fact = answer(
    "vehicle.done.tyre_after",
    "tyre sizes before and after the lift",
    "Read the tyre placard, and the wall of the tyre that will be fitted.",
);

/// Every fact that a job may leave out.
pub(crate) const FACTS: [Fact; 36] = [
    number(
        "vehicle.body_mass",
        "mass of all that is raised",
        "Weigh the vehicle, or take the maker's figure for the body with doors and trim.",
        Kg,
    ),
    number(
        "vehicle.body_mass_laden",
        "mass of the body with everyone and the load aboard",
        "Body mass plus every seat at 75 kg plus the load that rides on the body.",
        Kg,
    ),
    number(
        "vehicle.total_mass",
        "mass of the whole vehicle",
        "Weigh it, or read it off the registration papers.",
        Kg,
    ),
    length(
        "vehicle.track",
        "track",
        "Middle of the left tyre to middle of the right tyre, on the ground.",
    ),
    length(
        "vehicle.cg_height",
        "height of the centre of mass",
        "Take the maker's or a certifier's figure.",
    ),
    length(
        "vehicle.done.body_lift",
        "blocks and packers of an earlier lift under the highest mount that stay",
        "Look between bracket and body at every mount, beside the maker's rubber; 0 when there are none.",
    )
    .named("vehicle.body_lift"),
    length(
        "vehicle.done.suspension_lift",
        "suspension lift already done",
        "Compare hub to guard with the maker's figure; 0 when the springs are the maker's.",
    )
    .named("vehicle.suspension_lift"),
    FUEL.named("vehicle.petrol"),
    FUEL.named("vehicle.diesel"),
    FUEL.named("vehicle.lpg"),
    GEARBOX.named("vehicle.manual"),
    GEARBOX.named("vehicle.automatic"),
    answer(
        "vehicle.transfer_case",
        "transfer case fitted",
        "Look for a second lever or a range switch.",
    ),
    answer(
        "vehicle.restraint_systems",
        "airbags or belt tensioners fitted",
        "Look for the marks on wheel, dash and belts.",
    )
    .named("vehicle.restraints"),
    answer(
        "vehicle.steering_sensor",
        "steering-angle sensor or stability control fitted",
        "Look for the stability-control lamp at key-on.",
    ),
    answer(
        "vehicle.hybrid",
        "a high-voltage battery and a motor drive it too",
        "Look for orange cables under the bonnet and along the frame, and in the owner's manual.",
    ),
    answer(
        "vehicle.driver_aids",
        "cameras or radars that look ahead",
        "Look behind the windscreen and the grille.",
    ),
    TYRE_SIZES.named("vehicle.tyres_changed"),
    length(
        "lift.block.outer",
        "outer diameter of the blocks",
        "Measure a block with a caliper.",
    )
    .named("block.outer"),
    length(
        "lift.block.inner",
        "hole of the blocks",
        "Measure a block with a caliper.",
    )
    .named("block.inner"),
    number(
        "lift.block.bearing_limit",
        "permissible surface pressure of the softer material at the blocks",
        "Take it from the supplier's data or from a handbook table.",
        Megapascal,
    )
    .named("block.bearing_limit"),
    answer(
        "lift.block.material",
        "material of the blocks",
        "Look at a block: steel, aluminium or plastic.",
    )
    .named("block.solid_metal"),
    number(
        "vehicle.gross_mass",
        "mass that the vehicle may have at the most",
        "Read it off the maker's plate or the registration papers.",
        Kg,
    ),
    answer(
        "vehicle.passenger_car",
        "registered as a passenger car",
        "Read the registration papers: yes for a passenger car, no for a truck or utility.",
    ),
    length(
        "vehicle.floor_over_frame",
        "lowest part of the body's floor above the top of the frame",
        "Unladen, before the lift: straight up from the frame's top to the floor.",
    ),
    length(
        "vehicle.frame_height",
        "frame above the ground",
        "Unladen, on level ground: lowest point of the frame midway between the axles.",
    ),
    length(
        "vehicle.body_height",
        "lowest part of the body above the ground",
        "Unladen, on level ground, before the lift.",
    ),
    length(
        "vehicle.floor_height",
        "floor of the load space above the ground",
        "Unladen, on level ground, before the lift.",
    ),
    length(
        "vehicle.bumper_height",
        "lower edge of the higher bumper above the ground",
        "Unladen, on level ground, before the lift.",
    ),
    length(
        "vehicle.front_bumper_height",
        "lower edge of the front bumper above the ground",
        "Unladen, on level ground, before the lift.",
    ),
    length(
        "vehicle.front_frame_end",
        "front end of the frame above the ground",
        "Unladen, on level ground: to the bottom of the rail where it ends at the bumper.",
    ),
    length(
        "vehicle.rear_frame_end",
        "rear end of the frame above the ground",
        "Unladen, on level ground: to the bottom of the rail where it ends at the bumper.",
    ),
    answer(
        "vehicle.bumper_on_body",
        "bumpers fixed to the body",
        "Follow the brackets: yes when they rise with the body, no when they stay on the chassis.",
    ),
    answer(
        "vehicle.done.tyre_before",
        "tyre size that the vehicle left the maker with",
        "Read the tyre placard.",
    )
    .named("vehicle.tyre_before"),
    answer(
        "vehicle.done.tyre_after",
        "tyre size after the lift",
        "Read the tyre's wall, or the order.",
    )
    .named("vehicle.tyre_after"),
    TYRE_SIZES.named("vehicle.tyre_growth"),
];

/// An answer or a size in words that has the same name in rules and in the job file.
const fn answer(place: &'static str, label: &'static str, how: &'static str) -> Fact {
    Fact {
        name: place,
        place,
        label,
        how,
        unit: None,
    }
}

/// A number likewise.
const fn number(place: &'static str, label: &'static str, how: &'static str, unit: Unit) -> Fact {
    let mut fact = answer(place, label, how);
    fact.unit = Some(unit);
    fact
}

/// A length likewise, mm.
const fn length(place: &'static str, label: &'static str, how: &'static str) -> Fact {
    number(place, label, how, Mm)
}

impl Fact {
    /// The same with another name in rules.
    const fn named(mut self, name: &'static str) -> Self {
        self.name = name;
        self
    }

    /// The name of the yes/no that says whether a job gives it: `given.track` for `vehicle.track`.
    pub(crate) fn given(&self) -> String {
        format!("given.{}", self.field())
    }

    /// Whether rules read a number: of a tyre a job gives the size, and rules its diameter.
    pub(crate) fn number(&self) -> bool {
        self.unit.is_some() || TYRES.contains(&self.name)
    }

    /// The answers to choose from, as the job file takes them; none of a number and of a tyre's size.
    pub(crate) fn answers(&self) -> &'static [&'static str] {
        match self.place {
            "vehicle.fuel" => &["petrol", "diesel", "lpg"],
            "vehicle.gearbox" => &["manual", "automatic"],
            "lift.block.material" => &["steel", "aluminium", "plastic"],
            "vehicle.done.tyre_before" | "vehicle.done.tyre_after" => &[],
            _ if self.unit.is_some() => &[],
            _ => &["yes", "no"],
        }
    }

    /// The last part of its name.
    pub(crate) fn field(&self) -> &'static str {
        self.name
            .rsplit_once('.')
            .map_or(self.name, |(_, field)| field)
    }
}

/// Diameters and their difference, mm, which follow from the sizes that a job gives.
const TYRES: [&str; 3] = [
    "vehicle.tyre_before",
    "vehicle.tyre_after",
    "vehicle.tyre_growth",
];

/// Facts that every job gives.
pub(crate) const ALWAYS: [&str; 5] = [
    "lift.spacer",
    "lift.highest",
    "lift.clearance",
    "lift.jacks",
    "lift.mounts",
];

/// The fact of that name, when it is one that a job may leave out.
pub(crate) fn find(name: &str) -> Option<&'static Fact> {
    static BY_NAME: LazyLock<FxHashMap<&str, &Fact>> =
        LazyLock::new(|| FACTS.iter().map(|fact| (fact.name, fact)).collect());
    BY_NAME.get(name).copied()
}

/// The fact that a name such as `given.track` asks for.
pub(crate) fn asked_for(name: &str) -> Option<&'static Fact> {
    let field = name.strip_prefix("given.")?;
    FACTS.iter().find(|fact| fact.field() == field)
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn a_fact_is_asked_for_by_a_name_of_its_own() {
        let fields: BTreeSet<&str> = FACTS.iter().map(Fact::field).collect();
        assert_eq!(fields.len(), FACTS.len());
        for fact in &FACTS {
            assert_eq!(asked_for(&fact.given()), Some(fact));
        }
        assert_eq!(asked_for("vehicle.track"), None);
    }
}
