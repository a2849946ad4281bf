//! Formulas → working: puts the numbers in place of the symbols. Takes a run's inputs, results and formulas; gives the
//! steps a person can follow with a pocket calculator. Angles keep their degree sign; every other number is in the
//! canonical unit of its name. Rounds for reading only.

use super::value::Used;
use super::{Formula, Found, Outcome, Value, WorkingStep};
use crate::quantity::Unit;

pub(super) fn steps(inputs: &[Used], results: &[Outcome], found: &Found) -> Vec<WorkingStep> {
    let unit_of = |name: &str| results.iter().find(|one| one.name == name)?.unit;
    let symbols = symbols(inputs, found, unit_of);
    let step = |formula: &Formula| WorkingStep {
        name: formula.name,
        formula: formula.text,
        with_numbers: if formula.in_words {
            formula.text.to_owned()
        } else {
            put_in(formula.text, &symbols)
        },
        gives: gives(found, formula, unit_of),
    };
    found.formulas.iter().map(step).collect()
}

type Symbol = (&'static str, String);

fn symbols(inputs: &[Used], found: &Found, unit_of: impl Fn(&str) -> Option<Unit>) -> Vec<Symbol> {
    let given = inputs.iter().filter_map(|(name, unit, given)| {
        in_formula(&given.value, *unit).map(|text| (*name, text))
    });
    let results = found
        .results
        .iter()
        .filter_map(|(name, value)| in_formula(value, unit_of(name)).map(|text| (*name, text)));
    let on_the_way = found.formulas.iter().filter_map(|formula| {
        let (value, unit) = formula.on_the_way?;
        in_formula(&Value::Number(value), Some(unit)).map(|text| (formula.name, text))
    });
    given.chain(results).chain(on_the_way).collect()
}

/// A value as it stands inside a formula; none for what is no single number.
fn in_formula(value: &Value, unit: Option<Unit>) -> Option<String> {
    let Value::Number(number) = value else {
        return None;
    };
    let degree = if unit == Some(Unit::Degree) { "°" } else { "" };
    let plain = format!("{}{degree}", figures(*number, decimals(unit)));
    Some(if plain.starts_with('−') {
        format!("({plain})")
    } else {
        plain
    })
}

fn gives(found: &Found, formula: &Formula, unit_of: impl Fn(&str) -> Option<Unit>) -> String {
    if let Some((value, unit)) = formula.on_the_way {
        return with_unit(value, Some(unit));
    }
    let result = found.results.iter().find(|(name, _)| *name == formula.name);
    result.map_or_else(String::new, |(name, value)| plain(value, unit_of(name)))
}

/// Decimals of a number in the working: a ratio near 1 needs more than a length.
fn decimals(unit: Option<Unit>) -> usize {
    if unit == Some(Unit::One) { 6 } else { 3 }
}

/// A value with its unit, as the working prints it.
pub(super) fn plain(value: &Value, unit: Option<Unit>) -> String {
    let list = |numbers: &[f64]| {
        let texts: Vec<String> = numbers.iter().map(|&number| figures(number, 3)).collect();
        texts.join(", ")
    };
    match value {
        Value::Number(number) => with_unit(*number, unit),
        Value::Flag(true) => "yes".to_owned(),
        Value::Flag(false) => "no".to_owned(),
        Value::Word(word) => word.clone(),
        Value::Vector(vector) => list(vector),
        Value::List(numbers) => format!("{}{}", list(numbers), suffix(unit)),
        Value::Points(points) => join(points.iter().map(|point| list(point))),
        Value::Places(places) => join(places.iter().map(|place| list(place))),
        Value::Nothing => "no limit up to 150 mm".to_owned(),
    }
}

fn join(parts: impl Iterator<Item = String>) -> String {
    parts.collect::<Vec<_>>().join("; ")
}

pub(crate) fn with_unit(value: f64, unit: Option<Unit>) -> String {
    format!("{}{}", figures(value, decimals(unit)), suffix(unit))
}

fn suffix(unit: Option<Unit>) -> String {
    match unit {
        None | Some(Unit::One) => String::new(),
        Some(Unit::Degree) => "°".to_owned(),
        Some(unit) => format!(" {}", unit.code()),
    }
}

/// What a difference that comes to nothing may leave of a double.
const NOISE: f64 = 1e-12;

/// A number to so many decimals, or to four figures when that would lose it.
pub(super) fn figures(value: f64, decimals: usize) -> String {
    let size = value.abs();
    let text = if size > NOISE && !(0.01..1e7).contains(&size) {
        format!("{value:.3e}")
    } else {
        let text = format!("{value:.decimals$}");
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    };
    match text.strip_prefix('-') {
        Some("0") => "0".to_owned(),
        Some(rest) => format!("−{rest}"),
        None => text,
    }
}

/// The formula with each known symbol replaced by its number.
fn put_in(formula: &str, symbols: &[Symbol]) -> String {
    let mut written = String::with_capacity(formula.len());
    let mut rest = formula;
    while let Some(first) = rest.chars().next() {
        let end = rest
            .find(|c: char| !in_symbol(c))
            .unwrap_or(rest.len())
            .max(first.len_utf8());
        let Some((symbol, after)) = rest.split_at_checked(end) else {
            break;
        };
        let known = symbols.iter().find(|(name, _)| *name == symbol);
        let text = known.map_or(symbol, |(_, number)| number);
        let bracketed = written.ends_with('(') && after.starts_with(')');
        let bare = text
            .strip_prefix('(')
            .and_then(|text| text.strip_suffix(')'));
        written.push_str(bare.filter(|_| bracketed).unwrap_or(text));
        rest = after;
    }
    written
}

/// Superscripts are operations, not part of a symbol.
fn in_symbol(c: char) -> bool {
    c == '_' || (c.is_alphanumeric() && !matches!(c, '²' | '³'))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn symbols_are_replaced_whole_and_negatives_get_brackets() {
        let symbols = vec![("level", "(−120)".to_owned()), ("l", "9".to_owned())];
        assert_eq!(put_in("√(level² + l)", &symbols), "√((−120)² + 9)");
        assert_eq!(put_in("levels + ll", &symbols), "levels + ll");
        assert_eq!(put_in("tan(level)", &symbols), "tan(−120)");
    }

    #[test]
    fn numbers_print_short_but_never_vanish() {
        assert_eq!(figures(21.70935, 3), "21.709");
        assert_eq!(figures(-0.0, 3), "0");
        assert_eq!(figures(-7.105e-15, 3), "0");
        assert_eq!(figures(-3.0, 3), "−3");
        assert_eq!(figures(0.000_012_345, 3), "1.234e-5");
    }
}
