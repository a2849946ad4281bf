//! `brief`, `parts`, `crew` and `heights`: what is made of a job beside its sheet.
//!
//! Each is a [`Document`]: its page, the same for other programs, and a table or a calendar where it has one.

use serde_json::Value;

use super::End;
use super::args::{CrewArgs, FormatArg, HeightsArgs, PageArgs};
use super::page::{self, Document, Refusal};
use crate::crew::{self, Crew};
use crate::document::{self, DocumentError, Look, Page};
use crate::heights::{self, AskedHeights};
use crate::pipeline::Made;
use crate::{brief, parts};

/// The customer's page.
struct Brief;

impl Document for Brief {
    fn name(&self) -> &'static str {
        "brief"
    }

    fn page(&self, made: &Made<'_>, look: Look) -> Result<Page, Refusal> {
        Ok(document::brief(made, look)?)
    }

    fn json(&self, made: &Made<'_>) -> Result<Option<Value>, Refusal> {
        Ok(Some(brief::to_json(made, &brief::collect(made))))
    }
}

pub(super) fn brief(args: &PageArgs) -> End {
    page::run(&Brief, args)
}

/// The bench list.
struct Parts;

impl Document for Parts {
    fn name(&self) -> &'static str {
        "parts"
    }

    fn page(&self, made: &Made<'_>, look: Look) -> Result<Page, Refusal> {
        Ok(document::parts(made, look)?)
    }

    fn json(&self, made: &Made<'_>) -> Result<Option<Value>, Refusal> {
        Ok(Some(parts::to_json(made, &parts::collect(made))))
    }

    fn beside(&self) -> Option<FormatArg> {
        Some(FormatArg::Csv)
    }

    fn in_it(&self, made: &Made<'_>, _: Look) -> Result<String, Refusal> {
        let csv = parts::to_csv(made, &parts::collect(made));
        Ok(csv.map_err(|error| DocumentError::Template(error.to_string()))?)
    }
}

pub(super) fn parts(args: &PageArgs) -> End {
    page::run(&Parts, args)
}

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

    fn json(&self, made: &Made<'_>) -> Result<Option<Value>, Refusal> {
        Ok(Some(crew::to_json(made, &self.crew(made)?)))
    }

    fn beside(&self) -> Option<FormatArg> {
        Some(FormatArg::Ics)
    }

    fn in_it(&self, made: &Made<'_>, look: Look) -> Result<String, Refusal> {
        crew::to_ics(made, &self.crew(made)?, look.units).map_err(page::refused)
    }
}

pub(super) fn crew(args: &CrewArgs) -> End {
    let schedule = Schedule {
        with: args.with.as_deref(),
    };
    page::run(&schedule, &args.page)
}

/// The heights asked for, as typed.
struct Heights<'a>(&'a HeightsArgs);

impl Heights<'_> {
    fn of(&self, made: &Made<'_>) -> Result<heights::Heights, Refusal> {
        let range = [&self.0.from, &self.0.to, &self.0.step].map(String::as_str);
        let asked = AskedHeights::read(range, self.0.tyre.as_deref(), made.job);
        let asked = asked.map_err(Refusal::Problems)?;
        Ok(heights::heights(made, asked))
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

    fn json(&self, made: &Made<'_>) -> Result<Option<Value>, Refusal> {
        Ok(Some(heights::to_json(made, &self.of(made)?)))
    }
}

pub(super) fn heights(args: &HeightsArgs) -> End {
    page::run(&Heights(args), &args.page)
}
