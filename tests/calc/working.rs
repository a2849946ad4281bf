//! The working: with the numbers put in, each formula gives the result beside it. A small pocket calculator reads the printed line;
//! lines in words are left out, and their share is bounded.

use liftsheet::calc::{Evaluation, Value, to_text};
use liftsheet::quantity::Units;

use super::ask::ask;
use super::samples::SAMPLES;

/// A pocket calculator for printed formulas: numbers, °, powers, roots, bars, functions of degrees.
struct Calculator<'a> {
    rest: &'a str,
}

impl Calculator<'_> {
    fn compute(text: &str) -> Option<f64> {
        let mut calculator = Calculator { rest: text };
        let value = calculator.sum()?;
        calculator.rest.trim().is_empty().then_some(value)
    }

    fn eat(&mut self, token: &str) -> bool {
        self.rest = self.rest.trim_start();
        let after = self.rest.strip_prefix(token);
        self.rest = after.unwrap_or(self.rest);
        after.is_some()
    }

    fn sum(&mut self) -> Option<f64> {
        let mut value = self.product()?;
        loop {
            if self.eat("+") {
                value += self.product()?;
            } else if self.eat("−") {
                value -= self.product()?;
            } else {
                return Some(value);
            }
        }
    }

    fn product(&mut self) -> Option<f64> {
        let mut value = self.power()?;
        loop {
            if self.eat("·") {
                value *= self.power()?;
            } else if self.eat("/") {
                value /= self.power()?;
            } else {
                return Some(value);
            }
        }
    }

    fn power(&mut self) -> Option<f64> {
        let value = self.atom()?;
        Some(if self.eat("²") { value * value } else { value })
    }

    fn atom(&mut self) -> Option<f64> {
        if self.eat("−") {
            return self.power().map(|value| -value);
        }
        for (name, function) in FUNCTIONS {
            if self.eat(name) {
                let squared = self.eat("²");
                let first = self.arguments()?;
                let value = function(first.0, first.1);
                return Some(if squared { value * value } else { value });
            }
        }
        for (open, close) in [("(", ")"), ("[", "]")] {
            if self.eat(open) {
                let value = self.sum()?;
                return self.eat(close).then_some(value);
            }
        }
        if self.eat("|") {
            let value = self.sum()?;
            return self.eat("|").then_some(value.abs());
        }
        if self.eat("π") {
            return Some(std::f64::consts::PI);
        }
        self.number()
    }

    fn arguments(&mut self) -> Option<(f64, f64)> {
        if !self.eat("(") {
            return None;
        }
        let first = self.sum()?;
        let second = if self.eat(",") { self.sum()? } else { f64::NAN };
        self.eat(")").then_some((first, second))
    }

    fn number(&mut self) -> Option<f64> {
        self.rest = self.rest.trim_start();
        let mut end = self
            .rest
            .find(|c: char| !c.is_ascii_digit() && c != '.')
            .unwrap_or(self.rest.len());
        if let Some(power) = self.rest[end..].strip_prefix('e') {
            let digits = power.trim_start_matches('-');
            let digits = digits.len()
                - digits
                    .trim_start_matches(|c: char| c.is_ascii_digit())
                    .len();
            end += 1 + usize::from(power.starts_with('-')) + digits;
        }
        let value = self.rest[..end].parse().ok()?;
        self.rest = &self.rest[end..];
        self.eat("°");
        Some(value)
    }
}

type Function = fn(f64, f64) -> f64;

const FUNCTIONS: [(&str, Function); 11] = [
    ("atan2", |y, x| y.atan2(x).to_degrees()),
    ("atan", |x, _| x.atan().to_degrees()),
    ("asin", |x, _| x.asin().to_degrees()),
    ("acos", |x, _| x.min(1.0).acos().to_degrees()),
    ("tan", |x, _| x.to_radians().tan()),
    ("sin", |x, _| x.to_radians().sin()),
    ("cos", |x, _| x.to_radians().cos()),
    ("√", |x, _| x.max(0.0).sqrt()),
    ("max", f64::max),
    ("min", f64::min),
    ("mean", |_, _| f64::NAN),
];

/// What a line of the working gives, as a number.
fn given(found: &Evaluation, name: &str, gives: &str) -> Option<f64> {
    match found.result(name).map(|outcome| &outcome.value) {
        Some(Value::Number(number)) => Some(*number),
        Some(_) => None,
        None => {
            let text = gives.replace('−', "-");
            let end = text
                .find(|c: char| !c.is_ascii_digit() && !"-.e".contains(c))
                .unwrap_or(text.len());
            text[..end].parse().ok()
        }
    }
}

#[test]
fn the_printed_formulas_give_the_printed_results() {
    let (mut computed, mut lines) = (0, 0);
    for (name, text) in SAMPLES {
        let found = ask(name, text);
        for step in found.working() {
            let Some(expected) = given(&found, step.name, &step.gives) else {
                continue;
            };
            lines += 1;
            let Some(value) = Calculator::compute(&step.with_numbers) else {
                continue;
            };
            computed += 1;
            // Printed numbers carry three decimals; cosines near 1 amplify that.
            let within = 0.02 + 0.004 * expected.abs();
            let close = (value - expected).abs() <= within;
            assert!(
                close,
                "{name}: {} = {} = {value}, not {expected}",
                step.name, step.with_numbers
            );
        }
    }
    assert!(
        computed * 10 >= lines * 7,
        "only {computed} of {lines} lines could be computed"
    );
}

#[test]
fn every_result_has_its_line_and_no_symbol_is_left_without_its_number() {
    for (name, text) in SAMPLES {
        let found = ask(name, text);
        for outcome in &found.results {
            let line = found
                .working()
                .iter()
                .find(|step| step.name == outcome.name);
            let line =
                line.unwrap_or_else(|| panic!("`{}` of `{name}` has no working", outcome.name));
            assert!(!line.gives.is_empty() && !line.formula.is_empty());
        }
        // Lines in words take no numbers.
        for step in found
            .working()
            .iter()
            .filter(|step| step.with_numbers != step.formula)
        {
            let words = step
                .with_numbers
                .split(|c: char| !c.is_alphanumeric() && c != '_');
            let left: Vec<&str> = words.filter(|word| word.contains('_')).collect();
            assert!(
                left.is_empty(),
                "{left:?} in {} of `{name}`: {}",
                step.name,
                step.with_numbers
            );
        }
    }
}

#[test]
fn text_shows_formula_numbers_and_bounds_and_inches_change_only_the_text() {
    let found = ask("run", "plan=300 level=120 slack=60±2 reserve=25 rise=50");
    let text = to_text(&found, Units::Metric);
    for part in [
        "run: does the slack",
        "slack       60 mm ±2 mm",
        "= slack − growth",
        "= 60 − 21.709",
        "= 38.291 mm",
        "38.3 mm   (from 36.3 mm to 40.3 mm over the tolerances)",
    ] {
        assert!(text.contains(part), "{part} is not in\n{text}");
    }
    let inches = to_text(&found, Units::Inch);
    assert!(inches.contains("slack_left  1.51 in"), "{inches}");
    assert!(inches.contains("= 38.291 mm"), "{inches}");
}
