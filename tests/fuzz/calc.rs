//! Lines `name`, then `input=value` → a calculation: every number is refused or gives finite results.
#![no_main]

use libfuzzer_sys::fuzz_target;
use liftsheet::calc::{self, Inputs, Value};
use liftsheet::quantity::Units;

fuzz_target!(|text: &str| {
    let mut lines = text.lines();
    let Some(calc) = lines.next().and_then(calc::find) else {
        return;
    };
    let mut inputs = Inputs::default();
    for (name, value) in lines.filter_map(|line| line.split_once('=')) {
        if let Ok(given) = calc::read_input(calc, name, value) {
            inputs.insert(name.to_owned().into(), given);
        }
    }
    let Ok(evaluation) = calc::evaluate(calc, &inputs) else {
        return;
    };
    for outcome in &evaluation.results {
        if let Value::Number(number) = outcome.value {
            assert!(number.is_finite());
        }
    }
    std::hint::black_box((
        calc::to_text(&evaluation, Units::Inch),
        calc::to_json(&evaluation),
    ));
});
