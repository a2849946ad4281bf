//! Every `rise_limit` against a brute-force scan: the check holds at every rise up to the limit and not beyond it.

use liftsheet::calc::{Calculation, Given, Inputs, MOST_RISE, Value, results};
use proptest::prelude::*;

use super::samples::{SAMPLES, sample, shift};

/// Rounding that a comparison at a place of the scan may carry.
const SLACK: f64 = 1e-9;
/// How far a limit may be off.
const OFF: f64 = 1e-6;

type Results = Vec<(&'static str, Value)>;

fn number(found: &Results, name: &str) -> f64 {
    match found.iter().find(|(of, _)| *of == name) {
        Some((_, Value::Number(number))) => *number,
        other => panic!("`{name}` is {other:?}"),
    }
}

fn given(call: &Inputs, name: &str) -> f64 {
    match call.get(name).unwrap().value {
        Value::Number(number) => number,
        ref other => panic!("`{name}` is {other:?}"),
    }
}

/// Whether the check behind a limit holds at a rise, by the results there and never by the limit itself.
fn holds(calc: &Calculation, call: &Inputs, limit: &str, rise: f64) -> bool {
    let mut there = call.clone();
    there.insert("rise".into(), Given::number(rise));
    let Ok(found) = results(calc, &there) else {
        // Only the shaft refuses poses, and those are beyond every limit.
        assert_eq!(calc.name, "shaft");
        return false;
    };
    let is = |name: &str| number(&found, name);
    match (calc.name, limit) {
        ("run" | "lever" | "fan", _) => is("shortfall") <= SLACK,
        ("spigot", "rise_limit") => is("overlap_left") >= given(call, "least_overlap") - SLACK,
        ("spigot", _) => is("overlap_moved") >= given(call, "least_overlap") - SLACK,
        ("duct", _) => {
            is("angle") <= given(call, "angle_limit") + SLACK
                && is("stretch") <= given(call, "stretch_limit") + SLACK
        }
        ("rod", _) => {
            found.contains(&("reaches", Value::Flag(true)))
                && is("turn") <= given(call, "turn_limit") + SLACK
        }
        ("gap", _) => match call.get("direction").unwrap().value {
            Value::Word(ref word) if word == "closes" => is("shortfall") <= SLACK,
            _ => is("excess") <= SLACK,
        },
        ("shaft", _) => {
            let limit = given(call, "joint_limit") + SLACK;
            let bottoms = found.contains(&("bottoms", Value::Flag(true)));
            is("overlap_left") >= given(call, "least_overlap") - SLACK
                && is("upper_angle") <= limit
                && is("lower_angle") <= limit
                && !bottoms
        }
        other => panic!("no check is known for {other:?}"),
    }
}

fn check_limit(
    calc: &Calculation,
    call: &Inputs,
    name: &str,
    limit: &Value,
) -> Result<(), TestCaseError> {
    let until = match limit {
        Value::Number(number) => *number,
        _ => MOST_RISE,
    };
    let holds = |rise: f64| holds(calc, call, name, rise);
    let context = format!("`{name}` of `{}` is {limit:?} at {call:?}", calc.name);
    for step in 0..=300 {
        let rise = f64::from(step) * 0.5;
        prop_assert!(
            rise > until - OFF || holds(rise),
            "fails at {rise}: {context}"
        );
    }
    if matches!(limit, Value::Number(_)) {
        prop_assert!((0.0..MOST_RISE).contains(&until), "{context}");
        prop_assert!(
            until < OFF || holds(until - OFF),
            "fails just below: {context}"
        );
        prop_assert!(
            !holds((until + OFF).min(MOST_RISE)),
            "holds just beyond: {context}"
        );
    }
    Ok(())
}

/// The samples whose calculation has a limit.
fn limited() -> Vec<usize> {
    let has_limit = |index: &usize| {
        let (calc, _) = sample(*index);
        calc.results
            .iter()
            .any(|spec| spec.name.starts_with("rise_limit"))
    };
    (0..SAMPLES.len()).filter(has_limit).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(500))]

    #[test]
    fn the_check_holds_up_to_the_limit_and_not_beyond(
        index in prop::sample::select(limited()),
        shares in prop::collection::vec(0.0..1.0_f64, 11),
    ) {
        let (calc, mut call) = sample(index);
        let limits = calc.results.iter().map(|spec| spec.name).filter(|name| name.starts_with("rise_limit"));
        let limits: Vec<&str> = limits.collect();
        shift(calc, &mut call, &shares);
        if let Ok(found) = results(calc, &call) {
            for name in limits {
                let limit = &found.iter().find(|(of, _)| *of == name).unwrap().1;
                check_limit(calc, &call, name, limit)?;
            }
        }
    }
}
