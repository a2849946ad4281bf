//! `sheet`, `reasons` and `survey`: the job sheet, why it says what it says, and what is still to be measured for it.

use super::args::{PageArgs, SheetArgs};
use super::load::DEMO_SURVEY;
use super::page::{self, Document, Refusal};
use super::{End, fail, many};
use crate::document::{self, Look, Page};
use crate::pipeline::Made;

/// The job sheet.
struct Sheet;

impl Document for Sheet {
    fn name(&self) -> &'static str {
        "sheet"
    }

    fn page(&self, made: &Made<'_>, look: Look) -> Result<Page, Refusal> {
        Ok(document::sheet(made, look)?)
    }

    fn is_plan(&self) -> bool {
        true
    }
}

/// The reasons.
struct Reasons;

impl Document for Reasons {
    fn name(&self) -> &'static str {
        "reasons"
    }

    fn page(&self, made: &Made<'_>, look: Look) -> Result<Page, Refusal> {
        Ok(document::reasons(made, look)?)
    }

    fn is_plan(&self) -> bool {
        true
    }
}

/// The survey.
struct Survey;

impl Document for Survey {
    fn name(&self) -> &'static str {
        "survey"
    }

    fn demo(&self) -> &'static str {
        DEMO_SURVEY
    }

    fn page(&self, made: &Made<'_>, look: Look) -> Result<Page, Refusal> {
        Ok(document::survey(made, look)?)
    }

    fn is_plan(&self) -> bool {
        true
    }
}

pub(super) fn run(args: &SheetArgs) -> End {
    let request = match page::request(&Sheet, (&args.rules, &args.look, &args.output)) {
        Ok(request) => request,
        Err(message) => return fail(&message),
    };
    match args.jobs.as_slice() {
        [] => page::one(&request, None),
        [job] => page::one(&request, Some(job)),
        jobs => many::run(&request, jobs),
    }
}

pub(super) fn reasons(args: &PageArgs) -> End {
    page::run(&Reasons, args)
}

pub(super) fn survey(args: &PageArgs) -> End {
    page::run(&Survey, args)
}
