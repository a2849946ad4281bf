//! `sheet`, `reasons` and `survey`: the job sheet, why it says what it says, and what is still to be measured for it.

use super::args::{PageArgs, SheetArgs};
use super::load::DEMO_SURVEY;
use super::output;
use super::page::{self, Document, Refusal};
use super::{End, fail, many};
use crate::document::{self, Look, Page};
use crate::pipeline::Made;
use crate::plan;

/// The job sheet.
struct Sheet;

impl Document for Sheet {
    fn name(&self) -> &'static str {
        "sheet"
    }

    fn page(&self, made: &Made<'_>, look: Look) -> Result<Page, Refusal> {
        Ok(document::sheet(made, look)?)
    }

    fn json(&self, made: &Made<'_>) -> Result<String, Refusal> {
        Ok(json(made))
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

    fn json(&self, made: &Made<'_>) -> Result<String, Refusal> {
        Ok(json(made))
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

    fn json(&self, made: &Made<'_>) -> Result<String, Refusal> {
        Ok(json(made))
    }
}

/// The plan; written at once, since as a value in memory it would take many times its text.
fn json(made: &Made<'_>) -> String {
    output::json(&plan::Json {
        job: made.job,
        rules: made.rules,
        cut: made.cut,
        assessment: made.assessment,
        plan: made.plan,
    })
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
