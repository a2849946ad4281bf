//! `parts`: what to have on the bench before the work starts, as a page, as JSON and as a table for spreadsheets.

use serde_json::Value;

use super::End;
use super::args::{FormatArg, PageArgs};
use super::page::{self, Document, Refusal};
use crate::document::{self, DocumentError, Look, Page};
use crate::parts;
use crate::pipeline::Made;

/// The bench list.
struct Parts;

impl Document for Parts {
    fn name(&self) -> &'static str {
        "parts"
    }

    fn page(&self, made: &Made<'_>, look: Look) -> Result<Page, Refusal> {
        Ok(document::parts(made, look)?)
    }

    fn json(&self, made: &Made<'_>) -> Result<Value, Refusal> {
        Ok(parts::to_json(made, &parts::collect(made)))
    }

    fn beside(&self) -> Option<FormatArg> {
        Some(FormatArg::Csv)
    }

    fn in_it(&self, made: &Made<'_>, _: Look) -> Result<String, Refusal> {
        let csv = parts::to_csv(made, &parts::collect(made));
        Ok(csv.map_err(|error| DocumentError::Template(error.to_string()))?)
    }
}

pub(super) fn run(args: &PageArgs) -> End {
    page::run(&Parts, args)
}
