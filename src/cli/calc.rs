//! `calc`: one calculation with its working.

use super::args::{CalcArgs, CalcFormatArg};
use super::{End, fail, output, print, print_page};
use crate::calc::{self, Calculation, InputSpec, Inputs, Need};
use crate::report::unknown_help;

pub(super) fn run(args: &CalcArgs) -> End {
    let Some(name) = &args.name else {
        return print(&list());
    };
    let Some(calc) = calc::find(name) else {
        let known = calc::all().iter().map(|calc| calc.name);
        let help = unknown_help(name, known);
        return fail(&format!(
            "there is no calculation `{name}`; {help}; `liftsheet calc` lists them all"
        ));
    };
    let inputs = match read(calc, &args.inputs) {
        Ok(inputs) => inputs,
        Err(problems) => return fail(&problems.join("\nliftsheet: ")),
    };
    match calc::evaluate(calc, &inputs) {
        Ok(evaluation) => match args.format {
            CalcFormatArg::Text => print(&calc::to_text(&evaluation, args.units.into())),
            CalcFormatArg::Json => print_page(&output::json_text(&format!(
                "{}\n",
                calc::to_json(&evaluation)
            ))),
        },
        Err(error) => fail(&format!("`{name}`: {error}")),
    }
}

/// The inputs as typed, or every one that cannot be read.
fn read(calc: &Calculation, typed: &[String]) -> Result<Inputs, Vec<String>> {
    let mut inputs = Inputs::new();
    let mut problems = Vec::new();
    for text in typed {
        let Some((name, value)) = text.split_once('=') else {
            problems.push(format!(
                "`{text}` is not an input; write it as `name=value`"
            ));
            continue;
        };
        match calc::read_input(calc, name, value) {
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

/// Every calculation with its inputs and results.
fn list() -> String {
    calc::all().iter().map(one).collect()
}

fn one(calc: &Calculation) -> String {
    let inputs: String = calc.inputs.iter().map(input).collect();
    let results: Vec<&str> = calc.results.iter().map(|result| result.name).collect();
    let results = results.join(", ");
    format!(
        "{}: {}\n{inputs}  gives {results}\n\n",
        calc.name, calc.title
    )
}

fn input(input: &InputSpec) -> String {
    let unit = input.kind.unit();
    let unit = unit.map_or_else(String::new, |unit| format!(" [{}]", unit.code()));
    let need = match input.need {
        Need::Required => String::new(),
        Need::Default(number) => format!(" ({number} when left out)"),
        Need::Optional => " (may be left out)".to_owned(),
    };
    format!("  {}{unit}: {}{need}\n", input.name, input.meaning)
}
