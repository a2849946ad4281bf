//! `completions`, `schema` and `explain`: what the program says of its command line, its files and its problems.

use super::args::{self, CompletionsArgs, SchemaArgs, SchemaOf};
use super::{End, fail, output, print, print_page};
use crate::report::Code;
use crate::schema;

pub(super) fn completions(args: &CompletionsArgs) -> End {
    let mut script = Vec::new();
    clap_complete::generate(args.shell, &mut args::command(), args::NAME, &mut script);
    print_page(&String::from_utf8_lossy(&script))
}

pub(super) fn of_files(args: &SchemaArgs) -> End {
    let made = match (args.of, args.kind.as_deref()) {
        (SchemaOf::Job, None) => Some(schema::job()),
        (SchemaOf::Job, Some(_)) => {
            return fail("a job file is of one kind only; leave --of out, or write `schema rules`");
        }
        (SchemaOf::Rules, None) => Some(schema::rules()),
        (SchemaOf::Rules, Some(kind)) => schema::rule(kind),
    };
    match made {
        Some(schema) => print_page(&output::json(&schema)),
        None => fail("there is no such kind of rule file; `liftsheet schema --help` lists them"),
    }
}

pub(super) fn explain(code: Option<&str>) -> End {
    let Some(code) = code else {
        let lines = Code::all().map(|code| format!("{code}: {}\n", code.description()));
        return print(&lines.collect::<String>());
    };
    match code.parse::<Code>() {
        Ok(code) => print(&format!(
            "{code}: {}\n\n{}\n",
            code.description(),
            code.explanation()
        )),
        Err(help) => fail(&format!(
            "there is no code `{code}`; {help}; `liftsheet explain` lists them all"
        )),
    }
}
