//! The spacer block as a calculation of the registry: its inputs, results, formulas, and where they turn inside a tolerance box. The
//! statics are left to the parent module.

use super::{Spacer, SpacerResults, bore, spacer};
use crate::calc::thread::Thread;
use crate::calc::{
    CalcError, Calculation, Formula, Found, InputKind, InputSpec, Inputs, Range, ResultSpec, Spans,
    Value, take,
};
use crate::quantity::Unit;

/// How near to the edge of the face the bore is looked at within a tolerance, mm.
const NARROW: f64 = 1e-6;

pub(in super::super) const CALCULATION: Calculation = Calculation {
    name: "spacer",
    title: "does the block stay put, and does the clamp go through it",
    source: "kern of a ring (Hicks, Civil Engineering Formulas, fig. 3.5); statics",
    inputs: &[
        InputSpec::length("outer", "outer diameter of the block"),
        InputSpec::length("inner", "inner diameter of the block"),
        InputSpec::length("height", "height of the block"),
        InputSpec::length(
            "contact_outer",
            "outer diameter of the face it stands on, such as the sleeve's end; the block's when left out",
        )
        .optional(),
        InputSpec::length(
            "contact_inner",
            "inner diameter of that face; the block's when left out",
        )
        .optional(),
        InputSpec::positive("bearing_limit", Unit::Megapascal, "bearing limit of the softer material there"),
        InputSpec::positive("clamp_least", Unit::Kilonewton, "least clamp of the bolt, for slipping and tipping"),
        InputSpec::positive("clamp_most", Unit::Kilonewton, "most clamp of the bolt, for the pressure"),
        InputSpec::positive("body_mass_laden", Unit::Kg, "mass of the body with everyone and the load aboard"),
        InputSpec::other("mounts", InputKind::Count, "how many mounts share it"),
        InputSpec::positive("lateral", Unit::Gravity, "lateral acceleration")
        .or(0.8),
        InputSpec::number(
            "friction",
            Unit::One,
            Range::Within(0.05, 0.5),
            "friction between the faces",
        )
        .or(0.15),
        InputSpec::other("thread", InputKind::Text, "thread of the bolt that passes the block").optional(),
        InputSpec::length("sleeve_length", "length of the crush sleeve now").optional(),
    ],
    results: &[
        ResultSpec::answer("sleeve_supported", "whether the block stands on the sleeve"),
        ResultSpec::answer("bolt_passes", "whether the bolt passes the block's bore")
            .may_be_absent(),
        ResultSpec::length("sleeve_after", "length of the metal that the clamp goes through")
            .may_be_absent(),
        ResultSpec::megapascals("pressure", "pressure under the clamp"),
        ResultSpec::ratio("pressure_margin", "bearing limit over pressure"),
        ResultSpec::length("kern", "how far off centre the clamp may act"),
        ResultSpec::newton_metres("tipping_moment", "moment that tips the block"),
        ResultSpec::newton_metres("clamp_moment", "moment that the clamp holds"),
        ResultSpec::ratio("tipping_margin", "clamp moment over tipping moment"),
        ResultSpec::number("slip_force", Unit::Newton, "force that slides the block"),
        ResultSpec::number("slip_capacity", Unit::Newton, "force that friction holds"),
        ResultSpec::ratio("slip_margin", "slip capacity over slip force"),
        ResultSpec::ratio("slenderness", "height over outer diameter"),
    ],
    run: adapt,
    turning,
};

fn adapt(inputs: &Inputs) -> Result<Found, CalcError> {
    let (outer, inner) = (
        take::number(inputs, "outer")?,
        take::number(inputs, "inner")?,
    );
    let given = Spacer {
        outer,
        inner,
        height: take::number(inputs, "height")?,
        contact_outer: take::maybe(inputs, "contact_outer").unwrap_or(outer),
        contact_inner: take::maybe(inputs, "contact_inner").unwrap_or(inner),
        bearing_limit: take::number(inputs, "bearing_limit")?,
        clamp_least: take::number(inputs, "clamp_least")?,
        clamp_most: take::number(inputs, "clamp_most")?,
        body_mass_laden: take::number(inputs, "body_mass_laden")?,
        mounts: take::number(inputs, "mounts")?,
        lateral: take::number(inputs, "lateral")?,
        friction: take::number(inputs, "friction")?,
    };
    let found = spacer(&given)?;
    let thread = take::maybe_word(inputs, "thread").map(Thread::read);
    let bolt = thread.transpose()?.map(|thread| thread.diameter);
    let sleeve = take::maybe(inputs, "sleeve_length");
    let mut results = vec![("sleeve_supported", found.sleeve_supported.into())];
    results.extend(bolt.map(|bolt| ("bolt_passes", (inner > bolt).into())));
    results.extend(sleeve.map(|sleeve| ("sleeve_after", (sleeve + given.height).into())));
    results.extend(figures(&found));
    Ok(Found {
        results,
        formulas: formulas(&given, bolt, sleeve),
    })
}

/// The pressure, the margins, and what they are made of.
fn figures(found: &SpacerResults) -> [(&'static str, Value); 10] {
    [
        ("pressure", found.pressure.into()),
        ("pressure_margin", found.pressure_margin.into()),
        ("kern", found.kern.into()),
        ("tipping_moment", found.tipping_moment.into()),
        ("clamp_moment", found.clamp_moment.into()),
        ("tipping_margin", found.tipping_margin.into()),
        ("slip_force", found.slip_force.into()),
        ("slip_capacity", found.slip_capacity.into()),
        ("slip_margin", found.slip_margin.into()),
        ("slenderness", found.slenderness.into()),
    ]
}

fn formulas(given: &Spacer, bolt: Option<f64>, sleeve: Option<f64>) -> Vec<Formula> {
    let bolt = bolt.into_iter().flat_map(|bolt| {
        [
            Formula::step("bolt", "nominal diameter", bolt, Unit::Mm).in_words(),
            Formula::of("bolt_passes", "inner > bolt"),
        ]
    });
    let sleeve = sleeve.map(|_| Formula::of("sleeve_after", "sleeve_length + height"));
    let ring = [
        Formula::step(
            "D",
            "outer diameter of the contact ring",
            given.contact_outer,
            Unit::Mm,
        )
        .in_words(),
        Formula::step(
            "d",
            "the larger of its bore and the block's",
            bore(given),
            Unit::Mm,
        )
        .in_words(),
        Formula::of("sleeve_supported", "inner < D and outer ≥ D"),
    ];
    let margins = [
        Formula::of("pressure", "clamp_most·1000/(π/4·(D² − d²))"),
        Formula::of("pressure_margin", "bearing_limit/pressure"),
        Formula::of("kern", "(D² + d²)/(8·D)"),
        Formula::of("slip_force", "body_mass_laden·9.80665·lateral/mounts"),
        Formula::of("tipping_moment", "slip_force·height/1000"),
        Formula::of("clamp_moment", "clamp_least·kern"),
        Formula::of("tipping_margin", "clamp_moment/tipping_moment"),
        Formula::of("slip_capacity", "friction·clamp_least·1000"),
        Formula::of("slip_margin", "slip_capacity/slip_force"),
        Formula::of("slenderness", "height/outer"),
    ];
    ring.into_iter()
        .chain(bolt)
        .chain(sleeve)
        .chain(margins)
        .collect()
}

/// The block stands on the sleeve only while the contact ring is no wider than the block and wider than its bore.
fn turning(inputs: &Inputs, _: &Spans) -> Vec<(&'static str, f64)> {
    let outer = take::maybe(inputs, "outer").unwrap_or(0.0);
    let contact = take::maybe(inputs, "contact_outer").unwrap_or(outer);
    // Still on the whole face, and just past its edge.
    let mut turns = vec![
        ("contact_outer", outer),
        ("contact_outer", outer + NARROW),
        ("outer", contact),
        ("outer", contact - NARROW),
    ];
    // Just inside and just past the place where the bore grows over the face it stands on.
    turns.push(("inner", contact));
    turns.push(("inner", contact - NARROW));
    if let Some(inner) = take::maybe(inputs, "inner") {
        turns.extend([("contact_outer", inner), ("contact_outer", inner + NARROW)]);
    }
    turns
}
