//! `brief`, `parts`, `crew` and `heights`: what is made of a job beside its sheet.
//!
//! Each is a [`Document`]: its page, the same for other programs, and a table or a calendar where it has one.

use super::End;
use super::args::{CrewArgs, FormatArg, HeightsArgs, PageArgs};
use super::page::{self, Document, Refusal};
use crate::crew::{self, Crew};
use crate::document;
use crate::heights::{self, AskedHeights, Heights};
use crate::pipeline::Made;
use crate::{brief, parts};

/// The customer's page.
pub(super) fn brief(args: &PageArgs) -> End {
    let brief = Document::new("brief", |made, look| Ok(document::brief(made, look)?))
        .json(|made| Ok(brief::to_json(made, &brief::collect(made))));
    page::run(&brief, args)
}

/// The bench list.
pub(super) fn parts(args: &PageArgs) -> End {
    let parts = Document::new("parts", |made, look| Ok(document::parts(made, look)?))
        .json(|made| Ok(parts::to_json(made, &parts::collect(made))))
        .beside(FormatArg::Csv, |made, _| {
            Ok(parts::to_csv(made, &parts::collect(made)))
        });
    page::run(&parts, args)
}

/// The schedule of a crew.
pub(super) fn crew(args: &CrewArgs) -> End {
    let with = args.with.as_deref();
    let schedule = Document::new("crew", |made, look| {
        Ok(document::crew(made, &crew_of(made, with)?, look)?)
    })
    .json(|made| Ok(crew::to_json(made, &crew_of(made, with)?)))
    .beside(FormatArg::Ics, |made, look| {
        crew::to_ics(made, &crew_of(made, with)?, look.units).map_err(page::refused)
    });
    page::run(&schedule, &args.page)
}

fn crew_of<'a>(made: &Made<'a>, with: Option<&str>) -> Result<Crew<'a>, Refusal> {
    crew::crew(made, with).map_err(page::refused)
}

/// The heights asked for.
pub(super) fn heights(args: &HeightsArgs) -> End {
    let heights = Document::new("heights", |made, look| {
        Ok(document::heights(made, &heights_of(made, args)?, look)?)
    })
    .json(|made| Ok(heights::to_json(made, &heights_of(made, args)?)));
    page::run(&heights, &args.page)
}

fn heights_of(made: &Made<'_>, args: &HeightsArgs) -> Result<Heights, Refusal> {
    let range = [&args.from, &args.to, &args.step].map(String::as_str);
    let asked = AskedHeights::read(range, args.tyre.as_deref(), made.job);
    let asked = asked.map_err(Refusal::Problems)?;
    Ok(heights::heights(made, asked))
}
