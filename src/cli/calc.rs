//! `calc`: one calculation with its working.

use super::args::{CalcArgs, CalcFormatArg};
use super::{End, fail, output, print, print_page};
use crate::calc::{self, Calculation, InputSpec, Need};
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
    let inputs = match calc::read_inputs(calc, &args.inputs) {
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

/// Every calculation with its inputs and results.
fn list() -> String {
    calc::all().iter().map(calculation).collect()
}

fn calculation(calc: &Calculation) -> String {
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
