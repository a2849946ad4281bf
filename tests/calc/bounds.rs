//! The bounds that an evaluation gives over a tolerance box: no place inside the box gives a result outside them.

use liftsheet::calc::{Calculation, Evaluation, Inputs, MOST_RISE, Value, evaluate, results};
use proptest::prelude::*;

use super::ask::{ask, refusal};
use super::samples::{SAMPLES, loosen, place, sample, shift};

/// Fails when a result at a place inside the box lies outside the bounds.
fn check_place(
    calc: &Calculation,
    bounded: &Evaluation,
    there: &Inputs,
) -> Result<(), TestCaseError> {
    let Ok(found) = results(calc, there) else {
        return Ok(());
    };
    for outcome in &bounded.results {
        let value = found
            .iter()
            .find(|(name, _)| *name == outcome.name)
            .map(|(_, value)| value);
        let inside = match (value, outcome.bounds) {
            (Some(Value::Number(number)), Some((least, most))) => {
                let slack = 1e-6 * (1.0 + number.abs());
                (least - slack..=most + slack).contains(number)
            }
            (Some(Value::Nothing), Some((_, most))) => most >= MOST_RISE,
            // A result that does not apply at that place was never bounded there.
            (None, _) => true,
            (Some(value), _) => *value == outcome.value || outcome.elsewhere.contains(value),
        };
        prop_assert!(
            inside,
            "`{}` of `{}` is {value:?} at {there:?}, outside {:?} (elsewhere {:?})",
            outcome.name,
            calc.name,
            outcome.bounds,
            outcome.elsewhere
        );
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    #[test]
    fn no_place_in_the_box_gives_a_result_outside_the_bounds(
        index in 0..SAMPLES.len(),
        shares in prop::collection::vec(0.0..1.0_f64, 11),
        halves in prop::collection::vec(0.0..1.0_f64, 11),
        places in prop::collection::vec(prop::collection::vec(0.0..1.0_f64, 11), 30),
    ) {
        let (calc, mut call) = sample(index);
        shift(calc, &mut call, &shares);
        loosen(calc, &mut call, &halves, 4);
        if let Ok(bounded) = evaluate(calc, &call) {
            for shares in &places {
                check_place(calc, &bounded, &place(calc, &call, shares))?;
            }
        }
    }
}

/// The property above would hold empty if most boxes were refused.
#[test]
fn most_samples_stand_a_tolerance_on_every_other_number() {
    let mut answered = 0;
    for index in 0..SAMPLES.len() {
        let (calc, mut call) = sample(index);
        loosen(calc, &mut call, &[0.6; 11], 4);
        answered += usize::from(evaluate(calc, &call).is_ok());
    }
    assert!(
        answered * 10 >= SAMPLES.len() * 9,
        "{answered} of {}",
        SAMPLES.len()
    );
}

#[test]
fn a_hose_that_starts_below_is_bounded_at_its_nearest_point() {
    let found = ask("run", "plan=300 level=-40 slack=60 reserve=25 rise=40±10");
    let (least, most) = found.result("growth").unwrap().bounds.unwrap();
    assert!(
        (least - (300.0 - 300.0_f64.hypot(40.0))).abs() < 1e-9,
        "{least}"
    );
    assert!(
        (most - (300.0_f64.hypot(10.0) - 300.0_f64.hypot(40.0))).abs() < 1e-9,
        "{most}"
    );
}

#[test]
fn a_bolt_whose_need_straddles_two_lengths_shows_both() {
    let found = ask(
        "stack",
        "joint=nut thread=M12 grip=41±2 spacer=50 washers=5",
    );
    let order = found.result("order_length").unwrap().bounds.unwrap();
    assert_eq!(order, (110.0, 120.0));
    let (least, most) = found.result("extra").unwrap().bounds.unwrap();
    assert!(
        least.abs() < 1e-6 && (most - 10.0).abs() < 1e-6,
        "{least} {most}"
    );
}

#[test]
fn an_answer_that_depends_on_the_tolerance_says_so() {
    let found = ask("jog", "offset=50 length=41±2 bend_radius=20");
    let fits = found.result("fits").unwrap();
    assert_eq!(
        (&fits.value, &fits.elsewhere),
        (&Value::Flag(true), &vec![Value::Flag(false)])
    );
    let sure = ask("jog", "offset=50 length=60±2 bend_radius=20");
    assert!(sure.result("fits").unwrap().elsewhere.is_empty());
}

#[test]
fn a_limit_that_vanishes_in_part_of_the_box_counts_there_as_150_mm() {
    let found = ask("gap", "gap=169±2 direction=closes least_gap=20 rise=50");
    let limit = found.result("rise_limit").unwrap();
    assert_eq!(
        (&limit.value, limit.bounds),
        (&Value::Number(149.0), Some((147.0, 150.0)))
    );
    assert_eq!(limit.elsewhere, vec![Value::Nothing]);
}

#[test]
fn a_refusal_inside_the_tolerance_says_where_it_comes_from() {
    let message = refusal(
        "fan",
        "shroud_radius=240 fan_radius=222±4 offset=0 clearance=15 rise=10",
    );
    assert!(message.contains("within its tolerance"), "{message}");
    let message = refusal(
        "fan",
        "shroud_radius=240±4 fan_radius=222 offset=0 clearance=15 rise=10",
    );
    assert!(
        message.contains("at one end of the tolerances"),
        "{message}"
    );
}
