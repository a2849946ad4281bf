//! `crew`: who does what when, and how long the job really takes.

use serde_json::Value;

use super::End;
use super::args::{CrewArgs, FormatArg};
use super::page::{self, Document, Refusal};
use crate::crew::{self, Crew};
use crate::document::{self, Look, Page};
use crate::pipeline::Made;

/// The schedule of a crew.
struct Schedule<'a> {
    with: Option<&'a str>,
}

impl Schedule<'_> {
    fn crew<'a>(&self, made: &Made<'a>) -> Result<Crew<'a>, Refusal> {
        crew::crew(made, self.with).map_err(page::refused)
    }
}

impl Document for Schedule<'_> {
    fn name(&self) -> &'static str {
        "crew"
    }

    fn page(&self, made: &Made<'_>, look: Look) -> Result<Page, Refusal> {
        Ok(document::crew(made, &self.crew(made)?, look)?)
    }

    fn json(&self, made: &Made<'_>) -> Result<Value, Refusal> {
        Ok(crew::to_json(made, &self.crew(made)?))
    }

    fn beside(&self) -> Option<FormatArg> {
        Some(FormatArg::Ics)
    }

    fn in_it(&self, made: &Made<'_>, look: Look) -> Result<String, Refusal> {
        crew::to_ics(made, &self.crew(made)?, look.units).map_err(page::refused)
    }
}

pub(super) fn run(args: &CrewArgs) -> End {
    let schedule = Schedule {
        with: args.with.as_deref(),
    };
    page::run(&schedule, &args.page)
}
