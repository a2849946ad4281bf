//! Calls: every input given is one that the calculation takes, of its kind and unit, and every input that it must have is given.

use super::declared::ClassNames;
use super::rule_texts::Stand;
use super::{Notes, trial};
use crate::calc::{Calculation, InputKind, InputSpec, Need, Value};
use crate::quantity::Unit;
use crate::report::{Code, Path, or_list, unknown_help};
use crate::rules::expression::{Expr, Reading};
use crate::rules::{Check, Class};

/// Checks the calls of a class.
pub(super) fn class(names: &ClassNames<'_>, notes: &mut Notes<'_>) {
    for (number, check) in names.class.checks.iter().enumerate() {
        let stand = Stand {
            results: number,
            each: check.each.as_deref(),
        };
        match check.calc {
            Some(calc) => call(names, check, (calc, stand), notes),
            None => without_calculation(check, notes),
        }
    }
}

fn without_calculation(check: &Check, notes: &mut Notes<'_>) {
    if let Some((input, _)) = check.with.first() {
        let message = format!(
            "check `{}` has no calculation that would take `{input}`",
            check.id
        );
        let help = "add `calc:`, or leave `with:` out";
        let at = check.path.key("with").key_of(&**input);
        notes.error(Code::UnknownInput, &at, message, help);
    }
}

fn call<'a>(
    names: &ClassNames<'a>,
    check: &'a Check,
    (calc, stand): (&Calculation, Stand<'a>),
    notes: &mut Notes<'_>,
) {
    let at = check.path.key("with");
    for spec in calc.inputs {
        let given = check.with.iter().any(|(input, _)| input == spec.name);
        if spec.need == Need::Required && !given {
            let message = format!(
                "`{}` needs `{}`, and check `{}` does not give it",
                calc.name, spec.name, check.id
            );
            let help = format!("add it under `with`: {} ({})", spec.meaning, spec.allowed());
            notes.error(Code::MissingInput, &check.path.key("calc"), message, help);
        }
    }
    let declared = names.at(stand, Reading::Feed);
    for (input, expression) in &check.with {
        let Some(spec) = calc.input(input) else {
            let message = format!("`{}` takes no input `{input}`", calc.name);
            let help = unknown_help(input, calc.inputs.iter().map(|spec| spec.name));
            notes.error(Code::UnknownInput, &at.key_of(&**input), message, help);
            continue;
        };
        let path = at.key(&**input);
        if expression
            .names()
            .iter()
            .all(|name| declared.contains_key(name))
        {
            let values = trial::inputs(expression, &declared);
            kind(spec, expression, &values, &path, notes);
        }
        unit(names.class, spec, (check, expression), &path, notes);
    }
}

/// The first value that is not of the input's kind.
fn kind(spec: &InputSpec, expression: &Expr, values: &[Value], path: &Path, notes: &mut Notes<'_>) {
    let Some(wrong) = values.iter().find(|value| !fits(spec.kind, value)) else {
        return;
    };
    let found = match wrong {
        Value::Number(_) => "a number".to_owned(),
        Value::Flag(_) => "yes or no".to_owned(),
        Value::Word(word) => format!("the word `{word}`"),
        _ => "a list".to_owned(),
    };
    let message = format!(
        "`{}` gives {found}, and `{}` takes something else",
        expression.text(),
        spec.name
    );
    let help = format!("`{}` takes {}", spec.name, spec.allowed());
    notes.error(Code::WrongInput, path, message, help);
}

fn fits(kind: InputKind, value: &Value) -> bool {
    match (kind, value) {
        (InputKind::Number(_) | InputKind::Count, Value::Number(_))
        | (InputKind::Flag, Value::Flag(_))
        | (InputKind::Text, Value::Word(_))
        | (InputKind::Vector(_), Value::Vector(_))
        | (InputKind::Points(_), Value::Points(_))
        | (InputKind::Places(_), Value::Places(_)) => true,
        (InputKind::Choice(words), Value::Word(word)) => words.contains(&word.as_str()),
        (InputKind::Choice(words), Value::Number(number)) => {
            words.contains(&number.to_string().as_str())
        }
        _ => false,
    }
}

/// A measurement or setting handed on unchanged must be in the unit of the input.
fn unit(
    class: &Class,
    spec: &InputSpec,
    (check, expression): (&Check, &Expr),
    path: &Path,
    notes: &mut Notes<'_>,
) {
    let (Some(wanted), Some(given)) = (spec.kind.unit(), unit_of(class, check, expression.text()))
    else {
        return;
    };
    if wanted != given {
        let message = format!(
            "`{}` is in {}, and `{}` takes {}",
            expression.text(),
            given.code(),
            spec.name,
            or_list(&[wanted.code()]),
        );
        let help = "hand on a value of the same unit, or convert it in the expression";
        notes.error(Code::WrongInput, path, message, help);
    }
}

/// The unit of a name of the class that stands alone in an expression.
fn unit_of(class: &Class, check: &Check, name: &str) -> Option<Unit> {
    let list = check.each.as_deref();
    let field = list.and_then(|list| class.field(list, name));
    let measured = field.or_else(|| class.measurements.get(name));
    let unit = measured.and_then(|measurement| measurement.kind.unit());
    unit.or_else(|| Some(class.settings.get(name)?.value.unit))
}
