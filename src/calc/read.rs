//! Text → inputs. Takes what a person types, `name=value`; gives a [`Given`] of each input's kind, or a [`CalcError`] with
//! the quantity's own message and way out. Ranges are left to `evaluate`.

use super::{CalcError, Calculation, Given, InputKind, InputSpec, Inputs, Value, check};
use crate::quantity::{Quantity, Unit, yes_no};

/// Reads inputs as a person types them, `name=value`; fails with every one that cannot be read.
pub fn read_inputs(calc: &Calculation, typed: &[impl AsRef<str>]) -> Result<Inputs, Vec<String>> {
    let mut inputs = Inputs::default();
    let mut problems = Vec::new();
    for text in typed.iter().map(AsRef::as_ref) {
        let Some((name, value)) = text.split_once('=') else {
            problems.push(format!(
                "`{text}` is not an input; write it as `name=value`"
            ));
            continue;
        };
        match read_input(calc, name, value) {
            Ok(given) => {
                if inputs.insert(name.to_owned().into(), given).is_some() {
                    problems.push(format!("`{name}` is given twice"));
                }
            }
            Err(error) => problems.push(error.to_string()),
        }
    }
    if problems.is_empty() {
        Ok(inputs)
    } else {
        Err(problems)
    }
}

/// Reads the text of one input: `2in`, `38 mm ±2`, `yes`, `closes`, `M12x1.25`, `0,0,0`, `1200,550;1200,-550`.
///
/// Fails when the calculation has no such input, or the text is not of its kind. In a list of numbers a unit stands after
/// each number, or once at the end for all of them.
///
/// ```
/// use liftsheet::calc::{Given, find, read_input};
/// let run = find("run").unwrap();
/// assert_eq!(read_input(run, "rise", "2.5 cm").unwrap(), Given::number(25.0));
/// assert!(read_input(run, "rise", "2 kg").is_err());
/// ```
pub fn read_input(calc: &Calculation, name: &str, text: &str) -> Result<Given, CalcError> {
    let spec = calc.input(name).ok_or_else(|| check::unknown(calc, name))?;
    let text = text.trim();
    let found = match spec.kind {
        InputKind::Number(unit) => {
            let quantity = quantity(spec, text, unit)?;
            return Ok(Given {
                value: Value::Number(quantity.value),
                tolerance: quantity.tolerance,
            });
        }
        InputKind::Count => {
            let number = exact(spec, text, Unit::One)?;
            let whole = number >= 1.0 && number.fract() == 0.0;
            whole.then_some(Value::Number(number))
        }
        InputKind::Flag => yes_no(text).map(Value::Flag),
        InputKind::Choice(words) => {
            let word = words.iter().find(|word| word.eq_ignore_ascii_case(text));
            word.map(|word| Value::Word((*word).to_owned()))
        }
        InputKind::Text if text.is_empty() => {
            return Err(CalcError::new(name, "missing", spec.allowed()));
        }
        InputKind::Text => Some(Value::Word(text.to_owned())),
        InputKind::Vector(unit) => Some(Value::Vector(point(spec, text, unit)?)),
        InputKind::Points(unit) => Some(Value::Points(places(spec, text, unit)?)),
        InputKind::Places(unit) => Some(Value::Places(places(spec, text, unit)?)),
    };
    let refused = || CalcError::new(name, format!("`{text}`"), spec.allowed());
    found.map(Given::exact).ok_or_else(refused)
}

fn quantity(spec: &InputSpec, text: &str, unit: Unit) -> Result<Quantity, CalcError> {
    Quantity::parse(text, unit)
        .map_err(|error| CalcError::new(spec.name, format!("`{text}`: {error}"), error.help()))
}

fn exact(spec: &InputSpec, text: &str, unit: Unit) -> Result<f64, CalcError> {
    let quantity = quantity(spec, text, unit)?;
    if quantity.tolerance > 0.0 {
        let allowed = format!("{}, without a tolerance", spec.allowed());
        return Err(CalcError::new(spec.name, format!("`{text}`"), allowed));
    }
    Ok(quantity.value)
}

fn places<const N: usize>(
    spec: &InputSpec,
    text: &str,
    unit: Unit,
) -> Result<Vec<[f64; N]>, CalcError> {
    let list = text.trim_end_matches(';').split(';');
    list.map(|part| point(spec, part, unit)).collect()
}

fn point<const N: usize>(spec: &InputSpec, text: &str, unit: Unit) -> Result<[f64; N], CalcError> {
    let parts: Vec<&str> = text.split(',').map(str::trim).collect();
    let refuse = |why: &str| {
        CalcError::new(
            spec.name,
            format!("`{}`", text.trim()),
            format!("{}: {why}", spec.allowed()),
        )
    };
    if parts.len() != N {
        return Err(refuse(&format!("{N} numbers with commas between them")));
    }
    let suffixes: Vec<&str> = parts.iter().map(|part| suffix(part)).collect();
    let with_unit = suffixes.iter().filter(|suffix| !suffix.is_empty()).count();
    let shared = match suffixes.last() {
        Some(last) if with_unit == 1 && !last.is_empty() => last,
        _ if with_unit == 0 || with_unit == N => "",
        _ => return Err(refuse("a unit after each number, or once at the end")),
    };
    let mut numbers = [0.0; N];
    for ((number, part), suffix) in numbers.iter_mut().zip(&parts).zip(&suffixes) {
        *number = if suffix.is_empty() {
            exact(spec, &format!("{part}{shared}"), unit)?
        } else {
            exact(spec, part, unit)?
        };
    }
    Ok(numbers)
}

/// What follows the digits of a number.
fn suffix(part: &str) -> &str {
    part.trim_start_matches(|c: char| c.is_ascii_digit() || " .+-/eE".contains(c))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::calc::find;

    fn read(calc: &str, name: &str, text: &str) -> Result<Given, CalcError> {
        read_input(find(calc).unwrap(), name, text)
    }

    #[test]
    fn quantities_come_in_any_unit_of_their_kind() {
        assert_eq!(read("run", "rise", "2in").unwrap(), Given::number(50.8));
        assert_eq!(read("run", "rise", "50").unwrap(), Given::number(50.0));
        let slack = read("run", "slack", "38 mm ±2").unwrap();
        assert_eq!((slack.value, slack.tolerance), (Value::Number(38.0), 2.0));
    }

    #[test]
    fn words_flags_and_counts() {
        let word = |word: &str| Given::exact(Value::Word(word.to_owned()));
        assert_eq!(read("gap", "direction", "Closes").unwrap(), word("closes"));
        assert_eq!(read("bolt", "class", "grade 5").unwrap(), word("grade 5"));
        assert_eq!(
            read("spigot", "flexible", "yes").unwrap(),
            Given::exact(Value::Flag(true))
        );
        assert_eq!(read("bracket", "plates", "2").unwrap(), Given::number(2.0));
        assert!(read("bracket", "plates", "1.5").is_err());
        assert!(read("bracket", "plates", "2 ±1").is_err());
        assert!(read("gap", "direction", "sideways").is_err());
    }

    #[test]
    fn lists_of_places() {
        let vector = read("shaft", "upper", "0,0,0").unwrap();
        assert_eq!(vector.value, Value::Vector([0.0; 3]));
        let inches = read("shaft", "lower", "10, 0, -2 in").unwrap();
        assert_eq!(inches.value, Value::Vector([254.0, 0.0, -50.8]));
        let each = read("shaft", "lower", "10 in, 0mm, -50 mm").unwrap();
        assert_eq!(each.value, Value::Vector([254.0, 0.0, -50.0]));
        assert!(read("shaft", "lower", "10 in, 0, -50").is_err());
        assert!(read("shaft", "lower", "10, 0").is_err());
        let points = read("plane", "points", "1200,550,50;1200,-550,50").unwrap();
        assert_eq!(
            points.value,
            Value::Points(vec![[1200.0, 550.0, 50.0], [1200.0, -550.0, 50.0]])
        );
    }
}
