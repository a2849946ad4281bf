//! `brief`: the customer's page.

use serde_json::Value;

use super::End;
use super::args::PageArgs;
use super::page::{self, Document, Refusal};
use crate::brief;
use crate::document::{self, Look, Page};
use crate::pipeline::Made;

/// The customer's page.
struct Brief;

impl Document for Brief {
    fn name(&self) -> &'static str {
        "brief"
    }

    fn page(&self, made: &Made<'_>, look: Look) -> Result<Page, Refusal> {
        Ok(document::brief(made, look)?)
    }

    fn json(&self, made: &Made<'_>) -> Result<Value, Refusal> {
        Ok(brief::to_json(made, &brief::collect(made)))
    }
}

pub(super) fn run(args: &PageArgs) -> End {
    page::run(&Brief, args)
}
