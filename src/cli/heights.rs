//! `heights`: at which spacer height each connection changes, and what the lift comes to at each height.

use serde_json::Value;

use super::End;
use super::args::HeightsArgs;
use super::page::{self, Document, Refusal};
use crate::document::{self, Look, Page};
use crate::heights::{self, Asked, Typed};
use crate::pipeline::Made;

/// The heights asked for, as typed.
struct Heights<'a>(&'a HeightsArgs);

impl Heights<'_> {
    fn of(&self, made: &Made<'_>) -> Result<heights::Heights, Refusal> {
        let typed = Typed {
            from: &self.0.from,
            to: &self.0.to,
            step: &self.0.step,
            tyre: self.0.tyre.as_deref(),
        };
        let asked = Asked::read(typed, made.job).map_err(Refusal::Problems)?;
        Ok(heights::heights(made.job, made.rules, asked))
    }
}

impl Document for Heights<'_> {
    fn name(&self) -> &'static str {
        "heights"
    }

    fn page(&self, made: &Made<'_>, look: Look) -> Result<Page, Refusal> {
        let heights = self.of(made)?;
        Ok(document::heights(made, &heights, look)?)
    }

    fn json(&self, made: &Made<'_>) -> Result<Value, Refusal> {
        let found = self.of(made)?;
        let mut object = heights::to_json(&found);
        let provisional = made.plan.provisional || found.provisional();
        object.insert("provisional".to_owned(), provisional.into());
        Ok(Value::Object(object))
    }
}

pub(super) fn run(args: &HeightsArgs) -> End {
    page::run(&Heights(args), &args.page)
}
