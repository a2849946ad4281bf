//! Every calculation by name. Takes nothing; gives the list that the command line, the rules and the manual share.

use super::{
    Calculation, bolt, bracket, driveline, duct, fan, gap, ground, jog, lamp, lever, plane, rod,
    run, shaft, shank, spacer, spigot, stability, stack, tilt, tyre,
};

const ALL: &[Calculation] = &[
    bolt::CALCULATION,
    bracket::CALCULATION,
    driveline::CALCULATION,
    duct::CALCULATION,
    fan::CALCULATION,
    gap::CALCULATION,
    ground::CALCULATION,
    jog::CALCULATION,
    lamp::CALCULATION,
    lever::CALCULATION,
    plane::CALCULATION,
    rod::CALCULATION,
    run::CALCULATION,
    shaft::CALCULATION,
    shank::CALCULATION,
    spacer::CALCULATION,
    spigot::CALCULATION,
    stability::CALCULATION,
    stack::CALCULATION,
    tilt::CALCULATION,
    tyre::CALCULATION,
];

/// Every calculation, sorted by name.
pub fn all() -> &'static [Calculation] {
    ALL
}

/// The calculation of that name, or none.
///
/// ```
/// use liftsheet::calc::find;
/// assert_eq!(find("lever").unwrap().name, "lever");
/// assert!(find("leaver").is_none());
/// ```
pub fn find(name: &str) -> Option<&'static Calculation> {
    let index = ALL.binary_search_by(|calc| calc.name.cmp(name)).ok()?;
    ALL.get(index)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_list_is_sorted_so_that_every_calculation_is_found() {
        for calc in all() {
            assert_eq!(find(calc.name).unwrap().name, calc.name);
        }
    }

    #[test]
    fn names_are_unique_within_a_calculation() {
        for calc in all() {
            let mut names: Vec<&str> = calc.inputs.iter().map(|spec| spec.name).collect();
            names.extend(calc.results.iter().map(|spec| spec.name));
            let count = names.len();
            names.sort_unstable();
            names.dedup();
            assert_eq!(names.len(), count, "{}", calc.name);
        }
    }
}
