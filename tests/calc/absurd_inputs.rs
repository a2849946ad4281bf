//! Whatever is typed, a calculation gives finite results or a refusal: never a NaN, an infinity or a panic.

use liftsheet::calc::{CalcError, Given, Inputs, Value, evaluate, results};
use proptest::prelude::*;

use super::samples::{SAMPLES, sample};

/// A number that somebody or something might give.
fn any_number() -> impl Strategy<Value = f64> {
    prop_oneof![
        Just(0.0),
        Just(-0.0),
        Just(1e308),
        Just(-1e308),
        Just(f64::MIN_POSITIVE),
        Just(5e-324),
        Just(f64::NAN),
        Just(f64::INFINITY),
        Just(f64::NEG_INFINITY),
        Just(150.0),
        Just(-1.0),
        -200.0..200.0_f64,
        (-320.0..308.0_f64).prop_map(|power| 10.0_f64.powf(power)),
    ]
}

fn replace(call: &mut Inputs, name: &str, numbers: &[f64; 3], half: f64) {
    let [x, y, z] = *numbers;
    if let Some(given) = call.get_mut(name) {
        given.value = match &given.value {
            Value::Number(_) => Value::Number(x),
            Value::Vector(_) => Value::Vector(*numbers),
            Value::Points(points) => {
                let mut points = points.clone();
                points[0] = *numbers;
                Value::Points(points)
            }
            Value::Places(_) => Value::Places(vec![[x, y]; 2]),
            Value::Word(_) => Value::Word(format!("{x}/{y}R{z}")),
            other => other.clone(),
        };
        given.tolerance = half;
    }
}

fn finite(value: &Value) -> bool {
    match value {
        Value::Number(number) => number.is_finite(),
        Value::List(numbers) => numbers.iter().all(|number| number.is_finite()),
        _ => true,
    }
}

fn checked(error: &CalcError, known: &[&str]) -> bool {
    known.contains(&error.input.as_str()) && !error.allowed.is_empty()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(4000))]

    #[test]
    fn every_result_is_finite_or_refused(
        index in 0..SAMPLES.len(),
        which in prop::collection::vec(0..11_usize, 1..4),
        numbers in prop::collection::vec(prop::array::uniform3(any_number()), 3),
        half in prop_oneof![8 => Just(0.0), 1 => any_number()],
    ) {
        let (calc, mut call) = sample(index);
        for (place, numbers) in which.iter().zip(&numbers) {
            if let Some(spec) = calc.inputs.get(*place) {
                replace(&mut call, spec.name, numbers, half);
            }
        }
        let known: Vec<&str> = calc.inputs.iter().map(|spec| spec.name).collect();
        match results(calc, &call) {
            Ok(found) => prop_assert!(found.iter().all(|(_, value)| finite(value)), "{found:?}"),
            Err(error) => prop_assert!(checked(&error, &known), "{error}"),
        }
        match evaluate(calc, &call) {
            Ok(found) => for outcome in &found.results {
                prop_assert!(finite(&outcome.value), "{outcome:?}");
                let (least, most) = outcome.bounds.unwrap_or((0.0, 0.0));
                prop_assert!(least.is_finite() && most.is_finite() && least <= most, "{outcome:?}");
            },
            Err(error) => prop_assert!(checked(&error, &known), "{error}"),
        }
    }
}

#[test]
fn results_alone_are_those_of_the_whole_evaluation() {
    for index in 0..SAMPLES.len() {
        let (calc, call) = sample(index);
        let whole = evaluate(calc, &call).unwrap();
        let whole: Vec<_> = whole
            .results
            .into_iter()
            .map(|outcome| (outcome.name, outcome.value))
            .collect();
        assert_eq!(results(calc, &call).unwrap(), whole);
    }
}

#[test]
fn a_number_too_large_for_any_result_is_named() {
    let bracket = SAMPLES.iter().position(|(name, _)| *name == "bracket");
    let (calc, mut call) = sample(bracket.unwrap());
    call.insert("load".into(), Given::number(1e308));
    let error = evaluate(calc, &call).unwrap_err();
    assert_eq!(error.input, "load");
    assert!(
        error.allowed.contains("of a size that occurs on a vehicle"),
        "{error}"
    );
}
