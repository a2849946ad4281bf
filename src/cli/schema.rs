//! `schema`: what a job file or a rule file may hold, for an editor.

use super::args::{SchemaArgs, SchemaOf};
use super::{End, fail, output, print_page};
use crate::schema;

pub(super) fn run(args: &SchemaArgs) -> End {
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
