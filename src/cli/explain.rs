//! `explain`: what a problem's code means and what to do.

use super::{End, fail, print};
use crate::report::Code;

pub(super) fn run(code: Option<&str>) -> End {
    let Some(code) = code else {
        let lines = Code::all();
        let lines: Vec<String> = lines
            .map(|code| format!("{}: {}\n", code.as_str(), code.description()))
            .collect();
        return print(&lines.concat());
    };
    match code.parse::<Code>() {
        Ok(code) => print(&format!(
            "{}: {}\n\n{}\n",
            code.as_str(),
            code.description(),
            code.explanation()
        )),
        Err(help) => fail(&format!(
            "there is no code `{code}`; {help}; `liftsheet explain` lists them all"
        )),
    }
}
