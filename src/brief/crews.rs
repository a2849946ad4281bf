//! How long the vehicle stands in the workshop, for the crews that a customer may choose between.
//!
//! Takes everything that was made of a job; gives for each crew its estimate from [`crate::crew`], or why there is none.

use crate::crew::{Estimate, first_estimate};
use crate::pipeline::Made;

/// The crews: what `--with` of `liftsheet crew` calls them, and what the customer does.
const CREWS: [(&str, &str); 2] = [
    ("fitter", "one fitter"),
    ("fitter+apprentice", "a fitter with an apprentice"),
];

/// One crew and its time.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Crewed {
    /// The crew as `--with` takes it.
    pub with: &'static str,
    /// The crew in plain words.
    pub who: &'static str,
    /// How long it takes them, or why that cannot be said.
    pub estimate: Result<Estimate, String>,
}

/// The estimate for each crew.
pub(crate) fn crews(made: &Made<'_>) -> Vec<Crewed> {
    let crews = CREWS.into_iter();
    let crewed = crews.map(|(with, who)| Crewed {
        with,
        who,
        estimate: estimate(made, with),
    });
    crewed.collect()
}

/// A plan that may change, or must not be carried out, promises no days. They are those of a first schedule: a search finds fewer
/// minutes, hardly ever fewer days, and takes most of the time of the whole page.
fn estimate(made: &Made<'_>, with: &str) -> Result<Estimate, String> {
    if made.assessment.stops() {
        return Err("the lift must not be done as described".to_owned());
    }
    if made.plan.provisional {
        return Err("something is still to be measured".to_owned());
    }
    first_estimate(made, with).map_err(|problem| problem.message)
}
