//! Places and measurements that say different things about one distance. Of two that do, one is wrong, and nobody can tell which: the
//! lift would be judged by one and drawn by the other.
//!
//! Takes the spans that the lift pulls apart and what was measured on them; reports each measurement of the distance between two fixings
//! that their places contradict, beyond all tolerances together.

use super::{CutLink, Span};
use crate::job::{Job, Measured};
use crate::quantity::{Quantity, Unit};
use crate::report::{Code, Path, Problem, Report};
use crate::rules::{Answer, Measurement, Rules};

/// How closely a place on a vehicle is taken with a tape from a common origin, in each direction, mm (common practice).
const PLACE: f64 = 25.0;

/// Reports what the places of a link contradict.
pub(super) fn check(job: &Job, rules: &Rules, link: &CutLink, report: &mut Report) {
    let class = link.class.as_ref().and_then(|id| rules.classes.get(id));
    let Some(class) = class else { return };
    let disturbed: Vec<(usize, &Span)> = link.disturbed_spans().collect();
    let several = disturbed.len() > 1;
    for (number, span) in disturbed {
        let Some(apart) = span.apart else { continue };
        for (name, measurement) in &class.measurements {
            let Some(role) = measurement.role else {
                continue;
            };
            let own = link.by_span.get(&number).and_then(|own| own.get(name));
            // A value of the link as a whole says nothing of one of several spans.
            let whole = || link.measured.get(name).filter(|_| !several);
            let Some((Measured::One(written), path)) = own.or_else(whole) else {
                continue;
            };
            let Some(reading) = reading(written.as_str(), measurement) else {
                continue;
            };
            let places = role.by_places(apart);
            let off = (reading.value - places).abs();
            if off > reading.tolerance + 2.0 * PLACE {
                let found = (name.as_str(), reading, places);
                report.push(contradiction(job, (link, number), found, path));
            }
        }
    }
}

/// A reading in mm with the tolerance that was typed, or else the one with which it should be taken. What cannot be read is told elsewhere.
fn reading(text: &str, measurement: &Measurement) -> Option<Quantity> {
    let Answer::Number { unit: Unit::Mm, .. } = measurement.kind else {
        return None;
    };
    let mut reading = Quantity::parse(text, Unit::Mm).ok()?;
    reading.tolerance = reading.tolerance.max(measurement.tolerance.unwrap_or(0.0));
    Some(reading)
}

fn contradiction(
    job: &Job,
    (link, number): (&CutLink, usize),
    (name, reading, places): (&str, Quantity, f64),
    path: &Path,
) -> Problem {
    let message = format!(
        "`{name}` was measured as {} mm, and by the places of the two fixings it is {} mm",
        reading.value,
        places.round()
    );
    let fixing = |number: usize| job.place(&link.path_of(number));
    Problem::error(Code::PlacesDisagree, message)
        .at(job.place(path))
        .related(fixing(number), "one fixing")
        .related(fixing(number + 1), "the other")
        .help("measure again, or mend the places: x is forward, y to the left, z up")
}
